//! `caddis survey --fit MESH`: from a scan of the interior to a survey.

use crate::arguments::SurveyOptions;
use crate::command::job::date;
use crate::command::papers::place;
use crate::command::{goes_in, print, print_json, shape};
use crate::failure::{DONE, Failure};
use crate::out_folder::OutFolder;
use caddis_basis::{Angle, Length, Mass, Measured, Parse};
use caddis_documents::{residual_plot, svg, traced_plot};
use caddis_files::{FileError, write_shell};
use caddis_survey::{
    HalfResidual, HalfSide, OutlineShape, ScanFit, Shell, ShellHalf, Supplied, SurveyRecord, Wall, fit_scan,
};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

const OUTSIDE: &str = "702x476x370 mm";

pub(super) fn run(scan: &Path, options: &SurveyOptions) -> Result<u8, Failure> {
    let rim = options
        .rim
        .as_deref()
        .map(|text| length("--rim", text))
        .transpose()?;
    let unit = options.unit.as_deref();
    let (base, report) = shape::read(scan, unit, None)?;
    let lid = options
        .lid
        .as_deref()
        .map(|lid| shape::read(lid, unit, None))
        .transpose()?;
    let fit = fit_scan(&base, lid.as_ref().map(|lid| &lid.0), rim).map_err(|error| {
        let text = error.to_string();
        let (problem, hint) = text
            .split_once("; ")
            .map_or((text.as_str(), None), |(problem, hint)| {
                (problem, Some(hint.to_owned()))
            });
        Failure::Input(FileError::content(
            scan.display().to_string(),
            problem.to_owned(),
            hint,
        ))
    })?;
    let fit = if options.sections {
        fit.with_sections(&base, lid.as_ref().map(|lid| &lid.0))
    } else {
        fit
    };
    let (supplied, missing) = supplied(scan, options)?;
    let shell = supplied
        .as_ref()
        .and_then(|supplied| fit.shell(supplied))
        .map(Shell::validated)
        .transpose();
    let (shell, why_not) = match (shell, &fit.lid) {
        (Ok(Some(shell)), _) => (Some(shell), None),
        (Err(error), _) => (
            None,
            Some(format!("what was recovered is no sound survey: {error}")),
        ),
        (Ok(None), None) => (
            None,
            Some("the scan holds a base alone; give the lid's surface with --lid".to_owned()),
        ),
        (Ok(None), Some(_)) => (
            None,
            Some(format!(
                "no scan of the inside holds {}; give them to have the survey written",
                missing.join(", ")
            )),
        ),
    };
    if let Some(out) = &options.out {
        write(out, &fit, shell.as_ref(), scan)?;
    }
    if options.output.json {
        print_json(&as_json(&fit, shell.as_ref(), why_not.as_deref()))?;
    } else {
        let mut text = format!(
            "{}: {} triangles, unit {} ({})\n",
            scan.display(),
            report.triangles,
            report.unit,
            report.unit_source.as_str()
        );
        as_text(&fit, &mut text);
        print(&text)?;
    }
    for finding in &fit.findings {
        eprintln!(
            "  {} {}: {} ({})",
            finding.severity, finding.code, finding.sentence, finding.place
        );
        if let Some(remedy) = &finding.remedy {
            eprintln!("    remedy: {remedy}");
        }
    }
    if let Some(why_not) = why_not {
        eprintln!("no survey is written: {why_not}");
    }
    Ok(DONE)
}

fn length(option: &str, text: &str) -> Result<Length, Failure> {
    Length::parse(text)
        .map_err(|error| Failure::Use {
            problem: format!("`{option} {text}`: {error}"),
            hint: format!("write a length and its unit, e.g. `{option} \"240 mm\"`"),
        })
        .and_then(|length| {
            if length.si() > 0.0 {
                Ok(length)
            } else {
                Err(Failure::Use {
                    problem: format!("`{option} {text}` is not greater than zero"),
                    hint: format!("write a length and its unit, e.g. `{option} \"240 mm\"`"),
                })
            }
        })
}

/// A value above zero, with its ± where it is given.
fn measured<Q: Parse + PartialOrd + Copy>(
    option: &str,
    text: Option<&str>,
    example: &str,
) -> Result<Option<Measured<Q>>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let wrong = |problem: String| Failure::Use {
        problem: format!("`{option} {text}`: {problem}"),
        hint: format!("write a value and its unit, e.g. `{option} \"{example}\"`"),
    };
    let found = Measured::<Q>::parse(text, None).map_err(|error| wrong(error.to_string()))?;
    if found.value.si() > 0.0 {
        Ok(Some(found))
    } else {
        Err(wrong("it is not greater than zero".to_owned()))
    }
}

/// What the command line adds to the scan; else the options that are missing.
fn supplied(scan: &Path, options: &SurveyOptions) -> Result<(Option<Supplied>, Vec<&'static str>), Failure> {
    let outside = options
        .outside
        .as_deref()
        .map(|text| goes_in::sizes::<3>("--outside", text, OUTSIDE))
        .transpose()?;
    let wall = measured::<Length>("--wall", options.wall.as_deref(), "4 mm ± 0.2 mm")?;
    let mass = measured::<Mass>("--empty-mass", options.empty_mass.as_deref(), "6.1 kg")?;
    let missing: Vec<&'static str> = [
        ("--outside", outside.is_none()),
        ("--wall", wall.is_none()),
        ("--empty-mass", mass.is_none()),
    ]
    .into_iter()
    .filter_map(|(option, is_missing)| is_missing.then_some(option))
    .collect();
    let (Some(outside), Some(wall), Some(mass)) = (outside, wall, mass) else {
        return Ok((None, missing));
    };
    let file = |path: &Path| {
        path.file_name()
            .map_or_else(|| "scan".to_owned(), |name| name.to_string_lossy().into_owned())
    };
    let mut scanned = file(scan);
    if let Some(lid) = &options.lid {
        let _ = write!(scanned, " and {}", file(lid));
    }
    Ok((
        Some(Supplied {
            name: name(scan, options),
            outside: outside.map(Measured::exact),
            wall,
            empty_mass: mass,
            scan: scanned,
            record: SurveyRecord {
                measured_on: date(options.date.as_ref(), None)?,
                ..SurveyRecord::default()
            },
        }),
        missing,
    ))
}

/// As asked, else the scan's own in small letters, digits and hyphens.
fn name(scan: &Path, options: &SurveyOptions) -> String {
    options.name.clone().unwrap_or_else(|| {
        let stem = scan
            .file_stem()
            .map_or_else(String::new, |stem| stem.to_string_lossy().to_lowercase());
        let clean: String = stem
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .collect();
        let clean = clean.trim_matches('-');
        if clean.is_empty() {
            "scan".to_owned()
        } else {
            clean.to_owned()
        }
    })
}

fn side_name(side: HalfSide) -> &'static str {
    match side {
        HalfSide::Base => "base",
        HalfSide::Lid => "lid",
    }
}

fn write(out: &Path, fit: &ScanFit, shell: Option<&Shell>, scan: &Path) -> Result<(), Failure> {
    let folder = OutFolder::begin(out)?;
    let mut files = Vec::new();
    if let Some(shell) = shell {
        files.push((
            format!("{}.toml", shell.name),
            write_shell(shell).map_err(Failure::Internal)?.into_bytes(),
        ));
    }
    for residual in &fit.residuals {
        let side = side_name(residual.side);
        let title = format!("How far the scan lies off the survey, {side}, mm");
        files.push((
            format!("residuals-{side}.svg"),
            svg(&residual_plot(&title, residual)).into_bytes(),
        ));
    }
    for half in std::iter::once(&fit.base)
        .chain(&fit.lid)
        .filter(|half| !half.traced.is_empty())
    {
        let side = side_name(half.side);
        let title = format!("Sections cut straight from the scan, {side}, from above");
        files.push((
            format!("sections-{side}.svg"),
            svg(&traced_plot(&title, half)).into_bytes(),
        ));
    }
    let data = serde_json::to_string_pretty(&as_json(fit, shell, None))
        .map_err(|e| Failure::Internal(e.to_string()))?;
    files.push(("fit.json".to_owned(), data.into_bytes()));
    let name = shell.map_or_else(|| scan.display().to_string(), |shell| shell.name.clone());
    place(folder, &name, &files)
}

/// Drafts of left, right, front and back wall, from the last step or the dome's end to the rim.
fn drafts(half: &ShellHalf) -> [f64; 4] {
    let spring = half.dome.as_ref().map_or(0.0, |dome| dome.rise.value.si());
    let (foot, from) = half
        .steps
        .last()
        .map_or((&half.floor, spring), |step| (&step.above, step.at.value.si()));
    let depth = half.depth.value.si() - from;
    Wall::ALL.map(|wall| {
        let (rim, floor) = match wall {
            Wall::Left | Wall::Right => (half.rim.length.value, foot.length.value),
            Wall::Front | Wall::Back => (half.rim.width.value, foot.width.value),
        };
        let shift = (half.rim.centre - foot.centre).dot(wall.normal());
        Angle::from_si((((rim - floor).si() / 2.0 + shift) / depth).atan()).as_degrees()
    })
}

fn as_text(fit: &ScanFit, text: &mut String) {
    for half in std::iter::once(&fit.base).chain(&fit.lid) {
        let (side, end) = match half.side {
            HalfSide::Base => ("base", "floor"),
            HalfSide::Lid => ("lid", "crown"),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{side}");
        for (what, o) in [("opening", &half.rim), (end, &half.floor)] {
            let _ = writeln!(
                text,
                "  {what:<9}{} x {}, corners {}",
                o.length, o.width, o.corner_radius
            );
        }
        if let Some(dome) = &half.dome {
            let o = &dome.flat;
            let _ = writeln!(
                text,
                "  dome     rises {} to a flat of {} x {}, corners {}",
                dome.rise, o.length, o.width, o.corner_radius
            );
        }
        for step in &half.steps {
            let (below, above) = (&step.below, &step.above);
            let _ = write!(
                text,
                "  step     {} from the {end}: {} x {}, corners {}",
                step.at, below.length, below.width, below.corner_radius
            );
            let _ = if above == below {
                writeln!(text, "; the draft changes")
            } else {
                writeln!(
                    text,
                    ", above it {} x {}, corners {}",
                    above.length, above.width, above.corner_radius
                )
            };
        }
        let drafts = drafts(half).map(|draft| format!("{draft:.2}")).join(", ");
        let _ = writeln!(text, "  depth    {}, fillet {}", half.depth, half.fillet);
        let _ = writeln!(text, "  draft    {drafts} deg (left, right, front, back)");
        for intrusion in &half.intrusions {
            let sizes: Vec<String> = intrusion
                .outline
                .numbers()
                .into_iter()
                .map(|(what, size)| format!("{what} {size}"))
                .collect();
            let place = match (&intrusion.outline, half.side) {
                (OutlineShape::Rectangle { .. } | OutlineShape::Circle { .. }, _) => end,
                (outline, _) => outline.attached_to(),
            };
            let _ = writeln!(
                text,
                "  {} on the {place}: {}; from {} to {}, draft {}",
                intrusion.name,
                sizes.join(", "),
                intrusion.from,
                intrusion.to,
                intrusion.draft
            );
        }
    }
    for half in std::iter::once(&fit.base)
        .chain(&fit.lid)
        .filter(|half| !half.traced.is_empty())
    {
        let _ = writeln!(
            text,
            "{:<5}{} sections cut straight from the scan, outlines ± {}",
            side_name(half.side),
            half.traced.len(),
            half.traced[0].plus_minus.unwrap_or(Length::ZERO)
        );
    }
    for residual in &fit.residuals {
        let _ = writeln!(
            text,
            "{:<5}surface off by {} rms, 95 % within {}, worst {}; {:.1} % beyond {}",
            side_name(residual.side),
            residual.root_mean_square,
            residual.within_95,
            residual.worst.map_or(Length::ZERO, |worst| worst.off),
            residual.unexplained * 100.0,
            residual.beyond
        );
    }
}

fn as_json(fit: &ScanFit, shell: Option<&Shell>, why_not: Option<&str>) -> Value {
    let size = |size: &Measured<Length>| json!({ "value_m": size.value.si(), "plus_minus_m": size.plus_minus.map(Length::si) });
    let half = |half: &ShellHalf| {
        let opening = |o: &caddis_survey::Opening| {
            json!({
                "length": size(&o.length),
                "width": size(&o.width),
                "corner_radius": size(&o.corner_radius),
                "centre_m": [o.centre.x, o.centre.y],
            })
        };
        json!({
            "opening": opening(&half.rim),
            "floor": opening(&half.floor),
            "depth": size(&half.depth),
            "fillet": size(&half.fillet),
            "drafts_deg": drafts(half),
            "steps": half.steps.iter().map(|step| json!({
                "at": size(&step.at),
                "below": opening(&step.below),
                "above": opening(&step.above),
            })).collect::<Vec<_>>(),
            "dome": half.dome.as_ref().map(|dome| json!({
                "rise": size(&dome.rise),
                "flat": opening(&dome.flat),
            })),
            "intrusions": half.intrusions.iter().map(|intrusion| json!({
                "name": intrusion.name,
                "attached_to": intrusion.outline.attached_to(),
                "sizes": intrusion.outline.numbers().into_iter()
                    .map(|(what, number)| (what.replace(' ', "_"), size(number)))
                    .collect::<serde_json::Map<_, _>>(),
                "from": size(&intrusion.from),
                "to": size(&intrusion.to),
                "draft_deg": intrusion.draft.value.as_degrees(),
                "fillet": size(&intrusion.fillet),
            })).collect::<Vec<_>>(),
            "traced": half.traced.iter().map(|section| json!({
                "at": size(&section.at),
                "area_m2": section.room.area(),
                "plus_minus_m": section.plus_minus.map(Length::si),
                "outlines_m": section.room.contours()
                    .map(|contour| contour.vertices.iter().map(|v| [v.at.x, v.at.y]).collect::<Vec<_>>())
                    .collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
        })
    };
    let residual = |residual: &HalfResidual| {
        json!({
            "half": side_name(residual.side),
            "root_mean_square_m": residual.root_mean_square.si(),
            "within_95_m": residual.within_95.si(),
            "worst_m": residual.worst.map(|worst| worst.off.si()),
            "worst_at_m": residual.worst.map(|worst| [worst.place.x, worst.place.y, worst.place.z]),
            "beyond_m": residual.beyond.si(),
            "unexplained": residual.unexplained,
        })
    };
    json!({
        "base": half(&fit.base),
        "lid": fit.lid.as_ref().map(half),
        "residuals": fit.residuals.iter().map(residual).collect::<Vec<_>>(),
        "survey": shell.map(|shell| &shell.name),
        "no_survey": why_not,
        "findings": fit.findings.iter().map(|f| json!({
            "code": f.code,
            "severity": f.severity.to_string(),
            "place": f.place.as_str(),
            "sentence": f.sentence.as_str(),
            "remedy": f.remedy.as_deref(),
        })).collect::<Vec<_>>(),
    })
}
