//! The guideline filter: below it nobody asks for more.

use super::{Judged, Question, Rule};
use crate::{LegKind, LiftZone};
use caddis_basis::{Margin, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "lift-guideline",
    sentence: || {
        said!(
            "the packed case passes the guideline filter of the handling authority for lifting, else the lift is assessed"
        )
    },
    reason: || {
        said!(
            "a simple filter by height that sites use; it is no safe limit and assumes a firm grip, an upright trunk and up to 30 lifts an hour"
        )
    },
    source: |limits| limits.lift_filter.dated_source(),
    applies: |question| question.leg.kind != LegKind::PalletFreight,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.lift_filter;
    let source = row.dated_source();
    let zone = |zone| row.value.iter().find(|filter| filter.zone == zone);
    let (Some(floor), Some(waist)) = (zone(LiftZone::FloorToLowerLeg), zone(LiftZone::KnuckleToElbow)) else {
        return vec![Judged::missing(
            said!("the filter's boxes for floor and waist"),
            source,
        )];
    };
    let gross = question.parcel.gross_mass.most().si();
    let (from_floor, at_waist) = (
        floor.men_close.min(floor.women_close).si(),
        waist.men_close.min(waist.women_close).si(),
    );
    let (far_floor, far_waist) = (
        floor.men_far.min(floor.women_far).si(),
        waist.men_far.min(waist.women_far).si(),
    );
    let shares = question.limits.team_shares.value;
    let found = said!(
        "{gross:.1} kg against {from_floor:.0} kg from the floor and {at_waist:.0} kg at the waist for one of either sex who holds it close, {far_floor:.0} and {far_waist:.0} kg at arm's length; two persons {two_persons:.0} kg and three {three_persons:.0} kg at the waist",
        two_persons = at_waist * 2.0 * shares[0],
        three_persons = at_waist * 3.0 * shares[1],
        gross,
        from_floor,
        at_waist,
        far_floor,
        far_waist
    );
    let margin = Margin::at_most(gross, at_waist, "kg");
    vec![if gross <= from_floor {
        Judged::new(Verdict::Indicative, found, source).margin(margin)
    } else {
        // A filter says nothing of what it does not let through.
        Judged::new(Verdict::NotKnown, found, source)
            .margin(margin)
            .finding(
                Severity::Note,
                said!("have the lift assessed where it is done; by the same guide twisting takes 10 % (45 degrees) to 20 % (90 degrees) off, one to two lifts a minute 30 %, five to eight 50 %, more than twelve 80 %; local codes decide"),
            )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        let judged = ask(&RULE, &weighing(18.0), LegKind::Store);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::NotKnown, Some(Severity::Note))
        );
        // Two of 16 kg: 2/3 of 32; three: half of 48.
        assert!(
            judged.sentence.contains("two persons 21 kg and three 24 kg"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn passing_case() {
        assert_eq!(ask(&RULE, &weighing(7.0), LegKind::Store).severity, None);
    }
}
