//! A foam's law as a file writes it: one of several forms, its range, its source.

use crate::error::{Fault, join};
use crate::written::{Bench, Written, parse_source};
use caddis_basis::{Acceleration, Length, Parse, Pressure};
use caddis_protection::{
    CushionCurves, Law, LawError, LawKind, LawRange, MeasuredCurve, SpringLaw, StackPart,
};
use serde::{Deserialize, Serialize};

/// A law. Exactly one of its forms is given.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LawFile {
    source: String,
    /// Fits to measured cushion curves contain gravity's work in the stroke.
    gravity_in_fit: bool,
    /// Impact data back it.
    measured_dynamic: bool,
    /// Needed but for cushion curves, stacks and convoluted sheets, whose parts say it.
    #[serde(default)]
    range: Option<RangeFile>,
    #[serde(default)]
    stress_energy: Option<StressEnergyFile>,
    #[serde(default)]
    closed_cell_gas: Option<GasFile>,
    #[serde(default)]
    table: Option<TableFile>,
    #[serde(default)]
    spring: Option<SpringFile>,
    #[serde(default)]
    cushion_curves: Option<Vec<CurveFile>>,
    #[serde(default)]
    stack: Option<StackFile>,
    #[serde(default)]
    convoluted: Option<Box<ConvolutedFile>>,
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

/// One of Mindlin's cushions.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(tag = "form", rename_all = "kebab-case", deny_unknown_fields)]
enum SpringFile {
    Linear {
        modulus: Written,
    },
    Cubic {
        modulus: Written,
        hardening: Written,
    },
    Tangent {
        modulus: Written,
        bottoming: f64,
    },
    HyperbolicTangent {
        modulus: Written,
        ceiling: Written,
    },
    Bilinear {
        modulus: Written,
        knee: f64,
        second_modulus: Written,
    },
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CurveFile {
    thickness: Written,
    drop_height: Written,
    static_stress: Vec<Written>,
    peak: Vec<Written>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StackFile {
    order: Order,
    parts: Vec<PartFile>,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Order {
    Series,
    Parallel,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PartFile {
    /// Share of the thickness (series) or of the area (parallel).
    share: f64,
    law: LawFile,
}

/// A sheet with fingers, by the law of the foam it is cut from.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ConvolutedFile {
    /// Height of the fingers over the whole thickness.
    finger_share: f64,
    law: LawFile,
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

/// The law of a file's field.
pub(crate) fn law(bench: &Bench, written: &LawFile, field: &str) -> Result<Law, Fault> {
    let at = |name: &str| join(field, name);
    let forms = [
        written.stress_energy.is_some(),
        written.closed_cell_gas.is_some(),
        written.table.is_some(),
        written.spring.is_some(),
        written.cushion_curves.is_some(),
        written.stack.is_some(),
        written.convoluted.is_some(),
    ];
    if forms.iter().filter(|given| **given).count() != 1 {
        return Err(Fault::new(field, "a law needs one form").hint(format!(
            "give exactly one of the tables `{field}.stress_energy`, `{field}.closed_cell_gas`, `{field}.table`, \
             `{field}.spring`, `{field}.cushion_curves`, `{field}.stack` and `{field}.convoluted`"
        )));
    }
    let source = parse_source(&written.source, &at("source"))?;
    if let Some(stack) = &written.stack {
        return stacked(bench, stack, written, field);
    }
    if let Some(sheet) = &written.convoluted {
        return convoluted(bench, sheet, written, field);
    }
    if let Some(curves) = &written.cushion_curves {
        return family(bench, curves, written, field);
    }
    let Some(range) = &written.range else {
        return Err(
            Fault::new(at("range"), "the law has no range").hint("give at least `range.greatest_strain`")
        );
    };
    let range = range_of(bench, range, &at("range"))?;
    let kind = if let Some(fit) = &written.stress_energy {
        LawKind::StressEnergy {
            a: bench.positive::<Pressure>(&fit.a, &at("stress_energy.a"))?.si(),
            b: 1.0
                / bench
                    .positive::<Pressure>(&fit.b_inverse, &at("stress_energy.b_inverse"))?
                    .si(),
        }
    } else if let Some(gas) = &written.closed_cell_gas {
        gas_law(bench, gas, &range, field)?
    } else if let Some(spring) = &written.spring {
        LawKind::Spring(spring_law(bench, spring, &at("spring"))?)
    } else if let Some(table) = &written.table {
        LawKind::Table(points(table, range.greatest_strain, field)?)
    } else {
        return Err(Fault::new(field, "a law needs one form"));
    };
    Law {
        kind,
        range,
        gravity_in_fit: written.gravity_in_fit,
        is_measured_dynamic: written.measured_dynamic,
        source,
    }
    .validated()
    .map_err(|error| refused(field, &error))
}

fn refused(field: &str, error: &LawError) -> Fault {
    Fault::new(field, error.to_string()).hint("correct the law's constants, range or claims")
}

fn range_of(bench: &Bench, written: &RangeFile, field: &str) -> Result<LawRange, Fault> {
    let at = |name: &str| join(field, name);
    Ok(LawRange {
        static_stress: si_range::<Pressure>(bench, written.static_stress.as_ref(), &at("static_stress"))?,
        greatest_strain: fraction(written.greatest_strain, &at("greatest_strain"))?,
        thickness: si_range::<Length>(bench, written.thickness.as_ref(), &at("thickness"))?,
        drop_height: si_range::<Length>(bench, written.drop_height.as_ref(), &at("drop_height"))?,
    })
}

fn gas_law(bench: &Bench, gas: &GasFile, range: &LawRange, field: &str) -> Result<LawKind, Fault> {
    let at = |name: &str| join(field, name);
    let r = fraction(gas.r, &at("closed_cell_gas.r"))?;
    if range.greatest_strain >= 1.0 - r {
        return Err(Fault::new(
            at("range.greatest_strain"),
            format!(
                "{} reaches the strain 1 - r = {:.3} where the gas law ends",
                range.greatest_strain,
                1.0 - r
            ),
        )
        .hint("give a greatest strain below 1 - r"));
    }
    Ok(LawKind::ClosedCellGas {
        s0: bench
            .positive::<Pressure>(&gas.s0, &at("closed_cell_gas.s0"))?
            .si(),
        p0: bench
            .positive::<Pressure>(&gas.p0, &at("closed_cell_gas.p0"))?
            .si(),
        r,
    })
}

fn spring_law(bench: &Bench, written: &SpringFile, field: &str) -> Result<SpringLaw, Fault> {
    let stress = |value: &Written, name: &str| {
        bench
            .positive::<Pressure>(value, &join(field, name))
            .map(Pressure::si)
    };
    let strain = |value: f64, name: &str| fraction(value, &join(field, name));
    Ok(match written {
        SpringFile::Linear { modulus } => SpringLaw::Linear {
            modulus: stress(modulus, "modulus")?,
        },
        SpringFile::Cubic { modulus, hardening } => SpringLaw::Cubic {
            modulus: stress(modulus, "modulus")?,
            hardening: stress(hardening, "hardening")?,
        },
        SpringFile::Tangent { modulus, bottoming } => SpringLaw::Tangent {
            modulus: stress(modulus, "modulus")?,
            bottoming: strain(*bottoming, "bottoming")?,
        },
        SpringFile::HyperbolicTangent { modulus, ceiling } => SpringLaw::HyperbolicTangent {
            modulus: stress(modulus, "modulus")?,
            ceiling: stress(ceiling, "ceiling")?,
        },
        SpringFile::Bilinear {
            modulus,
            knee,
            second_modulus,
        } => SpringLaw::Bilinear {
            modulus: stress(modulus, "modulus")?,
            knee: strain(*knee, "knee")?,
            second_modulus: stress(second_modulus, "second_modulus")?,
        },
    })
}

/// Measured cushion curves; their range is what was measured.
fn family(bench: &Bench, written: &[CurveFile], law: &LawFile, field: &str) -> Result<Law, Fault> {
    let field = join(field, "cushion_curves");
    let mut curves = Vec::with_capacity(written.len());
    for (index, curve) in written.iter().enumerate() {
        let at = |name: &str| format!("{field}[{index}].{name}");
        if curve.static_stress.len() != curve.peak.len() {
            return Err(Fault::new(
                at("peak"),
                format!(
                    "{} peaks stand beside {} static stresses",
                    curve.peak.len(),
                    curve.static_stress.len()
                ),
            )
            .hint("give one peak for each static stress"));
        }
        let points = curve
            .static_stress
            .iter()
            .zip(&curve.peak)
            .enumerate()
            .map(|(i, (stress, peak))| {
                Ok((
                    bench.positive::<Pressure>(stress, &format!("{}[{i}]", at("static_stress")))?,
                    bench.positive::<Acceleration>(peak, &format!("{}[{i}]", at("peak")))?,
                ))
            })
            .collect::<Result<_, Fault>>()?;
        curves.push(MeasuredCurve {
            thickness: bench.positive(&curve.thickness, &at("thickness"))?,
            height: bench.positive(&curve.drop_height, &at("drop_height"))?,
            points,
        });
    }
    let curves = CushionCurves::new(curves).map_err(|error| refused(&field, &error))?;
    let [stress, thickness, height] = curves.reach();
    Law {
        range: LawRange {
            static_stress: Some(stress),
            greatest_strain: curves.last_strain(),
            thickness: Some(thickness),
            drop_height: Some(height),
        },
        kind: LawKind::CushionCurves(curves),
        gravity_in_fit: law.gravity_in_fit,
        is_measured_dynamic: law.measured_dynamic,
        source: parse_source(&law.source, &join(&field, "source"))?,
    }
    .validated()
    .map_err(|error| refused(&field, &error))
}

/// Foams laid up as one; range and claims follow from the parts.
fn stacked(bench: &Bench, written: &StackFile, law_file: &LawFile, field: &str) -> Result<Law, Fault> {
    let field = join(field, "stack");
    if law_file.measured_dynamic {
        return Err(Fault::new(&field, "a computed stack is not a measurement")
            .hint("write `measured_dynamic = false`, or give the tested stack's own curves"));
    }
    let laws = written
        .parts
        .iter()
        .enumerate()
        .map(|(i, part)| law(bench, &part.law, &format!("{field}.parts[{i}].law")))
        .collect::<Result<Vec<_>, Fault>>()?;
    let parts: Vec<StackPart<'_>> = written
        .parts
        .iter()
        .zip(&laws)
        .map(|(part, law)| StackPart {
            law,
            share: part.share,
        })
        .collect();
    match written.order {
        Order::Series => Law::in_series(&parts),
        Order::Parallel => Law::in_parallel(&parts),
    }
    .map_err(|error| refused(&field, &error))
}

/// A convoluted sheet; range and claims follow from the foam it is cut from.
fn convoluted(
    bench: &Bench,
    written: &ConvolutedFile,
    law_file: &LawFile,
    field: &str,
) -> Result<Law, Fault> {
    let field = join(field, "convoluted");
    if law_file.measured_dynamic {
        return Err(Fault::new(
            &field,
            "a sheet computed as a block of its base is not a measurement",
        )
        .hint("write `measured_dynamic = false`, or give the tested sheet's own `cushion_curves` instead"));
    }
    fraction(written.finger_share, &join(&field, "finger_share"))?;
    law(bench, &written.law, &join(&field, "law"))?
        .convoluted(written.finger_share)
        .map_err(|error| refused(&field, &error))
}

fn points(table: &TableFile, greatest_strain: f64, field: &str) -> Result<Vec<(f64, f64)>, Fault> {
    let range = join(field, "range.greatest_strain");
    let field = join(field, "table");
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
            range,
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

fn si_range<Q: Parse>(
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
