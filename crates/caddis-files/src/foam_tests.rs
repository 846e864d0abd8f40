//! A shop's own foam tests as CSV: drops, or one compression. Units stand in the headers.

use crate::error::{FileError, FilePlace};
use crate::suggest::closest;
use caddis_basis::{Acceleration, Density, Length, Parse, Pressure, Temperature};
use caddis_protection::fit::{CompressionReading, DropTest, FitError};

/// What a file of tests holds.
#[derive(Debug, Clone, PartialEq)]
pub enum FoamTests {
    /// Drops on cushions.
    Drops(Vec<DropTest>),
    /// One compression test, with its rate (strain per second) and temperature where its columns state them.
    Compression {
        /// The readings in order.
        readings: Vec<CompressionReading>,
        /// Strain per second.
        strain_rate: Option<f64>,
        /// Temperature of the test.
        temperature: Option<Temperature>,
    },
}

/// A file of tests, with what it takes to say where a row is.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamTestFile {
    /// The tests.
    pub tests: FoamTests,
    /// Columns that nothing is read from.
    pub unread: Vec<String>,
    file: String,
    lines: Vec<usize>,
}

/// Columns with the names they go by.
const DENSITY: &[&str] = &["density"];
const THICKNESS: &[&str] = &["thickness"];
const HEIGHT: &[&str] = &["drop height", "height", "drop"];
const STATIC_STRESS: &[&str] = &["static stress", "static loading", "static load"];
const PEAK: &[&str] = &["peak", "peak acceleration", "acceleration"];
const IMPACT: &[&str] = &["impact", "impact number", "impact no", "drop number"];
const STRAIN: &[&str] = &["strain", "compression"];
const STRESS: &[&str] = &["stress", "compressive stress"];
/// Of a compression test; in 1/s, the rate of the whole test.
const STRAIN_RATE: &[&str] = &["strain rate", "rate"];
const TEMPERATURE: &[&str] = &["temperature"];
const DROP_COLUMNS: [&[&str]; 6] = [DENSITY, THICKNESS, HEIGHT, STATIC_STRESS, PEAK, IMPACT];
/// What a good header looks like.
const EXAMPLE: &str = "density (kg/m3),thickness (mm),drop height (mm),static stress (kPa),peak (G),impact";

/// Reads a file of tests; `file` is what messages call it.
///
/// Lines that start with `#` are words. The delimiter is a comma, a semicolon (decimal commas allowed) or a tab.
///
/// # Errors
/// No table of either kind; a row that is short, empty in a column, without a unit or not a number: with line, column, what
/// was found and what would do.
pub fn read_foam_tests(bytes: &[u8], file: &str) -> Result<FoamTestFile, FileError> {
    let table = Table::read(bytes, file)?;
    let has = |names| table.column(names).is_some();
    if has(STRAIN) && has(STRESS) {
        return table.compression();
    }
    if has(PEAK) || has(STATIC_STRESS) {
        return table.drops();
    }
    Err(table.error(
        Some(table.header_line),
        String::new(),
        format!(
            "the columns {} are neither drops nor a compression test",
            table.header.join(", ")
        ),
        format!("drops need `{EXAMPLE}`; a compression test needs `strain (%),stress (kPa)`"),
    ))
}

impl FoamTestFile {
    /// The file error that a refused fit is.
    pub fn locate(&self, error: &FitError) -> FileError {
        let (line, problem) = match error {
            FitError::Row { row, problem } => (self.lines.get(*row).copied(), problem.clone()),
            FitError::Rows(problem) => (None, problem.clone()),
        };
        FileError::Content {
            place: Box::new(FilePlace {
                file: self.file.clone(),
                line,
                field: String::new(),
            }),
            problem,
            hint: None,
        }
    }

    /// The line of a test in its file.
    pub fn line(&self, row: usize) -> usize {
        self.lines.get(row).copied().unwrap_or(0)
    }
}

/// A delimited text with its header.
struct Table {
    file: String,
    header: Vec<String>,
    header_line: usize,
    /// Line and cells.
    rows: Vec<(usize, Vec<String>)>,
    has_decimal_commas: bool,
}

/// A column: its place, its header and the unit in it.
#[derive(Clone)]
struct Column {
    at: usize,
    header: String,
    unit: Option<String>,
}

impl Table {
    fn read(bytes: &[u8], file: &str) -> Result<Self, FileError> {
        let mut table = Self {
            file: file.to_owned(),
            header: Vec::new(),
            header_line: 0,
            rows: Vec::new(),
            has_decimal_commas: false,
        };
        let text = std::str::from_utf8(bytes).map_err(|error| {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
            let line = 1 + good.matches('\n').count();
            table.error(
                Some(line),
                String::new(),
                "the file is not UTF-8 text".to_owned(),
                "save it as plain text (UTF-8)".to_owned(),
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
        table.has_decimal_commas = delimiter != b',';
        // Line by line, so that every message names its line: cells of a test do not run over lines.
        for (index, words) in text.lines().enumerate() {
            if words.trim().is_empty() || words.starts_with('#') {
                continue;
            }
            let mut reader = csv::ReaderBuilder::new()
                .delimiter(delimiter)
                .has_headers(false)
                .trim(csv::Trim::All)
                .from_reader(words.as_bytes());
            let record = match reader.records().next() {
                Some(Ok(record)) => record,
                Some(Err(error)) => {
                    return Err(table.error(
                        Some(index + 1),
                        String::new(),
                        format!("this is not a table: {error}"),
                        "write one test a line".to_owned(),
                    ));
                }
                None => continue,
            };
            let cells: Vec<String> = record.iter().map(str::to_owned).collect();
            if cells.iter().all(String::is_empty) {
                continue;
            }
            if table.header.is_empty() {
                table.header = cells;
                table.header_line = index + 1;
            } else {
                table.rows.push((index + 1, cells));
            }
        }
        if table.rows.is_empty() {
            return Err(table.error(
                None,
                String::new(),
                "the file holds no tests".to_owned(),
                format!("write a header line, e.g. `{EXAMPLE}`, and one test a line below it"),
            ));
        }
        Ok(table)
    }

    fn error(&self, line: Option<usize>, field: String, problem: String, hint: String) -> FileError {
        FileError::Content {
            place: Box::new(FilePlace {
                file: self.file.clone(),
                line,
                field,
            }),
            problem,
            hint: Some(hint),
        }
    }

    /// The column that goes by one of these names.
    fn column(&self, names: &[&str]) -> Option<Column> {
        self.header.iter().enumerate().find_map(|(at, header)| {
            let (name, unit) = name_and_unit(header);
            let plain = words(header);
            let (matches, unit) = if names.contains(&plain.as_str()) {
                (true, None)
            } else {
                (names.contains(&name.as_str()), unit)
            };
            matches.then(|| Column {
                at,
                header: header.clone(),
                unit,
            })
        })
    }

    fn needed(&self, names: &[&str]) -> Result<Column, FileError> {
        self.column(names).ok_or_else(|| {
            let headers: Vec<String> = self.header.iter().map(|h| name_and_unit(h).0).collect();
            let near = closest(names[0], headers.iter().map(String::as_str));
            self.error(
                Some(self.header_line),
                String::new(),
                format!("there is no column `{}`", names[0]),
                match near {
                    Some(near) => format!("is it `{near}`? the header should read like `{EXAMPLE}`"),
                    None => format!("the header should read like `{EXAMPLE}`"),
                },
            )
        })
    }

    fn unread(&self, read: &[&[&str]]) -> Vec<String> {
        let known: Vec<usize> = read
            .iter()
            .filter_map(|names| self.column(names).map(|c| c.at))
            .collect();
        self.header
            .iter()
            .enumerate()
            .filter(|(at, _)| !known.contains(at))
            .map(|(_, header)| header.clone())
            .collect()
    }

    fn cell<'a>(&self, line: usize, cells: &'a [String], column: &Column) -> Result<&'a str, FileError> {
        cells
            .get(column.at)
            .map(String::as_str)
            .filter(|cell| !cell.is_empty())
            .ok_or_else(|| {
                self.error(
                    Some(line),
                    format!("column `{}`", column.header),
                    "the cell is empty".to_owned(),
                    "give the value, or leave the line out".to_owned(),
                )
            })
    }

    fn quantity<Q: Parse>(&self, line: usize, cells: &[String], column: &Column) -> Result<Q, FileError> {
        let cell = self.cell(line, cells, column)?;
        let text = self.decimal(cell);
        let written = match &column.unit {
            Some(unit) if text.parse::<f64>().is_ok() => format!("{text} {unit}"),
            _ => text,
        };
        Q::parse_in(&written, None).map_err(|error| {
            let message = error.to_string();
            let (problem, advice) = message.split_once("; ").unwrap_or((message.as_str(), ""));
            let hint = if column.unit.is_none() {
                format!(
                    "put the unit in the header, e.g. `{} ({})`",
                    column.header,
                    Q::UNITS.first().map_or("", |unit| unit.0)
                )
            } else if advice.is_empty() {
                format!("give a number in {}", column.unit.as_deref().unwrap_or_default())
            } else {
                advice.to_owned()
            };
            self.error(
                Some(line),
                format!("column `{}`", column.header),
                problem.to_owned(),
                hint,
            )
        })
    }

    fn positive<Q: Parse>(&self, line: usize, cells: &[String], column: &Column) -> Result<Q, FileError> {
        let quantity: Q = self.quantity(line, cells, column)?;
        if quantity.si() > 0.0 {
            return Ok(quantity);
        }
        Err(self.error(
            Some(line),
            format!("column `{}`", column.header),
            format!("`{}` is not above zero", self.cell(line, cells, column)?),
            format!("give a value above zero, e.g. `{}`", Q::EXAMPLE),
        ))
    }

    fn decimal(&self, cell: &str) -> String {
        if self.has_decimal_commas {
            cell.replace(',', ".")
        } else {
            cell.to_owned()
        }
    }

    fn drops(&self) -> Result<FoamTestFile, FileError> {
        let density = self.needed(DENSITY)?;
        let thickness = self.needed(THICKNESS)?;
        let height = self.needed(HEIGHT)?;
        let stress = self.needed(STATIC_STRESS)?;
        let mut peak = self.needed(PEAK)?;
        // Of an acceleration, `g` can only mean G.
        peak.unit = peak
            .unit
            .map(|unit| if unit == "g" { "G".to_owned() } else { unit });
        let impact = self.needed(IMPACT)?;
        let mut tests = Vec::with_capacity(self.rows.len());
        for (line, cells) in &self.rows {
            let number = self.cell(*line, cells, &impact)?;
            let impact = number.parse::<u32>().ok().filter(|n| *n >= 1).ok_or_else(|| {
                self.error(
                    Some(*line),
                    format!("column `{}`", impact.header),
                    format!("`{number}` is not a whole number from 1"),
                    "number the impacts on each specimen: 1 is the first".to_owned(),
                )
            })?;
            tests.push(DropTest {
                density: self.positive::<Density>(*line, cells, &density)?,
                thickness: self.positive::<Length>(*line, cells, &thickness)?,
                height: self.positive::<Length>(*line, cells, &height)?,
                static_stress: self.positive::<Pressure>(*line, cells, &stress)?,
                peak: self.positive::<Acceleration>(*line, cells, &peak)?,
                impact,
            });
        }
        Ok(self.done(FoamTests::Drops(tests), &DROP_COLUMNS))
    }

    fn compression(&self) -> Result<FoamTestFile, FileError> {
        let strain = self.needed(STRAIN)?;
        let stress = self.needed(STRESS)?;
        let mut readings = Vec::with_capacity(self.rows.len());
        for (line, cells) in &self.rows {
            readings.push(CompressionReading {
                strain: self.strain(*line, cells, &strain)?,
                stress: self.quantity::<Pressure>(*line, cells, &stress)?,
            });
        }
        // Of the whole test: the first row that states them.
        let stated = |column: &Column| {
            (self.rows.iter())
                .find(|(_, cells)| cells.get(column.at).is_some_and(|cell| !cell.is_empty()))
                .map(|(line, cells)| (*line, cells))
        };
        let strain_rate = match self.column(STRAIN_RATE) {
            Some(column) => stated(&column)
                .map(|(line, cells)| self.rate(line, cells, &column))
                .transpose()?,
            None => None,
        };
        let temperature = match self.column(TEMPERATURE) {
            Some(column) => stated(&column)
                .map(|(line, cells)| self.positive::<Temperature>(line, cells, &column))
                .transpose()?,
            None => None,
        };
        let tests = FoamTests::Compression {
            readings,
            strain_rate,
            temperature,
        };
        Ok(self.done(tests, &[STRAIN, STRESS, STRAIN_RATE, TEMPERATURE]))
    }

    /// Strain per second.
    fn rate(&self, line: usize, cells: &[String], column: &Column) -> Result<f64, FileError> {
        let cell = self.cell(line, cells, column)?;
        self.decimal(cell)
            .parse::<f64>()
            .ok()
            .filter(|rate| rate.is_finite() && *rate > 0.0)
            .filter(|_| column.unit.as_deref().is_none_or(|unit| unit == "1/s"))
            .ok_or_else(|| {
                self.error(
                    Some(line),
                    format!("column `{}`", column.header),
                    format!("`{cell}` is no rate of strain"),
                    "head the column `strain rate (1/s)` and give the strain per second, above zero"
                        .to_owned(),
                )
            })
    }

    fn strain(&self, line: usize, cells: &[String], column: &Column) -> Result<f64, FileError> {
        let cell = self.cell(line, cells, column)?;
        let text = self.decimal(cell);
        let (number, is_percent) = match text.strip_suffix('%') {
            Some(number) => (number.trim(), true),
            None => (
                text.as_str(),
                matches!(column.unit.as_deref(), Some("%" | "percent")),
            ),
        };
        let value = number
            .parse::<f64>()
            .ok()
            .filter(|v| v.is_finite())
            .ok_or_else(|| {
                self.error(
                    Some(line),
                    format!("column `{}`", column.header),
                    format!("`{cell}` is not a number"),
                    "give a fraction of the thickness, or percent with `strain (%)` in the header".to_owned(),
                )
            })?;
        Ok(if is_percent { value / 100.0 } else { value })
    }

    fn done(&self, tests: FoamTests, read: &[&[&str]]) -> FoamTestFile {
        FoamTestFile {
            tests,
            unread: self.unread(read),
            file: self.file.clone(),
            lines: self.rows.iter().map(|(line, _)| *line).collect(),
        }
    }
}

/// Lower case, words apart by one space.
fn words(header: &str) -> String {
    header
        .to_lowercase()
        .split([' ', '_', '-', '.'])
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// `drop height (mm)`, `drop_height_mm` and `Drop height [mm]` are one name and one unit.
fn name_and_unit(header: &str) -> (String, Option<String>) {
    let header = header.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, unit)) = header.strip_suffix(close).and_then(|rest| rest.rsplit_once(open)) {
            return (words(name), Some(unit.trim().to_owned()));
        }
    }
    match header.rsplit_once([' ', '_', ',']) {
        Some((name, unit)) if !name.trim().is_empty() => (words(name), Some(unit.trim().to_owned())),
        _ => (words(header), None),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    const HEADER: &str =
        "density (kg/m3),thickness (mm),drop height (mm),static stress (kPa),peak (G),impact";

    fn read(text: &str) -> Result<FoamTestFile, FileError> {
        read_foam_tests(text.as_bytes(), "tests.csv")
    }

    #[test]
    fn headers_carry_units_in_every_usual_way() {
        let other = "Density [lb/ft3];Thickness in;drop_height_in;Static stress_psi;peak g;Impact no.;lab\n\
                     1,87;2;24;0,29;60,5;1;A\n";
        let found = read(other).unwrap();
        let FoamTests::Drops(tests) = &found.tests else {
            panic!("drops")
        };
        assert!((tests[0].density.si() - 29.95).abs() < 0.01);
        assert!((tests[0].thickness.as_mm() - 50.8).abs() < 1e-9);
        assert!((tests[0].static_stress.si() - 1999.48).abs() < 0.01);
        assert!((tests[0].peak.as_g() - 60.5).abs() < 1e-9);
        assert_eq!(found.unread, ["lab"]);
        let with_words = format!("# our own tower\n{HEADER}\n\n30,50,600,2,34.7,1\n30,2 in,600,2,34.7,2\n");
        let found = read(&with_words).unwrap();
        let FoamTests::Drops(tests) = &found.tests else {
            panic!("drops")
        };
        assert!((tests[1].thickness.as_mm() - 50.8).abs() < 1e-9);
        assert_eq!((found.line(0), found.line(1)), (4, 5));
    }

    #[test]
    fn a_bad_row_names_line_column_and_what_would_do() {
        for (row, place, words) in [
            ("30,50,600,2,,1", "line 2, column `peak (G)`", "the cell is empty"),
            ("30,50,600,2", "line 2, column `impact`", "the cell is empty"),
            (
                "30,50,600,two,34,1",
                "line 2, column `static stress (kPa)`",
                "`two` does not start with a number",
            ),
            (
                "30,-50,600,2,34,1",
                "line 2, column `thickness (mm)`",
                "`-50` is not above zero",
            ),
            (
                "30,50,600,2,34,first",
                "line 2, column `impact`",
                "`first` is not a whole number",
            ),
            (
                "30,50 furlongs,600,2,34,1",
                "line 2, column `thickness (mm)`",
                "`furlongs`",
            ),
        ] {
            let error = read(&format!("{HEADER}\n{row}\n")).unwrap_err();
            let message = error.to_string();
            assert!(message.contains(place) && message.contains(words), "{message}");
            assert!(error.hint().is_some_and(|hint| !hint.is_empty()), "{message}");
        }
        let error = read(
            "density,thickness (mm),drop height (mm),static stress (kPa),peak (G),impact\n30,50,600,2,34,1\n",
        )
        .unwrap_err();
        assert!(error.hint().unwrap().contains("density (kg/m3)"), "{error}");
        let error = read("density (kg/m3),thicknes (mm),drop height (mm),static stress (kPa),peak (G),impact\n30,50,600,2,34,1\n")
            .unwrap_err();
        assert!(error.to_string().contains("no column `thickness`"), "{error}");
        assert!(error.hint().unwrap().contains("thicknes"), "{error}");
        assert!(
            read("a,b\n1,2\n")
                .unwrap_err()
                .to_string()
                .contains("neither drops nor")
        );
        assert!(read("").is_err() && read(HEADER).is_err());
        assert!(read_foam_tests(&[0xff, 0xfe], "x").is_err());
    }

    #[test]
    fn a_compression_test_reads_in_percent_and_fractions() {
        for text in [
            "strain (%),stress (kPa)\n10,30\n25,57\n",
            "strain,stress_kPa\n0.1,30\n25 %,57\n",
        ] {
            let FoamTests::Compression { readings, .. } = read(text).unwrap().tests else {
                panic!("compression")
            };
            assert_eq!((readings[0].strain, readings[1].strain), (0.1, 0.25));
            assert_eq!(readings[1].stress, Pressure::kpa(57.0));
        }
        let error = read("strain,stress_kPa\nx,30\n").unwrap_err();
        assert!(error.to_string().contains("line 2, column `strain`"), "{error}");
    }
}
