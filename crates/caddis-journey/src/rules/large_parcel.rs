//! A large parcel is billed as a heavy one.

use super::{Judged, Question, Rule, passing};
use crate::chargeable::{CONVERSION_SLACK, longest_first};
use crate::length_and_girth;
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "large-parcel",
    sentence: || {
        said!("a parcel that counts as large, by a side, girth, mass or volume, is billed a least weight")
    },
    reason: || said!("a long light case can cost what a heavy one costs"),
    source: |limits| limits.courier_large_billed.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let limits = question.limits;
    let (large, parcel) = (limits.courier_large.value, question.parcel);
    let sides = longest_first(parcel.largest_sides());
    let volume = parcel.largest_volume();
    let over = |found: f64, limit: f64| found > limit * (1.0 + CONVERSION_SLACK);
    let mut reasons = Vec::new();
    if over(sides[0].si(), large.longest.si()) {
        reasons.push(said!("longest side {side:.0} cm", side = sides[0].si() * 100.0));
    }
    let girth = length_and_girth(sides);
    if over(girth.si(), large.length_and_girth.si()) {
        reasons.push(said!(
            "length and girth {girth:.0} cm",
            girth = girth.si() * 100.0
        ));
    }
    if over(parcel.gross_mass.most().si(), large.mass.si()) {
        reasons.push(said!(
            "gross mass {gross:.1} kg",
            gross = parcel.gross_mass.most().si()
        ));
    }
    if over(volume.si(), limits.courier_large_volume.value.si()) {
        reasons.push(said!("volume {volume:.0} L", volume = volume.as_litres()));
    }
    let source = limits.courier_large_billed.dated_source();
    let billed = limits.courier_large_billed.value.si();
    vec![if reasons.is_empty() {
        Judged::new(
            passing(&source),
            said!("does not count as a large parcel"),
            source,
        )
    } else {
        Judged::new(
            Verdict::Fails,
            said!(
                "counts as large by {reasons}: billed as {billed:.1} kg at least",
                reasons = Said::row(reasons, ", "),
                billed
            ),
            source,
        )
        .finding(
            Severity::Caution,
            said!("ask the courier for the charge, or take a smaller shell"),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let bulky = ask(&RULE, &sized([900.0, 700.0, 500.0]), LegKind::CourierRoad);
        assert_eq!(
            (bulky.verdict, bulky.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert!(
            bulky.sentence.contains("volume 315 L: billed as 40.8 kg"),
            "{}",
            bulky.sentence
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::CourierAir);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
}
