//! `caddis foam fit TESTS.csv`: a library entry and a plot from a shop's own tests.

use crate::arguments::FitOptions;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure};
use caddis_basis::{Certainty, Domain, Finding, Severity, Source, Temperature};
use caddis_documents::{Sheet, stress_energy_plot, stress_strain_plot, svg};
use caddis_files::{FoamEntry, FoamTestFile, FoamTests, read_foam, read_foam_tests};
use caddis_protection::fit::{
    CompressionReading, DropTest, FoamFit, StressEnergyFit, compression_curve, fit_drops,
};
use caddis_protection::{Law, LawError, LawRecord};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

pub(crate) fn fit(options: &FitOptions) -> Result<u8, Failure> {
    let shown = options.tests.display().to_string();
    let bytes = fs::read(&options.tests).map_err(|reason| Failure::Use {
        problem: format!("failed to read {shown}: {reason}"),
        hint: "name a CSV file that you may read".to_owned(),
    })?;
    let file = read_foam_tests(&bytes, &shown)?;
    for column in &file.unread {
        eprintln!("note: nothing is read from column `{column}`");
    }
    let name = options.name.clone().unwrap_or_else(|| name_of(&options.tests));
    let about = About {
        name: &name,
        file_name: &options
            .tests
            .file_name()
            .map_or_else(|| shown.clone(), |n| n.to_string_lossy().into_owned()),
        material: options.material.clone(),
    };
    let made = match &file.tests {
        FoamTests::Drops(tests) => drops(&file, tests, &about)?,
        FoamTests::Compression {
            readings,
            strain_rate,
            temperature,
        } => compression(&file, readings, (*strain_rate, *temperature), &about)?,
    };
    let toml = made.entry.to_toml();
    // What the library would not read is not written.
    read_foam(toml.as_bytes(), &name, &format!("{name}.toml")).map_err(|error| {
        Failure::Internal(format!(
            "the entry written from the fit does not read back: {error}"
        ))
    })?;
    let mut written = Vec::new();
    let entry = options.out.join(format!("{name}.toml"));
    if entry.exists() && !options.replace {
        return Err(Failure::Use {
            problem: format!("{} is there already", entry.display()),
            hint: "give another --name, or --replace to write over it".to_owned(),
        });
    }
    write(&options.out, &entry, toml.as_bytes(), &mut written)?;
    for (ending, sheet) in &made.plots {
        let path = options.out.join(format!("{name}{ending}.svg"));
        write(&options.out, &path, svg(sheet).as_bytes(), &mut written)?;
    }
    if options.output.json {
        let mut data = made.data;
        data["written"] = json!(written);
        data["findings"] = made.findings.iter().map(finding_json).collect();
        print_json(&data)?;
    } else {
        print(&made.text)?;
    }
    for finding in &made.findings {
        eprintln!("{} {}: {}", finding.severity, finding.code, finding.sentence);
        if let Some(remedy) = &finding.remedy {
            eprintln!("  remedy: {remedy}");
        }
    }
    for path in &written {
        eprintln!("wrote {path}");
    }
    Ok(DONE)
}

/// What the entry is called and made from.
struct About<'a> {
    name: &'a str,
    file_name: &'a str,
    material: Option<String>,
}

/// What a fit gives to write and to print.
struct Made {
    entry: FoamEntry,
    /// Ending of the file name, sheet.
    plots: Vec<(&'static str, Sheet)>,
    findings: Vec<Finding>,
    text: String,
    data: Value,
}

fn drops(file: &FoamTestFile, tests: &[DropTest], about: &About<'_>) -> Result<Made, Failure> {
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
    let refused = |error: LawError| {
        Failure::Input(file.locate(&caddis_protection::fit::FitError::Rows(error.to_string())))
    };
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
fn fits(
    fit: &FoamFit,
) -> Vec<(
    &'static str,
    &StressEnergyFit,
    &[usize],
    &caddis_protection::LawRange,
)> {
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

fn compression(
    file: &FoamTestFile,
    readings: &[CompressionReading],
    (strain_rate, temperature): (Option<f64>, Option<Temperature>),
    about: &About<'_>,
) -> Result<Made, Failure> {
    let curve = compression_curve(readings).map_err(|error| file.locate(&error))?;
    let source = Source::new(
        format!(
            "own compression test in {}, {} readings",
            about.file_name,
            readings.len()
        ),
        Certainty::Measured,
    );
    let law: Law = curve
        .law(source.clone())
        .map_err(|error| Failure::Internal(format!("the curve makes no law: {error}")))?;
    let best = law.optimum();
    let all: Vec<(f64, f64)> = readings.iter().map(|r| (r.strain, r.stress.si())).collect();
    let plot = stress_strain_plot(&format!("{}: compression", about.name), &law, &all);
    let greatest = law.range.greatest_strain;
    let mut text = format!(
        "compression test: {} readings, {} left out (toe and unloading), {} points to strain {greatest:.3}\n  smoothing  at most {:.2} % \
         of the greatest stress, so that it never falls\n  energy     {:.0} J/m³ to the end\n  cushion factor {:.3} at strain {:.3}{}\n",
        readings.len(),
        curve.left_out,
        curve.points.len(),
        curve.largest_correction * 100.0,
        law.energy(greatest),
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
            law.stress(strain) / 1e3,
            law.energy(strain)
        );
    }
    text.push_str("a slow test: a fall is stiffer, so verdicts read indicative\n");
    let data = json!({
        "kind": "compression",
        "readings": readings.len(),
        "left_out": curve.left_out,
        "largest_correction": curve.largest_correction,
        "greatest_strain": greatest,
        "energy_j_m3": law.energy(greatest),
        "cushion_factor": best.cushion_factor,
        "optimum_strain": best.strain,
        "optimum_at_end": best.is_at_end_of_range,
    });
    Ok(Made {
        entry: FoamEntry {
            title: format!("{}, own compression test", about.name),
            material: about.material.clone(),
            density: None,
            closed_cell: true,
            source: source.clone(),
            law,
            later: None,
            record: LawRecord {
                strain_rate,
                temperature,
                scatter: None,
                tests: Some(1),
            },
        },
        plots: vec![("", plot)],
        findings: rate_not_stated(strain_rate, temperature, &source)
            .into_iter()
            .collect(),
        text,
        data,
    })
}

/// A slow curve without its rate and temperature says less than it could.
fn rate_not_stated(
    strain_rate: Option<f64>,
    temperature: Option<Temperature>,
    source: &Source,
) -> Option<Finding> {
    let missing = match (strain_rate, temperature) {
        (Some(_), Some(_)) => return None,
        (None, Some(_)) => "its rate",
        (Some(_), None) => "its temperature",
        (None, None) => "its rate and temperature",
    };
    Some(
        Finding::new(
            "rate-not-stated",
            Domain::Protection,
            Severity::Note,
            "compression test",
            format!("the test does not say {missing}: how much stiffer a fall is cannot be judged"),
            source.clone(),
        )
        .remedy("add the columns `strain rate (1/s)` and `temperature (degC)`; one row with them is enough"),
    )
}

fn finding_json(finding: &Finding) -> Value {
    json!({
        "code": finding.code,
        "severity": finding.severity.to_string(),
        "sentence": finding.sentence,
        "margin": finding.margin.as_ref().map(ToString::to_string),
        "source": finding.source.to_string(),
        "remedy": finding.remedy,
    })
}

/// A name for the library from a file's name.
fn name_of(path: &Path) -> String {
    let stem = path
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().to_lowercase());
    let name: String = stem
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let name = name.trim_matches('-').to_owned();
    if name.is_empty() {
        "own-foam".to_owned()
    } else {
        name
    }
}

fn write(folder: &Path, path: &Path, bytes: &[u8], written: &mut Vec<String>) -> Result<(), Failure> {
    let failed = |reason| Failure::Write {
        path: path.display().to_string(),
        reason,
    };
    fs::create_dir_all(folder).map_err(failed)?;
    // Beside its place first, so that nothing is ever half written.
    let work = path.with_extension(format!("partial-{}", std::process::id()));
    fs::write(&work, bytes)
        .and_then(|()| fs::rename(&work, path))
        .map_err(|reason| {
            let _ = fs::remove_file(&work);
            failed(reason)
        })?;
    written.push(path.display().to_string());
    Ok(())
}
