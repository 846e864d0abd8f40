//! Sections of a half as they were traced or cut from a scan, one over the other as one looks into it.

use super::view::{BAR, PAPER, TYPE, View, scale_bar, scale_for};
use crate::sheet::{Anchor, Fill, GREY, INK, Sheet, Stroke};
use caddis_geometry::Vec2;
use caddis_survey::{HalfSide, ShellHalf};

/// The free plan is filled from this at the rim to white at the floor.
const RIM: f64 = 150.0;
/// Heights that the key names at most.
const NAMED: usize = 9;

/// The traced sections of a half in plan: the lower, the lighter, each within the next one up.
///
/// # Units
/// Millimetres, at the stated scale.
pub fn traced_plot(title: &str, half: &ShellHalf) -> Sheet {
    let bounds = half
        .traced
        .iter()
        .filter_map(|section| section.room.bounds())
        .reduce(|a, b| a.joined(&b));
    let (low, high) = bounds.map_or((Vec2::ZERO, Vec2::new(0.1, 0.1)), |b| (b.min, b.max));
    let key = 34.0;
    let scale = scale_for(high - low, Vec2::new(PAPER - key - 4.0, 190.0));
    let paper = (high - low) * (1000.0 / scale);
    // The key has room for its lines even beside a small half.
    let tall = paper.y.max(NAMED as f64 * 6.0 + 12.0);
    let mut sheet = Sheet::blank(title, PAPER, tall + BAR + 16.0);
    let view = View::centred(
        scale,
        (low + high) / 2.0,
        Vec2::new(2.0 + paper.x / 2.0, BAR + 6.0 + tall / 2.0),
    );
    let count = half.traced.len();
    let shade = |index: usize| {
        let share = if count > 1 {
            index as f64 / (count - 1) as f64
        } else {
            0.0
        };
        [(255.0 - (255.0 - RIM) * share).round() as u8; 3]
    };
    for (index, section) in half.traced.iter().enumerate().rev() {
        let colour = shade(index);
        sheet.region(
            &section.room,
            view.map(),
            Some(Stroke::line(0.13, if index + 1 == count { INK } else { GREY })),
            Some(Fill { colour }),
        );
    }
    let end = match half.side {
        HalfSide::Base => "floor",
        HalfSide::Lid => "crown",
    };
    let x = paper.x + 7.0;
    let top = BAR + 6.0 + tall - 4.0;
    sheet.text(
        Vec2::new(x, top),
        format!("mm from the {end}"),
        TYPE,
        Anchor::Start,
    );
    let every = count.div_ceil(NAMED).max(1);
    for (line, index) in (0..count).rev().step_by(every).enumerate() {
        let y = top - 6.0 * (line as f64 + 1.0);
        sheet.rectangle(
            Vec2::new(x, y - 0.5),
            Vec2::new(x + 5.0, y + 3.0),
            Some(Stroke::line(0.13, GREY)),
            Some(Fill { colour: shade(index) }),
        );
        let words = format!("{:.1}", half.traced[index].at.value.as_mm());
        sheet.text(Vec2::new(x + 7.0, y), words, TYPE, Anchor::Start);
    }
    sheet.heading(Vec2::new(0.0, sheet.height - 4.5), title);
    scale_bar(&mut sheet, crate::Words::english(), view, Vec2::new(4.0, 1.0));
    sheet
}
