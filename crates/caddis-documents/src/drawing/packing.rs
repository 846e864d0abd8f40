//! The packing plan: where everything goes, numbered.

use super::dimension::width_of;
use super::manner::Manner;
use super::view::{BAR, HATCH, MIDDLE, NARROW, TYPE, View, WIDE, balloon, paled, scale_bar, scale_for, tint};
use crate::Words;
use crate::paper::is_lid;
use crate::sheet::{Anchor, Dash, Fill, INK, Sheet, Stroke};
use crate::words::say;
use caddis_design::{BlockKind, Brief, Interior, Place};
use caddis_geometry::{Region, Vec2};

/// The plan of one tier (0 at the bottom), or of the lid for `None`: the foam's top face, cavities, finger notches, and
/// the items with the numbers of the list.
///
/// # Units
/// Drawn in millimetres at the stated scale.
pub fn packing_plan(words: &Words, brief: &Brief, interior: &Interior, tier: Option<usize>) -> Sheet {
    packing_plan_in(brief, interior, tier, &Manner::report(words, 135.0))
}

/// The same in a shop's manner.
pub(crate) fn packing_plan_in(
    brief: &Brief,
    interior: &Interior,
    tier: Option<usize>,
    manner: &Manner,
) -> Sheet {
    let words = manner.words;
    let in_lid = tier.is_some_and(|tier| is_lid(interior, tier));
    let title = match tier {
        Some(_) if in_lid => say!(words, "draw-packing-in-lid"),
        Some(tier) => say!(words, "draw-packing-tier", tier = tier + 1),
        None => say!(words, "draw-packing-lid"),
    };
    let rim = brief.shell.base.rim_region();
    let size = rim.bounds().map_or(Vec2::new(0.1, 0.1), |b| b.size());
    let scale = scale_for(size, Vec2::new(manner.width - 10.0, manner.height));
    let paper = size * (1000.0 / scale);
    let mut sheet = Sheet::blank(title, manner.width, paper.y + BAR + 12.0);
    let middle = rim.bounds().map_or(Vec2::ZERO, |b| b.centre());
    let view = View::centred(
        scale,
        middle,
        Vec2::new(manner.width / 2.0, BAR + 3.0 + paper.y / 2.0),
    );

    // The foam of the face one sees: the top layer under the rim of this tier.
    let here: Vec<&Place> = match tier {
        Some(tier) => interior.places.iter().filter(|p| p.tier == tier).collect(),
        None => Vec::new(),
    };
    let reach = here
        .iter()
        .filter_map(|p| p.body.high())
        .fold(f64::NEG_INFINITY, f64::max);
    let wanted = |kind: BlockKind| match tier {
        None => kind == BlockKind::LidPad,
        Some(_) if in_lid => kind == BlockKind::LidPad,
        Some(_) => kind != BlockKind::LidPad,
    };
    let layers = || {
        let blocks = interior.blocks.iter().filter(|block| wanted(block.kind));
        blocks.flat_map(|block| block.layers.iter().map(move |layer| (block, layer)))
    };
    let face = match tier {
        None => layers().next(),
        Some(_) if in_lid => layers().find(|(block, layer)| !block.is_of_cover(layer)),
        Some(_) => layers()
            .find(|(_, layer)| layer.high >= reach - 1e-6)
            .or_else(|| layers().last()),
    };
    if let Some((block, layer)) = face {
        let from_below = tier.is_none() || in_lid;
        let z = if from_below { layer.low } else { layer.high } - 1e-4;
        let foam = interior.foam_at(block, layer, if from_below { layer.low + 1e-4 } else { z });
        let colour = brief.shade(block, layer).map_or([0xe0; 3], paled);
        let clipped = foam.intersection(&brief.shell.section(z.max(0.0)));
        let foam = if clipped.is_empty() { foam } else { clipped };
        sheet.region(&foam, view.map(), Some(MIDDLE), Some(Fill { colour }));
        sheet.hatch(&foam, view.map(), 45.0, 5.0, HATCH);
        if tier.is_some() && !in_lid {
            opening_names(&mut sheet, words, interior, view, (z, tier));
        }
    }
    sheet.region(&rim, view.map(), Some(WIDE), None);
    let body = |place: &Place| Region::union_all(place.body.slabs.iter().map(|slab| &slab.region));
    let mut taken = Vec::new();
    for place in interior.places.iter().filter(|place| tier != Some(place.tier)) {
        let body = body(place);
        sheet.region(&body, view.map(), Some(NARROW.dashed(Dash::Dashed)), None);
        number(&mut sheet, view, &body, (place.at, place.number), &mut taken);
    }
    for place in &here {
        let body = body(place);
        let (colour, angle) = tint(place.item);
        sheet.region(&body, view.map(), None, Some(Fill { colour }));
        sheet.hatch(&body, view.map(), angle, 3.0, Stroke::line(0.13, [0x90; 3]));
        sheet.region(&body, view.map(), Some(MIDDLE), None);
    }
    for place in here {
        let at = view.point(place.at);
        let name = brief.items.get(place.item).map_or("", |item| item.name.as_str());
        let room = place
            .body
            .slabs
            .iter()
            .filter_map(|s| s.region.bounds())
            .map(|b| b.size().x)
            .fold(0.0, f64::max);
        let fits = view.length(room) > width_of(name, TYPE) + 2.0;
        balloon(
            &mut sheet,
            if fits { at + Vec2::new(0.0, 2.5) } else { at },
            place.number,
        );
        if fits {
            let half = width_of(name, TYPE) / 2.0 + 0.6;
            let foot = at - Vec2::new(0.0, 4.6);
            let (low, high) = (foot - Vec2::new(half, 0.8), foot + Vec2::new(half, 3.2));
            sheet.rectangle(low, high, None, Some(Fill { colour: [255; 3] }));
            sheet.text(foot, name, TYPE, Anchor::Middle);
        }
    }
    let top = BAR + 3.0 + paper.y + 3.0;
    sheet.text(
        Vec2::new(manner.width / 2.0, top),
        say!(words, "draw-hinge-side"),
        TYPE,
        Anchor::Middle,
    );
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    let note = match tier {
        Some(_) if in_lid => say!(words, "draw-packing-note-in-lid"),
        Some(_) => say!(words, "draw-packing-note"),
        None => say!(words, "draw-packing-note-lid"),
    };
    sheet.text(Vec2::new(66.0, 1.0), note, TYPE, Anchor::Start);
    sheet
}

/// The number of a piece that is not of this tier, in its middle; beside other numbers where pieces lie over one another, within the
/// piece if there is room, else led to its middle.
fn number(
    sheet: &mut Sheet,
    view: View,
    body: &Region,
    (at, number): (Vec2, u32),
    taken: &mut Vec<(Vec2, Vec2)>,
) {
    let words = number.to_string();
    let half = Vec2::new(width_of(&words, TYPE) / 2.0 + 0.3, TYPE / 2.0 + 0.4);
    let middle = view.point(at);
    let is_free = |p: &Vec2| {
        taken.iter().all(|(other, wide)| {
            let (far, room) = (*p - *other, half + *wide);
            far.x.abs() >= room.x || far.y.abs() >= room.y
        })
    };
    let spots = || {
        std::iter::once(middle).chain((1..14_u32).flat_map(move |ring| {
            (0..12_u32).map(move |turn| {
                let way = Vec2::new(1.1 * f64::from(ring), 0.0);
                middle + way.rotated(f64::from(turn) * std::f64::consts::FRAC_PI_6)
            })
        }))
    };
    let is_own = |p: &Vec2| body.contains((*p - view.origin) / view.length(1.0));
    let own = spots().filter(is_own).find(is_free);
    let spot = own.or_else(|| spots().find(is_free)).unwrap_or(middle);
    if own.is_none() && spot != middle {
        let way = middle - spot;
        let edge = spot + Vec2::new(way.x.clamp(-half.x, half.x), way.y.clamp(-half.y, half.y));
        sheet.line(&[edge, middle], NARROW);
        sheet.circle(middle, 0.5, None, Some(Fill { colour: INK }));
    }
    sheet.text(spot - Vec2::new(0.0, 1.2), words, TYPE, Anchor::Middle);
    taken.push((spot, half));
}

/// What the openings of a tier's top face are for, where the word has room in them and lies on no number of another tier.
fn opening_names(
    sheet: &mut Sheet,
    words: &Words,
    interior: &Interior,
    view: View,
    (z, tier): (f64, Option<usize>),
) {
    for opening in interior.openings_at(z) {
        let Some(bounds) = opening.prism.region.bounds() else {
            continue;
        };
        let name = words.one_of("opening", opening.kind.as_str());
        let (at, room) = (view.point(bounds.centre()), bounds.size());
        let half = Vec2::new(width_of(&name, TYPE) / 2.0 + 0.6, TYPE);
        let others = interior.places.iter().filter(|place| tier != Some(place.tier));
        let is_clear = others
            .map(|place| view.point(place.at) - at)
            .all(|far| far.x.abs() > half.x + TYPE || far.y.abs() > half.y + TYPE);
        if is_clear && view.length(room.x) > 2.0 * half.x && view.length(room.y) > 2.0 * half.y {
            sheet.text(at - Vec2::new(0.0, 1.2), name, TYPE, Anchor::Middle);
        }
    }
}
