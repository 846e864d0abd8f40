//! What is moved by hand stays where it is put: pins in the job's own wishes, so that the command line packs it alike.

use crate::app::OpenJob;
use crate::error::Problem;
use caddis_basis::InstanceId;
use caddis_design::{Arrangement, Change};
use caddis_files::{JobFile, document_to_toml, read_job_file};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The job's text after changes by hand: a piece that was moved, turned or pinned is pinned where it lies now, one that was let
/// go is not.
pub(crate) fn with_pins(open: &OpenJob, after: &Arrangement, changes: &[Change]) -> Result<String, Problem> {
    let mut pins: BTreeMap<InstanceId, bool> = BTreeMap::new();
    for change in changes {
        match change {
            Change::Move(piece, _) | Change::Turn(piece, ..) | Change::SetTier(piece, _) => {
                pins.insert(piece.clone(), true);
            }
            Change::Pin(piece, on) => {
                pins.insert(piece.clone(), *on);
            }
            _ => {}
        }
    }
    let bytes = open.files.get("job.toml").map_or(&[][..], Vec::as_slice);
    let file = read_job_file(bytes, "job.toml")?;
    let mut document = serde_json::to_value(&file).map_err(|error| Problem::internal(error.to_string()))?;
    let mut pinned: Vec<Value> = document
        .pointer("/wishes/pinned")
        .and_then(Value::as_array)
        .cloned()
        .unwrap_or_default();
    for (piece, on) in pins {
        let written = piece.to_string();
        let short = piece.item.to_string();
        let known = |pin: &Value| {
            let named = pin.get("piece").and_then(Value::as_str).unwrap_or_default();
            named == written || (piece.number == 1 && named == short)
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
            "quarter_turns": spot.quarter_turns,
            "tier": if spot.tier > 0 { "tray" } else { "base" },
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
    let file: JobFile =
        serde_json::from_value(document).map_err(|error| Problem::internal(error.to_string()))?;
    document_to_toml(&file).map_err(Problem::broken)
}
