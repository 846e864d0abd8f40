//! Jobs and library entries as documents that the page edits: TOML on the disk, JSON over the wire, the same keys.

use crate::document::Document;
use crate::error::{FileError, FilePlace};
use crate::files::{inside, read, shown, unresolved};
use crate::item::ShapeFile;
use crate::job::JobFile;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// A job as written, without looking at what it names.
///
/// # Errors
/// Not TOML, an unknown key, a missing one: with line and field.
pub fn read_job_file(bytes: &[u8], name: &str) -> Result<JobFile, FileError> {
    Document::new(bytes, name)?.parse()
}

/// Any document of this crate as JSON, keys in their order.
///
/// # Errors
/// Not TOML.
pub fn document_to_json(bytes: &[u8], name: &str) -> Result<Value, FileError> {
    Document::new(bytes, name)?.parse()
}

/// A document as TOML; the text reads back to the same document.
///
/// # Errors
/// A value TOML cannot hold (`null`, a number that is not finite).
pub fn document_to_toml<T: Serialize>(document: &T) -> Result<String, String> {
    toml::to_string(document).map_err(|error| error.to_string())
}

/// Every file of a job's folder by its path: `job.toml` and the shapes it names.
///
/// # Errors
/// A missing file, or a shape outside the folder.
pub fn job_files(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, FileError> {
    let path = folder.join("job.toml");
    let bytes = read(&path)?;
    let document = Document::new(&bytes, &shown(&path))?;
    let written: JobFile = document.parse()?;
    let mut files = BTreeMap::new();
    for (index, item) in written.items.iter().enumerate() {
        let (kind, file) = match &item.shape {
            ShapeFile::Mesh(mesh) => ("mesh", &mesh.file),
            ShapeFile::Outline(outline) => ("outline", &outline.file),
            ShapeFile::Box(_) | ShapeFile::Cylinder(_) | ShapeFile::Compound(_) | ShapeFile::Pocket(_) => {
                continue;
            }
        };
        let place: FilePlace = document.place(&format!("items[{index}].shape.{kind}.file"));
        let found = inside(folder, file).map_err(|why| unresolved(place, file, folder, why))?;
        files.insert(file.clone(), read(&found)?);
    }
    files.insert("job.toml".to_owned(), bytes);
    Ok(files)
}

/// What a new job says.
pub fn job_template() -> &'static str {
    crate::new_job::TEMPLATE
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::{document_to_json, document_to_toml, job_template, read_job_file};

    #[test]
    fn a_document_survives_the_way_to_json_and_back() {
        let json = document_to_json(job_template().as_bytes(), "job.toml").unwrap();
        let text = document_to_toml(&json).unwrap();
        assert_eq!(
            document_to_json(text.as_bytes(), "job.toml").unwrap(),
            json,
            "{text}"
        );
        let job = read_job_file(text.as_bytes(), "job.toml").unwrap();
        assert_eq!(job.items.len(), 1);
        let again = document_to_toml(&job).unwrap();
        read_job_file(again.as_bytes(), "job.toml").unwrap();
    }
}
