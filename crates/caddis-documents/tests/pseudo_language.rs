//! Every paper in a language that no one speaks. What lacks its accents was never asked of the catalogue; what runs over its room shows.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "specimen/input.rs"]
mod input;
#[path = "specimen/pseudo.rs"]
mod pseudo;
mod specimen;
#[path = "specimen/texts.rs"]
mod texts;

use caddis_design::{plan_tests, predictions};
use caddis_documents::{
    PaperInput, SelectionInput, Sheet, TestPlanInput, Text, Words, check_print, contents_list, deck,
    drawing_sheets, drawings, first_article, labels, packing_list, quotation, report, selection_page,
    test_plan_document, worksheet,
};
use caddis_shop::price_breaks;
use input::input;
use pseudo::catalogue;
use specimen::{job, specimen};
use std::collections::BTreeSet;
use texts::texts;

#[test]
fn every_paper_can_be_set_in_it() {
    let (shop, words) = (job::shop(), Words::read("xx", &catalogue()).unwrap());
    assert_eq!(words.tag(), "xx");
    let input = PaperInput {
        words: &words,
        ..input(&shop)
    };
    let s = specimen();
    let breaks = price_breaks(input.set, input.shop, 1, &[1, 10]).unwrap();
    let plan = plan_tests(&s.brief, &s.verification).unwrap();
    let calculated = predictions(&s.brief, &s.verification);
    let sheets = drawing_sheets(&input);
    let papers = [
        quotation(&input, &breaks),
        packing_list(&input),
        contents_list(&input),
        labels(&input),
        check_print(&input),
        deck(&input, &breaks),
        first_article(&input),
        drawings(&input, &sheets),
        report(&input),
        test_plan_document(&TestPlanInput {
            brief: &s.brief,
            verification: &s.verification,
            plan: &plan,
            predictions: &calculated,
            is_released: false,
            words: &words,
            date: "2026-11-25",
            revision: "A",
            version: "0.1.0",
        }),
        selection_page(&SelectionInput {
            job: "J",
            title: "T",
            customer: "C",
            words: &words,
            date: "2026-11-25",
            version: "0.1.0",
            by: "gross-mass",
            within_bounds: 0,
            rows: Vec::new(),
            split: Vec::new(),
        }),
        worksheet(&words, Some(&s.brief.shell), "2026-11-25", "0.1.0"),
        worksheet(&words, None, "2026-11-25", "0.1.0"),
    ];
    for paper in papers {
        assert!(paper.unwrap().bytes.starts_with(b"%PDF-1."));
    }
}

/// The words of what the job says in its own language: names, titles, notes, sources of foam, shop and shell.
fn own_words(input: &PaperInput) -> BTreeSet<String> {
    let brief = input.brief;
    let mut all = format!(
        "{} {} {} {} {} {} Caddis mm kg pc ",
        brief.job,
        brief.title,
        brief.customer,
        brief.shell.title,
        input.shop.name,
        input.shop.process.tolerance
    );
    for item in &brief.items {
        all.extend([item.name.as_str(), " "]);
    }
    for part in &input.set.layers {
        all.extend([part.foam_title.as_str(), " ", part.face_up, " "]);
    }
    for line in &input.set.bill.lines {
        all.extend([line.description.as_str(), " ", line.unit.as_str(), " "]);
    }
    all.split(|c: char| !c.is_alphabetic())
        .map(str::to_lowercase)
        .collect()
}

#[test]
fn no_word_of_a_drawing_comes_from_elsewhere_and_none_leaves_its_sheet() {
    let (shop, words) = (job::shop(), Words::read("xx", &catalogue()).unwrap());
    let input = PaperInput {
        words: &words,
        ..input(&shop)
    };
    let own = own_words(&input);
    let sheets = drawing_sheets(&input);
    let mut wrong = Vec::new();
    let mut seen = 0;
    for sheet in sheets.iter() {
        for text in texts(&sheet.marks) {
            for word in text.words.split(|c: char| !c.is_alphabetic()) {
                // Words that were cut to their room end in …; three letters are a mark or a unit at most.
                if word.chars().count() < 4 || text.words.ends_with('…') {
                    continue;
                }
                seen += 1;
                if word.is_ascii() && !own.contains(&word.to_lowercase()) {
                    wrong.push(format!("{}: `{word}` in `{}`", sheet.title, text.words));
                }
            }
            if !is_inside(sheet, text) {
                wrong.push(format!("{}: `{}` leaves the sheet", sheet.title, text.words));
            }
        }
    }
    assert!(seen > 300, "{seen}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn is_inside(sheet: &Sheet, text: &Text) -> bool {
    (0.0..=sheet.width).contains(&text.at.x) && (0.0..=sheet.height).contains(&text.at.y)
}
