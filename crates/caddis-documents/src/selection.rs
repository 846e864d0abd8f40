//! The page that shows every shell tried for a packing list.

use crate::date::ymd;
use crate::press::Job;
use crate::{Document, DocumentError, Words};
use serde_json::json;
use std::collections::BTreeMap;

/// Rows of shells that do not do, on the page; the rest is counted.
const REFUSED_ROWS: usize = 60;

/// One shell, or one case of a split, as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SelectionRow {
    /// From 1 for those that do.
    pub rank: Option<usize>,
    /// Title.
    pub title: String,
    /// Gross mass, linear size, chargeable weight, price, spare room, trays.
    pub cells: [String; 6],
    /// What was found, or the one reason against it.
    pub words: String,
}

/// What the page prints.
#[derive(Debug, Clone)]
pub struct SelectionInput<'a> {
    /// Job id.
    pub job: &'a str,
    /// Title of the job.
    pub title: &'a str,
    /// Customer.
    pub customer: &'a str,
    /// The language.
    pub words: &'a Words,
    /// ISO date.
    pub date: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// The measure.
    pub by: &'a str,
    /// Shells that the outer bounds let pass.
    pub within_bounds: usize,
    /// The shells.
    pub rows: Vec<SelectionRow>,
    /// The cases of a split, where one case does not do.
    pub split: Vec<SelectionRow>,
}

/// Sets the page.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn selection_page(input: &SelectionInput) -> Result<Document, DocumentError> {
    let row = |row: &SelectionRow| {
        let mut cells = vec![row.rank.map_or_else(|| "-".to_owned(), |rank| rank.to_string())];
        cells.push(row.title.clone());
        cells.extend(row.cells.iter().cloned());
        cells.push(row.words.clone());
        cells
    };
    let (fitting, others): (Vec<_>, Vec<_>) = input.rows.iter().partition(|row| row.rank.is_some());
    let data = json!({
        "job": input.job,
        "title": input.title,
        "customer": input.customer,
        "date": input.date,
        "version": input.version,
        "by": input.words.one_of("measure-by", input.by),
        "tried": input.rows.len().to_string(),
        "within": input.within_bounds.to_string(),
        "fitting": fitting.iter().copied().map(row).collect::<Vec<_>>(),
        "others": others.iter().copied().take(REFUSED_ROWS).map(row).collect::<Vec<_>>(),
        "more": others.len().saturating_sub(REFUSED_ROWS),
        "split": input.split.iter().map(row).collect::<Vec<_>>(),
    });
    let job = Job {
        main: include_str!("typst/selection.typ"),
        words: input.words,
        files: BTreeMap::from([("data.json".to_owned(), data.to_string().into_bytes())]),
        date: ymd(input.date)?,
        ident: format!("{} {} selection", input.job, input.date),
    };
    job.document("selection.pdf")
}
