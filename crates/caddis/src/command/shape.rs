//! `caddis contents --shape FILE`: one shape file on its own.

use crate::arguments::ContentsOptions;
use crate::command::{bytes_of, print, print_json};
use crate::failure::{DONE, Failure};
use crate::shape_child::ChildReader;
use caddis_basis::{BenchUnit, Finding, Length, Name, Parse};
use caddis_files::{FileError, ShapeReader, ShapeRequest};
use caddis_geometry::{Mesh, Vec3};
use caddis_survey::{
    MeshPart, MeshReport, Profile, ProfileStep, RestingPose, Up, mesh_findings, resting_poses,
};
use serde_json::{Value, json};
use std::path::Path;

/// Larger meshes are not sliced for their undercut.
const MOST_SLICED: usize = 300_000;
/// Ways to stand that are printed; `--json` has them all.
const MOST_POSES: usize = 6;
/// Names of bodies that are printed; `--json` has them all.
const MOST_NAMES: usize = 12;
/// Layers in which the undercut is summed.
const LAYERS: u32 = 50;

pub(crate) fn run(path: &Path, options: &ContentsOptions, as_json: bool) -> Result<u8, Failure> {
    let shown = path.display().to_string();
    let (mesh, report) = read(path, options.unit.as_deref(), profile(options)?.as_ref())?;
    let findings = mesh_findings(&mesh, &report, &shown);
    if as_json {
        print_json(&as_value(&shown, &mesh, &report, &findings))?;
    } else {
        print(&as_text(&shown, &mesh, &report))?;
        for finding in &findings {
            eprintln!("  {} {}: {}", finding.severity, finding.code, finding.sentence);
        }
    }
    Ok(DONE)
}

/// Reads a shape file that the command line names.
pub(super) fn read(
    path: &Path,
    unit: Option<&str>,
    profile: Option<&Profile>,
) -> Result<(Mesh, MeshReport), Failure> {
    let shown = path.display().to_string();
    let unit = unit
        .map(BenchUnit::parse)
        .transpose()
        .map_err(|error| Failure::Use {
            problem: error.to_string(),
            hint: "give --unit as one of mm, cm, m, in".to_owned(),
        })?;
    let bytes = bytes_of(path, "shape file")?;
    ChildReader
        .read(&ShapeRequest {
            bytes: &bytes,
            name: &Name::new(shown.clone()),
            unit,
            profile,
        })
        .map_err(|message| {
            let (problem, hint) = match message.split_once("; ") {
                Some((problem, hint)) => (problem.to_owned(), Some(for_command_line(hint))),
                None => (message, None),
            };
            Failure::Input(FileError::content(&shown, problem, hint))
        })
}

fn profile(options: &ContentsOptions) -> Result<Option<Profile>, Failure> {
    let Some(text) = options.depth.as_deref() else {
        return Ok(None);
    };
    let wrong = |problem: String| Failure::Use {
        problem,
        hint: "give --depth as a length with its unit, e.g. --depth \"20 mm\"".to_owned(),
    };
    let depth = Length::parse(text).map_err(|error| wrong(error.to_string()))?;
    let step = ProfileStep::new(depth, Length::ZERO, options.layer.clone()).map_err(wrong)?;
    Ok(Some(Profile {
        steps: vec![step],
        has_holes: options.holes,
    }))
}

/// The advice a reader gives names the key of a job file; here it is an option.
fn for_command_line(hint: &str) -> String {
    if hint.contains("`depth = ") {
        return "measure it and give --depth \"20 mm\"".to_owned();
    }
    match hint.split_once("unit = \"") {
        Some((_, rest)) => {
            let unit = rest.split('"').next().unwrap_or_default();
            let reason = hint.split(", so write").next().unwrap_or_default();
            format!("{reason}; give --unit {unit} if that is right")
        }
        None => hint.to_owned(),
    }
}

fn size(mesh: &Mesh) -> Vec3 {
    mesh.bounds().map_or(Vec3::ZERO, |bounds| bounds.size())
}

fn as_value(file: &str, mesh: &Mesh, report: &MeshReport, findings: &[Finding]) -> Value {
    let mass = mesh.mass_properties();
    let size = size(mesh);
    let centre = mass.centre;
    json!({
        "file": file,
        "format": report.format.to_string(),
        "unit": report.unit,
        "unit_from": report.unit_source.as_str(),
        "metres_per_unit": report.metres_per_unit,
        "triangles": report.triangles,
        "bodies": report.bodies,
        "is_closed": report.is_closed,
        "open_edges": report.boundary_edges,
        "extents_m": [size.x, size.y, size.z],
        "volume_m3": report.is_closed.then_some(mass.volume),
        "area_m2": mass.surface,
        "centre_of_volume_m": report.is_closed.then_some([centre.x, centre.y, centre.z]),
        "outer_error_m": report.widest_hole / 2.0,
        "undercut_m3": undercuts(mesh).map(|all| {
            all.into_iter()
                .map(|(up, undercut)| (up.as_str().to_owned(), json!(undercut)))
                .collect::<serde_json::Map<_, _>>()
        }),
        "resting": resting(mesh, report).iter().map(pose).collect::<Vec<_>>(),
        "parts": report.parts.iter().map(|part| json!({
            "product": part.product,
            "entity": part.entity,
            "bodies": part.bodies,
        })).collect::<Vec<_>>(),
        "repairs": report.repairs,
        "findings": findings
            .iter()
            .map(|f| json!({
                "code": f.code,
                "severity": f.severity.to_string(),
                "sentence": f.sentence.as_str(),
                "remedy": f.remedy.as_deref(),
            }))
            .collect::<Vec<_>>(),
    })
}

/// How it stands by itself. A file holds no masses: the centre of mass is taken to be that of its volume, of its hull's where
/// it is open.
fn resting(mesh: &Mesh, report: &MeshReport) -> Vec<RestingPose> {
    let solid = if report.is_closed {
        Some(mesh.clone())
    } else {
        mesh.hull()
    };
    solid.map_or_else(Vec::new, |solid| {
        resting_poses(mesh, solid.mass_properties().centre)
    })
}

/// A pose as JSON.
pub(super) fn pose(pose: &RestingPose) -> Value {
    json!({
        "up": [pose.up.x, pose.up.y, pose.up.z],
        "axis": pose.axis.map(Up::as_str),
        "centre_height_m": pose.centre_height.si(),
        "footprint_m2": pose.footprint.si(),
        "tip_angle_deg": pose.tip_angle.to_degrees(),
        "tips_to": [pose.tips_to.x, pose.tips_to.y, pose.tips_to.z],
        "rise_m": pose.rise.si(),
    })
}

/// A pose in words.
fn stands(pose: &RestingPose) -> String {
    let up = pose.axis.map_or_else(
        || format!("({:.3} {:.3} {:.3})", pose.up.x, pose.up.y, pose.up.z),
        |axis| axis.as_str().to_owned(),
    );
    format!(
        "{up} {:.0} deg ({:.1} mm)",
        pose.tip_angle.to_degrees(),
        pose.rise.as_mm()
    )
}

/// What stays empty in a cavity for each way up, drawn upwards; `None` for meshes too large to slice six times.
fn undercuts(mesh: &Mesh) -> Option<Vec<(Up, f64)>> {
    (mesh.triangles.len() <= MOST_SLICED).then(|| {
        Up::ALL
            .into_iter()
            .map(|up| (up, mesh.posed(&up.pose()).undercut(LAYERS)))
            .collect()
    })
}

/// What the file calls its bodies.
fn named(parts: &[MeshPart]) -> Option<String> {
    let of = |part: &MeshPart| {
        let times = if part.bodies > 1 {
            format!("{} x ", part.bodies)
        } else {
            String::new()
        };
        match (part.product.as_str(), part.entity.as_str()) {
            ("", name) => format!("{times}`{name}`"),
            (product, name) if name.is_empty() || name == product => format!("{times}`{product}`"),
            (product, name) => format!("{times}`{product}` (`{name}`)"),
        }
    };
    let mut all: Vec<String> = parts.iter().take(MOST_NAMES).map(of).collect();
    if let Some(more) = parts.len().checked_sub(MOST_NAMES).filter(|more| *more > 0) {
        all.push(format!("and {more} more"));
    }
    (!all.is_empty()).then(|| format!("products  {}", all.join(", ")))
}

fn as_text(file: &str, mesh: &Mesh, report: &MeshReport) -> String {
    let mass = mesh.mass_properties();
    let size = size(mesh);
    let [x, y, z] = [size.x, size.y, size.z].map(|side| side * 1e3);
    let mut lines = vec![
        format!(
            "{file}: {}, unit {} ({})",
            report.format,
            report.unit,
            report.unit_source.as_str()
        ),
        format!("size      {x:.2} x {y:.2} x {z:.2} mm"),
        format!(
            "triangles {}, bodies {}, {}",
            report.triangles,
            report.bodies,
            if report.is_closed { "closed" } else { "open" }
        ),
    ];
    lines.push(if report.is_closed {
        format!("volume    {:.3} mL", mass.volume * 1e6)
    } else {
        format!(
            "volume    not known: it is open; a surface missing from its widest hole may stand out by {:.1} mm",
            report.widest_hole * 500.0
        )
    });
    lines.push(format!("area      {:.2} cm2", mass.surface * 1e4));
    if let Some(all) = undercuts(mesh) {
        let all: Vec<String> = all
            .into_iter()
            .map(|(up, undercut)| format!("{} {:.2}", up.as_str(), undercut * 1e6))
            .collect();
        lines.push(format!(
            "undercut  {} mL, drawn upwards, by the side that is up",
            all.join(", ")
        ));
    }
    let poses = resting(mesh, report);
    if poses.is_empty() {
        lines.push("stands    on no side by itself: it rolls or tips at less than 5 deg".to_owned());
    } else {
        let shown: Vec<String> = poses.iter().take(MOST_POSES).map(stands).collect();
        lines.push(format!(
            "stands    with up {}{}; it tips at that tilt, its centre by then higher by that much, with its mass spread evenly",
            shown.join(", "),
            match poses.len().saturating_sub(MOST_POSES) {
                0 => String::new(),
                more => format!(" and {more} ways more"),
            }
        ));
    }
    lines.extend(named(&report.parts));
    lines.extend(report.repairs.iter().map(|repair| format!("mended    {repair}")));
    lines.join("\n")
}
