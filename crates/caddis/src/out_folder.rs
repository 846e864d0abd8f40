//! The output folder: written beside its place and put there by one rename, so that earlier output is never half gone.

use crate::failure::Failure;
use std::fs;
use std::path::{Path, PathBuf};

/// A folder being written.
#[derive(Debug)]
pub(crate) struct OutFolder {
    target: PathBuf,
    work: PathBuf,
    is_placed: bool,
}

impl OutFolder {
    /// Starts beside `target`.
    pub(crate) fn begin(target: &Path) -> Result<Self, Failure> {
        let name = target
            .file_name()
            .ok_or_else(|| Failure::Use {
                problem: format!("--out {} does not name a folder", target.display()),
                hint: "name a folder that may be replaced, e.g. `--out out`".to_owned(),
            })?
            .to_string_lossy()
            .into_owned();
        if target.exists() && !target.join("manifest.json").exists() && has_entries(target) {
            return Err(Failure::Use {
                problem: format!(
                    "--out {} exists and holds files that were not written by this program",
                    target.display()
                ),
                hint: "name an empty or a new folder, or an earlier output of this program".to_owned(),
            });
        }
        let work = target.with_file_name(format!(".{name}.partial-{}", std::process::id()));
        let _ = fs::remove_dir_all(&work);
        fs::create_dir_all(&work).map_err(|reason| write_failure(&work, reason))?;
        Ok(Self {
            target: target.to_owned(),
            work,
            is_placed: false,
        })
    }

    /// Writes one file below the folder.
    pub(crate) fn write(&self, path: &str, bytes: &[u8]) -> Result<(), Failure> {
        let full = self.work.join(path);
        if let Some(parent) = full.parent() {
            fs::create_dir_all(parent).map_err(|reason| write_failure(parent, reason))?;
        }
        fs::write(&full, bytes).map_err(|reason| write_failure(&full, reason))
    }

    /// Puts the folder in its place.
    pub(crate) fn place(mut self) -> Result<(), Failure> {
        let old = self.work.with_extension("old");
        let had_old = self.target.exists();
        if had_old {
            fs::rename(&self.target, &old).map_err(|reason| write_failure(&self.target, reason))?;
        }
        if let Err(reason) = fs::rename(&self.work, &self.target) {
            if had_old {
                // Put the earlier output back; if even that fails the message below names where it is.
                let _ = fs::rename(&old, &self.target);
            }
            return Err(write_failure(&self.target, reason));
        }
        self.is_placed = true;
        if had_old {
            let _ = fs::remove_dir_all(&old);
        }
        Ok(())
    }
}

impl Drop for OutFolder {
    fn drop(&mut self) {
        if !self.is_placed {
            let _ = fs::remove_dir_all(&self.work);
        }
    }
}

fn has_entries(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some())
}

pub(crate) fn write_failure(path: &Path, reason: std::io::Error) -> Failure {
    Failure::Write {
        path: path.display().to_string(),
        reason,
    }
}
