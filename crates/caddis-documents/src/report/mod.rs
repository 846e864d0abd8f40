//! The report: one PDF from survey to cost, for the customer first and the shop after.

mod data;
mod figures;
mod journey;
mod shocks;
mod sources;
mod spread;
mod vibration;

pub(crate) use data::capital;
pub use figures::item_cushion;

use crate::press::{Job, print};
use crate::{Document, DocumentError};
use caddis_design::{Brief, Interior, Release, Verification};
use caddis_shop::{Shop, ShopSet};
use std::collections::BTreeMap;

/// What the report prints.
#[derive(Debug, Clone, Copy)]
pub struct ReportInput<'a> {
    /// The question.
    pub brief: &'a Brief,
    /// The answer.
    pub interior: &'a Interior,
    /// What verification says of it.
    pub verification: &'a Verification,
    /// The release; without one every page says NOT RELEASED.
    pub release: Option<&'a Release>,
    /// The shop.
    pub shop: &'a Shop,
    /// What the shop makes.
    pub set: &'a ShopSet,
    /// ISO date, year-month-day.
    pub date: &'a str,
    /// Revision of the job.
    pub revision: &'a str,
    /// Version of the program.
    pub version: &'a str,
}

/// Sets the report.
///
/// # Errors
/// A date that is none; a nest that names what is not there; a template that does not fit its data.
pub fn report(input: &ReportInput) -> Result<Document, DocumentError> {
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
        files,
        date,
        ident: format!("{} {} {} report", input.brief.job, input.revision, input.date),
    };
    Ok(Document {
        name: "report.pdf".to_owned(),
        media_type: "application/pdf",
        bytes: print(job)?,
    })
}

/// Year, month and day of an ISO date.
pub(crate) fn ymd(text: &str) -> Result<(i32, u8, u8), DocumentError> {
    let bad = || DocumentError::Date(text.to_owned());
    let mut parts = text.trim().splitn(3, '-');
    let mut next = || parts.next().ok_or_else(bad);
    let year: i32 = next()?.parse().map_err(|_| bad())?;
    let month: u8 = next()?.parse().map_err(|_| bad())?;
    let day: u8 = next()?.parse().map_err(|_| bad())?;
    if (1900..=9999).contains(&year) && (1..=12).contains(&month) && (1..=31).contains(&day) {
        Ok((year, month, day))
    } else {
        Err(bad())
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::ymd;

    #[test]
    fn dates_are_read_or_refused() {
        assert_eq!(ymd("2026-11-25").unwrap(), (2026, 11, 25));
        for bad in ["", "2026-11", "25.11.2026", "2026-13-01", "2026-00-10", "x-y-z"] {
            assert!(ymd(bad).is_err(), "{bad}");
        }
    }
}
