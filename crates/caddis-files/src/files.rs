//! Files of one folder, and no others.

use crate::error::{FileError, FilePlace};
use std::path::{Component, Path, PathBuf};

/// Reads a file.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, FileError> {
    std::fs::read(path).map_err(|reason| FileError::unreadable(shown(path), &reason))
}

/// A path as messages show it.
pub(crate) fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// Why a name names no file of the folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Unresolved {
    /// It leads out of the folder; the words say how.
    Outside(&'static str),
    /// It is not there.
    Missing(PathBuf),
}

/// The file `name` inside `folder`; links are followed and may not lead out of it.
pub(crate) fn inside(folder: &Path, name: &str) -> Result<PathBuf, Unresolved> {
    let relative = Path::new(name);
    for component in relative.components() {
        match component {
            Component::Normal(_) | Component::CurDir => {}
            Component::ParentDir => return Err(Unresolved::Outside("it climbs out with `..`")),
            Component::RootDir | Component::Prefix(_) => {
                return Err(Unresolved::Outside("it is an absolute path"));
            }
        }
    }
    let path = folder.join(relative);
    if name.contains('\\') || name.contains('\0') {
        return Err(Unresolved::Outside(
            "it is no plain path; separate folders with `/`",
        ));
    }
    let (Ok(real), Ok(root)) = (path.canonicalize(), folder.canonicalize()) else {
        return Err(Unresolved::Missing(path));
    };
    if !real.starts_with(&root) {
        return Err(Unresolved::Outside("a link in it leads out"));
    }
    if !real.is_file() {
        return Err(Unresolved::Missing(path));
    }
    Ok(path)
}

/// An error for a file that a field names.
pub(crate) fn unresolved(place: FilePlace, name: &str, folder: &Path, why: Unresolved) -> FileError {
    match why {
        Unresolved::Outside(how) => FileError::Content {
            problem: format!("`{name}` lies outside the job's folder: {how}"),
            hint: Some(format!(
                "copy the file into {} and name it from there",
                shown(folder)
            )),
            place: Box::new(place),
        },
        Unresolved::Missing(path) => FileError::Missing {
            place: Box::new(place),
            what: format!("file `{name}`"),
            looked: vec![shown(&path)],
            hint: Some("paths count from the job's folder".to_owned()),
        },
    }
}
