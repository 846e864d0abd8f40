//! The first-article sheet, made from the drawings' own dimensions.

use crate::date::ymd;
use crate::drawing::{block_words, sized, units_words};
use crate::drawing_set::{Characteristic, measured};
use crate::paper::head;
use crate::press::Job;
use crate::quotation::merge;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput};
use caddis_shop::DrawingUnits;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Sets the first-article sheet: number, nominal, limits, and a blank for what is measured.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn first_article(input: &PaperInput) -> Result<Document, DocumentError> {
    let (units, words) = (input.shop.drawing.units, input.words);
    let parts: Vec<Value> = measured(&input.set.layers, &input.shop.process)
        .iter()
        .map(|part| {
            let rows: Vec<Value> = part
                .characteristics
                .iter()
                .map(|one| row(input, one, units))
                .collect();
            json!({
                "title": say!(
                    words,
                    "first-part",
                    part = part.part.id.as_str(),
                    block = block_words(words, part.part.block),
                    number = part.part.number,
                    of = part.part.of,
                    foam = part.part.foam_title.as_str(),
                ),
                "rows": rows,
            })
        })
        .collect();
    let mut data = head(input);
    merge(
        &mut data,
        json!({
            "parts": parts,
            "units": units_words(words, units),
            "tolerance": input.shop.process.tolerance,
        }),
    );
    let job = Job {
        main: include_str!("typst/first_article.typ"),
        words: input.words,
        files: BTreeMap::from([("data.json".to_owned(), data.to_string().into_bytes())]),
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} first article",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("first-article.pdf")
}

fn row(input: &PaperInput, one: &Characteristic, units: DrawingUnits) -> Value {
    let words = input.words;
    let sized = |metres: f64| sized(words, units, metres);
    let limit = |sign: f64| {
        one.plus_minus
            .map_or_else(String::new, |band| sized(one.nominal + sign * band))
    };
    json!([
        one.number.to_string(),
        one.of,
        say!(
            words,
            "first-measure",
            what = words.one_of("measure", one.what),
            gauge = words.one_of("gauge", one.gauge),
        ),
        sized(one.nominal),
        limit(-1.0),
        limit(1.0),
    ])
}
