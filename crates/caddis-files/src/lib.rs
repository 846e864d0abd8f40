//! The written form of everything: jobs and library entries as TOML, results and manifests as JSON.
//!
//! Guarantees: an unknown key, a missing unit or a wrong type is an error that names file, line and field and says
//! what would do; a job reads nothing outside its own folder and the library; the same values give the same bytes.
//! Core types are never serialisable: what is written has types of its own here. Knows nothing about databases or HTTP.

mod carriage_limits;
mod delivered;
mod document;
mod drop_height;
mod edit;
mod error;
mod files;
mod fittings;
mod foam;
mod foam_entry;
mod foam_tests;
mod furnishing;
mod item;
mod job;
mod journey;
mod language;
mod law;
mod library;
mod list;
mod manifest;
mod new_job;
mod numeric_table;
mod photos;
mod places;
mod process;
mod quoted;
mod read_job;
mod recording;
mod result;
mod scatter;
mod schema;
mod shape;
mod shell;
mod shop;
mod spectrum;
mod stock;
mod suggest;
mod test_results;
mod vibration;
mod wishes;
mod wishes_fit;
mod written;

pub use carriage_limits::read_carriage_limits;
pub use delivered::read_delivered;
pub use edit::{document_to_json, document_to_toml, job_files, job_template, read_job_file};
pub use error::{FileError, FilePlace};
pub use foam::{read_foam, read_foam_vibration};
pub use foam_entry::FoamEntry;
pub use foam_tests::{FoamTestFile, FoamTests, read_foam_tests};
pub use job::{ClearancesFile, ConcessionFile, JobFile};
pub use language::{Language, OWN_LANGUAGE};
pub use library::{EntryKind, Library};
pub use list::{
    ListRow, ListSize, PackingList, Sheet, UnusableRow, is_workbook, list_template, list_template_workbook,
    read_list, read_sheets, read_workbook, sheets_refused,
};
pub use manifest::{HelperProgram, Manifest, ManifestFile, sha256_hex};
pub use new_job::{find_template, new_job};
pub use photos::read_photos;
pub use places::{PLACES, read_places, write_places};
pub use process::{find_process, read_process};
pub use read_job::{Choice, Job, read_foams, read_job, read_job_cut_by, read_shells};
pub use recording::{Recording, read_recording};
pub use result::{
    BillSection, CandidateResult, ContentsSection, FiguresResult, FindingResult, InteriorSection,
    RegionResult, ReleaseSection, ResultFile, ResultHead, SelectionSection, ShopSection, SplitItemResult,
    SurveySection, VerificationSection, to_json,
};
pub use schema::{manifest_schema, result_schema};
pub use shape::{DirectReader, ShapeReader, ShapeRequest};
pub use shell::{read_shell, write_shell};
pub use shop::{OfferedColour, ShopEntry, ShopOffer, read_shop, read_shop_offer};
pub use spectrum::read_spectrum;
pub use stock::{read_offcuts, write_offcuts};
pub use test_results::{TestResults, read_test_results, test_results_template};
