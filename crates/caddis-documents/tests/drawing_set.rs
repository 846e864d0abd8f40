//! The drawings of the specimen job on every paper, in every unit: nothing lies on anything else or off the sheet.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "specimen/input.rs"]
mod input;
mod specimen;
#[path = "specimen/texts.rs"]
mod texts;

use caddis_basis::Length;
use caddis_documents::{
    Anchor, Dash, Mark, Segment, Sheet, Text, Words, case_plan, drawing_files, drawing_sheets, drawings,
    first_article, packing_plan,
};
use caddis_shop::{DrawingPractice, DrawingUnits, Projection, SheetSize, Shop, ToleranceRow};
use input::input;
use specimen::{job, specimen};
use texts::texts;

fn shop(paper: SheetSize, units: DrawingUnits, projection: Projection) -> Shop {
    let mut shop = job::shop();
    shop.drawing = DrawingPractice {
        paper,
        units,
        projection,
    };
    shop.process.tolerances = [(100.0, 1.0), (400.0, 2.0)]
        .map(|(up_to, band)| ToleranceRow {
            up_to: caddis_basis::Length::mm(up_to),
            plan: caddis_basis::Length::mm(band),
            depth: caddis_basis::Length::mm(band),
        })
        .to_vec();
    shop
}

fn said(marks: &[Mark]) -> Vec<&Text> {
    let mut all = texts(marks);
    all.retain(|text| !text.words.trim().is_empty());
    all
}

/// Lower left and upper right of a text on paper; a letter of the face is 0.57 of its size wide on the average, capitals
/// 0.714 of it high (measured in the font).
fn ground(text: &Text) -> ([f64; 2], [f64; 2]) {
    let wide = text.words.chars().count() as f64 * text.height * 0.57 / 0.714;
    let start = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -wide / 2.0,
        Anchor::End => -wide,
    };
    let (x, y, h) = (text.at.x, text.at.y, text.height);
    if text.turned == 90.0 {
        ([x - h, y + start], [x, y + start + wide])
    } else {
        ([x + start, y], [x + start + wide, y + h])
    }
}

fn clashes(sheet: &Sheet) -> Vec<(String, String)> {
    let list: Vec<_> = said(&sheet.marks)
        .into_iter()
        .map(|t| (ground(t), &t.words))
        .collect();
    let mut found = Vec::new();
    for (i, ((low, high), words)) in list.iter().enumerate() {
        for ((other_low, other_high), other) in &list[i + 1..] {
            let shared = [0, 1].map(|k| high[k].min(other_high[k]) - low[k].max(other_low[k]));
            if shared[0] > 0.3 && shared[1] > 0.3 {
                found.push(((*words).clone(), (*other).clone()));
            }
        }
    }
    found
}

#[test]
fn nothing_lies_on_anything_on_any_paper_in_any_unit() {
    let mut wrong: Vec<String> = Vec::new();
    for paper in [
        SheetSize::A4,
        SheetSize::A3,
        SheetSize::A2,
        SheetSize::A1,
        SheetSize::Letter,
        SheetSize::B,
        SheetSize::C,
        SheetSize::D,
    ] {
        for units in [
            DrawingUnits::Millimetres,
            DrawingUnits::Inches,
            DrawingUnits::Dual,
        ] {
            let shop = shop(paper, units, Projection::FirstAngle);
            for sheet in drawing_sheets(&input(&shop)).iter() {
                let mut say =
                    |what: String| wrong.push(format!("{paper:?} {units:?} {}: {what}", sheet.title));
                for (one, other) in clashes(sheet) {
                    say(format!("`{one}` on `{other}`"));
                }
                for text in said(&sheet.marks) {
                    let (low, high) = ground(text);
                    let inside =
                        low[0] >= 0.0 && low[1] >= 0.0 && high[0] <= sheet.width && high[1] <= sheet.height;
                    if !inside || text.height < Text::LEAST_HEIGHT {
                        say(format!("`{}` off the sheet or too small", text.words));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Words that a section's cutting plane runs through: its lines are the wide ones of dashes and dots.
fn cut_through(marks: &[Mark]) -> Vec<String> {
    let mut found = Vec::new();
    for mark in marks {
        if let Mark::Path {
            outlines,
            stroke: Some(stroke),
            ..
        } = mark
            && stroke.dash == Dash::LongDashDot
        {
            for outline in outlines {
                let Some(Segment::Line(to)) = outline.segments.first() else {
                    continue;
                };
                let (low, high) = (outline.start.min(*to), outline.start.max(*to));
                for text in said(marks) {
                    let (text_low, text_high) = ground(text);
                    let apart = text_high[0] < low.x
                        || high.x < text_low[0]
                        || text_high[1] < low.y
                        || high.y < text_low[1];
                    if !apart {
                        found.push(text.words.clone());
                    }
                }
            }
        }
    }
    found
}

/// A larger shell is drawn at a smaller scale, and its section may lie anywhere.
#[test]
fn a_plan_at_a_small_scale_keeps_its_words_apart() {
    let s = specimen();
    for grown in [1.0, 1.5, 2.0, 3.0, 4.0, 6.0] {
        for with_housings in [true, false] {
            let mut brief = s.brief.clone();
            let base = &mut brief.shell.base;
            for size in [
                &mut base.rim.length,
                &mut base.rim.width,
                &mut base.floor.length,
                &mut base.floor.width,
            ] {
                size.value = Length::from_si(size.value.si() * grown);
            }
            if !with_housings {
                base.intrusions.clear();
            }
            let sheet = case_plan(Words::english(), &brief, &s.interior);
            let clashes = clashes(&sheet);
            assert!(clashes.is_empty(), "{grown} {with_housings}: {clashes:?}");
            let cut = cut_through(&sheet.marks);
            assert!(cut.is_empty(), "{grown} {with_housings}: {cut:?}");
        }
    }
}

/// Pieces of several tiers lie over one another: each number is read, and said once.
#[test]
fn numbers_in_the_lids_view_stand_apart() {
    let s = specimen();
    let mut interior = s.interior.clone();
    for tier in 1..4_u32 {
        for place in &s.interior.places {
            let mut over = place.clone();
            over.number += 10 * tier;
            interior.places.push(over);
        }
    }
    let sheet = packing_plan(Words::english(), &s.brief, &interior, None);
    let clashes = clashes(&sheet);
    assert!(clashes.is_empty(), "{clashes:?}");
    for place in &interior.places {
        let number = place.number.to_string();
        let times = said(&sheet.marks)
            .iter()
            .filter(|text| text.words == number)
            .count();
        assert_eq!(times, 1, "{number}");
    }
}

#[test]
fn every_part_has_its_sheet_with_its_overall_sizes() {
    let shop = shop(SheetSize::A3, DrawingUnits::Millimetres, Projection::ThirdAngle);
    let input = input(&shop);
    let sheets = drawing_sheets(&input);
    for part in &specimen().set.layers {
        let sheet = sheets
            .iter()
            .find(|sheet| sheet.title.contains(&format!("-{} ", part.id)))
            .unwrap();
        let words: Vec<&str> = said(&sheet.marks).iter().map(|t| t.words.as_str()).collect();
        let size = part.outline.bounds().unwrap().size();
        for metres in [size.x, size.y] {
            let figure = format!("{:.1}", metres * 1e3);
            let figure = figure.trim_end_matches('0').trim_end_matches('.');
            assert!(words.contains(&figure), "{}: {figure} in {words:?}", part.id);
        }
        assert!(words.contains(&"NOT RELEASED") && words.contains(&"third-angle"));
    }
}

#[test]
fn drawings_and_first_article_are_pdf_and_repeat() {
    let shop = shop(SheetSize::A3, DrawingUnits::Dual, Projection::FirstAngle);
    let input = input(&shop);
    let sheets = drawing_sheets(&input);
    let first = [drawings(&input, &sheets), first_article(&input)].map(Result::unwrap);
    for document in &first {
        assert!(document.bytes.starts_with(b"%PDF-1."), "{}", document.name);
    }
    let again = drawing_sheets(&input);
    assert_eq!(
        first,
        [drawings(&input, &again), first_article(&input)].map(Result::unwrap)
    );
}

#[test]
fn every_sheet_is_a_dxf_with_all_its_words() {
    let shop = shop(SheetSize::A3, DrawingUnits::Millimetres, Projection::FirstAngle);
    let input = input(&shop);
    let sheets = drawing_sheets(&input);
    let files = drawing_files(&input, &sheets);
    assert_eq!(files.len(), sheets.iter().len());
    for (number, (file, sheet)) in (1..).zip(files.iter().zip(sheets.iter())) {
        assert_eq!(file.name, format!("drawings/sheet-{number:02}.dxf"));
        // Its code page is Western European.
        let text: String = file.bytes.iter().map(|byte| char::from(*byte)).collect();
        let wanted = said(&sheet.marks)
            .iter()
            .filter(|text| !text.words.is_empty())
            .count();
        let found = text.matches("\n  0\nTEXT\n").count();
        // One sheet says that its picture is elsewhere.
        assert!(
            found == wanted || found == wanted + 1,
            "{}: {found} of {wanted}",
            file.name
        );
        assert!(text.contains("$PLIMMAX\n 10\n420\n 20\n297\n"), "{}", file.name);
        assert!(text.contains("NOT RELEASED: not for cutting"), "{}", file.name);
    }
    assert_eq!(files, drawing_files(&input, &drawing_sheets(&input)));
}
