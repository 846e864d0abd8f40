//! A compression test as a table, or as the gas law of closed cells.

use super::{About, Made};
use crate::failure::Failure;
use caddis_basis::{Certainty, Domain, Finding, Severity, Source, Temperature, said};
use caddis_documents::stress_strain_plot;
use caddis_files::{FoamEntry, FoamTestFile};
use caddis_protection::fit::{CompressionReading, GasFit, compression_curve};
use caddis_protection::{Law, LawRecord};
use serde_json::json;
use std::fmt::Write as _;

/// A compression test and what is known of it.
pub(super) struct Slow<'a> {
    pub(super) readings: &'a [CompressionReading],
    pub(super) strain_rate: Option<f64>,
    pub(super) temperature: Option<Temperature>,
    pub(super) solid_fraction: Option<f64>,
}

pub(super) fn compression(file: &FoamTestFile, test: &Slow<'_>, about: &About<'_>) -> Result<Made, Failure> {
    let readings = test.readings;
    let curve = compression_curve(readings).map_err(|error| file.locate(&error))?;
    let source = Source::new(
        format!(
            "own compression test in {}, {} readings",
            about.file_name,
            readings.len()
        ),
        Certainty::Measured,
    );
    let table: Law = curve
        .law(source.clone())
        .map_err(|error| Failure::Internal(format!("the curve makes no law: {error}")))?;
    let mut findings: Vec<Finding> = rate_not_stated(test, &source).into_iter().collect();
    let best = table.optimum();
    let greatest = table.range.greatest_strain;
    let mut text = format!(
        "compression test: {} readings, {} left out (toe and unloading), {} points to strain {greatest:.3}\n  smoothing  at most {:.2} % \
         of the greatest stress, so that it never falls\n  energy     {:.0} J/m³ to the end\n  cushion factor {:.3} at strain {:.3}{}\n",
        readings.len(),
        curve.left_out,
        curve.points.len(),
        curve.largest_correction * 100.0,
        table.energy(greatest),
        best.cushion_factor,
        best.strain,
        if best.is_at_end_of_range {
            ", still falling where the data end"
        } else {
            ""
        },
    );
    for strain in [0.1, 0.25, 0.5].into_iter().filter(|e| *e <= greatest) {
        let _ = writeln!(
            text,
            "  at {:>2.0} %    {:.2} kPa, {:.0} J/m³",
            strain * 100.0,
            table.stress(strain) / 1e3,
            table.energy(strain)
        );
    }
    let mut data = json!({
        "kind": "compression",
        "readings": readings.len(),
        "left_out": curve.left_out,
        "largest_correction": curve.largest_correction,
        "greatest_strain": greatest,
        "energy_j_m3": table.energy(greatest),
        "cushion_factor": best.cushion_factor,
        "optimum_strain": best.strain,
        "optimum_at_end": best.is_at_end_of_range,
    });
    let mut law = table;
    if let Some(solid) = test.solid_fraction {
        let fit = GasFit::of(&curve.points, solid).map_err(|error| file.locate(&error))?;
        let _ = writeln!(
            text,
            "  gas law    s0 {:.2} kPa, p {:.2} kPa with solid fraction {solid}, strains 0.15 to {:.3}, {} readings, R² {:.4}",
            fit.plateau / 1e3,
            fit.gas_pressure / 1e3,
            fit.greatest_strain,
            fit.count,
            fit.r_squared
        );
        data["gas_law"] = json!({
            "s0_pa": fit.plateau,
            "p_pa": fit.gas_pressure,
            "solid_fraction": solid,
            "greatest_strain": fit.greatest_strain,
            "readings": fit.count,
            "r_squared": fit.r_squared,
        });
        match fit.law(source.clone()) {
            Ok(gas) => law = gas,
            Err(_) => findings.push(no_gas_law(&fit, &source)),
        }
    }
    text.push_str("a slow test: a fall is stiffer, so verdicts read indicative\n");
    let all: Vec<(f64, f64)> = readings.iter().map(|r| (r.strain, r.stress.si())).collect();
    let plot = stress_strain_plot(&format!("{}: compression", about.name), &law, &all);
    Ok(Made {
        entry: FoamEntry {
            title: format!("{}, own compression test", about.name),
            material: about.material.clone(),
            density: None,
            closed_cell: true,
            source,
            law,
            later: None,
            record: LawRecord {
                strain_rate: test.strain_rate,
                temperature: test.temperature,
                scatter: None,
                tests: Some(1),
            },
        },
        plots: vec![("", plot)],
        findings,
        text,
        data,
    })
}

/// The readings are no plateau with gas behind it.
fn no_gas_law(fit: &GasFit, source: &Source) -> Finding {
    Finding::new(
        "no-gas-law",
        Domain::Protection,
        Severity::Caution,
        said!("compression test"),
        said!(
            "the readings would need a plateau of {plateau:.2} kPa, and no foam has one below nothing; the entry holds their \
             table",
            plateau = fit.plateau / 1e3
        ),
        source.clone(),
    )
    .remedy(said!(
        "check the solid fraction, or leave it out: the table says what was measured"
    ))
}

/// A slow curve without its rate and temperature says less than it could.
fn rate_not_stated(test: &Slow<'_>, source: &Source) -> Option<Finding> {
    let missing = match (test.strain_rate, test.temperature) {
        (Some(_), Some(_)) => return None,
        (None, Some(_)) => said!("its rate"),
        (Some(_), None) => said!("its temperature"),
        (None, None) => said!("its rate and temperature"),
    };
    Some(
        Finding::new(
            "rate-not-stated",
            Domain::Protection,
            Severity::Note,
            said!("compression test"),
            said!(
                "the test does not say {missing}: how much stiffer a fall is cannot be judged",
                missing
            ),
            source.clone(),
        )
        .remedy(said!(
            "add the columns `strain rate (1/s)` and `temperature (degC)`; one row with them is enough"
        )),
    )
}
