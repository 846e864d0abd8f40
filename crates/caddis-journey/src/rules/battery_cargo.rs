//! Batteries sent as cargo are dangerous goods.

use super::{Judged, Question, Rule, battery_caution};
use crate::LegKind;
use caddis_basis::{Certainty, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-cargo",
    sentence: || {
        said!(
            "lithium batteries sent by courier or as freight are declared, packed and marked as dangerous goods"
        )
    },
    reason: || {
        said!(
            "undeclared lithium is refused, fined, and burns aircraft; this tool does not judge the packing instructions"
        )
    },
    source: |_| source(),
    applies: |question| question.leg.kind.is_courier() || question.leg.kind == LegKind::PalletFreight,
    judge,
};

fn source() -> Source {
    Source::new(
        "ICAO Technical Instructions and IATA packing instructions 965 to 970, UN 38.3 test summary; row of 2026-11-25",
        Certainty::Memory,
    )
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let labels: Vec<_> = question
        .parcel
        .batteries
        .iter()
        .filter(|battery| battery.count > 0)
        .map(|battery| {
            said!(
                "{count} {battery}",
                count = battery.count,
                battery = battery.label
            )
        })
        .collect();
    vec![if labels.is_empty() {
        Judged::new(Verdict::Holds, said!("no battery is stated"), source())
    } else {
        Judged::new(
            Verdict::NotKnown,
            said!(
                "{batteries} may be dangerous goods on this {kind} leg",
                batteries = Said::row(labels, ", "),
                kind = question.leg.kind.said()
            ),
            source(),
        )
        .finding(
            Severity::Caution,
            said!(
                "declare them and have the UN 38.3 test summaries at hand; {caution}",
                caution = battery_caution()
            ),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, BatteryContent};

    #[test]
    fn failing_case() {
        let mut packed = parcel();
        packed.batteries = vec![Battery {
            label: "logger battery".to_owned(),
            content: BatteryContent::NotKnown,
            installed: true,
            count: 2,
        }];
        let judged = ask(&RULE, &packed, LegKind::CourierAir);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        assert!(
            judged.sentence.starts_with("2 logger battery"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::CourierAir);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
}
