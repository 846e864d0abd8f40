//! Orders of filling, tried side by side.

use super::Sheet;
use super::fill::{Bench, Filled, Key};
use crate::SearchOptions;
use crate::random::Random;
use caddis_basis::{Flow, Progress};

/// Lanes, rounds and fruitless tries of the re-ordering; fixed, so that workers never change the result.
const LANES: usize = 4;
const ROUNDS: u64 = 8;
const FRUITLESS: usize = 60;
/// Lanes that start with all parts turned one way: as drawn, and by a quarter.
const ALIKE: usize = 2;

/// One copy to place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Copy {
    pub(super) part: usize,
    pub(super) number: u32,
    /// The only turn to try, if the search wants one.
    pub(super) turn: Option<usize>,
}

#[derive(Debug, Clone)]
struct Lane {
    random: Random,
    order: Vec<Copy>,
    types: Vec<usize>,
    best: Option<(Key, Vec<Filled>)>,
    steps: u64,
    fruitless: usize,
}

/// The best filling of plain sheets found within the step budget, and the steps used; content with the first that costs no more than
/// `enough`.
pub(super) fn best_filling(
    bench: &Bench,
    copies: &[Copy],
    enough: f64,
    options: &SearchOptions,
    progress: &dyn Progress,
) -> (Option<(Key, Vec<Filled>)>, u64) {
    let lanes = reorder(bench, copies, bench.sheets(), enough, options, progress);
    let steps = lanes.iter().map(|lane| lane.steps).sum();
    let best = lanes
        .into_iter()
        .filter_map(|lane| lane.best)
        .reduce(|a, b| if b.0 < a.0 { b } else { a });
    (best, steps)
}

fn reorder(
    bench: &Bench,
    copies: &[Copy],
    sheets: &[Sheet],
    enough: f64,
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Vec<Lane> {
    let mut types: Vec<usize> = (0..sheets.len())
        .filter(|&kind| sheets[kind].is_plain())
        .collect();
    types.sort_by(|&a, &b| {
        let price = |sheet: &Sheet| sheet.cost / sheet.area();
        price(&sheets[a]).total_cmp(&price(&sheets[b])).then(a.cmp(&b))
    });
    let mut lanes: Vec<Lane> = (0..LANES)
        .map(|lane| Lane {
            random: Random::new(options.seed, 100 + lane as u64),
            order: copies.to_vec(),
            types: types.clone(),
            best: None,
            steps: 0,
            fruitless: 0,
        })
        .collect();
    if copies.is_empty() {
        return lanes;
    }
    if enough > 0.0 {
        // The first tries: by size, and by size with everything turned one way.
        let is_enough = |best: &(Key, Vec<Filled>)| best.0.costs_at_most(enough);
        for index in 0..LANES.min(1 + ALIKE) {
            lanes[index].run(bench, 0, index);
            if lanes[index].best.as_ref().is_some_and(is_enough) {
                return lanes;
            }
        }
    }
    let share = options.steps / LANES as u64 / ROUNDS;
    for round in 0..ROUNDS {
        let workers = options.workers.clamp(1, LANES);
        let group = LANES.div_ceil(workers);
        let end = share * (round + 1);
        if workers == 1 {
            for (index, lane) in lanes.iter_mut().enumerate() {
                lane.run(bench, end, index);
            }
        } else {
            std::thread::scope(|scope| {
                for (first, lanes) in lanes.chunks_mut(group).enumerate() {
                    scope.spawn(move || {
                        for (index, lane) in lanes.iter_mut().enumerate() {
                            lane.run(bench, end, first * group + index);
                        }
                    });
                }
            });
        }
        let least = lanes
            .iter()
            .filter_map(|lane| lane.best.as_ref())
            .map(|best| best.1.len())
            .min()
            .unwrap_or(0);
        let words = format!("{least} sheets");
        let fraction = (round + 1) as f64 / ROUNDS as f64;
        if progress.report("nest", fraction, Some(&words)) == Flow::Stop {
            break;
        }
        if lanes.iter().all(|lane| lane.fruitless >= FRUITLESS) {
            break;
        }
    }
    lanes
}

impl Lane {
    /// Tries other orders until so many steps are used; the first try is strictly by size, of the next lanes with all parts turned one
    /// way, as a person lays equal plates.
    fn run(&mut self, bench: &Bench, end: u64, index: usize) {
        loop {
            let is_first = self.best.is_none() && index <= ALIKE;
            if !is_first && (self.steps >= end || self.fruitless >= FRUITLESS) {
                return;
            }
            let mut order = self.order.clone();
            let mut types = self.types.clone();
            if is_first {
                for copy in &mut order {
                    copy.turn = index.checked_sub(1);
                }
            } else {
                self.disturb(&mut order, &mut types);
            }
            let (key, filled) = bench.fill(&order, &types, &mut self.steps);
            let accepted = self.best.as_ref().is_none_or(|best| key <= best.0);
            let better = self.best.as_ref().is_none_or(|best| key < best.0);
            if accepted {
                (self.order, self.types) = (order, types);
                self.best = Some((key, filled));
            }
            self.fruitless = if better { 0 } else { self.fruitless + 1 };
        }
    }

    fn disturb(&mut self, order: &mut Vec<Copy>, types: &mut [usize]) {
        let turned = self.random.unit();
        if turned < 0.4 {
            // One copy, or all of its part, at one turn only, or free again.
            let at = self.random.below(order.len());
            let (part, all) = (order[at].part, self.random.unit() < 0.6);
            let turn = (self.random.unit() < 0.8).then(|| self.random.below(4));
            for (index, copy) in order.iter_mut().enumerate() {
                if index == at || (all && copy.part == part) {
                    copy.turn = turn;
                }
            }
        }
        for _ in 0..=self.random.below(3) {
            if turned < 0.25 {
                break;
            }
            let from = self.random.below(order.len());
            let to = self.random.below(order.len());
            if self.random.unit() < 0.5 {
                order.swap(from, to);
            } else {
                let copy = order.remove(from);
                order.insert(to, copy);
            }
        }
        if types.len() > 1 && self.random.unit() < 0.2 {
            let a = self.random.below(types.len());
            let b = self.random.below(types.len());
            types.swap(a, b);
        }
    }
}
