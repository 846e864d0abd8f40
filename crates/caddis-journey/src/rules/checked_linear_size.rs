//! A checked bag keeps to the airlines' linear size.

use super::{Band, Judged, Question, Rule, Standing, doubt, passing};
use crate::linear_size;
use caddis_basis::{Severity, said};

pub(crate) const RULE: Rule = Rule {
    name: "checked-linear-size",
    sentence: || {
        said!(
            "length, width and height of a checked bag add up to the airline's limit at most, over wheels, handles and latches"
        )
    },
    reason: || said!("a larger bag is charged as oversize or refused at the counter"),
    source: |limits| limits.checked_linear_size.dated_source(),
    applies: |question| question.leg.kind == crate::LegKind::AirHold,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (row, charged) = (
        &question.limits.checked_linear_size,
        &question.limits.checked_linear_size_charged,
    );
    let band = Band {
        nominal: linear_size(question.parcel.nominal_sides()).si() * 100.0,
        most: linear_size(question.parcel.largest_sides()).si() * 100.0,
    };
    let limit = row.value.si() * 100.0;
    let standing = band.against(limit);
    let source = row.dated_source();
    let found = said!(
        "linear size {size:.1} cm against {limit:.1} cm for a checked bag",
        size = band.most,
        limit
    );
    let judged = match standing {
        Standing::Kept => Judged::new(passing(&source), found, source),
        Standing::Doubtful => Judged::new(caddis_basis::Verdict::Indicative, doubt(standing, found), source)
            .finding(
                Severity::Caution,
                said!("measure the closed case over everything"),
            ),
        Standing::Passed if band.against(charged.value.si() * 100.0) == Standing::Kept => Judged::new(
            caddis_basis::Verdict::Fails,
            found,
            source,
        )
        .finding(
            Severity::Caution,
            said!(
                "announce it as oversize: many airlines take up to {limit:.0} cm at a charge ({certainty})",
                limit = charged.value.si() * 100.0,
                certainty = charged.source.certainty.said()
            ),
        ),
        Standing::Passed => {
            Judged::new(caddis_basis::Verdict::Fails, found, source).finding(Severity::Failing, {
                let largest = &question.limits.checked_linear_size_largest;
                let smaller = said!("take a smaller shell, split the kit, or send it as freight");
                if band.against(largest.value.si() * 100.0) == Standing::Kept {
                    said!(
                        "{smaller}; a few airlines take up to {limit:.0} cm ({certainty})",
                        limit = largest.value.si() * 100.0,
                        certainty = largest.source.certainty.said(),
                        smaller
                    )
                } else {
                    smaller
                }
            })
        }
    };
    vec![judged.margin(band.margin(limit, "cm"))]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized};
    use super::*;
    use crate::LegKind;
    use caddis_basis::{Length, Verdict};

    #[test]
    fn failing_case() {
        let charged = ask(&RULE, &sized([800.0, 500.0, 400.0]), LegKind::AirHold);
        assert_eq!(
            (charged.verdict, charged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let refused = ask(&RULE, &sized([1200.0, 600.0, 400.0]), LegKind::AirHold);
        assert_eq!(
            (refused.verdict, refused.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        assert!(refused.remedy.is_some_and(|remedy| remedy.contains("292 cm")));
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::AirHold);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
        assert!(
            judged.sentence.starts_with("linear size 148.0 cm"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn worst_case_is_judged() {
        let mut wide = sized([800.0, 450.0, 324.0]);
        wide.outside[0].plus_minus = Some(Length::mm(2.0));
        let judged = ask(&RULE, &wide, LegKind::AirHold);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Indicative, Some(Severity::Caution))
        );
    }
}
