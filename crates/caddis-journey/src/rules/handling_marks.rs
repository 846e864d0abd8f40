//! The marks that tell handlers what the case asks for.

use super::{Judged, Question, Rule};
use crate::marks_to_print;
use caddis_basis::{Certainty, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "handling-marks",
    sentence: || {
        said!(
            "a case that leaves its owner's hands carries the handling marks that its contents and its journey ask for"
        )
    },
    reason: || said!("handlers read pictures, not packing lists; a mark asks and does not protect"),
    source: |_| law(),
    applies: |question| {
        !matches!(
            question.leg.kind,
            crate::LegKind::AirCabin | crate::LegKind::HandCarry
        )
    },
    judge,
};

fn law() -> Source {
    Source::new(
        "ISO 780:2015, optional, not for dangerous goods",
        Certainty::Memory,
    )
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let names: Vec<Said> = marks_to_print(question.parcel, question.journey)
        .iter()
        .map(|mark| Said::one_of("mark", mark.name))
        .collect();
    vec![
        Judged::new(
            Verdict::Indicative,
            said!("print {marks}", marks = Said::row(names, ", ")),
            law(),
        )
        .finding(
            Severity::Note,
            said!(
                "black, no frame, on two sides at least; dangerous goods carry their own labels beside them"
            ),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use crate::LegKind;

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::CourierRoad);
        assert!(judged.sentence.contains("this way up"), "{}", judged.sentence);
    }

    #[test]
    fn failing_case() {
        // Marks are advice: nothing fails, but a case nobody rated is marked not to be stacked on.
        let mut unrated = parcel();
        unrated.stacking_rating = None;
        let judged = ask(&RULE, &unrated, LegKind::CourierRoad);
        assert!(judged.sentence.contains("do not stack"), "{}", judged.sentence);
    }
}
