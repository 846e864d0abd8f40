//! The change order: what a revision changes against what was delivered, marked on the parts, and what making it anew costs.

use crate::date::ymd;
use crate::drawing::{block_words, change_drawing, moved_plan};
use crate::paper::head;
use crate::press::Job;
use crate::quotation::merge;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words, svg};
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
    let words = input.words;
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
        let sheet = change_drawing(words, part, more, less, WIDTH);
        files.insert(path.clone(), svg(&sheet).into_bytes());
        drawings.push(json!({ "id": id.to_string(), "path": path, "height": sheet.height }));
    }
    let plan = (order.before.shell == input.brief.shell.name && !order.pieces.is_empty()).then(|| {
        let sheet = moved_plan(words, input.brief, input.interior, order, WIDTH);
        files.insert("plan.svg".to_owned(), svg(&sheet).into_bytes());
        "plan.svg"
    });
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
            "pieces": order.pieces.iter().map(|(instance, name, change)| piece_row(words, &instance.to_string(), name, change)).collect::<Vec<_>>(),
            "parts": order.parts.iter().map(|(id, change)| part_row(words, id.as_str(), change)).collect::<Vec<_>>(),
            "blocks": order.blocks.iter().map(|block| block_words(words, *block)).collect::<Vec<_>>(),
            "plan": plan,
            "drawings": drawings,
            "price_before": words.figures(&was.to_string()),
            "price": words.figures(&now.to_string()),
            "difference": comparable.then(|| words.figures(&caddis_basis::Money::from_minor(now.minor().saturating_sub(was.minor()), now.currency()).to_string())),
            "replacement": order.replacement.as_ref().map(|set| json!({
                "price": words.figures(&set.bill.price.to_string()),
                "sheets": set.nests.len().to_string(),
                "layers": set.layers.len().to_string(),
                "costs": set.bill.costs.iter().map(|line| json!([words.told(&line.name), words.told(&line.basis), words.figures(&line.amount.to_string())])).collect::<Vec<_>>(),
            })),
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/changes.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} changes", input.brief.job, input.revision, input.date),
    };
    job.document("changes.pdf")
}

fn piece_row(words: &Words, instance: &str, name: &str, change: &PieceChange) -> Value {
    let what = match change {
        PieceChange::Added => say!(words, "changes-added"),
        PieceChange::Removed => say!(words, "changes-removed"),
        PieceChange::Moved { by, turned } => {
            let [along, across, up] =
                [by.x, by.y, by.z].map(|metres| words.figures(&format!("{:+.1}", metres * 1e3)));
            if *turned {
                say!(
                    words,
                    "changes-moved-turned",
                    along = along,
                    across = across,
                    up = up
                )
            } else {
                say!(words, "changes-moved", along = along, across = across, up = up)
            }
        }
    };
    json!([name, instance, what])
}

fn part_row(words: &Words, id: &str, change: &PartChange) -> Value {
    let (state, what) = match change {
        PartChange::Added => (say!(words, "changes-part-new"), String::new()),
        PartChange::Removed => (say!(words, "changes-part-gone"), String::new()),
        PartChange::Same => (say!(words, "changes-part-same"), String::new()),
        PartChange::Recut { what, .. } => {
            let what: Vec<String> = what.iter().map(|one| words.told(one)).collect();
            (say!(words, "changes-part-recut"), what.join("; "))
        }
    };
    json!([id, state, what])
}
