//! Spare lithium batteries travel in the cabin.

use super::{Judged, Question, Rule, battery_caution};
use crate::{BatteryClass, LegKind, battery_class};
use caddis_basis::{Margin, Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-spares",
    sentence: || {
        said!(
            "spare lithium batteries and power banks travel in the cabin only, each protected against short circuit, the larger ones two a person"
        )
    },
    reason: || said!("in the hold nobody sees or reaches a burning spare"),
    source: |limits| limits.battery_free.dated_source(),
    applies: |question| question.leg.kind.is_baggage(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let in_hold = question.leg.kind == LegKind::AirHold;
    let judged: Vec<_> = question
        .parcel
        .batteries
        .iter()
        .filter(|battery| !battery.installed && battery.count > 0)
        .map(|battery| {
            let (class, row) = battery_class(&battery.content, question.limits);
            let source = row.dated_source();
            let found = said!("{count} spare {battery}", count = battery.count, battery = battery.label);
            let most = row.value.spares.filter(|_| class != BatteryClass::NotKnown);
            let judged = if in_hold && battery.may_be_lithium() {
                Judged::new(Verdict::Fails, said!(
                    "{found} in the hold",
                    found
                ), question.limits.battery_free.dated_source())
                    .finding(
                        Severity::Failing,
                        said!(
                            "take spares into the cabin, terminals covered; {caution}",
                            caution = battery_caution()
                        ),
                    )
            } else if let Some(most) = most.filter(|&most| battery.count > most) {
                Judged::new(Verdict::Fails, said!(
                    "{found}, where a person may take {most}",
                    found,
                    most
                ), source)
                    .margin(Margin::at_most(f64::from(battery.count), f64::from(most), ""))
                    .finding(
                        Severity::Failing,
                        said!(
                            "share them among travellers or leave some; {caution}",
                            caution = battery_caution()
                        ),
                    )
            } else {
                Judged::new(Verdict::Indicative, said!(
                    "{found} may travel protected against short circuit",
                    found
                ), source)
                    .finding(
                        Severity::Note,
                        said!(
                            "cover terminals or pack each singly; out of the case if it is checked at the gate; {caution}",
                            caution = battery_caution()
                        ),
                    )
            };
            judged.part(Said::name(&battery.label))
        })
        .collect();
    if judged.is_empty() {
        let source = question.limits.battery_free.dated_source();
        return vec![Judged::new(
            Verdict::Holds,
            said!("no spare battery is stated"),
            source,
        )];
    }
    judged
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, BatteryContent, Parcel, WattHours};

    fn spares(watt_hours: f64, count: u32) -> Parcel {
        let mut packed = parcel();
        packed.batteries = vec![Battery {
            label: "radio battery".to_owned(),
            content: BatteryContent::LithiumIon {
                energy: WattHours::new(watt_hours),
            },
            installed: false,
            count,
        }];
        packed
    }

    #[test]
    fn failing_case() {
        let hold = ask(&RULE, &spares(20.0, 1), LegKind::AirHold);
        assert_eq!(
            (hold.verdict, hold.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        let three = ask(&RULE, &spares(142.56, 3), LegKind::AirCabin);
        assert_eq!(
            (three.verdict, three.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
    }

    #[test]
    fn passing_case() {
        let two = ask(&RULE, &spares(142.56, 2), LegKind::AirCabin);
        assert_eq!(
            (two.verdict, two.severity),
            (Verdict::Indicative, Some(Severity::Note))
        );
        let none = ask(&RULE, &spares(20.0, 0), LegKind::AirHold);
        assert_eq!((none.verdict, none.severity), (Verdict::Holds, None));
    }

    #[test]
    fn lead_spares_may_lie_in_the_hold() {
        let mut packed = spares(20.0, 2);
        packed.batteries[0].content = BatteryContent::NonSpillableLead {
            volts: 12.0,
            energy: WattHours::new(86.4),
        };
        assert_ne!(ask(&RULE, &packed, LegKind::AirHold).verdict, Verdict::Fails);
        packed.batteries[0].count = 3;
        assert_eq!(ask(&RULE, &packed, LegKind::AirHold).verdict, Verdict::Fails);
    }
}
