//! The packing list for the inside of the lid: which item goes where, in which order, with pictures.

use crate::date::ymd;
use crate::drawing::packing_plan;
use crate::paper::{concessions_on_protection, head, mass_words, places_of_tier};
use crate::press::Job;
use crate::quotation::merge;
use crate::{Document, DocumentError, PaperInput, svg};
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
    let mut files = BTreeMap::new();
    let tiers: BTreeSet<usize> = input.interior.places.iter().map(|place| place.tier).collect();
    let mut steps: Vec<Value> = Vec::new();
    for tier in tiers {
        let path = format!("tier-{}.svg", tier + 1);
        let sheet = packing_plan(input.brief, input.interior, Some(tier));
        files.insert(path.clone(), svg(&sheet).into_bytes());
        steps.push(json!({ "tier": (tier + 1).to_string(), "foam": foam_of(tier), "path": path, "rows": rows(input, tier) }));
    }
    files.insert("apart.png".to_owned(), input.pictures.apart.clone());
    let mut data = head(input);
    let parcel = &input.verification.parcel;
    merge(
        &mut data,
        json!({
            "gross": mass_words(&parcel.gross_mass),
            "persons": persons(input),
            "steps": steps,
            "has_lid": input.interior.blocks.iter().any(|block| block.kind == BlockKind::LidPad),
            "valve": valve(input.brief.valve),
            "batteries": !input.brief.batteries.is_empty(),
            "pieces": input.interior.places.len().to_string(),
            "concessions": concessions_on_protection(input),
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/packing_list.typ"),
        files,
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} packing list",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("packing-list.pdf")
}

fn foam_of(tier: usize) -> String {
    if tier == 0 {
        "The base block lies in the case, its arrow to the hinge.".to_owned()
    } else {
        format!("Put tray {tier} in level, its arrow to the hinge; do not press on what lies below.")
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
                way_up(place),
                remark(item, place)
            ]))
        })
        .collect()
}

/// Which way a piece lies, in words.
fn way_up(place: &Place) -> String {
    match place.up.as_str() {
        "+z" => "upright".to_owned(),
        "-z" => "upside down".to_owned(),
        side => format!("on its side, {side} up"),
    }
}

/// What whoever packs it must know.
fn remark(item: &Item, place: &Place) -> String {
    let mut words = Vec::new();
    if !item.note.is_empty() {
        words.push(item.note.clone());
    }
    if item.reach_first {
        words.push("reach first".to_owned());
    }
    if !item.no_load.is_empty() {
        let faces: Vec<&str> = item.no_load.iter().map(|&face| side(face, place.up)).collect();
        words.push(format!("nothing may press on its {}", faces.join(", ")));
    }
    for room in &item.keep_clear {
        words.push(format!("keep clear: {}", room.name));
    }
    words.join("; ")
}

/// A face of an item that lies with `up` up, in words.
fn side(face: Up, up: Up) -> &'static str {
    let flipped = |a: &str, b: &str| a != b && a.ends_with(&b[1..]);
    if face == up {
        "top"
    } else if flipped(face.as_str(), up.as_str()) {
        "underside"
    } else {
        "side"
    }
}

/// How many persons lift the closed case, by the practice that asks for most.
fn persons(input: &PaperInput) -> String {
    let gross = input.verification.parcel.gross_mass.most();
    // Of every practice that knows more than one person the fewest it allows the mass for; `None` where nobody.
    let mut fewest: BTreeMap<String, Option<u32>> = BTreeMap::new();
    let limits = caddis_journey::handling_limits(&input.verification.parcel, &input.brief.journey.limits);
    let knows_several = |practice: &str| {
        limits
            .iter()
            .any(|row| row.practice == practice && row.persons > 1)
    };
    for limit in limits.iter().filter(|limit| knows_several(&limit.practice)) {
        let entry = fewest.entry(limit.practice.clone()).or_default();
        if limit.limit >= gross {
            *entry = Some(entry.map_or(limit.persons, |known| known.min(limit.persons)));
        }
    }
    let enough = fewest
        .into_values()
        .collect::<Option<Vec<u32>>>()
        .and_then(|counts| counts.into_iter().max());
    match enough {
        Some(1) => "One person may lift it where local rules agree; a trolley is better.".to_owned(),
        Some(count) => format!("Lift it with {count} persons, or use a trolley."),
        None => "Lift it with a machine or several persons as local rules say.".to_owned(),
    }
}

fn valve(valve: Valve) -> &'static str {
    match valve {
        Valve::NotTight => "The case is not tight: keep it dry.",
        _ => "Before unlatching: open the vent, let the pressure out, stand clear of the lid.",
    }
}
