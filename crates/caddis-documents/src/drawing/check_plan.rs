//! The face of a tier at full size, to lay the equipment on.

use super::dimension::width_of;
use super::view::{NARROW, PAPER, TYPE, View, WIDE};
use crate::sheet::{Anchor, Dash, INK, Sheet, Stroke, Text};
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Bounds2, Region, Vec2};

/// White around everything, mm.
const MARGIN: f64 = 4.0;
/// Height of names, mm.
const NAME: f64 = 4.0;

/// What is written on pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum CheckWords {
    /// Number and name, to be read at full size.
    Names,
    /// The number alone, to be read where the sheet is drawn as wide as a page.
    Numbers,
}

/// Outline, cavities and finger notches of a tier's top face at 1:1, with the silhouette of every piece dashed in its cavity;
/// `None` for a tier without foam.
///
/// # Units
/// Paper millimetres are case millimetres.
pub(crate) fn check_plan(
    brief: &Brief,
    interior: &Interior,
    tier: usize,
    words: CheckWords,
) -> Option<Sheet> {
    let block = interior
        .blocks
        .iter()
        .filter(|block| block.kind != BlockKind::LidPad)
        .nth(tier)?;
    let layer = block.layers.last()?;
    let open: Vec<Region> = interior.voids_at(layer.high - 1e-4).cloned().collect();
    let open = Region::union_all(&open);
    let bounds = [&layer.outline, &open]
        .into_iter()
        .filter_map(Region::bounds)
        .reduce(|one, other| one.joined(&other))?;
    let size = bounds.size() * 1e3 + Vec2::new(2.0 * MARGIN, 2.0 * MARGIN);
    let mut sheet = Sheet::blank(format!("tier {} at full size", tier + 1), size.x, size.y);
    let view = View::centred(1.0, bounds.centre(), size / 2.0);
    sheet.region(&layer.outline, view.map(), Some(WIDE), None);
    sheet.region(&open, view.map(), Some(WIDE), None);
    for place in interior.places.iter().filter(|place| place.tier == tier) {
        let body = Region::union_all(place.body.slabs.iter().map(|slab| &slab.region));
        sheet.region(&body, view.map(), Some(NARROW.dashed(Dash::Dashed)), None);
        let name = brief.items.get(place.item).map_or("", |item| item.name.as_str());
        if words == CheckWords::Numbers {
            let height = NAME * size.x / PAPER;
            let foot = view.point(place.at) - Vec2::new(0.0, height / 2.0);
            sheet.text(foot, place.number.to_string(), height, Anchor::Middle);
            continue;
        }
        let words = format!("{} {name}", place.number);
        let room = body.bounds().map_or(Vec2::ZERO, |b: Bounds2| b.size() * 1e3);
        let along_y = room.y > room.x && width_of(&words, NAME) > room.x;
        sheet.words(Text {
            at: view.point(place.at)
                - if along_y {
                    Vec2::new(-NAME / 2.0, 0.0)
                } else {
                    Vec2::new(0.0, NAME / 2.0)
                },
            words,
            height: if width_of(name, NAME) > room.x.max(room.y) {
                TYPE
            } else {
                NAME
            },
            anchor: Anchor::Middle,
            turned: if along_y { 90.0 } else { 0.0 },
            bold: false,
            colour: INK,
        });
    }
    if words == CheckWords::Numbers {
        return Some(sheet);
    }
    let hinge = view.point(Vec2::new(bounds.centre().x, bounds.max.y));
    sheet.text(hinge - Vec2::new(0.0, 7.0), "hinge side", NAME, Anchor::Middle);
    sheet.line(
        &[hinge - Vec2::new(0.0, 9.0), hinge - Vec2::new(0.0, 20.0)],
        Stroke::line(0.35, INK),
    );
    Some(sheet)
}
