//! One person's lift by the revised NIOSH equation.

use super::{Judged, Question, Rule};
use crate::{
    Coupling, LegKind, Lift, LiftDuration, LiftForm, hands_in_front, is_optimal_box, recommended_weight,
};
use caddis_basis::{Angle, Length, Margin, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "lifting-equation",
    sentence: || {
        said!(
            "one person's two-handed lift of the case, without carrying, keeps to the recommended weight limit of the NIOSH lifting equation"
        )
    },
    reason: || {
        said!(
            "reach, height and grip make a case heavier than its mass; the equation counts them, where it applies"
        )
    },
    source: |_| law(),
    applies: |question| !matches!(question.leg.kind, LegKind::PalletFreight | LegKind::HandCarry),
    judge,
};

fn law() -> Source {
    Source::new(
        "NIOSH 94-110, revised 9/2021, in a repository quoting the manual; the heights of the lift are assumed",
        caddis_basis::Certainty::Published,
    )
}

/// A tailboard, a bench, a counter; an overhead bin. Heights that the hands rise to (common practice, no source).
const BENCH: Length = Length::from_si(0.75);
/// As [`BENCH`].
const OVERHEAD_BIN: Length = Length::from_si(1.70);

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let Some(grip) = parcel
        .handles
        .iter()
        .map(|handle| handle.height)
        .reduce(Length::min)
    else {
        return vec![Judged::missing(
            said!("where hands hold the case (handles of the shell)"),
            law(),
        )];
    };
    let [length, width, height] = parcel.largest_sides();
    let end = if question.leg.kind == LegKind::AirCabin {
        OVERHEAD_BIN
    } else {
        BENCH
    };
    let coupling = coupling(question, length, height);
    // Hands at both ends of the length: the width lies between the body and the far side.
    let lift = |vertical: Length| Lift {
        horizontal: hands_in_front(width, vertical),
        vertical,
        origin: grip,
        travel: (end - grip).abs(),
        asymmetry: Angle::ZERO,
        per_minute: 0.2,
        duration: LiftDuration::Short,
        coupling,
    };
    let [origin, target] = [grip, end].map(|vertical| recommended_weight(&lift(vertical), LiftForm::Metric));
    let (limit, is_start) = if origin.limit <= target.limit {
        (origin.limit, true)
    } else {
        (target.limit, false)
    };
    let gross = parcel.gross_mass.most();
    let conditions = said!(
        "lifted from {grip:.2} m to {end:.2} m, hands {reach:.2} m in front, {coupling} coupling, at most once in five minutes",
        grip = grip.si(),
        end = end.si(),
        reach = hands_in_front(width, grip).si(),
        coupling = coupling.said()
    );
    if limit.si() <= 0.0 {
        return vec![
            Judged::new(
                Verdict::Fails,
                said!(
                    "{conditions}: the equation recommends no weight at such a reach",
                    conditions
                ),
                law(),
            )
            .finding(Severity::Caution, remedy()),
        ];
    }
    let index = gross / limit;
    let margin = Margin::at_most(gross.si(), limit.si(), "kg");
    let (limit, gross) = (limit.si(), gross.si());
    let found = if is_start {
        said!(
            "recommended weight limit {limit:.1} kg at the start, lifting index {index:.1} for {gross:.1} kg ({conditions})",
            limit,
            index,
            gross,
            conditions
        )
    } else {
        said!(
            "recommended weight limit {limit:.1} kg at the end, lifting index {index:.1} for {gross:.1} kg ({conditions})",
            limit,
            index,
            gross,
            conditions
        )
    };
    vec![if index <= 1.0 {
        Judged::new(Verdict::Indicative, found, law()).margin(margin)
    } else {
        let found = if index > 3.0 {
            said!("{found}; above 3 nearly all workers are at increased risk", found)
        } else {
            found
        };
        Judged::new(Verdict::Fails, found, law())
            .margin(margin)
            .finding(Severity::Caution, remedy())
    }]
}

fn remedy() -> Said {
    said!(
        "lift with two persons or by machine, from a bench rather than the floor, with the case close to the body; the equation does not count carrying, one hand, or teams, and assumes sure footing, 19 to 26 degC, 35 to 50 % humidity and no jerk; local codes on manual handling decide"
    )
}

/// How well hands hold: never better than fair for a large or unbalanced box or an unmeasured handle.
fn coupling(question: &Question<'_>, length: Length, height: Length) -> Coupling {
    let is_small = is_optimal_box(length, height);
    let is_balanced = question
        .parcel
        .details
        .centre_offset
        .is_none_or(|offset| offset.iter().all(|side| side.abs().si() <= 0.05));
    match question.journey.case.handle {
        Some(handle) if handle.shortcomings().is_empty() && is_small && is_balanced => Coupling::Good,
        Some(handle) if handle.clearance.as_mm() < 25.0 => Coupling::Poor,
        _ => Coupling::Fair,
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        // Grip at 0.165 m, below 0.25 m: H = 25 + 45/2 = 47.5 cm. At the start HM 25/47.5, VM 1 - 0.003 x 58.5,
        // DM 0.82 + 4.5/58.5, FM 1, CM 0.95: 23 x 0.5263 x 0.8245 x 0.8969 x 0.95 = 8.50 kg.
        let judged = ask(&RULE, &parcel(), LegKind::OffRoad);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert!(
            judged
                .sentence
                .contains("limit 8.5 kg at the start, lifting index 2.1"),
            "{}",
            judged.sentence
        );
        let heavy = ask(&RULE, &weighing(30.0), LegKind::Store);
        assert!(heavy.sentence.contains("nearly all"), "{}", heavy.sentence);
        let mut bare = parcel();
        bare.handles.clear();
        assert!(ask(&RULE, &bare, LegKind::Store).missing.is_some());
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &weighing(8.0), LegKind::OffRoad);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
