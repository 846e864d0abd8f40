//! What power banks meet beyond the rule of spares.

use super::{Judged, Question, Rule, battery_caution};
use crate::BatteryContent;
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "power-banks",
    sentence: || {
        said!(
            "a spare lithium ion battery that is a power bank also keeps what state and operator ask of power banks"
        )
    },
    reason: || {
        said!("rules for power banks tightened state by state in 2025 and 2026; no one row holds them")
    },
    source: |limits| limits.power_banks.dated_source(),
    applies: |question| question.leg.kind.is_baggage() && spares(question).next().is_some(),
    judge,
};

/// Spares that may be power banks: nothing states which of them are.
fn spares<'a>(question: &'a Question<'_>) -> impl Iterator<Item = &'a crate::Battery> {
    question.parcel.batteries.iter().filter(|battery| {
        !battery.installed
            && battery.count > 0
            && matches!(
                battery.content,
                BatteryContent::LithiumIon { .. } | BatteryContent::NotKnown
            )
    })
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.power_banks;
    let labels: Vec<Said> = spares(question)
        .map(|battery| {
            said!(
                "{count} spare {battery}",
                count = battery.count,
                battery = battery.label
            )
        })
        .collect();
    vec![
        Judged::new(
            Verdict::NotKnown,
            said!(
                "{batteries}: if a power bank, the flight's own rules decide",
                batteries = Said::row(labels, ", ")
            ),
            row.dated_source(),
        )
        .finding(
            Severity::Note,
            said!(
                "{advice}; {caution}",
                advice = row.value.advice,
                caution = battery_caution()
            ),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, Journey, Leg, LegKind, WattHours};

    #[test]
    fn failing_case() {
        let mut packed = parcel();
        packed.batteries = vec![Battery {
            label: "power bank".to_owned(),
            content: BatteryContent::LithiumIon {
                energy: WattHours::new(74.0),
            },
            installed: false,
            count: 2,
        }];
        let judged = ask(&RULE, &packed, LegKind::AirCabin);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Note))
        );
        assert!(
            judged.sentence.starts_with("2 spare power bank"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn passing_case() {
        let (packed, journey) = (
            parcel(),
            Journey::new("test", vec![Leg::new(LegKind::AirCabin, "test")]),
        );
        let question = Question {
            parcel: &packed,
            leg: &journey.legs[0],
            journey: &journey,
            on_lid: None,
            limits: &journey.limits,
        };
        assert!(!(RULE.applies)(&question));
    }
}
