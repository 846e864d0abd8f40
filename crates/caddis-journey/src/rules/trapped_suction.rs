//! Closed up high and opened at sea level, the lid is held by suction.

use super::trapped_pressure::law;
use super::{Judged, Question, Rule};
use crate::Valve;
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "trapped-suction",
    sentence: || said!("a tight case closed up high lets air in on the way down, by a valve that works"),
    reason: || said!("suction holds the lid shut, and whoever forces it breaks latches, seal or fingers"),
    source: |_| law(),
    applies: |question| question.on_lid.is_some(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(on_lid) = &question.on_lid else {
        return Vec::new(); // the rule does not concern such a leg
    };
    if question.parcel.valve == Valve::NotTight {
        return vec![Judged::new(
            Verdict::Holds,
            said!("the case is not tight: no suction builds up"),
            law(),
        )];
    }
    let sentence = said!(
        "closed at {altitude:.0} m and opened at sea level with the valve shut, {suction:.2} kPa of suction hold the lid with {force:.0} N",
        altitude = on_lid.altitude.length().si(),
        suction = on_lid.gauge.as_kpa(),
        force = on_lid.force.si()
    );
    let remedy = said!("open the purge valve and wait before unlatching; never pry the lid");
    vec![if question.parcel.valve == Valve::Working {
        Judged::new(Verdict::Indicative, sentence, law()).finding(Severity::Note, remedy)
    } else {
        Judged::new(Verdict::NotKnown, sentence, law()).finding(Severity::Caution, remedy)
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_leg, parcel};
    use super::*;
    use crate::{Leg, LegKind};
    use caddis_basis::Length;

    #[test]
    fn failing_case() {
        let mut shut = parcel();
        shut.valve = Valve::Unknown;
        let mut leg = Leg::new(LegKind::OffRoad, "down from the rim");
        leg.cabin_altitude = Some(Length::from_si(3500.0));
        let judged = ask_leg(&RULE, &shut, &leg).swap_remove(0);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        assert!(judged.sentence.contains("35.56 kPa"), "{}", judged.sentence);
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::AirHold);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Indicative, Some(Severity::Note))
        );
        let mut loose = parcel();
        loose.valve = Valve::NotTight;
        assert_eq!(ask(&RULE, &loose, LegKind::AirHold).verdict, Verdict::Holds);
    }
}
