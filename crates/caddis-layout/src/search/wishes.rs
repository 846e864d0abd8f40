//! What is wished, once everything fits: pieces moved and exchanged until no move brings them nearer to it.

use super::state::{Pose, State};
use crate::Wish;
use crate::engine::{ROUNDING, Slot};
use crate::random::Random;
use caddis_geometry::Vec2;

/// Passes over all wishes.
const PASSES: usize = 3;
/// What lying in different tiers adds to the distance of pieces to be kept together, metres.
const OTHER_TIER: f64 = 0.3;
/// A metre away from the side wished for, against a metre between pieces.
const SIDE_SHARE: f64 = 0.05;
/// Tries of making room for an exchange, per pass and piece.
const EXCHANGES: usize = 12;
/// Last steps that bring a wish just missed home, metres.
const LAST_STEPS: [f64; 4] = [0.008, 0.004, 0.002, 0.001];

impl State<'_> {
    /// Metres by which the wishes are missed; pieces that are to lie towards a side count by where they lie.
    pub(crate) fn unfulfilled(&self) -> f64 {
        self.room
            .problem
            .wishes
            .iter()
            .map(|wish| self.short_of(wish))
            .sum()
    }

    fn short_of(&self, wish: &Wish) -> f64 {
        match *wish {
            Wish::Together(a, b, within) => {
                let (gap, same_tier) = self.gap(a, b);
                (gap - within).max(0.0) + if same_tier { 0.0 } else { OTHER_TIER }
            }
            Wish::Apart(a, b, by) => (by - self.gap(a, b).0).max(0.0),
            Wish::Towards(piece, way) => -SIDE_SHARE * way.dot(self.poses[piece].at),
        }
    }

    /// What distances between pieces are short of, metres.
    pub(crate) fn short(&self) -> f64 {
        let wishes = &self.room.problem.wishes;
        wishes
            .iter()
            .filter(|wish| !matches!(wish, Wish::Towards(..)))
            .map(|wish| self.short_of(wish))
            .sum()
    }

    /// Whether a piece in another pose leaves the distances that are wished no shorter than they are, and the case no farther
    /// out of balance.
    pub(crate) fn keeps_wishes(&mut self, piece: usize, next: Pose) -> bool {
        let (short, unbalanced) = (self.short(), self.unbalanced());
        let kept = std::mem::replace(&mut self.poses[piece], next);
        let keeps = self.short() <= short + ROUNDING && self.unbalanced() <= unbalanced + ROUNDING;
        self.poses[piece] = kept;
        keeps
    }

    /// Moves pieces half of the way to the distance that is wished between them.
    pub(crate) fn pull(&mut self) {
        let room = self.room;
        for wish in &room.problem.wishes {
            let (a, b) = match *wish {
                Wish::Together(a, b, _) | Wish::Apart(a, b, _) => (a, b),
                Wish::Towards(..) => continue,
            };
            let (gap, same_tier) = self.gap(a, b);
            // By how much they are to come nearer.
            let nearer = match *wish {
                Wish::Together(_, _, within) if same_tier => (gap - within).max(0.0),
                Wish::Apart(_, _, by) => (gap - by).min(0.0),
                _ => 0.0,
            };
            if nearer == 0.0 {
                continue;
            }
            let way = self.way_between(a, b) * (nearer / 2.0);
            match (self.movable[a], self.movable[b]) {
                (true, true) => {
                    self.poses[a].at += way * 0.5;
                    self.poses[b].at += way * -0.5;
                }
                (true, false) => self.poses[a].at += way,
                (false, true) => self.poses[b].at += -way,
                (false, false) => {}
            }
        }
    }

    /// From the box of one piece straight to that of another; from middle to middle where they meet.
    fn way_between(&self, a: usize, b: usize) -> Vec2 {
        let half = |piece: usize| {
            let slot = self.slot_of(piece, &self.poses[piece]);
            self.room.forms[slot.form].body.sweep().size() / 2.0
        };
        let off = self.poses[b].at - self.poses[a].at;
        let reach = half(a) + half(b);
        let clear = |off: f64, reach: f64| (off.abs() - reach).max(0.0) * off.signum();
        let straight = Vec2::new(clear(off.x, reach.x), clear(off.y, reach.y));
        if straight.length() > ROUNDING {
            straight.unit()
        } else {
            off.unit()
        }
    }

    /// Distance of two pieces' boxes, and whether they lie in one tier.
    fn gap(&self, a: usize, b: usize) -> (f64, bool) {
        let (slot_a, slot_b) = (self.slot_of(a, &self.poses[a]), self.slot_of(b, &self.poses[b]));
        let half = |slot: &Slot| self.room.forms[slot.form].body.sweep().size() / 2.0;
        let height = |slot: &Slot| self.room.forms[slot.form].body.sweep().height;
        let off = self.poses[b].at - self.poses[a].at;
        let reach = half(slot_a) + half(slot_b);
        let x = (off.x.abs() - reach.x).max(0.0);
        let y = (off.y.abs() - reach.y).max(0.0);
        let z = (slot_b.bottom - slot_a.bottom - height(slot_a))
            .max(slot_a.bottom - slot_b.bottom - height(slot_b))
            .max(0.0);
        (Vec2::new(x.hypot(y), z).length(), slot_a.tier == slot_b.tier)
    }

    fn wishful(&self) -> Vec<usize> {
        let mut pieces: Vec<usize> = self
            .room
            .problem
            .wishes
            .iter()
            .flat_map(|wish| match *wish {
                Wish::Together(a, b, _) | Wish::Apart(a, b, _) => vec![a, b],
                Wish::Towards(piece, _) => vec![piece],
            })
            .filter(|&piece| self.movable[piece])
            .collect();
        pieces.sort_unstable();
        pieces.dedup();
        pieces
    }
}

/// Moves pieces that a wish names to where they are nearest to it, or exchanges them with others that make room; every
/// demand stays kept with `floor` to spare.
pub(crate) fn grant(state: &mut State, random: &mut Random, floor: f64) {
    let wishful = state.wishful();
    if wishful.is_empty() {
        return;
    }
    let everyone = vec![true; state.len()];
    let mut positions = Vec::new();
    for _ in 0..PASSES {
        let before = state.unfulfilled();
        for &piece in &wishful {
            let kept = state.poses[piece];
            let mut best = (state.unfulfilled(), kept);
            let usable = state.usable;
            for &slot in &usable[piece] {
                state.positions(piece, slot, &everyone, random, &mut positions);
                for &at in &positions {
                    let pose = Pose { slot, at };
                    if state.is_spent() {
                        break;
                    }
                    state.poses[piece] = pose;
                    let then = state.unfulfilled();
                    if then < best.0 - 1e-4 && state.own_overlap(piece, &pose, floor, ROUNDING) <= ROUNDING {
                        best = (then, pose);
                    }
                }
            }
            state.poses[piece] = best.1;
            exchange(state, piece, floor);
        }
        if state.unfulfilled() > before - 1e-4 {
            break;
        }
    }
}

/// Exchanges a piece with the one whose place suits it best, the others making room.
fn exchange(state: &mut State, piece: usize, floor: f64) {
    let now = state.unfulfilled();
    let mut promising: Vec<(f64, usize, Pose, Pose)> = Vec::new();
    for other in (0..state.len()).filter(|&other| other != piece && state.movable[other]) {
        let (mine, its) = (state.poses[piece], state.poses[other]);
        let (tier_mine, tier_its) = (state.slot_of(piece, &mine).tier, state.slot_of(other, &its).tier);
        let slot_in = |mover: usize, tier: usize, own: usize| {
            if state.room.slots[mover][own].tier == tier {
                return Some(own);
            }
            let slots = &state.room.slots[mover];
            state.usable[mover]
                .iter()
                .copied()
                .find(|&slot| slots[slot].tier == tier)
        };
        let (Some(there), Some(here)) = (
            slot_in(piece, tier_its, mine.slot),
            slot_in(other, tier_mine, its.slot),
        ) else {
            continue;
        };
        let (a, b) = (
            Pose {
                slot: there,
                at: its.at,
            },
            Pose {
                slot: here,
                at: mine.at,
            },
        );
        (state.poses[piece], state.poses[other]) = (a, b);
        let then = state.unfulfilled();
        (state.poses[piece], state.poses[other]) = (mine, its);
        if then < now - 1e-3 {
            promising.push((then, other, a, b));
        }
    }
    promising.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    for (_, other, a, b) in promising.into_iter().take(EXCHANGES) {
        if state.is_spent() {
            break;
        }
        let mut tried = state.clone();
        (tried.poses[piece], tried.poses[other]) = (a, b);
        let fits = tried.relax(floor + 1e-5, 120) || tried.is_feasible(floor);
        state.steps = tried.steps;
        if fits && tried.unfulfilled() < now - 1e-3 {
            *state = tried;
            return;
        }
    }
}

/// Brings home what sharing the slack has moved just out of a wish's reach, leaving as much spare as there is.
pub(crate) fn settle(state: &mut State) {
    let wishful = state.wishful();
    if wishful.is_empty() {
        return;
    }
    if state.is_spent() {
        return;
    }
    let spare = state.spare();
    for step in LAST_STEPS {
        for &piece in &wishful {
            if state.is_spent() {
                return;
            }
            for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                let kept = state.poses[piece];
                let now = state.short();
                if now <= 0.0 {
                    return;
                }
                let next = Pose {
                    slot: kept.slot,
                    at: kept.at + Vec2::new(x, y) * step,
                };
                state.poses[piece] = next;
                let is_better = state.short() < now - ROUNDING;
                if !is_better || state.own_spare(piece, &next) < spare - 5e-4 {
                    state.poses[piece] = kept;
                }
            }
        }
    }
}
