//! Where library entries lie: folders with `shells/`, `foams/`, `shop/`, `offcuts/`, `processes/`, `journey/` and `templates/` in them,
//! one TOML file an entry.

use crate::error::{FileError, FilePlace};
use crate::files::{read, shown};
use crate::suggest::closest;
use std::path::{Path, PathBuf};

/// What an entry describes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EntryKind {
    /// A surveyed shell.
    Shell,
    /// A foam.
    Foam,
    /// A shop: stock, processes offered, rates, clearances.
    Shop,
    /// What lies on a shop's rack, left of cut sheets.
    Offcuts,
    /// A cutting process.
    Process,
    /// What carriers, standards and practice ask of a case, in dated rows.
    Journey,
    /// A job to start from.
    Template,
}

impl EntryKind {
    /// The folder its entries lie in.
    pub fn folder(self) -> &'static str {
        match self {
            Self::Shell => "shells",
            Self::Foam => "foams",
            Self::Shop => "shop",
            Self::Offcuts => "offcuts",
            Self::Process => "processes",
            Self::Journey => "journey",
            Self::Template => "templates",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Shell => "shell",
            Self::Foam => "foam",
            Self::Shop => "shop",
            Self::Offcuts => "list of offcuts",
            Self::Process => "process",
            Self::Journey => "file of carriage limits",
            Self::Template => "template",
        }
    }
}

/// An entry found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) path: PathBuf,
    pub(crate) bytes: Vec<u8>,
}

/// Library folders, searched in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Library {
    folders: Vec<PathBuf>,
}

impl Library {
    /// A library of folders; the first that holds an entry wins.
    pub fn new(folders: Vec<PathBuf>) -> Self {
        Self { folders }
    }

    /// The folders, in the order they are searched.
    pub fn folders(&self) -> &[PathBuf] {
        &self.folders
    }

    /// Names of all entries of a kind, sorted, each once.
    pub fn names(&self, kind: EntryKind) -> Vec<String> {
        let mut names: Vec<String> = self
            .folders
            .iter()
            .filter_map(|folder| std::fs::read_dir(folder.join(kind.folder())).ok())
            .flat_map(Iterator::flatten)
            .filter(|entry| !entry.path().is_dir())
            .filter_map(|entry| {
                entry
                    .file_name()
                    .to_str()?
                    .strip_suffix(".toml")
                    .map(str::to_owned)
            })
            .collect();
        names.sort();
        names.dedup();
        names
    }

    /// The entry `name`, which `place` asks for.
    pub(crate) fn find(&self, kind: EntryKind, name: &str, place: FilePlace) -> Result<Entry, FileError> {
        let plain = !name.is_empty()
            && name
                .chars()
                .all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'))
            && !name.starts_with('.');
        if !plain {
            return Err(FileError::Content {
                place: Box::new(place),
                problem: format!("`{name}` is not the name of a {}", kind.word()),
                hint: Some(
                    "a library name is a file's name without `.toml`: letters, digits and hyphens".to_owned(),
                ),
            });
        }
        let candidates: Vec<PathBuf> = self
            .folders
            .iter()
            .map(|folder| folder.join(kind.folder()).join(format!("{name}.toml")))
            .collect();
        for path in &candidates {
            if path.is_file() {
                return Ok(Entry {
                    path: path.clone(),
                    bytes: read(path)?,
                });
            }
        }
        if let Some(folder) = candidates.iter().find(|path| path.is_dir()) {
            return Err(FileError::Content {
                place: Box::new(place),
                problem: format!("{} `{name}` is a folder, {}", kind.word(), shown(folder)),
                hint: Some(
                    "an entry is one file; take the folder away, or move the file out of it".to_owned(),
                ),
            });
        }
        let names = self.names(kind);
        let hint = match closest(name, names.iter().map(String::as_str)) {
            Some(word) => format!("did you mean `{word}`? the library has {}", names.join(", ")),
            None if names.is_empty() => format!("the library holds no {} at all", kind.word()),
            None => format!("the library has {}", names.join(", ")),
        };
        Err(FileError::Missing {
            place: Box::new(place),
            what: format!("{} `{name}`", kind.word()),
            looked: candidates.iter().map(|path| shown(path)).collect(),
            hint: Some(hint),
        })
    }

    /// The path of the entry `name`, if it is there.
    pub fn path(&self, kind: EntryKind, name: &str) -> Option<PathBuf> {
        self.folders
            .iter()
            .map(|folder: &PathBuf| -> PathBuf {
                Path::new(folder).join(kind.folder()).join(format!("{name}.toml"))
            })
            .find(|path| path.is_file())
    }
}
