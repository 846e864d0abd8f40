//! Guided local search: copies that overlap move, overlaps that stay count more and more, until there is none.

use super::relocate::{Effort, Scratch, relocate};
use super::state::{Scene, State};
use crate::random::Random;

/// When to give up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Rounds without a better layout that make a strike.
    pub(super) rounds: usize,
    /// Strikes in a row.
    pub(super) strikes: usize,
}

/// One of several that try the same round each in their own way; the best one's layout is kept.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    random: Random,
    scratch: Scratch,
    order: Vec<usize>,
}

impl Lane {
    pub(super) fn several(count: usize, seed: u64) -> Vec<Self> {
        (0..count)
            .map(|lane| Self {
                random: Random::new(seed, 200 + lane as u64),
                scratch: Scratch::default(),
                order: Vec::new(),
            })
            .collect()
    }

    fn round(&mut self, scene: &Scene, state: &mut State, effort: Effort) {
        self.order.clear();
        self.order.extend((0..state.poses.len()).filter(|&copy| state.collides(copy)));
        self.random.shuffle(&mut self.order);
        for index in 0..self.order.len() {
            let copy = self.order[index];
            if state.collides(copy) {
                relocate(scene, state, copy, effort, &mut self.random, &mut self.scratch);
            }
        }
    }
}

/// Whether to go on, asked once a round with the steps used so far.
pub(super) type Going<'a> = dyn Fn(u64) -> bool + 'a;

/// Moves copies until nothing overlaps (then true) or patience or budget are at an end; leaves the layout of least loss,
/// with the weights of the end.
pub(super) fn separate(
    scene: &Scene,
    state: &mut State,
    patience: Patience,
    effort: Effort,
    lanes: &mut [Lane],
    going: &Going,
) -> bool {
    let mut best = state.clone();
    let mut best_total = state.total();
    let mut others: Vec<State> = lanes.iter().skip(1).map(|_| state.clone()).collect();
    let mut strikes = 0;
    while best_total > 0.0 && strikes < patience.strikes {
        let at_start = best_total;
        let mut idle = 0;
        while idle < patience.rounds {
            for other in &mut others {
                other.clone_from(state);
            }
            let before = state.steps;
            let mut steps = 0;
            let mut winner = None;
            let mut least = f64::INFINITY;
            for (index, lane) in lanes.iter_mut().enumerate() {
                let own = if index == 0 { &mut *state } else { &mut others[index - 1] };
                lane.round(scene, own, effort);
                steps += own.steps - before;
                let weighted = own.weighted_total();
                if weighted < least {
                    (least, winner) = (weighted, Some(index));
                }
            }
            if let Some(index) = winner.filter(|&index| index > 0) {
                std::mem::swap(state, &mut others[index - 1]);
            }
            state.steps = before + steps;
            let total = state.total();
            if state.is_clear() {
                return true;
            }
            if total < best_total {
                if total < 0.98 * best_total {
                    idle = 0;
                }
                best_total = total;
                best.poses.clone_from(&state.poses);
            } else {
                idle += 1;
            }
            let tune = super::tune();
            state.reweigh(tune.up_most, tune.up_least, tune.down);
            if !going(state.steps) {
                state.poses.clone_from(&best.poses);
                state.measure(scene);
                return false;
            }
        }
        strikes = if best_total < 0.98 * at_start { 0 } else { strikes + 1 };
        state.poses.clone_from(&best.poses);
        state.measure(scene);
    }
    state.is_clear()
}
