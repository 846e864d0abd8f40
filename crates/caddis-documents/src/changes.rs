//! The change order: what a revision changes against what was delivered, marked on the parts, and what making it anew costs.

use crate::date::ymd;
use crate::drawing::{block_words, change_drawing};
use crate::paper::head;
use crate::press::Job;
use crate::quotation::merge;
use crate::{Document, DocumentError, PaperInput, svg};
use caddis_shop::{ChangeOrder, PartChange, PieceChange};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Width of the marked drawings, mm.
const WIDTH: f64 = 178.0;

/// Sets the change order.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn changes(input: &PaperInput, order: &ChangeOrder) -> Result<Document, DocumentError> {
    let mut files = BTreeMap::new();
    let mut drawings: Vec<Value> = Vec::new();
    for (id, change) in &order.parts {
        let PartChange::Recut { more, less, .. } = change else {
            continue;
        };
        let Some(part) = input.set.layers.iter().find(|part| part.id == *id) else {
            continue;
        };
        let path = format!("layer-{}.svg", drawings.len());
        let sheet = change_drawing(part, more, less, WIDTH);
        files.insert(path.clone(), svg(&sheet).into_bytes());
        drawings.push(json!({ "id": id.to_string(), "path": path, "height": sheet.height }));
    }
    let (was, now) = (order.before.price, input.set.bill.price);
    let comparable = was.currency() == now.currency();
    let mut data = head(input);
    merge(
        &mut data,
        json!({
            "delivered": order.before.date,
            "delivered_job": order.before.job,
            "same_shell": order.before.shell == input.brief.shell.name,
            "shell_before": order.before.shell,
            "shell": input.brief.shell.name,
            "pieces": order.pieces.iter().map(|(instance, name, change)| piece_row(&instance.to_string(), name, change)).collect::<Vec<_>>(),
            "parts": order.parts.iter().map(|(id, change)| part_row(id.as_str(), change)).collect::<Vec<_>>(),
            "blocks": order.blocks.iter().map(|block| block_words(*block)).collect::<Vec<_>>(),
            "drawings": drawings,
            "price_before": was.to_string(),
            "price": now.to_string(),
            "difference": comparable.then(|| caddis_basis::Money::from_minor(now.minor().saturating_sub(was.minor()), now.currency()).to_string()),
            "replacement": order.replacement.as_ref().map(|set| json!({
                "price": set.bill.price.to_string(),
                "sheets": set.nests.len().to_string(),
                "layers": set.layers.len().to_string(),
                "costs": set.bill.costs.iter().map(|line| json!([line.name, line.basis, line.amount.to_string()])).collect::<Vec<_>>(),
            })),
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/changes.typ"),
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} changes", input.brief.job, input.revision, input.date),
    };
    job.document("changes.pdf")
}

fn piece_row(instance: &str, name: &str, change: &PieceChange) -> Value {
    let what = match change {
        PieceChange::Added => "new in the case".to_owned(),
        PieceChange::Removed => "no longer in the case".to_owned(),
        PieceChange::Moved { by, turned } => {
            let turned = if *turned { ", turned" } else { "" };
            format!(
                "moved {:+.1} mm along, {:+.1} mm across, {:+.1} mm up{turned}",
                by.x * 1e3,
                by.y * 1e3,
                by.z * 1e3
            )
        }
    };
    json!([name, instance, what])
}

fn part_row(id: &str, change: &PartChange) -> Value {
    let (state, what) = match change {
        PartChange::Added => ("new", String::new()),
        PartChange::Removed => ("no longer made", String::new()),
        PartChange::Same => ("as delivered", String::new()),
        PartChange::Recut { what, .. } => ("cut otherwise", what.join("; ")),
    };
    json!([id, state, what])
}
