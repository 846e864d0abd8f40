//! How far peaks scatter, in the report.

use super::PaperInput;
use serde_json::{Value, json};

pub(super) fn spread(input: &PaperInput) -> Value {
    let Some(spread) = &input.verification.spread else {
        return json!({ "assumptions": [], "rows": [] });
    };
    let rows: Vec<Value> = spread
        .items
        .iter()
        .map(|item| {
            let most = if item.peaks.beyond_law {
                "beyond the law".to_owned()
            } else {
                format!("{:.0}", item.peaks.most)
            };
            json!([
                item.number.to_string(),
                item.name,
                format!("{:.0}", item.peaks.low),
                format!("{:.0}", item.peaks.middle),
                format!("{:.0}", item.peaks.high),
                most,
                item.limit
                    .map_or_else(|| "not known".to_owned(), |limit| format!("{:.0}", limit.as_g())),
            ])
        })
        .collect();
    json!({ "assumptions": spread.assumptions, "rows": rows })
}
