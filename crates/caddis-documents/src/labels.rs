//! Labels for the outside: what is in it, how heavy it is, which job it is, and the handling marks.

use crate::date::ymd;
use crate::drawing::{handling_mark, square_code};
use crate::paper::{head, mass_words, outside_mm};
use crate::press::Job;
use crate::quotation::merge;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, svg};
use caddis_journey::marks_to_print;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Width of the square code on the label, mm.
const CODE: f64 = 38.0;

/// Sets the labels; cut them out along their frames.
///
/// # Errors
/// A date that is none; a job id longer than a square code holds; a template that does not fit its data.
pub fn labels(input: &PaperInput) -> Result<Document, DocumentError> {
    let (brief, words) = (input.brief, input.words);
    let parcel = &input.verification.parcel;
    let mut files = BTreeMap::new();
    let text = format!("{} {}", brief.job, input.revision);
    files.insert(
        "code.svg".to_owned(),
        svg(&square_code(&text, CODE)?).into_bytes(),
    );
    let mut marks: Vec<Value> = Vec::new();
    let mut unmarked: Vec<Value> = Vec::new();
    let name = |name: &str| words.one_of("mark", name);
    for mark in marks_to_print(parcel, &brief.journey) {
        let figure = words.told_if(mark.figure.as_ref());
        match handling_mark(&mark, words) {
            Some(sheet) => {
                let path = format!("mark-{}.svg", mark.number);
                files.insert(path.clone(), svg(&sheet).into_bytes());
                marks.push(
                    json!({ "path": path, "name": name(mark.name), "number": mark.number.to_string() }),
                );
            }
            None => unmarked.push(json!(format!("{} {figure}", name(mark.name)))),
        }
    }
    let contents: Vec<String> = brief
        .items
        .iter()
        .map(|item| format!("{} × {}", item.quantity, item.name))
        .collect();
    let mut data = head(input);
    merge(
        &mut data,
        json!({
            "case": brief.shell.title,
            "gross": mass_words(words, &parcel.gross_mass),
            "outside": say!(words, "paper-mm", size = outside_mm(input)),
            "contents": contents,
            "batteries": brief.batteries.iter().map(|b| format!("{} × {}", b.count, b.label)).collect::<Vec<_>>(),
            "code": text,
            "marks": marks,
            "words": unmarked,
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/labels.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} labels", brief.job, input.revision, input.date),
    };
    job.document("labels.pdf")
}
