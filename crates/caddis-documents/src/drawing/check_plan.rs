//! The face of a tier at full size, to lay the equipment on.

use super::dimension::width_of;
use super::view::{NARROW, PAPER, TYPE, View, WIDE};
use crate::Words;
use crate::paper::is_lid;
use crate::sheet::{Anchor, Dash, INK, Sheet, Stroke};
use crate::words::say;
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Region, Vec2};

/// White around everything, mm.
const MARGIN: f64 = 4.0;
/// Height of names, mm.
const NAME: f64 = 4.0;

/// A name to be printed, mm from the lower left corner of the plan.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Name {
    /// The words.
    pub(crate) words: String,
    /// Their middle.
    pub(crate) at: Vec2,
    /// Height of capitals.
    pub(crate) height: f64,
    /// Read from the right.
    pub(crate) upright: bool,
}

impl Name {
    /// Half of what it takes along both axes.
    pub(crate) fn half(&self) -> Vec2 {
        let (along, across) = (width_of(&self.words, self.height) / 2.0, self.height);
        if self.upright {
            Vec2::new(across, along)
        } else {
            Vec2::new(along, across)
        }
    }

    fn meets(&self, other: &Self) -> bool {
        let room = self.half() + other.half();
        let apart = self.at - other.at;
        apart.x.abs() < room.x && apart.y.abs() < room.y
    }
}

/// The face of a tier at full size.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct CheckPlan {
    /// Its lines alone.
    pub(crate) lines: Sheet,
    /// The same with the numbers of the pieces, to be read where it is drawn as wide as a page.
    pub(crate) key: Sheet,
    /// What is written on pieces, to be read at full size; no name lies on another.
    pub(crate) names: Vec<Name>,
}

/// Outline, cavities and finger notches of a tier's top face at 1:1, with the silhouette of every piece dashed in its cavity;
/// `None` for a tier without foam.
///
/// # Units
/// Paper millimetres are case millimetres.
pub(crate) fn check_plan(
    words: &Words,
    brief: &Brief,
    interior: &Interior,
    tier: usize,
) -> Option<CheckPlan> {
    let in_lid = is_lid(interior, tier);
    let mut blocks = interior
        .blocks
        .iter()
        .filter(|block| (block.kind == BlockKind::LidPad) == in_lid);
    let block = if in_lid { blocks.next()? } else { blocks.nth(tier)? };
    // The face in which the cavities open.
    let (layer, face) = if in_lid {
        let layer = block.layers.iter().find(|layer| !block.is_of_cover(layer))?;
        (layer, layer.low + 1e-4)
    } else {
        let layer = block.layers.last()?;
        (layer, layer.high - 1e-4)
    };
    let open: Vec<Region> = interior.voids_at(face).cloned().collect();
    let open = Region::union_all(&open);
    let bounds = [&layer.outline, &open]
        .into_iter()
        .filter_map(Region::bounds)
        .reduce(|one, other| one.joined(&other))?;
    let size = bounds.size() * 1e3 + Vec2::new(2.0 * MARGIN, 2.0 * MARGIN);
    let title = if in_lid {
        say!(words, "check-sheet-lid")
    } else {
        say!(words, "check-sheet", number = tier + 1)
    };
    let mut lines = Sheet::blank(title, size.x, size.y);
    let view = View::centred(1.0, bounds.centre(), size / 2.0);
    lines.region(&layer.outline, view.map(), Some(WIDE), None);
    lines.region(&open, view.map(), Some(WIDE), None);
    let mut numbers = Vec::new();
    let mut names: Vec<Name> = Vec::new();
    for place in interior.places.iter().filter(|place| place.tier == tier) {
        let body = Region::union_all(place.body.slabs.iter().map(|slab| &slab.region));
        lines.region(&body, view.map(), Some(NARROW.dashed(Dash::Dashed)), None);
        numbers.push((view.point(place.at), place.number));
        let name = brief.items.get(place.item).map_or("", |item| item.name.as_str());
        let label = format!("{} {name}", place.number);
        let room = body.bounds().map_or(Vec2::ZERO, |b| b.size() * 1e3);
        let wide = width_of(&label, NAME);
        let mut name = Name {
            words: label,
            at: view.point(place.at),
            height: if wide > room.x.max(room.y) { TYPE } else { NAME },
            upright: room.y > room.x && wide > room.x,
        };
        let home = name.at;
        for step in [0.0, -2.0, 2.0, -4.0, 4.0, -6.0, 6.0] {
            name.at = home + Vec2::new(0.0, step * NAME);
            if !names.iter().any(|other| other.meets(&name)) {
                break;
            }
        }
        names.push(name);
    }
    for opening in interior.openings_at(layer.high - 1e-4) {
        let words = words.one_of("opening", opening.kind.as_str());
        let room = opening
            .prism
            .region
            .bounds()
            .map_or(Vec2::ZERO, |b| b.size() * 1e3);
        let name = Name {
            at: opening
                .prism
                .region
                .bounds()
                .map_or(Vec2::ZERO, |b| view.point(b.centre())),
            height: TYPE,
            upright: room.y > room.x,
            words,
        };
        if width_of(&name.words, TYPE) < room.x.max(room.y) && !names.iter().any(|other| other.meets(&name)) {
            names.push(name);
        }
    }
    let hinge = view.point(Vec2::new(bounds.centre().x, bounds.max.y));
    lines.line(
        &[hinge - Vec2::new(0.0, 1.0), hinge - Vec2::new(0.0, 12.0)],
        Stroke::line(0.35, INK),
    );
    names.push(Name {
        words: say!(words, "check-hinge"),
        at: hinge - Vec2::new(0.0, 15.0),
        height: NAME,
        upright: false,
    });
    let mut key = lines.clone();
    let height = NAME * size.x / PAPER;
    for (at, number) in numbers {
        let foot = at - Vec2::new(0.0, height / 2.0);
        key.text(foot, number.to_string(), height, Anchor::Middle);
    }
    Some(CheckPlan { lines, key, names })
}
