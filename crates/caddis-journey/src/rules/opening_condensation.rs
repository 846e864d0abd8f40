//! A cold case opened in warm moist air gets wet.

use super::closing_dew_point::law;
use super::{Judged, Question, Rule};
use caddis_basis::{Margin, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "opening-condensation",
    sentence: || said!("a case is opened when it is warmer than the dew point of the air around it"),
    reason: || said!("dew forms on cold instruments the moment the lid lifts"),
    source: |_| law(),
    applies: |question| question.leg.opening_air.is_some() || question.temperatures().0.is_some(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(air) = question.leg.opening_air else {
        return vec![Judged::missing(
            said!("the air where the case is opened (opening_air)"),
            law(),
        )];
    };
    let Some(lowest) = question.temperatures().0 else {
        return vec![Judged::missing(said!("the coldest of the leg"), law())];
    };
    let dew = air.dew_point();
    let margin = Margin::at_least(lowest.as_celsius(), dew.as_celsius(), "degC");
    let found = said!(
        "opened in air of {air:.0} degC and {humidity}, dew forms on what is colder than {dew:.1} degC; the contents may be at {lowest:.0} degC",
        air = air.temperature.as_celsius(),
        humidity = air.humidity,
        dew = dew.as_celsius(),
        lowest = lowest.as_celsius()
    );
    vec![if margin.is_kept() {
        Judged::new(Verdict::Indicative, found, law()).margin(margin)
    } else {
        Judged::new(Verdict::Fails, found, law()).margin(margin).finding(
            Severity::Note,
            said!("leave the case shut until its contents are as warm as the room (foam insulates: hours, not minutes)"),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_leg, parcel};
    use super::*;
    use crate::{Humidity, Leg, LegKind, MoistAir};
    use caddis_basis::Temperature;

    fn leg(lowest: f64) -> Leg {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.lowest_temperature = Some(Temperature::celsius(lowest));
        leg.opening_air = Some(MoistAir {
            temperature: Temperature::celsius(20.0),
            humidity: Humidity::percent(50.0),
        });
        leg
    }

    #[test]
    fn failing_case() {
        let judged = ask_leg(&RULE, &parcel(), &leg(-10.0)).swap_remove(0);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Note))
        );
        assert!(judged.sentence.contains("9.3 degC"), "{}", judged.sentence);
    }

    #[test]
    fn passing_case() {
        let judged = ask_leg(&RULE, &parcel(), &leg(15.0)).swap_remove(0);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
