//! A warm case that falls into water.

use super::{Judged, Question, Rule};
use crate::GeopotentialAltitude;
use crate::{IngressCode, LegKind, TrappedAir, Valve, lid_force, standard_air, water_head};
use caddis_basis::{Length, Severity, Source, Temperature, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "plunge",
    sentence: || said!("a tight case that falls warm into water keeps it out while its air cools and sucks"),
    reason: || {
        said!("suction and the head of water together press on the gasket, and draw water past a hair on it")
    },
    source: |_| law(),
    applies: |question| {
        question
            .leg
            .ingress_wanted
            .is_some_and(IngressCode::is_watertight)
            || (matches!(question.leg.kind, LegKind::OffRoad | LegKind::HandCarry)
                && question
                    .journey
                    .case
                    .ingress
                    .is_some_and(IngressCode::is_watertight))
    },
    judge,
};

/// How much warmer than the water the case is.
///
/// # Source
/// MIL-STD-810 512: 49 degC into 22 degC, in two reviews of the method (secondary).
const WARMER: f64 = 27.0;
/// How deep it lies, from the same test.
const DEPTH: Length = Length::from_si(1.0);

fn law() -> Source {
    Source::derived(said!(
        "ideal gas law at constant volume and the head of water; 27 K and 1 m as in MIL-STD-810 512 (secondary)"
    ))
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    if question.parcel.valve == Valve::NotTight {
        return vec![
            Judged::new(Verdict::Fails, said!("the case is not tight: it fills"), law()).finding(
                Severity::Note,
                said!("keep it out of water, or bag what must stay dry"),
            ),
        ];
    }
    let warm = question.temperatures().1.unwrap_or(Temperature::from_si(322.15));
    let water = Temperature::from_si(warm.si() - WARMER);
    let Ok(sea_level) = standard_air(GeopotentialAltitude::new(Length::ZERO)) else {
        return Vec::new(); // standard air is defined at sea level
    };
    let air = TrappedAir {
        closed_pressure: sea_level.pressure,
        closed_temperature: warm,
    };
    let suction = sea_level.pressure - air.inside(water);
    let head = water_head(DEPTH, false);
    let whole = suction + head;
    let force = lid_force(whole, question.parcel.lid_area);
    vec![
        Judged::new(
            Verdict::NotKnown,
            said!(
                "closed or levelled at {warm:.0} and plunged 1 m into water {colder:.0} K colder: {suction:.2} kPa of suction and {head:.2} kPa of head press the lid shut with {force:.0} N",
                suction = suction.as_kpa(),
                head = head.as_kpa(),
                force = force.si(),
                warm,
                colder = WARMER
            ),
            law(),
        )
        .finding(
            Severity::Note,
            said!("gasket and rim clean, valve shut; whether seal and shell bear it only the maker or a test says; let it level before it is opened"),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_journey, parcel};
    use super::*;
    use crate::{Journey, Leg, Parcel};

    fn asked(parcel: &Parcel, hottest: Option<f64>) -> Judged {
        let mut leg = Leg::new(LegKind::OffRoad, "ford");
        leg.highest_temperature = hottest.map(Temperature::celsius);
        let mut journey = Journey::new("test", vec![leg]);
        journey.case.ingress = IngressCode::parse("IP67").ok();
        ask_journey(&RULE, parcel, &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let mut loose = parcel();
        loose.valve = Valve::NotTight;
        assert_eq!(asked(&loose, None).verdict, Verdict::Fails);
    }

    #[test]
    fn passing_case() {
        // 49 degC into 22 degC, 1 m: 8.49 and 9.81 kPa on 0.20 m² are 3.66 kN.
        let judged = asked(&parcel(), Some(49.0));
        assert_eq!(judged.verdict, Verdict::NotKnown);
        assert!(
            judged.sentence.contains("8.49 kPa of suction and 9.81 kPa") && judged.sentence.contains("366"),
            "{}",
            judged.sentence
        );
        assert_eq!(asked(&parcel(), None).sentence, judged.sentence);
    }
}
