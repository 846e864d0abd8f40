//! The customer's papers of the specimen job: written twice the same, and what a weak design puts on them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "specimen/input.rs"]
mod input;
mod specimen;

use caddis_basis::{Currency, Money};
use caddis_documents::{
    Document, DocumentError, PaperInput, bill_values, bill_workbook, check_print, contents_list, deck,
    labels, packing_list, quotation, square_code,
};
use caddis_shop::price_breaks;
use input::input;
use specimen::{job, specimen};
use std::collections::BTreeMap;

fn all(input: &PaperInput) -> Result<Vec<Document>, DocumentError> {
    let breaks = price_breaks(input.set, input.shop, 1, &[1, 10]).unwrap();
    Ok(vec![
        quotation(input, &breaks)?,
        packing_list(input)?,
        contents_list(input)?,
        labels(input)?,
        check_print(input)?,
        deck(input, &breaks)?,
        bill_workbook(input, &breaks)?,
        bill_values(input),
    ])
}

#[test]
fn every_paper_is_a_pdf_and_repeats() {
    let shop = job::shop();
    let input = input(&shop);
    let first = all(&input).unwrap();
    let names: Vec<&str> = first.iter().map(|paper| paper.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "quotation.pdf",
            "packing-list.pdf",
            "contents-list.pdf",
            "labels.pdf",
            "check-print.pdf",
            "deck.pdf",
            "bill.xlsx",
            "bill.csv"
        ]
    );
    for paper in first.iter().filter(|paper| paper.media_type == "application/pdf") {
        assert!(paper.bytes.starts_with(b"%PDF-1."), "{}", paper.name);
        assert!(paper.bytes.trim_ascii_end().ends_with(b"%%EOF"), "{}", paper.name);
        assert!(is_archival(paper), "{}", paper.name);
    }
    assert_eq!(first, all(&input).unwrap());
}

/// Whether a paper says of itself that it is PDF/A-2u, in its metadata (ISO 19005-2: part and conformance).
fn is_archival(paper: &Document) -> bool {
    let text = String::from_utf8_lossy(&paper.bytes);
    let says = |key: &str, value: &str| {
        text.contains(&format!("<pdfaid:{key}>{value}<"))
            || text.contains(&format!("pdfaid:{key}=\"{value}\""))
    };
    says("part", "2") && says("conformance", "U")
}

#[test]
fn a_name_in_letters_no_face_holds_is_printed_and_claims_no_archive() {
    let shop = job::shop();
    let mut brief = specimen().brief.clone();
    brief.customer = "\u{89b3}\u{6e2c}\u{6240}".to_owned();
    let papers = all(&PaperInput {
        brief: &brief,
        ..input(&shop)
    })
    .unwrap();
    let labels = papers.iter().find(|paper| paper.name == "labels.pdf").unwrap();
    assert!(labels.bytes.starts_with(b"%PDF-1.") && !is_archival(labels));
}

#[test]
fn a_day_the_calendar_lacks_is_refused() {
    let shop = job::shop();
    let error = all(&PaperInput {
        date: "2026-02-30",
        ..input(&shop)
    })
    .unwrap_err();
    assert_eq!(error, DocumentError::Date("2026-02-30".to_owned()));
}

#[test]
fn words_that_look_like_markup_and_prices_of_shells_stay_words() {
    let mut shop = job::shop();
    let mut brief = specimen().brief.clone();
    brief.items[0].name = "<b>battery</b> & #eval(\"1\") $x$".to_owned();
    brief.items[0].declared.serials = vec!["#1*2_3".to_owned(), "[4]".to_owned()];
    brief.items[0].declared.origin = Some("\\ #panic()".to_owned());
    brief.items[0].declared.value = Some(Money::from_minor(1, Currency::parse("EUR").unwrap()));
    shop.quoting.letterhead = vec!["#panic() *bold* $x$".to_owned()];
    shop.quoting.terms = vec!["] #h(1em)".to_owned()];
    shop.quoting.valid_days = Some(400);
    shop.quoting
        .shells
        .insert(brief.shell.name.clone(), Money::from_minor(31_800, shop.currency));
    let papers = all(&PaperInput {
        brief: &brief,
        ..input(&shop)
    })
    .unwrap();
    for paper in papers
        .iter()
        .filter(|paper| paper.media_type == "application/pdf")
    {
        assert!(paper.bytes.starts_with(b"%PDF-1."), "{}", paper.name);
    }
}

#[test]
fn a_square_code_keeps_its_quiet_zone_and_refuses_what_it_cannot_hold() {
    let sheet = square_code("TR-0417 A", 38.0).unwrap();
    assert!(sheet.marks.len() > 50);
    let error = square_code(&"x".repeat(5000), 38.0).unwrap_err();
    assert!(error.to_string().contains("5000 letters"), "{error}");
}

#[test]
fn photos_of_the_case_stand_in_the_deck() {
    let s = specimen();
    let shop = job::shop();
    let breaks = price_breaks(&s.set, &shop, 1, &[1]).unwrap();
    let deck_with = |bytes: Vec<u8>| {
        let photos = BTreeMap::from([("front.png".to_owned(), bytes)]);
        let pictures = s.pictures.clone().with_photos(&photos);
        deck(
            &PaperInput {
                pictures: &pictures,
                ..input(&shop)
            },
            &breaks,
        )
    };
    let pages = |document: &Document| {
        let text = String::from_utf8_lossy(&document.bytes).into_owned();
        let count = text
            .split("/Type/Pages")
            .nth(1)
            .or(text.split("/Type /Pages").nth(1))
            .unwrap_or("");
        count
            .split("/Count")
            .nth(1)
            .and_then(|rest| rest.split_whitespace().next())
            .map(str::to_owned)
    };
    let plain = deck(&input(&shop), &breaks).unwrap();
    let photographed = deck_with(s.pictures.scene(&s.brief).bytes);
    assert!(
        matches!(photographed, Err(DocumentError::Picture(_))),
        "a scene is no photo"
    );
    let picture = caddis_documents::item_picture(&s.brief.items[0], 60, 40)
        .png()
        .unwrap();
    let photographed = deck_with(picture).unwrap();
    let (before, after) = (pages(&plain), pages(&photographed));
    assert!(before.is_some() && before != after, "{before:?} {after:?}");
}
