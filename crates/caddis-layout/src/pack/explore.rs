//! The strip made shorter and shorter: in leaps from different arrangements first, then in small steps from the best one.

use super::budget::Budget;
use super::relocate::Effort;
use super::separate::{Lanes, Patience, separate};
use super::state::{Pose, Scene, State};
use crate::random::Random;
use caddis_geometry::Vec2;

/// Share of the budget after which only the best arrangement is made shorter.
const EXPLORE: f64 = 0.8;
/// What the strip loses after every success while exploring, share of its length.
const LEAP: f64 = 1e-3;
/// The same while compressing, at its beginning and at its end.
const STEPS: (f64, f64) = (5e-4, 1e-5);
const EXPLORING: Patience = Patience {
    rounds: 200,
    strikes: 3,
    hope: f64::INFINITY,
};
const COMPRESSING: Patience = Patience {
    rounds: 100,
    strikes: 5,
    hope: f64::INFINITY,
};
const EFFORT: Effort = Effort {
    local: 25,
    anywhere: 50,
    descents: 3,
};
/// How far down the pool of failed layouts a restart looks: the spread of a normal choice, share of the pool.
const POOL: f64 = 0.25;
/// Copies that make up so much of the hull area are large.
const LARGE: f64 = 0.75;
/// So many pairs are tried for a change of places; the one that overlaps least is pushed apart.
const SWAPS: usize = 4;
/// A restart is given up at a strike that leaves so many times the loss of the best failed layout.
const HOPELESS: f64 = 3.0;

/// A layout without overlap and its length, in widths of the strip.
pub(super) type Packed = (f64, Vec<Pose>);

pub(super) struct Explorer<'a> {
    pub(super) scene: &'a Scene,
    pub(super) budget: &'a Budget<'a>,
    pub(super) lanes: Lanes,
    pub(super) random: Random,
}

pub(super) fn length_of(scene: &Scene, poses: &[Pose]) -> f64 {
    poses
        .iter()
        .zip(&scene.kind_of)
        .map(|(pose, &kind)| pose.at.x + scene.forms.kinds[kind].bounds[pose.turn as usize].max.x)
        .fold(0.0, f64::max)
}

impl Explorer<'_> {
    /// All packings found, each shorter than the one before.
    pub(super) fn run(&mut self, state: &mut State) -> Vec<Packed> {
        let mut found = vec![(state.boards[0].high.x, state.poses.clone())];
        self.explore(state, &mut found);
        self.compress(state, &mut found);
        found
    }

    fn explore(&mut self, state: &mut State, found: &mut Vec<Packed>) {
        let (scene, budget) = (self.scene, self.budget);
        let going = move |steps: u64| budget.lasts(steps, EXPLORE);
        let mut pool: Vec<Packed> = Vec::new();
        let first = state.boards[0].high.x * (1.0 - LEAP);
        if first < self.shortest() {
            return;
        }
        self.shrink(state, first, 0.5);
        while going(state.steps) {
            state.forget_weights();
            let hope = pool.first().map_or(f64::INFINITY, |best| HOPELESS * best.0);
            let patience = Patience { hope, ..EXPLORING };
            if separate(scene, state, patience, EFFORT, &mut self.lanes, &going) {
                let length = length_of(scene, &state.poses);
                found.push((length, state.poses.clone()));
                pool.clear();
                if length * (1.0 - LEAP) < self.shortest() {
                    return;
                }
                self.shrink(state, length * (1.0 - LEAP), 0.5);
            } else {
                let total = state.total();
                let place = pool.partition_point(|kept| kept.0 <= total);
                pool.insert(place, (total, state.poses.clone()));
                let pick = self.random.normal().abs() * POOL * pool.len() as f64;
                let pick = (pick as usize).min(pool.len() - 1);
                self.disturb(state, &pool[pick].1);
            }
        }
    }

    fn compress(&mut self, state: &mut State, found: &mut Vec<Packed>) {
        let (scene, budget) = (self.scene, self.budget);
        let going = move |steps: u64| budget.lasts(steps, 1.0);
        while going(state.steps) {
            let Some((length, poses)) = found.last() else {
                return;
            };
            let done = ((budget.used(state.steps) - EXPLORE) / (1.0 - EXPLORE)).clamp(0.0, 1.0);
            let step = STEPS.0 + (STEPS.1 - STEPS.0) * done;
            if length * (1.0 - step) < self.shortest() {
                return;
            }
            state.poses.clone_from(poses);
            state.boards[0].high.x = *length;
            let cut = self.random.unit();
            self.shrink(state, length * (1.0 - step), cut);
            state.forget_weights();
            if separate(scene, state, COMPRESSING, EFFORT, &mut self.lanes, &going) {
                found.push((length_of(scene, &state.poses), state.poses.clone()));
            }
        }
    }

    /// No strip is shorter than the area of the parts or than the longest part turned as short as it fits.
    fn shortest(&self) -> f64 {
        let kinds = &self.scene.forms.kinds;
        let area: f64 = self.scene.kind_of.iter().map(|&kind| kinds[kind].area).sum();
        let longest = self
            .scene
            .kind_of
            .iter()
            .map(|&kind| kinds[kind].shortest_within(1.0));
        longest.fold(area, f64::max)
    }

    /// Shortens the strip; what lies beyond the cut, a share of the length, moves along.
    fn shrink(&self, state: &mut State, to: f64, cut: f64) {
        let before = state.boards[0].high.x.max(length_of(self.scene, &state.poses));
        state.boards[0].high.x = to;
        for copy in 0..state.poses.len() {
            if state.poses[copy].at.x > cut * before {
                state.poses[copy].at.x -= before - to;
            }
            self.clamp(state, copy);
        }
        state.measure(self.scene);
    }

    /// The layout with two large copies in each other's place, of several such the one that overlaps least.
    fn disturb(&mut self, state: &mut State, poses: &[Pose]) {
        let mut best: Option<Packed> = None;
        for _ in 0..SWAPS {
            state.poses.clone_from_slice(poses);
            self.swap_large(state);
            state.measure(self.scene);
            let total = state.total();
            if best.as_ref().is_none_or(|best| total < best.0) {
                best = Some((total, state.poses.clone()));
            }
        }
        if let Some((_, poses)) = best {
            state.poses = poses;
            state.measure(self.scene);
        }
    }

    /// Two large unlike copies change places; if all are alike one is turned.
    fn swap_large(&mut self, state: &mut State) {
        let scene = self.scene;
        let kinds = &scene.forms.kinds;
        let area = |copy: usize| kinds[scene.kind_of[copy]].hull_area;
        let mut large: Vec<usize> = (0..state.poses.len()).collect();
        large.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
        let whole: f64 = large.iter().map(|&copy| area(copy)).sum();
        let mut sum = 0.0;
        large.retain(|&copy| {
            let is_large = sum < LARGE * whole;
            sum += area(copy);
            is_large
        });
        let first = large[self.random.below(large.len())];
        let own = &kinds[scene.kind_of[first]];
        large.retain(|&copy| {
            let other = &kinds[scene.kind_of[copy]];
            (own.hull_area - other.hull_area).abs() > 0.01 * own.hull_area
                || (own.diameter - other.diameter).abs() > 0.01 * own.diameter
        });
        if large.is_empty() {
            state.poses[first].turn = own.turns[self.random.below(own.turns.len())];
        } else {
            let second = large[self.random.below(large.len())];
            self.swap(state, first, second);
            return;
        }
        self.clamp(state, first);
    }

    /// Two copies change places. Smaller ones that lie within the hull of one go with it, those that the larger one comes to lie
    /// on go where it lay: a large part with a hundred small ones about it moves as a whole.
    fn swap(&self, state: &mut State, first: usize, second: usize) {
        let kinds = &self.scene.forms.kinds;
        let kind = |copy: usize| &kinds[self.scene.kind_of[copy]];
        let (large, small) = if kind(first).hull_area < kind(second).hull_area {
            (second, first)
        } else {
            (first, second)
        };
        let before = [state.poses[large], state.poses[small]];
        state.poses[large].at = before[1].at;
        state.poses[small].at = before[0].at;
        self.clamp(state, large);
        self.clamp(state, small);
        let after = [state.poses[large], state.poses[small]];
        let ways = [after[0].at - before[0].at, after[1].at - before[1].at];
        let within = |owner: usize, pose: Pose, copy: usize, at: Vec2| {
            let turn = self.scene.forms.turns[pose.turn as usize];
            kind(copy).hull_area < kind(owner).hull_area && kind(owner).surrounds(turn, at - pose.at)
        };
        for copy in (0..state.poses.len()).filter(|&copy| copy != first && copy != second) {
            let at = state.poses[copy].at;
            let way = if within(large, before[0], copy, at) {
                ways[0]
            } else if within(small, before[1], copy, at) {
                ways[1]
            } else if within(large, after[0], copy, at) {
                -ways[0]
            } else {
                continue;
            };
            state.poses[copy].at += way;
            self.clamp(state, copy);
        }
    }

    /// Back into the strip, turned if it must be.
    fn clamp(&self, state: &mut State, copy: usize) {
        let kind = self.scene.kind_of[copy];
        let pose = state.poses[copy];
        let turns = &self.scene.forms.kinds[kind].turns;
        let fits = std::iter::once(&pose.turn)
            .chain(turns)
            .find_map(|&turn| Some((turn, self.scene.span(&state.boards[0], kind, turn)?)));
        if let Some((turn, (low, high))) = fits {
            state.poses[copy].turn = turn;
            state.poses[copy].at = pose.at.max(low).min(high);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::forms::Forms;
    use super::super::state::Board;
    use super::*;
    use caddis_basis::Quiet;
    use caddis_geometry::{Contour, Region as Plan, Shape};
    use std::sync::Arc;

    #[test]
    fn what_lies_about_two_copies_moves_with_them() {
        // A large and a middling angle, and small squares: in the bend of each, where the large one comes to lie, and far off.
        let angle = |size: f64| {
            let corners = [
                (0.0, 0.0),
                (1.0, 0.0),
                (1.0, 0.2),
                (0.2, 0.2),
                (0.2, 1.0),
                (0.0, 1.0),
            ];
            let outer = Contour::polygon(corners.map(|(x, y)| Vec2::new(x * size, y * size)));
            let holes = Vec::new();
            Plan {
                shapes: vec![Shape { outer, holes }],
            }
        };
        let square = Plan::rectangle(Vec2::ZERO, Vec2::new(0.02, 0.02));
        let outlines = [angle(0.6), angle(0.3), square].map(|plan| (plan, vec![0.0]));
        let forms = Arc::new(Forms::new(&outlines, 3, 0.0));
        let scene = Scene::new(forms, vec![0, 1, 2, 2, 2, 2], vec![0; 3]);
        let places = [
            (0.4, 0.4),
            (2.4, 0.4),
            (0.35, 0.35),
            (2.38, 0.38),
            (2.2, 0.4),
            (4.5, 0.5),
        ];
        let poses: Vec<Pose> = places
            .iter()
            .map(|&(x, y)| Pose {
                at: Vec2::new(x, y),
                turn: 0,
                board: 0,
            })
            .collect();
        let board = Board {
            low: Vec2::ZERO,
            high: Vec2::new(5.0, 1.0),
            obstacles: Vec::new(),
        };
        let budget = Budget::new(1, None, &Quiet);
        let explorer = Explorer {
            scene: &scene,
            budget: &budget,
            lanes: Lanes::new(1, 1),
            random: Random::new(1, 7),
        };
        let mut state = State::new(vec![board], poses);
        explorer.swap(&mut state, 1, 0);
        let wanted = [
            (2.4, 0.4),
            (0.4, 0.4),
            (2.35, 0.35),
            (0.38, 0.38),
            (0.2, 0.4),
            (4.5, 0.5),
        ];
        for (pose, (x, y)) in state.poses.iter().zip(wanted) {
            assert!(
                pose.at.distance(Vec2::new(x, y)) < 1e-12,
                "{pose:?}, wanted {x} {y}"
            );
        }
    }
}
