//! Heat and cold change the pressure in a tight case.

use super::trapped_pressure::law;
use super::{Judged, Question, Rule};
use crate::atmosphere::SEA_LEVEL_PRESSURE;
use crate::{TrappedAir, Valve, lid_force};
use caddis_basis::{Length, Said, Severity, Temperature, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "sealed-temperature",
    sentence: || said!("a tight case stays level with the air outside while it warms and cools"),
    reason: || {
        said!(
            "a case closed in a warm room and opened in the cold is held by suction; one left in the sun pushes its lid"
        )
    },
    source: |_| law(),
    applies: |question| question.temperatures() != (None, None),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    if question.parcel.valve == Valve::NotTight {
        return vec![Judged::new(
            Verdict::Holds,
            said!("the case is not tight: no pressure builds up"),
            law(),
        )];
    }
    let shut = TrappedAir {
        closed_pressure: SEA_LEVEL_PRESSURE,
        closed_temperature: question.journey.closing_temperature(),
    };
    let sea = (Length::ZERO, SEA_LEVEL_PRESSURE);
    let high = question
        .on_lid
        .as_ref()
        .map_or(sea, |on_lid| (on_lid.altitude.length(), on_lid.outside));
    // Warm is worst up high, where the outside pressure is least; cold is worst at sea level.
    let mut found = Vec::new();
    for (temperature, (altitude, outside)) in [
        (question.temperatures().1, high),
        (question.temperatures().0, sea),
    ] {
        if let Some(temperature) = temperature {
            let gauge = shut.gauge(outside, temperature);
            found.push(said!(
                "{gauge:+.2} kPa at {temperature:.0} degC and {altitude:.0} m ({force:.0} N on the lid)",
                gauge = gauge.as_kpa(),
                temperature = Temperature::as_celsius(temperature),
                altitude = altitude.si(),
                force = lid_force(gauge, question.parcel.lid_area).si()
            ));
        }
    }
    let sentence = said!(
        "closed at sea level at {closed:.0} degC, valve shut: {found}",
        closed = question.journey.closing_temperature().as_celsius(),
        found = Said::row(found, ", ")
    );
    let remedy = said!(
        "vent before unlatching and stand clear of the lid; let the case come to the temperature of the room first"
    );
    vec![if question.parcel.valve == Valve::Working {
        Judged::new(Verdict::Indicative, sentence, law()).finding(Severity::Note, remedy)
    } else {
        Judged::new(Verdict::NotKnown, sentence, law()).finding(Severity::Caution, remedy)
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_leg, parcel};
    use super::*;
    use crate::{Leg, LegKind};

    fn sunny() -> Leg {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.lowest_temperature = Some(Temperature::celsius(-33.0));
        leg.highest_temperature = Some(Temperature::celsius(71.0));
        leg
    }

    #[test]
    fn failing_case() {
        let mut shut = parcel();
        shut.valve = Valve::Manual;
        let judged = ask_leg(&RULE, &shut, &sunny()).swap_remove(0);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        for said in ["+17.63 kPa at 71 degC", "-18.32 kPa at -33 degC"] {
            assert!(judged.sentence.contains(said), "{said}: {}", judged.sentence);
        }
    }

    #[test]
    fn passing_case() {
        let mut loose = parcel();
        loose.valve = Valve::NotTight;
        assert_eq!(
            ask_leg(&RULE, &loose, &sunny()).swap_remove(0).verdict,
            Verdict::Holds
        );
        let valve = ask_leg(&RULE, &parcel(), &sunny()).swap_remove(0);
        assert_eq!(
            (valve.verdict, valve.severity),
            (Verdict::Indicative, Some(Severity::Note))
        );
    }
}
