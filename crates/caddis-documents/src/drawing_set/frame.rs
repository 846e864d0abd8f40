//! Frame, title block, revision table, projection mark and tolerance table of a drawing sheet.

use super::paper_size;
use crate::PaperInput;
use crate::drawing::{NARROW, TYPE, WIDE, cut_words, projection_words, sized, units_words, wrapped_words};
use crate::sheet::{Anchor, GREY, INK, Outline, RED, Segment, Sheet, Stroke, Text};
use crate::words::say;
use caddis_geometry::Vec2;
use caddis_shop::Projection;

/// Height of the strip along the lower side that holds title block and tables, mm.
pub(crate) const STRIP: f64 = 46.0;
/// Width of the title block, mm.
///
/// # Source
/// 180 mm: ISO 7200, from memory.
pub(crate) const TITLE: f64 = 180.0;

/// What one sheet says of itself.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Title {
    /// What it shows.
    pub(crate) shows: String,
    /// Identification number.
    pub(crate) number: String,
    /// `1:5`, or empty for tables.
    pub(crate) scale: String,
    /// What it is made of.
    pub(crate) material: String,
    /// This sheet, from 1, and how many.
    pub(crate) sheet: (usize, usize),
}

/// A sheet with its frame and title block, and the room left above the strip.
pub(crate) fn framed(input: &PaperInput, title: &Title) -> (Sheet, (Vec2, Vec2)) {
    let practice = &input.shop.drawing;
    let size = paper_size::size(practice.paper);
    let (low, high) = paper_size::frame(practice.paper);
    let mut sheet = Sheet::blank(format!("{} {}", title.number, title.shows), size.x, size.y);
    sheet.rectangle(low, high, Some(Stroke::line(0.7, INK)), None);
    let middle = (low + high) / 2.0;
    // Centring marks.
    for (a, b) in [
        (Vec2::new(middle.x, low.y), Vec2::new(middle.x, low.y - 5.0)),
        (Vec2::new(middle.x, high.y), Vec2::new(middle.x, high.y + 5.0)),
        (Vec2::new(low.x, middle.y), Vec2::new(low.x - 5.0, middle.y)),
        (Vec2::new(high.x, middle.y), Vec2::new(high.x + 5.0, middle.y)),
    ] {
        sheet.line(&[a, b], Stroke::line(0.7, INK));
    }
    block(&mut sheet, input, title, Vec2::new(high.x - TITLE, low.y));
    revisions(&mut sheet, input, high);
    let top = if input.release.is_some() {
        high.y - 13.0
    } else {
        sheet.words(bold(
            Vec2::new(low.x + 3.0, high.y - 8.0),
            &say!(input.words, "draw-not-for-cutting"),
            5.0,
            RED,
        ));
        high.y - 13.0
    };
    (
        sheet,
        (
            Vec2::new(low.x + 2.0, low.y + STRIP + 2.0),
            Vec2::new(high.x - 2.0, top),
        ),
    )
}

fn bold(at: Vec2, words: &str, height: f64, colour: [u8; 3]) -> Text {
    Text {
        at,
        words: words.to_owned(),
        height,
        anchor: Anchor::Start,
        turned: 0.0,
        bold: true,
        colour,
    }
}

fn small(sheet: &mut Sheet, at: Vec2, words: &str) {
    sheet.words(Text {
        colour: GREY,
        bold: false,
        ..bold(at, words, TYPE, GREY)
    });
}

/// The title block with its lower left corner at `low`: fields of ISO 7200.
fn block(sheet: &mut Sheet, input: &PaperInput, title: &Title, low: Vec2) {
    let words = input.words;
    let at = |x: f64, y: f64| low + Vec2::new(x, y);
    for (a, b) in [
        (at(0.0, 0.0), at(0.0, STRIP)),
        (at(0.0, STRIP), at(TITLE, STRIP)),
        (at(0.0, 30.0), at(TITLE, 30.0)),
        (at(0.0, 20.0), at(TITLE, 20.0)),
        (at(0.0, 10.0), at(TITLE, 10.0)),
        (at(110.0, 0.0), at(110.0, STRIP)),
        (at(60.0, 0.0), at(60.0, 20.0)),
        (at(140.0, 0.0), at(140.0, 30.0)),
        (at(160.0, 0.0), at(160.0, 10.0)),
    ] {
        sheet.line(&[a, b], NARROW);
    }
    let mut field = |x: f64, y: f64, name: &str, value: &str, room: f64| {
        small(sheet, at(x + 1.5, y + 6.3), name);
        sheet.text(
            at(x + 1.5, y + 1.8),
            cut_words(value, room - 3.0),
            TYPE,
            Anchor::Start,
        );
    };
    let paper = paper_size::name(input.shop.drawing.paper);
    field(0.0, 20.0, &say!(words, "block-material"), &title.material, 110.0);
    field(0.0, 10.0, &say!(words, "block-owner"), &input.shop.name, 60.0);
    field(
        60.0,
        10.0,
        &say!(words, "block-customer"),
        &input.brief.customer,
        50.0,
    );
    field(
        0.0,
        0.0,
        &say!(words, "block-drawn-by"),
        &say!(words, "paper-program", version = input.version),
        60.0,
    );
    field(60.0, 0.0, &say!(words, "block-approved-by"), "", 50.0);
    field(
        110.0,
        20.0,
        &say!(words, "block-scale"),
        if title.scale.is_empty() { "-" } else { &title.scale },
        30.0,
    );
    field(
        140.0,
        20.0,
        &say!(words, "block-units"),
        &units_words(words, input.shop.drawing.units),
        40.0,
    );
    field(110.0, 10.0, &say!(words, "block-date"), input.date, 30.0);
    field(140.0, 10.0, &say!(words, "block-revision"), input.revision, 40.0);
    field(
        110.0,
        0.0,
        &say!(words, "block-document"),
        &say!(words, "block-drawing"),
        30.0,
    );
    field(140.0, 0.0, &say!(words, "block-paper"), paper, 20.0);
    field(
        160.0,
        0.0,
        &say!(words, "block-sheet"),
        &say!(words, "stamp-of", number = title.sheet.0, of = title.sheet.1),
        20.0,
    );
    sheet.words(bold(
        at(2.0, 38.5),
        &cut_words(&title.shows, 106.0 * TYPE / 4.0),
        4.0,
        INK,
    ));
    sheet.text(
        at(2.0, 32.5),
        cut_words(&format!("{}: {}", input.brief.job, input.brief.title), 106.0),
        TYPE,
        Anchor::Start,
    );
    sheet.words(bold(
        at(112.0, 40.0),
        &cut_words(&title.number, 44.0 * TYPE / 3.5),
        3.5,
        INK,
    ));
    let (state, colour) = if input.release.is_some() {
        (say!(words, "draw-released"), INK)
    } else {
        (say!(words, "draw-not-released"), RED)
    };
    sheet.words(bold(at(112.0, 33.0), &state, 3.0, colour));
    projection_mark(sheet, at(157.0, 38.0), input.shop.drawing.projection);
    small(
        sheet,
        at(150.0, 31.5),
        &projection_words(words, input.shop.drawing.projection),
    );
}

/// A cone cut off and its two circles, centred between them.
///
/// # Source
/// First angle: cone left, circles right; third angle: circles left, cone right; ISO 5456-2, from memory.
fn projection_mark(sheet: &mut Sheet, centre: Vec2, projection: Projection) {
    let (cone, rings) = match projection {
        Projection::FirstAngle => (-5.0, 5.0),
        Projection::ThirdAngle => (5.0, -5.0),
    };
    let at = |x: f64, y: f64| centre + Vec2::new(x, y);
    let points = [
        at(cone - 3.0, -1.5),
        at(cone + 3.0, -3.0),
        at(cone + 3.0, 3.0),
        at(cone - 3.0, 1.5),
    ];
    if let Some(outline) = Outline::polyline(&points, true) {
        sheet.marks.push(crate::sheet::Mark::Path {
            outlines: vec![outline],
            stroke: Some(Stroke::line(0.35, INK)),
            fill: None,
        });
    }
    for radius in [1.5, 3.0] {
        let start = at(rings - radius, 0.0);
        let end = at(rings + radius, 0.0);
        sheet.marks.push(crate::sheet::Mark::Path {
            outlines: vec![Outline {
                start,
                segments: vec![Segment::Arc(end, 1.0), Segment::Arc(start, 1.0)],
                closed: true,
            }],
            stroke: Some(Stroke::line(0.35, INK)),
            fill: None,
        });
    }
}

/// The revision table at the upper right corner: this issue, and lines for the next.
fn revisions(sheet: &mut Sheet, input: &PaperInput, corner: Vec2) {
    let words = input.words;
    let wide = 116.0;
    let low = corner - Vec2::new(wide, 11.0);
    sheet.rectangle(low, corner, Some(NARROW), None);
    sheet.line(&[low + Vec2::new(0.0, 5.5), low + Vec2::new(wide, 5.5)], NARROW);
    for x in [16.0, 40.0, 92.0] {
        sheet.line(&[low + Vec2::new(x, 0.0), low + Vec2::new(x, 11.0)], NARROW);
    }
    let issued = say!(words, "block-issued");
    for (x, room, name, value) in [
        (1.5, 15.0, say!(words, "block-revision"), input.revision),
        (17.5, 23.0, say!(words, "block-issue-date"), input.date),
        (41.5, 51.0, say!(words, "block-changed"), issued.as_str()),
        (93.5, 22.0, say!(words, "block-approved"), ""),
    ] {
        // Words run a tenth less wide than they are reckoned.
        small(sheet, low + Vec2::new(x, 7.0), &cut_words(&name, 1.12 * room));
        sheet.text(
            low + Vec2::new(x, 1.5),
            cut_words(value, 22.0),
            TYPE,
            Anchor::Start,
        );
    }
}

/// Least distance of two lines of notes, mm: type of 2.5 mm with room for what hangs below its line.
const LEAST_PITCH: f64 = 3.3;

/// Notes and the shop's tolerance table, left of the title block.
pub(crate) fn notes(sheet: &mut Sheet, input: &PaperInput, lines: &[String]) {
    let (low, high) = paper_size::frame(input.shop.drawing.paper);
    let room = (low, Vec2::new(high.x - TITLE, low.y + STRIP));
    sheet.line(&[Vec2::new(low.x, room.1.y), room.1], WIDE);
    let words = input.words;
    let rows = &input.shop.process.tolerances;
    let units = input.shop.drawing.units;
    let mut x = room.0.x + 2.0;
    let pitch = 3.9;
    let most = 10_usize;
    let column = 24.0;
    if !rows.is_empty() && room.1.x - x > 3.0 * column + 60.0 {
        let top = room.1.y - 4.2;
        for (index, name) in [
            say!(words, "block-size-up-to"),
            say!(words, "block-plan-band"),
            say!(words, "block-depth-band"),
        ]
        .into_iter()
        .enumerate()
        {
            small(sheet, Vec2::new(x + column * index as f64, top), &name);
        }
        for (index, row) in rows.iter().take(most).enumerate() {
            let y = top - pitch * (index + 1) as f64;
            for (shift, size) in [(0.0, row.up_to), (1.0, row.plan), (2.0, row.depth)] {
                let figure = cut_words(&sized(words, units, size.si()), column - 1.0);
                sheet.text(Vec2::new(x + column * shift, y), figure, TYPE, Anchor::Start);
            }
        }
        x += 3.0 * column + 2.0;
    }
    let wide = room.1.x - x - 2.0;
    if wide < 20.0 {
        return;
    }
    let parts: Vec<String> = lines
        .iter()
        .flat_map(|line| wrapped_words(line, wide, most))
        .collect();
    let (top, bottom) = (room.1.y - 4.2, room.0.y + 1.5);
    // Many lines move closer; what even then has no room is told by the last that has.
    let close = ((top - bottom) / (parts.len().max(2) - 1) as f64).clamp(LEAST_PITCH, pitch);
    let rows = ((top - bottom) / close + 1e-9) as usize + 1;
    for (row, part) in parts.iter().take(rows).enumerate() {
        let line = if row + 1 == rows && rows < parts.len() {
            &say!(words, "sheet-more-notes")
        } else {
            part
        };
        let at = Vec2::new(x, top - close * row as f64);
        sheet.text(at, cut_words(line, wide), TYPE, Anchor::Start);
    }
}
