//! The journey on one page: every leg, what is asked, what is found, by how much, whose rule.

use crate::{Journey, LegVerdict};
use caddis_basis::{Margin, Said, Severity, Source, Verdict, said};

/// One answer, for one leg or for several that get the same.
#[derive(Debug, Clone, PartialEq)]
pub struct SummaryRow {
    /// The rule's name.
    pub rule: &'static str,
    /// The thing it looks at where it looks at several.
    pub part: Option<Said>,
    /// The legs it concerns, from 0.
    pub legs: Vec<usize>,
    /// What it concludes.
    pub verdict: Verdict,
    /// How much its finding weighs; `None` on a plain pass.
    pub severity: Option<Severity>,
    /// What was found.
    pub sentence: Said,
    /// How far from the limit, where there is one.
    pub margin: Option<Margin>,
    /// What would help, where something is found.
    pub remedy: Option<Said>,
    /// Whose rule, with edition and day.
    pub source: Source,
}

/// What stands against one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct LegSummary {
    /// The leg's label and kind.
    pub title: Said,
    /// How many answers fail.
    pub fails: usize,
    /// How many answers pass or are indicative.
    pub passes: usize,
    /// How many have nothing to judge by.
    pub open: usize,
    /// What is found on this leg alone.
    pub rows: Vec<SummaryRow>,
}

/// Something the job does not state, with the rules that wait for it.
#[derive(Debug, Clone, PartialEq)]
pub struct NotStated {
    /// What.
    pub what: Said,
    /// The rules that wait.
    pub rules: Vec<&'static str>,
    /// On which legs, from 0.
    pub legs: Vec<usize>,
}

/// The journey on one page.
#[derive(Debug, Clone, PartialEq)]
pub struct JourneySummary {
    /// What is the same on more than one leg.
    pub shared: Vec<SummaryRow>,
    /// The legs in order.
    pub legs: Vec<LegSummary>,
    /// What the job does not state, each once.
    pub not_stated: Vec<NotStated>,
}

/// Puts the verdicts of [`crate::check`] on one page: an answer that several legs share stands once, and so does what the
/// job does not state. An answer that waits for something but says nothing else is not repeated as `not known`.
pub fn journey_summary(journey: &Journey, verdicts: &[LegVerdict]) -> JourneySummary {
    let mut rows: Vec<SummaryRow> = Vec::new();
    let mut not_stated: Vec<NotStated> = Vec::new();
    let mut legs: Vec<LegSummary> = journey
        .legs
        .iter()
        .map(|leg| LegSummary {
            title: said!("{leg} ({kind})", leg = leg.label, kind = leg.kind.said()),
            fails: 0,
            passes: 0,
            open: 0,
            rows: Vec::new(),
        })
        .collect();
    for verdict in verdicts.iter().filter(|verdict| verdict.applies) {
        if let Some(leg) = legs.get_mut(verdict.leg) {
            match verdict.verdict {
                Verdict::Fails => leg.fails += 1,
                Verdict::NotKnown => leg.open += 1,
                Verdict::Holds | Verdict::Indicative => leg.passes += 1,
            }
        }
        if let Some(what) = &verdict.missing {
            let at = not_stated.iter().position(|entry| entry.what == *what);
            let at = at.unwrap_or_else(|| {
                not_stated.push(NotStated {
                    what: what.clone(),
                    rules: Vec::new(),
                    legs: Vec::new(),
                });
                not_stated.len() - 1
            });
            let entry = &mut not_stated[at];
            if !entry.rules.contains(&verdict.rule) {
                entry.rules.push(verdict.rule);
            }
            if !entry.legs.contains(&verdict.leg) {
                entry.legs.push(verdict.leg);
            }
            if verdict.verdict == Verdict::NotKnown {
                continue;
            }
        }
        let same = rows.iter_mut().find(|row| {
            row.rule == verdict.rule
                && row.part == verdict.part
                && row.verdict == verdict.verdict
                && row.sentence == verdict.sentence
                && row.source == verdict.source
        });
        match same {
            Some(row) => row.legs.push(verdict.leg),
            None => rows.push(SummaryRow {
                rule: verdict.rule,
                part: verdict.part.clone(),
                legs: vec![verdict.leg],
                verdict: verdict.verdict,
                severity: verdict.finding.as_ref().map(|finding| finding.severity),
                sentence: verdict.sentence.clone(),
                margin: verdict.margin.clone(),
                remedy: verdict
                    .finding
                    .as_ref()
                    .and_then(|finding| finding.remedy.clone()),
                source: verdict.source.clone(),
            }),
        }
    }
    let mut shared = Vec::new();
    for row in rows {
        match (row.legs.len(), legs.get_mut(row.legs[0])) {
            (1, Some(leg)) => leg.rows.push(row),
            _ => shared.push(row),
        }
    }
    JourneySummary {
        shared,
        legs,
        not_stated,
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::rules::fixture::parcel;
    use crate::{Leg, LegKind, check};

    #[test]
    fn every_answer_stands_once() {
        let journey = Journey::new(
            "out",
            vec![
                Leg::new(LegKind::CourierRoad, "to the airport"),
                Leg::new(LegKind::AirHold, "flight"),
                Leg::new(LegKind::CourierRoad, "to the camp"),
            ],
        );
        let verdicts = check(&parcel(), &journey).unwrap();
        let summary = journey_summary(&journey, &verdicts);
        let shown: usize = summary.shared.iter().map(|row| row.legs.len()).sum::<usize>()
            + summary.legs.iter().map(|leg| leg.rows.len()).sum::<usize>();
        let waits = verdicts
            .iter()
            .filter(|v| v.applies && v.missing.is_some() && v.verdict == Verdict::NotKnown)
            .count();
        assert_eq!(shown + waits, verdicts.iter().filter(|v| v.applies).count());
        assert!(
            summary
                .shared
                .iter()
                .any(|row| row.rule == "chargeable-weight" && row.legs == [0, 2])
        );
        let counted: usize = summary
            .legs
            .iter()
            .map(|leg| leg.fails + leg.passes + leg.open)
            .sum();
        assert_eq!(counted, verdicts.iter().filter(|v| v.applies).count());
        for (at, entry) in summary.not_stated.iter().enumerate() {
            assert!(
                summary.not_stated[at + 1..]
                    .iter()
                    .all(|other| other.what != entry.what)
            );
        }
    }
}
