//! A foam of the library as a file.

use crate::document::Document;
use crate::error::{Fault, FileError};
use crate::law::{LawFile, law};
use crate::suggest::closest;
use crate::vibration::{CushionVibrationFile, cushion_vibration};
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Length, Measured, Pressure, Source};
use caddis_protection::drop::Hysteresis;
use caddis_protection::vibration::CushionVibration;
use caddis_protection::{
    CreepLimit, Foam, FoamMemory, FoamProperty, LawRecord, StatedColours, StatedProperty,
};
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
    /// Colours it is sold in.
    #[serde(default)]
    colours: Option<ColoursFile>,
    /// Compression stress at 40 % by ISO 3386-1.
    #[serde(default)]
    firmness: Option<WrittenMeasure>,
    #[serde(default)]
    creep_limit: Option<CreepFile>,
    #[serde(default)]
    memory: Option<MemoryFile>,
    #[serde(default)]
    hysteresis: Option<HysteresisFile>,
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

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ColoursFile {
    names: Vec<String>,
    source: String,
}

/// One creep limit, or several for rising temperatures.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "a creep limit such as { value = \"5 kPa\", up_to = \"40 degC\", source = \"whose test (measured)\" } (`up_to` may be \
                 left out), or a list of them"
)]
enum CreepFile {
    One(CreepLimitFile),
    Several(Vec<CreepLimitFile>),
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CreepLimitFile {
    value: Written,
    /// Highest temperature it is stated for; room temperature where it is left out.
    #[serde(default)]
    up_to: Option<Written>,
    source: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MemoryFile {
    worn_from: f64,
    #[serde(default)]
    set: f64,
    #[serde(default)]
    recovery: f64,
    source: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct HysteresisFile {
    share: f64,
    rate_per_s: f64,
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
    let creep_limits = match &written.creep_limit {
        None => Vec::new(),
        Some(CreepFile::One(one)) => vec![creep_limit(&bench, one, "creep_limit")?],
        Some(CreepFile::Several(several)) => several
            .iter()
            .enumerate()
            .map(|(i, one)| creep_limit(&bench, one, &format!("creep_limit[{i}]")))
            .collect::<Result<_, _>>()?,
    };
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
    let foam = Foam {
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
        colours: written.colours.as_ref().map(colours).transpose()?,
        firmness: written
            .firmness
            .as_ref()
            .map(|stress| firmness(&bench, stress))
            .transpose()?,
        creep_limits,
        memory: None,
        hysteresis: None,
        temperatures,
        cavity_clearance: bench.signed(&written.cavity_clearance, "cavity_clearance")?,
        wall_squeeze: bench.range::<Length>(&written.wall_squeeze, "wall_squeeze")?,
        least_web: bench.positive(&written.least_web, "least_web")?,
        colour: colour(&written.colour, "colour")?,
        source: parse_source(&written.source, "source")?,
    };
    // What is left to be wrong after the fields by themselves: limits that do not follow each other, then memory and hysteresis.
    let foam = foam.validated().map_err(|error| {
        Fault::new("creep_limit", error.to_string())
            .hint("list the limits from the coolest temperature to the hottest")
    })?;
    let hint = "shares of 1; leave out what nobody measured";
    let foam = Foam {
        memory: written.memory.as_ref().map(memory).transpose()?,
        ..foam
    }
    .validated()
    .map_err(|error| Fault::new("memory", error.to_string()).hint(hint))?;
    Foam {
        hysteresis: written.hysteresis.as_ref().map(hysteresis).transpose()?,
        ..foam
    }
    .validated()
    .map_err(|error| Fault::new("hysteresis", error.to_string()).hint(hint))
}

fn creep_limit(bench: &Bench, written: &CreepLimitFile, field: &str) -> Result<CreepLimit, Fault> {
    Ok(CreepLimit {
        stress: bench.positive(&written.value, &format!("{field}.value"))?,
        up_to: written
            .up_to
            .as_ref()
            .map(|text| bench.positive(text, &format!("{field}.up_to")))
            .transpose()?,
        source: parse_source(&written.source, &format!("{field}.source"))?,
    })
}

fn memory(written: &MemoryFile) -> Result<FoamMemory, Fault> {
    Ok(FoamMemory {
        worn_from: written.worn_from,
        set: written.set,
        recovery: written.recovery,
        source: parse_source(&written.source, "memory.source")?,
    })
}

fn hysteresis(written: &HysteresisFile) -> Result<(Hysteresis, Source), Fault> {
    Ok((
        Hysteresis {
            eta: written.share,
            rate: written.rate_per_s,
        },
        parse_source(&written.source, "hysteresis.source")?,
    ))
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

fn colours(written: &ColoursFile) -> Result<StatedColours, Fault> {
    if written.names.is_empty() || written.names.iter().any(|name| name.trim().is_empty()) {
        return Err(
            Fault::new("colours.names", "there is no colour, or one without a name")
                .hint("write e.g. `names = [\"black\", \"grey\"]`, or leave `colours` out where nobody says"),
        );
    }
    Ok(StatedColours {
        names: written.names.iter().map(|name| name.trim().to_owned()).collect(),
        source: parse_source(&written.source, "colours.source")?,
    })
}

/// A firmness without a source would be anybody's guess.
fn firmness(bench: &Bench, written: &WrittenMeasure) -> Result<Measured<Pressure>, Fault> {
    let measured = bench.measured_positive(written, "firmness")?;
    if measured.source.is_none() {
        return Err(Fault::new("firmness", "it names no source")
            .hint("write e.g. `firmness = { value = \"30 kPa\", source = \"whose test by ISO 3386-1 (measured)\" }`"));
    }
    Ok(measured)
}

pub(crate) fn colour(text: &str, field: &str) -> Result<[u8; 3], Fault> {
    let digits = text
        .strip_prefix('#')
        .filter(|d| d.len() == 6 && d.bytes().all(|b| b.is_ascii_hexdigit()));
    digits
        .and_then(|digits| u32::from_str_radix(digits, 16).ok())
        .map(|value| [(value >> 16) as u8, (value >> 8) as u8, value as u8])
        .ok_or_else(|| {
            Fault::new(field, format!("`{text}` is not a colour"))
                .hint("write `#` and six hexadecimal digits, e.g. `#3a4048`")
        })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::{Certainty, Temperature};

    fn read(more: &str) -> Result<Foam, FileError> {
        let text = format!(
            "schema = 1\ntitle = \"t\"\nmaterial = \"m\"\nsource = \"s (invented)\"\ndensity = \"30 kg/m3\"\ncells = \"closed\"\n\
             cavity_clearance = \"0 mm\"\nwall_squeeze = [\"0 mm\", \"1 mm\"]\nleast_web = \"12 mm\"\ncolour = \"#101010\"\n{more}\n\
             [law]\nsource = \"s (invented)\"\ngravity_in_fit = false\nmeasured_dynamic = false\n\
             closed_cell_gas = {{ s0 = \"7 kPa\", p0 = \"101 kPa\", r = 0.02 }}\n[law.range]\ngreatest_strain = 0.8\n"
        );
        read_foam(text.as_bytes(), "t", "t.toml")
    }

    #[test]
    fn creep_limits_come_alone_or_as_a_list() {
        let one = read("creep_limit = { value = \"5 kPa\", source = \"own (measured)\" }").unwrap();
        assert_eq!(one.creep_limits.len(), 1);
        assert_eq!(one.creep_limits[0].up_to, None);
        let two = read(
            "creep_limit = [{ value = \"5 kPa\", source = \"own (measured)\" }, { value = \"2 kPa\", up_to = \"50 degC\", source = \
             \"own (measured)\" }]",
        )
        .unwrap();
        assert_eq!(two.creep_limits[1].up_to, Some(Temperature::celsius(50.0)));
        assert_eq!(two.creep_limits[1].stress, Pressure::kpa(2.0));
        assert_eq!(two.creep_limits[1].source.certainty, Certainty::Measured);
        assert!(read("").unwrap().creep_limits.is_empty());
    }

    #[test]
    fn a_creep_limit_that_is_none_names_its_field() {
        for (more, says) in [
            ("creep_limit = \"5 kPa\"", "a creep limit such as"),
            ("creep_limit = { value = \"5 kPa\" }", "a creep limit such as"),
            (
                "creep_limit = [{ value = \"5 kPa\", up_to = \"hot\", source = \"own (measured)\" }]",
                "creep_limit[0].up_to",
            ),
            (
                "creep_limit = [{ value = \"2 kPa\", source = \"own (measured)\" }, { value = \"5 kPa\", up_to = \"50 degC\", source = \
                 \"own (measured)\" }]",
                "creep limits must fall",
            ),
            (
                "creep_limit = { value = \"0 kPa\", source = \"own (measured)\" }",
                "creep_limit.value",
            ),
        ] {
            let error = read(more).unwrap_err().to_string();
            assert!(error.contains(says), "{more}: {error}");
        }
    }

    #[test]
    fn colours_and_firmness_are_read_with_their_sources() {
        let foam = read(
            "colours = { names = [\"black\", \"grey\"], source = \"list (invented)\" }\nfirmness = { value = \"30 kPa\", \
             source = \"own (measured)\" }",
        )
        .unwrap();
        assert_eq!(foam.colours.unwrap().names, ["black", "grey"]);
        let firmness = foam.firmness.unwrap();
        assert_eq!(firmness.value, Pressure::kpa(30.0));
        assert_eq!(firmness.source.unwrap().certainty, Certainty::Measured);
        let silent = read("").unwrap();
        assert!(silent.colours.is_none() && silent.firmness.is_none());
        for (more, says) in [
            (
                "colours = { names = [], source = \"list (invented)\" }",
                "colours.names",
            ),
            ("firmness = \"30 kPa\"", "no source"),
            (
                "firmness = { value = \"0 kPa\", source = \"own (measured)\" }",
                "zero",
            ),
        ] {
            let error = read(more).unwrap_err().to_string();
            assert!(error.contains(says), "{more}: {error}");
        }
    }

    #[test]
    fn memory_is_read() {
        let foam = read("memory = { worn_from = 0.2, set = 0.03, source = \"own (measured)\" }").unwrap();
        let memory = foam.memory.unwrap();
        assert!((memory.worn_from, memory.set, memory.recovery) == (0.2, 0.03, 0.0));
        let error = read("memory = { worn_from = 0.2, set = 1.5, source = \"own (measured)\" }").unwrap_err();
        assert!(error.to_string().contains("set must lie"), "{error}");
    }
}
