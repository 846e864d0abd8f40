//! The first-article sheet, made from the drawings' own dimensions.

use crate::date::ymd;
use crate::drawing::{block_words, sized, units_words};
use crate::drawing_set::{Characteristic, measured};
use crate::paper::head;
use crate::press::Job;
use crate::quotation::merge;
use crate::{Document, DocumentError, PaperInput};
use caddis_shop::DrawingUnits;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Sets the first-article sheet: number, nominal, limits, and a blank for what is measured.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn first_article(input: &PaperInput) -> Result<Document, DocumentError> {
    let units = input.shop.drawing.units;
    let parts: Vec<Value> = measured(&input.set.layers, &input.shop.process)
        .iter()
        .map(|part| {
            let rows: Vec<Value> = part
                .characteristics
                .iter()
                .map(|one| row(one, units))
                .collect();
            json!({
                "title": format!(
                    "{}, {}, layer {} of {}: {}",
                    part.part.id, block_words(part.part.block), part.part.number, part.part.of, part.part.foam_title
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
            "units": units_words(units),
            "tolerance": input.shop.process.tolerance,
        }),
    );
    let job = Job {
        main: include_str!("typst/first_article.typ"),
        files: BTreeMap::from([("data.json".to_owned(), data.to_string().into_bytes())]),
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} first article",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("first-article.pdf")
}

fn row(one: &Characteristic, units: DrawingUnits) -> Value {
    let limit = |sign: f64| {
        one.plus_minus
            .map_or_else(String::new, |band| sized(units, one.nominal + sign * band))
    };
    json!([
        one.number.to_string(),
        one.of,
        format!("{}, {}", one.what, one.gauge),
        sized(units, one.nominal),
        limit(-1.0),
        limit(1.0),
    ])
}
