//! A courier bills the greater of gross mass and dimensional weight.

use super::{Judged, Question, Rule, passing};
use crate::chargeable_weight;
use caddis_basis::{Margin, Severity};

pub(crate) const RULE: Rule = Rule {
    name: "chargeable-weight",
    sentence: "a courier bills the greater of gross mass and dimensional weight",
    reason: "a case with thick cushions is light for its size, and the customer should know before the invoice does",
    source: |limits| limits.dimensional.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.dimensional;
    let parcel = question.parcel;
    let billed = chargeable_weight(parcel.largest_sides(), parcel.gross_mass.most(), &row.value);
    let source = row.dated_source();
    let sentence = format!(
        "chargeable weight {:.1} kg: dimensional weight {:.1} kg, gross mass {:.1} kg as billed",
        billed.chargeable.si(),
        billed.dimensional.si(),
        billed.actual.si()
    );
    let judged = Judged::new(passing(&source), sentence, source).margin(Margin::at_most(
        billed.dimensional.si(),
        billed.actual.si(),
        "kg",
    ));
    vec![if billed.dimensional > billed.actual {
        judged.finding(
            Severity::Note,
            "ask the courier for its divisor; a smaller shell is billed lighter",
        )
    } else {
        judged
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        // 70 x 45 x 33 cm = 103 950 cm³, over 5000 = 20.79, raised to 21.0 kg against 18 kg.
        let judged = ask(&RULE, &parcel(), LegKind::CourierAir);
        assert_eq!(judged.severity, Some(Severity::Note));
        assert!(
            judged.sentence.starts_with("chargeable weight 21.0 kg"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &sized([500.0, 400.0, 300.0]), LegKind::CourierRoad);
        assert_eq!(judged.severity, None);
        assert!(
            judged.sentence.starts_with("chargeable weight 18.0 kg"),
            "{}",
            judged.sentence
        );
    }
}
