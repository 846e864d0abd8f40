//! Devices with batteries in checked baggage are off, and few.

use super::{Judged, Question, Rule, battery_caution};
use crate::LegKind;
use caddis_basis::{Margin, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "battery-devices",
    sentence: || {
        said!(
            "a person takes a limited number of devices with batteries, and those in the hold are switched off and cannot be switched on by a knock"
        )
    },
    reason: || said!("a device that runs in closed foam heats up where nobody sees it"),
    source: |limits| limits.battery_devices.dated_source(),
    applies: |question| question.leg.kind.is_baggage(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let limits = question.limits;
    let (row, source) = (&limits.battery_devices, limits.battery_devices.dated_source());
    let count: u32 = question
        .parcel
        .batteries
        .iter()
        .filter(|battery| battery.installed)
        .map(|battery| battery.count)
        .fold(0, u32::saturating_add);
    if count == 0 {
        return vec![Judged::new(
            Verdict::Holds,
            said!("no fitted battery is stated"),
            source,
        )];
    }
    let margin = Margin::at_most(f64::from(count), f64::from(row.value), "");
    if count > row.value {
        let sentence = said!(
            "{count} fitted batteries, where a person may take {most} devices",
            most = row.value,
            count
        );
        return vec![
            Judged::new(Verdict::Fails, sentence, source)
                .margin(margin)
                .finding(
                    Severity::Caution,
                    said!(
                        "share the devices among travellers or ask the operator; {caution}",
                        caution = battery_caution()
                    ),
                ),
        ];
    }
    let sentence = said!(
        "{count} fitted batteries of {most} devices that a person may take",
        most = row.value,
        count
    );
    let judged = Judged::new(Verdict::Indicative, sentence, source).margin(margin);
    vec![if question.leg.kind == LegKind::AirHold {
        let bag = limits.battery_of_bag.value;
        judged.finding(
            Severity::Note,
            said!(
                "switch devices off and guard their switches; a battery built into the case itself of more than {energy} or {lithium:.1} g of lithium comes out; {caution}",
                energy = bag.energy,
                lithium = bag.lithium.si() * 1e3,
                caution = battery_caution()
            ),
        )
    } else {
        judged
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::{Battery, BatteryContent, Parcel, WattHours};

    fn fitted(count: u32) -> Parcel {
        let mut packed = parcel();
        packed.batteries = vec![Battery {
            label: "logger battery".to_owned(),
            content: BatteryContent::LithiumIon {
                energy: WattHours::new(20.0),
            },
            installed: true,
            count,
        }];
        packed
    }

    #[test]
    fn failing_case() {
        let many = ask(&RULE, &fitted(16), LegKind::AirCabin);
        assert_eq!(
            (many.verdict, many.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let hold = ask(&RULE, &fitted(1), LegKind::AirHold);
        assert_eq!(hold.severity, Some(Severity::Note));
    }

    #[test]
    fn passing_case() {
        assert_eq!(ask(&RULE, &parcel(), LegKind::AirHold).verdict, Verdict::Holds);
        assert_eq!(ask(&RULE, &fitted(15), LegKind::AirCabin).severity, None);
    }
}
