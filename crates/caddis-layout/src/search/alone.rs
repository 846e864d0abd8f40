//! Whether a piece finds a place in the empty room, in which ways, and if not, what is in its way and how far up it would pass.

use super::reasons::{failing, mm};
use crate::engine::{ROUNDING, Room, Slot, Zone};
use crate::prepared::the_wall;
use caddis_basis::{Finding, Margin, Said, said};
use caddis_geometry::Vec2;

/// A grid of starts: lines each way, and corrections from each start.
#[derive(Debug, Clone, Copy)]
struct Grid {
    lines: u32,
    rounds: usize,
}
/// Where the answer is told to a person, and where many ways are asked.
const FINE: Grid = Grid {
    lines: 24,
    rounds: 60,
};
const COARSE: Grid = Grid { lines: 8, rounds: 24 };
/// What is at most this far counts as touched, metres.
const TOUCH: f64 = 1e-3;
/// Two things stand opposite when their normals point against each other at least so much.
const OPPOSITE: f64 = -0.5;
/// How far up is looked, metres, and how finely.
const HIGHEST: f64 = 0.3;
const FINENESS: f64 = 5e-4;
/// What hangs no more than this above its foam on the floor is at floor level, metres.
const AT_FLOOR: f64 = 0.01;

/// The ways a piece may lie in which it finds a place in the empty room, by index, rising.
pub(crate) fn ways_alone(room: &Room, piece: usize) -> Vec<usize> {
    let slots = room.slots.get(piece).map_or(&[][..], Vec::as_slice);
    let mut ways: Vec<usize> = slots
        .iter()
        .filter(|slot| slot.too_deep == 0.0 && !slot.zone.corners.is_empty())
        .filter(|slot| nearest(&slot.zone, COARSE).0 <= ROUNDING)
        .map(|slot| slot.orientation)
        .collect();
    ways.sort_unstable();
    ways.dedup();
    ways
}

/// What was found, with what raising the piece would do.
pub(crate) fn higher(room: &Room, slot: &Slot, found: Said) -> Said {
    match raise(room, slot) {
        Some(by) => said!(
            "{found}; raised {by} it would pass, as much above the top of its foam",
            found,
            by = mm((by * 1e3).ceil() / 1e3)
        ),
        None => found,
    }
}

/// Pieces that find no place even in the empty room, and what is in their way.
pub(crate) fn without_place(room: &Room) -> Vec<Finding> {
    let pieces = &room.problem.pieces;
    (0..pieces.len())
        .filter(|&piece| pieces[piece].pinned.is_none())
        .filter_map(|piece| {
            let found = blocked(room, piece)?;
            let name = &pieces[piece].name;
            let slot = &room.slots[piece][found.slot];
            let above = slot.bottom - room.demands(slot.form).below - room.problem.region.low;
            let level = if above < AT_FLOOR {
                said!("at floor level")
            } else {
                said!("{height} above the floor", height = mm(slot.bottom - room.problem.region.low))
            };
            let lacks = if let Some(against) = &found.against {
                let (missing, with) = (mm(found.missing), &found.with);
                if found.way.x.abs() > 0.9 {
                    said!(
                        "it is {missing} too long between {with} and {against} {level}",
                        missing, with, against, level
                    )
                } else if found.way.y.abs() > 0.9 {
                    said!(
                        "it is {missing} too wide between {with} and {against} {level}",
                        missing, with, against, level
                    )
                } else {
                    said!(
                        "it is {missing} too large between {with} and {against} {level}",
                        missing, with, against, level
                    )
                }
            } else {
                said!(
                    "it lacks {missing} towards {with} {level}",
                    missing = mm(found.missing),
                    with = found.with,
                    level
                )
            };
            Some(
                failing(
                    "piece-has-no-place",
                    Said::name(name),
                    higher(room, slot, said!(
                        "{name} finds no place even in the empty case: {lacks}",
                        name,
                        lacks
                    )),
                    said!("places tried from a grid of starts in the empty case, the foam around the piece in; no proof"),
                )
                .margin(Margin::at_most(found.missing * 1e3, 0.0, "mm"))
                .remedy(said!("lay it another way, hang it higher, use thinner foam at its sides, or take another shell")),
            )
        })
        .collect()
}

/// What keeps a piece from lying in the empty room.
#[derive(Debug, Clone, PartialEq)]
struct Blocked {
    /// The slot that lacks least.
    slot: usize,
    /// Metres missing between the two things, or towards the one.
    missing: f64,
    /// What is in the way.
    with: Said,
    /// What holds against it from the other side.
    against: Option<Said>,
    /// From what to what, a unit vector in plan.
    way: Vec2,
}

/// What keeps a piece from lying anywhere alone; `None` where it finds a place, or no slot is deep enough.
///
/// # Accuracy
/// No proof: places are looked for from a grid of starts.
fn blocked(room: &Room, piece: usize) -> Option<Blocked> {
    let mut best: Option<(f64, usize, Vec2)> = None;
    for (index, slot) in room.slots[piece].iter().enumerate() {
        if slot.too_deep > 0.0 {
            continue;
        }
        let (missing, at) = nearest(&slot.zone, FINE);
        if missing <= ROUNDING {
            return None;
        }
        if best.is_none_or(|(least, ..)| missing < least) {
            best = Some((missing, index, at));
        }
    }
    let (_, index, at) = best?;
    let slot = &room.slots[piece][index];
    let contacts = contacts(room, &slot.zone, at);
    let worst = contacts.iter().min_by(|a, b| a.distance.total_cmp(&b.distance))?;
    let against = contacts
        .iter()
        .filter(|other| other.distance < TOUCH && other.normal.dot(worst.normal) < OPPOSITE)
        .min_by(|a, b| a.distance.total_cmp(&b.distance));
    Some(Blocked {
        slot: index,
        missing: -worst.distance - against.map_or(0.0, |other| other.distance.min(0.0)),
        with: worst.name.clone(),
        against: against.map(|other| other.name.clone()),
        way: worst.normal,
    })
}

/// The least rise at which the piece would find a place; it stands proud of its tier by as much.
fn raise(room: &Room, slot: &Slot) -> Option<f64> {
    let passes = |by: f64| nearest(&room.zone(slot.form, slot.tier, slot.bottom + by), FINE).0 <= ROUNDING;
    if !passes(HIGHEST) {
        return None;
    }
    let (mut none, mut some) = (0.0, HIGHEST);
    while some - none > FINENESS {
        let middle = f64::midpoint(none, some);
        if passes(middle) {
            some = middle;
        } else {
            none = middle;
        }
    }
    Some(some)
}

/// The position that lacks least towards the room, and how much it lacks.
fn nearest(zone: &Zone, grid: Grid) -> (f64, Vec2) {
    let (low, high) = if zone.corners.is_empty() {
        // The walls alone leave nothing: start from the middle of what they ask.
        let middle = middle(zone);
        (middle, middle)
    } else {
        (zone.min, zone.max)
    };
    let mut best = (f64::INFINITY, low);
    let mut corrections = Vec::new();
    for i in 0..=grid.lines {
        for j in 0..=grid.lines {
            let share = Vec2::new(f64::from(i), f64::from(j)) / f64::from(grid.lines);
            let mut at = Vec2::new(
                low.x + (high.x - low.x) * share.x,
                low.y + (high.y - low.y) * share.y,
            );
            for _ in 0..grid.rounds {
                let missing = zone.overlap(at, 0.0);
                if missing < best.0 {
                    best = (missing, at);
                }
                if missing <= ROUNDING {
                    return best;
                }
                corrections.clear();
                zone.corrections(at, 0.0, &mut corrections);
                // The mean, so that things on two sides meet in the middle.
                let count = corrections.len().max(1) as f64;
                at += corrections.iter().fold(Vec2::ZERO, |sum, by| sum + *by) / count;
            }
            if low == high {
                return best;
            }
        }
    }
    best
}

/// Where opposite walls leave equally little.
fn middle(zone: &Zone) -> Vec2 {
    let limit = |way: Vec2| {
        zone.planes
            .iter()
            .filter(|(normal, _)| normal.dot(way) > 0.999)
            .map(|plane| plane.1)
            .fold(f64::INFINITY, f64::min)
    };
    let between = |axis: Vec2| {
        let middle = (limit(axis) - limit(-axis)) / 2.0;
        if middle.is_finite() { middle } else { 0.0 }
    };
    Vec2::new(between(Vec2::new(1.0, 0.0)), between(Vec2::new(0.0, 1.0)))
}

struct Touched {
    name: Said,
    distance: f64,
    /// Towards the thing.
    normal: Vec2,
}

/// Everything within touch of a piece at a position.
fn contacts(room: &Room, zone: &Zone, at: Vec2) -> Vec<Touched> {
    let walls = zone.planes.iter().map(|(normal, limit)| Touched {
        name: the_wall(*normal),
        distance: limit - normal.dot(at),
        normal: *normal,
    });
    let hindrances = zone.hindrances.iter().map(|(index, no_go)| {
        let found = no_go.separation(-at, 0.0);
        Touched {
            name: said!(
                "the {obstacle}",
                obstacle = room.problem.region.hindrances[*index].name
            ),
            distance: found.distance,
            // The separation pushes the piece away along `normal * distance` with a negative distance.
            normal: found.normal,
        }
    });
    walls
        .chain(hindrances)
        .filter(|touched| touched.distance < TOUCH)
        .collect()
}
