//! The customer's deck: the case, what fits, the interior in pictures, how it protects, the way, the price.

use crate::date::ymd;
use crate::drawing::{case_plan, packing_plan};
use crate::paper::{concessions_on_protection, head, is_lid, mass_words, outside_mm, places_of_tier};
use crate::photo;
use crate::press::Job;
use crate::quotation::{merge, money};
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words, svg};
use caddis_basis::{Money, Said};
use caddis_design::ItemVerdict;
use caddis_journey::journey_summary;
use caddis_shop::PriceBreak;
use caddis_survey::{FittingGroup, HalfSide};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Rows of fittings on the slide of the case.
const FITTINGS: usize = 12;

/// Sets the deck. Without a release every page says so and the price is a budget price.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn deck(input: &PaperInput, breaks: &[PriceBreak]) -> Result<Document, DocumentError> {
    let mut files = BTreeMap::from([
        ("open.png".to_owned(), input.pictures.open.clone()),
        ("apart.png".to_owned(), input.pictures.apart.clone()),
        (
            "plan.svg".to_owned(),
            svg(&case_plan(input.words, input.brief, input.interior)).into_bytes(),
        ),
    ]);
    let photos = photo::placed(&input.brief.shell, &input.pictures.photos, &mut files)?;
    let tiers = tiers(input, &mut files);
    let mut data = head(input);
    merge(
        &mut data,
        json!({
            "case": case(input),
            "room": room(input),
            "interior": interior(input),
            "photos": photos,
            "tiers": tiers,
            "drop": input.words.figures(&input.verification.drop_height.to_string()),
            "protection": input.verification.items.iter().map(|item| protection(input.words, item)).collect::<Vec<_>>(),
            "travel": travel(input),
            "currency": input.shop.currency.code(),
            "concessions": concessions_on_protection(input),
        }),
    );
    merge(&mut data, prices(input, breaks));
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/deck.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} deck", input.brief.job, input.revision, input.date),
    };
    job.document("deck.pdf").map_err(|error| match error {
        // Whether a photo decodes shows when it is set.
        DocumentError::Layout(why) if !input.pictures.photos.is_empty() => {
            DocumentError::Picture(format!("a photo of the case cannot be set: {why}"))
        }
        other => other,
    })
}

fn case(input: &PaperInput) -> Value {
    let words = input.words;
    let shell = &input.brief.shell;
    let inside = format!(
        "{:.0} × {:.0} × {:.0}",
        shell.base.rim.length.value.as_mm(),
        shell.base.rim.width.value.as_mm(),
        shell.base.depth.value.as_mm() + shell.lid.depth.value.as_mm()
    );
    let fittings: Vec<[String; 3]> = FittingGroup::ALL
        .into_iter()
        .flat_map(|group| {
            let of_group = shell.fittings.iter().filter(move |f| f.group == group);
            of_group.enumerate().map(move |(index, f)| {
                let head = if index == 0 {
                    words.one_of("fittings", group.words())
                } else {
                    String::new()
                };
                [head, f.count.to_string(), f.name.clone()]
            })
        })
        .take(FITTINGS)
        .collect();
    json!({
        "name": shell.title,
        "facts": [
            [outside_mm(input), say!(words, "deck-outside")],
            [inside, say!(words, "deck-inside")],
            [mass_words(words, &shell.empty_mass), say!(words, "deck-empty")],
            [
                mass_words(words, &input.verification.parcel.gross_mass),
                say!(words, "deck-packed")
            ],
        ],
        "fittings": fittings,
    })
}

/// Where the litres of the nominal box go.
fn room(input: &PaperInput) -> Value {
    let words = input.words;
    let shell = &input.brief.shell;
    let nominal = shell.nominal_volume().as_litres();
    let usable =
        shell.usable_volume(HalfSide::Base).as_litres() + shell.usable_volume(HalfSide::Lid).as_litres();
    let share = |litres: f64| {
        if nominal > 0.0 {
            (litres / nominal).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    let bar = |name: String, litres: f64, kept: bool| json!({ "name": name, "share": share(litres.abs()), "litres": say!(words, "deck-litres", litres = words.number(litres, 1).replace('-', "−")), "kept": kept });
    let mut bars = vec![bar(say!(words, "deck-nominal"), nominal, true)];
    let mut lost: Vec<(Said, f64)> = shell
        .volume_ledger()
        .into_iter()
        .map(|(cause, lost)| (cause, lost.as_litres()))
        .filter(|(_, lost)| lost.abs() >= 0.05)
        .collect();
    lost.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let rest: f64 = lost.iter().skip(6).map(|(_, litres)| litres).sum();
    for (cause, litres) in lost.iter().take(6) {
        let name = if *litres < 0.0 {
            say!(words, "deck-more", cause = words.told(cause))
        } else {
            say!(words, "deck-less", cause = words.told(cause))
        };
        bars.push(bar(name, -litres, false));
    }
    if rest.abs() >= 0.05 {
        bars.push(bar(say!(words, "deck-all-others"), -rest, false));
    }
    bars.push(bar(say!(words, "deck-usable"), usable, true));
    json!({
        "words": say!(words, "deck-room", nominal = words.number(nominal, 1), usable = words.number(usable, 1)),
        "bars": bars,
    })
}

fn interior(input: &PaperInput) -> Vec<String> {
    let interior = input.interior;
    let layers: usize = interior.blocks.iter().map(|block| block.layers.len()).sum();
    let trays = interior
        .blocks
        .iter()
        .filter(|block| matches!(block.kind, caddis_design::BlockKind::Tray(_)))
        .count();
    let words = input.words;
    vec![
        say!(
            words,
            "deck-pieces",
            pieces = interior.places.len(),
            notches = interior.notches.len()
        ),
        say!(
            words,
            "deck-blocks",
            blocks = interior.blocks.len(),
            layers = layers,
            trays = trays
        ),
        say!(words, "deck-first"),
    ]
}

fn tiers(input: &PaperInput, files: &mut BTreeMap<String, Vec<u8>>) -> Vec<Value> {
    let numbers: BTreeSet<usize> = input.interior.places.iter().map(|place| place.tier).collect();
    numbers
        .into_iter()
        .map(|tier| {
            let path = format!("tier-{}.svg", tier + 1);
            let sheet = packing_plan(input.words, input.brief, input.interior, Some(tier));
            files.insert(path.clone(), svg(&sheet).into_bytes());
            let rows: Vec<[String; 2]> = places_of_tier(input.interior, tier)
                .into_iter()
                .filter_map(|place| {
                    let item = input.brief.items.get(place.item)?;
                    Some([place.number.to_string(), item.name.clone()])
                })
                .collect();
            let title = if is_lid(input.interior, tier) {
                say!(input.words, "deck-in-lid")
            } else if tier == 0 {
                say!(input.words, "deck-in-base")
            } else {
                say!(input.words, "deck-in-tray", tray = tier)
            };
            json!({ "title": title, "path": path, "rows": rows })
        })
        .collect()
}

/// The highest shock of a piece beside what it stands.
fn protection(words: &Words, item: &ItemVerdict) -> Value {
    let limit = item
        .directions
        .iter()
        .find_map(|d| d.limit)
        .map(caddis_basis::Acceleration::as_g);
    let flat = item.directions.iter().filter_map(|d| d.peak);
    let falls = item.falls.as_ref().and_then(|falls| falls.worst.peak);
    let peak = flat
        .chain(falls)
        .map(caddis_basis::Acceleration::as_g)
        .max_by(f64::total_cmp);
    let bottoms = item
        .falls
        .as_ref()
        .is_some_and(|falls| falls.worst.peak.is_none());
    let g = |g: f64| words.number(g, 0);
    let (share, figures, note) = match (peak, limit) {
        _ if bottoms => (None, say!(words, "deck-beyond"), say!(words, "deck-crushed")),
        (None, _) => (None, String::new(), say!(words, "deck-soft")),
        (Some(peak), Some(limit)) => (
            Some(peak / limit),
            say!(words, "deck-peak-of", peak = g(peak), limit = g(limit)),
            String::new(),
        ),
        (Some(peak), None) => (Some(0.5), say!(words, "deck-peak", peak = g(peak)), String::new()),
    };
    let share = if limit.is_none() { None } else { share };
    let note = if limit.is_none() && peak.is_some() && !bottoms {
        say!(words, "deck-no-limit")
    } else {
        note
    };
    json!({
        "name": format!("{} {}", item.number, item.name),
        "share": share,
        "has-limit": limit.is_some(),
        "figures": figures,
        "words": note,
        "verdict": item.verdict.words(),
    })
}

fn travel(input: &PaperInput) -> Value {
    let words = input.words;
    let parcel = &input.verification.parcel;
    let journey = &input.brief.journey;
    let summary = journey_summary(journey, &input.verification.legs);
    let linear: f64 = parcel.outside.iter().map(|side| side.value.as_mm()).sum();
    let legs: Vec<[String; 5]> = summary
        .legs
        .iter()
        .enumerate()
        .map(|(index, leg)| {
            [
                (index + 1).to_string(),
                words.told(&leg.title),
                leg.fails.to_string(),
                leg.passes.to_string(),
                leg.open.to_string(),
            ]
        })
        .collect();
    let mut notes = vec![say!(words, "deck-rules")];
    if !input.brief.batteries.is_empty() {
        let count: u32 = input.brief.batteries.iter().map(|battery| battery.count).sum();
        notes.push(say!(words, "deck-batteries", count = count));
    }
    json!({
        "facts": [
            [mass_words(words, &parcel.gross_mass), say!(words, "deck-closed")],
            [say!(words, "deck-linear", size = words.number(linear / 10.0, 0)), say!(words, "deck-linear-is")],
            [words.figures(&input.verification.drop_height.to_string()), say!(words, "deck-drop-height")],
            [summary.legs.len().to_string(), say!(words, "deck-legs")],
        ],
        "legs": legs,
        "notes": notes,
    })
}

fn prices(input: &PaperInput, breaks: &[PriceBreak]) -> Value {
    let case = input.shop.quoting.shells.get(&input.brief.shell.name);
    let rows: Vec<[String; 3]> = breaks
        .iter()
        .map(|row| {
            let each = Money::from_minor(
                row.unit_price
                    .minor()
                    .saturating_add(case.map_or(0, |case| case.minor())),
                row.unit_price.currency(),
            );
            let total = Money::from_minor(
                each.minor().saturating_mul(i64::from(row.quantity)),
                each.currency(),
            );
            [
                row.quantity.to_string(),
                money(input.words, each),
                money(input.words, total),
            ]
        })
        .collect();
    let price_words = if case.is_some() {
        say!(input.words, "deck-with-case")
    } else {
        say!(input.words, "deck-interior-alone")
    };
    json!({
        "prices": rows,
        "price_words": price_words,
    })
}
