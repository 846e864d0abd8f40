//! A folder of its own for one case, deleted afterwards.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// A fresh temporary folder that is deleted when it goes out of scope.
#[derive(Debug)]
pub struct Folder(PathBuf);

impl Folder {
    /// Makes one.
    ///
    /// # Panics
    /// The temporary folder of the machine cannot be written.
    #[expect(
        clippy::new_without_default,
        reason = "it makes a folder on the disk, which is no default"
    )]
    pub fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        // A process that was killed leaves its folders behind, and its number comes again: only a folder made here will do.
        let path = loop {
            let name = format!(
                "caddis-tests-{}-{}",
                std::process::id(),
                NEXT.fetch_add(1, Ordering::Relaxed)
            );
            let path = std::env::temp_dir().join(name);
            match fs::create_dir(&path) {
                Ok(()) => break path,
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
                Err(error) => panic!("the temporary folder can be written: {error}"),
            }
        };
        Self(path)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Copies a folder into this one under a name and says where it is now.
    ///
    /// # Panics
    /// The folder cannot be read.
    pub fn copy(&self, from: &Path, name: &str) -> PathBuf {
        let to = self.0.join(name);
        for (file, bytes) in Self::files(from) {
            let target = to.join(file);
            fs::create_dir_all(target.parent().expect("a file lies in a folder")).expect("can be written");
            fs::write(target, bytes).expect("can be written");
        }
        to
    }

    /// Every file below a folder with its bytes, by relative path; empty when there is no such folder.
    ///
    /// # Panics
    /// A file cannot be read.
    pub fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
        fn gather(root: &Path, folder: &Path, files: &mut BTreeMap<PathBuf, Vec<u8>>) {
            let Ok(entries) = fs::read_dir(folder) else { return };
            for entry in entries {
                let path = entry.expect("the folder can be listed").path();
                if path.is_dir() {
                    gather(root, &path, files);
                } else {
                    let name = path.strip_prefix(root).expect("it lies below").to_owned();
                    let bytes = fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
                    files.insert(name, bytes);
                }
            }
        }
        let mut files = BTreeMap::new();
        gather(folder, folder, &mut files);
        files
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A folder that cannot be deleted is left to the machine's own cleaning; the test's verdict stands.
        let _ = fs::remove_dir_all(&self.0);
    }
}
