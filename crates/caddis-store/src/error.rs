//! Why the store refuses.

use std::path::PathBuf;

/// Why the store refuses.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The file cannot be opened or is no store.
    #[error("the store {} cannot be opened: {reason}", path.display())]
    Open {
        /// The file.
        path: PathBuf,
        /// What the database says.
        reason: String,
    },
    /// The file was written by a newer version.
    #[error(
        "the store has version {found}, and this program knows versions up to {known}; use the newer program"
    )]
    Newer {
        /// Of the file.
        found: u32,
        /// Of this program.
        known: u32,
    },
    /// There is no such job, shell or revision.
    #[error("there is no {what}")]
    Missing {
        /// What was asked for.
        what: String,
    },
    /// A name is taken.
    #[error("there is already a {what}")]
    Taken {
        /// What is there.
        what: String,
    },
    /// The edit was made on a revision that is no longer the newest. Nothing was written.
    #[error("revision {current} was saved meanwhile; this edit was made on revision {base}")]
    Conflict {
        /// The revision the edit was made on.
        base: u64,
        /// The newest one.
        current: u64,
    },
    /// A stored blob is not what its name says.
    #[error("the stored blob {hash} is damaged")]
    Damaged {
        /// The hash it goes by.
        hash: String,
    },
    /// The database refuses.
    #[error("the store refuses: {0}")]
    Database(String),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Database(error.to_string())
    }
}
