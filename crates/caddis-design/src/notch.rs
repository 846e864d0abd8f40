//! Finger notches: two opposed places for fingers beside a cavity.
//!
//! Limits: notches are looked for in the middle of a side and near it; where foam, a neighbour or its notch leaves no
//! room the cavity goes without, and verification says so.

use crate::through::joint_below;
use crate::{Block, Brief, Cavity, KeptSpace, Notch, Place};
use caddis_geometry::{Bounds2, Placement2, Prism, Region, Vec2, Vec3};
use caddis_survey::Item;

/// Fingers must reach at least so far below the item's top, metres: one finger pad.
///
/// # Source
/// The project's shop reference, 1.3: 20 to 25 mm.
const FINGER_PAD: f64 = 0.020;
/// Where along a side notches are tried, from its middle, in shares of the side.
const SHIFTS: [f64; 7] = [0.0, 0.12, -0.12, 0.24, -0.24, 0.36, -0.36];

/// A grip's face looks towards a side of the mouth when their directions are closer than this, as a cosine.
const SAME_WAY: f64 = 0.5;

/// Notches for every cavity that can have them, in the order of the cavities. `mouths` are the cavities' upper ends before
/// relief: fingers go to the item, not to the far side of a groove; `spaces` stay uncut.
pub(crate) fn notches(
    brief: &Brief,
    blocks: &[Block],
    places: &[Place],
    cavities: &[Cavity],
    mouths: &[Region],
    spaces: &[KeptSpace],
) -> Vec<Notch> {
    let mut found: Vec<Notch> = Vec::new();
    for (index, cavity) in cavities.iter().enumerate() {
        let item = &brief.items[places[index].item];
        if crate::cushion::is_soft(item) || is_taken_by_its_top(item, &places[index]) {
            continue;
        }
        for prism in beside(
            brief,
            blocks,
            &places[index],
            cavities,
            (index, &mouths[index]),
            (&found, spaces),
        ) {
            found.push(Notch {
                cavity: cavity.id.clone(),
                prism,
            });
        }
    }
    found
}

/// Whether its own grip lies on top: fingers need no room beside it.
pub(crate) fn is_taken_by_its_top(item: &Item, place: &Place) -> bool {
    item.grips.contains(&place.up)
}

/// Plan directions of the faces by which fingers may take a piece; empty where any will do.
fn grips(item: &Item, place: &Place) -> Vec<Vec2> {
    let turned = item.grips.iter().map(|face| place.pose.turn(face.direction()));
    turned.filter(|way| way.z.abs() < 0.5).map(Vec3::plan).collect()
}

/// Two opposed notches, else one, else none.
fn beside(
    brief: &Brief,
    blocks: &[Block],
    place: &Place,
    cavities: &[Cavity],
    (index, mouth): (usize, &Region),
    taken: (&[Notch], &[KeptSpace]),
) -> Vec<Prism> {
    // In the frame of what lies across the case its sides run along the axes.
    let (_, rest) = place.turn.parted();
    let turned = |angle: f64| Placement2 {
        angle,
        shift: Vec2::ZERO,
    };
    let mouth = &mouth.placed(&turned(-rest.radians()));
    let (Some(bounds), Some(step)) = (mouth.bounds(), cavities[index].steps.last()) else {
        return Vec::new();
    };
    let mut high = step.high;
    let item_top = place.body.high().unwrap_or(high);
    let mut low = (high - brief.clearances.notch_depth.si())
        .min(item_top - FINGER_PAD)
        .max(place.bottom);
    if place.in_lid {
        // Its mouth is below.
        low = step.low;
        high = (low + brief.clearances.notch_depth.si())
            .max(place.bottom + FINGER_PAD)
            .min(item_top);
    }
    let low = if brief.clearances.through_cuts {
        joint_below(blocks, low)
    } else {
        low
    };
    let radius = brief.clearances.notch_radius.si();
    if !(radius > 0.0 && high > low) {
        return Vec::new();
    }
    let grips = grips(&brief.items[place.item], place);
    let middle = bounds.centre();
    let fits = |at: Vec2, run_along_x: bool| {
        let outward = if run_along_x {
            Vec2::new(0.0, at.y - middle.y)
        } else {
            Vec2::new(at.x - middle.x, 0.0)
        }
        .rotated(rest.radians());
        if !grips.is_empty()
            && !grips
                .iter()
                .any(|grip| grip.dot(outward) > SAME_WAY * outward.length())
        {
            return None;
        }
        let prism = Prism {
            region: Region::circle(at.rotated(rest.radians()), radius),
            low,
            high,
        };
        has_room(brief, blocks, cavities, index, taken, &prism).then_some(prism)
    };
    let size = bounds.size();
    // The longer sides first: fingers then span the shorter way.
    let along_x = size.x >= size.y;
    let mut single = None;
    for is_first in [true, false] {
        let run_along_x = along_x == is_first;
        for shift in SHIFTS {
            let [one, other] =
                opposed(mouth, &bounds, run_along_x, shift).map(|at| at.and_then(|at| fits(at, run_along_x)));
            match (one, other) {
                (Some(one), Some(other)) => return vec![one, other],
                (Some(alone), None) | (None, Some(alone)) => single = single.or(Some(alone)),
                (None, None) => {}
            }
        }
    }
    single.into_iter().collect()
}

/// The two points where a line across the mouth leaves it: across y where the sides run along x, else across x.
fn opposed(mouth: &Region, bounds: &Bounds2, run_along_x: bool, shift: f64) -> [Option<Vec2>; 2] {
    let hair = 1e-4;
    let (centre, size) = (bounds.centre(), bounds.size());
    let strip = if run_along_x {
        let x = centre.x + shift * size.x;
        Region::rectangle(
            Vec2::new(x - hair, bounds.min.y - 1.0),
            Vec2::new(x + hair, bounds.max.y + 1.0),
        )
    } else {
        let y = centre.y + shift * size.y;
        Region::rectangle(
            Vec2::new(bounds.min.x - 1.0, y - hair),
            Vec2::new(bounds.max.x + 1.0, y + hair),
        )
    };
    let Some(cut) = mouth.intersection(&strip).bounds() else {
        return [None, None];
    };
    if run_along_x {
        let x = cut.centre().x;
        [Some(Vec2::new(x, cut.min.y)), Some(Vec2::new(x, cut.max.y))]
    } else {
        let y = cut.centre().y;
        [Some(Vec2::new(cut.min.x, y)), Some(Vec2::new(cut.max.x, y))]
    }
}

/// Whether a notch keeps the least web to every other cavity, notch and kept space and to the edge of every layer it cuts.
fn has_room(
    brief: &Brief,
    blocks: &[Block],
    cavities: &[Cavity],
    index: usize,
    (taken, spaces): (&[Notch], &[KeptSpace]),
    notch: &Prism,
) -> bool {
    let web = brief.clearances.least_notch_web.si();
    let Some(bounds) = notch.region.bounds().map(|bounds| bounds.grown(web)) else {
        return false;
    };
    let overlaps = |low: f64, high: f64| low < notch.high - 1e-9 && notch.low + 1e-9 < high;
    let is_clear = |prism: &Prism| {
        !overlaps(prism.low, prism.high)
            || !prism.region.bounds().is_some_and(|other| other.meets(&bounds))
            || prism.region.distance(&notch.region) >= web
    };
    let others = cavities.iter().enumerate().filter(|(other, _)| *other != index);
    others.flat_map(|(_, cavity)| &cavity.steps).all(is_clear)
        && taken
            .iter()
            .filter(|other| other.cavity != cavities[index].id)
            .all(|other| is_clear(&other.prism))
        && spaces.iter().all(|space| is_clear(&space.prism))
        && blocks
            .iter()
            .flat_map(|block| &block.layers)
            .filter(|layer| overlaps(layer.low, layer.high))
            .all(|layer| notch.region.room_inside(&layer.outline) >= web)
}
