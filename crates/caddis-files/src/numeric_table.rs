//! A table of numbers as CSV: one header line whose cells carry the units, numbers below.

use crate::error::{FileError, FilePlace};

/// A column's name and unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Column {
    pub(crate) header: String,
    pub(crate) name: String,
    /// Lower case, without spaces, `^`, `²` as `2`; empty when the header has none.
    pub(crate) unit: String,
}

/// The table with the line each row stands on.
#[derive(Debug, Clone)]
pub(crate) struct NumericTable {
    file: String,
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<(usize, Vec<f64>)>,
}

impl NumericTable {
    /// Reads comma, semicolon or tab separated numbers; `#` starts a comment line.
    pub(crate) fn read(bytes: &[u8], file: &str, example: &str) -> Result<Self, FileError> {
        let mut table = Self {
            file: file.to_owned(),
            columns: Vec::new(),
            rows: Vec::new(),
        };
        let text = std::str::from_utf8(bytes).map_err(|error| {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
            table.error(
                Some(1 + good.matches('\n').count()),
                "",
                "the file is not UTF-8 text",
                "save it as plain text (UTF-8)",
            )
        })?;
        let text = text.trim_start_matches('\u{feff}');
        let first = text
            .lines()
            .find(|line| !line.trim().is_empty() && !line.starts_with('#'))
            .unwrap_or("");
        let delimiter = [b';', b'\t', b',']
            .into_iter()
            .find(|d| first.as_bytes().contains(d))
            .unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .comment(Some(b'#'))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map(|p| p.line() as usize);
                table.error(
                    line,
                    "",
                    &format!("this is not a table: {error}"),
                    "write one row a line",
                )
            })?;
            let line = record.position().map_or(0, |p| p.line() as usize);
            if record.iter().all(str::is_empty) {
                continue;
            }
            if table.columns.is_empty() {
                table.columns = record.iter().map(column).collect();
                continue;
            }
            if record.len() != table.columns.len() {
                return Err(table.error(
                    Some(line),
                    "",
                    &format!(
                        "{} values stand under {} headings",
                        record.len(),
                        table.columns.len()
                    ),
                    "write one number under each heading",
                ));
            }
            let mut row = Vec::with_capacity(record.len());
            for (cell, column) in record.iter().zip(&table.columns) {
                match cell.parse::<f64>() {
                    Ok(value) if value.is_finite() => row.push(value),
                    _ => {
                        return Err(table.error(
                            Some(line),
                            &column.header,
                            &format!("`{cell}` is not a number"),
                            "write a plain number with a decimal point; the heading carries the unit",
                        ));
                    }
                }
            }
            table.rows.push((line, row));
        }
        if table.rows.is_empty() {
            return Err(table.error(
                None,
                "",
                "the file holds no numbers",
                &format!("write a heading line, e.g. `{example}`, and numbers below it"),
            ));
        }
        Ok(table)
    }

    pub(crate) fn error(&self, line: Option<usize>, column: &str, problem: &str, hint: &str) -> FileError {
        FileError::Content {
            place: Box::new(FilePlace {
                file: self.file.clone(),
                line,
                field: if column.is_empty() {
                    String::new()
                } else {
                    format!("column `{column}`")
                },
            }),
            problem: problem.to_owned(),
            hint: Some(hint.to_owned()),
        }
    }

    /// The factor of a column's unit among those known.
    pub(crate) fn factor(&self, at: usize, known: &[(&str, f64)], what: &str) -> Result<f64, FileError> {
        let column = &self.columns[at];
        let found = known.iter().find(|(unit, _)| *unit == column.unit);
        found.map(|(_, factor)| *factor).ok_or_else(|| {
            let problem = if column.unit.is_empty() {
                format!("the heading of the {what} has no unit")
            } else {
                format!("`{}` is no unit of the {what} known here", column.unit)
            };
            self.error(
                None,
                &column.header,
                &problem,
                &format!(
                    "write the unit behind the name, e.g. `{} [{}]`; known are {}",
                    column.name,
                    known[0].0,
                    known.iter().map(|(unit, _)| *unit).collect::<Vec<_>>().join(", ")
                ),
            )
        })
    }
}

/// `name [unit]`, `name (unit)`, `name_unit`.
fn column(header: &str) -> Column {
    let header = header.trim();
    let bracketed = header
        .strip_suffix(']')
        .and_then(|h| h.rsplit_once('['))
        .or_else(|| {
            // The unit itself may hold brackets: "density ((m/s2)2/Hz)".
            let open = header.find('(')?;
            Some((&header[..open], header[open + 1..].strip_suffix(')')?))
        });
    let (name, unit) = bracketed
        .or_else(|| header.split_once('_'))
        .unwrap_or((header, ""));
    Column {
        header: header.to_owned(),
        name: name.trim().to_lowercase(),
        unit: unit
            .to_lowercase()
            .replace([' ', '^', '*'], "")
            .replace('²', "2")
            .replace("_per_", "/")
            .replace("m_s2", "m/s2")
            .replace("g_rms", "g"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn headings_carry_their_units() {
        for (header, name, unit) in [
            ("time_s", "time", "s"),
            ("ax_m_s2", "ax", "m/s2"),
            ("Frequency [Hz]", "frequency", "hz"),
            ("density (g²/Hz)", "density", "g2/hz"),
            ("density_g2_per_Hz", "density", "g2/hz"),
            ("psd [(m/s^2)^2/Hz]", "psd", "(m/s2)2/hz"),
            ("psd ((m/s2)2/Hz)", "psd", "(m/s2)2/hz"),
            ("frequency", "frequency", ""),
        ] {
            let got = column(header);
            assert_eq!((got.name.as_str(), got.unit.as_str()), (name, unit), "{header}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,80}") {
            let _ = NumericTable::read(text.as_bytes(), "t.csv", "a_s,b_g");
        }
    }
}
