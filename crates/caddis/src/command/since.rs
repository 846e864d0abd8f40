//! `--since RESULT`: a revision of what was delivered, kept as it lay, and what it changes.

use crate::failure::Failure;
use crate::terminal::Line;
use caddis_basis::Said;
use caddis_design::{Arrangement, Interior};
use caddis_files::{Job, read_delivered};
use caddis_shop::{ChangeOrder, Delivered, PartChange, PieceChange, ShopSet, change_order};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

/// What was delivered.
pub(crate) struct Since {
    delivered: Delivered,
    /// Where everything lay.
    pub(crate) arrangement: Arrangement,
}

/// Reads the result of the delivered job: the file, or the folder that holds it.
pub(crate) fn read(path: &Path) -> Result<Since, Failure> {
    let file = if path.is_dir() {
        path.join("result.json")
    } else {
        path.to_owned()
    };
    let bytes = super::bytes_of(&file, "result of the delivered job")?;
    let (delivered, arrangement) =
        read_delivered(&bytes, &file.display().to_string()).map_err(Failure::Input)?;
    Ok(Since {
        delivered,
        arrangement,
    })
}

impl Since {
    /// What the set changes.
    pub(crate) fn order(
        &self,
        job: &Job,
        interior: &Interior,
        set: &ShopSet,
    ) -> Result<ChangeOrder, Failure> {
        Ok(change_order(
            self.delivered.clone(),
            (interior, &job.brief),
            (set, &job.shop),
            interior.seed,
            &Line::new(),
        )?)
    }
}

fn piece_words(change: &PieceChange) -> String {
    match change {
        PieceChange::Added => "new".to_owned(),
        PieceChange::Removed => "no longer there".to_owned(),
        PieceChange::Moved { by, turned } => {
            let turned = if *turned { ", turned" } else { "" };
            format!("moved {:.1} mm{turned}", by.length() * 1e3)
        }
    }
}

fn part_words(change: &PartChange) -> String {
    match change {
        PartChange::Added => "new".to_owned(),
        PartChange::Removed => "no longer made".to_owned(),
        PartChange::Same => "as delivered".to_owned(),
        PartChange::Recut { what, .. } => format!("cut otherwise: {}", Said::row(what.iter().cloned(), "; ")),
    }
}

/// The change in lines.
pub(crate) fn text(order: &ChangeOrder, set: &ShopSet) -> String {
    let mut text = format!("\nchanges since {}:\n", order.before.date);
    // Writing to a string cannot fail.
    for (instance, name, change) in &order.pieces {
        let _ = writeln!(text, "  {name} ({instance}): {}", piece_words(change));
    }
    if order.pieces.is_empty() {
        text.push_str("  every piece lies where it lay\n");
    }
    for (id, change) in order
        .parts
        .iter()
        .filter(|(_, change)| *change != PartChange::Same)
    {
        let _ = writeln!(text, "  layer {id}: {}", part_words(change));
    }
    match &order.replacement {
        None => text.push_str("  the foam as delivered serves\n"),
        Some(anew) => {
            let layers: Vec<&str> = anew.layers.iter().map(|part| part.id.as_str()).collect();
            let _ = writeln!(
                text,
                "  made anew, block by block: layers {}, for {}",
                layers.join(" "),
                anew.bill.price
            );
        }
    }
    let _ = writeln!(
        text,
        "  a whole interior: {}, it was {}",
        set.bill.price, order.before.price
    );
    text
}

/// The change as data.
pub(crate) fn as_json(order: &ChangeOrder, set: &ShopSet) -> Value {
    json!({
        "delivered": order.before.date,
        "pieces": order.pieces.iter().map(|(instance, name, change)| json!({
            "instance": instance.to_string(),
            "name": name,
            "change": piece_words(change),
            "by_m": match change {
                PieceChange::Moved { by, .. } => Some([by.x, by.y, by.z]),
                PieceChange::Added | PieceChange::Removed => None,
            },
        })).collect::<Vec<_>>(),
        "layers": order.parts.iter().map(|(id, change)| json!({
            "id": id.as_str(),
            "change": part_words(change),
            "is_same": *change == PartChange::Same,
        })).collect::<Vec<_>>(),
        "price_before_minor": order.before.price.minor(),
        "price_minor": set.bill.price.minor(),
        "made_anew": order.replacement.as_ref().map(|anew| json!({
            "layers": anew.layers.iter().map(|part| part.id.as_str()).collect::<Vec<_>>(),
            "price_minor": anew.bill.price.minor(),
        })),
    })
}
