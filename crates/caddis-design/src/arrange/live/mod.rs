//! What a piece would break where a hand holds it, and the foam on every side of it: fast enough for every frame.
//!
//! The other pieces lie where they lie and their needs are those of the load path as it is; what a move changes of the load path
//! itself is sized again once the piece is put down. Bodies are at their largest, as in the search.

mod breach;
mod plan;
mod prepare;
mod sides;
mod words;

use super::attempt::Attempt;
use super::question::Spot;
use super::ways;
use crate::cushion::Load;
use caddis_basis::InstanceId;
use caddis_geometry::{Placement2, Region, Vec2};
use caddis_layout::{Placement, Prepared, Problem};
use caddis_survey::{Turn, Up};
use plan::Plan;
pub use sides::SideRoom;
use std::sync::Arc;

/// Foam that may be missing and a piece still lies well, metres: what foam is cut to.
const CUT_TO: f64 = super::attempt::SETTLED;
/// Rings of places that are looked at for the nearest that would do, metres apart, and how far out.
const RINGS: (f64, f64) = (0.002, 0.25);

/// What a demand that is broken asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breach {
    /// Foam towards the shell is below its need.
    Cushion,
    /// Foam towards a neighbour is below its need.
    Web,
    /// Two bodies would take the same room.
    Collision,
    /// The piece, or a neighbour, could not be lifted straight out.
    WayOut,
    /// It stands too deep, or proud of its tier.
    Depth,
    /// Its item may not lie that way.
    Way,
}

/// A demand that a piece would break.
#[derive(Debug, Clone, PartialEq)]
pub struct Broken {
    /// Which.
    pub breach: Breach,
    /// What it meets, in the shop's words.
    pub with: String,
    /// How much is missing, metres.
    pub missing: f64,
    /// All of it in a sentence, without a full stop.
    pub sentence: String,
}

/// How a piece would lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Lie {
    /// Nothing is broken by more than foam is cut to.
    pub is_allowed: bool,
    /// What is broken, the worst first.
    pub broken: Vec<Broken>,
    /// Foam left, right, front, back, below and above.
    pub sides: [SideRoom; 6],
    /// Height of its lowest point.
    pub bottom: f64,
    /// Its plan where it would lie, at its largest.
    pub outline: Region,
}

/// Something in the way, by a name.
struct Way {
    name: String,
    /// With the demands, and bare.
    asked: Prepared,
    bare: Prepared,
    /// Bands: low, high, outline.
    bands: Vec<(f64, f64, Plan)>,
}

/// A job's arrangement, prepared for many questions.
pub struct Live {
    fixed: Arc<Fixed>,
    placements: Vec<Placement>,
}

/// What stays while pieces are moved.
struct Fixed {
    /// Everything at once: what decides.
    whole: Prepared,
    /// Pieces alone in a room without walls: with their webs, and bare.
    open: Prepared,
    bare: Prepared,
    hindrances: Vec<Way>,
    pieces: Vec<Known>,
    /// Outlines of bodies by item and orientation, in bands and as a whole.
    bodies: Vec<Vec<Vec<(f64, f64, Plan)>>>,
    shadows: Vec<Vec<Region>>,
    lid: f64,
    /// Foam over the base block's pieces under the board of the tray; `None` where there is no board.
    cover: Option<f64>,
    /// What it was prepared from: ways by item, the attempt whose demands hold, and what leans on each piece.
    ways: Vec<Vec<ways::Way>>,
    attempt: Attempt,
    loads: Vec<[Load; 6]>,
}

/// A piece, or a space kept for later.
struct Known {
    /// `None` for a space.
    instance: Option<InstanceId>,
    name: String,
    /// Index into `bodies`.
    body: usize,
    /// The ways of its orientations.
    ways: Vec<(Up, Turn)>,
    /// Foam that the lid pad owes it, by orientation.
    above: Vec<f64>,
    /// The same where a tray's board closes over it.
    covered: Vec<f64>,
    ups: Vec<Up>,
    may_turn: bool,
}

impl Live {
    /// Whether a piece is prepared to lie that way.
    pub fn knows(&self, piece: &InstanceId, up: Up, turn: Turn) -> bool {
        self.index(piece)
            .is_some_and(|index| self.fixed.pieces[index].ways.contains(&(up, turn)))
    }

    /// How many tiers there are, the lid not counted.
    pub fn tiers(&self) -> usize {
        self.problem()
            .tiers
            .iter()
            .filter(|tier| !tier.opens_down)
            .count()
    }

    /// Whether the lid has pockets.
    pub fn has_pockets(&self) -> bool {
        self.problem().tiers.iter().any(|tier| tier.opens_down)
    }

    fn is_in_lid(&self, placement: &Placement) -> bool {
        self.problem().tiers[placement.tier].opens_down
    }

    fn problem(&self) -> &Problem {
        self.fixed.whole.problem()
    }

    fn index(&self, piece: &InstanceId) -> Option<usize> {
        self.fixed
            .pieces
            .iter()
            .position(|known| known.instance.as_ref() == Some(piece))
    }

    /// Where a piece lies now.
    pub fn spot(&self, piece: &InstanceId) -> Option<Spot> {
        let index = self.index(piece)?;
        let placement = self.placements[index];
        let (up, turn) = self.fixed.pieces[index].ways[placement.orientation];
        Some(Spot {
            up,
            turn,
            at: placement.at,
            tier: placement.tier,
            in_lid: self.is_in_lid(&placement),
        })
    }

    /// How a piece would lie; `None` for a piece that the brief does not know, or a way that is not prepared (see [`Live::across`]).
    pub fn lie(&self, piece: &InstanceId, spot: &Spot) -> Option<Lie> {
        let index = self.index(piece)?;
        let placement = self.placement(index, spot)?;
        let mut broken = self.broken(index, &placement);
        let known = &self.fixed.pieces[index];
        if !known.ups.contains(&spot.up) {
            broken.push(words::way(&known.name, &format!("with {} up", spot.up.as_str())));
        }
        if !known.may_turn && spot.turn != Turn::NONE {
            broken.push(words::way(&known.name, "turned about the vertical"));
        }
        broken.sort_by(|a, b| {
            (b.breach == Breach::Collision)
                .cmp(&(a.breach == Breach::Collision))
                .then(b.missing.total_cmp(&a.missing))
        });
        Some(Lie {
            is_allowed: broken.iter().all(|broken| broken.missing <= CUT_TO),
            broken,
            sides: self.sides(index, &placement),
            bottom: placement.bottom,
            outline: self.fixed.shadows[known.body][placement.orientation].placed(&Placement2 {
                angle: 0.0,
                shift: placement.at,
            }),
        })
    }

    /// The nearest place in plan where the piece would break nothing, as it is turned and in its tier; `None` where there is
    /// none within a quarter of a metre.
    pub fn nearest(&self, piece: &InstanceId, spot: &Spot) -> Option<Spot> {
        let index = self.index(piece)?;
        let mut placement = self.placement(index, spot)?;
        let others = self.others(index);
        let holds = |at: Vec2, placement: &mut Placement| {
            placement.at = at;
            self.fixed.whole.check(index, placement, &others).distance >= 0.0
        };
        if holds(spot.at, &mut placement) {
            return Some(*spot);
        }
        // Pushed out of what it meets, it may come to rest close by.
        let mut pushed = spot.at;
        let mut found: Option<Vec2> = None;
        for _ in 0..12 {
            placement.at = pushed;
            let contact = self.fixed.whole.check(index, &placement, &others);
            if contact.distance >= 0.0 {
                found = Some(pushed);
                break;
            }
            if contact.push_out == Vec2::ZERO {
                break;
            }
            pushed += contact.push_out * 1.0001;
        }
        let mut most = found.map_or(RINGS.1, |at| at.distance(spot.at));
        let mut radius = RINGS.0;
        while radius < most {
            let count = ((std::f64::consts::TAU * radius / RINGS.0).ceil() as u32).clamp(8, 180);
            for step in 0..count {
                let angle = std::f64::consts::TAU * f64::from(step) / f64::from(count);
                let at = spot.at + Vec2::new(radius, 0.0).rotated(angle);
                if holds(at, &mut placement) {
                    most = radius;
                    found = Some(at);
                    break;
                }
            }
            radius += RINGS.0;
        }
        found.map(|at| Spot { at, ..*spot })
    }

    fn others(&self, index: usize) -> Vec<(usize, Placement)> {
        self.placements
            .iter()
            .copied()
            .enumerate()
            .filter(|(other, _)| *other != index)
            .collect()
    }

    /// Flush with its tier's top; in the lid on its cover.
    fn placement(&self, index: usize, spot: &Spot) -> Option<Placement> {
        let way = (spot.up, spot.turn);
        let orientation = self.fixed.pieces[index]
            .ways
            .iter()
            .position(|known| *known == way)?;
        let tier = if spot.in_lid && self.has_pockets() {
            self.tiers()
        } else {
            spot.tier.min(self.tiers() - 1)
        };
        Some(Placement {
            orientation,
            tier,
            at: spot.at,
            bottom: self.fixed.whole.flush_bottom(index, orientation, tier)?,
        })
    }

    /// The bands of a body where it lies.
    fn bands_of(&self, index: usize, placement: &Placement) -> impl Iterator<Item = (f64, f64, Plan)> + '_ {
        let (at, bottom) = (placement.at, placement.bottom);
        self.fixed.bodies[self.fixed.pieces[index].body][placement.orientation]
            .iter()
            .map(move |(low, high, plan)| (bottom + low, bottom + high, plan.moved(at)))
    }

    /// Whether a body meets what stands between two heights.
    fn body_meets(&self, index: usize, placement: &Placement, (low, high): (f64, f64), plan: &Plan) -> bool {
        self.bands_of(index, placement)
            .any(|(its_low, its_high, its)| its_low < high - 1e-6 && low < its_high - 1e-6 && its.meets(plan))
    }
}

#[cfg(test)]
mod tests;
