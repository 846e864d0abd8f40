//! The contents list for customs: what is in the case, with serial, value, origin and batteries as far as stated.

use crate::date::ymd;
use crate::paper::{head, mass_words, outside_mm};
use crate::press::Job;
use crate::quotation::{merge, money};
use crate::{Document, DocumentError, PaperInput};
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
    let mut data = head(input);
    let parcel = &input.verification.parcel;
    let items = &input.brief.items;
    let rows: Vec<Value> = (1..).zip(items).map(|(number, item)| row(number, item)).collect();
    merge(
        &mut data,
        json!({
            "case": input.brief.shell.title,
            "outside": format!("{} mm", outside_mm(input)),
            "gross": mass_words(&parcel.gross_mass),
            "rows": rows,
            "totals": totals(items),
            "batteries": input.brief.batteries.iter().map(battery).collect::<Vec<_>>(),
        }),
    );
    let job = Job {
        main: include_str!("typst/contents_list.typ"),
        files: BTreeMap::from([("data.json".to_owned(), data.to_string().into_bytes())]),
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} contents list",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("contents-list.pdf")
}

fn row(number: usize, item: &Item) -> Value {
    let declared = &item.declared;
    let pieces = f64::from(item.quantity);
    let value = |amount: Option<Money>| {
        amount.map_or_else(String::new, |m| format!("{} {}", money(m), m.currency().code()))
    };
    json!([
        number.to_string(),
        item.name,
        item.quantity.to_string(),
        declared.serials.join(", "),
        format!("{:.2}", item.mass.value.si() * pieces),
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
fn totals(items: &[Item]) -> Vec<[String; 2]> {
    let pieces: u64 = items.iter().map(|item| u64::from(item.quantity)).sum();
    let mass: f64 = items
        .iter()
        .map(|item| item.mass.value.si() * f64::from(item.quantity))
        .sum();
    let unstated = items.iter().filter(|item| item.declared.value.is_none()).count();
    let sum = match total_value(items) {
        Some(total) => format!("{} {}", money(total), total.currency().code()),
        None if unstated > 0 => format!("not stated for {unstated} of {} items", items.len()),
        None => "in several currencies: not added up".to_owned(),
    };
    vec![
        ["Pieces".to_owned(), pieces.to_string()],
        ["Mass of the equipment".to_owned(), format!("{mass:.2} kg")],
        ["Value of the equipment".to_owned(), sum],
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

fn battery(battery: &Battery) -> Value {
    let count = f64::from(battery.count);
    let (kind, each, together) = match battery.content {
        BatteryContent::LithiumIon { energy } => (
            "lithium ion".to_owned(),
            energy.to_string(),
            format!("{:.1} Wh", energy.value() * count),
        ),
        BatteryContent::LithiumMetal { lithium } => (
            "lithium metal".to_owned(),
            format!("{:.1} g lithium", lithium.si() * 1e3),
            format!("{:.1} g lithium", lithium.si() * 1e3 * count),
        ),
        BatteryContent::NonSpillableLead { volts, energy } => (
            format!("non-spillable lead, {volts:.0} V"),
            energy.to_string(),
            format!("{:.1} Wh", energy.value() * count),
        ),
        BatteryContent::NotKnown => (String::new(), String::new(), String::new()),
    };
    let place = if battery.installed {
        "in its equipment"
    } else {
        "spare, loose"
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
