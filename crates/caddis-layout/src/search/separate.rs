//! Guided local search: moves pieces until nothing is missing, and weighs what stays stuck ever heavier.
//!
//! # Source
//! Guided local search on overlaps: Egeblad, Nielsen, Odgaard 2007 (EJOR 183:1249) and Gardeyn et al. 2025
//! (arXiv 2509.13329), read in abstract; the overlap measure here is the depth along separating normals.

use super::construct::Filling;
use super::state::{Pose, State};
use crate::engine::{ROUNDING, Separation};
use crate::random::Random;
use caddis_geometry::Vec2;

/// Passes without a better layout before a fresh start.
const PATIENCE: usize = 30;
/// Weights above this are scaled down together, which keeps their order and their range.
const HEAVIEST: f64 = 1e6;
/// Longest and shortest step of the descent, metres.
const STEPS: (f64, f64) = (0.02, 5e-5);
/// Slot costs only decide between poses that lack equally much.
const COST_SHARE: f64 = 1e-4;

/// One searcher with its own generator and weights.
#[derive(Debug, Clone)]
pub(crate) struct Lane<'a> {
    pub(crate) state: State<'a>,
    pub(crate) random: Random,
    /// Clearance asked on top of every growing demand.
    pub(crate) extra: f64,
    /// Poses with the least missing so far, and how much that is.
    pub(crate) best: Vec<Pose>,
    pub(crate) best_total: f64,
    weights: Vec<f64>,
    stuck: usize,
    restarts: usize,
    /// Never starts afresh, only repairs.
    pub(crate) repairs_only: bool,
}

impl<'a> Lane<'a> {
    pub(crate) fn new(state: State<'a>, random: Random, extra: f64) -> Self {
        let count = state.len();
        let best_total = state.total(extra);
        Self {
            best: state.poses.clone(),
            best_total,
            state,
            random,
            extra,
            weights: vec![1.0; count * (count + 1)],
            stuck: 0,
            restarts: 0,
            repairs_only: false,
        }
    }

    pub(crate) fn is_feasible(&self) -> bool {
        self.best_total <= ROUNDING
    }

    /// Searches until feasible or until `steps` more placements are evaluated.
    pub(crate) fn run(&mut self, steps: u64) {
        let end = self.state.steps + steps;
        let movable: Vec<usize> = (0..self.state.len()).filter(|&i| self.state.movable[i]).collect();
        if movable.is_empty() {
            self.note();
            return;
        }
        while !self.is_feasible() && self.state.steps < end && !self.state.is_spent() {
            let mut colliding: Vec<usize> = movable
                .iter()
                .copied()
                .filter(|&piece| {
                    let pose = self.state.poses[piece];
                    self.state.own_overlap(piece, &pose, self.extra, ROUNDING) > ROUNDING
                })
                .collect();
            self.random.shuffle(&mut colliding);
            for &piece in &colliding {
                if self.state.is_spent() {
                    break;
                }
                self.move_piece(piece);
                if self.stuck > 6 && self.random.unit() < 0.15 {
                    self.swap(piece, &movable);
                }
            }
            if self.stuck % 4 == 3 {
                self.joint();
            }
            self.note();
            self.weigh();
            if self.stuck >= PATIENCE {
                if self.repairs_only {
                    return;
                }
                self.restart(&movable);
                self.note();
            }
        }
    }

    /// Takes note of the layout if it is the best so far.
    pub(crate) fn note(&mut self) {
        let total = self.state.total(self.extra);
        if total < 0.98 * self.best_total || total <= ROUNDING {
            self.stuck = 0;
        } else {
            self.stuck += 1;
        }
        if total < self.best_total || total <= ROUNDING {
            self.best_total = total;
            self.best.clone_from(&self.state.poses);
        }
    }

    fn weight(&self, piece: usize, other: usize) -> f64 {
        self.weights[piece * (self.state.len() + 1) + other]
    }

    /// What a piece lacks in a pose, weighted; the room has the weight after the last piece's.
    fn value(&mut self, piece: usize, pose: &Pose, bound: f64) -> f64 {
        self.state.steps += 1;
        let count = self.state.len();
        let slot = self.state.slot_of(piece, pose);
        let mut total = COST_SHARE * slot.cost
            + self.weight(piece, count) * self.state.room_overlap(piece, pose, self.extra);
        for other in 0..count {
            if total > bound {
                break;
            }
            if other != piece {
                let overlap = self.state.pair_overlap(piece, pose, other, self.extra);
                if overlap > 0.0 {
                    total += self.weight(piece, other) * overlap;
                }
            }
        }
        total
    }

    fn move_piece(&mut self, piece: usize) {
        let here = self.state.poses[piece];
        let now = self.value(piece, &here, f64::INFINITY);
        let mut starts: Vec<(f64, Pose)> = vec![(now, here)];
        let usable = self.state.usable;
        let everyone = vec![true; self.state.len()];
        let mut tried = Vec::with_capacity(64);
        for _ in 0..8 {
            let by = Vec2::new(self.random.signed(), self.random.signed()) * 0.04;
            tried.push(Pose {
                slot: here.slot,
                at: here.at + by,
            });
        }
        let mut slots = vec![here.slot];
        for _ in 0..3 {
            slots.push(usable[piece][self.random.below(usable[piece].len())]);
        }
        for slot in slots {
            let (xs, ys) = self.state.contact_lines(piece, slot, &everyone);
            let zone = &self.state.room.slots[piece][slot].zone;
            for _ in 0..10 {
                if !xs.is_empty() && !ys.is_empty() {
                    let at = Vec2::new(xs[self.random.below(xs.len())], ys[self.random.below(ys.len())]);
                    tried.push(Pose { slot, at });
                }
            }
            for _ in 0..4 {
                let share = Vec2::new(self.random.unit(), self.random.unit());
                let size = zone.max - zone.min;
                let at = zone.min + Vec2::new(size.x * share.x, size.y * share.y);
                tried.push(Pose { slot, at });
            }
            if slot != here.slot {
                tried.push(Pose { slot, at: here.at });
            }
        }
        for pose in tried {
            let bound = if starts.len() < 3 {
                f64::INFINITY
            } else {
                starts[2].0
            };
            let value = self.value(piece, &pose, bound);
            if value < bound {
                starts.push((value, pose));
                starts.sort_by(|a, b| a.0.total_cmp(&b.0));
                starts.truncate(3);
            }
        }
        let mut best = (now, here);
        for (value, pose) in starts {
            if value > 4.0 * best.0 + ROUNDING {
                continue;
            }
            let (value, pose) = self.descend(piece, pose, value);
            if value < best.0 {
                best = (value, pose);
            }
            if best.0 <= ROUNDING + COST_SHARE * self.state.slot_of(piece, &best.1).cost {
                break;
            }
        }
        self.state.poses[piece] = best.1;
    }

    /// Pushes a piece off its worst contacts, then descends along the axes and diagonals.
    fn descend(&mut self, piece: usize, start: Pose, value: f64) -> (f64, Pose) {
        let floor = COST_SHARE * self.state.slot_of(piece, &start).cost + ROUNDING;
        let (mut best, mut pose) = (value, start);
        let mut pushed = start;
        for _ in 0..5 {
            if best <= floor {
                return (best, pose);
            }
            let Some(by) = self.worst_push(piece, &pushed) else {
                break;
            };
            pushed.at += by;
            let now = self.value(piece, &pushed, f64::INFINITY);
            if now < best {
                (best, pose) = (now, pushed);
            }
        }
        let mut step = STEPS.0;
        let ways = [
            Vec2::new(1.0, 0.0),
            Vec2::new(0.0, 1.0),
            Vec2::new(0.7, 0.7),
            Vec2::new(0.7, -0.7),
        ];
        let mut way = self.random.below(ways.len());
        while step > STEPS.1 && best > floor && !self.state.is_spent() {
            let mut better = false;
            for sign in [1.0, -1.0] {
                let next = Pose {
                    slot: pose.slot,
                    at: pose.at + ways[way] * (sign * step),
                };
                let now = self.value(piece, &next, best);
                if now < best {
                    (best, pose) = (now, next);
                    better = true;
                    break;
                }
            }
            if better {
                step *= 1.1;
            } else {
                step *= 0.5;
                way = (way + 1 + self.random.below(ways.len() - 1)) % ways.len();
            }
        }
        (best, pose)
    }

    /// The shift that resolves the heaviest broken demand of a piece.
    fn worst_push(&mut self, piece: usize, pose: &Pose) -> Option<Vec2> {
        let state = &self.state;
        let slot = state.slot_of(piece, pose);
        let count = state.len();
        let mut corrections = Vec::new();
        slot.zone.corrections(pose.at, self.extra, &mut corrections);
        let room_weight = self.weight(piece, count);
        let mut worst: Option<(f64, Vec2)> = None;
        let mut consider = |weighted: f64, by: Vec2| {
            if weighted > worst.map_or(0.0, |found| found.0) {
                worst = Some((weighted, by));
            }
        };
        for by in corrections {
            consider(room_weight * by.length(), by);
        }
        for other in 0..count {
            if other == piece || state.pair_overlap(piece, pose, other, self.extra) <= 0.0 {
                continue;
            }
            let its = state.poses[other];
            let Separation { distance, normal } =
                state
                    .room
                    .separation(slot, state.slot_of(other, &its), its.at - pose.at, self.extra);
            consider(-distance * self.weight(piece, other), normal * distance);
        }
        worst.map(|found| found.1)
    }

    /// Tries two pieces in each other's places.
    fn swap(&mut self, piece: usize, movable: &[usize]) {
        let other = movable[self.random.below(movable.len())];
        if other == piece {
            return;
        }
        let count = self.state.len();
        let kept = (self.state.poses[piece], self.state.poses[other]);
        let sum = |lane: &mut Self| {
            let (a, b) = (lane.state.poses[piece], lane.state.poses[other]);
            let shared = lane.weight(piece, other) * lane.state.pair_overlap(piece, &a, other, lane.extra);
            lane.value(piece, &a, f64::INFINITY) + lane.value(other, &b, f64::INFINITY) - shared
        };
        let before = sum(self);
        for (mover, tier, at) in [
            (piece, self.state.slot_of(other, &kept.1).tier, kept.1.at),
            (other, self.state.slot_of(piece, &kept.0).tier, kept.0.at),
        ] {
            let usable = self.state.usable;
            let mut best: Option<(f64, Pose)> = None;
            for &slot in &usable[mover] {
                if self.state.room.slots[mover][slot].tier != tier {
                    continue;
                }
                let pose = Pose { slot, at };
                let value = self.value(mover, &pose, best.map_or(f64::INFINITY, |found| found.0));
                if best.is_none_or(|found| value < found.0) {
                    best = Some((value, pose));
                }
            }
            let Some((_, pose)) = best else {
                (self.state.poses[piece], self.state.poses[other]) = kept;
                return;
            };
            self.state.poses[mover] = pose;
        }
        for mover in [piece, other] {
            let pose = self.state.poses[mover];
            let value = self.value(mover, &pose, f64::INFINITY);
            self.state.poses[mover] = self.descend(mover, pose, value).1;
        }
        if sum(self) >= before {
            (self.state.poses[piece], self.state.poses[other]) = kept;
        } else {
            for k in 0..count {
                for (a, b) in [(piece, k), (k, piece), (other, k), (k, other)] {
                    self.weights[a * (count + 1) + b] = 1.0;
                }
            }
        }
    }

    /// Moves all pieces together, and keeps the result if less is missing.
    fn joint(&mut self) {
        let kept = self.state.poses.clone();
        let before = self.state.total(self.extra);
        self.state.relax(self.extra, 25);
        if self.state.total(self.extra) > before {
            self.state.poses = kept;
        }
    }

    fn weigh(&mut self) {
        let count = self.state.len();
        let mut depths = vec![0.0; self.weights.len()];
        for piece in 0..count {
            let pose = self.state.poses[piece];
            depths[piece * (count + 1) + count] = self.state.room_overlap(piece, &pose, self.extra);
            for other in piece + 1..count {
                let depth = self.state.pair_overlap(piece, &pose, other, self.extra);
                depths[piece * (count + 1) + other] = depth;
                depths[other * (count + 1) + piece] = depth;
            }
        }
        let deepest = depths.iter().copied().fold(ROUNDING, f64::max);
        let mut heaviest: f64 = 1.0;
        for (weight, depth) in self.weights.iter_mut().zip(&depths) {
            *weight = if *depth > ROUNDING {
                *weight * (1.2 + 0.8 * depth / deepest)
            } else {
                (*weight * 0.95).max(1.0)
            };
            heaviest = heaviest.max(*weight);
        }
        if heaviest > HEAVIEST {
            for weight in &mut self.weights {
                *weight = (*weight / 1e3).max(1.0);
            }
        }
    }

    /// A fresh start: the best layout disturbed, or a new one in a new order.
    fn restart(&mut self, movable: &[usize]) {
        self.stuck = 0;
        self.restarts += 1;
        self.weights.fill(1.0);
        if self.restarts.is_multiple_of(2) {
            let towards = Vec2::new(
                [-1.0, 1.0][self.random.below(2)] * [1.0, 0.2][self.random.below(2)],
                [-1.0, 1.0][self.random.below(2)] * [1.0, 0.3][self.random.below(2)],
            );
            self.state
                .construct(Filling { towards, noise: 0.5 }, &mut self.random);
        } else {
            self.state.poses.clone_from(&self.best);
            for _ in 0..2 + self.random.below(2) {
                let a = movable[self.random.below(movable.len())];
                let b = movable[self.random.below(movable.len())];
                let (at_a, at_b) = (self.state.poses[a].at, self.state.poses[b].at);
                for (piece, at) in [(a, at_b), (b, at_a)] {
                    let slots = &self.state.usable[piece];
                    self.state.poses[piece] = Pose {
                        slot: slots[self.random.below(slots.len())],
                        at,
                    };
                }
            }
        }
    }
}
