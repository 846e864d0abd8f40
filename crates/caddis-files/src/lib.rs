//! The written form of everything: jobs and library entries as TOML, results and manifests as JSON.
//!
//! Guarantees: an unknown key, a missing unit or a wrong type is an error that names file, line and field and says
//! what would do; a job reads nothing outside its own folder and the library; the same values give the same bytes.
//! Core types are never serialisable: what is written has types of its own here. Knows nothing about databases or HTTP.

mod document;
mod error;
mod files;
mod foam;
mod item;
mod job;
mod journey;
mod library;
mod manifest;
mod new_job;
mod read_job;
mod result;
mod schema;
mod shape;
mod shell;
mod shop;
mod suggest;
mod written;

pub use error::{FileError, FilePlace};
pub use foam::read_foam;
pub use job::{ClearancesFile, ConcessionFile, JobFile};
pub use library::{EntryKind, Library};
pub use manifest::{HelperProgram, Manifest, ManifestFile, sha256_hex};
pub use new_job::new_job;
pub use read_job::{Choice, Job, read_foams, read_job, read_shells};
pub use result::{
    BillSection, CandidateResult, ContentsSection, FiguresResult, InteriorSection, ReleaseSection,
    ResultFile, ResultHead, SelectionSection, ShopSection, SplitItemResult, SurveySection,
    VerificationSection, to_json,
};
pub use schema::{manifest_schema, result_schema};
pub use shape::{DirectReader, ShapeReader, ShapeRequest};
pub use shell::read_shell;
pub use shop::{ShopEntry, read_shop};
