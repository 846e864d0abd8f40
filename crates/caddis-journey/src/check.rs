//! Every rule asked of every leg.

use crate::rules::{Question, RULES};
use crate::{Journey, JourneyError, Parcel, pressure_on_lid};
use caddis_basis::{Domain, Finding, Margin, Said, Source, Verdict, said};

/// What one rule says of one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct LegVerdict {
    /// Which leg, from 0.
    pub leg: usize,
    /// What the people of the job call the leg.
    pub leg_label: String,
    /// Where: `leg 2`, or `leg 2, radio battery` where a rule looks at several things.
    pub place: Said,
    /// The thing it looks at where it looks at several.
    pub part: Option<Said>,
    /// The rule's name; also the code of its finding.
    pub rule: &'static str,
    /// Whether the rule concerns this leg at all; where not, the verdict is `holds` and there is no finding.
    pub applies: bool,
    /// What it concludes.
    pub verdict: Verdict,
    /// One sentence without a full stop, naming what was found with its units, on a pass too.
    pub sentence: Said,
    /// How far from the limit, where there is one.
    pub margin: Option<Margin>,
    /// What is weak or worth knowing; `None` on a plain pass.
    pub finding: Option<Finding>,
    /// What the job would have to state for an answer; the verdict is then `not known` without a finding.
    pub missing: Option<Said>,
    /// Where the limit comes from, with edition and day.
    pub source: Source,
}

/// Asks every rule of every leg with the limits of the journey.
///
/// # Errors
/// The parcel, the journey or its limits are none, see [`Parcel::validate`], [`Journey::validate`] and
/// [`crate::CarriageLimits::validate`]; an altitude among the limits without standard air.
pub fn check(parcel: &Parcel, journey: &Journey) -> Result<Vec<LegVerdict>, JourneyError> {
    parcel.validate()?;
    journey.validate()?;
    let limits = &journey.limits;
    let mut verdicts = Vec::new();
    for (index, leg) in journey.legs.iter().enumerate() {
        let question = Question {
            parcel,
            leg,
            journey,
            on_lid: pressure_on_lid(parcel, leg, limits).map_err(|reason| JourneyError::Altitude {
                field: format!("the altitude of leg {}", index + 1),
                reason,
            })?,
            limits,
        };
        for rule in RULES {
            let number = index + 1;
            if !(rule.applies)(&question) {
                verdicts.push(LegVerdict {
                    leg: index,
                    leg_label: leg.label.clone(),
                    place: said!("leg {number}", number),
                    part: None,
                    rule: rule.name,
                    applies: false,
                    verdict: Verdict::Holds,
                    sentence: said!("does not concern this {kind} leg", kind = leg.kind.said()),
                    margin: None,
                    finding: None,
                    missing: None,
                    source: (rule.source)(limits),
                });
                continue;
            }
            for judged in (rule.judge)(&question) {
                let place = if let Some(part) = &judged.part {
                    said!("leg {number}, {part}", number, part)
                } else {
                    said!("leg {number}", number)
                };
                verdicts.push(LegVerdict {
                    leg: index,
                    leg_label: leg.label.clone(),
                    rule: rule.name,
                    applies: true,
                    verdict: judged.verdict,
                    finding: judged.severity.map(|severity| Finding {
                        code: rule.name,
                        domain: Domain::Journey,
                        severity,
                        sentence: judged.sentence.clone(),
                        place: place.clone(),
                        margin: judged.margin.clone(),
                        source: judged.source.clone(),
                        remedy: judged.remedy.clone(),
                    }),
                    place,
                    part: judged.part,
                    sentence: judged.sentence,
                    margin: judged.margin,
                    missing: judged.missing,
                    source: judged.source,
                });
            }
        }
    }
    Ok(verdicts)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::rules::fixture::parcel;
    use crate::{Leg, LegKind};
    use caddis_basis::{Length, Mass, Measured};
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn everywhere() -> Journey {
        let legs = LegKind::ALL.map(|kind| Leg::new(kind, kind.words()));
        Journey::new("everywhere", legs.to_vec())
    }

    #[test]
    fn every_rule_answers_every_leg() {
        let verdicts = check(&parcel(), &everywhere()).unwrap();
        for index in 0..LegKind::ALL.len() {
            let answered: BTreeSet<_> = verdicts
                .iter()
                .filter(|v| v.leg == index)
                .map(|v| v.rule)
                .collect();
            assert_eq!(answered.len(), RULES.len(), "leg {index}");
        }
        for verdict in &verdicts {
            assert!(!verdict.sentence.ends_with('.'), "{}", verdict.sentence);
            assert!(verdict.applies || verdict.finding.is_none());
            let silent = matches!(verdict.verdict, Verdict::Fails | Verdict::NotKnown)
                && verdict.finding.is_none()
                && verdict.missing.is_none();
            assert!(!silent, "{} says nothing", verdict.rule);
        }
    }

    #[test]
    fn every_rule_concerns_some_leg() {
        let mut warm = everywhere();
        for leg in &mut warm.legs {
            leg.lowest_temperature = Some(caddis_basis::Temperature::celsius(-10.0));
            leg.highest_temperature = Some(caddis_basis::Temperature::celsius(50.0));
        }
        warm.cases = 6;
        warm.case.round_trips = Some(100);
        warm.case.ingress = crate::IngressCode::parse("IP67").ok();
        let mut parcel = parcel();
        parcel.batteries = vec![crate::Battery {
            label: "power bank".to_owned(),
            content: crate::BatteryContent::NotKnown,
            installed: false,
            count: 1,
        }];
        let verdicts = check(&parcel, &warm).unwrap();
        let concerned: BTreeSet<_> = verdicts.iter().filter(|v| v.applies).map(|v| v.rule).collect();
        assert_eq!(concerned.len(), RULES.len());
    }

    fn said(journey: &Journey, rule: &str) -> String {
        let verdicts = check(&parcel(), journey).unwrap();
        let verdict = verdicts.into_iter().find(|v| v.rule == rule && v.applies);
        verdict.unwrap().sentence.to_string()
    }

    #[test]
    fn a_journey_is_closed_in_a_room_unless_it_says_otherwise() {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.highest_temperature = Some(caddis_basis::Temperature::celsius(71.0));
        let mut journey = Journey::new("out", vec![leg]);
        assert!(said(&journey, "sealed-temperature").contains("+17.63 kPa"));
        journey.closing_temperature = Some(caddis_basis::Temperature::celsius(71.0));
        assert!(said(&journey, "sealed-temperature").contains("+0.00 kPa"));
    }

    #[test]
    fn unstated_altitudes_are_the_worst_of_their_kind_and_say_so() {
        for (kind, kilopascals, edition) in [
            (LegKind::AirHold, "26.06 kPa", "14 CFR 25.841(a)"),
            (LegKind::CourierAir, "52.78 kPa", "ASTM D6653"),
        ] {
            let sentence = said(
                &Journey::new("out", vec![Leg::new(kind, "flight")]),
                "trapped-pressure",
            );
            assert!(
                sentence.contains(kilopascals) && sentence.contains(edition),
                "{sentence}"
            );
        }
    }

    #[test]
    fn broken_input_is_an_error() {
        let mut broken = parcel();
        broken.gross_mass.value = Mass::ZERO;
        assert!(check(&broken, &everywhere()).is_err());
    }

    proptest! {
        #[test]
        fn no_parcel_panics_and_answers_repeat(
            mm in prop::array::uniform3(1.0..5000.0_f64),
            kg in 0.01..2000.0_f64,
            slack in 0.0..0.9_f64,
        ) {
            let mut parcel = parcel();
            parcel.outside = mm.map(|side| Measured {
                value: Length::mm(side),
                plus_minus: Some(Length::mm(side * slack)),
                source: None,
            });
            parcel.gross_mass = Measured::exact(Mass::from_si(kg));
            let first = check(&parcel, &everywhere()).unwrap();
            prop_assert_eq!(first, check(&parcel, &everywhere()).unwrap());
        }

        /// A heavier parcel never gets a better word.
        #[test]
        fn heavier_is_never_better(kg in 0.5..60.0_f64, more in 0.0..40.0_f64) {
            let by_mass = ["checked-mass", "carry-on-mass", "courier-size", "one-person-lift"];
            let words = |kg: f64| {
                let mut parcel = parcel();
                parcel.gross_mass = Measured::exact(Mass::from_si(kg));
                let verdicts = check(&parcel, &everywhere()).unwrap();
                verdicts.into_iter().filter(|v| by_mass.contains(&v.rule)).map(|v| v.verdict).collect::<Vec<_>>()
            };
            for (light, heavy) in words(kg).into_iter().zip(words(kg + more)) {
                prop_assert_eq!(light.worse(heavy), heavy);
            }
        }
    }
}
