//! A handle that a gloved hand gets round.

use super::{Judged, Question, Rule};
use crate::{LegKind, is_optimal_box};
use caddis_basis::{Certainty, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "handle-geometry",
    sentence: || said!("carrying handles are thick, long and clear enough for a hand"),
    reason: || said!("a thin or tight handle cuts and slips, and the lift counts as badly held"),
    source: |_| law(),
    applies: |question| question.leg.kind != LegKind::PalletFreight,
    judge,
};

fn law() -> Source {
    Source::new("NIOSH 94-110, table 6 notes, p. 17", Certainty::Published)
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(handle) = question.journey.case.handle else {
        return vec![Judged::missing(
            said!("the thickness, length and clearance of the handles"),
            law(),
        )];
    };
    let short = handle.shortcomings();
    let [length, _, height] = question.parcel.largest_sides();
    let with_size = |found: Said| {
        if is_optimal_box(length, height) {
            found
        } else {
            said!(
                "{found}; the case is larger than 40 x 30 cm, so a grip counts as fair at best",
                found
            )
        }
    };
    vec![if short.is_empty() {
        Judged::new(Verdict::Holds, with_size(said!("handles of optimal size")), law())
    } else {
        Judged::new(
            Verdict::Fails,
            with_size(said!("handles are {short}", short = Said::row(short, ", "))),
            law(),
        )
        .finding(
            Severity::Note,
            said!("fit larger handles or a soft grip, and try it with the gloves that are worn"),
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_journey, parcel};
    use super::*;
    use crate::{HandleGeometry, Journey, Leg};
    use caddis_basis::Length;

    fn with(mm: [f64; 3]) -> Judged {
        let mut journey = Journey::new("out", vec![Leg::new(LegKind::HandCarry, "path")]);
        journey.case.handle = Some(HandleGeometry {
            diameter: Length::mm(mm[0]),
            length: Length::mm(mm[1]),
            clearance: Length::mm(mm[2]),
        });
        ask_journey(&RULE, &parcel(), &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let tight = with([15.0, 110.0, 40.0]);
        assert_eq!(
            (tight.verdict, tight.severity),
            (Verdict::Fails, Some(Severity::Note))
        );
        assert!(ask(&RULE, &parcel(), LegKind::HandCarry).missing.is_some());
    }

    #[test]
    fn passing_case() {
        let good = with([25.0, 120.0, 55.0]);
        assert_eq!((good.verdict, good.severity), (Verdict::Holds, None));
        assert!(good.sentence.contains("fair at best"));
    }
}
