//! Carrying is not lifting.

use super::{Band, Judged, Question, Rule, Standing, passing};
use crate::LegKind;
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "carry-limit",
    sentence: || said!("a case carried by hand weighs no more than one person carries over 10 m, or rolls"),
    reason: || said!("the lifting equation does not count carrying, and the hand tires before the back"),
    source: |limits| limits.lift.dated_source(),
    applies: |question| question.leg.kind == LegKind::HandCarry,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.lift;
    let gross = &question.parcel.gross_mass;
    let band = Band {
        nominal: gross.value.si(),
        most: gross.most().si(),
    };
    let (limit, source) = (row.value.carry.si(), row.dated_source());
    let found = said!(
        "{gross:.1} kg against {limit:.1} kg for one person carrying up to 10 m",
        gross = band.most,
        limit
    );
    let standing = band.against(limit);
    let judged = match standing {
        Standing::Kept => Judged::new(passing(&source), found, source),
        _ => Judged::new(
            if standing == Standing::Passed {
                Verdict::Fails
            } else {
                Verdict::Indicative
            },
            found,
            source,
        )
        .finding(
            Severity::Caution,
            if question.parcel.wheels {
                said!(
                    "roll it where the ground allows, carry with two persons where not, and set it down often"
                )
            } else {
                said!("carry with two persons or on a cart, and set it down often")
            },
        ),
    };
    vec![judged.margin(band.margin(limit, "kg"))]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        let heavy = ask(&RULE, &weighing(22.0), LegKind::HandCarry);
        assert_eq!(
            (heavy.verdict, heavy.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
    }

    #[test]
    fn passing_case() {
        let light = ask(&RULE, &weighing(18.0), LegKind::HandCarry);
        assert_eq!((light.verdict, light.severity), (Verdict::Indicative, None));
    }
}
