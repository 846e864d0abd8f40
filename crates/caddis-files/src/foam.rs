//! A foam of the library as a file.

use crate::document::Document;
use crate::error::{Fault, FileError, join};
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Length, Pressure};
use caddis_protection::{Foam, Law, LawKind, LawRange};
use serde::{Deserialize, Serialize};

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
    #[serde(default)]
    creep_limit: Option<WrittenMeasure>,
    #[serde(default)]
    temperatures: Option<TemperaturesFile>,
    cavity_clearance: Written,
    wall_squeeze: [Written; 2],
    least_web: Written,
    colour: String,
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
struct LawFile {
    source: String,
    /// Fits to measured cushion curves contain gravity's work in the stroke.
    gravity_in_fit: bool,
    /// Impact data back it.
    measured_dynamic: bool,
    range: RangeFile,
    #[serde(default)]
    stress_energy: Option<StressEnergyFile>,
    #[serde(default)]
    closed_cell_gas: Option<GasFile>,
    #[serde(default)]
    table: Option<TableFile>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StressEnergyFile {
    a: Written,
    /// The stress 1/b.
    b_inverse: Written,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct GasFile {
    s0: Written,
    p0: Written,
    r: f64,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TableFile {
    strain: Vec<f64>,
    stress_pa: Vec<f64>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeFile {
    greatest_strain: f64,
    #[serde(default)]
    static_stress: Option<[Written; 2]>,
    #[serde(default)]
    thickness: Option<[Written; 2]>,
    #[serde(default)]
    drop_height: Option<[Written; 2]>,
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
        law: law(&bench, &written.law)?,
        creep_limit,
        temperatures,
        cavity_clearance: bench.signed(&written.cavity_clearance, "cavity_clearance")?,
        wall_squeeze: bench.range::<Length>(&written.wall_squeeze, "wall_squeeze")?,
        least_web: bench.positive(&written.least_web, "least_web")?,
        colour: colour(&written.colour)?,
        source: parse_source(&written.source, "source")?,
    })
}

fn law(bench: &Bench, written: &LawFile) -> Result<Law, Fault> {
    let range = LawRange {
        static_stress: si_range::<Pressure>(
            bench,
            written.range.static_stress.as_ref(),
            "law.range.static_stress",
        )?,
        greatest_strain: fraction(written.range.greatest_strain, "law.range.greatest_strain")?,
        thickness: si_range::<Length>(bench, written.range.thickness.as_ref(), "law.range.thickness")?,
        drop_height: si_range::<Length>(bench, written.range.drop_height.as_ref(), "law.range.drop_height")?,
    };
    let kind = match (&written.stress_energy, &written.closed_cell_gas, &written.table) {
        (Some(fit), None, None) => LawKind::StressEnergy {
            a: bench.positive::<Pressure>(&fit.a, "law.stress_energy.a")?.si(),
            b: 1.0
                / bench
                    .positive::<Pressure>(&fit.b_inverse, "law.stress_energy.b_inverse")?
                    .si(),
        },
        (None, Some(gas), None) => {
            let r = fraction(gas.r, "law.closed_cell_gas.r")?;
            if range.greatest_strain >= 1.0 - r {
                return Err(Fault::new(
                    "law.range.greatest_strain",
                    format!(
                        "{} reaches the strain 1 - r = {:.3} where the gas law ends",
                        range.greatest_strain,
                        1.0 - r
                    ),
                )
                .hint("give a greatest strain below 1 - r"));
            }
            LawKind::ClosedCellGas {
                s0: bench
                    .positive::<Pressure>(&gas.s0, "law.closed_cell_gas.s0")?
                    .si(),
                p0: bench
                    .positive::<Pressure>(&gas.p0, "law.closed_cell_gas.p0")?
                    .si(),
                r,
            }
        }
        (None, None, Some(table)) => LawKind::Table(points(table, range.greatest_strain)?),
        _ => {
            return Err(Fault::new("law", "a law needs one form").hint(
                "give exactly one of the tables `law.stress_energy`, `law.closed_cell_gas` and `law.table`",
            ));
        }
    };
    Ok(Law {
        kind,
        range,
        gravity_in_fit: written.gravity_in_fit,
        is_measured_dynamic: written.measured_dynamic,
        source: parse_source(&written.source, &join("law", "source"))?,
    })
}

fn points(table: &TableFile, greatest_strain: f64) -> Result<Vec<(f64, f64)>, Fault> {
    let field = "law.table";
    if table.strain.len() != table.stress_pa.len() || table.strain.len() < 2 {
        return Err(Fault::new(
            field,
            format!(
                "{} strains stand beside {} stresses",
                table.strain.len(),
                table.stress_pa.len()
            ),
        )
        .hint("give as many stresses as strains, at least two of each"));
    }
    let points: Vec<(f64, f64)> = table
        .strain
        .iter()
        .copied()
        .zip(table.stress_pa.iter().copied())
        .collect();
    for (index, pair) in points.windows(2).enumerate() {
        if pair[1].0 <= pair[0].0 || pair[1].1 < pair[0].1 {
            return Err(Fault::new(
                format!("{field}.strain[{}]", index + 1),
                format!(
                    "({}, {} Pa) does not rise over ({}, {} Pa)",
                    pair[1].0, pair[1].1, pair[0].0, pair[0].1
                ),
            )
            .hint("strains must rise and stresses must not fall"));
        }
    }
    let (first, last) = (points[0], points[points.len() - 1]);
    if first.0 != 0.0 || first.1 < 0.0 || points.iter().any(|p| !p.0.is_finite() || !p.1.is_finite()) {
        return Err(Fault::new(
            field,
            "the table does not start at strain 0 with a stress of zero or more",
        )
        .hint("start with strain 0"));
    }
    if last.0 < greatest_strain {
        return Err(Fault::new(
            "law.range.greatest_strain",
            format!("{greatest_strain} lies beyond the table's last strain {}", last.0),
        )
        .hint("give at most the last strain of the table"));
    }
    Ok(points)
}

fn fraction(value: f64, field: &str) -> Result<f64, Fault> {
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        Err(Fault::new(field, format!("{value} is not between 0 and 1"))
            .hint("give a fraction of the thickness"))
    }
}

fn si_range<Q: caddis_basis::Parse>(
    bench: &Bench,
    written: Option<&[Written; 2]>,
    field: &str,
) -> Result<Option<(f64, f64)>, Fault> {
    written
        .map(|written| {
            bench
                .range::<Q>(written, field)
                .map(|(low, high)| (low.si(), high.si()))
        })
        .transpose()
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
