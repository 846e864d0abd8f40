//! A battery in baggage is small enough to fly.

use super::{Judged, Question, Rule, battery_caution, passing};
use crate::{BatteryClass, BatteryContent, battery_class};
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-rating",
    sentence: || {
        said!(
            "a lithium battery in passenger baggage is of 100 Wh (2 g of lithium) at most, of 160 Wh (8 g) with approval of the operator, and never larger"
        )
    },
    reason: || said!("a burning battery must stay one the crew can fight"),
    source: |limits| limits.battery_free.dated_source(),
    applies: |question| question.leg.kind.is_baggage(),
    judge,
};

/// The rating as the finding prints it.
fn rating(content: &BatteryContent) -> Said {
    match *content {
        BatteryContent::LithiumIon { energy } => said!("lithium ion, {energy}", energy),
        BatteryContent::LithiumMetal { lithium } => {
            said!("lithium metal, {lithium:.1} g", lithium = lithium.si() * 1000.0)
        }
        BatteryContent::NonSpillableLead { volts, energy } => {
            said!("non-spillable lead, {volts:.1} V, {energy}", volts, energy)
        }
        BatteryContent::NotKnown => said!("kind not known"),
    }
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    if question.parcel.batteries.is_empty() {
        let source = question.limits.battery_free.dated_source();
        return vec![Judged::new(Verdict::Holds, said!("no battery is stated"), source)];
    }
    let judged = question.parcel.batteries.iter().map(|battery| {
        let (class, row) = battery_class(&battery.content, question.limits);
        let source = row.dated_source();
        let found = said!(
            "{battery} ({rating})",
            battery = battery.label,
            rating = rating(&battery.content)
        );
        let judged = match class {
            BatteryClass::Free => Judged::new(
                passing(&source),
                said!("{found} flies without approval", found),
                source,
            ),
            BatteryClass::OperatorApproval => Judged::new(
                Verdict::Indicative,
                said!("{found} flies with approval of the operator only", found),
                source,
            )
            .finding(
                Severity::Caution,
                said!("ask the operator before booking; {caution}", caution = battery_caution()),
            ),
            BatteryClass::Forbidden => Judged::new(
                Verdict::Fails,
                said!("{found} is too large for passenger baggage", found),
                source,
            )
            .finding(
                Severity::Failing,
                said!(
                    "leave it behind or send it as dangerous goods (only a mobility aid's own may be larger, up to {energy:.0}); {caution}",
                    energy = question.limits.battery_mobility.value.energy,
                    caution = battery_caution()
                ),
            ),
            BatteryClass::NotKnown => Judged::new(
                Verdict::NotKnown,
                said!("{found} cannot be judged for passenger baggage", found),
                source,
            )
            .finding(
                Severity::Caution,
                said!("read its watt-hours off the label; {caution}", caution = battery_caution()),
            ),
        };
        judged.part(Said::name(&battery.label))
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
