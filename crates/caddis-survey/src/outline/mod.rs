//! Outlines from drawings (DXF, SVG), given a depth or a stepped profile: they become closed meshes like any other shape.
//!
//! Guarantees: the solid is never smaller than the drawn outline beyond the stated chord error, a unit is never guessed in
//! silence, and whatever of a drawing was not used is counted by name.

mod chain;
mod curve;
mod dxf;
mod solid;
mod svg;
#[cfg(test)]
mod tests;

use crate::read::{Doubt, MeshFormat, MeshReport, ReadError, UnitSource};
use caddis_basis::{BenchUnit, Length, Name};
use caddis_geometry::{Mesh, Vec2, Vertex};
use std::collections::{BTreeMap, BTreeSet};

/// Larger drawings are refused, bytes.
const MOST_BYTES: usize = 64 << 20;
/// More vertices, after blocks are inserted and curves flattened, are refused.
const MOST_VERTICES: usize = 400_000;
/// Chords of ellipses, splines and Bézier curves stay within this of the curve, metres; of arcs likewise, on the outside.
const CHORD: f64 = 1e-5;
/// The same in a drawing's own numbers while its unit is not known.
const CHORD_UNKNOWN: f64 = 1e-3;

/// What makes a solid of an outline.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Profile {
    /// From the bottom up; never empty.
    pub steps: Vec<ProfileStep>,
    /// Inner outlines go through; otherwise they are details of the surface and filled.
    pub has_holes: bool,
}

/// One step of a profile. Whole micrometres, so that a profile is a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProfileStep {
    /// How high it is, µm.
    pub height: u32,
    /// How far its side lies inside the outline (outside where negative), µm.
    pub inset: i32,
    /// The layer of the drawing (in SVG: the id of a group or a path) its outline is on; all of them where none is named.
    pub layer: Option<String>,
}

impl Profile {
    /// One step of a height.
    ///
    /// # Errors
    /// A sentence when the height is no height.
    pub fn of_depth(depth: Length) -> Result<Self, String> {
        Ok(Self {
            steps: vec![ProfileStep::new(depth, Length::ZERO, None)?],
            has_holes: false,
        })
    }
}

impl ProfileStep {
    /// A step.
    ///
    /// # Errors
    /// A sentence when a height is not between 1 µm and 2 m, or an inset is beyond 1 m.
    pub fn new(height: Length, inset: Length, layer: Option<String>) -> Result<Self, String> {
        let (h, i) = ((height.si() * 1e6).round(), (inset.si() * 1e6).round());
        if !(1.0..=2e6).contains(&h) {
            return Err(format!("a step is {height} high; give between 0.001 mm and 2 m"));
        }
        if !(-1e6..=1e6).contains(&i) {
            return Err(format!("an inset is {inset}; give less than 1 m"));
        }
        Ok(Self {
            height: h as u32,
            inset: i as i32,
            layer,
        })
    }
}

/// Whether a file is a drawing, by its content or its name's ending.
pub fn outline_format(bytes: &[u8], name: &Name) -> Option<MeshFormat> {
    let lower = name.as_str().to_lowercase();
    let ending = lower.rsplit_once('.').map_or("", |(_, ending)| ending);
    if bytes.starts_with(dxf::BINARY_MARK) || ending == "dxf" {
        return Some(MeshFormat::Dxf);
    }
    let start = bytes[..bytes.len().min(2048)].trim_ascii_start();
    let start = start.strip_prefix(b"\xef\xbb\xbf").unwrap_or(start);
    let is_svg = matches!(ending, "svg" | "svgz")
        || (start.starts_with(b"<") && start.windows(4).any(|window| window == b"<svg"));
    is_svg.then_some(MeshFormat::Svg)
}

/// One line of a drawing, in the file's own numbers.
#[derive(Debug, Clone, PartialEq)]
struct Path {
    layer: String,
    /// The last vertex's bulge counts only where it is closed.
    vertices: Vec<Vertex>,
    is_closed: bool,
}

/// A drawing in the file's own numbers.
#[derive(Debug, Default)]
struct Drawing {
    paths: Vec<Path>,
    /// The unit it states: name and metres.
    unit: Option<(&'static str, f64)>,
    /// The unit it hints at, and why.
    hint: Option<(&'static str, String)>,
    /// What is in it that is no line, by kind.
    passed_over: BTreeMap<String, usize>,
    notes: Vec<String>,
}

/// What cannot be read and may belong to an outline all the same, by a word of its kind.
const MAY_BE_OUTLINE: [&str; 9] = [
    "HATCH",
    "SPLINE",
    "ELLIPSE",
    "CIRCLE",
    "POLYLINE mesh",
    "REGION",
    "MLINE",
    "out of plan",
    "block that is not there",
];

/// What a reader of drawings may run into.
#[derive(Debug)]
enum Trouble {
    Broken(String),
    TooMuch,
}

/// Reads a drawing and makes a solid of its closed outlines.
///
/// # Units
/// The mesh comes in metres; the drawing's x and y become x and y, z starts at 0. DXF states its unit in `$INSUNITS`, SVG in the
/// unit of its `width`; where neither does, `unit` must say. A `unit` given overrules the file, and the report says so.
///
/// # Accuracy
/// Arcs stand off by at most 0.01 mm on the outside; chords of other curves lie within 0.01 mm of them. Gaps up to 0.1 mm
/// between ends are closed and said.
///
/// # Errors
/// The file is empty, too large, not sound, has no closed outline, no unit, not the layer asked for, or an inset leaves nothing.
pub fn read_outline(
    bytes: &[u8],
    name: &Name,
    unit: Option<BenchUnit>,
    profile: &Profile,
) -> Result<(Mesh, MeshReport), ReadError> {
    if bytes.is_empty() {
        return Err(ReadError::Empty { name: name.clone() });
    }
    if bytes.len() > MOST_BYTES {
        return Err(ReadError::TooLarge {
            name: name.clone(),
            found: bytes.len(),
            most: MOST_BYTES,
        });
    }
    let format =
        outline_format(bytes, name).ok_or_else(|| ReadError::UnknownFormat { name: name.clone() })?;
    let drawing = match format {
        MeshFormat::Dxf => dxf::read(bytes, unit),
        _ => svg::read(bytes, unit),
    }
    .map_err(|trouble| match trouble {
        Trouble::Broken(found) => ReadError::Broken {
            name: name.clone(),
            format,
            found,
            remedy: "save it again from the program it came from",
        },
        Trouble::TooMuch => ReadError::DrawingTooLarge {
            name: name.clone(),
            most: MOST_VERTICES,
        },
    })?;
    finished(drawing, name, format, unit, profile)
}

fn finished(
    mut drawing: Drawing,
    name: &Name,
    format: MeshFormat,
    unit: Option<BenchUnit>,
    profile: &Profile,
) -> Result<(Mesh, MeshReport), ReadError> {
    let no_outline = |found: String| ReadError::NoOutline {
        name: name.clone(),
        found,
    };
    if drawing.paths.is_empty() {
        return Err(no_outline(without_lines(&drawing.passed_over)));
    }
    let mut repairs = std::mem::take(&mut drawing.notes);
    let (unit_name, metres, unit_source) = match (unit, drawing.unit) {
        (Some(given), Some((own, own_metres))) if given.metres() != own_metres => {
            repairs.push(format!(
                "it states {own}, but `unit` says {}: read in {}",
                given.as_str(),
                given.as_str()
            ));
            (given.as_str(), given.metres(), UnitSource::Given)
        }
        (_, Some((own, own_metres))) => (own, own_metres, UnitSource::File),
        (Some(given), None) => (given.as_str(), given.metres(), UnitSource::Given),
        (None, None) => {
            let (guess, reason) = guess_unit(&drawing);
            return Err(ReadError::UnitMissing {
                name: name.clone(),
                format,
                guess,
                reason,
            });
        }
    };
    for path in &mut drawing.paths {
        for vertex in &mut path.vertices {
            vertex.at = vertex.at * metres;
            // As for meshes: farther than a kilometre is a wrong unit or broken numbers.
            if !vertex.at.is_finite()
                || vertex.at.x.abs().max(vertex.at.y.abs()) > 1000.0
                || !vertex.bulge.is_finite()
            {
                return Err(ReadError::Broken {
                    name: name.clone(),
                    format,
                    found: "a coordinate is not a finite length under 1 km".to_owned(),
                    remedy: "check its unit, and remove what lies far from the piece",
                });
            }
        }
    }
    let built = solid::build(&drawing.paths, profile).map_err(|trouble| match trouble {
        solid::Trouble::NoLoop { open, widest_gap } => no_outline(format!(
            "of {open} lines none closes{}",
            if widest_gap.is_finite() {
                format!(" (the narrowest gap is {:.2} mm)", widest_gap * 1e3)
            } else {
                String::new()
            }
        )),
        solid::Trouble::NoLayer(layer) => ReadError::NoLayer {
            name: name.clone(),
            found: layers(&drawing.paths),
            layer,
        },
        solid::Trouble::NothingLeft { step } => {
            no_outline(format!("the inset of step {} leaves nothing of it", step + 1))
        }
    })?;
    repairs.extend(built.said);
    if !drawing.passed_over.is_empty() {
        repairs.push(format!(
            "not used, because no line: {}",
            counted(&drawing.passed_over)
        ));
    }
    let curves: BTreeMap<String, usize> = std::mem::take(&mut drawing.passed_over)
        .into_iter()
        .filter(|(kind, _)| MAY_BE_OUTLINE.iter().any(|word| kind.contains(word)))
        .collect();
    let mut doubts = built.doubts;
    if !curves.is_empty() {
        let kinds = curves.into_iter().take(12);
        doubts.push(Doubt::Unread(kinds.map(|(kind, count)| (count, kind)).collect()));
    }
    let mesh = built.mesh.validated().map_err(|error| ReadError::Mesh {
        name: name.clone(),
        error,
    })?;
    let check = mesh.check();
    let report = MeshReport {
        format,
        unit: unit_name.to_owned(),
        metres_per_unit: metres,
        unit_source,
        triangles: mesh.triangles.len(),
        bodies: built.pieces,
        is_closed: check.is_closed,
        boundary_edges: check.boundary_edges,
        widest_hole: 0.0,
        repairs,
        doubts,
        parts: Vec::new(),
    };
    Ok((mesh, report))
}

fn counted(kinds: &BTreeMap<String, usize>) -> String {
    let all: Vec<String> = kinds
        .iter()
        .take(12)
        .map(|(kind, n)| format!("{n} {kind}"))
        .collect();
    all.join(", ")
}

fn without_lines(passed_over: &BTreeMap<String, usize>) -> String {
    if passed_over.is_empty() {
        "nothing is drawn in it".to_owned()
    } else {
        format!("it has no lines, only {}", counted(passed_over))
    }
}

fn layers(paths: &[Path]) -> String {
    let names: BTreeSet<&str> = paths.iter().map(|path| path.layer.as_str()).collect();
    let names: Vec<String> = names
        .into_iter()
        .take(12)
        .map(|name| format!("`{name}`"))
        .collect();
    names.join(", ")
}

/// The likeliest unit, and why.
fn guess_unit(drawing: &Drawing) -> (&'static str, String) {
    let ends = drawing
        .paths
        .iter()
        .flat_map(|path| path.vertices.iter().map(|v| v.at));
    let size = ends
        .map(|p| (p, p))
        .reduce(|(low, high), (p, _)| (low.min(p), high.max(p)))
        .map_or(Vec2::ZERO, |(low, high)| high - low);
    let longest = size.x.max(size.y);
    if let Some((guess, reason)) = &drawing.hint {
        return (guess, format!("{reason}, and its longest side is {longest:.2}"));
    }
    if longest < 3.0 {
        (
            "m",
            format!(
                "its longest side is {longest:.4}, which is {:.1} mm if the numbers are metres",
                longest * 1e3
            ),
        )
    } else {
        (
            "mm",
            format!(
                "its longest side is {longest:.1}, likely millimetres (inches would be {:.0} mm)",
                longest * 25.4
            ),
        )
    }
}
