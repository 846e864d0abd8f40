//! Relief: foam taken away where full support is too stiff for so light a piece.
//!
//! A pocket under the middle of the floor leaves a rim that bears, and so does one in the lid pad over the piece; a groove up
//! the middle of a side leaves a strip at each end. Pocket and grooves are part of the cavity and open upward;
//! in the lid pockets alone are cut, in the roof over a piece and in the underside of the cover below it. A relief is as
//! deep as its foam deflects where there is
//! room for that; where there is not, or the piece's shape does not suit, the side stays as it is and verification
//! reports it.

use crate::cushion::{Load, limit_of};
use crate::faces::Faces;
use crate::interior::block_of;
use crate::{Block, BlockKind, Brief, Cavity, KeptSpace, Place};
use caddis_basis::{Acceleration, Area, Length, Mass};
use caddis_geometry::{Bounds2, Prism, Region, Side, Vec2};
use caddis_protection::{SizeRequest, size, size_with_full_area};
use caddis_survey::HalfSide;

/// Aim this far under the limit: cells, notches and corners cost some of the bearing area.
const AIM: f64 = 0.95;
/// Less than this share of the bearing area is no seat.
const LEAST_SHARE: f64 = 0.25;
/// Less relief than this share is not worth cutting.
const LEAST_RELIEF: f64 = 0.08;
/// The rim of a floor pocket and the strips of a groove are at least so wide, metres.
const LEAST_STRIP: f64 = 0.010;
/// Free depth beyond the deflection, metres.
const FREE: f64 = 0.002;
/// A floor pocket wants a floor: the lowest band must cover this share of the shadow.
const FLAT_FLOOR: f64 = 0.7;
/// A shallower relief closes before it has helped, metres.
const LEAST_DEPTH: f64 = 0.004;

/// What is taken away around one piece.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Relief {
    /// Pocket under the floor.
    pub floor: Option<Prism>,
    /// Grooves in the sides, over the cavity's whole height.
    pub grooves: Vec<Region>,
    /// Pocket in the lid pad, or under a tray's board, over the piece.
    pub over: Option<Prism>,
}

/// The part of a side's bearing area that should bear, and how far it then deflects.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Bearing {
    share: f64,
    deflection: f64,
}

/// Where reliefs must keep clear of.
pub(crate) struct Surroundings<'a> {
    /// The brief.
    pub brief: &'a Brief,
    /// Blocks with their outlines.
    pub blocks: &'a [Block],
    /// All places.
    pub places: &'a [Place],
    /// All cavities, reliefs of earlier pieces included.
    pub cavities: &'a [Cavity],
    /// Room that stays uncut.
    pub spaces: &'a [KeptSpace],
}

/// The relief of one piece; `faces` and `loads` in the order of [`crate::Direction::ALL`], `tier` bottom and top.
pub(crate) fn relief(
    around: &Surroundings<'_>,
    index: usize,
    faces: &Faces,
    loads: &[Load; 6],
    tier: (f64, f64),
) -> Relief {
    let place = &around.places[index];
    let mut relief = Relief::default();
    let (Some(low), Some(high)) = (place.body.low(), place.body.high()) else {
        return relief;
    };
    if place.in_lid {
        // Above it the roof of its pocket is deeper in the middle; below it the cover, cut from its underside, is thinner there.
        relief.over = in_roof(around, index, faces, loads, tier.1);
        relief.floor = in_cover(around, index, faces, loads);
        return relief;
    }
    let below = foam_below(around, index);
    let (base, lid) = (around.brief.base_foam, around.brief.lid_foam);
    if let Some(bearing) = bearing(around.brief, base, place.item, (faces[0].area, below), &loads[0]) {
        relief.floor = pocket(around, place, bearing, below, tier.0);
    }
    // Only where the lid pad, or the foam under a tray's board, lies on the piece itself.
    let pad = around
        .blocks
        .iter()
        .find(|block| block.kind == BlockKind::LidPad && block.low <= tier.1 + LEAST_STRIP)
        .map(|pad| (lid, (pad.low, pad.cover.unwrap_or(pad.high))));
    let cover = around
        .blocks
        .iter()
        .find(|block| (block.low - tier.1).abs() < LEAST_STRIP)
        .and_then(|block| Some((base, (block.low, block.board.as_ref()?.low))));
    if let Some((foam, closing)) = cover.or(pad) {
        let above = closing.1 - closing.0;
        if let Some(bearing) = bearing(around.brief, foam, place.item, (faces[1].area, above), &loads[1]) {
            relief.over = over(around, place, bearing, closing, high);
        }
    }
    // A face that stands obliquely to the fall has no middle to take away.
    if !place.turn.is_square() {
        return relief;
    }
    let Some(bounds) = place.body.shadow(low, high).bounds() else {
        return relief;
    };
    for side in 2..6 {
        let beside = foam_beside(around, index, side);
        let face = (faces[side].area, beside);
        if let Some(bearing) = bearing(around.brief, base, place.item, face, &loads[side]) {
            relief
                .grooves
                .extend(groove(around, index, side, &bounds, bearing, beside, tier.1));
        }
    }
    relief
}

/// The pocket over a piece in the lid, up to `end`, that leaves a rim of the wanted area over it.
fn in_roof(
    around: &Surroundings<'_>,
    index: usize,
    faces: &Faces,
    loads: &[Load; 6],
    end: f64,
) -> Option<Prism> {
    let place = &around.places[index];
    let high = place.body.high()?;
    let face = (faces[1].area, end - high);
    let bearing = bearing(around.brief, around.brief.lid_foam, place.item, face, &loads[1])?;
    over(around, place, bearing, (high, end), high)
}

/// The pocket in the underside of the cover under a piece in the lid that leaves a rim of the wanted area under it.
fn in_cover(around: &Surroundings<'_>, index: usize, faces: &Faces, loads: &[Load; 6]) -> Option<Prism> {
    let place = &around.places[index];
    let underside = block_of(around.blocks, place)?.low;
    let covered = place.bottom - underside;
    let face = (faces[0].area, covered);
    let bearing = bearing(around.brief, around.brief.lid_foam, place.item, face, &loads[0])?;
    let shadow = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY).area();
    let floor = &place.body.slabs.first()?.region;
    let depth = (bearing.deflection + FREE).min(covered - around.brief.clearances.least_floor.si());
    if floor.area() < FLAT_FLOOR * shadow || depth < LEAST_DEPTH {
        return None;
    }
    let region = core(around.brief, floor, (1.0 - bearing.share) * shadow);
    (!region.is_empty()).then_some(Prism {
        region,
        low: underside,
        high: underside + depth,
    })
}

/// How much of a side should bear; `None` where all of it may, or where no relief makes it hold.
fn bearing(
    brief: &Brief,
    foam: usize,
    item: usize,
    (area, thickness): (f64, f64),
    load: &Load,
) -> Option<Bearing> {
    let foam = &brief.foams[foam];
    let item = &brief.items[item];
    let strictest = limit_of(item)?.si().min(load.limit) * AIM;
    let request = SizeRequest {
        mass: item.mass.most() + Mass::from_si(load.leaning),
        area: Area::from_si(area),
        height: brief.handling.drop_height.most(),
        limit: Some(Acceleration::from_si(strictest)),
        least: Length::from_si(thickness),
    };
    // On more foam than it asks for, a side still holds unless the full area is too stiff at any thickness.
    if size_with_full_area(foam, &request).is_ok() {
        return None;
    }
    let need = size(foam, &request).ok()?;
    let share = (need.area / request.area).max(LEAST_SHARE);
    let stress = request.mass.weight() / (request.area * share);
    let point = foam
        .law
        .cushion_point(stress, request.height, Length::from_si(thickness))
        .ok()?;
    (1.0 - share >= LEAST_RELIEF).then_some(Bearing {
        share,
        deflection: point.strain * thickness,
    })
}

/// The least foam between the floor of a piece and what stands below it.
fn foam_below(around: &Surroundings<'_>, index: usize) -> f64 {
    let place = &around.places[index];
    let Some(bounds) = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY).bounds() else {
        return 0.0;
    };
    let meets = |region: &Region| region.bounds().is_some_and(|other| other.meets(&bounds));
    let shell = around.brief.shell.obstacles(HalfSide::Base);
    let standing = shell
        .iter()
        .filter(|obstacle| meets(&obstacle.outline))
        .map(|obstacle| obstacle.high);
    let pieces = around
        .places
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != index);
    let tops = pieces
        .flat_map(|(_, other)| &other.body.slabs)
        .filter(|slab| meets(&slab.region))
        .map(|slab| slab.high);
    let boards = around.blocks.iter().filter_map(|block| block.board.as_ref());
    place.bottom
        - standing
            .chain(tops)
            .chain(boards.map(|board| board.high))
            .filter(|top| *top <= place.bottom + 1e-9)
            .fold(0.0, f64::max)
}

/// Outward direction of a side in the order of [`crate::Direction::ALL`].
fn outward(side: usize) -> Vec2 {
    match side {
        2 => Vec2::new(-1.0, 0.0),
        3 => Vec2::new(1.0, 0.0),
        4 => Vec2::new(0.0, -1.0),
        _ => Vec2::new(0.0, 1.0),
    }
}

/// The least foam between a side of a piece and the wall or the next piece.
fn foam_beside(around: &Surroundings<'_>, index: usize, side: usize) -> f64 {
    let place = &around.places[index];
    let out = outward(side);
    let reach = |b: &Bounds2| out.dot(b.min).max(out.dot(b.max));
    let start = |b: &Bounds2| out.dot(b.min).min(out.dot(b.max));
    let across = Vec2::new(out.y.abs(), out.x.abs());
    let mut least = f64::INFINITY;
    for slab in &place.body.slabs {
        let Some(own) = slab.region.bounds() else { continue };
        if let Some(walls) = around.brief.shell.wall_section(slab.low).bounds() {
            least = least.min(reach(&walls) - reach(&own));
        }
        let is_beside = |region: &Region, low: f64, high: f64| {
            let other = region.bounds()?;
            let overlaps =
                across.dot(other.min) < across.dot(own.max) && across.dot(own.min) < across.dot(other.max);
            let is_level = low < slab.high && slab.low < high;
            (overlaps && is_level && start(&other) >= reach(&own) - 1e-9).then(|| start(&other) - reach(&own))
        };
        let pieces = around
            .places
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != index);
        for other in pieces.flat_map(|(_, other)| &other.body.slabs) {
            least = least.min(is_beside(&other.region, other.low, other.high).unwrap_or(f64::INFINITY));
        }
        for obstacle in around.brief.shell.obstacles(HalfSide::Base) {
            least =
                least.min(is_beside(&obstacle.outline, obstacle.low, obstacle.high).unwrap_or(f64::INFINITY));
        }
    }
    least
}

/// The pocket that leaves a rim of the wanted area under a piece.
fn pocket(
    around: &Surroundings<'_>,
    place: &Place,
    bearing: Bearing,
    below: f64,
    tier_low: f64,
) -> Option<Prism> {
    let shadow = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY).area();
    let floor = place.body.slabs.first()?;
    let area = floor.region.area();
    if area < FLAT_FLOOR * shadow {
        return None;
    }
    let least_floor = around.brief.clearances.least_floor.si();
    let room = (below - least_floor).min(place.bottom - tier_low - least_floor);
    let depth = (bearing.deflection + FREE).min(room);
    if depth < LEAST_DEPTH {
        return None;
    }
    let region = core(around.brief, &floor.region, (1.0 - bearing.share) * shadow);
    (!region.is_empty()).then_some(Prism {
        region,
        low: place.bottom - depth,
        high: place.bottom,
    })
}

/// The pocket in the foam that closes over a piece, from its underside to where it ends, that leaves a rim of the wanted area over the
/// piece's top at `high`.
fn over(
    around: &Surroundings<'_>,
    place: &Place,
    bearing: Bearing,
    (underside, end): (f64, f64),
    high: f64,
) -> Option<Prism> {
    let shadow = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY).area();
    let top = place.body.slabs.last()?;
    // What bears is a top that reaches that foam.
    if top.region.area() < FLAT_FLOOR * shadow || underside - high > FREE {
        return None;
    }
    let room = end - underside - around.brief.clearances.least_floor.si();
    let depth = (bearing.deflection + FREE).min(room);
    if depth < LEAST_DEPTH {
        return None;
    }
    let region = core(around.brief, &top.region, (1.0 - bearing.share) * shadow);
    (!region.is_empty()).then_some(Prism {
        region,
        low: underside,
        high: underside + depth,
    })
}

/// The middle of a face, of about the wanted area, that leaves a rim around it and that the cutter can make.
fn core(brief: &Brief, face: &Region, wanted: f64) -> Region {
    let radius = brief.clearances.cutter_radius.si();
    let inner = |width: f64| {
        let core = face.offset(-width, Side::Inner);
        // Its own corners must be reachable too: opened, it only shrinks.
        core.offset(-radius, Side::Inner).offset(radius, Side::Inner)
    };
    let (mut narrow, mut wide) = (LEAST_STRIP, LEAST_STRIP.max(face.area().sqrt()));
    for _ in 0..24 {
        let middle = f64::midpoint(narrow, wide);
        if inner(middle).area() > wanted {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
    inner(narrow)
}

/// The groove up the middle of one side, if what is around leaves room for it.
fn groove(
    around: &Surroundings<'_>,
    index: usize,
    side: usize,
    bounds: &Bounds2,
    bearing: Bearing,
    beside: f64,
    tier_high: f64,
) -> Option<Region> {
    let place = &around.places[index];
    let web = around.brief.foams[around.brief.base_foam].least_web.si();
    let radius = around.brief.clearances.cutter_radius.si();
    let depth = (bearing.deflection + FREE).min(beside - web);
    if depth.is_nan() || depth < LEAST_DEPTH {
        return None;
    }
    let (out, size) = (outward(side), bounds.size());
    let along = Vec2::new(out.y.abs(), out.x.abs());
    let length = along.dot(size);
    let width = (length * (1.0 - bearing.share)).min(length - 2.0 * LEAST_STRIP);
    if width < 2.0 * radius {
        return None;
    }
    let centre = bounds.centre();
    let edge = out.dot(out) * size.x.mul_add(out.x.abs(), size.y * out.y.abs()) / 2.0;
    let clearance = around.brief.foams[around.brief.base_foam]
        .cavity_clearance
        .si()
        .max(0.0);
    let far = centre + out * (edge + clearance + depth);
    let half = along * (width / 2.0);
    let (a, b) = (centre - half, far + half);
    let (c, d) = (centre + half, far - half);
    let corners = [a, b, c, d];
    let min = corners.into_iter().reduce(Vec2::min)?;
    let max = corners.into_iter().reduce(Vec2::max)?;
    let region = Region::rounded_rectangle(min, max, radius);
    has_room(around, index, &region, (place.bottom, tier_high), web).then_some(region)
}

/// Whether a groove keeps the least web to other cavities and stays inside the foam of its layers.
fn has_room(
    around: &Surroundings<'_>,
    index: usize,
    groove: &Region,
    (low, high): (f64, f64),
    web: f64,
) -> bool {
    let overlaps = |from: f64, to: f64| from < high - 1e-9 && low + 1e-9 < to;
    let others = around
        .cavities
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != index);
    others
        .flat_map(|(_, cavity)| &cavity.steps)
        .filter(|step| overlaps(step.low, step.high))
        .all(|step| step.region.distance(groove) >= web - 1e-6)
        && around
            .spaces
            .iter()
            .filter(|space| overlaps(space.prism.low, space.prism.high))
            .all(|space| space.prism.region.distance(groove) >= web - 1e-6)
        && around
            .blocks
            .iter()
            .flat_map(|block| &block.layers)
            .filter(|layer| overlaps(layer.low, layer.high))
            .all(|layer| groove.room_inside(&layer.outline) >= web * 0.5)
}

/// The cavity with its relief cut.
pub(crate) fn relieved(mut cavity: Cavity, relief: &Relief) -> Cavity {
    if !relief.grooves.is_empty() {
        let grooves = Region::union_all(&relief.grooves);
        for step in &mut cavity.steps {
            step.region = step.region.union(&grooves);
        }
    }
    if let Some(floor) = &relief.floor {
        cavity.steps.insert(0, floor.clone());
    }
    cavity.over.clone_from(&relief.over);
    cavity
}
