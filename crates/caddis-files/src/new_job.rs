//! A new job folder with a `job.toml` that works.

use crate::document::Document;
use crate::error::{FileError, FilePlace};
use crate::files::shown;
use crate::job::JobFile;
use crate::library::{EntryKind, Library};
use std::path::{Path, PathBuf};

/// What a new job says; it reads and names every key that most jobs need.
pub(crate) const TEMPLATE: &str = include_str!("template.toml");

/// A template of the library: its text, as it is written there, and the job it says.
///
/// # Errors
/// No template of that name, or one that is no job.
pub fn find_template(library: &Library, name: &str) -> Result<(String, JobFile), FileError> {
    let asked = FilePlace {
        file: "the library".to_owned(),
        line: None,
        field: "template".to_owned(),
    };
    let found = library.find(EntryKind::Template, name, asked)?;
    let file = shown(&found.path);
    let job: JobFile = Document::new(&found.bytes, &file)?.parse()?;
    // What parses is text.
    Ok((String::from_utf8_lossy(&found.bytes).into_owned(), job))
}

/// Writes a `job.toml` that works into `folder`, which is made when it is not there: a template's text, or the one that names
/// every key most jobs need.
///
/// # Errors
/// The folder holds a `job.toml` already, or cannot be written.
pub fn new_job(folder: &Path, template: Option<&str>) -> Result<PathBuf, FileError> {
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
    std::fs::write(&path, template.unwrap_or(TEMPLATE))
        .map_err(|reason| FileError::unreadable(shown(&path), &reason))?;
    Ok(path)
}
