//! Closed at sea level and carried up, the case holds pressure.

use super::{Judged, Question, Rule};
use crate::Valve;
use caddis_basis::{STANDARD_GRAVITY, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "trapped-pressure",
    sentence: || {
        said!("a tight case closed at sea level lets its air out on the way up, by a valve that works")
    },
    reason: || {
        said!(
            "with the valve shut the lid is loaded with tonnes per square metre, and latches let go suddenly"
        )
    },
    source: |_| law(),
    applies: |question| question.on_lid.is_some(),
    judge,
};

/// The law the pressure rules rest on.
pub(super) fn law() -> Source {
    Source::derived(said!(
        "standard atmosphere (ISO 2533, US Standard Atmosphere 1976) and the ideal gas law at constant volume"
    ))
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(on_lid) = &question.on_lid else {
        return Vec::new(); // the rule does not concern such a leg
    };
    if question.parcel.valve == Valve::NotTight {
        return vec![Judged::new(
            Verdict::Holds,
            said!("the case is not tight: no pressure builds up"),
            law(),
        )];
    }
    let pushed = said!(
        "with the valve shut, closed at sea level, {gauge:.2} kPa push the lid open at {altitude:.0} m with {force:.0} N, the weight of {mass:.0} kg",
        gauge = on_lid.gauge.as_kpa(),
        altitude = on_lid.altitude.length().si(),
        force = on_lid.force.si(),
        mass = on_lid.force.si() / STANDARD_GRAVITY
    );
    let pushed = match &on_lid.altitude_source {
        Some(source) => said!(
            "{found} (altitude assumed: {source})",
            found = pushed,
            source = source.said()
        ),
        None => pushed,
    };
    let found = said!(
        "{found}; {air:.1} L of air at the pressure inside must leave",
        found = pushed,
        air = on_lid.surplus.as_litres()
    );
    let (verdict, sentence) = match question.parcel.valve {
        Valve::Working => (
            Verdict::Indicative,
            said!("{found}; the valve levels it while it works", found),
        ),
        Valve::Manual => (
            Verdict::NotKnown,
            said!(
                "{found}; whether the shell bears it until the valve is opened is not known",
                found
            ),
        ),
        _ => (
            Verdict::NotKnown,
            said!(
                "{found}; no working valve is stated, and whether the shell bears it is not known",
                found
            ),
        ),
    };
    vec![Judged::new(verdict, sentence, law()).finding(
        Severity::Caution,
        said!("vent before unlatching and stand clear of the lid; fit and test a pressure valve; ask the shell's maker what the shell bears; the 75 and 95 kPa of 49 CFR 173.27 are for packagings of dangerous liquids, not for the case"),
    )]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let mut shut = parcel();
        shut.valve = Valve::None;
        let judged = ask(&RULE, &shut, LegKind::AirHold);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        for said in ["26.06 kPa", "2438 m", "5213 N", "532 kg", "from memory"] {
            assert!(judged.sentence.contains(said), "{said}: {}", judged.sentence);
        }
        assert!(judged.remedy.is_some_and(|remedy| remedy.contains("stand clear")));
    }

    #[test]
    fn passing_case() {
        let mut loose = parcel();
        loose.valve = Valve::NotTight;
        let judged = ask(&RULE, &loose, LegKind::AirHold);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
        // A working valve still keeps the caution: it may be shut or clogged.
        let valve = ask(&RULE, &parcel(), LegKind::AirHold);
        assert_eq!(
            (valve.verdict, valve.severity),
            (Verdict::Indicative, Some(Severity::Caution))
        );
    }
}
