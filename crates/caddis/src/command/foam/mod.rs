//! `caddis foam fit TESTS.csv`: a library entry and a plot from a shop's own tests.

mod compression;
mod drops;

use crate::arguments::FitOptions;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure};
use caddis_basis::Finding;
use caddis_documents::{Sheet, svg};
use caddis_files::{FoamEntry, FoamTests, read_foam, read_foam_tests};
use compression::{Slow, compression};
use drops::drops;
use serde_json::{Value, json};
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
        FoamTests::Drops(_) if options.solid_fraction.is_some() => {
            return Err(Failure::Use {
                problem: format!("--solid-fraction is for a compression test, and {shown} holds drop tests"),
                hint: "leave it out: drops are fitted by their energy".to_owned(),
            });
        }
        FoamTests::Drops(tests) => drops(&file, tests, &about)?,
        FoamTests::Compression {
            readings,
            strain_rate,
            temperature,
        } => compression(
            &file,
            &Slow {
                readings,
                strain_rate: *strain_rate,
                temperature: *temperature,
                solid_fraction: options.solid_fraction,
            },
            &about,
        )?,
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

fn finding_json(finding: &Finding) -> Value {
    json!({
        "code": finding.code,
        "severity": finding.severity.to_string(),
        "sentence": finding.sentence.as_str(),
        "margin": finding.margin.as_ref().map(ToString::to_string),
        "source": finding.source.to_string(),
        "remedy": finding.remedy.as_deref(),
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
