//! One attempt: a stacking and a level of cushions, searched until its interior, along the load path it really has, falls
//! short nowhere that more foam would help.

use super::assemble::interior;
use super::load_path::{Body, loads};
use super::problem::{Demand, placed, placement, problem};
use super::question::Question;
use super::repair::shortfalls;
use crate::ArrangeOptions;
use crate::cushion::{Level, Load};
use crate::stack::{Stacking, board_outline};
use caddis_basis::{Finding, Flow, Outcome, Progress};
use caddis_layout::{Layout, Placement, SearchOptions, Within, referee, search_within};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Rounds of searching, following the load path and rehearsing falls, at most, and how many may pass without a better layout.
const ROUNDS: u32 = 10;
const PATIENCE: u32 = 5;
/// Rounds in which flat falls and rehearsed ones ask together though the flat ones have not held yet.
const TOGETHER: u32 = 3;
/// Share of an attempt's steps for its first round, and rounds that share the rest evenly: with falls, and where flat falls
/// alone decide, which settle sooner.
const FIRST: (f64, u64) = (0.3, 7);
const FIRST_IF_FLAT: (f64, u64) = (0.5, 3);
/// Share of a later round's steps for finding a layout; the rest improves it.
const FINDING: f64 = 0.6;
/// How far the generators of one attempt are from those of the next: more than it has rounds.
const NUMBERS: u64 = 1000;
/// Foam that may be missing where a piece lay before and it still counts as lying well, metres: what foam is cut to.
pub(super) const SETTLED: f64 = 5e-4;

/// What one attempt fixes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Attempt {
    pub stacking: Stacking,
    pub level: Level,
    /// Keep room for finger notches beside the longer sides.
    pub room_for_notches: bool,
    /// What is to be reached first lies in the tray or nowhere.
    pub first_on_top: bool,
    /// The longest items may lie across the case as well.
    pub across: bool,
}

/// What an attempt found.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    pub layout: Layout,
    /// What leans on each piece where it now lies.
    pub loads: Vec<[Load; 6]>,
    /// Where the spaces kept for later lie.
    pub spaces: Vec<Placement>,
    /// Sides that fail though more foam would help.
    pub shortfalls: usize,
    /// How bad that is, for comparison with another layout.
    pub missing: f64,
    /// No flat fall fails; the sides that do, do in simulated falls.
    pub holds_flat: bool,
}

impl Found {
    /// A layout with its load path, not judged yet.
    fn of(question: &Question<'_>, attempt: &Attempt, mut layout: Layout) -> Self {
        let spaces = layout.placements.split_off(question.pieces.len());
        Self {
            loads: load_path(question, attempt, &layout),
            layout,
            spaces,
            shortfalls: 0,
            missing: 0.0,
            holds_flat: true,
        }
    }

    /// Whether this falls short less than another: what fails flat fails first.
    pub(super) fn is_better_than(&self, other: &Self) -> bool {
        (!self.holds_flat, self.missing) < (!other.holds_flat, other.missing)
    }
}

/// How an attempt ended.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Tried {
    /// Its interior falls short nowhere that more foam would help, along the load path it really has.
    Settled(Found),
    /// It satisfies the needs it was searched with, but its interior asks for more.
    Loose(Found),
    /// No layout.
    Nothing(Vec<Finding>),
}

/// An attempt with what it cost.
pub(super) struct Run {
    pub tried: Tried,
    pub steps: u64,
    pub rounds: u32,
}

/// Hears the search, counts attempts, and remembers being told to stop.
pub(super) struct Watch<'a> {
    progress: &'a dyn Progress,
    attempts: usize,
    attempt: AtomicUsize,
    is_stopped: AtomicBool,
}

impl<'a> Watch<'a> {
    pub(super) fn new(progress: &'a dyn Progress, attempts: usize) -> Self {
        Self {
            progress,
            attempts: attempts.max(1),
            attempt: AtomicUsize::new(0),
            is_stopped: AtomicBool::new(false),
        }
    }

    pub(super) fn begin(&self, attempt: usize) {
        self.attempt.store(attempt, Ordering::Relaxed);
        self.report("arrange", 0.0, None);
    }

    pub(super) fn is_stopped(&self) -> bool {
        self.is_stopped.load(Ordering::Relaxed)
    }
}

impl Progress for Watch<'_> {
    fn report(&self, _: &str, fraction: f64, best: Option<&str>) -> Flow {
        let done = self.attempt.load(Ordering::Relaxed) as f64 + fraction.clamp(0.0, 1.0);
        let flow = self
            .progress
            .report("arrange", (done / self.attempts as f64).min(1.0), best);
        if flow == Flow::Stop {
            self.is_stopped.store(true, Ordering::Relaxed);
        }
        flow
    }
}

/// What an attempt may use, and how closely it looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Effort {
    /// Steps within which its first layout must be found.
    pub finding: u64,
    /// Steps in all: what is found may be worked on with all of them.
    pub all: u64,
    /// Whether falls are rehearsed.
    pub with_falls: bool,
    /// Layouts that fell short before: each attempt after one begins from numbers of its own.
    pub after: u64,
}

/// Runs one attempt.
pub(super) fn run(
    question: &Question<'_>,
    attempt: &Attempt,
    options: &ArrangeOptions,
    effort: Effort,
    watch: &Watch<'_>,
) -> Run {
    let Effort {
        finding,
        all,
        mut with_falls,
        after,
    } = effort;
    let (first, later) = if with_falls { FIRST } else { FIRST_IF_FLAT };
    let first = (all as f64 * first) as u64;
    let mut carried = first_loads(question, attempt);
    let mut hints: Vec<Option<Placement>> = question
        .pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            piece
                .hint
                .and_then(|spot| placement(question, attempt, index, &spot))
        })
        .collect();
    let mut demands = vec![Demand::NONE; question.pieces.len()];
    let mut held = demands.clone();
    // What a fresh start goes back to.
    let known = hints.clone();
    let mut in_vain = 0;
    let mut best: Option<Found> = None;
    let (mut steps, mut rounds) = (0, 0);
    let mut reasons = Vec::new();
    let mut last = PATIENCE;
    let mut round = 0;
    // What falls ask for may leave too little room for what flat falls need: then those alone until they hold.
    let mut holds_flat = false;
    while round < last {
        if with_falls && !holds_flat && round == TOGETHER {
            with_falls = false;
            last = last.max(round + PATIENCE);
            hints.clone_from(&known);
            demands.fill(Demand::NONE);
            held.fill(Demand::NONE);
        }
        let asked = problem(question, attempt, &carried, &demands);
        let (share, finding) = if round == 0 {
            (first, finding)
        } else {
            let share = (all - first) / later;
            (share, (share as f64 * FINDING) as u64)
        };
        let search = SearchOptions {
            seed: options
                .seed
                .wrapping_add(after.wrapping_mul(NUMBERS))
                .wrapping_add(u64::from(round)),
            steps: share.min(all.saturating_sub(steps)),
            workers: options.workers,
        };
        // Where something was arranged before it stays if it can; a layout of an earlier round is only a start.
        let within = Within {
            finding,
            keeps: question.boundary.is_some(),
        };
        rounds += 1;
        round += 1;
        let mut found = match search_within(&asked, &hints, &search, within, watch) {
            Outcome::Complete(layout)
            | Outcome::Stopped {
                best: Some(layout), ..
            } => {
                steps += layout.steps;
                Found::of(question, attempt, layout)
            }
            Outcome::Stopped {
                best: None,
                steps: used,
            } => {
                steps += used;
                break;
            }
            Outcome::Impossible { reasons: found } => {
                // What the referee refused was improved before.
                let is_refused = found
                    .first()
                    .is_some_and(|reason| reason.code == "arrangement-refused");
                steps += if is_refused {
                    search.steps
                } else {
                    finding.min(search.steps)
                };
                reasons = found;
                if best.is_none() || watch.is_stopped() {
                    break;
                }
                in_vain += 1;
                if in_vain % 2 == 1 {
                    // Asked for too much at once: half of it may find room.
                    for (demand, held) in demands.iter_mut().zip(&held) {
                        *demand = demand.halfway_to(held);
                    }
                } else {
                    // No room for it here: another arrangement may ask for less.
                    hints.clone_from(&known);
                    demands.fill(Demand::NONE);
                    held.fill(Demand::NONE);
                }
                continue;
            }
        };
        let lies = interior(question, attempt, &found, (rounds, options.seed, steps));
        let mut short = shortfalls(question.brief, &lies, options.workers, with_falls);
        if short.sides.is_empty() && effort.with_falls && !with_falls {
            // Now that flat falls hold, the others are asked too.
            with_falls = true;
            short = shortfalls(question.brief, &lies, options.workers, with_falls);
        }
        found.shortfalls = short.sides.len();
        found.missing = short.missing;
        found.holds_flat = short.in_falls;
        holds_flat |= short.in_falls;
        // The finished interior has the last word: a load path that asks for a little more than the round before gave, in an
        // interior that holds every limit, is settled.
        if short.sides.is_empty() {
            return Run {
                tried: Tried::Settled(found),
                steps,
                rounds,
            };
        }
        let lying = found.layout.placements.iter().chain(&found.spaces);
        hints = lying.copied().map(Some).collect();
        carried.clone_from(&found.loads);
        held.clone_from(&demands);
        for shortfall in short.sides {
            demands[shortfall.piece].raise(&shortfall);
        }
        if best.as_ref().is_none_or(|best| found.is_better_than(best)) {
            best = Some(found);
            last = last.max((round + PATIENCE).min(ROUNDS));
        }
        if watch.is_stopped() {
            break;
        }
    }
    // Where only flat falls are asked, what holds them is settled.
    let tried = match best {
        Some(found) if found.holds_flat && !effort.with_falls => Tried::Settled(found),
        Some(found) => Tried::Loose(found),
        None => Tried::Nothing(reasons),
    };
    Run { tried, steps, rounds }
}

/// What each piece carries as far as anyone knows before the search. What was arranged before may have settled for less than its
/// load path asks, in an interior that holds; then what lies there is not moved for it.
fn first_loads(question: &Question<'_>, attempt: &Attempt) -> Vec<[Load; 6]> {
    let known: Vec<[Load; 6]> = question.pieces.iter().map(|piece| piece.loads).collect();
    if question.boundary.is_none() || missing_with(question, attempt, &known) <= SETTLED {
        return known;
    }
    let pieces = question.pieces.iter();
    pieces
        .map(|piece| match piece.pin {
            Some(_) => piece.loads,
            None => [Load::NONE; 6],
        })
        .collect()
}

/// How much foam, in metres, an attempt's demands find missing where the hinted pieces lay before.
pub(super) fn missing(question: &Question<'_>, attempt: &Attempt) -> f64 {
    let loads: Vec<[Load; 6]> = question.pieces.iter().map(|piece| piece.loads).collect();
    missing_with(question, attempt, &loads)
}

fn missing_with(question: &Question<'_>, attempt: &Attempt, loads: &[[Load; 6]]) -> f64 {
    let mut before = problem(
        question,
        attempt,
        loads,
        &vec![Demand::NONE; question.pieces.len()],
    );
    let mut placements = Vec::new();
    let mut kept = Vec::new();
    for (index, (piece, asked)) in before.pieces.into_iter().zip(&question.pieces).enumerate() {
        let hint = asked.hint;
        if let Some(placement) = hint.and_then(|spot| placement(question, attempt, index, &spot)) {
            placements.push(placement);
            kept.push(piece);
        }
    }
    before.pieces = kept;
    referee(&before, &placements, SETTLED)
        .iter()
        .map(|violation| violation.missing)
        .sum()
}

/// What leans on each piece of a layout.
pub(super) fn load_path(question: &Question<'_>, attempt: &Attempt, layout: &Layout) -> Vec<[Load; 6]> {
    let mut indices = Vec::new();
    let mut bodies: Vec<Body> = Vec::new();
    for (index, (piece, placement)) in question.pieces.iter().zip(&layout.placements).enumerate() {
        let way = &question.ways[piece.item][placement.orientation];
        if let Some(body) = question.body(index, &placed(&way.posed.stack, placement), way.turn) {
            indices.push(index);
            bodies.push(body);
        }
    }
    bodies.extend(board_of(question, attempt));
    let mut all = vec![[Load::NONE; 6]; question.pieces.len()];
    // The board comes last, and nobody asks what leans on it.
    for (index, loads) in indices.into_iter().zip(loads(&bodies)) {
        all[index] = loads;
    }
    all
}

/// The board of an attempt's tray as the load path sees it.
fn board_of(question: &Question<'_>, attempt: &Attempt) -> Option<Body> {
    let board = question.brief.furnishing.tray_board.as_ref()?;
    let under = attempt.stacking.under.as_ref()?;
    let high = attempt.stacking.tray_floor();
    let region = board_outline(question.brief, high - under.board, high);
    Body::board(question.brief, board, &region, (high - under.board, high))
}
