//! Part loads by road are classed by density.

use super::{Judged, Question, Rule, passing};
use crate::{LegKind, freight_class, freight_density};

pub(crate) const RULE: Rule = Rule {
    name: "freight-class",
    sentence: "a part load by road is billed by its class, which follows from its density",
    reason: "a case with thick cushions is light for its size and falls in a dearer class",
    source: |limits| limits.freight_classes.dated_source(),
    applies: |question| question.leg.kind == LegKind::PalletFreight,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let density = freight_density(parcel.largest_sides(), parcel.gross_mass.least());
    let class = freight_class(density, question.limits);
    let source = question.limits.freight_classes.dated_source();
    let sentence = format!(
        "density {:.0} kg/m³ ({:.1} lb/ft³): freight class {class}, before the pallet is counted in",
        density.si(),
        density.si() / 16.018_463_373_960_14
    );
    vec![Judged::new(passing(&source), sentence, source)]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;

    #[test]
    fn passing_case() {
        // 18 kg in 0.10395 m3: 173 kg/m3, 10.8 lb/ft3
        let judged = ask(&RULE, &parcel(), LegKind::PalletFreight);
        assert!(
            judged.sentence.contains("freight class 92.5"),
            "{}",
            judged.sentence
        );
    }

    #[test]
    fn failing_case() {
        // A rule that only states a class has no failing case; a lighter one is classed dearer.
        let mut light = parcel();
        light.gross_mass.value = caddis_basis::Mass::from_si(6.0);
        let judged = ask(&RULE, &light, LegKind::PalletFreight);
        assert!(
            judged.sentence.contains("freight class 250"),
            "{}",
            judged.sentence
        );
    }
}
