//! One layer on a sheet: ordinates from its datum, depths, radii, notes; then the table of its features.

use super::characteristic::{MeasuredPart, Numbered};
use super::frame::{Title, framed, notes};
use super::paper_size;
use crate::drawing::{
    Ground, NARROW, Ordinate, REACH, TYPE, View, along, beside, bounds_on_paper, cut_words, datum,
    part_drawn, part_words, scale_bar, sized,
};
use crate::sheet::{Anchor, GREY, INK, Sheet, Stroke, Text};
use crate::words::say;
use crate::{PaperInput, Words};
use caddis_design::CutTo;
use caddis_geometry::Vec2;
use caddis_shop::LayerPart;
use std::collections::BTreeMap;

/// Room left of and below the part for ordinates, mm.
const MARGIN: f64 = REACH + 26.0;

/// The scales tried, the largest first.
///
/// # Source
/// ISO 5455, from memory; 1:2.5 and 1:4 are the odd ones, common practice.
const SCALES: [f64; 9] = [1.0, 2.0, 2.5, 4.0, 5.0, 10.0, 20.0, 50.0, 100.0];

/// The identification number of a part's drawing.
pub(crate) fn number_of(input: &PaperInput, part: &LayerPart) -> String {
    format!("{}-{}", input.brief.job, part.id)
}

/// The sheet of a part.
pub(crate) fn layer_sheet(input: &PaperInput, measured: &MeasuredPart, sheet: (usize, usize)) -> Sheet {
    let part = measured.part;
    let words = input.words;
    let units = input.shop.drawing.units;
    let sized = |metres: f64| sized(words, units, metres);
    let size = part.outline.bounds().map_or(Vec2::new(0.1, 0.1), |b| b.size());
    let (low, high) = paper_size::frame(input.shop.drawing.paper);
    let room = Vec2::new(
        high.x - low.x - 4.0 - MARGIN - 8.0,
        high.y - low.y - super::frame::STRIP - 15.0 - MARGIN - 13.0,
    );
    let scale = SCALES
        .into_iter()
        .find(|n| size.x * 1000.0 / n <= room.x && size.y * 1000.0 / n <= room.y)
        .unwrap_or(200.0);
    let title = Title {
        shows: say!(
            words,
            "sheet-layer",
            part = part.id.as_str(),
            block = part_words(words, part),
            number = part.number,
            of = part.of,
        ),
        number: number_of(input, part),
        scale: format!("1:{}", words.figures(&scale.to_string())),
        material: say!(
            words,
            "sheet-layer-material",
            foam = part.foam_title.as_str(),
            thickness = sized(part.stock.si()),
        ),
        sheet,
    };
    let (mut page, (low, high)) = framed(input, &title);
    let paper = size * (1000.0 / scale);
    let middle = part.outline.bounds().map_or(Vec2::ZERO, |b| b.centre());
    let free = Vec2::new(
        high.x - low.x - MARGIN - 8.0 - paper.x,
        high.y - low.y - MARGIN - 13.0 - paper.y,
    );
    let at = low + Vec2::new(MARGIN, MARGIN + 8.0) + free / 2.0 + paper / 2.0;
    let view = View::centred(scale, middle, at);
    let (part_low, part_high) = bounds_on_paper(&part.outline, view);
    let origin = datum(part);
    let mut xs = vec![
        ordinate(part_low.x, part_low.y, "0".to_owned()),
        ordinate(part_high.x, part_low.y, sized(size.x)),
    ];
    let mut ys = vec![
        ordinate(part_low.y, part_low.x, "0".to_owned()),
        ordinate(part_high.y, part_low.x, sized(size.y)),
    ];
    for Numbered { feature, .. } in &measured.features {
        let (a, b) = (
            feature.centre - feature.size / 2.0,
            feature.centre + feature.size / 2.0,
        );
        let (pa, pb) = (view.point(origin + a), view.point(origin + b));
        xs.push(ordinate(pa.x, pa.y, sized(a.x)));
        xs.push(ordinate(pb.x, pa.y, sized(b.x)));
        ys.push(ordinate(pa.y, pa.x, sized(a.y)));
        ys.push(ordinate(pb.y, pa.x, sized(b.y)));
    }
    let mut left = 0;
    let mut ordinates = |page: &mut Sheet| {
        left = along(
            page,
            std::mem::take(&mut xs),
            part_low.y,
            (part_low.x - 1.0, high.x - 4.0),
        ) + beside(
            page,
            std::mem::take(&mut ys),
            part_low.x,
            (part_low.y - 1.0, high.y - 10.0),
        );
    };
    // Labels keep out of the ground of the ordinates, left of the part and below it, and cover their hair lines.
    let ground = (part_low - Vec2::new(1.0, 8.0), high);
    let ground = Ground {
        low: ground.0,
        high: ground.1,
        taken: Vec::new(),
    };
    let hidden = part_drawn(&mut page, words, part, view, ground, &sized, &mut ordinates);
    datum_mark(&mut page, part_low);
    hinge(&mut page, words, part, Vec2::new(high.x - 10.0, high.y - 8.0));
    scale_bar(&mut page, words, view, low + Vec2::new(4.0, 1.0));
    notes(&mut page, input, &lines(input, measured, hidden + left));
    page
}

fn ordinate(at: f64, edge: f64, words: String) -> Ordinate {
    Ordinate { at, edge, words }
}

fn datum_mark(page: &mut Sheet, at: Vec2) {
    page.circle(at, 1.6, Some(Stroke::line(0.35, INK)), None);
    page.line(&[at - Vec2::new(3.0, 0.0), at + Vec2::new(3.0, 0.0)], NARROW);
    page.line(&[at - Vec2::new(0.0, 3.0), at + Vec2::new(0.0, 3.0)], NARROW);
}

/// An arrow towards the hinge with its words to the left.
fn hinge(page: &mut Sheet, words: &Words, part: &LayerPart, at: Vec2) {
    let way = if part.hinge >= 0 { 1.0 } else { -1.0 };
    let tip = at + Vec2::new(0.0, 5.0 * way);
    page.line(&[at - Vec2::new(0.0, 5.0 * way), tip], Stroke::line(0.7, INK));
    let foot = tip - Vec2::new(0.0, 4.0 * way);
    page.solid(
        &[tip, foot + Vec2::new(1.6, 0.0), foot - Vec2::new(1.6, 0.0)],
        INK,
    );
    page.text(
        at - Vec2::new(4.0, 1.2),
        say!(words, "draw-to-hinge"),
        TYPE,
        Anchor::End,
    );
}

fn lines(input: &PaperInput, measured: &MeasuredPart, left: usize) -> Vec<String> {
    let part = measured.part;
    let words = input.words;
    let square = match part.cut_to {
        _ if part.bevelled => say!(words, "sheet-note-bevelled"),
        CutTo::Bottom => say!(words, "sheet-note-square-bottom"),
        CutTo::Middle => say!(words, "sheet-note-square-middle"),
        CutTo::Top => say!(words, "sheet-note-square-top"),
    };
    let face = words.told(&part.face_up_said());
    let mut lines = vec![
        say!(words, "sheet-note-net"),
        square,
        if part.mirrored {
            say!(words, "sheet-note-face-mirrored", face = face)
        } else {
            say!(words, "sheet-note-face", face = face)
        },
        say!(
            words,
            "sheet-note-tolerances",
            tolerance = input.shop.process.tolerance.as_str()
        ),
    ];
    if let Some(radius) = measured
        .features
        .iter()
        .filter_map(|f| f.feature.radius)
        .min_by(f64::total_cmp)
    {
        lines.push(say!(
            words,
            "sheet-note-radius",
            radius = sized(words, input.shop.drawing.units, radius)
        ));
    }
    if let Some(glue) = &part.glue {
        lines.push(say!(
            words,
            "sheet-note-glue",
            part = glue.below.to_string(),
            holdback = words.figures(&input.shop.glue_holdback.to_string()),
        ));
    }
    lines.extend(across(input, measured));
    if left > 0 {
        lines.push(say!(words, "sheet-note-no-room", count = left));
    }
    if measured.slivers > 0 {
        lines.push(say!(words, "sheet-note-slivers", count = measured.slivers));
    }
    lines
}

/// What lies across the layer, those that lie alike together.
fn across(input: &PaperInput, measured: &MeasuredPart) -> Vec<String> {
    let (words, units) = (input.words, input.shop.drawing.units);
    let mut alike: BTreeMap<[String; 3], Vec<&str>> = BTreeMap::new();
    for Numbered { feature, .. } in &measured.features {
        if let Some(slant) = &feature.slant {
            let figures = [
                words.figures(&format!("{:.0}", slant.angle)),
                sized(words, units, slant.size.x),
                sized(words, units, slant.size.y),
            ];
            alike.entry(figures).or_default().push(&feature.mark);
        }
    }
    let notes = alike.into_iter().map(|([angle, length, width], marks)| {
        say!(
            words,
            "sheet-note-slant",
            marks = marks.join(", "),
            angle = angle,
            length = length,
            width = width,
        )
    });
    notes.collect()
}

/// Height of a table's row, mm.
const ROW: f64 = 4.6;

/// The tables of features of all parts, as many sheets as they take; `first` is the number of the first of them.
pub(crate) fn table_sheets(
    input: &PaperInput,
    parts: &[MeasuredPart],
    first: usize,
    of: usize,
) -> Vec<Sheet> {
    let rows = table_rows(input, parts);
    rows.chunks(capacity(input).max(1))
        .enumerate()
        .map(|(index, rows)| table_sheet(input, rows, (first + index, of)))
        .collect()
}

/// How many sheets the tables take.
pub(crate) fn table_count(input: &PaperInput, parts: &[MeasuredPart]) -> usize {
    table_rows(input, parts).len().div_ceil(capacity(input).max(1))
}

/// Widths of the columns: numbers, part and mark, x, y, length, width, depth, radius; mm.
fn widths(input: &PaperInput) -> [f64; 8] {
    let wide = match input.shop.drawing.units {
        caddis_shop::DrawingUnits::Dual => 26.0,
        _ => 14.0,
    };
    [19.0, 27.0, wide, wide, wide, wide, wide.max(17.0), wide]
}

fn table_room(input: &PaperInput) -> (f64, f64) {
    let (low, high) = paper_size::frame(input.shop.drawing.paper);
    (
        high.x - low.x - 4.0,
        high.y - low.y - super::frame::STRIP - 15.0 - 8.0,
    )
}

fn columns(input: &PaperInput) -> (usize, usize) {
    let (wide, high) = table_room(input);
    let one: f64 = widths(input).iter().sum::<f64>() + 6.0;
    (
        ((wide + 6.0) / one).floor().max(1.0) as usize,
        (high / ROW).floor().max(2.0) as usize - 1,
    )
}

fn capacity(input: &PaperInput) -> usize {
    let (across, down) = columns(input);
    across * down
}

fn table_rows(input: &PaperInput, parts: &[MeasuredPart]) -> Vec<[String; 8]> {
    let (units, words) = (input.shop.drawing.units, input.words);
    let sized = |metres: f64| sized(words, units, metres);
    let mut rows = Vec::new();
    for measured in parts {
        let [length, width, thickness] = [0, 1, 2].map(|index| measured.characteristics[index].nominal);
        let first = measured.characteristics[0].number;
        rows.push([
            format!("{first}-{}", first + 2),
            say!(words, "sheet-layer-outline", part = measured.part.id.as_str()),
            "0".to_owned(),
            "0".to_owned(),
            sized(length),
            sized(width),
            sized(thickness),
            String::new(),
        ]);
        for Numbered { feature, first, last } in &measured.features {
            let low = feature.centre - feature.size / 2.0;
            rows.push([
                format!("{first}-{last}"),
                format!("{} {}", measured.part.id, feature.mark),
                sized(low.x),
                sized(low.y),
                sized(feature.size.x),
                sized(feature.size.y),
                if feature.through {
                    say!(words, "draw-through")
                } else {
                    sized(feature.depth)
                },
                feature.radius.map_or_else(String::new, &sized),
            ]);
        }
    }
    rows
}

fn table_sheet(input: &PaperInput, rows: &[[String; 8]], sheet: (usize, usize)) -> Sheet {
    let words = input.words;
    let title = Title {
        shows: say!(words, "sheet-features"),
        number: format!("{}-TAB", input.brief.job),
        scale: String::new(),
        material: String::new(),
        sheet,
    };
    let (mut page, (low, high)) = framed(input, &title);
    let widths = widths(input);
    let one: f64 = widths.iter().sum::<f64>() + 6.0;
    let (_, down) = columns(input);
    let names = [
        say!(words, "sheet-column-numbers"),
        say!(words, "sheet-column-feature"),
        "x".to_owned(),
        "y".to_owned(),
        say!(words, "sheet-column-length"),
        say!(words, "sheet-column-width"),
        say!(words, "sheet-column-depth"),
        say!(words, "sheet-column-least-radius"),
    ];
    for (column, chunk) in rows.chunks(down).enumerate() {
        let left = low.x + 2.0 + one * column as f64;
        let top = high.y - 4.0;
        let mut line = |y: f64, cells: [&str; 8], is_head: bool| {
            let mut x = left;
            for (index, (cell, wide)) in cells.into_iter().zip(widths).enumerate() {
                let (at, anchor) = if index < 2 {
                    (x, Anchor::Start)
                } else {
                    (x + wide - 1.5, Anchor::End)
                };
                page.words(Text {
                    at: Vec2::new(at, y),
                    words: cut_words(cell, wide - 0.5),
                    height: TYPE,
                    anchor,
                    turned: 0.0,
                    bold: false,
                    colour: if is_head { GREY } else { INK },
                });
                x += wide;
            }
            page.line(
                &[Vec2::new(left, y - 1.2), Vec2::new(left + one - 8.0, y - 1.2)],
                Stroke::line(0.13, GREY),
            );
        };
        line(top, names.each_ref().map(String::as_str), true);
        for (index, row) in chunk.iter().enumerate() {
            line(
                top - ROW * (index + 1) as f64,
                row.each_ref().map(String::as_str),
                false,
            );
        }
    }
    notes(
        &mut page,
        input,
        &[
            say!(words, "sheet-note-xy"),
            say!(words, "sheet-note-depth"),
            say!(words, "sheet-note-numbers"),
        ],
    );
    page
}
