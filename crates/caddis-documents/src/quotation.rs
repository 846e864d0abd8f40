//! The quotation: price by quantity under the shop's own letterhead, with what it covers.

use crate::date::{days_after, ymd};
use crate::paper::{concessions_on_protection, head, mass_words, open_findings, outside_mm};
use crate::press::Job;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words};
use caddis_basis::{Domain, Money, Severity, Verdict};
use caddis_design::{BlockKind, HeldBy, ItemVerdict, OpeningKind, TrayLift};
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
        words: input.words,
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
    let words = input.words;
    let quoting = &input.shop.quoting;
    let valid = quoting
        .valid_days
        .map(|days| days_after(input.date, days))
        .transpose()?;
    let shell = &input.brief.shell;
    let case_price = quoting.shells.get(&shell.name).copied();
    let prices: Vec<Value> = breaks
        .iter()
        .map(|row| price_row(words, row, case_price))
        .collect();
    let parcel = &input.verification.parcel;
    let mut not_included = quoting.not_included.clone();
    if case_price.is_none() {
        not_included.insert(
            0,
            say!(words, "quotation-case-itself", case = shell.title.as_str()),
        );
    }
    not_included.insert(0, say!(words, "quotation-customers-equipment"));
    let mut data = head(input);
    let more = json!({
        "letterhead": quoting.letterhead,
        "number": format!("{}-{}", input.brief.job, input.revision),
        "valid": valid,
        "case_price": case_price.map(|case| money(words, case)),
        "currency": input.shop.currency.code(),
        "facts": [
            [say!(words, "quotation-fact-case"), shell.title],
            [say!(words, "quotation-fact-outside"), say!(words, "paper-mm", size = outside_mm(input))],
            [say!(words, "quotation-fact-mass"), mass_words(words, &parcel.gross_mass)],
            [say!(words, "quotation-fact-equipment"), say!(words, "quotation-pieces", pieces = input.interior.places.len(), kinds = input.brief.items.len())],
        ],
        "cover": { "path": "cover.png" },
        "open": open_findings(input),
        "prices": prices,
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

fn price_row(words: &Words, row: &PriceBreak, case_price: Option<Money>) -> Value {
    let quantity = i64::from(row.quantity);
    let mut cells = vec![row.quantity.to_string()];
    if let Some(case) = case_price {
        let together = Money::from_minor(
            case.minor().saturating_add(row.unit_price.minor()),
            case.currency(),
        );
        cells.extend([
            money(words, case),
            money(words, row.unit_price),
            money(words, together),
        ]);
        cells.push(money(
            words,
            Money::from_minor(together.minor().saturating_mul(quantity), case.currency()),
        ));
    } else {
        cells.extend([money(words, row.unit_price), money(words, row.price)]);
    }
    json!(cells)
}

/// An amount with its thousands apart; the currency stands elsewhere.
///
/// # Source
/// Groups of three with a space: ISO 80000-1, from memory.
pub(crate) fn money(words: &Words, amount: Money) -> String {
    let minor = amount.minor().unsigned_abs();
    let whole = (minor / 100).to_string();
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            grouped.push_str(words.group_mark());
        }
        grouped.push(digit);
    }
    let sign = if amount.minor() < 0 { "−" } else { "" };
    format!(
        "{sign}{grouped}{}",
        words.figures(&format!(".{:02}", minor % 100))
    )
}

fn included(input: &PaperInput, with_case: bool) -> Vec<String> {
    let words = input.words;
    let mut lines = Vec::new();
    if with_case {
        let case = input.brief.shell.title.as_str();
        lines.push(say!(words, "quotation-case-as-surveyed", case = case));
    }
    for block in &input.interior.blocks {
        let name = match block.kind {
            BlockKind::Base => say!(words, "paper-base-block"),
            BlockKind::Tray(number) => say!(words, "quotation-tray", number = number),
            BlockKind::LidPad => say!(words, "paper-lid-pad"),
        };
        let foam = input
            .brief
            .foams
            .get(block.foam)
            .map_or("", |foam| foam.title.as_str());
        lines.push(say!(
            words,
            "quotation-layers",
            block = name,
            count = block.layers.len(),
            foam = foam,
            height = words.number((block.high - block.low) * 1e3, 0),
        ));
    }
    let notches = input.interior.notches.len();
    lines.push(say!(
        words,
        "quotation-cavities",
        pieces = input.interior.cavities.len(),
        notches = notches
    ));
    lines.extend(furnished(input));
    lines.push(say!(words, "quotation-papers"));
    lines.extend(input.shop.quoting.included.iter().cloned());
    lines
}

/// What the foam carries beside cavities, as far as it was made.
fn furnished(input: &PaperInput) -> Vec<String> {
    let (words, wished) = (input.words, &input.brief.furnishing);
    let cut = |kind: OpeningKind| {
        let openings = input.interior.openings.iter();
        openings.filter(|opening| opening.kind == kind).count()
    };
    let has_tray = input
        .interior
        .blocks
        .iter()
        .any(|block| matches!(block.kind, BlockKind::Tray(_)));
    let mut lines = Vec::new();
    if cut(OpeningKind::Lift) > 0 {
        lines.push(say!(words, "quotation-lift-holes"));
    }
    if wished.tray_lift == TrayLift::Straps && has_tray {
        lines.push(say!(words, "quotation-straps"));
    }
    match cut(OpeningKind::PushOut) {
        0 => {}
        count => lines.push(say!(words, "quotation-push-out", count = count)),
    }
    match cut(OpeningKind::Channel) {
        0 => {}
        count => lines.push(say!(words, "quotation-channels", count = count)),
    }
    if cut(OpeningKind::Label) > 0 {
        lines.push(say!(words, "quotation-label"));
    }
    if wished.lid_held_by == HeldBy::Board {
        lines.push(say!(words, "quotation-board"));
    }
    if input.interior.tray_board().is_some() {
        lines.push(say!(words, "quotation-tray-board"));
    }
    if let Some(colours) = &wished.colours {
        lines.push(say!(
            words,
            "quotation-colours",
            floors = colours.floors.name.as_str(),
            top = colours.top.name.as_str()
        ));
    }
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
    let words = input.words;
    let mut parts = Vec::new();
    for verdict in [
        Verdict::Holds,
        Verdict::Indicative,
        Verdict::Fails,
        Verdict::NotKnown,
    ] {
        let count = count(verdict);
        if count > 0 {
            parts.push(match verdict {
                Verdict::Holds => say!(words, "quotation-protected", count = count),
                Verdict::Indicative => say!(words, "quotation-indicative", count = count),
                Verdict::Fails => say!(words, "quotation-failing", count = count),
                Verdict::NotKnown => say!(words, "quotation-not-judged", count = count),
            });
        }
    }
    if soft > 0 {
        parts.push(say!(words, "quotation-soft", count = soft));
    }
    say!(
        words,
        "quotation-basis",
        height = words.figures(&input.verification.drop_height.to_string()),
        pieces = items.len(),
        verdicts = parts.join(", "),
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
        .map(|f| {
            format!(
                "{}: {}",
                input.words.told(&f.place),
                input.words.told(&f.sentence)
            )
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::money;
    use crate::Words;
    use caddis_basis::Money;

    #[test]
    fn thousands_stand_apart() {
        for (text, words) in [
            ("7 EUR", "7.00"),
            ("999.50 EUR", "999.50"),
            ("1035.28 EUR", "1\u{202f}035.28"),
            ("-1234567.05 EUR", "−1\u{202f}234\u{202f}567.05"),
        ] {
            assert_eq!(money(Words::english(), Money::parse(text).unwrap()), words);
        }
    }
}
