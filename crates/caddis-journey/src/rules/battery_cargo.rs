//! Batteries sent as cargo are dangerous goods.

use super::{BATTERY_CAUTION, Judged, Question, Rule};
use crate::LegKind;
use caddis_basis::{Certainty, Severity, Source, Verdict};

pub(crate) const RULE: Rule = Rule {
    name: "battery-cargo",
    sentence: "lithium batteries sent by courier or as freight are declared, packed and marked as dangerous goods",
    reason: "undeclared lithium is refused, fined, and burns aircraft; this tool does not judge the packing instructions",
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
        .map(|battery| format!("{} {}", battery.count, battery.label))
        .collect();
    vec![if labels.is_empty() {
        Judged::new(Verdict::Holds, "no battery is stated", source())
    } else {
        Judged::new(
            Verdict::NotKnown,
            format!(
                "{} may be dangerous goods on this {} leg",
                labels.join(", "),
                question.leg.kind
            ),
            source(),
        )
        .finding(
            Severity::Caution,
            format!("declare them and have the UN 38.3 test summaries at hand; {BATTERY_CAUTION}"),
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
