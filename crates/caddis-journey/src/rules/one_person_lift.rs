//! One person lifts the case, or as many as it takes.

use super::{Band, Judged, Question, Rule, Standing, passing};
use crate::{LegKind, LiftLimits};
use caddis_basis::{Severity, Verdict, said};

/// Hands round a case get in each other's way beyond this many persons.
const LARGEST_TEAM: u32 = 4;

pub(crate) const RULE: Rule = Rule {
    name: "one-person-lift",
    sentence: || said!("the packed case weighs no more than one person lifts from the floor to waist height"),
    reason: || said!("backs are hurt by single lifts; every leg but pallet freight lifts the case by hand"),
    source: |limits| limits.lift.dated_source(),
    applies: |question| question.leg.kind != LegKind::PalletFreight,
    judge,
};

/// What a team lifts: twice the one-person value, and three quarters of it for each person beyond two.
///
/// # Source
/// MIL-STD-1472G 5.8.6.3, from memory.
fn team(limits: &LiftLimits, persons: u32) -> f64 {
    let one = limits.floor_to_waist.si();
    match persons {
        0 | 1 => one * f64::from(persons),
        _ => one * (2.0 + limits.share_beyond_two * f64::from(persons - 2)),
    }
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.lift;
    let constant = &question.limits.load_constant;
    let gross = &question.parcel.gross_mass;
    let band = Band {
        nominal: gross.value.si(),
        most: gross.most().si(),
    };
    let limit = row.value.floor_to_waist.si();
    let source = row.dated_source();
    let found = said!(
        "gross mass {gross:.1} kg against {limit:.1} kg for one person lifting from the floor to 0.91 m",
        gross = band.most,
        limit
    );
    let standing = band.against(limit);
    if standing == Standing::Kept {
        return vec![Judged::new(passing(&source), found, source).margin(band.margin(limit, "kg"))];
    }
    let verdict = if standing == Standing::Passed {
        Verdict::Fails
    } else {
        Verdict::Indicative
    };
    let ideal = constant.value.si();
    let found = super::doubt(standing, found);
    let sentence = if band.against(ideal) == Standing::Kept {
        found
    } else {
        said!(
            "{found}, and above the {ideal:.0} kg that the NIOSH lifting equation allows under ideal conditions",
            found,
            ideal
        )
    };
    let persons =
        (2..=LARGEST_TEAM).find(|&persons| band.against(team(&row.value, persons)) == Standing::Kept);
    let remedy = match persons {
        Some(persons) if question.parcel.grips() >= persons as usize => {
            said!("lift with {persons} persons and mark the case so", persons)
        }
        Some(persons) => said!(
            "lift with {persons} persons and mark the case so; it has grips for {grips} only",
            grips = question.parcel.grips(),
            persons
        ),
        None => said!("move it by machine, or split the kit over several cases"),
    };
    let remedy = said!("{remedy}; local codes on manual handling decide", remedy);
    vec![
        Judged::new(verdict, sentence, source)
            .margin(band.margin(limit, "kg"))
            .finding(Severity::Caution, remedy),
    ]
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        let two = ask(&RULE, &weighing(24.0), LegKind::HandCarry);
        assert_eq!(
            (two.verdict, two.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert!(two.sentence.contains("NIOSH"), "{}", two.sentence);
        assert!(two.remedy.unwrap().starts_with("lift with 2 persons and mark"));
        let three = ask(&RULE, &weighing(55.0), LegKind::Store).remedy.unwrap();
        assert!(three.starts_with("lift with 3 persons"), "{three}");
        let four = ask(&RULE, &weighing(60.0), LegKind::Store).remedy.unwrap();
        assert!(four.contains("grips for 3 only"), "{four}");
        assert!(
            ask(&RULE, &weighing(71.0), LegKind::Store)
                .remedy
                .unwrap()
                .starts_with("move it by machine")
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &weighing(20.0), LegKind::HandCarry);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
