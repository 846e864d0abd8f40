//! `caddis survey SHELL`.

use crate::arguments::{LibraryOptions, SurveyOptions};
use crate::command::{fit_scan, goes_in, papers, print, print_json};
use crate::failure::{DONE, Failure, NOT_RELEASED};
use caddis_basis::{Length, Severity, failing};
use caddis_files::{EntryKind, SurveySection, read_shell, to_json};
use caddis_geometry::Vec2;
use caddis_survey::{FittingGroup, HalfSide, Shell};
use serde_json::json;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Height between printed sections, metres.
const STEP: f64 = 0.025;
/// Points along each side of the printed depth map.
const DEPTH_POINTS: usize = 9;

pub(crate) fn run(options: &SurveyOptions) -> Result<u8, Failure> {
    let solid = goes_in::solid(options.block.as_deref(), options.cylinder.as_deref())?;
    if let Some(scan) = &options.fit {
        return fit_scan::run(scan, options);
    }
    let Some(name) = &options.shell else {
        // Only the worksheet does without a shell.
        return papers::worksheet(None, options);
    };
    let (path, shell) = read(name, &options.library)?;
    let findings = shell.check();
    if options.worksheet.is_some() {
        return papers::worksheet(Some(&shell), options);
    }
    if let Some(out) = &options.out {
        papers::write(&path, &shell, &findings, out, options.date.as_ref())?;
    }
    if let Some(solid) = solid {
        let answer = shell.goes_in(&solid);
        if options.output.json {
            print_json(&goes_in::as_json(&shell, &answer))?;
        } else {
            print(&goes_in::as_text(&shell, &solid, &answer))?;
        }
    } else if options.output.json {
        print_json(&as_json(&shell)?)?;
    } else {
        print(&as_text(&shell))?;
    }
    crate::words::findings(&findings);
    for finding in findings.iter().filter(|f| f.severity == Severity::Caution) {
        eprintln!(
            "  caution {}: {} ({})",
            finding.code, finding.sentence, finding.place
        );
    }
    Ok(if failing(&findings).next().is_some() {
        NOT_RELEASED
    } else {
        DONE
    })
}

/// The shell of a file or of the library, and where it was.
fn read(shell: &str, library: &LibraryOptions) -> Result<(PathBuf, Shell), Failure> {
    let path = locate(shell, library)?;
    let shown = path.display().to_string();
    let bytes = std::fs::read(&path).map_err(|reason| Failure::Use {
        problem: format!("failed to read {shown}: {reason}"),
        hint: "name a shell file that you may read".to_owned(),
    })?;
    let name = path
        .file_stem()
        .map_or_else(|| shell.to_owned(), |stem| stem.to_string_lossy().into_owned());
    let shell = read_shell(&bytes, &name, &shown)?;
    Ok((path, shell))
}

/// A file if there is one of that name, else an entry of the library.
fn locate(shell: &str, options: &LibraryOptions) -> Result<PathBuf, Failure> {
    let path = Path::new(shell);
    if path.is_file() {
        return Ok(path.to_owned());
    }
    if shell.contains(['/', '\\']) || path.extension().is_some_and(|ending| ending == "toml") {
        return Err(Failure::Use {
            problem: format!("there is no file {shell}"),
            hint: "name a shell file, or a shell of the library by its name alone".to_owned(),
        });
    }
    let library = crate::library_folder::find(options, None)?;
    library.path(EntryKind::Shell, shell).ok_or_else(|| Failure::Use {
        problem: format!("there is neither a file nor a library shell `{shell}`"),
        hint: format!("the library holds {}", library.names(EntryKind::Shell).join(", ")),
    })
}

fn heights(shell: &Shell) -> Vec<f64> {
    let top = shell.crown_height().si();
    let count = (top / STEP).floor() as usize;
    (0..=count)
        .map(|i| i as f64 * STEP + 1e-4)
        .filter(|z| *z < top)
        .collect()
}

fn depth_points(shell: &Shell) -> Vec<(f64, f64)> {
    let (length, width) = (shell.base.rim.length.value.si(), shell.base.rim.width.value.si());
    let at = |i: usize, side: f64| side * ((i as f64 + 0.5) / DEPTH_POINTS as f64 - 0.5);
    (0..DEPTH_POINTS)
        .rev()
        .flat_map(|row| (0..DEPTH_POINTS).map(move |column| (at(column, length), at(row, width))))
        .collect()
}

fn usable(shell: &Shell) -> (f64, f64, Option<f64>) {
    let base = shell.usable_volume(HalfSide::Base).as_litres();
    let lid = shell.usable_volume(HalfSide::Lid).as_litres();
    (
        base,
        lid,
        shell.nominal_inside.map(|[l, w, h]| (l * w * h).as_litres()),
    )
}

fn as_json(shell: &Shell) -> Result<serde_json::Value, Failure> {
    let survey = to_json(&SurveySection::of(shell)).map_err(Failure::Internal)?;
    let survey: serde_json::Value =
        serde_json::from_str(&survey).map_err(|e| Failure::Internal(e.to_string()))?;
    let sections: Vec<_> = heights(shell)
        .into_iter()
        .map(|z| {
            let section = shell.section(z);
            let size = section.bounds().map(|b| b.size());
            json!({
                "height_m": z,
                "area_m2": section.area(),
                "length_m": size.map(|s| s.x),
                "width_m": size.map(|s| s.y),
            })
        })
        .collect();
    let depths: Vec<_> = depth_points(shell)
        .into_iter()
        .map(|(x, y)| json!({ "x_m": x, "y_m": y, "clear_depth_m": shell.base_depth_at(Vec2::new(x, y)).si() }))
        .collect();
    let findings: Vec<_> = shell
        .check()
        .into_iter()
        .map(|f| json!({ "code": f.code, "severity": f.severity.to_string(), "place": f.place.as_str(), "sentence": f.sentence.as_str() }))
        .collect();
    Ok(json!({ "survey": survey, "sections": sections, "clear_depths": depths, "findings": findings }))
}

/// What stands in, with where it is attached.
fn intrusions(shell: &Shell, text: &mut String) {
    for half in [&shell.base, &shell.lid] {
        for intrusion in &half.intrusions {
            let edge = match half.side {
                HalfSide::Base => "floor",
                HalfSide::Lid => "crown",
            };
            let attached = match intrusion.outline.attached_to() {
                "floor" => format!("on the {edge}"),
                corner if corner.contains('-') => format!("in the {corner} corner"),
                wall => format!("on the {wall} wall"),
            };
            let mut words = format!("{attached}, to {} from the {edge}", intrusion.to);
            if intrusion.draft.value.si() > 0.0 {
                let _ = write!(words, ", draft {}", intrusion.draft);
            }
            if intrusion.fillet.value.si() > 0.0 {
                let _ = write!(words, ", fillet {}", intrusion.fillet);
            }
            if intrusion.removed {
                words.push_str("; taken off");
            } else if intrusion.removable {
                words.push_str("; may be knocked off");
            }
            let _ = writeln!(text, "{:<22} {words}", intrusion.name);
        }
    }
}

/// Condition and fittings, by what a customer asks.
fn fittings(shell: &Shell, text: &mut String) {
    let record = &shell.record;
    let said = |words: &str| {
        if words.is_empty() {
            "not stated".to_owned()
        } else {
            words.to_owned()
        }
    };
    let _ = writeln!(
        text,
        "\nsample       {}; mould revision {}; by {} on {}",
        said(&record.sample),
        said(&record.mould_revision),
        said(&record.measured_by),
        said(&record.measured_on)
    );
    for group in FittingGroup::ALL {
        let of_group: Vec<_> = shell.fittings.iter().filter(|f| f.group == group).collect();
        if of_group.is_empty() {
            continue;
        }
        let _ = writeln!(text, "{}", group.title());
        for fitting in of_group {
            let mut words = fitting.condition().to_string();
            if let Some(height) = &fitting.grip_height {
                let _ = write!(words, ", grip {height} over the ground");
            }
            for callout in &fitting.callouts {
                let _ = write!(words, ", see {} in {}", callout.number, callout.photo);
            }
            if !fitting.note.is_empty() {
                let _ = write!(words, "; {}", fitting.note);
            }
            let _ = writeln!(text, "  {} x {:<18} {words}", fitting.count, fitting.name);
        }
    }
    for span in shell.unlocked_spans() {
        let _ = writeln!(
            text,
            "longest stretch of the rim between {}: {} (where the lid is held least, not what it takes to force it)",
            span.held_by, span.length
        );
    }
    match &shell.stacking_rating {
        Some(rating) => {
            let _ = writeln!(text, "stacking load, maker's rating: {rating}");
        }
        None => text.push_str("stacking load: no maker's rating, none is assumed\n"),
    }
    if let Some(hinge) = &shell.hinge {
        let _ = writeln!(
            text,
            "hinge        {} wall, axis {} beyond the opening, {} above the rim plane",
            hinge.wall.words(),
            hinge.beyond,
            hinge.above_rim
        );
    }
}

fn as_text(shell: &Shell) -> String {
    let mut text = String::new();
    let (base, lid, nominal) = usable(shell);
    let [length, width, height] = &shell.outside;
    let drafts = shell.drafts(HalfSide::Base).map(|d| format!("{d:.2}")).join(", ");
    let opening = &shell.base.rim;
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{} ({})", shell.title, shell.name);
    let _ = writeln!(
        text,
        "outside      {length} x {width} x {height}, empty {}",
        shell.empty_mass
    );
    let _ = writeln!(
        text,
        "opening      {} x {}, corners {}",
        opening.length, opening.width, opening.corner_radius
    );
    let _ = writeln!(
        text,
        "base depth   {}, lid depth {}",
        shell.base.depth, shell.lid.depth
    );
    let _ = writeln!(text, "base draft   {drafts} (left, right, front, back)");
    let _ = writeln!(text, "usable       base {base:.2} L, lid {lid:.2} L");
    if let Some(nominal) = nominal {
        let _ = writeln!(
            text,
            "nominal box  {nominal:.2} L; usable is {:.1} % of it. Lost to:",
            (base + lid) / nominal * 100.0
        );
        for (cause, volume) in shell.volume_ledger() {
            let _ = writeln!(text, "  {:<34} {:>8.2} L", cause, volume.as_litres());
        }
    }
    intrusions(shell, &mut text);
    fittings(shell, &mut text);
    let _ = writeln!(
        text,
        "\nsections (height above floor, free area, overall length x width)"
    );
    for z in heights(shell) {
        let section = shell.section(z);
        if let Some(bounds) = section.bounds() {
            let _ = writeln!(
                text,
                "  {:>5.0} mm  {:>8.1} cm²  {:>6.1} x {:.1} mm",
                z * 1e3,
                section.area() * 1e4,
                bounds.size().x * 1e3,
                bounds.size().y * 1e3
            );
        }
    }
    let _ = writeln!(text, "\nclear depth below the rim, mm, in plan (back at the top)");
    let points = depth_points(shell);
    for row in points.chunks(DEPTH_POINTS) {
        let cells: Vec<String> = row
            .iter()
            .map(|&(x, y)| {
                format!(
                    "{:>4.0}",
                    shell.base_depth_at(Vec2::new(x, y)).max(Length::ZERO).as_mm()
                )
            })
            .collect();
        let _ = writeln!(text, "  {}", cells.join(" "));
    }
    text
}
