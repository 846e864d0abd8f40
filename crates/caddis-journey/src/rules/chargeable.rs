//! A courier bills the greater of gross mass and dimensional weight.

use super::{Judged, Question, Rule, passing};
use crate::{ChargeableWeight, Dated, DimensionalRow, Divisor, chargeable_weight};
use caddis_basis::{Said, Severity, said};

pub(crate) const RULE: Rule = Rule {
    name: "chargeable-weight",
    sentence: || said!("a courier bills the greater of gross mass and dimensional weight"),
    reason: || {
        said!(
            "a case with thick cushions is light for its size, and the customer should know before the invoice does"
        )
    },
    source: |limits| {
        limits
            .dimensional
            .first()
            .map_or_else(caddis_basis::Source::common_practice, Dated::dated_source)
    },
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let (sides, gross) = (parcel.largest_sides(), parcel.gross_mass.most());
    let mut rows = question
        .limits
        .dimensional
        .iter()
        .filter(|row| row.value.billed_by.concerns(question.leg.kind))
        .filter(|row| {
            row.value
                .above
                .is_none_or(|least| parcel.largest_volume() > least)
        });
    let Some(row) = rows.next() else {
        let source = caddis_basis::Source::common_practice();
        return vec![Judged::missing(said!("a divisor for this kind of leg"), source)];
    };
    let billed = chargeable_weight(sides, gross, &row.value.rule);
    let source = row.dated_source();
    let others: Vec<Said> = rows
        .map(|row| words(&row.value, &chargeable_weight(sides, gross, &row.value.rule)))
        .collect();
    let mut sentence = said!(
        "chargeable weight {billed:.1} kg at {divisor}: dimensional weight {dimensional:.1} kg, gross mass {gross:.1} kg as billed",
        billed = billed.chargeable.si(),
        divisor = row.value.name,
        dimensional = billed.dimensional.si(),
        gross = billed.actual.si()
    );
    if !others.is_empty() {
        sentence = said!(
            "{sentence}; by other divisors {others}",
            others = Said::row(others, ", "),
            sentence
        );
    }
    let judged = Judged::new(passing(&source), sentence, source);
    vec![if billed.dimensional > billed.actual {
        judged.finding(
            Severity::Note,
            said!("ask the courier for its divisor; a smaller shell is billed lighter"),
        )
    } else {
        judged
    }]
}

/// What another divisor bills, in the unit that it bills in.
fn words(row: &DimensionalRow, billed: &ChargeableWeight) -> Said {
    let weight = match row.rule.divisor {
        Divisor::CubicCentimetresPerKilogram(_) => said!("{weight:.1} kg", weight = billed.chargeable.si()),
        Divisor::CubicInchesPerPound(_) => said!("{weight:.0} lb", weight = billed.chargeable.as_pounds()),
    };
    said!(
        "{weight} at {divisor} ({carriage})",
        divisor = row.name,
        carriage = row.billed_by.said(),
        weight
    )
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
        // 28 x 18 x 13 in = 6552 in3, over 139 = 47.1, raised to 48 lb; 103 950 / 6000 = 17.3 is below 18 kg.
        for said in [
            "chargeable weight 21.0 kg",
            "48 lb at 139 in3/lb, every fraction raised",
            "18.0 kg at 6000 cm3/kg",
        ] {
            assert!(judged.sentence.contains(said), "{said}: {}", judged.sentence);
        }
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
