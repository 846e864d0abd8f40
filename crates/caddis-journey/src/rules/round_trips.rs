//! How often a reusable case is built to go and come back.

use super::{Judged, Question, Rule};
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "round-trips",
    sentence: || {
        said!("a case that is to last a stated number of round trips by air is of the reuse category for it")
    },
    reason: || {
        said!("no drop test of a few falls shows what a hundred journeys do to shell, latches and foam")
    },
    source: |limits| limits.reuse_categories.dated_source(),
    applies: |question| question.leg.kind.is_flight() && question.journey.case.round_trips.is_some(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.reuse_categories;
    let Some(trips) = question.journey.case.round_trips else {
        return Vec::new();
    };
    let category = if trips > row.value.second {
        said!(
            "category I, at least {count} round trips",
            count = row.value.first
        )
    } else if trips > 1 {
        said!(
            "category II, at least {count} round trips",
            count = row.value.second
        )
    } else {
        said!("category III, one trip")
    };
    let words = if trips > row.value.first {
        said!("{trips} round trips are beyond {category}", trips, category)
    } else {
        said!("{trips} round trips ask for {category}", trips, category)
    };
    vec![
        Judged::new(Verdict::NotKnown, words, row.dated_source()).finding(
            Severity::Note,
            said!("ask the shell's maker for its category; judge the foam on later impacts, and look at latches, gasket and foam at stated intervals"),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_journey, parcel};
    use super::*;
    use crate::{Journey, Leg, LegKind};

    fn asked(trips: u32) -> Judged {
        let mut journey = Journey::new("test", vec![Leg::new(LegKind::CourierAir, "test")]);
        journey.case.round_trips = Some(trips);
        ask_journey(&RULE, &parcel(), &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        assert_eq!(asked(400).verdict, Verdict::NotKnown);
        assert!(asked(400).sentence.contains("beyond category I"));
    }

    #[test]
    fn passing_case() {
        for (trips, category) in [
            (1, "category III,"),
            (2, "category II,"),
            (10, "category II,"),
            (11, "category I,"),
            (100, "category I,"),
        ] {
            assert!(
                asked(trips).sentence.contains(category),
                "{}",
                asked(trips).sentence
            );
        }
    }
}
