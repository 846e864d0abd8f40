//! The post takes less than couriers do.

use super::{Judged, Question, Rule};
use crate::chargeable::longest_first;
use crate::length_and_girth;
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "postal-size",
    sentence: || {
        said!(
            "a parcel that may go by post keeps to the post's mass and length and girth, and is charged for its shape above some sizes"
        )
    },
    reason: || said!("some places are reached by post alone, and its limits are lower than a courier's"),
    source: |limits| limits.postal.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.postal;
    let (post, parcel, source) = (row.value, question.parcel, row.dated_source());
    let (sides, gross) = (longest_first(parcel.largest_sides()), parcel.gross_mass.most());
    let girth = length_and_girth(sides);
    let slack = 1.0 + crate::chargeable::CONVERSION_SLACK;
    let cm = |length: caddis_basis::Length| length.si() * 100.0;
    if gross.si() > post.mass.si() * slack || girth.si() > post.length_and_girth_oversize.si() * slack {
        let sentence = said!(
            "{gross:.1} kg and {girth:.0} cm of length and girth are beyond the post's {most:.1} kg and {most_girth:.0} cm",
            gross = gross.si(),
            girth = cm(girth),
            most = post.mass.si(),
            most_girth = cm(post.length_and_girth_oversize)
        );
        return vec![
            Judged::new(Verdict::Indicative, sentence, source)
                .finding(Severity::Note, said!("plan this leg with a courier, not by post")),
        ];
    }
    let mut fees = Vec::new();
    if girth.si() > post.length_and_girth.si() * slack {
        fees.push(said!(
            "length and girth {girth:.0} cm over {limit:.0} cm",
            girth = cm(girth),
            limit = cm(post.length_and_girth)
        ));
    }
    let longest = sides[0];
    if longest.si() > post.longest.si() * slack {
        let (side, limit) = (cm(longest), cm(post.longest));
        fees.push(if longest.si() > post.longest_lower_fee.si() * slack {
            said!(
                "longest side {side:.0} cm over {limit:.0} cm (higher fee)",
                side,
                limit
            )
        } else {
            said!(
                "longest side {side:.0} cm over {limit:.0} cm (lower fee)",
                side,
                limit
            )
        });
    }
    let (volume, limit) = (parcel.largest_volume().as_litres(), post.volume.as_litres());
    if volume > limit * slack {
        fees.push(said!("volume {volume:.0} L over {limit:.0} L", volume, limit));
    }
    vec![if fees.is_empty() {
        Judged::new(
            Verdict::Holds,
            said!("goes by post without a fee for its shape"),
            source,
        )
    } else {
        Judged::new(
            Verdict::Indicative,
            said!("goes by post with fees for {fees}", fees = Said::row(fees, ", ")),
            source,
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized, weighing};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let heavy = ask(&RULE, &weighing(32.0), LegKind::CourierRoad);
        assert_eq!(heavy.severity, Some(Severity::Note));
        let bulky = ask(&RULE, &parcel(), LegKind::CourierRoad);
        assert!(bulky.sentence.contains("lower fee"), "{}", bulky.sentence);
    }

    #[test]
    fn passing_case() {
        let small = ask(&RULE, &sized([500.0, 400.0, 200.0]), LegKind::CourierRoad);
        assert_eq!((small.verdict, small.severity), (Verdict::Holds, None));
    }
}
