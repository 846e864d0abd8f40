//! A person takes a limited number of spare batteries.

use super::{Judged, Question, Rule, battery_caution};
use caddis_basis::{Margin, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-spare-count",
    sentence: || said!("all spare batteries of a person together keep to the operator's number"),
    reason: || said!("many small spares are as much fuel as a few large ones"),
    source: |limits| limits.battery_spares.dated_source(),
    applies: |question| question.leg.kind.is_baggage(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.battery_spares;
    let count: u32 = question
        .parcel
        .batteries
        .iter()
        .filter(|battery| !battery.installed)
        .map(|battery| battery.count)
        .fold(0, u32::saturating_add);
    let source = row.dated_source();
    if count == 0 {
        return vec![Judged::new(
            Verdict::Holds,
            said!("no spare battery is stated"),
            source,
        )];
    }
    let margin = Margin::at_most(f64::from(count), f64::from(row.value), "");
    let found = said!(
        "{count} spare batteries, where a person may take {most}",
        most = row.value,
        count
    );
    vec![if count > row.value {
        Judged::new(Verdict::Fails, found, source).margin(margin).finding(
            Severity::Caution,
            said!(
                "share them among travellers or ask the operator; {caution}",
                caution = battery_caution()
            ),
        )
    } else {
        Judged::new(super::passing(&source), found, source).margin(margin)
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, BatteryContent, LegKind};

    #[test]
    fn failing_and_passing_case() {
        let mut packed = parcel();
        assert_eq!(ask(&RULE, &packed, LegKind::AirCabin).verdict, Verdict::Holds);
        packed.batteries = vec![Battery {
            label: "AA cells".to_owned(),
            content: BatteryContent::NotKnown,
            installed: false,
            count: 21,
        }];
        assert_eq!(ask(&RULE, &packed, LegKind::AirCabin).verdict, Verdict::Fails);
        packed.batteries[0].count = 20;
        assert_eq!(
            ask(&RULE, &packed, LegKind::AirCabin).verdict,
            Verdict::Indicative
        );
    }
}
