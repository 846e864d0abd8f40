//! Whether the closed case floats when it falls into water.

use super::{Judged, Question, Rule};
use crate::{Hull, LegKind, Valve, floating_fresh_and_sea};
use caddis_basis::{Margin, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "flotation",
    sentence: || said!("a tight case that falls into water floats with its lid above it"),
    reason: || said!("a case that sinks is lost, and one that floats low lets waves over its gasket"),
    source: |_| law(),
    applies: |question| matches!(question.leg.kind, LegKind::OffRoad | LegKind::HandCarry),
    judge,
};

fn law() -> Source {
    Source::derived(said!(
        "Archimedes, with the hollow inside as the least the case displaces"
    ))
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let Some(inside) = parcel.details.inside else {
        return vec![Judged::missing(said!("the volume inside the case"), law())];
    };
    let is_tight = question
        .journey
        .case
        .ingress
        .is_some_and(crate::IngressCode::is_watertight);
    let hull = Hull {
        volume: inside.volume,
        waterplane: parcel.lid_area,
        height: inside.height,
        mass: parcel.gross_mass.most(),
    };
    let [fresh, sea] = floating_fresh_and_sea(&hull);
    let margin = Margin::at_least(inside.volume.as_litres(), hull.mass.si(), "kg of fresh water");
    let (mass, volume) = (hull.mass.si(), inside.volume.as_litres());
    if !sea.floats() || !fresh.floats() {
        return vec![
            Judged::new(
                Verdict::Fails,
                if sea.floats() {
                    said!(
                        "{mass:.1} kg on at least {volume:.1} L: it sinks in fresh water and floats in the sea",
                        mass,
                        volume
                    )
                } else {
                    said!("{mass:.1} kg on at least {volume:.1} L: it sinks in fresh water", mass, volume)
                },
                law(),
            )
            .margin(margin)
            .finding(
                Severity::Note,
                said!("tether it over water; never count on it as a float"),
            ),
        ];
    }
    let sentence = said!(
        "{mass:.1} kg on at least {volume:.1} L: while tight it floats with {spare:.0} kg to spare, about {freeboard:.0} mm of it above fresh water",
        spare = fresh.reserve.si(),
        freeboard = fresh.freeboard.as_mm(),
        mass,
        volume
    );
    vec![if parcel.valve == Valve::NotTight {
        Judged::new(
            Verdict::Fails,
            said!("{sentence}; but the case is not tight", sentence),
            law(),
        )
        .finding(
            Severity::Note,
            said!("tether it over water; a flooded case sinks to the volume of its closed foam"),
        )
    } else if is_tight {
        Judged::new(Verdict::Indicative, sentence, law()).margin(margin)
    } else {
        Judged {
            sentence: said!("{sentence}; whether it is tight is not stated", sentence),
            ..Judged::missing(said!("the ingress code of the case"), law())
        }
    }]
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::fixture::{ask, ask_journey, parcel, weighing};
    use super::*;
    use crate::{IngressCode, Journey, Leg, Parcel};

    fn tight(parcel: &Parcel) -> Judged {
        let mut journey = Journey::new("out", vec![Leg::new(LegKind::OffRoad, "ford")]);
        journey.case.ingress = Some(IngressCode::parse("IP67").unwrap());
        ask_journey(&RULE, parcel, &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let sinks = tight(&weighing(65.0));
        assert_eq!(
            (sinks.verdict, sinks.severity),
            (Verdict::Fails, Some(Severity::Note))
        );
        assert!(ask(&RULE, &parcel(), LegKind::OffRoad).missing.is_some());
    }

    #[test]
    fn passing_case() {
        // 60 L less 18 kg; 290 mm less 18 / (1000 x 0.2) = 90 mm.
        let floats = tight(&parcel());
        assert_eq!((floats.verdict, floats.severity), (Verdict::Indicative, None));
        assert!(
            floats.sentence.contains("42 kg to spare, about 200 mm"),
            "{}",
            floats.sentence
        );
    }
}
