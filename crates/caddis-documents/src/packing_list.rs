//! The packing list for the inside of the lid: which item goes where, in which order, with pictures.

use crate::date::ymd;
use crate::drawing::packing_plan;
use crate::paper::{concessions_on_protection, head, is_lid, mass_words, places_of_tier};
use crate::press::Job;
use crate::quotation::merge;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words, svg};
use caddis_basis::Said;
use caddis_design::{BlockKind, Place};
use caddis_journey::Valve;
use caddis_survey::{Item, Up};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Sets the packing list.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn packing_list(input: &PaperInput) -> Result<Document, DocumentError> {
    let words = input.words;
    let mut files = BTreeMap::new();
    let tiers: BTreeSet<usize> = input.interior.places.iter().map(|place| place.tier).collect();
    let mut steps: Vec<Value> = Vec::new();
    for tier in tiers {
        let path = format!("tier-{}.svg", tier + 1);
        let sheet = packing_plan(words, input.brief, input.interior, Some(tier));
        files.insert(path.clone(), svg(&sheet).into_bytes());
        steps.push(json!({ "tier": (tier + 1).to_string(), "in_lid": is_lid(input.interior, tier), "foam": foam_of(input, tier), "path": path, "rows": rows(input, tier) }));
    }
    files.insert("apart.png".to_owned(), input.pictures.apart.clone());
    let mut data = head(input);
    let parcel = &input.verification.parcel;
    merge(
        &mut data,
        json!({
            "gross": mass_words(words, &parcel.gross_mass),
            "persons": persons(input),
            "steps": steps,
            "has_lid": input.interior.blocks.iter().any(|block| block.kind == BlockKind::LidPad),
            "valve": valve(words, input.brief.valve),
            "batteries": !input.brief.batteries.is_empty(),
            "pieces": input.interior.places.len().to_string(),
            "concessions": concessions_on_protection(input),
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/packing_list.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} packing list",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("packing-list.pdf")
}

fn foam_of(input: &PaperInput, tier: usize) -> String {
    let words = input.words;
    if is_lid(input.interior, tier) {
        say!(words, "packing-in-lid")
    } else if tier == 0 {
        say!(words, "packing-base-lies")
    } else {
        say!(words, "packing-put-tray", tray = tier)
    }
}

/// The pieces of a tier by their numbers.
fn rows(input: &PaperInput, tier: usize) -> Vec<Value> {
    places_of_tier(input.interior, tier)
        .into_iter()
        .filter_map(|place| {
            let item = input.brief.items.get(place.item)?;
            Some(json!([
                place.number.to_string(),
                item.name,
                way_up(input.words, place),
                remark(input.words, item, place)
            ]))
        })
        .collect()
}

/// Which way a piece lies, in words.
fn way_up(words: &Words, place: &Place) -> String {
    match place.up.as_str() {
        "+z" => say!(words, "packing-upright"),
        "-z" => say!(words, "packing-upside-down"),
        side => say!(words, "packing-on-side", side = side),
    }
}

/// What whoever packs it must know.
fn remark(words: &Words, item: &Item, place: &Place) -> String {
    let mut said = Vec::new();
    if !item.note.is_empty() {
        said.push(item.note.clone());
    }
    if item.reach_first {
        said.push(say!(words, "packing-reach-first"));
    }
    if !item.no_load.is_empty() {
        let faces: Vec<String> = item
            .no_load
            .iter()
            .map(|&face| side(words, face, place.up))
            .collect();
        said.push(say!(words, "packing-no-load", faces = faces.join(", ")));
    }
    for room in &item.keep_clear {
        said.push(say!(words, "packing-keep-clear", what = room.name.as_str()));
    }
    said.join("; ")
}

/// A face of an item that lies with `up` up, in words.
fn side(words: &Words, face: Up, up: Up) -> String {
    let flipped = |a: &str, b: &str| a != b && a.ends_with(&b[1..]);
    if face == up {
        say!(words, "packing-top")
    } else if flipped(face.as_str(), up.as_str()) {
        say!(words, "packing-underside")
    } else {
        say!(words, "packing-side")
    }
}

/// How many persons lift the closed case, by the practice that asks for most.
fn persons(input: &PaperInput) -> String {
    let gross = input.verification.parcel.gross_mass.most();
    let limits = caddis_journey::handling_limits(&input.verification.parcel, &input.brief.journey.limits);
    // Of every practice that knows more than one person the fewest it allows the mass for; `None` where nobody.
    let mut fewest: BTreeMap<&Said, Option<u32>> = BTreeMap::new();
    let knows_several = |practice: &Said| {
        limits
            .iter()
            .any(|row| row.practice == *practice && row.persons > 1)
    };
    for limit in limits.iter().filter(|limit| knows_several(&limit.practice)) {
        let entry = fewest.entry(&limit.practice).or_default();
        if limit.limit >= gross {
            *entry = Some(entry.map_or(limit.persons, |known| known.min(limit.persons)));
        }
    }
    let enough = fewest
        .into_values()
        .collect::<Option<Vec<u32>>>()
        .and_then(|counts| counts.into_iter().max());
    let words = input.words;
    match enough {
        Some(1) => say!(words, "packing-one-person"),
        Some(count) => say!(words, "packing-persons", count = count),
        None => say!(words, "packing-machine"),
    }
}

fn valve(words: &Words, valve: Valve) -> String {
    match valve {
        Valve::NotTight => say!(words, "packing-not-tight"),
        _ => say!(words, "packing-vent"),
    }
}
