//! How shape files become meshes: through a reader the program chooses.

use caddis_basis::{BenchUnit, Name};
use caddis_geometry::Mesh;
use caddis_survey::{MeshReport, Profile};

/// One shape file to read.
#[derive(Debug, Clone)]
pub struct ShapeRequest<'a> {
    /// Its bytes.
    pub bytes: &'a [u8],
    /// What the job calls it.
    pub name: &'a Name,
    /// The unit of its numbers where the format carries none and the job states one.
    pub unit: Option<BenchUnit>,
    /// What makes a solid of it where it is a drawing.
    pub profile: Option<&'a Profile>,
}

/// Turns shape files into meshes. The program reads them in a child process under limits; tests read them directly.
pub trait ShapeReader {
    /// Reads one file.
    ///
    /// # Errors
    /// A sentence that says what is wrong and, after `; `, what would do.
    fn read(&self, request: &ShapeRequest<'_>) -> Result<(Mesh, MeshReport), String>;
}

/// Reads in this process, without limits of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DirectReader;

impl ShapeReader for DirectReader {
    fn read(&self, request: &ShapeRequest<'_>) -> Result<(Mesh, MeshReport), String> {
        caddis_survey::read_shape(request.bytes, request.name, request.unit, request.profile)
            .map_err(|error| error.to_string())
    }
}
