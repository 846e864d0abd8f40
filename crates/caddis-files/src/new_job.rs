//! A new job folder with a `job.toml` that works.

use crate::error::{FileError, FilePlace};
use crate::files::shown;
use std::path::{Path, PathBuf};

/// What a new job says; it reads and names every key that most jobs need.
pub(crate) const TEMPLATE: &str = include_str!("template.toml");

/// Writes a `job.toml` that works into `folder`, which is made when it is not there.
///
/// # Errors
/// The folder holds a `job.toml` already, or cannot be written.
pub fn new_job(folder: &Path) -> Result<PathBuf, FileError> {
    let path = folder.join("job.toml");
    if path.exists() {
        return Err(FileError::Content {
            place: Box::new(FilePlace {
                file: shown(&path),
                line: None,
                field: String::new(),
            }),
            problem: "there is a job here already".to_owned(),
            hint: Some("name a new folder; nothing was changed".to_owned()),
        });
    }
    std::fs::create_dir_all(folder).map_err(|reason| FileError::unreadable(shown(folder), &reason))?;
    std::fs::write(&path, TEMPLATE).map_err(|reason| FileError::unreadable(shown(&path), &reason))?;
    Ok(path)
}
