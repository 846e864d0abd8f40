//! The quotation: price by quantity under the shop's own letterhead, with what it covers.

use crate::date::{days_after, ymd};
use crate::paper::{concessions_on_protection, head, mass_words, open_findings, outside_mm};
use crate::press::Job;
use crate::{Document, DocumentError, PaperInput};
use caddis_basis::{Domain, Money, Severity, Verdict};
use caddis_design::{BlockKind, ItemVerdict};
use caddis_shop::PriceBreak;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Sets the quotation of these quantities; nothing of the shop's costs is on it. Without a release it is a budget price and says so.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn quotation(input: &PaperInput, breaks: &[PriceBreak]) -> Result<Document, DocumentError> {
    let data = data(input, breaks)?;
    let job = Job {
        main: include_str!("typst/quotation.typ"),
        files: BTreeMap::from([
            ("data.json".to_owned(), data.to_string().into_bytes()),
            ("cover.png".to_owned(), input.pictures.open.clone()),
        ]),
        date: ymd(input.date)?,
        ident: format!("{} {} {} quotation", input.brief.job, input.revision, input.date),
    };
    job.document("quotation.pdf")
}

fn data(input: &PaperInput, breaks: &[PriceBreak]) -> Result<Value, DocumentError> {
    let quoting = &input.shop.quoting;
    let valid = quoting
        .valid_days
        .map(|days| days_after(input.date, days))
        .transpose()?;
    let shell = &input.brief.shell;
    let case_price = quoting.shells.get(&shell.name).copied();
    let prices: Vec<Value> = breaks.iter().map(|row| price_row(row, case_price)).collect();
    let parcel = &input.verification.parcel;
    let mut not_included = quoting.not_included.clone();
    if case_price.is_none() {
        not_included.insert(0, format!("the case itself ({})", shell.title));
    }
    not_included.insert(0, "the customer's equipment".to_owned());
    let mut data = head(input);
    let more = json!({
        "letterhead": quoting.letterhead,
        "number": format!("{}-{}", input.brief.job, input.revision),
        "valid": valid,
        "case_price": case_price.map(money),
        "currency": input.shop.currency.code(),
        "facts": [
            ["Case", shell.title],
            ["Outside", format!("{} mm", outside_mm(input))],
            ["Mass, packed", mass_words(&parcel.gross_mass)],
            ["Equipment", format!("{} pieces of {} kinds", input.interior.places.len(), input.brief.items.len())],
        ],
        "cover": { "path": "cover.png" },
        "open": open_findings(input),
        "prices": prices,
        "price_note": "Quantities are of one design made in one go.",
        "included": included(input, case_price.is_some()),
        "not_included": not_included,
        "design": design(input),
        "findings": cautions(input),
        "concessions": concessions_on_protection(input),
        "terms": quoting.terms,
    });
    merge(&mut data, more);
    Ok(data)
}

/// Adds the members of one object to another.
pub(crate) fn merge(data: &mut Value, more: Value) {
    if let (Value::Object(data), Value::Object(more)) = (data, more) {
        data.extend(more);
    }
}

fn price_row(row: &PriceBreak, case_price: Option<Money>) -> Value {
    let quantity = i64::from(row.quantity);
    let mut cells = vec![row.quantity.to_string()];
    if let Some(case) = case_price {
        let together = Money::from_minor(
            case.minor().saturating_add(row.unit_price.minor()),
            case.currency(),
        );
        cells.extend([money(case), money(row.unit_price), money(together)]);
        cells.push(money(Money::from_minor(
            together.minor().saturating_mul(quantity),
            case.currency(),
        )));
    } else {
        cells.extend([money(row.unit_price), money(row.price)]);
    }
    json!(cells)
}

/// An amount with its thousands apart; the currency stands elsewhere.
///
/// # Source
/// Groups of three with a space: ISO 80000-1, from memory.
pub(crate) fn money(amount: Money) -> String {
    let minor = amount.minor().unsigned_abs();
    let whole = (minor / 100).to_string();
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            grouped.push('\u{202f}');
        }
        grouped.push(digit);
    }
    let sign = if amount.minor() < 0 { "−" } else { "" };
    format!("{sign}{grouped}.{:02}", minor % 100)
}

fn included(input: &PaperInput, with_case: bool) -> Vec<String> {
    let mut lines = Vec::new();
    if with_case {
        lines.push(format!(
            "the case, {}, as surveyed for this job",
            input.brief.shell.title
        ));
    }
    for block in &input.interior.blocks {
        let name = match block.kind {
            BlockKind::Base => "base block".to_owned(),
            BlockKind::Tray(number) => format!("tray {number}, lifts out"),
            BlockKind::LidPad => "lid pad".to_owned(),
        };
        let foam = input
            .brief
            .foams
            .get(block.foam)
            .map_or("", |foam| foam.title.as_str());
        let layers = block.layers.len();
        let s = if layers == 1 { "" } else { "s" };
        lines.push(format!(
            "{name}: {layers} layer{s} of {foam}, {:.0} mm high",
            (block.high - block.low) * 1e3
        ));
    }
    let notches = input.interior.notches.len();
    lines.push(format!(
        "a cavity of its own for each of {} pieces, with {notches} finger notches",
        input.interior.cavities.len()
    ));
    lines.push(
        "the papers: report with every verdict, drawings, packing list, contents list, labels, test plan"
            .to_owned(),
    );
    lines.extend(input.shop.quoting.included.iter().cloned());
    lines
}

fn design(input: &PaperInput) -> String {
    let items = &input.verification.items;
    // Soft goods are held to nothing: no flat fall is calculated for them.
    let is_soft = |item: &&ItemVerdict| item.directions.is_empty();
    let soft = items.iter().filter(is_soft).count();
    let count = |verdict: Verdict| {
        let hard = items.iter().filter(|item| !is_soft(item));
        hard.filter(|item| item.verdict == verdict).count()
    };
    let mut parts = Vec::new();
    for (verdict, words) in [
        (Verdict::Holds, "protected on impact data"),
        (
            Verdict::Indicative,
            "indicative (the foam's law is a model or used beyond its data)",
        ),
        (Verdict::Fails, "failing"),
        (Verdict::NotKnown, "not judged, too little being known"),
    ] {
        match count(verdict) {
            0 => {}
            n => parts.push(format!("{n} {words}")),
        }
    }
    if soft > 0 {
        parts.push(format!("{soft} soft, for which no shock is calculated"));
    }
    format!(
        "Drop height of the design: {}. The {} pieces: {}. These are calculated figures for design; a test of the packed case confirms them.",
        input.verification.drop_height,
        items.len(),
        parts.join(", ")
    )
}

/// What fails and nobody has signed for on protection; without a release that is said at the top.
fn cautions(input: &PaperInput) -> Vec<String> {
    input
        .verification
        .findings
        .iter()
        .filter(|f| f.domain != Domain::Shop && f.severity == Severity::Failing)
        .filter(|f| {
            input.release.is_some_and(|release| {
                release
                    .conceded()
                    .iter()
                    .all(|(conceded, _)| conceded.domain != Domain::Protection || conceded != *f)
            })
        })
        .map(|f| format!("{}: {}", f.place, f.sentence))
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::money;
    use caddis_basis::Money;

    #[test]
    fn thousands_stand_apart() {
        for (text, words) in [
            ("7 EUR", "7.00"),
            ("999.50 EUR", "999.50"),
            ("1035.28 EUR", "1\u{202f}035.28"),
            ("-1234567.05 EUR", "−1\u{202f}234\u{202f}567.05"),
        ] {
            assert_eq!(money(Money::parse(text).unwrap()), words);
        }
    }
}
