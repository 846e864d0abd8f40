//! Photos that a shell's survey names.

use crate::error::FileError;
use caddis_survey::Shell;
use std::collections::BTreeMap;
use std::path::{Component, Path};

/// A photo larger than this is not printed, bytes.
const MOST_PHOTO: u64 = 40 << 20;

/// The photos the survey names, from the folder of its file and below; nothing beside it is read.
///
/// # Errors
/// A photo that is not there, leads out of the folder or is larger than 40 MB.
pub fn read_photos(path: &Path, shell: &Shell) -> Result<BTreeMap<String, Vec<u8>>, FileError> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut named: Vec<&str> = shell.photos.iter().map(|photo| photo.file.as_str()).collect();
    named.extend(
        shell
            .fittings
            .iter()
            .flat_map(|fitting| &fitting.callouts)
            .map(|callout| callout.photo.as_str()),
    );
    named.sort_unstable();
    named.dedup();
    let mut photos = BTreeMap::new();
    for name in named {
        let wrong = |problem: String, hint: &str| {
            FileError::content(
                path.display().to_string(),
                format!("the photo `{name}` {problem}"),
                Some(hint.to_owned()),
            )
        };
        let below = Path::new(name);
        if below
            .components()
            .any(|part| !matches!(part, Component::Normal(_)))
            || name.is_empty()
        {
            return Err(wrong(
                "leads out of the survey's folder".to_owned(),
                "put the photo beside the survey and name it by its file name",
            ));
        }
        let full = folder.join(below);
        let leads_out = match (full.canonicalize(), folder.join(".").canonicalize()) {
            (Ok(full), Ok(folder)) => !full.starts_with(folder),
            // What cannot be read says so below.
            _ => false,
        };
        if leads_out {
            return Err(wrong(
                "is a link that leads out of the survey's folder".to_owned(),
                "put the photo itself beside the survey",
            ));
        }
        let size = std::fs::metadata(&full)
            .map_err(|reason| {
                wrong(
                    format!("cannot be read: {reason}"),
                    "put it beside the survey, or take its name out",
                )
            })?
            .len();
        if size > MOST_PHOTO {
            return Err(wrong(format!("has {size} bytes"), "save it smaller, below 40 MB"));
        }
        let bytes = std::fs::read(&full)
            .map_err(|reason| wrong(format!("cannot be read: {reason}"), "name a PNG or JPEG file"))?;
        photos.insert(name.to_owned(), bytes);
    }
    Ok(photos)
}
