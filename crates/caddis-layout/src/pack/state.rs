//! Where everything lies, what overlaps, and how much each overlap counts.

use super::bits::{Bits, ones};
use super::forms::Forms;
use caddis_geometry::Vec2;
use std::sync::Arc;

/// Where one copy lies: its middle, its turn (an index into the common turns) and its board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pose {
    pub(super) at: Vec2,
    pub(super) turn: u16,
    pub(super) board: u16,
}

/// Something fixed on a board; kinds that need no better than `quality` do not mind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Obstacle {
    pub(super) kind: usize,
    pub(super) at: Vec2,
    pub(super) quality: u32,
}

/// A rectangle to place copies on, with what is in the way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Board {
    pub(super) low: Vec2,
    pub(super) high: Vec2,
    pub(super) obstacles: Vec<Obstacle>,
}

/// What stays the same while copies move.
#[derive(Debug)]
pub(super) struct Scene {
    pub(super) forms: Arc<Forms>,
    /// Kind of each copy.
    pub(super) kind_of: Vec<usize>,
    /// Quality each kind needs; 0: does not mind anything but the edge.
    pub(super) quality: Vec<u32>,
    /// How much a depth counts, by kinds.
    pub(super) factor: Vec<f64>,
    /// What any overlap counts at least, as a depth, by kinds.
    pub(super) least: Vec<f64>,
    /// Copies, largest first: what is met most often is asked first, and a place that is no good is left soon.
    pub(super) order: Vec<usize>,
}

impl Scene {
    pub(super) fn new(forms: Arc<Forms>, kind_of: Vec<usize>, quality: Vec<u32>) -> Self {
        let count = forms.kinds.len();
        let mut factor = vec![0.0; count * count];
        let mut least = vec![0.0; count * count];
        for a in 0..count {
            for b in 0..count {
                let (p, q) = (&forms.kinds[a], &forms.kinds[b]);
                factor[a * count + b] = (p.hull_area * q.hull_area).sqrt().sqrt();
                let (long, short) = (p.diameter.max(q.diameter), p.diameter.min(q.diameter));
                let both_move = a.max(b) < forms.movable;
                let counted = if both_move { long.min(UNLIKE * short) } else { long };
                least[a * count + b] = LEAST * counted;
            }
        }
        let hull_area = |copy: usize| forms.kinds[kind_of[copy]].hull_area;
        let mut order: Vec<usize> = (0..kind_of.len()).collect();
        order.sort_by(|&a, &b| hull_area(b).total_cmp(&hull_area(a)).then(a.cmp(&b)));
        Self {
            forms,
            kind_of,
            quality,
            factor,
            least,
            order,
        }
    }

    /// Centres at which a kind at a turn lies within the board; `None` when it is too large.
    pub(super) fn span(&self, board: &Board, kind: usize, turn: u16) -> Option<(Vec2, Vec2)> {
        let bounds = self.forms.kinds[kind].bounds[turn as usize];
        let (low, high) = (board.low - bounds.min, board.high - bounds.max);
        let slack = 1e-9 * (board.high.y - board.low.y);
        (low.x <= high.x + slack && low.y <= high.y + slack).then(|| (low, high.max(low)))
    }
}

/// Growth of the weight of the least and of the deepest overlap, and decay where there is none.
const UP: (f64, f64) = (1.2, 2.0);
const DOWN: f64 = 0.95;
/// Share of the larger diameter that any overlap counts as at least.
const LEAST: f64 = 0.003;
/// Of two that move the larger diameter counts as no more than so many times the smaller one: its share would be a good part of
/// what is small, and hide how deep that lies.
const UNLIKE: f64 = 2.0;

#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) boards: Vec<Board>,
    pub(super) poses: Vec<Pose>,
    /// Unweighted loss of each pair, both ways round.
    loss: Vec<f64>,
    pub(super) weight: Vec<f64>,
    /// Pairs with a loss and pairs with a weight above one, a bit each: few of many, so that sums need not look at all.
    meets: Bits,
    heavy: Bits,
    /// Loss against what is fixed on the own board, and its weight by copy.
    wall_loss: Vec<f64>,
    pub(super) wall_weight: Vec<f64>,
    pub(super) steps: u64,
}

impl State {
    /// Nothing is measured yet.
    pub(super) fn new(boards: Vec<Board>, poses: Vec<Pose>) -> Self {
        let count = poses.len();
        Self {
            boards,
            poses,
            loss: vec![0.0; count * count],
            weight: vec![1.0; count * count],
            meets: Bits::new(count),
            heavy: Bits::new(count),
            wall_loss: vec![0.0; count],
            wall_weight: vec![1.0; count],
            steps: 0,
        }
    }

    /// Takes another state over into the memory it has: of pairs only those that are of interest in either.
    pub(super) fn take_over(&mut self, other: &Self) {
        let count = self.poses.len();
        if count != other.poses.len() {
            self.clone_from(other);
            return;
        }
        for copy in 0..count {
            for pair in self.meets.columns_of_either(&other.meets, copy) {
                self.loss[copy * count + pair] = other.loss[copy * count + pair];
            }
            for pair in self.heavy.columns_of_either(&other.heavy, copy) {
                self.weight[copy * count + pair] = other.weight[copy * count + pair];
            }
        }
        self.meets.take_over(&other.meets);
        self.heavy.take_over(&other.heavy);
        self.boards.clone_from(&other.boards);
        self.poses.clone_from(&other.poses);
        self.wall_loss.clone_from(&other.wall_loss);
        self.wall_weight.clone_from(&other.wall_weight);
        self.steps = other.steps;
    }

    /// How far along a board copies reach.
    pub(super) fn used_length(&self, scene: &Scene, board: u16) -> f64 {
        self.poses
            .iter()
            .zip(&scene.kind_of)
            .filter(|(pose, _)| pose.board == board)
            .map(|(pose, &kind)| pose.at.x + scene.forms.kinds[kind].bounds[pose.turn as usize].max.x)
            .fold(0.0, f64::max)
    }

    /// Measures every loss anew.
    pub(super) fn measure(&mut self, scene: &Scene) {
        for copy in 0..self.poses.len() {
            self.measure_one(scene, copy);
        }
    }

    pub(super) fn measure_one(&mut self, scene: &Scene, copy: usize) {
        let count = self.poses.len();
        let own = self.poses[copy];
        let kind = scene.kind_of[copy];
        for other in 0..count {
            let pose = self.poses[other];
            let loss = if other == copy || pose.board != own.board {
                0.0
            } else {
                let theirs = scene.kind_of[other];
                pair_loss(scene, (theirs, pose.turn), (kind, own.turn), own.at - pose.at)
            };
            self.loss[copy * count + other] = loss;
            self.loss[other * count + copy] = loss;
            self.meets.set(copy, other, loss > 0.0);
            self.meets.set(other, copy, loss > 0.0);
        }
        self.wall_loss[copy] = self.boards[own.board as usize]
            .obstacles
            .iter()
            .filter(|obstacle| obstacle.quality < scene.quality[kind])
            .map(|obstacle| pair_loss(scene, (obstacle.kind, 0), (kind, own.turn), own.at - obstacle.at))
            .sum();
    }

    /// Sum over all pairs and walls, unweighted.
    pub(super) fn total(&self) -> f64 {
        let count = self.poses.len();
        let row = |copy: usize| {
            let own = &self.loss[copy * count..];
            self.meets.columns(copy).map(|other| own[other])
        };
        (0..count).flat_map(row).sum::<f64>() / 2.0 + self.wall_loss.iter().sum::<f64>()
    }

    pub(super) fn weighted_total(&self) -> f64 {
        let count = self.poses.len();
        (0..count).map(|copy| self.pairs_price(copy)).sum::<f64>() / 2.0
            + (0..count).map(|copy| self.wall_price(copy)).sum::<f64>()
    }

    /// Weighted loss of one copy.
    pub(super) fn price(&self, copy: usize) -> f64 {
        self.pairs_price(copy) + self.wall_price(copy)
    }

    fn pairs_price(&self, copy: usize) -> f64 {
        let from = copy * self.poses.len();
        let (loss, weight) = (&self.loss[from..], &self.weight[from..]);
        self.meets
            .columns(copy)
            .map(|other| loss[other] * weight[other])
            .sum()
    }

    fn wall_price(&self, copy: usize) -> f64 {
        self.wall_loss[copy] * self.wall_weight[copy]
    }

    pub(super) fn collides(&self, copy: usize) -> bool {
        self.wall_loss[copy] > 0.0 || self.meets.any(copy)
    }

    pub(super) fn is_clear(&self) -> bool {
        (0..self.poses.len()).all(|copy| !self.collides(copy))
    }

    /// Makes what overlaps count more, the deepest most, and what does not count less.
    pub(super) fn reweigh(&mut self) {
        let count = self.poses.len();
        let pairs = (0..count).flat_map(|copy| {
            let own = &self.loss[copy * count..];
            self.meets.columns(copy).map(|other| own[other])
        });
        let most = pairs.chain(self.wall_loss.iter().copied()).fold(0.0, f64::max);
        if most <= 0.0 {
            return;
        }
        let grown = |weight: f64, loss: f64| {
            if loss > 0.0 {
                weight * (UP.0 + (UP.1 - UP.0) * loss / most)
            } else {
                (weight * DOWN).max(1.0)
            }
        };
        let mut heaviest = 0.0_f64;
        for copy in 0..count {
            let words = self.meets.words(copy).iter().zip(self.heavy.words_mut(copy));
            for (index, (meets, heavy)) in words.enumerate() {
                let looked_at = ones(meets | *heavy);
                *heavy = 0;
                for bit in looked_at {
                    let pair = copy * count + index * 64 + bit;
                    let weight = grown(self.weight[pair], self.loss[pair]);
                    self.weight[pair] = weight;
                    *heavy |= u64::from(weight > 1.0) << bit;
                    heaviest = heaviest.max(weight);
                }
            }
        }
        for (loss, weight) in self.wall_loss.iter().zip(&mut self.wall_weight) {
            *weight = grown(*weight, *loss);
            heaviest = heaviest.max(*weight);
        }
        if heaviest > 1e6 {
            // Only the ratios matter; none is ever as large as to drown the rest for good.
            for weight in self.weight.iter_mut().chain(&mut self.wall_weight) {
                *weight = (*weight * 1e-3).max(1.0);
            }
        }
    }

    pub(super) fn forget_weights(&mut self) {
        self.weight.fill(1.0);
        self.heavy.clear();
        self.wall_weight.fill(1.0);
    }
}

fn pair_loss(scene: &Scene, fixed: (usize, u16), moved: (usize, u16), shift: Vec2) -> f64 {
    let kinds = &scene.forms.kinds;
    let (theirs, mine) = (
        kinds[fixed.0].bounds[fixed.1 as usize],
        kinds[moved.0].bounds[moved.1 as usize],
    );
    let gap = Vec2::new(scene.forms.gap, scene.forms.gap);
    let (low, high) = (theirs.min - mine.max - gap, theirs.max - mine.min + gap);
    if shift.x <= low.x || shift.x >= high.x || shift.y <= low.y || shift.y >= high.y {
        return 0.0;
    }
    let deep = scene.forms.depth(scene.forms.between(fixed, moved), shift);
    if deep <= 0.0 {
        return 0.0;
    }
    let at = fixed.0 * kinds.len() + moved.0;
    scene.factor[at] * shaped(f64::from(deep), scene.least[at])
}

/// How a depth counts: any overlap counts something, so that two shallow ones are not as good as none.
#[inline]
pub(super) fn shaped(deep: f64, least: f64) -> f64 {
    deep + least
}
