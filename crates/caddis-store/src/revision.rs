//! What is kept of a job or a shell: a row of revisions, each a set of files.

use std::collections::BTreeMap;
use std::fmt;

/// What kind of thing is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A job: `job.toml`, shapes, places.
    Job,
    /// A shell of the person's own library: `shell.toml`.
    Shell,
}

impl Kind {
    /// The word in the database and in messages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Job => "job",
            Self::Shell => "shell",
        }
    }
}

/// One thing that is kept: its kind and its name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Subject {
    /// What it is.
    pub kind: Kind,
    /// What it goes by; unique in its kind.
    pub name: String,
}

impl Subject {
    /// A job.
    pub fn job(name: impl Into<String>) -> Self {
        Self {
            kind: Kind::Job,
            name: name.into(),
        }
    }

    /// A shell.
    pub fn shell(name: impl Into<String>) -> Self {
        Self {
            kind: Kind::Shell,
            name: name.into(),
        }
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} `{}`", self.kind.word(), self.name)
    }
}

/// How a revision came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RevisionKind {
    /// An edit.
    Edit,
    /// An edit taken back.
    Undo,
    /// An undone edit done again.
    Redo,
    /// An older revision taken up again.
    Restore,
}

impl RevisionKind {
    /// The word in the database and on the page.
    pub fn word(self) -> &'static str {
        match self {
            Self::Edit => "edit",
            Self::Undo => "undo",
            Self::Redo => "redo",
            Self::Restore => "restore",
        }
    }

    pub(crate) fn of(word: &str) -> Option<Self> {
        [Self::Edit, Self::Undo, Self::Redo, Self::Restore]
            .into_iter()
            .find(|kind| kind.word() == word)
    }
}

/// What is to be kept.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Draft {
    /// Every file of the revision by its path, whole.
    pub files: BTreeMap<String, Vec<u8>>,
    /// When, ISO; the caller's clock.
    pub at: String,
    /// Who: a person or a tab.
    pub author: String,
    /// What changed, in words.
    pub note: String,
}

/// A revision that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// From 1, without gaps.
    pub number: u64,
    /// How it came about.
    pub kind: RevisionKind,
    /// The revision it equals, for an undo, a redo and a restore.
    pub same_as: Option<u64>,
    /// When, ISO.
    pub at: String,
    /// Who.
    pub author: String,
    /// What changed.
    pub note: String,
    /// Path and content hash (SHA-256) of every file.
    pub files: BTreeMap<String, String>,
}
