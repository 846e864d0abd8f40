//! Dimensions after ISO 129-1: narrow lines, filled arrows, figures above the line, read from below or from the right.

use super::view::{NARROW, TYPE};
use crate::Words;
use crate::sheet::{Anchor, INK, Sheet, Text};
use caddis_geometry::Vec2;

/// Mean width of a letter or figure of the drawing's face over the height of its capitals, on the wide side: a figure is
/// 0.572 of its size wide, a capital 0.714 high (measured in the font).
const ADVANCE: f64 = 0.59 / 0.714;

/// How wide words are, mm.
pub(crate) fn width_of(words: &str, height: f64) -> f64 {
    words.chars().count() as f64 * ADVANCE * height
}

/// Length of an arrow, mm, and half its width (30 degrees).
const ARROW: (f64, f64) = (2.5, 0.45);

/// What the line of figures that stand outside is longer than they are, mm.
const TAIL: f64 = 5.0;

/// A horizontal dimension from x0 to x1 at height y, with extension lines from the heights of the two features.
pub(crate) fn horizontal(sheet: &mut Sheet, x: (f64, f64), from: (f64, f64), y: f64, words: &str) {
    let run = 1.5;
    for (x, from) in [(x.0, from.0), (x.1, from.1)] {
        let way = (y - from).signum();
        sheet.line(&[Vec2::new(x, from + way), Vec2::new(x, y + way * run)], NARROW);
    }
    figures(sheet, Vec2::new(x.0, y), Vec2::new(x.1, y), words, 0.0);
}

/// A vertical dimension from y0 to y1 at abscissa x, with extension lines from the abscissas of the two features.
pub(crate) fn vertical(sheet: &mut Sheet, y: (f64, f64), from: (f64, f64), x: f64, words: &str) {
    let run = 1.5;
    for (y, from) in [(y.0, from.0), (y.1, from.1)] {
        let way = (x - from).signum();
        sheet.line(&[Vec2::new(from + way, y), Vec2::new(x + way * run, y)], NARROW);
    }
    figures(sheet, Vec2::new(x, y.0), Vec2::new(x, y.1), words, 90.0);
}

/// How far a dimension of that length reaches beyond its second end, mm: not at all where its figures stand within.
pub(crate) fn beyond(length: f64, words: &str) -> f64 {
    let wide = width_of(words, TYPE);
    if holds(length, wide) { 0.0 } else { wide + TAIL }
}

fn holds(length: f64, wide: f64) -> bool {
    length >= wide + 1.0 && length > 3.0 * ARROW.0
}

/// The dimension line with arrows and figures. Where the space is too short for both, arrows come from outside and the
/// figures stand beyond the second end, whichever way it lies.
fn figures(sheet: &mut Sheet, a: Vec2, b: Vec2, words: &str, turned: f64) {
    let along = (b - a).unit();
    let length = a.distance(b);
    let wide = width_of(words, TYPE);
    let above = if turned == 0.0 {
        Vec2::new(0.0, 0.9)
    } else {
        Vec2::new(-0.9, 0.0)
    };
    let text = |at: Vec2, anchor| Text {
        at: at + above,
        words: words.to_owned(),
        height: TYPE,
        anchor,
        turned,
        bold: false,
        colour: INK,
    };
    if holds(length, wide) {
        sheet.line(&[a, b], NARROW);
        arrow(sheet, a, along);
        arrow(sheet, b, along * -1.0);
        sheet.words(text((a + b) / 2.0, Anchor::Middle));
    } else {
        let tail = wide + TAIL;
        sheet.line(&[a - along * 5.0, b + along * tail], NARROW);
        arrow(sheet, a, along * -1.0);
        arrow(sheet, b, along);
        let reading = if turned == 0.0 { along.x } else { along.y };
        let anchor = if reading < 0.0 { Anchor::End } else { Anchor::Start };
        sheet.words(text(b + along * 4.0, anchor));
    }
}

/// An arrow head with its tip at `tip`, its shaft towards `towards`.
pub(crate) fn arrow(sheet: &mut Sheet, tip: Vec2, towards: Vec2) {
    let side = towards.perpendicular() * ARROW.1;
    let foot = tip + towards * ARROW.0;
    sheet.solid(&[tip, foot + side, foot - side], INK);
}

/// Millimetres as figures on a drawing: one decimal at most.
pub(crate) fn mm(words: &Words, metres: f64) -> String {
    let text = format!("{:.1}", metres * 1000.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    words.figures(if text == "-0" { "0" } else { text })
}
