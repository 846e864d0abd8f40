//! Drop tests: the plan and the file to fill in, and measured drops held against the calculation.

use crate::failure::Failure;
use caddis_basis::{Certainty, Domain, Finding, Margin, Severity, Source, Verdict, said};
use caddis_design::{Brief, Verification, predictions};
use caddis_files::{FileError, FilePlace, Job, TestResults, read_test_results};
use caddis_journey::{Comparison, JourneyError, compare};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

/// Measured drops as read, with the name of their file.
#[derive(Debug)]
pub(crate) struct Tests {
    file: String,
    results: TestResults,
}

/// Reads measured drops of this job.
pub(crate) fn read(path: &Path, job: &Job) -> Result<Tests, Failure> {
    let file = path.display().to_string();
    let place = || {
        Box::new(FilePlace {
            file: file.clone(),
            line: None,
            field: String::new(),
        })
    };
    let bytes = std::fs::read(path).map_err(|reason| {
        if reason.kind() == std::io::ErrorKind::NotFound {
            FileError::Missing {
                place: place(),
                what: "file of results".to_owned(),
                looked: vec![file.clone()],
                hint: Some(
                    "fill in the `test-results.toml` that `caddis present` writes, and name it".to_owned(),
                ),
            }
        } else {
            FileError::Unreadable {
                place: place(),
                reason: reason.to_string(),
            }
        }
    })?;
    let results = read_test_results(&bytes, &file, &job.brief.job)?;
    Ok(Tests { file, results })
}

impl Tests {
    /// Holds them against the calculation. What contradicts it becomes a failing finding, so that it blocks release.
    pub(crate) fn compare(
        &self,
        brief: &Brief,
        verification: &mut Verification,
    ) -> Result<Vec<Comparison>, Failure> {
        let compared = compare(
            &self.results.results,
            &predictions(brief, verification),
            &self.results.band,
        )
        .map_err(|error| self.refused(&error))?;
        for row in compared.iter().filter(|row| row.verdict == Verdict::Fails) {
            let mut finding = Finding::new(
                "test-contradicts-calculation",
                Domain::Protection,
                Severity::Failing,
                said!("{place}, test row {row}", place = row.place, row = row.row),
                row.sentence.clone(),
                Source::new(format!("drop tests, {}", self.file), Certainty::Measured),
            )
            .remedy(said!(
                "find out which is wrong, the test or the foam's law, and correct it; cut nothing until then"
            ));
            if let Some((measured, calculated)) = row.peaks {
                finding = finding.margin(Margin::at_most(
                    measured,
                    calculated * self.results.band.high,
                    "G",
                ));
            }
            verification.findings.push(finding);
        }
        caddis_basis::sort_findings(&mut verification.findings);
        Ok(compared)
    }

    fn refused(&self, error: &JourneyError) -> FileError {
        let field = match error {
            JourneyError::UnknownItem { row, .. } => format!("results[{}].item", row - 1),
            _ => "results".to_owned(),
        };
        let message = error.to_string();
        let (problem, hint) = match message.split_once("; ") {
            Some((problem, hint)) => (problem.to_owned(), Some(hint.to_owned())),
            None => (message, None),
        };
        FileError::Content {
            place: Box::new(FilePlace {
                file: self.file.clone(),
                line: None,
                field,
            }),
            problem,
            hint,
        }
    }
}

/// One line a measured drop.
pub(crate) fn text(compared: &[Comparison]) -> String {
    let mut text = String::new();
    for row in compared {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{:<28} {:<15}  {}",
            format!("test {}: {}", row.row, row.place),
            row.standing.words(),
            row.sentence
        );
    }
    text
}

/// The measured drops as data.
pub(crate) fn json(compared: &[Comparison]) -> Value {
    compared
        .iter()
        .map(|row| {
            json!({
                "row": row.row,
                "place": row.place,
                "standing": row.standing.words(),
                "verdict": row.verdict.words(),
                "measured_g": row.peaks.map(|(measured, _)| measured),
                "calculated_g": row.peaks.map(|(_, calculated)| calculated),
                "sentence": row.sentence,
            })
        })
        .collect()
}
