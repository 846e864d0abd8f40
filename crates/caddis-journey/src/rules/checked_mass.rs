//! A checked bag keeps to the airlines' mass.

use super::{Band, Judged, Question, Rule, Standing, doubt, passing};
use crate::LegKind;
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "checked-mass",
    sentence: || {
        said!(
            "a checked bag weighs no more than the airline's allowance, and never more than one piece may weigh"
        )
    },
    reason: || {
        said!(
            "above the allowance it is charged; above the one-piece limit ground staff may not lift it and it stays behind"
        )
    },
    source: |limits| limits.checked_mass.dated_source(),
    applies: |question| question.leg.kind == LegKind::AirHold,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (row, piece) = (
        &question.limits.checked_mass,
        &question.limits.checked_mass_one_piece,
    );
    let gross = &question.parcel.gross_mass;
    let band = Band {
        nominal: gross.value.si(),
        most: gross.most().si(),
    };
    let (limit, most) = (row.value.si(), piece.value.si());
    let gross = band.most;
    let for_a_bag = || {
        said!(
            "gross mass {gross:.1} kg against {limit:.0} kg for a checked bag",
            gross,
            limit
        )
    };
    let source = row.dated_source();
    let judged = match (band.against(limit), band.against(most)) {
        (Standing::Kept, _) => Judged::new(passing(&source), for_a_bag(), source),
        (standing @ Standing::Doubtful, _) => Judged::new(
            Verdict::Indicative,
            doubt(standing, for_a_bag()),
            source,
        )
        .finding(Severity::Caution, said!("weigh the packed case")),
        (_, Standing::Kept) => Judged::new(Verdict::Fails, for_a_bag(), source).finding(
            Severity::Caution,
            said!(
                "announce it as overweight at a charge, up to {most:.0} kg a piece, or move contents to another case",
                most
            ),
        ),
        _ => {
            let margin = band.margin(most, "kg");
            return vec![
                Judged::new(Verdict::Fails, said!(
                    "gross mass {gross:.1} kg against {limit:.0} kg a piece of checked baggage",
                    gross,
                    limit = most
                ), piece.dated_source())
                    .margin(margin)
                    .finding(Severity::Failing, refused(band, question.limits)),
            ];
        }
    };
    vec![judged.margin(band.margin(limit, "kg"))]
}

/// What to do above the one-piece limit.
fn refused(band: Band, limits: &crate::CarriageLimits) -> Said {
    let largest = &limits.checked_mass_largest;
    let split = said!("split the kit over two cases, or send it as freight");
    if band.against(largest.value.si()) == Standing::Kept {
        said!(
            "{split}; a few airlines take up to {limit:.0} kg at a second charge ({certainty})",
            limit = largest.value.si(),
            certainty = largest.source.certainty.said(),
            split
        )
    } else {
        split
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        let charged = ask(&RULE, &weighing(27.0), LegKind::AirHold);
        assert_eq!(
            (charged.verdict, charged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let refused = ask(&RULE, &weighing(32.5), LegKind::AirHold);
        assert_eq!(
            (refused.verdict, refused.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        assert_eq!(refused.margin.map(|m| m.limit), Some(32.0));
        assert!(refused.remedy.is_some_and(|remedy| remedy.contains("45 kg")));
        let none = ask(&RULE, &weighing(46.0), LegKind::AirHold).remedy;
        assert!(none.is_some_and(|remedy| !remedy.contains("45 kg")));
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &weighing(23.0), LegKind::AirHold);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
}
