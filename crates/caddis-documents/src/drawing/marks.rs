//! Handling marks, drawn by us after what the standard says each shows: black on white, one sheet a mark.

use crate::Words;
use crate::sheet::{Anchor, Fill, INK, Outline, Segment, Sheet, Stroke, Text};
use caddis_geometry::Vec2;
use caddis_journey::HandlingMark;

/// Width and height of a mark, mm.
///
/// # Source
/// Usual heights 100, 150 and 200 mm: ISO 780, from memory.
pub(crate) const MARK: (f64, f64) = (80.0, 100.0);

const LINE: Stroke = Stroke::line(3.0, INK);
const THIN: Stroke = Stroke::line(1.6, INK);
const BLACK: Fill = Fill { colour: INK };
const WHITE: Fill = Fill { colour: [255; 3] };

/// Draws a mark; `None` for a number we have no drawing of, which is then printed in words.
///
/// # Source
/// What each mark shows: ISO 780:2015, from memory; the drawings are our own.
pub fn handling_mark(mark: &HandlingMark, words: &Words) -> Option<Sheet> {
    let mut sheet = Sheet::blank(mark.name, MARK.0, MARK.1);
    let told = mark.figure.as_ref().map(|figure| words.told(figure));
    let figure = told.as_deref();
    match mark.number {
        1 => glass(&mut sheet),
        3 => way_up(&mut sheet),
        6 => umbrella(&mut sheet),
        7 => centre(&mut sheet, figure),
        8 => roll(&mut sheet),
        13 => limit(&mut sheet, figure),
        15 => stack(&mut sheet),
        17 => thermometer(&mut sheet, mark.figure.as_deref()),
        _ => return None,
    }
    Some(sheet)
}

fn at(x: f64, y: f64) -> Vec2 {
    Vec2::new(x, y)
}

fn words(sheet: &mut Sheet, place: Vec2, text: &str, height: f64, anchor: Anchor) {
    sheet.words(Text {
        at: place,
        words: text.to_owned(),
        height,
        anchor,
        turned: 0.0,
        bold: true,
        colour: INK,
    });
}

fn shape(sheet: &mut Sheet, start: Vec2, segments: Vec<Segment>, stroke: Option<Stroke>, fill: Option<Fill>) {
    sheet.marks.push(crate::sheet::Mark::Path {
        outlines: vec![Outline {
            start,
            segments,
            closed: true,
        }],
        stroke,
        fill,
    });
}

fn crossed(sheet: &mut Sheet) {
    sheet.line(&[at(6.0, 12.0), at(74.0, 92.0)], Stroke::line(4.0, INK));
    sheet.line(&[at(6.0, 92.0), at(74.0, 12.0)], Stroke::line(4.0, INK));
}

/// A stemmed glass with a crack.
fn glass(sheet: &mut Sheet) {
    shape(
        sheet,
        at(18.0, 92.0),
        vec![
            Segment::Line(at(18.0, 70.0)),
            Segment::Arc(at(62.0, 70.0), 1.0),
            Segment::Line(at(62.0, 92.0)),
        ],
        None,
        Some(BLACK),
    );
    sheet.rectangle(at(37.0, 16.0), at(43.0, 52.0), None, Some(BLACK));
    shape(
        sheet,
        at(20.0, 10.0),
        vec![
            Segment::Line(at(60.0, 10.0)),
            Segment::Line(at(60.0, 14.0)),
            Segment::Line(at(43.0, 20.0)),
            Segment::Line(at(37.0, 20.0)),
            Segment::Line(at(20.0, 14.0)),
        ],
        None,
        Some(BLACK),
    );
    let crack = [at(47.0, 93.0), at(42.0, 82.0), at(49.0, 76.0), at(43.0, 66.0)];
    sheet.line(
        &crack,
        Stroke {
            width: 2.2,
            colour: [255; 3],
            dash: crate::sheet::Dash::Continuous,
        },
    );
}

/// Two arrows that stand on a line.
fn way_up(sheet: &mut Sheet) {
    for x in [24.0, 56.0] {
        sheet.rectangle(at(x - 4.5, 22.0), at(x + 4.5, 64.0), None, Some(BLACK));
        sheet.solid(&[at(x - 13.0, 62.0), at(x + 13.0, 62.0), at(x, 92.0)], INK);
    }
    sheet.rectangle(at(8.0, 9.0), at(72.0, 15.0), None, Some(BLACK));
}

/// An umbrella under drops.
fn umbrella(sheet: &mut Sheet) {
    let mut segments = vec![Segment::Arc(at(74.0, 44.0), -1.0)];
    for k in 1..=4 {
        segments.push(Segment::Arc(at(74.0 - 17.0 * f64::from(k), 44.0), 0.45));
    }
    shape(sheet, at(6.0, 44.0), segments, None, Some(BLACK));
    sheet.line(&[at(40.0, 48.0), at(40.0, 16.0)], LINE);
    sheet.marks.push(crate::sheet::Mark::Path {
        outlines: vec![Outline {
            start: at(40.0, 16.0),
            segments: vec![Segment::Arc(at(54.0, 16.0), 1.0)],
            closed: false,
        }],
        stroke: Some(LINE),
        fill: None,
    });
    for (x, y) in [
        (12.0, 78.0),
        (26.0, 88.0),
        (40.0, 92.0),
        (54.0, 88.0),
        (68.0, 78.0),
    ] {
        sheet.line(&[at(x - 1.5, y - 5.0), at(x + 1.5, y + 4.0)], LINE);
    }
}

/// A circle with its axes.
fn centre(sheet: &mut Sheet, figure: Option<&str>) {
    sheet.circle(at(40.0, 56.0), 20.0, Some(LINE), None);
    sheet.line(&[at(8.0, 56.0), at(72.0, 56.0)], THIN);
    sheet.line(&[at(40.0, 24.0), at(40.0, 88.0)], THIN);
    sheet.circle(at(40.0, 56.0), 4.0, None, Some(BLACK));
    if let Some(figure) = figure {
        for (index, line) in figure.split(", ").enumerate() {
            let y = 12.0 - 6.0 * index as f64;
            words(sheet, at(40.0, y), line, 4.0, Anchor::Middle);
        }
    }
}

/// A box with an arrow around it, crossed out.
fn roll(sheet: &mut Sheet) {
    sheet.rectangle(at(24.0, 16.0), at(56.0, 48.0), Some(LINE), None);
    sheet.marks.push(crate::sheet::Mark::Path {
        outlines: vec![Outline {
            start: at(14.0, 52.0),
            segments: vec![Segment::Arc(at(66.0, 56.0), -0.9)],
            closed: false,
        }],
        stroke: Some(LINE),
        fill: None,
    });
    sheet.solid(&[at(58.0, 60.0), at(74.0, 60.0), at(67.0, 46.0)], INK);
    crossed(sheet);
}

/// A load that presses on a case, with its figure.
fn limit(sheet: &mut Sheet, figure: Option<&str>) {
    sheet.rectangle(at(16.0, 12.0), at(64.0, 40.0), Some(LINE), None);
    sheet.rectangle(at(36.5, 54.0), at(43.5, 74.0), None, Some(BLACK));
    sheet.solid(&[at(28.0, 58.0), at(52.0, 58.0), at(40.0, 43.0)], INK);
    let figure = figure.map_or_else(String::new, |figure| format!("{figure} max"));
    words(sheet, at(40.0, 82.0), &figure, 9.0, Anchor::Middle);
}

/// Cases on a case, crossed out.
fn stack(sheet: &mut Sheet) {
    sheet.rectangle(at(16.0, 12.0), at(64.0, 40.0), Some(LINE), Some(WHITE));
    sheet.rectangle(at(22.0, 43.0), at(58.0, 65.0), Some(LINE), Some(WHITE));
    sheet.rectangle(at(22.0, 68.0), at(58.0, 90.0), Some(LINE), Some(WHITE));
    crossed(sheet);
}

/// A thermometer between its limits.
fn thermometer(sheet: &mut Sheet, figure: Option<&str>) {
    sheet.circle(at(40.0, 16.0), 8.0, None, Some(BLACK));
    sheet.rectangle(at(36.0, 20.0), at(44.0, 88.0), Some(THIN), Some(WHITE));
    sheet.rectangle(at(38.2, 20.0), at(41.8, 56.0), None, Some(BLACK));
    sheet.circle(at(40.0, 16.0), 8.0, None, Some(BLACK));
    sheet.line(&[at(26.0, 34.0), at(54.0, 34.0)], THIN);
    sheet.line(&[at(26.0, 80.0), at(54.0, 80.0)], THIN);
    let (low, high) = figure
        .and_then(|figure| figure.split_once(" to "))
        .unwrap_or(("", ""));
    words(sheet, at(24.0, 24.0), &degrees(low), 4.5, Anchor::End);
    words(sheet, at(56.0, 84.0), &degrees(high), 4.5, Anchor::Start);
}

/// `40 degC` as people read it.
fn degrees(text: &str) -> String {
    text.replace(" degC", " °C").replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;
    use caddis_basis::{Certainty, Said, Source};

    #[test]
    fn every_mark_of_a_case_is_drawn_inside_its_sheet() {
        for number in [1, 3, 6, 7, 8, 13, 15, 17] {
            let mark = HandlingMark {
                number,
                name: "a mark",
                figure: Some(Said::name("-20 degC to 45 degC")),
                why: Said::default(),
                source: Source::new("ISO 780:2015", Certainty::Memory),
            };
            let sheet = handling_mark(&mark, Words::english());
            assert!(sheet.is_some_and(|sheet| sheet.marks.len() >= 3), "{number}");
        }
    }
}
