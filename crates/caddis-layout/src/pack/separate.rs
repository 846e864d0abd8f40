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
    /// A strike that leaves more loss than this is the last one.
    pub(super) hope: f64,
}

/// How many try the same round, each in its own way; fixed, so that workers never change the result.
const LANES: usize = 2;

/// One of several that try the same round; the best one's layout is kept.
#[derive(Debug, Clone)]
struct Lane {
    random: Random,
    scratch: Scratch,
    order: Vec<usize>,
    state: Option<State>,
}

/// All of them, and how many threads they may use.
#[derive(Debug, Clone)]
pub(super) struct Lanes {
    lanes: Vec<Lane>,
    workers: usize,
}

impl Lanes {
    pub(super) fn new(seed: u64, workers: usize) -> Self {
        let lane = |lane| Lane {
            random: Random::new(seed, 200 + lane as u64),
            scratch: Scratch::default(),
            order: Vec::new(),
            state: None,
        };
        Self {
            lanes: (0..LANES).map(lane).collect(),
            workers: workers.clamp(1, LANES),
        }
    }

    /// One round from the state in every lane, the layout that weighs least becoming the state.
    fn round(&mut self, scene: &Scene, state: &mut State, effort: Effort) {
        let before = state.steps;
        for lane in &mut self.lanes {
            match &mut lane.state {
                Some(own) => own.take_over(state),
                None => lane.state = Some(state.clone()),
            }
        }
        if self.workers == 1 {
            for lane in &mut self.lanes {
                lane.round(scene, effort);
            }
        } else {
            let group = LANES.div_ceil(self.workers);
            std::thread::scope(|scope| {
                for lanes in self.lanes.chunks_mut(group) {
                    scope.spawn(move || {
                        for lane in lanes {
                            lane.round(scene, effort);
                        }
                    });
                }
            });
        }
        let steps: u64 = self.states().map(|own| own.steps - before).sum();
        let best = self
            .states()
            .map(State::weighted_total)
            .enumerate()
            .reduce(|a, b| if b.1 < a.1 { b } else { a });
        if let Some(own) = best.and_then(|best| self.lanes[best.0].state.as_mut()) {
            std::mem::swap(state, own);
        }
        // A round without any place to try is a step, so that every search ends.
        state.steps = before + steps.max(1);
    }

    fn states(&self) -> impl Iterator<Item = &State> {
        self.lanes.iter().filter_map(|lane| lane.state.as_ref())
    }
}

impl Lane {
    /// Moves every copy that overlaps once, in an order of its own.
    fn round(&mut self, scene: &Scene, effort: Effort) {
        let Some(state) = &mut self.state else { return };
        self.order.clear();
        self.order
            .extend((0..state.poses.len()).filter(|&copy| state.collides(copy)));
        self.random.shuffle(&mut self.order);
        for &copy in &self.order {
            if state.collides(copy) {
                relocate(scene, state, copy, effort, &mut self.random, &mut self.scratch);
            }
        }
    }
}

/// A loss below this share of the least one so far is a better one.
const BETTER: f64 = 0.98;

/// Whether to go on, asked once a round with the steps used so far.
pub(super) type Going<'a> = dyn Fn(u64) -> bool + 'a;

/// Moves copies until nothing overlaps (then true) or patience or budget are at an end; leaves the layout of least loss,
/// with the weights of the end.
pub(super) fn separate(
    scene: &Scene,
    state: &mut State,
    patience: Patience,
    effort: Effort,
    lanes: &mut Lanes,
    going: &Going,
) -> bool {
    let mut best = state.poses.clone();
    let mut best_total = state.total();
    let mut strikes = 0;
    while best_total > 0.0 && strikes < patience.strikes {
        let at_start = best_total;
        let mut idle = 0;
        while idle < patience.rounds {
            lanes.round(scene, state, effort);
            let total = state.total();
            if state.is_clear() {
                return true;
            }
            if total < best_total {
                if total < BETTER * best_total {
                    idle = 0;
                }
                best_total = total;
                best.clone_from(&state.poses);
            } else {
                idle += 1;
            }
            state.reweigh();
            if !going(state.steps) {
                strikes = patience.strikes;
                break;
            }
        }
        strikes = if best_total < BETTER * at_start && strikes < patience.strikes {
            0
        } else {
            strikes + 1
        };
        state.poses.clone_from(&best);
        state.measure(scene);
        if best_total > patience.hope {
            break;
        }
    }
    state.is_clear()
}
