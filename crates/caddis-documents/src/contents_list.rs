//! The contents list for customs: what is in the case, with serial, value, origin and batteries as far as stated.

use crate::date::ymd;
use crate::paper::{head, mass_words, outside_mm};
use crate::press::Job;
use crate::quotation::{merge, money};
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words};
use caddis_basis::Money;
use caddis_journey::{Battery, BatteryContent};
use caddis_survey::Item;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Sets the contents list. What nobody stated stays a blank.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn contents_list(input: &PaperInput) -> Result<Document, DocumentError> {
    let words = input.words;
    let mut data = head(input);
    let parcel = &input.verification.parcel;
    let items = &input.brief.items;
    let rows: Vec<Value> = (1..)
        .zip(items)
        .map(|(number, item)| row(words, number, item))
        .collect();
    merge(
        &mut data,
        json!({
            "case": input.brief.shell.title,
            "outside": say!(words, "paper-mm", size = outside_mm(input)),
            "gross": mass_words(words, &parcel.gross_mass),
            "rows": rows,
            "totals": totals(words, items),
            "batteries": input.brief.batteries.iter().map(|one| battery(words, one)).collect::<Vec<_>>(),
        }),
    );
    let job = Job {
        main: include_str!("typst/contents_list.typ"),
        words: input.words,
        files: BTreeMap::from([("data.json".to_owned(), data.to_string().into_bytes())]),
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} contents list",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("contents-list.pdf")
}

fn row(words: &Words, number: usize, item: &Item) -> Value {
    let declared = &item.declared;
    let pieces = f64::from(item.quantity);
    let value = |amount: Option<Money>| {
        amount.map_or_else(String::new, |m| {
            format!("{} {}", money(words, m), m.currency().code())
        })
    };
    json!([
        number.to_string(),
        item.name,
        item.quantity.to_string(),
        declared.serials.join(", "),
        words.number(item.mass.value.si() * pieces, 2),
        value(declared.value),
        value(declared.value.and_then(|each| times(each, item.quantity))),
        declared.origin.clone().unwrap_or_default(),
        declared.tariff_code.clone().unwrap_or_default(),
    ])
}

fn times(each: Money, count: u32) -> Option<Money> {
    each.minor()
        .checked_mul(i64::from(count))
        .map(|minor| Money::from_minor(minor, each.currency()))
}

/// Pieces, mass and, where every value is stated in one currency, the sum of values.
fn totals(words: &Words, items: &[Item]) -> Vec<[String; 2]> {
    let pieces: u64 = items.iter().map(|item| u64::from(item.quantity)).sum();
    let mass: f64 = items
        .iter()
        .map(|item| item.mass.value.si() * f64::from(item.quantity))
        .sum();
    let unstated = items.iter().filter(|item| item.declared.value.is_none()).count();
    let sum = match total_value(items) {
        Some(total) => format!("{} {}", money(words, total), total.currency().code()),
        None if unstated > 0 => say!(
            words,
            "contents-not-stated",
            count = unstated,
            items = items.len()
        ),
        None => say!(words, "contents-currencies"),
    };
    vec![
        [say!(words, "contents-total-pieces"), pieces.to_string()],
        [
            say!(words, "contents-total-mass"),
            say!(words, "paper-kg", mass = words.number(mass, 2)),
        ],
        [say!(words, "contents-total-value"), sum],
    ]
}

/// The sum of all values, where every item states one and all are in one currency.
fn total_value(items: &[Item]) -> Option<Money> {
    let values: Option<Vec<Money>> = items
        .iter()
        .map(|item| times(item.declared.value?, item.quantity))
        .collect();
    let values = values?;
    let currency = values.first()?.currency();
    if values.iter().any(|value| value.currency() != currency) {
        return None;
    }
    let minor = values
        .iter()
        .try_fold(0_i64, |sum, value| sum.checked_add(value.minor()))?;
    Some(Money::from_minor(minor, currency))
}

fn battery(words: &Words, battery: &Battery) -> Value {
    let count = f64::from(battery.count);
    let watt_hours = |energy: f64| say!(words, "contents-energy", energy = words.number(energy, 1));
    let grams = |grams: f64| say!(words, "contents-lithium", mass = words.number(grams, 1));
    let (kind, each, together) = match battery.content {
        BatteryContent::LithiumIon { energy } => (
            say!(words, "contents-lithium-ion"),
            words.figures(&energy.to_string()),
            watt_hours(energy.value() * count),
        ),
        BatteryContent::LithiumMetal { lithium } => (
            say!(words, "contents-lithium-metal"),
            grams(lithium.si() * 1e3),
            grams(lithium.si() * 1e3 * count),
        ),
        BatteryContent::NonSpillableLead { volts, energy } => (
            say!(words, "contents-lead", volts = words.number(volts, 0)),
            words.figures(&energy.to_string()),
            watt_hours(energy.value() * count),
        ),
        BatteryContent::NotKnown => (String::new(), String::new(), String::new()),
    };
    let place = if battery.installed {
        say!(words, "contents-installed")
    } else {
        say!(words, "contents-spare")
    };
    json!([
        battery.label,
        battery.count.to_string(),
        kind,
        each,
        together,
        place
    ])
}
