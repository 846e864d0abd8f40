//! Results of drop tests as a file: TOML or, by its name's ending, CSV; and the file to fill in.

use crate::document::Document;
use crate::error::{Fault, FileError, FilePlace};
use crate::quoted::quoted;
use crate::written::{Bench, Written};
use caddis_basis::{Acceleration, Length};
use caddis_journey::{ComparisonBand, JourneyError, Landing, Prediction, TestResult};
use serde::Deserialize;
use std::fmt::Write;

/// Results with the band they are held against.
#[derive(Debug, Clone, PartialEq)]
pub struct TestResults {
    /// The measured drops in the order of the file.
    pub results: Vec<TestResult>,
    /// The band.
    pub band: ComparisonBand,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct ResultsFile {
    #[serde(rename = "schema")]
    _schema: u32,
    /// The job they belong to; a wrong one is an error.
    job: String,
    /// Fractions of the calculated peak, low and high.
    band: Option<[f64; 2]>,
    #[serde(default)]
    results: Vec<ResultFile>,
}

/// One measured drop; also one line of the CSV form.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct ResultFile {
    drop: String,
    item: String,
    height: Written,
    peak: Written,
    #[serde(default)]
    damage: String,
}

/// Reads results of drop tests made for the job `job`; `file` is what messages call it. A name that ends in `.csv` is read as
/// CSV with the columns drop, item, height, peak, damage, which carries no job and no band of its own.
///
/// # Errors
/// Anything that is no such file, with file, line, field and what would do; no result at all; results of another job.
pub fn read_test_results(bytes: &[u8], file: &str, job: &str) -> Result<TestResults, FileError> {
    let is_csv = std::path::Path::new(file)
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
    if is_csv {
        return read_csv(bytes, file);
    }
    let document = Document::new(bytes, file)?;
    let written: ResultsFile = document.parse()?;
    convert(&written, job).map_err(|fault| document.locate(fault))
}

fn convert(written: &ResultsFile, job: &str) -> Result<TestResults, Fault> {
    if written.job != job {
        return Err(
            Fault::new("job", format!("these are results of the job `{}`", written.job))
                .hint(format!("this job is `{job}`; name its own results")),
        );
    }
    let mut band = ComparisonBand::default();
    if let Some([low, high]) = written.band {
        if !(low > 0.0 && low < 1.0 && high > 1.0 && high.is_finite()) {
            return Err(Fault::new("band", format!("{low} to {high} is no band round 1"))
                .hint("write fractions of the calculated peak, e.g. `band = [0.75, 1.25]`"));
        }
        (band.low, band.high) = (low, high);
    }
    if written.results.is_empty() {
        return Err(Fault::new("results", "there is no result in the file")
            .hint("take the `#` off the lines that were measured and fill in their peaks"));
    }
    let results = written
        .results
        .iter()
        .enumerate()
        .map(|(index, row)| result(row, index, &format!("results[{index}].")))
        .collect::<Result<_, _>>()?;
    Ok(TestResults { results, band })
}

/// One row; `prefix` goes before its fields.
fn result(row: &ResultFile, index: usize, prefix: &str) -> Result<TestResult, Fault> {
    let bench = Bench::new(None)?;
    let at = |key: &str| format!("{prefix}{key}");
    if row.item.trim().is_empty() {
        return Err(Fault::new(at("item"), "the item is empty")
            .hint("name the piece as the test plan does, e.g. `seismometer/1`"));
    }
    Ok(TestResult {
        row: index + 1,
        item: row.item.trim().to_owned(),
        landing: Landing::parse(&row.drop).map_err(|error: JourneyError| {
            let message = error.to_string();
            let hint = message.split_once("; ").map_or("", |(_, hint)| hint).to_owned();
            Fault::new(at("drop"), format!("`{}` is no landing", row.drop.trim())).hint(hint)
        })?,
        height: bench.positive::<Length>(&row.height, &at("height"))?,
        peak: bench.positive::<Acceleration>(&row.peak, &at("peak"))?,
        damage: match row.damage.trim() {
            "none" | "-" => String::new(),
            words => words.to_owned(),
        },
    })
}

fn read_csv(bytes: &[u8], file: &str) -> Result<TestResults, FileError> {
    let content = |line: Option<u64>, fault: Fault| FileError::Content {
        place: Box::new(FilePlace {
            file: file.to_owned(),
            line: line.and_then(|line| usize::try_from(line).ok()),
            field: fault.field,
        }),
        problem: fault.problem,
        hint: fault.hint,
    };
    let columns = "the first line names the columns: drop,item,height,peak,damage";
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(bytes);
    let mut results = Vec::new();
    for (index, row) in reader.deserialize::<ResultFile>().enumerate() {
        let row = row.map_err(|error| {
            let line = error.position().map(csv::Position::line);
            content(
                line,
                Fault::new("", format!("this is no line of results: {error}")).hint(columns),
            )
        })?;
        // The header is line 1.
        let line = Some(index as u64 + 2);
        results.push(result(&row, index, "").map_err(|fault| content(line, fault))?);
    }
    if results.is_empty() {
        return Err(content(
            None,
            Fault::new("", "there is no result in the file").hint(columns),
        ));
    }
    Ok(TestResults {
        results,
        band: ComparisonBand::default(),
    })
}

/// The file to fill in: every calculated landing as a line to take the `#` off.
pub fn test_results_template(job: &str, predictions: &[Prediction]) -> String {
    let mut text = format!(
        "# Results of the drop tests of {job}. Take the # off each line that was measured and write its peak, filtered as the\n# test plan says, and what was damaged. Then: caddis verify JOB --results THIS-FILE\n# Edges and corners may be added (drop = \"base-front-left\"); the test plan says what is calculated for them.\nschema = 1\njob = {}\nband = [0.75, 1.25] # a measured peak bears the calculation out within these fractions (common practice)\nresults = [\n",
        quoted(job)
    );
    for prediction in predictions
        .iter()
        .filter(|prediction| prediction.landing.face().is_some())
    {
        let calculated = prediction.peak.map_or_else(
            || "calculated to bottom".to_owned(),
            |peak| format!("calculated {:.0} G", peak.as_g()),
        );
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "    # {{ drop = \"{}\", item = {}, height = \"{:.0} mm\", peak = \" G\", damage = \"none\" }}, # {calculated}",
            prediction.landing,
            quoted(&prediction.item),
            prediction.height.as_mm()
        );
    }
    text.push_str("]\n");
    text
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn predictions() -> Vec<Prediction> {
        vec![Prediction {
            item: "seismometer/1".to_owned(),
            landing: Landing::parse("base").unwrap(),
            height: Length::mm(460.0),
            peak: Some(Acceleration::g(49.0)),
            limit: None,
        }]
    }

    #[test]
    fn the_file_to_fill_in_is_read_once_it_is_filled_in() {
        let empty = test_results_template("TR-1", &predictions());
        let error = read_test_results(empty.as_bytes(), "results.toml", "TR-1").unwrap_err();
        assert!(error.to_string().contains("no result"), "{error}");
        let filled = empty.replace("    # {", "    {").replace("\" G\"", "\"52 G\"");
        let read = read_test_results(filled.as_bytes(), "results.toml", "TR-1").unwrap();
        assert_eq!(read.results.len(), 1);
        assert!((read.results[0].peak.as_g() - 52.0).abs() < 1e-9 && read.results[0].damage.is_empty());
        let other = read_test_results(filled.as_bytes(), "results.toml", "TR-2").unwrap_err();
        assert_eq!(other.place().field, "job");
    }

    #[test]
    fn csv_is_read_with_its_lines() {
        let good = "drop,item,height,peak,damage\nbase,seismometer/1,460 mm,52 G,none\n";
        assert_eq!(
            read_test_results(good.as_bytes(), "results.csv", "TR-1")
                .unwrap()
                .results
                .len(),
            1
        );
        for (text, line, word) in [
            (good.replace("52 G", "52"), Some(2), "no unit"),
            (good.replace("base,", "top,"), Some(2), "no landing"),
            (good.replace("damage", "harm"), Some(2), "harm"),
            (good.replace(",none", ",none,more"), Some(2), "fields"),
            ("drop,item,height,peak,damage\n".to_owned(), None, "no result"),
            (String::new(), None, "no result"),
        ] {
            let error = read_test_results(text.as_bytes(), "results.csv", "TR-1").unwrap_err();
            assert_eq!(error.place().line, line, "{error}");
            assert!(error.to_string().contains(word), "{error}");
        }
    }

    #[test]
    fn wrong_rows_are_named() {
        let text = |row: &str| format!("schema = 1\njob = \"TR-1\"\nresults = [\n{row}\n]\n");
        for (row, field) in [
            (
                r#"{ drop = "roof", item = "a/1", height = "460 mm", peak = "50 G" }"#,
                "results[0].drop",
            ),
            (
                r#"{ drop = "base", item = " ", height = "460 mm", peak = "50 G" }"#,
                "results[0].item",
            ),
            (
                r#"{ drop = "base", item = "a/1", height = "0 mm", peak = "50 G" }"#,
                "results[0].height",
            ),
            (
                r#"{ drop = "base", item = "a/1", height = "460 mm", peak = "50 g" }"#,
                "results[0].peak",
            ),
        ] {
            let error = read_test_results(text(row).as_bytes(), "results.toml", "TR-1").unwrap_err();
            assert_eq!(error.place().field, field, "{error}");
            assert!(error.hint().is_some(), "{error}");
        }
    }
}
