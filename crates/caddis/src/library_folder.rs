//! Where the library is.

use crate::arguments::LibraryOptions;
use crate::failure::Failure;
use caddis_files::Library;
use std::path::{Path, PathBuf};

/// The library named by `--library`, by `CADDIS_LIBRARY`, or found as `library/` beside or above `near`, the current
/// folder or this program; a folder `library` in `near` itself (a foam measured for one job) is looked in first.
pub(crate) fn find(options: &LibraryOptions, near: Option<&Path>) -> Result<Library, Failure> {
    let found = folder(options, near)?;
    let own = near.map(|job| job.join("library")).filter(|own| own.is_dir());
    Ok(Library::new(own.into_iter().chain([found]).collect()))
}

/// The folder of [`find`].
pub(crate) fn folder(options: &LibraryOptions, near: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(folder) = options
        .library
        .clone()
        .or_else(|| std::env::var_os("CADDIS_LIBRARY").map(PathBuf::from))
    {
        return if folder.is_dir() {
            Ok(folder)
        } else {
            Err(Failure::Use {
                problem: format!("{} is not a folder", folder.display()),
                hint: "name the folder that holds `shells`, `foams` and `shop`".to_owned(),
            })
        };
    }
    let starts = [
        near.map(Path::to_owned),
        Some(PathBuf::from(".")),
        std::env::current_exe().ok(),
    ];
    for start in starts.into_iter().flatten() {
        let Ok(start) = start.canonicalize() else { continue };
        if let Some(folder) = start
            .ancestors()
            .map(|above| above.join("library"))
            .find(|folder| folder.join("shells").is_dir())
        {
            return Ok(folder);
        }
    }
    Err(Failure::Use {
        problem: "there is no library folder beside or above the job, this folder or the program".to_owned(),
        hint: "name it with `--library DIR` or CADDIS_LIBRARY".to_owned(),
    })
}

/// The folders named, and after them the library found as by [`find`], so that a folder of shells alone will do.
pub(crate) fn also(folders: &[PathBuf], near: &Path) -> Result<Library, Failure> {
    if let Some(folder) = folders.iter().find(|folder| !folder.join("shells").is_dir()) {
        return Err(Failure::Use {
            problem: format!("{} holds no folder `shells`", folder.display()),
            hint: "name a library folder: one that holds `shells` with a TOML file for each".to_owned(),
        });
    }
    let mut all = folders.to_vec();
    match find(&LibraryOptions { library: None }, Some(near)) {
        Ok(found) => all.extend(found.folders().iter().cloned()),
        Err(failure) if folders.is_empty() => return Err(failure),
        // What the job names may all stand in the folders given.
        Err(_) => {}
    }
    Ok(Library::new(all))
}
