//! The case bears what mixed freight puts on it.

use super::{Band, Judged, Question, Rule, Standing};
use crate::LegKind;
use crate::chargeable::longest_first;
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "stacking-load",
    sentence: || {
        said!(
            "the shell's stacking rating reaches the mass of mixed freight that may stand on it in a vehicle"
        )
    },
    reason: || said!("a lid that gives way presses on the contents"),
    source: |limits| limits.vehicle_stack.dated_source(),
    applies: |question| question.leg.kind.is_courier() || question.leg.kind == LegKind::PalletFreight,
    judge,
};

/// # Source
/// ASTM D4169 schedule C, `L = M J (l w h / K) ((H - h) / h) F` as laboratories print it, with F = 1: the mass
/// itself, before any design factor.
fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.vehicle_stack;
    let [length, width, height] = {
        // Lying flat: the largest face bears the most.
        longest_first(question.parcel.largest_sides())
    };
    let above = (row
        .value
        .height_over(question.parcel.gross_mass.least(), length * width * height)
        - height)
        .max(caddis_basis::Length::ZERO);
    let load = row.value.density * (length * width * above);
    let source = row.dated_source();
    let found = said!(
        "up to {load:.0} kg of mixed freight may stand on the case in a vehicle, before any design factor (tested with {force:.0} N at assurance level II)",
        load = load.si(),
        force = load.weight().si() * question.limits.vehicle_factors.value[1]
    );
    vec![match question.parcel.stacking_rating {
        None => Judged::new(
            Verdict::NotKnown,
            said!("{found}; the shell's stacking rating is not known", found),
            source,
        )
        .finding(
            Severity::Note,
            said!("ask the shell's maker, or mark the case not to be stacked on"),
        ),
        Some(rating) => {
            let band = Band {
                nominal: load.si(),
                most: load.si(),
            };
            let sentence = said!(
                "{found}; the shell is rated for {rating:.0} kg",
                rating = rating.si(),
                found
            );
            let margin = band.margin(rating.si(), "kg");
            match band.against(rating.si()) {
                Standing::Kept => Judged::new(Verdict::Indicative, sentence, source).margin(margin),
                _ => Judged::new(Verdict::Fails, sentence, source)
                    .margin(margin)
                    .finding(
                        Severity::Caution,
                        said!("mark the case not to be stacked on, or load it on top"),
                    ),
            }
        }
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;
    use caddis_basis::Mass;

    #[test]
    fn failing_case() {
        let mut weak = parcel();
        weak.stacking_rating = Some(Mass::from_si(100.0));
        let judged = ask(&RULE, &weak, LegKind::PalletFreight);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        // 192 x 0.70 x 0.45 x (2.7 - 0.33) = 143.3 kg
        assert!(judged.sentence.starts_with("up to 143 kg"), "{}", judged.sentence);
        weak.stacking_rating = None;
        assert_eq!(ask(&RULE, &weak, LegKind::CourierRoad).verdict, Verdict::NotKnown);
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::PalletFreight);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
