//! Shape files read once: the same bytes in the same unit and to the same depth are not read again while the program runs.

use caddis_files::{ShapeReader, ShapeRequest, Sheet, sha256_hex};
use caddis_geometry::Mesh;
use caddis_survey::MeshReport;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// A reader that threads share.
pub type SharedReader = Arc<dyn ShapeReader + Send + Sync>;

/// Reads the sheets of a workbook, under limits.
pub type SheetReader = Arc<dyn Fn(&[u8]) -> Result<Vec<Sheet>, String> + Send + Sync>;

/// Meshes kept at most.
const KEPT: usize = 64;

/// Remembers what was read.
pub(crate) struct RememberingReader {
    inner: SharedReader,
    read: Mutex<BTreeMap<String, (Mesh, MeshReport)>>,
}

impl RememberingReader {
    pub(crate) fn new(inner: SharedReader) -> Self {
        Self {
            inner,
            read: Mutex::new(BTreeMap::new()),
        }
    }
}

impl ShapeReader for RememberingReader {
    fn read(&self, request: &ShapeRequest<'_>) -> Result<(Mesh, MeshReport), String> {
        let unit = request.unit.map_or("", |unit| unit.as_str());
        let key = format!(
            "{} {unit} {:?} {}",
            sha256_hex(request.bytes),
            request.profile,
            request.name
        );
        if let Some(known) = self.read.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return Ok(known.clone());
        }
        let found = self.inner.read(request)?;
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        if read.len() >= KEPT {
            read.pop_first();
        }
        read.insert(key, found.clone());
        Ok(found)
    }
}
