//! Readers of shape files: STL, 3MF, GLB, OBJ and PLY from bytes, STEP from the answer of `caddis-step`.
//!
//! Every count a file declares is held against its length before memory is asked for, every index before it is used,
//! every number before it becomes a coordinate. Own readers rather than the crates for STL, OBJ, PLY, GLB and 3MF's
//! models, because those round to f32, skip what they cannot read in silence, or overflow on a short header.

mod doubt;
mod findings;
mod glb;
mod hull;
mod obj;
mod ply;
mod step;
mod stl;
mod three_mf;

pub use doubt::{BodyNamed, Doubt};
pub use findings::mesh_findings;
pub(crate) use findings::{doubt_findings, state_findings};
pub use hull::outer_hull;
pub use step::{is_step, read_step_answer};

use crate::outline::{Profile, outline_format, read_outline};
use caddis_basis::{BenchUnit, Name};
use caddis_geometry::{Mesh, MeshError, Repairs, Vec3};
use std::fmt;

/// Larger files are refused, bytes.
const MOST_BYTES: usize = 512 << 20;
/// Larger meshes are refused.
const MOST_TRIANGLES: usize = 8_000_000;
/// Vertices closer than this are one, metres.
const WELD: f64 = 1e-6;

/// The formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeshFormat {
    /// STL, binary or text.
    Stl,
    /// 3MF.
    ThreeMf,
    /// Binary glTF.
    Glb,
    /// Wavefront OBJ.
    Obj,
    /// PLY, binary or text.
    Ply,
    /// STEP, through the system's `OpenCASCADE`.
    Step,
    /// DXF, an outline with a profile.
    Dxf,
    /// SVG, an outline with a profile.
    Svg,
}

impl MeshFormat {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Stl,
        Self::ThreeMf,
        Self::Glb,
        Self::Obj,
        Self::Ply,
        Self::Step,
        Self::Dxf,
        Self::Svg,
    ];
}

impl fmt::Display for MeshFormat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Stl => "STL",
            Self::ThreeMf => "3MF",
            Self::Glb => "GLB",
            Self::Obj => "OBJ",
            Self::Ply => "PLY",
            Self::Step => "STEP",
            Self::Dxf => "DXF",
            Self::Svg => "SVG",
        })
    }
}

/// Where the unit of a file's numbers comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UnitSource {
    /// The file states it.
    File,
    /// Its format fixes it.
    Format,
    /// The person stated it.
    Given,
}

impl UnitSource {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::File, Self::Format, Self::Given];

    /// As printed.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::File => "stated in the file",
            Self::Format => "fixed by the format",
            Self::Given => "given with the file",
        }
    }
}

/// Bodies of a file that it calls by the same names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeshPart {
    /// The product they belong to; empty where the file names none.
    pub product: String,
    /// What the file calls the bodies themselves; empty where it does not.
    pub entity: String,
    /// How many.
    pub bodies: usize,
}

/// What a file was found to hold, and what was done to it.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshReport {
    /// The format, by its content.
    pub format: MeshFormat,
    /// The unit its numbers were read in, as printed ("mm", "micron").
    pub unit: String,
    /// One of that unit, metres.
    pub metres_per_unit: f64,
    /// Where the unit comes from.
    pub unit_source: UnitSource,
    /// Triangles after repair.
    pub triangles: usize,
    /// Connected bodies.
    pub bodies: usize,
    /// Whether it is a closed solid.
    pub is_closed: bool,
    /// Edges used by one triangle only.
    pub boundary_edges: usize,
    /// The widest hole left open, metres: a surface that is missing there may stand out by half of it; 0 where none is.
    pub widest_hole: f64,
    /// What was mended or passed over, one sentence each without a full stop.
    pub repairs: Vec<String>,
    /// Why the shape may not be the whole piece, one sentence each without a full stop.
    pub doubts: Vec<Doubt>,
    /// What the file calls its bodies, in its order; only STEP says.
    pub parts: Vec<MeshPart>,
}

/// Why a file could not be read as a mesh. Each message names the file, what was found and what would do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// Nothing in it.
    #[error("{name} is empty; export it again")]
    Empty {
        /// The file.
        name: Name,
    },
    /// Too many bytes.
    #[error("{name} has {found} bytes, more than the {most} that are read; export it with fewer triangles")]
    TooLarge {
        /// The file.
        name: Name,
        /// Bytes.
        found: usize,
        /// Bytes.
        most: usize,
    },
    /// Too many triangles.
    #[error(
        "{name} holds more than {most} triangles; export it coarser, half a millimetre is fine enough for foam"
    )]
    TooManyTriangles {
        /// The file.
        name: Name,
        /// How many are read.
        most: usize,
    },
    /// Not a format that is read.
    #[error(
        "{name} is not a mesh file known here; use STL, 3MF, GLB, OBJ, PLY or STEP, or DXF or SVG for an outline"
    )]
    UnknownFormat {
        /// The file.
        name: Name,
    },
    /// A drawing without what makes it a solid.
    #[error(
        "`depth` is missing for {name}: {format} is a drawing, which has no height; measure it and write `depth = \"20 mm\"`, or `steps`"
    )]
    DepthMissing {
        /// The file.
        name: Name,
        /// Its format.
        format: MeshFormat,
    },
    /// A depth for what has one.
    #[error("{name} is {format}, a solid with its own height; leave out the depth and the steps")]
    DepthOfSolid {
        /// The file.
        name: Name,
        /// Its format.
        format: MeshFormat,
    },
    /// Too many vertices in a drawing.
    #[error("{name} draws more than {most} points; keep only the outline of the piece")]
    DrawingTooLarge {
        /// The file.
        name: Name,
        /// How many are read.
        most: usize,
    },
    /// A drawing that encloses nothing.
    #[error(
        "{name} holds no closed outline: {found}; draw the outside of the piece as lines that meet end to end"
    )]
    NoOutline {
        /// The file.
        name: Name,
        /// What it holds.
        found: String,
    },
    /// A layer that is not in the drawing.
    #[error("{name} draws nothing on `{layer}`; name one of {found}")]
    NoLayer {
        /// The file.
        name: Name,
        /// The layer asked for.
        layer: String,
        /// Those there are.
        found: String,
    },
    /// STEP is not read here.
    #[error(
        "{name} is STEP, which the separate program caddis-step reads, and that is not beside caddis; build it with \
         `. scripts/need.sh; need_step` (Debian package libocct-data-exchange-dev), or export the part as STL or 3MF"
    )]
    StepProgramMissing {
        /// The file.
        name: Name,
    },
    /// The content breaks its format's rules.
    #[error("{name} is not sound {format}: {found}; {remedy}")]
    Broken {
        /// The file.
        name: Name,
        /// The format it is read as.
        format: MeshFormat,
        /// What was found, and where.
        found: String,
        /// What would do.
        remedy: &'static str,
    },
    /// The numbers cannot be a mesh.
    #[error("{name} is no usable mesh: {error}; export the whole solid as triangles")]
    Mesh {
        /// The file.
        name: Name,
        /// Why.
        error: MeshError,
    },
    /// The format carries no unit and none was given.
    #[error(
        "`unit` is missing for {name}: {format} carries no unit; {reason}, so write `unit = \"{guess}\"` if that is right"
    )]
    UnitMissing {
        /// The file.
        name: Name,
        /// Its format.
        format: MeshFormat,
        /// The likeliest unit, `mm` or `m`.
        guess: &'static str,
        /// Why.
        reason: String,
    },
}

/// A mesh in the file's own numbers.
#[derive(Debug, Default)]
struct Raw {
    mesh: Mesh,
    /// The unit the file states: name and metres.
    unit: Option<(&'static str, f64)>,
    notes: Vec<String>,
}

/// What a single reader may run into.
#[derive(Debug)]
enum Trouble {
    Broken { found: String, remedy: &'static str },
    TooManyTriangles,
}

const EXPORT_AGAIN: &str = "export it again or repair it in the program it came from";

impl Trouble {
    fn broken(found: impl Into<String>) -> Self {
        Self::Broken {
            found: found.into(),
            remedy: EXPORT_AGAIN,
        }
    }

    fn with_remedy(found: impl Into<String>, remedy: &'static str) -> Self {
        Self::Broken {
            found: found.into(),
            remedy,
        }
    }
}

/// Reads a mesh file. The format is told by the content where it has a mark, else by the name's ending.
///
/// # Units
/// The mesh comes in metres. 3MF states its unit; GLB is metres with y up, and comes back with z up: (x, y, z) becomes
/// (x, -z, y). STL, OBJ and PLY carry none: `unit` must say. A `unit` given for 3MF or GLB overrules the file, and the
/// report says so.
///
/// # Accuracy
/// Vertices within 1 µm are merged, and within 20 µm across a crack; see [`Mesh::repaired`].
///
/// # Errors
/// The file is empty, too large, of no known format, breaks its format's rules, holds no mesh, or its unit is missing.
pub fn read_mesh(
    bytes: &[u8],
    name: &Name,
    unit: Option<BenchUnit>,
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
    if is_step(bytes, name) {
        return Err(ReadError::StepProgramMissing { name: name.clone() });
    }
    if let Some(format) = outline_format(bytes, name) {
        return Err(ReadError::DepthMissing {
            name: name.clone(),
            format,
        });
    }
    let ending = ending_of(name);
    let format = format_of(bytes, ending).ok_or_else(|| ReadError::UnknownFormat { name: name.clone() })?;
    let read = match format {
        MeshFormat::Stl => stl::read(bytes),
        MeshFormat::ThreeMf => three_mf::read(bytes),
        MeshFormat::Glb => glb::read(bytes),
        MeshFormat::Obj => obj::read(bytes),
        MeshFormat::Ply => ply::read(bytes),
        MeshFormat::Step | MeshFormat::Dxf | MeshFormat::Svg => {
            return Err(ReadError::UnknownFormat { name: name.clone() });
        }
    };
    let raw = read.map_err(|trouble| match trouble {
        Trouble::Broken { found, remedy } => ReadError::Broken {
            name: name.clone(),
            format,
            found,
            remedy,
        },
        Trouble::TooManyTriangles => ReadError::TooManyTriangles {
            name: name.clone(),
            most: MOST_TRIANGLES,
        },
    })?;
    finished(raw, name, format, ending, unit)
}

/// Reads any shape but STEP: a mesh file, or a drawing with its profile.
///
/// # Errors
/// As [`read_mesh`] and [`read_outline`]; a drawing without a profile, or a solid with one.
pub fn read_shape(
    bytes: &[u8],
    name: &Name,
    unit: Option<BenchUnit>,
    profile: Option<&Profile>,
) -> Result<(Mesh, MeshReport), ReadError> {
    let Some(profile) = profile else {
        return read_mesh(bytes, name, unit);
    };
    if outline_format(bytes, name).is_some() {
        return read_outline(bytes, name, unit, profile);
    }
    Err(match format_of(bytes, ending_of(name)) {
        Some(format) => ReadError::DepthOfSolid {
            name: name.clone(),
            format,
        },
        None => ReadError::UnknownFormat { name: name.clone() },
    })
}

fn finished(
    raw: Raw,
    name: &Name,
    format: MeshFormat,
    ending: Option<MeshFormat>,
    unit: Option<BenchUnit>,
) -> Result<(Mesh, MeshReport), ReadError> {
    let refused = |error: MeshError| ReadError::Mesh {
        name: name.clone(),
        error,
    };
    let Raw {
        mesh: mut found,
        unit: own,
        notes: mut repairs,
    } = raw;
    if found.triangles.is_empty() {
        return Err(refused(MeshError::Empty));
    }
    // Before anything reads positions by index.
    check_indices(&found).map_err(refused)?;
    if ending.is_some_and(|ending| ending != format) {
        repairs.push(format!(
            "its name ends otherwise, but its content is {format} and was read so"
        ));
    }
    let format_fixes = format == MeshFormat::Glb;
    let (unit_name, metres, unit_source) = match (unit, own) {
        (Some(given), Some((own_name, own_metres))) if given.metres() != own_metres => {
            repairs.push(format!(
                "it states {own_name}, but `unit` says {}: read in {}",
                given.as_str(),
                given.as_str()
            ));
            (given.as_str(), given.metres(), UnitSource::Given)
        }
        (_, Some((name, metres))) if format_fixes => (name, metres, UnitSource::Format),
        (_, Some((name, metres))) => (name, metres, UnitSource::File),
        (Some(given), None) => (given.as_str(), given.metres(), UnitSource::Given),
        (None, None) => {
            let (guess, reason) = guess_unit(&found);
            return Err(ReadError::UnitMissing {
                name: name.clone(),
                format,
                guess,
                reason,
            });
        }
    };
    for p in &mut found.positions {
        *p = *p * metres;
    }
    let found = found.validated().map_err(refused)?;
    let (mesh, done) = found.repaired(WELD);
    if mesh.triangles.is_empty() {
        return Err(refused(MeshError::Empty));
    }
    repairs.extend(done.sentences());
    let Repairs { widest_open, .. } = done;
    let check = mesh.check();
    let report = MeshReport {
        format,
        unit: unit_name.to_owned(),
        metres_per_unit: metres,
        unit_source,
        triangles: mesh.triangles.len(),
        bodies: check.bodies,
        is_closed: check.is_closed,
        boundary_edges: check.boundary_edges,
        widest_hole: widest_open,
        repairs,
        doubts: Vec::new(),
        parts: Vec::new(),
    };
    Ok((mesh, report))
}

fn check_indices(mesh: &Mesh) -> Result<(), MeshError> {
    let count = mesh.positions.len();
    for (triangle, corners) in mesh.triangles.iter().enumerate() {
        if let Some(&vertex) = corners.iter().find(|&&i| i as usize >= count) {
            return Err(MeshError::Index {
                triangle,
                vertex,
                count,
            });
        }
    }
    Ok(())
}

fn ending_of(name: &Name) -> Option<MeshFormat> {
    let lower = name.as_str().to_lowercase();
    let (_, ending) = lower.rsplit_once('.')?;
    match ending {
        "stl" => Some(MeshFormat::Stl),
        "3mf" => Some(MeshFormat::ThreeMf),
        "glb" => Some(MeshFormat::Glb),
        "obj" => Some(MeshFormat::Obj),
        "ply" => Some(MeshFormat::Ply),
        _ => None,
    }
}

fn format_of(bytes: &[u8], ending: Option<MeshFormat>) -> Option<MeshFormat> {
    if bytes.starts_with(b"glTF") {
        return Some(MeshFormat::Glb);
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Some(MeshFormat::ThreeMf);
    }
    let text = bytes.trim_ascii_start();
    if text.starts_with(b"ply\n") || text.starts_with(b"ply\r") {
        return Some(MeshFormat::Ply);
    }
    if ending.is_some() {
        return ending;
    }
    (stl::is_binary(bytes) || text.starts_with(b"solid")).then_some(MeshFormat::Stl)
}

/// The likelier of millimetres and metres, and why.
fn guess_unit(mesh: &Mesh) -> (&'static str, String) {
    let size = mesh.bounds().map_or(Vec3::ZERO, |b| b.size());
    let longest = size.x.max(size.y).max(size.z);
    if longest < 3.0 {
        (
            "m",
            format!(
                "its longest side is {longest:.4}, which is {:.1} mm if the numbers are metres",
                longest * 1000.0
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

/// Adds a polygon as a fan of triangles.
fn fan(mesh: &mut Mesh, corners: &[u32]) -> Result<(), Trouble> {
    for k in 1..corners.len().saturating_sub(1) {
        if mesh.triangles.len() >= MOST_TRIANGLES {
            return Err(Trouble::TooManyTriangles);
        }
        mesh.triangles.push([corners[0], corners[k], corners[k + 1]]);
    }
    Ok(())
}

/// The text of a file; bytes that are not UTF-8 (comments in old code pages) become replacement characters.
fn text_of(bytes: &[u8]) -> std::borrow::Cow<'_, str> {
    String::from_utf8_lossy(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes))
}

/// A 3 x 4 placement: rows act on (x, y, z, 1).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Placement {
    rows: [[f64; 4]; 3],
}

impl Placement {
    const IDENTITY: Self = Self {
        rows: [[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]],
    };

    fn apply(&self, p: Vec3) -> Vec3 {
        let row = |r: &[f64; 4]| r[0] * p.x + r[1] * p.y + r[2] * p.z + r[3];
        Vec3::new(row(&self.rows[0]), row(&self.rows[1]), row(&self.rows[2]))
    }

    /// `inner` first, then `self`.
    fn after(&self, inner: &Self) -> Self {
        let mut rows = [[0.0; 4]; 3];
        for (row, outer) in rows.iter_mut().zip(&self.rows) {
            for (k, value) in row.iter_mut().enumerate() {
                *value = (0..3).map(|i| outer[i] * inner.rows[i][k]).sum::<f64>();
            }
            row[3] += outer[3];
        }
        Self { rows }
    }

    fn mirrors(&self) -> bool {
        let [a, b, c] = self.rows.map(|r| Vec3::new(r[0], r[1], r[2]));
        a.dot(b.cross(c)) < 0.0
    }

    /// Appends a placed copy of a mesh.
    fn place(&self, whole: &mut Mesh, positions: &[Vec3], triangles: &[[u32; 3]]) -> Result<(), Trouble> {
        if whole.triangles.len() + triangles.len() > MOST_TRIANGLES
            || whole.positions.len() + positions.len() > u32::MAX as usize / 2
        {
            return Err(Trouble::TooManyTriangles);
        }
        let base = whole.positions.len() as u32;
        whole.positions.extend(positions.iter().map(|&p| self.apply(p)));
        let mirrors = self.mirrors();
        whole.triangles.extend(triangles.iter().map(|&[a, b, c]| {
            let [b, c] = if mirrors { [c, b] } else { [b, c] };
            [a + base, b + base, c + base]
        }));
        Ok(())
    }
}

#[cfg(test)]
mod tests;
