//! The case plan at the rim.

use super::dimension::{beyond, horizontal, vertical, width_of};
use super::manner::Manner;
use super::section::cross_plane;
use super::view::{BAR, HATCH, MIDDLE, NARROW, TYPE, View, WIDE, balloons, leader, scale_bar, scale_for};
use crate::Words;
use crate::sheet::{Anchor, Dash, Fill, INK, Sheet, Text};
use crate::words::say;
use caddis_design::{Brief, Interior};
use caddis_geometry::{Region, Side, Vec2};

/// Width a section's letter keeps free, mm.
const MARK: f64 = 4.5;

/// The case seen into the base from above at the rim plane: wall, floor, base intrusions with letters, cavities with the
/// numbers of the packing plan; dimensioned.
///
/// # Units
/// Drawn in millimetres at the stated scale.
pub fn case_plan(words: &Words, brief: &Brief, interior: &Interior) -> Sheet {
    case_plan_in(brief, interior, &Manner::report(words, 150.0))
}

/// The same in a shop's manner.
pub(crate) fn case_plan_in(brief: &Brief, interior: &Interior, manner: &Manner) -> Sheet {
    let words = manner.words;
    let shell = &brief.shell;
    let base = &shell.base;
    let rim = base.rim_region();
    let outer = rim.offset(base.wall.value.si(), Side::Outer);
    let size = outer.bounds().map_or(Vec2::new(0.1, 0.1), |b| b.size());
    let (left, right, bottom) = (24.0, 11.0, 25.0);
    let scale = scale_for(size, Vec2::new(manner.width - left - right, manner.height));
    let paper = size * (1000.0 / scale);
    let floor_wide = say!(words, "draw-floor", size = manner.figures(&base.floor.width));
    let rim_wide = say!(words, "draw-opening", size = manner.figures(&base.rim.width));
    // Figures that do not fit along the width stand above it.
    let top = [(&base.floor, &floor_wide), (&base.rim, &rim_wide)]
        .into_iter()
        .map(|(opening, figures)| beyond(opening.width.value.si() * 1000.0 / scale, figures) + 2.0)
        .fold(13.0, f64::max);
    let height = paper.y + bottom + top + BAR + 2.0;
    let mut sheet = Sheet::blank(say!(words, "draw-case-plan"), manner.width, height);
    let middle = outer.bounds().map_or(Vec2::ZERO, |b| b.centre());
    let at = Vec2::new(
        (manner.width + left - right) / 2.0,
        BAR + 2.0 + bottom + paper.y / 2.0,
    );
    let view = View::centred(scale, middle, at);

    let ring = outer.difference(&rim);
    sheet.hatch(&ring, view.map(), 45.0, 1.2, HATCH);
    sheet.region(&outer, view.map(), Some(WIDE), None);
    sheet.region(&rim, view.map(), Some(WIDE), None);
    let floor = &base.floor;
    let half = Vec2::new(floor.length.value.si(), floor.width.value.si()) / 2.0;
    let floor_region = Region::rounded_rectangle(
        floor.centre - half,
        floor.centre + half,
        floor.corner_radius.value.si(),
    );
    sheet.region(&floor_region, view.map(), Some(NARROW.dashed(Dash::Dashed)), None);

    // What stands in from the floor: hatched matter with a letter, listed below the drawing.
    let mut letters = Vec::new();
    for intrusion in base.intrusions.iter().filter(|i| !i.removed) {
        let outline = intrusion.root_region(base).intersection(&rim);
        if outline.is_empty() {
            continue;
        }
        sheet.region(&outline, view.map(), None, Some(Fill { colour: [0xe8; 3] }));
        sheet.hatch(&outline, view.map(), 135.0, 1.2, HATCH);
        sheet.region(&outline, view.map(), Some(MIDDLE), None);
        if let Some(centre) = outline.bounds().map(|b| b.centre()) {
            letters.push(view.point(centre));
        }
    }
    for cavity in &interior.cavities {
        if let Some(top) = cavity.steps.last() {
            sheet.region(&top.region, view.map(), Some(NARROW), None);
        }
    }
    let things: Vec<(Vec2, u32)> = interior
        .places
        .iter()
        .map(|p| (view.point(p.at), p.number))
        .collect();
    let letters_at: Vec<Vec2> = letters.iter().map(|at| *at + Vec2::new(0.0, 1.2)).collect();
    balloons(&mut sheet, &things, &letters_at);
    for (index, at) in letters.into_iter().enumerate() {
        let letter = char::from(b'a' + (index % 26) as u8).to_string();
        sheet.circle(
            at + Vec2::new(0.0, 1.2),
            2.3,
            None,
            Some(Fill { colour: [255; 3] }),
        );
        sheet.text(at, letter, TYPE, Anchor::Middle);
    }

    let (rim_low, rim_high) = bounds_on_paper(&rim, view);
    let (floor_low, floor_high) = bounds_on_paper(&floor_region, view);
    let (outer_low, outer_high) = bounds_on_paper(&outer, view);
    let below = outer_low.y;
    horizontal(
        &mut sheet,
        (floor_low.x, floor_high.x),
        (below, below),
        below - 9.0,
        &say!(words, "draw-floor", size = manner.figures(&floor.length)),
    );
    horizontal(
        &mut sheet,
        (rim_low.x, rim_high.x),
        (below, below),
        below - 17.0,
        &say!(words, "draw-opening", size = manner.figures(&base.rim.length)),
    );
    let beside = outer_low.x;
    vertical(
        &mut sheet,
        (floor_low.y, floor_high.y),
        (beside, beside),
        beside - 12.0,
        &floor_wide,
    );
    vertical(
        &mut sheet,
        (rim_low.y, rim_high.y),
        (beside, beside),
        beside - 20.0,
        &rim_wide,
    );
    let x = view.point(Vec2::new(cross_plane(brief), 0.0)).x;
    let radius = base.rim.corner_radius.value.si();
    let note = say!(
        words,
        "draw-radius",
        size = manner.figures(&base.rim.corner_radius)
    );
    // Told at the right corner unless the section's mark runs through it there; a letter beside the mark gives way.
    let begins = outer_high.x - 13.0 - width_of(&note, TYPE);
    let (way, anchor, corner) = if (begins - 0.8..outer_high.x - 7.0).contains(&x) {
        (1.0, Anchor::Start, (rim_low.x, outer_low.x))
    } else {
        (-1.0, Anchor::End, (rim_high.x, outer_high.x))
    };
    let on_arc = Vec2::new(corner.0, rim_high.y)
        + Vec2::new(way, -1.0) * (view.length(radius) * (1.0 - std::f64::consts::FRAC_1_SQRT_2));
    let knee = Vec2::new(corner.1 + way * 9.0, outer_high.y + 3.5);
    leader(&mut sheet, on_arc, knee, &note, anchor);
    sheet.words(Text {
        at: Vec2::new(f64::midpoint(rim_low.x, rim_high.x), outer_high.y + 8.0),
        words: say!(words, "draw-hinge-side"),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 0.0,
        bold: false,
        colour: INK,
    });
    // Where the sections are taken.
    let y = view.point(Vec2::ZERO).y;
    let cutting = WIDE.dashed(Dash::LongDashDot);
    for (x, word_x) in [
        (outer_low.x - 1.5, outer_low.x - 5.0),
        (outer_high.x + 1.5, outer_high.x + 5.0),
    ] {
        let out = (word_x - x).signum();
        sheet.line(&[Vec2::new(x, y), Vec2::new(x + out * 6.0, y)], cutting);
        sheet.text(Vec2::new(word_x, y + 1.2), "A", 3.5, Anchor::Middle);
    }
    // Clear of the figures of the first dimension below, and of its extension lines.
    let extensions = [floor_low.x, floor_high.x, rim_low.x, rim_high.x];
    let meets = |letter: f64| extensions.iter().any(|line| (line - letter).abs() < MARK / 2.0);
    let is_before_note = (0.8..MARK + 0.5).contains(&(begins - x));
    let aside = if (meets(x + 2.8) || is_before_note) && !meets(x - 2.8) {
        -2.8
    } else {
        2.8
    };
    for (y, word_y, way) in [
        (outer_low.y - 1.0, outer_low.y - 4.9, -1.0),
        (outer_high.y + 1.0, outer_high.y + 2.0, 1.0),
    ] {
        sheet.line(&[Vec2::new(x, y), Vec2::new(x, y + way * 4.0)], cutting);
        sheet.text(Vec2::new(x + aside, word_y), "B", 3.5, Anchor::Middle);
    }
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    let note = say!(words, "draw-case-plan-note", manner = manner.note());
    sheet.text(Vec2::new(66.0, 1.0), note, TYPE, Anchor::Start);
    sheet
}

/// Lower left and upper right of a region on paper.
pub(crate) fn bounds_on_paper(region: &Region, view: View) -> (Vec2, Vec2) {
    region.bounds().map_or((view.origin, view.origin), |b| {
        (view.point(b.min), view.point(b.max))
    })
}
