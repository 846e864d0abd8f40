//! Drop tests as a stress-energy law.

use super::{About, Made};
use crate::failure::Failure;
use caddis_basis::{Certainty, Source};
use caddis_documents::{Sheet, stress_energy_plot};
use caddis_files::{FoamEntry, FoamTestFile};
use caddis_protection::fit::{DropTest, FitError, FoamFit, StressEnergyFit, fit_drops};
use caddis_protection::{LawError, LawRange, LawRecord};
use serde_json::{Value, json};
use std::fmt::Write as _;

pub(super) fn drops(file: &FoamTestFile, tests: &[DropTest], about: &About<'_>) -> Result<Made, Failure> {
    let fit = fit_drops(tests).map_err(|error| file.locate(&error))?;
    let source = |which: &str, line: &StressEnergyFit| {
        Source::new(
            format!(
                "own drop tests in {}, {} {which} impacts, fitted by ln(G s) = ln a + b s h/t, scatter {:.1} %",
                about.file_name,
                line.count,
                line.scatter * 100.0
            ),
            Certainty::Measured,
        )
    };
    let refused = |error: LawError| Failure::Input(file.locate(&FitError::Rows(error.to_string())));
    let law = fit
        .first
        .law(
            fit.first_range.clone(),
            fit.is_enough,
            source("first", &fit.first),
        )
        .map_err(refused)?;
    let later = fit
        .later
        .as_ref()
        .map(|(line, _, range)| line.law(range.clone(), fit.is_enough_later, source("later", line)))
        .transpose()
        .map_err(refused)?;
    let mut plots = vec![(
        "",
        plot(
            &format!("{}: first impacts", about.name),
            file,
            tests,
            &fit.first_rows,
            &fit.first,
        ),
    )];
    if let Some((line, rows, _)) = &fit.later {
        plots.push((
            "-later",
            plot(&format!("{}: later impacts", about.name), file, tests, rows, line),
        ));
    }
    let entry = FoamEntry {
        title: format!("{}, {:.0} kg/m³, own drop tests", about.name, fit.density.si()),
        material: about.material.clone(),
        density: Some(fit.density),
        // The method is for closed-cell foam only.
        closed_cell: true,
        source: Source::new(
            format!("own drop tests in {}", about.file_name),
            Certainty::Measured,
        ),
        law,
        later,
        record: LawRecord {
            scatter: Some(fit.first.scatter),
            tests: u32::try_from(tests.len()).ok(),
            ..LawRecord::default()
        },
    };
    Ok(Made {
        text: drop_words(file, &fit),
        data: drop_data(file, &fit),
        entry,
        plots,
        findings: fit.findings,
    })
}

fn plot(
    title: &str,
    file: &FoamTestFile,
    tests: &[DropTest],
    rows: &[usize],
    fit: &StressEnergyFit,
) -> Sheet {
    let drops: Vec<(f64, f64, usize)> = rows
        .iter()
        .map(|&row| {
            let test = &tests[row];
            let s = test.static_stress.si();
            (
                s * (test.height / test.thickness),
                s * test.peak.as_g(),
                file.line(row),
            )
        })
        .collect();
    stress_energy_plot(title, &drops, fit)
}

/// The fits with their names and rows.
fn fits(fit: &FoamFit) -> Vec<(&'static str, &StressEnergyFit, &[usize], &LawRange)> {
    let mut out = vec![("first", &fit.first, fit.first_rows.as_slice(), &fit.first_range)];
    if let Some((line, rows, range)) = &fit.later {
        out.push(("later", line, rows.as_slice(), range));
    }
    out
}

fn drop_words(file: &FoamTestFile, fit: &FoamFit) -> String {
    let mut text = String::new();
    for (which, line, rows, range) in fits(fit) {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{which} impacts: {} drops, ln(G s) = ln a + b s h/t\n  a        {:.2} kPa (95 %: {:.2} to {:.2})\n  1/b      {:.2} kPa (95 %: {:.2} to {:.2})\n  \
             scatter  {:.1} % of the peak, R² {:.4}\n  optimum  cushion factor {:.3}, strain {:.3}; crushed solid at {:.3}",
            line.count,
            line.a / 1e3,
            line.a_interval.0 / 1e3,
            line.a_interval.1 / 1e3,
            1e-3 / line.b,
            1e-3 / line.b_interval.1,
            1e-3 / line.b_interval.0,
            line.scatter * 100.0,
            line.r_squared,
            line.a * line.b * std::f64::consts::E,
            (1.0 - (-1.0_f64).exp()) * line.densification_strain(),
            line.densification_strain(),
        );
        // As precise as a shop measures.
        let words = |range: Option<(f64, f64)>, scale: f64, decimals: usize, unit: &str| {
            range.map_or_else(String::new, |(low, high)| {
                format!("{:.decimals$} to {:.decimals$} {unit}", low * scale, high * scale)
            })
        };
        let _ = writeln!(
            text,
            "  range    static stress {}, thickness {}, drop height {}, strain to {:.3}",
            words(range.static_stress, 1e-3, 2, "kPa"),
            words(range.thickness, 1e3, 1, "mm"),
            words(range.drop_height, 1e3, 0, "mm"),
            line.greatest_strain(),
        );
        if line.outliers.is_empty() {
            let _ = writeln!(text, "  outliers none");
        }
        for outlier in &line.outliers {
            let _ = writeln!(
                text,
                "  outlier  line {}: {:+.0} % off the line, chance {:.2} % in {} drops; it is in the fit",
                file.line(rows[outlier.index]),
                (outlier.ratio - 1.0) * 100.0,
                outlier.chance * 100.0,
                line.count
            );
        }
    }
    text
}

fn drop_data(file: &FoamTestFile, fit: &FoamFit) -> Value {
    let fits: Vec<Value> = fits(fit)
        .into_iter()
        .map(|(which, line, rows, range)| {
            json!({
                "impacts": which,
                "drops": line.count,
                "a_pa": line.a,
                "a_interval_pa": [line.a_interval.0, line.a_interval.1],
                "b_per_pa": line.b,
                "b_interval_per_pa": [line.b_interval.0, line.b_interval.1],
                "scatter": line.scatter,
                "r_squared": line.r_squared,
                "energies_pa": [line.energies.0, line.energies.1],
                "bands": (0..=4).map(|i| {
                    let energy = line.energies.0 + (line.energies.1 - line.energies.0) * f64::from(i) / 4.0;
                    let band = line.band(energy);
                    json!({
                        "energy_pa": energy,
                        "stress_pa": band.fitted,
                        "line_pa": [band.mean.0, band.mean.1],
                        "drop_pa": [band.single.0, band.single.1],
                    })
                }).collect::<Vec<_>>(),
                "greatest_strain": line.greatest_strain(),
                "static_stress_pa": range.static_stress.map(|r| [r.0, r.1]),
                "thickness_m": range.thickness.map(|r| [r.0, r.1]),
                "drop_height_m": range.drop_height.map(|r| [r.0, r.1]),
                "outliers": line.outliers.iter().map(|o| json!({
                    "line": file.line(rows[o.index]),
                    "studentized_residual": o.residual,
                    "chance": o.chance,
                    "peak_over_fit": o.ratio,
                })).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({ "kind": "drops", "density_kg_m3": fit.density.si(), "confidence": 0.95, "fits": fits })
}
