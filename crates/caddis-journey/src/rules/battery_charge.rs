//! Loose lithium ion batteries fly as cargo nearly empty.

use super::{Judged, Question, Rule, battery_caution};
use crate::{BatteryContent, LegKind};
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-charge",
    sentence: || {
        said!("lithium ion batteries sent by air without their equipment are charged to a fraction only")
    },
    reason: || said!("an empty battery burns less"),
    source: |limits| limits.battery_charge.dated_source(),
    applies: |question| question.leg.kind == LegKind::CourierAir,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.battery_charge;
    let source = row.dated_source();
    let loose: Vec<Said> = question
        .parcel
        .batteries
        .iter()
        .filter(|battery| !battery.installed && battery.count > 0)
        .filter(|battery| {
            matches!(
                battery.content,
                BatteryContent::LithiumIon { .. } | BatteryContent::NotKnown
            )
        })
        .map(|battery| Said::name(&battery.label))
        .collect();
    vec![if loose.is_empty() {
        Judged::new(
            Verdict::Holds,
            said!("no loose lithium ion battery is stated"),
            source,
        )
    } else {
        Judged::new(
            Verdict::NotKnown,
            said!(
                "{batteries}: at most {charge:.0} % of charge when sent without equipment",
                batteries = Said::row(loose, ", "),
                charge = row.value * 100.0
            ),
            source,
        )
        .finding(
            Severity::Caution,
            said!(
                "discharge and record the charge; {caution}",
                caution = battery_caution()
            ),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, WattHours};

    #[test]
    fn failing_and_passing_case() {
        let mut packed = parcel();
        assert_eq!(ask(&RULE, &packed, LegKind::CourierAir).verdict, Verdict::Holds);
        packed.batteries = vec![Battery {
            label: "radio battery".to_owned(),
            content: BatteryContent::LithiumIon {
                energy: WattHours::new(20.0),
            },
            installed: false,
            count: 1,
        }];
        let loose = ask(&RULE, &packed, LegKind::CourierAir);
        assert!(loose.sentence.contains("30 %"), "{}", loose.sentence);
    }
}
