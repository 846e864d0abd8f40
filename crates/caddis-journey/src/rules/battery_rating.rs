//! A battery in baggage is small enough to fly.

use super::{BATTERY_CAUTION, Judged, Question, Rule, passing};
use crate::{BatteryClass, BatteryContent, battery_class};
use caddis_basis::{Severity, Verdict};

pub(crate) const RULE: Rule = Rule {
    name: "battery-rating",
    sentence: "a lithium battery in passenger baggage is of 100 Wh (2 g of lithium) at most, of 160 Wh (8 g) with approval of the operator, and never larger",
    reason: "a burning battery must stay one the crew can fight",
    source: |limits| limits.battery_free.dated_source(),
    applies: |question| question.leg.kind.is_baggage(),
    judge,
};

/// The rating as the finding prints it.
fn rating(content: &BatteryContent) -> String {
    match *content {
        BatteryContent::LithiumIon { energy } => format!("lithium ion, {energy}"),
        BatteryContent::LithiumMetal { lithium } => format!("lithium metal, {:.1} g", lithium.si() * 1000.0),
        BatteryContent::NonSpillableLead { volts, energy } => {
            format!("non-spillable lead, {volts:.1} V, {energy}")
        }
        BatteryContent::NotKnown => "kind not known".to_owned(),
    }
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    if question.parcel.batteries.is_empty() {
        let source = question.limits.battery_free.dated_source();
        return vec![Judged::new(Verdict::Holds, "no battery is stated", source)];
    }
    let judged = question.parcel.batteries.iter().map(|battery| {
        let (class, row) = battery_class(&battery.content, question.limits);
        let source = row.dated_source();
        let found = format!("{} ({})", battery.label, rating(&battery.content));
        let judged = match class {
            BatteryClass::Free => Judged::new(
                passing(&source),
                format!("{found} flies without approval"),
                source,
            ),
            BatteryClass::OperatorApproval => Judged::new(
                Verdict::Indicative,
                format!("{found} flies with approval of the operator only"),
                source,
            )
            .finding(
                Severity::Caution,
                format!("ask the operator before booking; {BATTERY_CAUTION}"),
            ),
            BatteryClass::Forbidden => Judged::new(
                Verdict::Fails,
                format!("{found} is too large for passenger baggage"),
                source,
            )
            .finding(
                Severity::Failing,
                format!(
                    "leave it behind or send it as dangerous goods (only a mobility aid's own may be larger, up to {:.0}); {BATTERY_CAUTION}",
                    question.limits.battery_mobility.value.energy
                ),
            ),
            BatteryClass::NotKnown => Judged::new(
                Verdict::NotKnown,
                format!("{found} cannot be judged for passenger baggage"),
                source,
            )
            .finding(
                Severity::Caution,
                format!("read its watt-hours off the label; {BATTERY_CAUTION}"),
            ),
        };
        judged.part(&battery.label)
    });
    judged.collect()
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_leg, parcel};
    use super::*;
    use crate::{Battery, BatteryRating, Leg, LegKind, WattHours};

    fn ion(volts: f64, ampere_hours: f64) -> Battery {
        Battery {
            label: "logger battery".to_owned(),
            content: BatteryContent::LithiumIon {
                energy: WattHours::from_rating(BatteryRating { volts, ampere_hours }),
            },
            installed: true,
            count: 1,
        }
    }

    #[test]
    fn failing_case() {
        let mut packed = parcel();
        packed.batteries = vec![ion(14.4, 9.9), ion(14.4, 14.0)];
        let judged = ask_leg(&RULE, &packed, &Leg::new(LegKind::AirHold, "flight"));
        let said: Vec<_> = judged.iter().map(|j| (j.verdict, j.severity)).collect();
        assert_eq!(
            said,
            [
                (Verdict::Indicative, Some(Severity::Caution)),
                (Verdict::Fails, Some(Severity::Failing))
            ]
        );
    }

    #[test]
    fn passing_case() {
        let mut packed = parcel();
        packed.batteries = vec![ion(14.8, 6.6)];
        let judged = ask_leg(&RULE, &packed, &Leg::new(LegKind::AirCabin, "flight"));
        assert_eq!((judged[0].verdict, judged[0].severity), (Verdict::Holds, None));
    }
}
