//! The text of a job in a revision, and edits of it through the typed form, so that what is written always reads.

use crate::error::Problem;
use caddis_files::{JobFile, document_to_toml, read_job_file};
use serde_json::Value;
use std::collections::BTreeMap;

/// Where it lies.
pub(crate) const JOB: &str = "job.toml";

/// The text; a revision of a job is never without.
pub(crate) fn of(files: &BTreeMap<String, Vec<u8>>) -> Result<&[u8], Problem> {
    files
        .get(JOB)
        .map(Vec::as_slice)
        .ok_or_else(|| Problem::internal(format!("the revision holds no {JOB}")))
}

/// The text after an edit of its keys; what the edit gives comes with it.
pub(crate) fn edited<T>(
    text: &[u8],
    edit: impl FnOnce(&mut Value) -> Result<T, Problem>,
) -> Result<(String, T), Problem> {
    let broken = |error: serde_json::Error| Problem::internal(error.to_string());
    let mut document = serde_json::to_value(read_job_file(text, JOB)?).map_err(broken)?;
    let given = edit(&mut document)?;
    let file: JobFile = serde_json::from_value(document).map_err(broken)?;
    Ok((document_to_toml(&file).map_err(Problem::broken)?, given))
}
