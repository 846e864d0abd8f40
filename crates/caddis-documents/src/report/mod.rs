//! The report: one PDF from survey to cost, for the customer first and the shop after.

mod case;
mod data;
mod figures;
mod findings;
mod journey;
mod shocks;
mod shop;
mod sources;
mod spread;
mod vibration;

pub(crate) use case::capital;
pub use figures::item_cushion;

use crate::date::ymd;
use crate::press::Job;
use crate::{Document, DocumentError, PaperInput};
use std::collections::BTreeMap;

/// Sets the report.
///
/// # Errors
/// A date that is none; a nest that names what is not there; a template that does not fit its data.
pub fn report(input: &PaperInput) -> Result<Document, DocumentError> {
    let date = ymd(input.date)?;
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let figures = figures::figures(input)?;
    for (path, bytes) in &figures.files {
        files.insert(path.clone(), bytes.clone());
    }
    let data = data::data(input, &figures);
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("../typst/report.typ"),
        words: input.words,
        files,
        date,
        ident: format!("{} {} {} report", input.brief.job, input.revision, input.date),
    };
    job.document("report.pdf")
}
