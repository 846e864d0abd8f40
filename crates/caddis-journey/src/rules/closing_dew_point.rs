//! Air shut in moist drops its water on the contents in the cold.

use super::{Judged, Question, Rule};
use caddis_basis::{Margin, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "closing-dew-point",
    sentence: || said!("the air that is shut in stays above its dew point on the coldest part of the leg"),
    reason: || said!("water that falls out of the air wets optics, contacts and paper inside a tight case"),
    source: |_| law(),
    applies: |_| true,
    judge,
};

/// What the moisture rules rest on.
pub(super) fn law() -> Source {
    Source::derived(said!(
        "Magnus formula with the constants of WMO / Sonntag, and the gas law at constant volume"
    ))
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(air) = question.journey.closing_air() else {
        return vec![Judged::missing(
            said!("the humidity of the air when the lid is closed"),
            law(),
        )];
    };
    let Some(lowest) = question.temperatures().0 else {
        return vec![Judged::missing(said!("the coldest of the leg"), law())];
    };
    let dew = air.dew_point_closed();
    let margin = Margin::at_least(lowest.as_celsius(), dew.as_celsius(), "degC");
    let found = said!(
        "closed at {closed:.0} degC and {humidity}, dew forms inside below {dew:.1} degC; the leg goes down to {lowest:.0} degC",
        closed = air.temperature.as_celsius(),
        humidity = air.humidity,
        dew = dew.as_celsius(),
        lowest = lowest.as_celsius()
    );
    vec![if margin.is_kept() {
        Judged::new(Verdict::Indicative, found, law()).margin(margin)
    } else {
        let water = air.condensate(question.parcel.sealed_volume, lowest);
        Judged::new(
            Verdict::Fails,
            said!(
                "{found}: up to {water:.2} g of water from {air:.1} L of free air",
                water = water.si() * 1000.0,
                air = question.parcel.sealed_volume.as_litres(),
                found
            ),
            law(),
        )
        .margin(margin)
        .finding(
            Severity::Note,
            said!("close the case in dry air, put fresh desiccant in if it stays shut, and bag what must not get wet"),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_journey, parcel};
    use super::*;
    use crate::{Humidity, Journey, Leg, LegKind};
    use caddis_basis::Temperature;

    fn journey(percent: f64, lowest: f64) -> Journey {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.lowest_temperature = Some(Temperature::celsius(lowest));
        let mut journey = Journey::new("out", vec![leg]);
        journey.closing_temperature = Some(Temperature::celsius(30.0));
        journey.closing_humidity = Some(Humidity::percent(percent));
        journey
    }

    #[test]
    fn failing_case() {
        let judged = ask_journey(&RULE, &parcel(), &journey(70.0, 5.0)).swap_remove(0);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Note))
        );
        // (21.18 - 6.79) g/m3 of 30 L
        for said in ["below 23.6 degC", "0.43 g"] {
            assert!(judged.sentence.contains(said), "{said}: {}", judged.sentence);
        }
        let mut silent = journey(70.0, 5.0);
        silent.closing_humidity = None;
        assert!(ask_journey(&RULE, &parcel(), &silent)[0].missing.is_some());
    }

    #[test]
    fn passing_case() {
        let judged = ask_journey(&RULE, &parcel(), &journey(10.0, 5.0)).swap_remove(0);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
