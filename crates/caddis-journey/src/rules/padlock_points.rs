//! A case out of sight can be locked.

use super::{Judged, Question, Rule};
use crate::LegKind;
use caddis_basis::{Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "padlock-points",
    sentence: || said!("a case that leaves its owner's sight has a lock or a place for a padlock"),
    reason: || said!("latches alone neither keep a hand out nor show that one was in"),
    source: |_| Source::common_practice(),
    applies: |question| !matches!(question.leg.kind, LegKind::AirCabin | LegKind::HandCarry),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (points, locks) = (question.parcel.padlock_points, question.parcel.locks);
    let source = Source::common_practice();
    let found = said!("{points} padlock points, {locks} locks built in", points, locks);
    vec![if points == 0 && locks == 0 {
        Judged::new(Verdict::Fails, found, source).finding(
            Severity::Note,
            said!("choose a shell with padlock points, or strap and seal the case"),
        )
    } else if question.leg.kind == LegKind::AirHold {
        Judged::new(Verdict::Holds, found, source).finding(
            Severity::Note,
            said!("baggage screening may open the case: use locks that it can open, and lay the packing plan on top"),
        )
    } else {
        Judged::new(Verdict::Holds, found, source)
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel};
    use super::*;

    #[test]
    fn failing_case() {
        let mut open = parcel();
        open.padlock_points = 0;
        let judged = ask(&RULE, &open, LegKind::Store);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Note))
        );
        open.locks = 1;
        assert_eq!(ask(&RULE, &open, LegKind::Store).severity, None);
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &parcel(), LegKind::PalletFreight);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
        assert_eq!(
            ask(&RULE, &parcel(), LegKind::AirHold).severity,
            Some(Severity::Note)
        );
    }
}
