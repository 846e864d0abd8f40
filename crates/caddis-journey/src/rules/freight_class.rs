//! Part loads by road are classed by density.

use super::{Judged, Question, Rule, passing};
use crate::{LegKind, freight_class, freight_density, loaded_pallet};
use caddis_basis::{Density, Said, said};

pub(crate) const RULE: Rule = Rule {
    name: "freight-class",
    sentence: || said!("a part load by road is billed by its class, which follows from its density"),
    reason: || said!("a case with thick cushions is light for its size and falls in a dearer class"),
    source: |limits| limits.freight_classes.dated_source(),
    applies: |question| question.leg.kind == LegKind::PalletFreight,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let density = freight_density(parcel.largest_sides(), parcel.gross_mass.least());
    let class = freight_class(density, question.limits);
    let source = question.limits.freight_classes.dated_source();
    let bare = said!(
        "density {density:.0} kg/m³ ({pounds:.1} lb/ft³): freight class {class} of the bare case",
        density = density.si(),
        pounds = pounds_a_cubic_foot(density),
        class
    );
    let sentence = if let Some(pallet) = on_pallet(question) {
        said!("{bare}; {pallet}", bare, pallet)
    } else {
        said!("{bare}, before the pallet is counted in", bare)
    };
    vec![Judged::new(passing(&source), sentence, source)]
}

fn pounds_a_cubic_foot(density: Density) -> f64 {
    density.si() / 16.018_463_373_960_14
}

/// Density and class of the cases on a pallet, which is billed with them.
fn on_pallet(question: &Question<'_>) -> Option<Said> {
    let parcel = question.parcel;
    let pallet = loaded_pallet(
        parcel.largest_sides(),
        &parcel.gross_mass,
        question.journey.cases,
        question.limits,
    )?;
    let density = freight_density(pallet.sides, pallet.mass.least());
    let class = freight_class(density, question.limits);
    Some(said!(
        "{count} on a {pallet} of {mass:.0} kg: {density:.0} kg/m³ ({pounds:.1} lb/ft³), class {class}",
        count = pallet.cases,
        pallet = pallet.name,
        mass = pallet.own_mass.si(),
        density = density.si(),
        pounds = pounds_a_cubic_foot(density),
        class
    ))
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
        // One case of 330 mm on a pallet of 144 mm and 33 kg, 1.219 x 1.016 m: 51 kg in 0.595 m3.
        assert!(judged.sentence.contains("1 on a pallet"), "{}", judged.sentence);
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
