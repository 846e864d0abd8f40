//! Feasibility of one placement, fast enough to ask on every mouse move.

use crate::engine::{ROUNDING, Room};
use crate::search::ways_alone;
use crate::{Placement, Problem};
use caddis_basis::{Said, said};
use caddis_geometry::Vec2;
use std::sync::Arc;

/// What a placement touches, and how to get away.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Name of the wall, hindrance or piece.
    pub with: String,
    /// Signed distance left after the demanded foam; negative when violated, metres.
    ///
    /// # Accuracy
    /// Never more than the true distance. Less by at most 0.1 mm at arcs and 2 mm in pockets of ragged outlines, and between two corners
    /// that face each other, where it is measured along an edge normal.
    pub distance: f64,
    /// A plan shift that would resolve it; zero when nothing is broken or no shift in plan can help.
    pub push_out: Vec2,
}

/// A problem prepared for many checks. Cloneable and `Send`; clones share the preparation.
///
/// What is asked of a placement (all heights in case coordinates):
/// - The piece takes its upward sweep, from its lowest point to the top of its tier: at a height it takes everything
///   of its body at or below that height, because it is lifted straight out.
/// - Walls: every band of the body keeps the wall foam, measured level, and the foam below each band stays in the room.
/// - Hindrances: the sweep at the hindrance's top (at most the tier's top), grown by the wall sides, does not meet its
///   outline; nor does the sweep as it stands `below` lower, ungrown. So a shallow piece may lie over a wheel housing.
/// - Pieces: at the lower of the two tiers' tops, neither sweep grown by its web sides meets the other sweep, nor does
///   the foam below a piece that reaches through. Pieces that share no height are free of each other.
/// - Heights: the foam below stays above the tier's floor (above the next lower tier's floor if the piece may pass),
///   the foam above stays below the tier's top.
/// - In a tier that opens downward a piece takes its whole plan from bottom to top: walls and hindrances are asked over that height,
///   hindrances over it within the foam above as well, ungrown, and pieces of other tiers not at all.
#[derive(Debug, Clone)]
pub struct Prepared {
    room: Arc<Room>,
}

impl Prepared {
    /// Prepares sweeps, supports and boxes.
    pub fn new(problem: Problem) -> Self {
        Self {
            room: Arc::new(Room::new(problem)),
        }
    }

    /// The problem it was made for.
    pub fn problem(&self) -> &Problem {
        &self.room.problem
    }

    /// The height of the body's lowest point when it hangs flush in a tier, or stands in one that opens downward; `None` for an unknown index.
    pub fn flush_bottom(&self, piece: usize, orientation: usize, tier: usize) -> Option<f64> {
        let form = self.room.form(piece, orientation)?;
        let range = self.room.problem.tiers.get(tier)?;
        Some(range.bottom(
            self.room.forms[form].body.sweep().height,
            self.room.demands(form).above_in(tier),
        ))
    }

    /// The orientations in which a piece finds a place in the empty room, in any tier it may hang in: indices, rising.
    ///
    /// # Accuracy
    /// What is told is true. A place may be missed: it is looked for from a grid of starts.
    pub fn lies_alone(&self, piece: usize) -> Vec<usize> {
        ways_alone(&self.room, piece)
    }

    /// The tightest contact of `piece` placed so, against the room and against the `others` (piece index, placement).
    ///
    /// Unknown indices count as violated without end and are named. Heights are told only when they are broken, since
    /// no shift in plan changes them.
    pub fn check(&self, piece: usize, placement: &Placement, others: &[(usize, Placement)]) -> Contact {
        let room = &self.room;
        let mut tightest = Contact {
            with: "nothing".to_owned(),
            distance: f64::INFINITY,
            push_out: Vec2::ZERO,
        };
        let Some(form) = room.form(piece, placement.orientation) else {
            return unknown("unknown piece or orientation");
        };
        if placement.tier >= room.problem.tiers.len() {
            return unknown("unknown tier");
        }
        if !placement.at.is_finite() || !placement.bottom.is_finite() {
            return unknown("unknown position");
        }
        let too_deep = room.too_deep(piece, form, placement.tier, placement.bottom);
        if too_deep > 0.0 {
            let top = placement.bottom
                + room.forms[form].body.sweep().height
                + room.demands(form).above_in(placement.tier);
            let over = top > room.problem.tiers[placement.tier].high + ROUNDING;
            tightest = Contact {
                with: if over { "tier top" } else { "floor" }.to_owned(),
                distance: -too_deep,
                push_out: Vec2::ZERO,
            };
        }
        let mut consider = |distance: f64, push_out: Vec2, with: &str| {
            if distance < tightest.distance {
                tightest = Contact {
                    with: with.to_owned(),
                    distance,
                    push_out: if distance < 0.0 { push_out } else { Vec2::ZERO },
                };
            }
            tightest.distance
        };
        let slot = room.slots[piece].iter().find(|slot| {
            slot.orientation == placement.orientation
                && slot.tier == placement.tier
                && (slot.bottom - placement.bottom).abs() < ROUNDING
        });
        let zone = match slot {
            Some(slot) => slot.zone.clone(),
            None => Arc::new(room.zone(form, placement.tier, placement.bottom)),
        };
        let mut limit = f64::INFINITY;
        for (normal, reach) in &zone.planes {
            let distance = reach - normal.dot(placement.at);
            limit = consider(distance, *normal * distance, wall_name(*normal));
        }
        for (index, no_go) in &zone.hindrances {
            if no_go.box_separation(-placement.at) < limit {
                let found = no_go.separation(-placement.at, 0.0);
                let name = &room.problem.region.hindrances[*index].name;
                limit = consider(found.distance, found.normal * found.distance, name);
            }
        }
        for (other, its) in others {
            if *other == piece {
                continue;
            }
            let (Some(named), Some(_)) = (
                room.problem.pieces.get(*other),
                room.form(*other, its.orientation),
            ) else {
                return unknown("unknown other piece or orientation");
            };
            if let Some(found) = room.pair((piece, placement), (*other, its), limit) {
                limit = consider(found.distance, found.normal * found.distance, &named.name);
            }
        }
        tightest
    }
}

fn unknown(what: &str) -> Contact {
    Contact {
        with: what.to_owned(),
        distance: f64::NEG_INFINITY,
        push_out: Vec2::ZERO,
    }
}

/// The wall a normal points at, in the case's words.
pub(crate) fn wall_name(normal: Vec2) -> &'static str {
    if normal.x.abs() > 0.95 {
        if normal.x > 0.0 { "right wall" } else { "left wall" }
    } else if normal.y.abs() > 0.95 {
        if normal.y > 0.0 { "back wall" } else { "front wall" }
    } else {
        "corner wall"
    }
}

/// The same with its article, for a sentence.
pub(crate) fn the_wall(normal: Vec2) -> Said {
    if normal.x.abs() > 0.95 {
        if normal.x > 0.0 {
            said!("the right wall")
        } else {
            said!("the left wall")
        }
    } else if normal.y.abs() > 0.95 {
        if normal.y > 0.0 {
            said!("the back wall")
        } else {
            said!("the front wall")
        }
    } else {
        said!("the corner wall")
    }
}
