//! A spectral density as CSV: frequency and density, the units in the headings.

use crate::error::FileError;
use crate::numeric_table::NumericTable;
use caddis_basis::{STANDARD_GRAVITY, Said, Source};
use caddis_protection::vibration::Spectrum;

const EXAMPLE: &str = "frequency_Hz,density_g2_per_Hz";
/// Units of acceleration spectral density and their factor to (m/s²)²/Hz.
const DENSITY: [(&str, f64); 4] = [
    ("g2/hz", STANDARD_GRAVITY * STANDARD_GRAVITY),
    ("(m/s2)2/hz", 1.0),
    ("m2/s3", 1.0),
    ("m2/s4/hz", 1.0),
];

/// Reads a spectrum; `title` is what papers call it, `file` what messages call it.
///
/// # Errors
/// Text that is no table of two columns with units, frequencies that do not rise, a value not above zero: with file,
/// line and column.
pub fn read_spectrum(bytes: &[u8], title: &str, source: Source, file: &str) -> Result<Spectrum, FileError> {
    let table = NumericTable::read(bytes, file, EXAMPLE)?;
    if table.columns.len() != 2 {
        return Err(table.error(
            None,
            "",
            &format!(
                "a spectrum has two columns, frequency and density; here are {}",
                table.columns.len()
            ),
            &format!("write the headings `{EXAMPLE}`"),
        ));
    }
    let hertz = table.factor(0, &[("hz", 1.0), ("khz", 1e3)], "frequency")?;
    let density = table.factor(1, &DENSITY, "density")?;
    let mut before = 0.0;
    let mut points = Vec::with_capacity(table.rows.len());
    for (line, row) in &table.rows {
        for (value, column) in row.iter().zip(&table.columns) {
            if *value <= 0.0 {
                return Err(table.error(
                    Some(*line),
                    &column.header,
                    &format!("{value} is not above zero"),
                    "leave out what is zero: straight lines on log-log paper join the points",
                ));
            }
        }
        if row[0] <= before {
            return Err(table.error(
                Some(*line),
                &table.columns[0].header,
                &format!("{} does not rise over {before} before it", row[0]),
                "write the points in rising frequency",
            ));
        }
        before = row[0];
        points.push((row[0] * hertz, row[1] * density));
    }
    Spectrum::new(Said::name(title), source, points)
        .map_err(|error| table.error(None, "", &error.to_string(), "give at least two points"))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Certainty;

    fn read(text: &str) -> Result<Spectrum, FileError> {
        read_spectrum(
            text.as_bytes(),
            "mine",
            Source::new("test", Certainty::Invented),
            "mine.csv",
        )
    }

    #[test]
    fn units_meet() {
        let g = read("# road, invented\nfrequency_Hz,density_g2_per_Hz\n1,0.01\n100,0.01\n").unwrap();
        let si = read(&format!(
            "frequency [Hz];psd [(m/s^2)^2/Hz]\n1;{0}\n100;{0}\n",
            0.01 * STANDARD_GRAVITY * STANDARD_GRAVITY
        ))
        .unwrap();
        assert!((g.overall().as_g() - 0.99_f64.sqrt()).abs() < 1e-12);
        assert!((si.overall() / g.overall() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn wrong_files_say_where_and_what() {
        for (text, place, words) in [
            ("", "mine.csv", "no numbers"),
            (
                "frequency,density_g2_per_Hz\n1,1\n2,1\n",
                "column `frequency`",
                "no unit",
            ),
            (
                "frequency_Hz,density_V2_per_Hz\n1,1\n2,1\n",
                "column `density_V2_per_Hz`",
                "v2/hz",
            ),
            (
                "frequency_Hz,density_g2_per_Hz\n1,1\n2,x\n",
                "line 3, column `density_g2_per_Hz`",
                "`x`",
            ),
            (
                "frequency_Hz,density_g2_per_Hz\n5,1\n2,1\n",
                "line 3, column `frequency_Hz`",
                "does not rise",
            ),
            (
                "frequency_Hz,density_g2_per_Hz\n5,1\n9,0\n",
                "line 3",
                "not above zero",
            ),
            ("frequency_Hz,density_g2_per_Hz\n5,1,3\n", "line 2", "3 values"),
            (
                "frequency_Hz,x_g2_per_Hz,y_g2_per_Hz\n5,1,3\n",
                "mine.csv",
                "here are 3",
            ),
            ("frequency_Hz,density_g2_per_Hz\n5,1\n", "mine.csv", "two points"),
        ] {
            let error = read(text).unwrap_err();
            let message = error.to_string();
            assert!(message.contains(place) && message.contains(words), "{message}");
            assert!(error.hint().is_some(), "{message}");
        }
    }
}
