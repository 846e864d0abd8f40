//! The search.
//!
//! A fixed number of lanes, each with its own generator, run in rounds of a fixed number of evaluations; whatever the
//! number of workers, the same lanes do the same work. What comes first: everything fits, with its cushions; then balance
//! within its limit; then spare clearance less what the chosen ways cost, weighed against the rest of the balance and the
//! wishes by `Problem::weights`; then order.

mod alone;
mod construct;
mod reasons;
mod separate;
mod spread;
mod state;
mod tidy;
mod wishes;

use crate::engine::Room;
use crate::random::Random;
use crate::{Layout, Placement, Problem, SearchOptions, referee};
pub(crate) use alone::ways_alone;
use caddis_basis::{Flow, Outcome, Progress};
use caddis_geometry::Vec2;
use construct::Filling;
use separate::Lane;
use state::{Pose, State};

/// Lanes; fixed, so that the result never depends on the workers.
const LANES: usize = 4;
/// Evaluations of a lane between two looks at the others.
const ROUND: u64 = 20_000;
/// Evaluations spent on sharing the slack, per lane.
const SPREADING: u64 = 300_000;
/// Share of the steps that finding a layout may take; the rest is kept for improving it.
const FINDING: f64 = 0.7;
/// Share of what is left for improving that goes to order at the end.
const TIDYING: f64 = 0.2;
/// Share of the budget spent on keeping every hinted piece exactly where it was.
const KEEPING: f64 = 0.2;
/// Room that outweighs geometry's chord error at arcs, metres.
const HAIR: f64 = 5e-5;
/// What the referee may find at most, metres.
const SLACK: f64 = 1e-6;

/// Places every piece, or says what does not fit and by how much.
///
/// The same problem, seed and steps give the same layout whatever the number of workers. A layout is returned only if
/// [`referee`](crate::referee()) finds nothing at a slack of one micrometre. `Impossible` after a full search is
/// no proof, and its first reason says so; proofs (too deep, too large, too much area) come before any search.
pub fn search(problem: &Problem, options: &SearchOptions, progress: &dyn Progress) -> Outcome<Layout> {
    search_from(problem, &[], options, progress)
}

/// Like [`search`], keeping what it can of earlier placements: pieces with a hint stay exactly where they were if the
/// others can be placed around them; else only their start is kept. Hints beyond the list, or that fit no way of
/// the piece, count as none.
pub fn search_from(
    problem: &Problem,
    hints: &[Option<Placement>],
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Outcome<Layout> {
    let finding = (options.steps as f64 * FINDING) as u64;
    let within = Within { finding, keeps: true };
    search_within(problem, hints, options, within, progress)
}

/// How a search shares out its steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Within {
    /// Steps that finding a layout may take; what is left of them improves it.
    pub finding: u64,
    /// Whether hinted pieces are first held exactly where they were; else they only start from there.
    pub keeps: bool,
}

/// Like [`search_from`], with a say in how its steps are shared out.
pub fn search_within(
    problem: &Problem,
    hints: &[Option<Placement>],
    options: &SearchOptions,
    within: Within,
    progress: &dyn Progress,
) -> Outcome<Layout> {
    run(problem, hints, (options, within), progress, Finish::Improved)
}

/// Like [`search_from`], but the first layout that the referee accepts is given back as it is: slack is not shared out,
/// nothing is balanced or lined up. For the question whether it fits at all, asked of many rooms.
pub fn search_first(
    problem: &Problem,
    hints: &[Option<Placement>],
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Outcome<Layout> {
    let within = Within {
        finding: options.steps,
        keeps: true,
    };
    run(problem, hints, (options, within), progress, Finish::AsFound)
}

/// What becomes of a feasible layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Finish {
    /// Spread, balanced, tidied.
    Improved,
    /// Given back as it is.
    AsFound,
}

fn run(
    problem: &Problem,
    hints: &[Option<Placement>],
    (options, within): (&SearchOptions, Within),
    progress: &dyn Progress,
    finish: Finish,
) -> Outcome<Layout> {
    let finding = within.finding.min(options.steps);
    let reasons = reasons::unsound(problem);
    if !reasons.is_empty() {
        return Outcome::Impossible { reasons };
    }
    if problem.pieces.is_empty() {
        return Outcome::Complete(Layout {
            placements: Vec::new(),
            spare: crate::engine::SPARE_CAP,
            imbalance: 0.0,
            steps: 0,
        });
    }
    let room = Room::new(problem.clone());
    let usable: Vec<Vec<usize>> = room
        .slots
        .iter()
        .map(|slots| {
            (0..slots.len())
                .filter(|&slot| slots[slot].too_deep == 0.0 && !slots[slot].zone.corners.is_empty())
                .collect()
        })
        .collect();
    let start = start(&room, &usable);
    let reasons = reasons::proofs(&room, &start);
    if !reasons.is_empty() {
        return Outcome::Impossible { reasons };
    }
    let mut search = Search {
        options,
        progress,
        used: 0,
        nearest: None,
        finish,
    };
    if let Some(kept) = keeping(&start, hints) {
        if within.keeps {
            let budget = (finding as f64 * KEEPING) as u64;
            match search.run(&kept, budget, Fresh::Free) {
                Ended::Found(layout) => return Outcome::Complete(layout),
                Ended::Refused(_) | Ended::NotFound => {}
                Ended::Stopped(best) => {
                    return Outcome::Stopped {
                        best,
                        steps: search.used,
                    };
                }
            }
        }
        let mut loose = kept;
        loose.movable.clone_from(&start.movable);
        search.nearest = None;
        let budget = finding.saturating_sub(search.used) / 2;
        match search.run(&loose, budget, Fresh::None) {
            Ended::Found(layout) => return Outcome::Complete(layout),
            Ended::Refused(_) | Ended::NotFound => {}
            Ended::Stopped(best) => {
                return Outcome::Stopped {
                    best,
                    steps: search.used,
                };
            }
        }
    }
    let budget = finding.saturating_sub(search.used);
    match search.run(&start, budget, Fresh::Free) {
        Ended::Found(layout) => Outcome::Complete(layout),
        Ended::Stopped(best) => Outcome::Stopped {
            best,
            steps: search.used,
        },
        Ended::Refused(violations) => Outcome::Impossible {
            reasons: reasons::refused(problem, &violations),
        },
        Ended::NotFound => Outcome::Impossible {
            reasons: search
                .nearest
                .as_ref()
                .map(|(_, state)| reasons::conflicts(state, search.used, finish == Finish::Improved))
                .unwrap_or_default(),
        },
    }
}

/// Every piece at some pose, pinned ones at theirs.
fn start<'a>(room: &'a Room, usable: &'a [Vec<usize>]) -> State<'a> {
    let pieces = &room.problem.pieces;
    let poses = pieces
        .iter()
        .enumerate()
        .map(|(piece, asked)| {
            let slot = usable[piece].first().copied().unwrap_or(0);
            let at = asked.pinned.map_or_else(
                || {
                    room.slots[piece]
                        .get(slot)
                        .map_or(Vec2::ZERO, |slot| (slot.zone.min + slot.zone.max) / 2.0)
                },
                |pinned| pinned.at,
            );
            Pose {
                slot: if asked.pinned.is_some() { 0 } else { slot },
                at,
            }
        })
        .collect();
    State {
        room,
        poses,
        movable: pieces.iter().map(|piece| piece.pinned.is_none()).collect(),
        usable,
        steps: 0,
        limit: 0,
    }
}

/// The start with hinted pieces in place and held there, unless they are in conflict; `None` without a usable hint.
fn keeping<'a>(start: &State<'a>, hints: &[Option<Placement>]) -> Option<State<'a>> {
    let mut kept = start.clone();
    let mut hinted = vec![false; start.len()];
    for (piece, hint) in hints.iter().enumerate().take(start.len()) {
        let (Some(hint), true) = (hint, start.movable[piece]) else {
            continue;
        };
        let slot = start.usable[piece].iter().copied().find(|&slot| {
            let way = &start.room.slots[piece][slot];
            way.orientation == hint.orientation
                && way.tier == hint.tier
                && (way.bottom - hint.bottom).abs() < 1e-6
        });
        if let (Some(slot), true) = (slot, hint.at.is_finite()) {
            kept.poses[piece] = Pose { slot, at: hint.at };
            hinted[piece] = true;
        }
    }
    if !hinted.contains(&true) {
        return None;
    }
    let settled: Vec<bool> = (0..start.len())
        .map(|piece| hinted[piece] || !start.movable[piece])
        .collect();
    for piece in (0..start.len()).filter(|&piece| hinted[piece]) {
        let pose = kept.poses[piece];
        let clear = kept.room_overlap(piece, &pose, 0.0) <= crate::engine::ROUNDING
            && (0..start.len()).all(|other| {
                other == piece
                    || !settled[other]
                    || kept.pair_overlap(piece, &pose, other, 0.0) <= crate::engine::ROUNDING
            });
        kept.movable[piece] = !clear;
    }
    Some(kept)
}

/// Placements that may still be evaluated after the last look at what is left.
fn margin(pieces: usize) -> u64 {
    200 + 4 * pieces as u64
}

/// Whether movable pieces are placed anew before the search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fresh {
    /// Yes, all of them.
    Free,
    /// No, the poses are a start.
    None,
}

enum Ended {
    Found(Layout),
    NotFound,
    Refused(Vec<crate::Violation>),
    Stopped(Option<Layout>),
}

struct Search<'a, 'b> {
    options: &'b SearchOptions,
    progress: &'b dyn Progress,
    used: u64,
    /// What lacked least so far.
    nearest: Option<(f64, State<'a>)>,
    finish: Finish,
}

impl<'a> Search<'a, '_> {
    fn run(&mut self, start: &State<'a>, budget: u64, fresh: Fresh) -> Ended {
        let mut lanes: Vec<Lane> = (0..LANES)
            .map(|lane| {
                let mut state = start.clone();
                state.steps = 0;
                state.limit = (budget / LANES as u64).saturating_sub(margin(state.len()));
                Lane::new(state, Random::new(self.options.seed, lane as u64 + 1), 0.0)
            })
            .collect();
        let everything_stays = !start.movable.contains(&true);
        if fresh == Fresh::Free && !everything_stays {
            self.each(&mut lanes, |index, lane| {
                const CORNERS: [(f64, f64); LANES] = [(-1.0, -0.3), (0.3, 1.0), (-1.0, 1.0), (1.0, -0.2)];
                let (x, y) = CORNERS[index];
                let noise = if index < 2 { 0.0 } else { 0.3 };
                let filling = Filling {
                    towards: Vec2::new(x, y),
                    noise,
                };
                lane.state.construct(filling, &mut lane.random);
                lane.best_total = f64::INFINITY;
                lane.note();
            });
        }
        let before = self.used;
        loop {
            self.used = before + lanes.iter().map(|lane| lane.state.steps).sum::<u64>();
            for lane in &lanes {
                if self
                    .nearest
                    .as_ref()
                    .is_none_or(|known| lane.best_total < known.0)
                {
                    let mut state = lane.state.clone();
                    state.poses.clone_from(&lane.best);
                    self.nearest = Some((lane.best_total, state));
                }
            }
            let spent = self.used - before;
            let found = lanes.iter().any(Lane::is_feasible);
            let lacking = self.nearest.as_ref().map_or(0.0, |known| known.0);
            let words = if found {
                "everything fits".to_owned()
            } else {
                format!("{:.1} mm missing", lacking * 1e3)
            };
            let fraction = if found {
                0.8
            } else {
                0.8 * spent as f64 / budget.max(1) as f64
            };
            let stopped = self.progress.report("arrange", fraction.min(0.8), Some(&words)) == Flow::Stop;
            if found {
                return self.finish(lanes, stopped);
            }
            if stopped {
                return Ended::Stopped(None);
            }
            if lanes.iter().all(|lane| lane.state.is_spent()) || everything_stays {
                return Ended::NotFound;
            }
            let chunk = ROUND.min((budget - spent) / LANES as u64 + 1);
            self.each(&mut lanes, |_, lane| lane.run(chunk));
        }
    }

    /// Does the same to every lane, on as many threads as there are workers.
    fn each(&self, lanes: &mut [Lane<'a>], work: impl Fn(usize, &mut Lane<'a>) + Sync) {
        let workers = self.options.workers.clamp(1, lanes.len());
        if workers == 1 {
            for (index, lane) in lanes.iter_mut().enumerate() {
                work(index, lane);
            }
            return;
        }
        let share = lanes.len().div_ceil(workers);
        std::thread::scope(|scope| {
            for (group, lanes) in lanes.chunks_mut(share).enumerate() {
                let work = &work;
                scope.spawn(move || {
                    for (index, lane) in lanes.iter_mut().enumerate() {
                        work(group * share + index, lane);
                    }
                });
            }
        });
    }

    /// Improves the feasible lanes and gives back the best that the referee accepts.
    fn finish(&mut self, lanes: Vec<Lane<'a>>, stopped: bool) -> Ended {
        let earlier = self.used - lanes.iter().map(|lane| lane.state.steps).sum::<u64>();
        let mut unfinished: u64 = 0;
        let mut lanes: Vec<Lane> = lanes
            .into_iter()
            .filter_map(|mut lane| {
                if !lane.is_feasible() {
                    unfinished += lane.state.steps;
                    return None;
                }
                lane.state.poses.clone_from(&lane.best);
                Some(lane)
            })
            .collect();
        let left = self.options.steps.saturating_sub(self.used);
        let share = (left as f64 * (1.0 - TIDYING)) as u64 / lanes.len().max(1) as u64;
        for lane in &mut lanes {
            lane.state.limit = lane.state.steps + share.saturating_sub(margin(lane.state.len()));
        }
        let plain: Vec<State> = lanes.iter().map(|lane| lane.state.clone()).collect();
        let improves = !stopped && self.finish == Finish::Improved;
        if improves {
            self.each(&mut lanes, |_, lane| {
                spread::prefer(&mut lane.state, &mut lane.random);
                wishes::grant(&mut lane.state, &mut lane.random, 0.0);
                // Balance comes before room: what the slack is shared out of must be balanced already.
                if lane.state.unbalanced() > 0.0 {
                    tidy::balance(&mut lane.state, 0.0);
                }
                spread::spread(&mut lane.state, &mut lane.random, SPREADING);
                spread::centre(&mut lane.state);
            });
        }
        let mut ranked: Vec<(f64, State)> = lanes
            .into_iter()
            .map(|mut lane| {
                let weights = &lane.state.room.problem.weights;
                let worth =
                    lane.state.spare() - lane.state.cost() - weights.balance * lane.state.offset().length();
                // A layout given back as it is found owes nothing to wishes: they must not choose one that is worse for the
                // question whether it fits.
                let worth = if improves {
                    worth
                        - weights.unbalanced * lane.state.unbalanced()
                        - weights.wishes * lane.state.unfulfilled()
                } else {
                    worth
                };
                (worth, lane.state)
            })
            .collect();
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
        self.used = earlier + unfinished + ranked.iter().map(|(_, state)| state.steps).sum::<u64>();
        // The tidied best first; what the referee refuses falls back to the same layout before tidying, and so on.
        let mut candidates = Vec::new();
        if let (Some((_, best)), true) = (ranked.first(), improves) {
            let mut tidied = best.clone();
            tidied.steps = 0;
            let left = self.options.steps.saturating_sub(self.used);
            tidied.limit = left.saturating_sub(margin(tidied.len()));
            let floor = tidied.spare().max(0.0);
            tidy::balance(&mut tidied, floor);
            tidy::tidy(&mut tidied);
            wishes::settle(&mut tidied);
            self.used += tidied.steps;
            candidates.push(tidied);
        }
        candidates.extend(ranked.into_iter().map(|(_, state)| state));
        let mut refused = Vec::new();
        let report = |fraction: f64, words: &str| self.progress.report("arrange", fraction, Some(words));
        let _ = report(0.95, "checking");
        // Geometry's grown arcs may stand off by its chord error: a hair of room settles what is only that.
        let eased = plain.iter().map(|state| {
            let mut eased = state.clone();
            eased.relax(HAIR, 200);
            eased
        });
        for mut state in candidates.into_iter().chain(eased).chain(plain.iter().cloned()) {
            let violations = referee(&state.room.problem, &state.placements(), SLACK);
            if violations.is_empty() {
                let layout = state.layout(self.used);
                let _ = report(1.0, "everything fits");
                return if stopped {
                    Ended::Stopped(Some(layout))
                } else {
                    Ended::Found(layout)
                };
            }
            if refused.is_empty() {
                refused = violations;
            }
        }
        Ended::Refused(refused)
    }
}
