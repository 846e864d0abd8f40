//! The case keeps out what the leg throws at it.

use super::{Judged, Question, Rule};
use crate::{LegKind, ingress_tests};
use caddis_basis::{Certainty, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "ingress-code",
    sentence: || said!("the ingress code that the case is given answers the one that the leg wants"),
    reason: || {
        said!(
            "dust in connectors and water in foam stay there; a code for immersion does not answer for jets"
        )
    },
    source: |_| law(),
    applies: |question| {
        question.leg.ingress_wanted.is_some()
            || matches!(question.leg.kind, LegKind::OffRoad | LegKind::HandCarry)
    },
    judge,
};

fn law() -> Source {
    Source::new("IEC 60529 as laboratories explain it", Certainty::Memory)
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let Some(wanted) = question.leg.ingress_wanted else {
        return vec![Judged::missing(
            said!("the ingress code wanted on this leg (ingress_wanted)"),
            law(),
        )];
    };
    let Some(given) = question.journey.case.ingress else {
        return vec![Judged {
            sentence: said!("{wanted} is wanted; what the case is given is not stated", wanted),
            ..Judged::missing(said!("the ingress code of the case"), law())
        }];
    };
    let lacks = given.lacks(wanted);
    vec![if lacks.is_empty() {
        Judged::new(
            Verdict::Indicative,
            said!(
                "{given} is given where {wanted} is wanted; it holds for a clean whole gasket and latches shut",
                given,
                wanted
            ),
            law(),
        )
    } else {
        let tests: Vec<Said> = ingress_tests(wanted)
            .into_iter()
            .map(|test| {
                said!(
                    "{code}: {condition}",
                    code = test.code,
                    condition = test.condition
                )
            })
            .collect();
        Judged::new(
            Verdict::Fails,
            said!(
                "{given} is given where {wanted} is wanted: it lacks {lacks}",
                lacks = Said::all(lacks),
                given,
                wanted
            ),
            law(),
        )
        .finding(
            Severity::Caution,
            said!(
                "take another shell, bag the contents, or have it tested ({tests})",
                tests = Said::row(tests, "; ")
            ),
        )
    }]
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::fixture::{ask, ask_journey, parcel};
    use super::*;
    use crate::{IngressCode, Journey, Leg};

    fn with(given: &str, wanted: &str) -> Judged {
        let mut leg = Leg::new(LegKind::OffRoad, "ford");
        leg.ingress_wanted = Some(IngressCode::parse(wanted).unwrap());
        let mut journey = Journey::new("out", vec![leg]);
        journey.case.ingress = Some(IngressCode::parse(given).unwrap());
        ask_journey(&RULE, &parcel(), &journey).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let jets = with("IP67", "IP65");
        assert_eq!(
            (jets.verdict, jets.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert!(ask(&RULE, &parcel(), LegKind::OffRoad).missing.is_some());
    }

    #[test]
    fn passing_case() {
        let dry = with("IP67", "IP54");
        assert_eq!((dry.verdict, dry.severity), (Verdict::Indicative, None));
    }
}
