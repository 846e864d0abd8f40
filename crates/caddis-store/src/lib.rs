//! Where everything is kept: revisions as append-only records, blobs by content hash, in one file.
//!
//! Guarantees: what a call has acknowledged is on the disk and is there after the process is killed; a revision is never
//! changed and never deleted, which the database itself refuses; an edit made on an older revision is a conflict that
//! names the newer one, never a silent loss; a blob read back is the blob written, or an error. Two processes may
//! open the same file. Knows nothing about the stages, HTTP or paper.

mod error;
mod migrations;
mod revision;
mod store;
mod undo;
mod work;

pub use error::StoreError;
pub use revision::{Draft, Kind, Revision, RevisionKind, Subject};
pub use store::Store;
pub use undo::Steps;
pub use work::Work;
