//! How far peaks scatter, in the report.

use super::PaperInput;
use crate::words::say;
use serde_json::{Value, json};

pub(super) fn spread(input: &PaperInput) -> Value {
    let Some(spread) = &input.verification.spread else {
        return json!({ "assumptions": [], "rows": [] });
    };
    let words = input.words;
    let rows: Vec<Value> = spread
        .items
        .iter()
        .map(|item| {
            let most = if item.peaks.beyond_law {
                say!(words, "data-beyond-law")
            } else {
                words.number(item.peaks.most, 0)
            };
            json!([
                item.number.to_string(),
                item.name,
                words.number(item.peaks.low, 0),
                words.number(item.peaks.middle, 0),
                words.number(item.peaks.high, 0),
                most,
                item.limit.map_or_else(
                    || say!(words, "data-not-known"),
                    |limit| words.number(limit.as_g(), 0)
                ),
            ])
        })
        .collect();
    json!({ "assumptions": spread.assumptions.iter().map(|one| words.told(one)).collect::<Vec<String>>(), "rows": rows })
}
