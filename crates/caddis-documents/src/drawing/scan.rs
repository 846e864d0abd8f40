//! How far a scanned surface lies off the survey fitted to it: the half folded flat.

use super::dimension::width_of;
use super::view::{BAR, NARROW, PAPER, TYPE, View, WIDE, scale_bar, scale_for};
use crate::sheet::{Anchor, Dash, Fill, GREY, INK, Sheet, Stroke, Text};
use caddis_geometry::Vec2;
use caddis_survey::{HalfResidual, HalfSide};
use std::collections::BTreeMap;

/// Cells of the map, metres.
const CELL: f64 = 5e-3;
/// Ends of the shades, metres, on either side of none.
const ENDS: [f64; 3] = [0.5e-3, 1e-3, 2e-3];
/// Matter inside of what was recovered, from little to much; drawn as whole cells.
const INSIDE: [[u8; 3]; 4] = [
    [0xec; 3],
    [0xf2, 0xc9, 0xb0],
    [0xd9, 0x7a, 0x50],
    [0x9c, 0x2a, 0x10],
];
/// Matter outside of it; drawn as dots.
const OUTSIDE: [[u8; 3]; 4] = [
    [0xec; 3],
    [0x9c, 0xc3, 0xe0],
    [0x3f, 0x86, 0xbd],
    [0x12, 0x42, 0x7a],
];

/// The residual map: floor or crown in the middle, each wall turned out about its foot; per cell the point farthest off.
///
/// # Units
/// Millimetres, at the stated scale.
pub fn residual_plot(title: &str, residual: &HalfResidual) -> Sheet {
    let [left, right, front, back] = residual.foot.map(caddis_basis::Length::si);
    let depth = residual.depth.si();
    let margin = 0.006;
    let (low, high) = (
        Vec2::new(left - depth, front - depth) - Vec2::new(margin, margin),
        Vec2::new(right + depth, back + depth) + Vec2::new(margin, margin),
    );
    let size = high - low;
    let scale = scale_for(size, Vec2::new(PAPER - 4.0, 190.0));
    let paper = size * (1000.0 / scale);
    let legend = 14.0;
    let mut sheet = Sheet::blank(title, PAPER, paper.y + BAR + legend + 10.0);
    let view = View::centred(
        scale,
        (low + high) / 2.0,
        Vec2::new(PAPER / 2.0, BAR + legend + paper.y / 2.0),
    );
    cells(&mut sheet, residual, view);
    let floor = (
        view.point(Vec2::new(left, front)),
        view.point(Vec2::new(right, back)),
    );
    sheet.rectangle(floor.0, floor.1, Some(WIDE), None);
    let fold = NARROW.dashed(Dash::Dashed);
    for (min, max, words) in [
        ((left - depth, front), (left, back), "left wall"),
        ((right, front), (right + depth, back), "right wall"),
        ((left, front - depth), (right, front), "front wall"),
        ((left, back), (right, back + depth), "back wall"),
    ] {
        let (min, max) = (
            view.point(Vec2::new(min.0, min.1)),
            view.point(Vec2::new(max.0, max.1)),
        );
        sheet.rectangle(min, max, Some(fold), None);
        let is_upright = max.x - min.x < max.y - min.y;
        boxed(
            &mut sheet,
            (min + max) / 2.0,
            words,
            if is_upright { 90.0 } else { 0.0 },
        );
    }
    boxed(
        &mut sheet,
        Vec2::new(f64::midpoint(floor.0.x, floor.1.x), floor.0.y + 3.5),
        match residual.side {
            HalfSide::Base => "floor, from above",
            HalfSide::Lid => "crown, from above",
        },
        0.0,
    );
    if let Some(worst) = &residual.worst {
        let spot = view.point(worst.unfolded);
        for (radius, colour) in [(2.0, [255; 3]), (1.6, INK)] {
            sheet.circle(spot, radius, Some(Stroke::line(0.4, colour)), None);
        }
        let words = format!("worst {:+.1}", worst.off.as_mm());
        let half = width_of(&words, TYPE) / 2.0 + 1.0;
        let at = Vec2::new(
            spot.x.clamp(half, PAPER - half),
            if spot.y < BAR + legend + paper.y / 2.0 {
                spot.y + 4.5
            } else {
                spot.y - 4.5
            },
        );
        boxed(&mut sheet, at, &words, 0.0);
    }
    key(&mut sheet, residual, BAR + legend - 7.0);
    sheet.heading(Vec2::new(0.0, sheet.height - 4.5), title);
    scale_bar(&mut sheet, crate::Words::english(), view, Vec2::new(4.0, 1.0));
    sheet
}

/// Words on white, centred at a point.
fn boxed(sheet: &mut Sheet, at: Vec2, words: &str, turned: f64) {
    let (long, high) = (width_of(words, TYPE) / 2.0 + 0.8, TYPE / 2.0 + 0.7);
    let half = if turned == 0.0 {
        Vec2::new(long, high)
    } else {
        Vec2::new(high, long)
    };
    sheet.rectangle(at - half, at + half, None, Some(Fill { colour: [255; 3] }));
    let foot = if turned == 0.0 {
        Vec2::new(0.0, -TYPE / 2.0)
    } else {
        Vec2::new(TYPE / 2.0, 0.0)
    };
    sheet.words(Text {
        at: at + foot,
        words: words.to_owned(),
        height: TYPE,
        anchor: Anchor::Middle,
        turned,
        bold: false,
        colour: INK,
    });
}

fn class(off: f64) -> usize {
    ENDS.iter()
        .position(|end| off.abs() <= *end)
        .unwrap_or(ENDS.len())
}

fn cells(sheet: &mut Sheet, residual: &HalfResidual, view: View) {
    let mut worst: BTreeMap<(i64, i64), f64> = BTreeMap::new();
    for point in &residual.points {
        let cell = |at: f64| (at / CELL).floor() as i64;
        // Rows first, so that neighbours along x follow each other.
        let entry = worst
            .entry((cell(point.unfolded.y), cell(point.unfolded.x)))
            .or_insert(0.0);
        if point.off.si().abs() >= entry.abs() {
            *entry = point.off.si();
        }
    }
    let list: Vec<((i64, i64), f64)> = worst.into_iter().collect();
    let shade = |off: f64| (class(off), class(off) > 0 && off < 0.0);
    let side = view.length(CELL);
    for run in list.chunk_by(|a, b| a.0.0 == b.0.0 && a.0.1 + 1 == b.0.1 && shade(a.1) == shade(b.1)) {
        let Some(&((row, first), off)) = run.first() else {
            continue;
        };
        let low = view.point(Vec2::new(first as f64, row as f64) * CELL);
        let (class, is_outside) = shade(off);
        if is_outside {
            for k in 0..run.len() {
                let middle = low + Vec2::new(side * (k as f64 + 0.5), side / 2.0);
                let colour = OUTSIDE[class];
                sheet.circle(middle, side * 0.42, None, Some(Fill { colour }));
            }
        } else {
            let high = low + Vec2::new(side * run.len() as f64, side);
            let colour = INSIDE[class];
            sheet.rectangle(low, high, None, Some(Fill { colour }));
        }
    }
}

fn key(sheet: &mut Sheet, residual: &HalfResidual, y: f64) {
    let mut x = 3.0;
    let entries: [(&str, [u8; 3], bool); 7] = [
        ("±0.5", INSIDE[0], false),
        ("to 1", INSIDE[1], false),
        ("to 2", INSIDE[2], false),
        ("more, into the room", INSIDE[3], false),
        ("to 1", OUTSIDE[1], true),
        ("to 2", OUTSIDE[2], true),
        ("more, behind it", OUTSIDE[3], true),
    ];
    for (words, colour, is_dot) in entries {
        if is_dot {
            sheet.circle(
                Vec2::new(x + 1.5, y + 1.2),
                1.5,
                Some(Stroke::line(0.13, GREY)),
                Some(Fill { colour }),
            );
        } else {
            sheet.rectangle(
                Vec2::new(x, y - 0.3),
                Vec2::new(x + 3.0, y + 2.7),
                Some(Stroke::line(0.13, GREY)),
                Some(Fill { colour }),
            );
        }
        sheet.text(Vec2::new(x + 4.0, y), words, TYPE, Anchor::Start);
        x += 7.0 + 1.08 * width_of(words, TYPE);
    }
    let words = format!(
        "mm; rms {:.2}, 95 of 100 points within {:.2}; {:.1} % of the surface beyond {:.1}",
        residual.root_mean_square.as_mm(),
        residual.within_95.as_mm(),
        residual.unexplained * 100.0,
        residual.beyond.as_mm()
    );
    sheet.text(Vec2::new(3.0, y - 5.0), words, TYPE, Anchor::Start);
}
