//! A foam of the library as a file.

use crate::document::Document;
use crate::error::{Fault, FileError};
use crate::law::{LawFile, law};
use crate::suggest::closest;
use crate::vibration::{CushionVibrationFile, cushion_vibration};
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Length, Pressure};
use caddis_protection::vibration::CushionVibration;
use caddis_protection::{Foam, FoamProperty, LawRecord, StatedProperty};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FoamFile {
    #[serde(rename = "schema")]
    _schema: u32,
    title: String,
    material: String,
    source: String,
    density: Written,
    cells: Cells,
    law: LawFile,
    /// The law of later impacts.
    #[serde(default)]
    later_law: Option<LawFile>,
    #[serde(default)]
    record: Option<RecordFile>,
    #[serde(default)]
    properties: BTreeMap<String, PropertyFile>,
    #[serde(default)]
    creep_limit: Option<WrittenMeasure>,
    #[serde(default)]
    temperatures: Option<TemperaturesFile>,
    cavity_clearance: Written,
    wall_squeeze: [Written; 2],
    least_web: Written,
    colour: String,
    #[serde(default)]
    vibration: Option<CushionVibrationFile>,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Cells {
    Closed,
    Open,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TemperaturesFile {
    lowest: Written,
    highest: Written,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RecordFile {
    #[serde(default)]
    strain_rate_per_s: Option<f64>,
    #[serde(default)]
    temperature: Option<Written>,
    #[serde(default)]
    scatter: Option<f64>,
    #[serde(default)]
    tests: Option<u32>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PropertyFile {
    has: bool,
    source: String,
}

/// Reads a foam; `name` is its id in the library, `file` what messages call it.
///
/// # Errors
/// Anything that is not a foam, with file, line, field and what would do.
pub fn read_foam(bytes: &[u8], name: &str, file: &str) -> Result<Foam, FileError> {
    let document = Document::new(bytes, file)?;
    let written: FoamFile = document.parse()?;
    convert(&written, name).map_err(|fault| document.locate(fault))
}

/// The measured dynamic data of a foam's entry, if it has any.
///
/// # Errors
/// As [`read_foam`].
pub fn read_foam_vibration(bytes: &[u8], file: &str) -> Result<Option<CushionVibration>, FileError> {
    let document = Document::new(bytes, file)?;
    let written: FoamFile = document.parse()?;
    written
        .vibration
        .as_ref()
        .map(|data| cushion_vibration(data).map_err(|fault| document.locate(fault)))
        .transpose()
}

fn convert(written: &FoamFile, name: &str) -> Result<Foam, Fault> {
    let bench = Bench::new(None)?;
    let creep_limit = written
        .creep_limit
        .as_ref()
        .map(|limit| {
            let measured = bench.measured_positive::<Pressure>(limit, "creep_limit")?;
            let source = measured.source.ok_or_else(|| {
                Fault::new("creep_limit", "the creep limit has no source")
                    .hint("write `creep_limit = { value = \"5 kPa\", source = \"whose test (measured)\" }`")
            })?;
            Ok((measured.value, source))
        })
        .transpose()?;
    let temperatures = written
        .temperatures
        .as_ref()
        .map(|range| {
            let lowest: caddis_basis::Temperature = bench.positive(&range.lowest, "temperatures.lowest")?;
            let highest: caddis_basis::Temperature =
                bench.positive(&range.highest, "temperatures.highest")?;
            if lowest >= highest {
                return Err(Fault::new("temperatures", "the lowest is not below the highest")
                    .hint("write e.g. `{ lowest = \"-40 degC\", highest = \"70 degC\" }`"));
            }
            Ok((lowest, highest))
        })
        .transpose()?;
    Ok(Foam {
        name: name.to_owned(),
        title: written.title.clone(),
        material: written.material.clone(),
        density: bench.positive(&written.density, "density")?,
        closed_cell: matches!(written.cells, Cells::Closed),
        law: law(&bench, &written.law, "law")?,
        later: written
            .later_law
            .as_ref()
            .map(|later| law(&bench, later, "later_law"))
            .transpose()?,
        record: record(&bench, written.record.as_ref())?,
        properties: properties(&written.properties)?,
        creep_limit,
        temperatures,
        cavity_clearance: bench.signed(&written.cavity_clearance, "cavity_clearance")?,
        wall_squeeze: bench.range::<Length>(&written.wall_squeeze, "wall_squeeze")?,
        least_web: bench.positive(&written.least_web, "least_web")?,
        colour: colour(&written.colour)?,
        source: parse_source(&written.source, "source")?,
    })
}

fn record(bench: &Bench, written: Option<&RecordFile>) -> Result<LawRecord, Fault> {
    let Some(written) = written else {
        return Ok(LawRecord::default());
    };
    for (field, value) in [
        ("record.strain_rate_per_s", written.strain_rate_per_s),
        ("record.scatter", written.scatter),
    ] {
        if let Some(value) = value
            && !(value.is_finite() && value > 0.0)
        {
            return Err(Fault::new(field, format!("{value} is not above zero"))
                .hint("give a number above zero, or leave it out"));
        }
    }
    Ok(LawRecord {
        strain_rate: written.strain_rate_per_s,
        temperature: written
            .temperature
            .as_ref()
            .map(|text| bench.positive(text, "record.temperature"))
            .transpose()?,
        scatter: written.scatter,
        tests: written.tests,
    })
}

fn properties(written: &BTreeMap<String, PropertyFile>) -> Result<Vec<StatedProperty>, Fault> {
    let known = FoamProperty::ALL.map(FoamProperty::as_str);
    written
        .iter()
        .map(|(word, stated)| {
            let field = format!("properties.{word}");
            let property = FoamProperty::ALL
                .into_iter()
                .find(|property| property.as_str() == word)
                .ok_or_else(|| {
                    let hint = match closest(word, known) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("one of {}", known.join(", ")),
                    };
                    Fault::new(&field, format!("`{word}` is no property of a foam")).hint(hint)
                })?;
            Ok(StatedProperty {
                property,
                has: stated.has,
                source: parse_source(&stated.source, &format!("{field}.source"))?,
            })
        })
        .collect()
}

fn colour(text: &str) -> Result<[u8; 3], Fault> {
    let digits = text
        .strip_prefix('#')
        .filter(|d| d.len() == 6 && d.bytes().all(|b| b.is_ascii_hexdigit()));
    digits
        .and_then(|digits| u32::from_str_radix(digits, 16).ok())
        .map(|value| [(value >> 16) as u8, (value >> 8) as u8, value as u8])
        .ok_or_else(|| {
            Fault::new("colour", format!("`{text}` is not a colour"))
                .hint("write `#` and six hexadecimal digits, e.g. `#3a4048`")
        })
}
