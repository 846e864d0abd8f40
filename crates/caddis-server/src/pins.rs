//! What is moved by hand stays where it is put: pins in the job's own wishes, so that the command line packs it alike.

use crate::app::OpenJob;
use crate::error::Problem;
use crate::job_text;
use caddis_basis::InstanceId;
use caddis_design::{Arrangement, Change};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The job's text after changes by hand: a piece that was moved, turned or pinned is pinned where it lies now, one that was let
/// go is not.
pub(crate) fn with_pins(open: &OpenJob, after: &Arrangement, changes: &[Change]) -> Result<String, Problem> {
    let mut pins: BTreeMap<InstanceId, bool> = BTreeMap::new();
    for change in changes {
        match change {
            Change::Move(piece, _)
            | Change::Turn(piece, ..)
            | Change::SetTier(piece, _)
            | Change::SetInLid(piece) => {
                pins.insert(piece.clone(), true);
            }
            Change::Pin(piece, on) => {
                pins.insert(piece.clone(), *on);
            }
            _ => {}
        }
    }
    let (text, ()) = job_text::edited(job_text::of(&open.files)?, |document| {
        set_pins(document, after, pins)
    })?;
    Ok(text)
}

/// Sets and lets go pins in the wishes of a job.
fn set_pins(
    document: &mut Value,
    after: &Arrangement,
    pins: BTreeMap<InstanceId, bool>,
) -> Result<(), Problem> {
    // A job without wishes has no pins.
    let mut pinned: Vec<Value> = document
        .pointer("/wishes/pinned")
        .and_then(Value::as_array)
        .cloned()
        .unwrap_or_default();
    for (piece, on) in pins {
        let written = piece.to_string();
        let short = piece.item.to_string();
        let known = |pin: &Value| {
            pin.get("piece")
                .and_then(Value::as_str)
                .is_some_and(|named| named == written || (piece.number == 1 && named == short))
        };
        let at = pinned.iter().position(known);
        if !on {
            pinned.retain(|pin| !known(pin));
            continue;
        }
        let Some(spot) = after.spot(&piece) else { continue };
        let pin = json!({
            "piece": written,
            "at": [format!("{} mm", spot.at.x * 1e3), format!("{} mm", spot.at.y * 1e3)],
            "up": spot.up.as_str(),
            "turn": format!("{} deg", spot.turn.as_degrees()),
            "tier": match (spot.in_lid, spot.tier) {
                (true, _) => "lid",
                (false, 0) => "base",
                (false, _) => "tray",
            },
        });
        match at {
            Some(at) => pinned[at] = pin,
            None => pinned.push(pin),
        }
    }
    let wishes = document
        .as_object_mut()
        .ok_or_else(|| Problem::internal("a job is no table"))?
        .entry("wishes")
        .or_insert_with(|| json!({}));
    wishes["pinned"] = Value::Array(pinned);
    Ok(())
}
