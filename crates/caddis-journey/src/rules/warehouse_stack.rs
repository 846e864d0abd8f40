//! Cases of one kind stacked in a store.

use super::{Judged, Question, Rule};
use crate::{LegKind, OwnStack, dangerous_goods_stack, warehouse_compression};
use caddis_basis::{Length, Margin, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "warehouse-stack",
    sentence: || {
        said!("the lowest case of a stack of its kind bears those above it for as long as they stand")
    },
    reason: || said!("plastics creep: what holds for a minute may sink over a summer"),
    source: |limits| limits.warehouse_factors.dated_source(),
    applies: |question| question.leg.kind == LegKind::Store && question.journey.cases > 1,
    judge,
};

/// As high as a person stacks by hand (common practice, no source).
const REACH: Length = Length::from_si(1.5);

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.warehouse_factors;
    let source = row.dated_source();
    let gross = question.parcel.gross_mass.most();
    let height = question.parcel.nominal_sides()[2];
    let tiers = (REACH / height)
        .floor()
        .max(1.0)
        .min(f64::from(question.journey.cases));
    let above = gross * (tiers - 1.0);
    let tested = |factor: f64| {
        warehouse_compression(&OwnStack {
            gross,
            height,
            stack: height * tiers,
            factor,
        })
    };
    let load = tested(row.value[1]);
    let creeping = tested(question.limits.warehouse_factors_creeping.value[1]);
    let (count, goods) = dangerous_goods_stack(gross, height);
    let found = said!(
        "{tiers:.0} cases to {height:.1} m put {above:.0} kg on the lowest (tested with {load:.0} N at assurance level II, {creeping:.0} N where its plastic creeps in heat or over months; the dangerous-goods stack of {count} would be {goods:.0} kg)",
        height = (height * tiers).si(),
        above = above.si(),
        load = load.si(),
        creeping = creeping.si(),
        goods = goods.si(),
        tiers,
        count
    );
    vec![match question.parcel.stacking_rating {
        None => Judged {
            sentence: said!("{found}; the shell's stacking rating is not stated", found),
            ..Judged::missing(said!("the maker's stacking rating of the shell"), source)
        },
        Some(rating) => {
            let margin = Margin::at_most(above.si(), rating.si(), "kg");
            if margin.is_kept() {
                Judged::new(Verdict::Indicative, found, source).margin(margin)
            } else {
                Judged::new(Verdict::Fails, found, source).margin(margin).finding(
                    Severity::Caution,
                    said!("stack fewer, or put them on shelves; a stack can fall on people"),
                )
            }
        }
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_journey, parcel, weighing};
    use super::*;
    use crate::{Journey, Leg, Parcel};

    fn six(parcel: &Parcel) -> Judged {
        let mut journey = Journey::new("store", vec![Leg::new(LegKind::Store, "depot")]);
        journey.cases = 6;
        ask_journey(&RULE, parcel, &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let heavy = six(&weighing(70.0));
        assert_eq!(
            (heavy.verdict, heavy.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let mut unknown = parcel();
        unknown.stacking_rating = None;
        assert!(six(&unknown).missing.is_some());
    }

    #[test]
    fn passing_case() {
        let judged = six(&parcel());
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
        assert!(
            judged.sentence.starts_with("4 cases to 1.3 m put 54 kg"),
            "{}",
            judged.sentence
        );
    }
}
