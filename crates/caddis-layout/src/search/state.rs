//! A layout in the making and what it lacks.

use crate::engine::{ROUNDING, Room, SPARE_CAP, Slot};
use crate::{Layout, Placement};
use caddis_geometry::Vec2;

/// Longest common shift towards balance between two rounds, metres.
const LEAN: f64 = 0.003;

/// A slot of a piece and the plan position in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pose {
    pub(crate) slot: usize,
    pub(crate) at: Vec2,
}

/// One pose per piece, and which of them may move.
#[derive(Debug, Clone)]
pub(crate) struct State<'a> {
    pub(crate) room: &'a Room,
    pub(crate) poses: Vec<Pose>,
    pub(crate) movable: Vec<bool>,
    /// Slots each piece can be in at all.
    pub(crate) usable: &'a [Vec<usize>],
    /// Placements evaluated.
    pub(crate) steps: u64,
    /// How many there may be.
    pub(crate) limit: u64,
}

impl<'a> State<'a> {
    pub(crate) fn slot_of(&self, piece: usize, pose: &Pose) -> &'a Slot {
        &self.room.slots[piece][pose.slot]
    }

    /// Whether nothing more may be evaluated.
    pub(crate) fn is_spent(&self) -> bool {
        self.steps >= self.limit
    }

    pub(crate) fn len(&self) -> usize {
        self.poses.len()
    }

    pub(crate) fn room_overlap(&self, piece: usize, pose: &Pose, extra: f64) -> f64 {
        self.slot_of(piece, pose).zone.overlap(pose.at, extra)
    }

    /// Overlap of a piece in a pose with another piece where it is.
    pub(crate) fn pair_overlap(&self, piece: usize, pose: &Pose, other: usize, extra: f64) -> f64 {
        let its = &self.poses[other];
        self.room.overlap(
            self.slot_of(piece, pose),
            self.slot_of(other, its),
            its.at - pose.at,
            extra,
        )
    }

    /// What a piece lacks in a pose, unweighted; stops counting above `bound`.
    pub(crate) fn own_overlap(&mut self, piece: usize, pose: &Pose, extra: f64, bound: f64) -> f64 {
        self.steps += 1;
        let mut total = self.room_overlap(piece, pose, extra);
        for other in 0..self.len() {
            if total > bound {
                break;
            }
            if other != piece {
                total += self.pair_overlap(piece, pose, other, extra);
            }
        }
        total
    }

    /// Everything that is missing, metres.
    pub(crate) fn total(&self, extra: f64) -> f64 {
        let mut total = 0.0;
        for piece in 0..self.len() {
            total += self.room_overlap(piece, &self.poses[piece], extra);
            for other in piece + 1..self.len() {
                total += self.pair_overlap(piece, &self.poses[piece], other, extra);
            }
        }
        total
    }

    pub(crate) fn is_feasible(&self, extra: f64) -> bool {
        self.total(extra) <= ROUNDING
    }

    /// By how much all cushions around one piece could grow, at most the cap.
    pub(crate) fn own_spare(&mut self, piece: usize, pose: &Pose) -> f64 {
        self.steps += 1;
        let slot = self.slot_of(piece, pose);
        let mut least = slot.zone.spare(pose.at).min(SPARE_CAP);
        for other in 0..self.len() {
            if other != piece {
                let its = &self.poses[other];
                let spare = self.room.spare(slot, self.slot_of(other, its), its.at - pose.at);
                least = least.min(spare);
            }
        }
        least
    }

    /// Least spare of all.
    pub(crate) fn spare(&mut self) -> f64 {
        (0..self.len())
            .map(|piece| {
                let pose = self.poses[piece];
                self.own_spare(piece, &pose)
            })
            .fold(SPARE_CAP, f64::min)
    }

    /// What the chosen slots cost.
    pub(crate) fn cost(&self) -> f64 {
        (0..self.len())
            .map(|piece| self.slot_of(piece, &self.poses[piece]).cost)
            .sum()
    }

    /// From the balance point to the centre of mass, each way as it counts.
    pub(crate) fn offset(&self) -> Vec2 {
        let pieces = &self.room.problem.pieces;
        let mass: f64 = pieces.iter().map(|piece| piece.mass.max(0.0)).sum();
        if mass <= 0.0 {
            return Vec2::ZERO;
        }
        let moment = pieces
            .iter()
            .zip(&self.poses)
            .fold(Vec2::ZERO, |sum, (piece, pose)| {
                sum + pose.at * piece.mass.max(0.0)
            });
        let off = moment / mass - self.room.problem.balance;
        let counts = self.room.problem.balance_counts;
        Vec2::new(off.x * counts.x, off.y * counts.y)
    }

    /// By how much the centre of mass lies beyond what still counts as balanced, metres.
    pub(crate) fn unbalanced(&self) -> f64 {
        self.beyond_balance().length()
    }

    /// The same with its direction.
    fn beyond_balance(&self) -> Vec2 {
        let (off, within) = (self.offset(), self.room.problem.weights.balanced_within);
        let beyond = |off: f64, within: f64| (off.abs() - within).max(0.0) * off.signum();
        Vec2::new(beyond(off.x, within.x), beyond(off.y, within.y))
    }

    /// Shifts all pieces a little towards balance, where the layout lies out of it.
    pub(crate) fn lean(&mut self) {
        let beyond = self.beyond_balance();
        if beyond == Vec2::ZERO {
            return;
        }
        let by = beyond.unit() * -beyond.length().min(LEAN);
        for piece in 0..self.len() {
            if self.movable[piece] {
                self.poses[piece].at += by;
            }
        }
    }

    /// Moves pieces out of each other and off the walls, all together, until nothing is missing or the rounds end.
    ///
    /// # Source
    /// Projection onto one broken demand after another (Gauss-Seidel), each pair sharing its correction.
    pub(crate) fn relax(&mut self, extra: f64, rounds: usize) -> bool {
        let mut corrections = Vec::new();
        for round in 0..rounds {
            if self.is_spent() {
                return false;
            }
            self.steps += self.len() as u64 / 2 + 1;
            let mut missing = 0.0;
            for piece in 0..self.len() {
                let pose = self.poses[piece];
                corrections.clear();
                self.slot_of(piece, &pose)
                    .zone
                    .corrections(pose.at, extra, &mut corrections);
                for &by in &corrections {
                    missing += by.length();
                    if self.movable[piece] {
                        self.poses[piece].at += by;
                    }
                }
                for other in piece + 1..self.len() {
                    let (a, b) = (self.poses[piece], self.poses[other]);
                    if self.pair_overlap(piece, &a, other, extra) <= 0.0 {
                        continue;
                    }
                    let (slot_a, slot_b) = (self.slot_of(piece, &a), self.slot_of(other, &b));
                    let found = self.room.separation(slot_a, slot_b, b.at - a.at, extra);
                    missing -= found.distance;
                    let by = found.normal * -found.distance;
                    match (self.movable[piece], self.movable[other]) {
                        (true, true) => {
                            self.poses[piece].at += by * -0.5;
                            self.poses[other].at += by * 0.5;
                        }
                        (true, false) => self.poses[piece].at += -by,
                        (false, true) => self.poses[other].at += by,
                        (false, false) => {}
                    }
                }
            }
            if missing <= ROUNDING {
                return true;
            }
            // Wishes and balance pull along for half of the way; what they lack keeps nothing from being feasible.
            if round < rounds / 2 {
                self.pull();
                self.lean();
            }
        }
        false
    }

    /// Positions worth trying for a piece in a slot: corners of its zone, and lines where its box touches walls and
    /// the boxes of other pieces.
    pub(crate) fn contact_lines(&self, piece: usize, slot: usize, among: &[bool]) -> (Vec<f64>, Vec<f64>) {
        let way = &self.room.slots[piece][slot];
        let zone = &way.zone;
        let (mut xs, mut ys) = (vec![zone.min.x, zone.max.x], vec![zone.min.y, zone.max.y]);
        let mut add = |low: Vec2, high: Vec2| {
            xs.extend([low.x, high.x]);
            ys.extend([low.y, high.y]);
        };
        for (_, no_go) in &zone.hindrances {
            let (low, high) = no_go.bounds();
            add(-high, -low);
        }
        for (other, &counts) in among.iter().enumerate() {
            if other == piece || !counts {
                continue;
            }
            let its = self.poses[other];
            self.room.between(way, self.slot_of(other, &its), |no_go| {
                let (low, high) = no_go.bounds();
                add(its.at - high, its.at - low);
            });
        }
        for (lines, low, high) in [
            (&mut xs, zone.min.x, zone.max.x),
            (&mut ys, zone.min.y, zone.max.y),
        ] {
            lines.retain(|v| *v >= low - ROUNDING && *v <= high + ROUNDING);
            lines.sort_by(f64::total_cmp);
            lines.dedup_by(|a, b| (*a - *b).abs() < 1e-7);
        }
        (xs, ys)
    }

    pub(crate) fn placements(&self) -> Vec<Placement> {
        (0..self.len())
            .map(|piece| {
                let pose = &self.poses[piece];
                let slot = self.slot_of(piece, pose);
                Placement {
                    orientation: slot.orientation,
                    tier: slot.tier,
                    at: pose.at,
                    bottom: slot.bottom,
                }
            })
            .collect()
    }

    pub(crate) fn layout(&mut self, steps: u64) -> Layout {
        Layout {
            placements: self.placements(),
            spare: self.spare(),
            imbalance: self.offset().length(),
            steps,
        }
    }
}
