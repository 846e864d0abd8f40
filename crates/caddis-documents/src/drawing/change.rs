//! A part with what a revision cuts otherwise marked on it.

use super::view::{BAR, HATCH, MIDDLE, NARROW, TYPE, View, scale_bar, scale_for};
use crate::Words;
use crate::sheet::{Anchor, Fill, Sheet, Stroke};
use crate::words::say;
use caddis_geometry::{Region, Vec2};
use caddis_shop::LayerPart;

/// Foam that is now cut away.
const MORE: ([u8; 3], [u8; 3]) = ([0xf3, 0xd3, 0xcd], [0xa3, 0x1d, 0x1d]);
/// Foam that now stays.
const LESS: ([u8; 3], [u8; 3]) = ([0xd3, 0xe1, 0xf1], [0x1f, 0x4e, 0x79]);

/// The part as it is now cut, with `more` (foam cut away that was there) hatched one way and `less` (foam that stays and was cut
/// away) the other.
///
/// # Units
/// Drawn in millimetres at the stated scale.
pub(crate) fn change_drawing(
    words: &Words,
    part: &LayerPart,
    more: &Region,
    less: &Region,
    width: f64,
) -> Sheet {
    let bounds = [&part.outline, more, less]
        .into_iter()
        .filter_map(Region::bounds)
        .reduce(|one, other| one.joined(&other));
    let (size, middle) = bounds.map_or((Vec2::new(0.1, 0.1), Vec2::ZERO), |b| (b.size(), b.centre()));
    let scale = scale_for(size, Vec2::new(width - 10.0, 105.0));
    let paper = size * (1000.0 / scale);
    let mut sheet = Sheet::blank(
        say!(words, "changes-sheet", layer = part.id.as_str()),
        width,
        paper.y + BAR + 10.0,
    );
    let view = View::centred(scale, middle, Vec2::new(width / 2.0, BAR + 4.0 + paper.y / 2.0));
    for (region, (tint, ink), angle) in [(more, MORE, 45.0), (less, LESS, 135.0)] {
        sheet.region(region, view.map(), None, Some(Fill { colour: tint }));
        sheet.hatch(region, view.map(), angle, 2.0, Stroke { colour: ink, ..HATCH });
        sheet.region(
            region,
            view.map(),
            Some(Stroke {
                colour: ink,
                ..NARROW
            }),
            None,
        );
    }
    sheet.region(&part.outline, view.map(), Some(MIDDLE), None);
    for open in part
        .through
        .iter()
        .chain(part.pockets.iter().map(|pocket| &pocket.region))
    {
        sheet.region(open, view.map(), Some(MIDDLE), None);
    }
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    let note = if part.mirrored {
        say!(words, "draw-change-note-mirrored")
    } else {
        say!(words, "draw-change-note")
    };
    sheet.text(Vec2::new(66.0, 1.0), note, TYPE, Anchor::Start);
    sheet
}
