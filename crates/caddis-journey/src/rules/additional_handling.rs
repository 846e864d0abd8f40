//! A bare plastic case commonly attracts additional handling.

use super::{Band, Judged, Question, Rule, Standing};
use crate::chargeable::longest_first;
use crate::length_and_girth;
use caddis_basis::{Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "additional-handling",
    sentence: || said!("a courier parcel is boxed in board and keeps to the sizes of its sorting belts"),
    reason: || {
        said!(
            "long, heavy or bare cases leave the belt and are charged additional handling; a moulded case without a carton commonly is"
        )
    },
    source: |limits| limits.additional_handling.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.additional_handling;
    let (parcel, limit) = (question.parcel, row.value);
    let most = longest_first(parcel.largest_sides());
    let over = |found: f64, limit: f64| {
        Band {
            nominal: found,
            most: found,
        }
        .against(limit)
            != Standing::Kept
    };
    let mut reasons = Vec::new();
    for (what, found, limit) in [
        (said!("longest side"), most[0].si(), limit.longest.si()),
        (said!("second side"), most[1].si(), limit.second.si()),
        (
            said!("length and girth"),
            length_and_girth(most).si(),
            limit.length_and_girth.si(),
        ),
    ] {
        if over(found, limit) {
            reasons.push(said!(
                "{what} {found:.1} cm over {limit:.1} cm",
                found = found * 100.0,
                limit = limit * 100.0,
                what
            ));
        }
    }
    let (gross, heaviest) = (parcel.gross_mass.most().si(), limit.mass.si());
    if over(gross, heaviest) {
        reasons.push(said!(
            "gross mass {gross:.1} kg over {heaviest:.1} kg",
            gross,
            heaviest
        ));
    }
    let (volume, largest) = (
        parcel.largest_volume().as_litres(),
        question.limits.additional_handling_volume.value.as_litres(),
    );
    if over(volume, largest) {
        reasons.push(said!("volume {volume:.0} L over {largest:.0} L", volume, largest));
    }
    let source = row.dated_source();
    if question.journey.case.in_carton {
        return vec![if reasons.is_empty() {
            let sentence = said!("in a carton, within the sizes of the sorting belts");
            Judged::new(super::passing(&source), sentence, source)
        } else {
            Judged::new(Verdict::Fails, Said::row(reasons, ", "), source).finding(
                Severity::Caution,
                said!("ask the courier for its charge; a carton adds to these sizes"),
            )
        }];
    }
    let judged = if reasons.is_empty() {
        Judged::new(
            Verdict::Indicative,
            said!("a bare plastic case commonly attracts additional handling"),
            source,
        )
        .finding(
            Severity::Note,
            said!("ask the courier, or ship the case in a carton"),
        )
    } else {
        Judged::new(
            Verdict::Fails,
            said!(
                "{reasons}, and a bare plastic case commonly attracts additional handling",
                reasons = Said::row(reasons, ", ")
            ),
            source,
        )
        .finding(
            Severity::Caution,
            said!("ask the courier for its charge, or take a smaller shell"),
        )
    };
    vec![judged]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized, weighing};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let long = ask(&RULE, &sized([1300.0, 300.0, 200.0]), LegKind::CourierRoad);
        assert_eq!(
            (long.verdict, long.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert!(
            long.sentence.starts_with("longest side 130.0 cm"),
            "{}",
            long.sentence
        );
        let bulky = ask(&RULE, &sized([900.0, 600.0, 500.0]), LegKind::CourierRoad);
        assert!(
            bulky.sentence.contains("volume 270 L over 170 L"),
            "{}",
            bulky.sentence
        );
        assert_eq!(
            ask(&RULE, &weighing(23.0), LegKind::CourierRoad).verdict,
            Verdict::Fails
        );
    }

    #[test]
    fn passing_case() {
        let mut journey = crate::Journey::new("test", vec![crate::Leg::new(LegKind::CourierRoad, "road")]);
        journey.case.in_carton = true;
        let boxed = super::super::fixture::ask_journey(&RULE, &parcel(), &journey).swap_remove(0);
        assert_eq!((boxed.verdict, boxed.severity), (Verdict::Indicative, None));
        // A bare case is never a plain pass: the note stays.
        let judged = ask(&RULE, &parcel(), LegKind::CourierRoad);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Indicative, Some(Severity::Note))
        );
    }
}
