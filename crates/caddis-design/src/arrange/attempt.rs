//! One attempt: a stacking and a level of cushions, searched until its interior, along the load path it really has, falls
//! short nowhere that more foam would help.

use super::assemble::interior;
use super::load_path::{Body, loads};
use super::question::{Question, Spot};
use super::repair::{Shortfall, shortfalls};
use super::ways::{RELIEF_BULGE, Way};
use crate::cushion::{Level, Load, cover, is_soft, lid_side, needs, needs_in_lid};
use crate::stack::{Stacking, board_outline};
use crate::{ArrangeOptions, Brief, Carried};
use caddis_basis::{Finding, Flow, Outcome, Progress};
use caddis_geometry::{Placement2, SectionStack, Vec3};
use caddis_layout::{
    Facet, Hindrance, Layout, Orientation, Piece, Placement, Problem, Region, SearchOptions, Sides, Tier,
    Within, referee, search_within,
};
use caddis_survey::{HalfSide, Item, Shell};
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
/// What a metre costs by which a piece sinks below the top of its tier.
const SINK_COST: f64 = 1.0;
/// Foam asked for in a tier that a piece may not hang in, metres: more than any tier is high.
const BARRED: f64 = 10.0;
/// Foam over a piece that is rounding, metres.
const SAME_COVER: f64 = 1e-4;
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

/// What a piece asks beyond its needs, by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Demand {
    /// At least so much foam, towards the shell and towards a neighbour, metres.
    pub least: [[f64; 2]; 6],
}

impl Demand {
    /// Just its needs.
    pub(super) const NONE: Self = Self { least: [[0.0; 2]; 6] };

    /// Whether foam is asked for over it towards a neighbour: there only the cover of the lid's pockets is, which is as thick as it is, so
    /// it lies under none of them.
    fn lies_clear(&self) -> bool {
        self.least[1][1] > 0.0
    }

    fn raise(&mut self, shortfall: &Shortfall) {
        for (least, wanted) in self.least[shortfall.side].iter_mut().zip(shortfall.least) {
            *least = least.max(wanted);
        }
    }

    fn halfway_to(&self, other: &Self) -> Self {
        let mut out = *self;
        for (mine, theirs) in out.least.iter_mut().flatten().zip(other.least.iter().flatten()) {
            *mine = f64::midpoint(*mine, *theirs);
        }
        out
    }
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

/// A stack where a placement puts it.
pub(super) fn placed(stack: &SectionStack, placement: &Placement) -> SectionStack {
    stack.placed(&flat(placement), placement.bottom)
}

/// Where a placement puts what is turned already, in plan.
pub(super) fn flat(placement: &Placement) -> Placement2 {
    Placement2 {
        angle: 0.0,
        shift: placement.at,
    }
}

/// A spot as a placement in this attempt's tiers; `None` when its way is not among the item's.
pub(super) fn placement(
    question: &Question<'_>,
    attempt: &Attempt,
    piece: usize,
    spot: &Spot,
) -> Option<Placement> {
    let item = question.pieces[piece].item;
    let orientation = question.way_of(item, spot)?;
    let tiers = tiers(question.brief, attempt);
    let below = attempt.stacking.tiers();
    let tier = if spot.in_lid && tiers.len() > below {
        below
    } else {
        spot.tier.min(below - 1)
    };
    Some(Placement {
        orientation,
        tier,
        at: spot.at,
        bottom: bottom(question, attempt, &question.ways[item][orientation], &tiers[tier]),
    })
}

/// Where a piece stands in a tier: its top flush with the tier's, or, where floors are joints, sunk to the joint below; in the lid on
/// its cover.
fn bottom(question: &Question<'_>, attempt: &Attempt, way: &Way, tier: &Tier) -> f64 {
    if tier.opens_down {
        return tier.low;
    }
    let flush = tier.high - way.height();
    if question.brief.clearances.through_cuts {
        attempt.stacking.joint_below(question.brief, flush)
    } else {
        flush
    }
}

/// The tiers of the base from the bottom, then the lid where it has pockets.
pub(super) fn tiers(brief: &Brief, attempt: &Attempt) -> Vec<Tier> {
    let (boundary, top) = (attempt.stacking.boundary(), attempt.stacking.top());
    let mut tiers = vec![Tier::upward(0.0, boundary)];
    if attempt.stacking.tray.is_some() {
        tiers.push(Tier::upward(attempt.stacking.tray_floor(), top));
    }
    tiers.extend(attempt.stacking.lid_floor(brief).map(|low| Tier {
        low,
        high: brief.crown().si(),
        opens_down: true,
    }));
    tiers
}

/// Walls and obstacles of one half of the shell, as they stand between two heights.
fn half(shell: &Shell, side: HalfSide, (low, high): (f64, f64)) -> (Vec<Facet>, Vec<Hindrance>) {
    let facets = shell.half_spaces(side).into_iter().map(|space| Facet {
        normal: space.normal,
        offset: space.offset,
        slope: space.slope,
        low,
        high,
    });
    let hindrances = shell.obstacles(side).into_iter().map(|obstacle| Hindrance {
        name: obstacle.name,
        outline: obstacle.outline,
        low: obstacle.low,
        high: obstacle.high,
    });
    (facets.collect(), hindrances.collect())
}

/// The layout problem of an attempt for given loads and what is asked beyond the needs.
pub(super) fn problem(
    question: &Question<'_>,
    attempt: &Attempt,
    loads: &[[Load; 6]],
    demands: &[Demand],
) -> Problem {
    let brief = question.brief;
    let shell = &brief.shell;
    let tiers = tiers(brief, attempt);
    let below = attempt.stacking.tiers();
    let masses: Vec<f64> = question
        .pieces
        .iter()
        .map(|p| brief.items[p.item].mass.value.si())
        .collect();
    let mean = masses.iter().sum::<f64>() / masses.len().max(1) as f64;
    let mut pieces: Vec<Piece> = question
        .pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            let item = &brief.items[piece.item];
            let orientations: Vec<Orientation> = question.ways[piece.item]
                .iter()
                .map(|way| {
                    orientation(
                        question,
                        attempt,
                        piece.item,
                        way,
                        (&loads[index], &demands[index]),
                    )
                })
                .collect();
            let fits = |tier: &Tier| {
                orientations
                    .iter()
                    .any(|o| height(o) + o.below <= tier.high - tier.low)
            };
            // Nothing passes through a board.
            let may_pass = below > 1 && attempt.stacking.under.is_none() && !tiers[..below].iter().any(fits);
            let mut order = match below {
                1 => vec![0],
                _ if may_pass => vec![1],
                _ if item.reach_first && attempt.first_on_top => vec![1],
                // The weight of a rolled case lies low.
                _ if brief.wishes.carried == Carried::Rolled && !item.reach_first => vec![0, 1],
                _ if item.reach_first || masses[index] < mean => vec![1, 0],
                _ => vec![0, 1],
            };
            // What may lie in the lid leaves its room below to the others.
            if item.may_lie_in_lid && tiers.len() > below {
                order.insert(0, below);
            }
            Piece {
                name: piece.instance.to_string(),
                kind: piece.item as u32,
                mass: masses[index],
                orientations,
                tiers: order,
                may_pass,
                keeps_clear_above: demands[index].lies_clear() || keeps_clear(question, attempt, piece.item),
                pinned: piece
                    .pin
                    .and_then(|spot| placement(question, attempt, index, &spot)),
            }
        })
        .collect();
    pieces.extend(super::spare_room::pieces(brief, below));
    let aim = super::wished::aim(brief, masses.iter().sum());
    let rim = shell.rim_height().si();
    let (mut facets, mut hindrances) = half(shell, HalfSide::Base, (f64::NEG_INFINITY, rim));
    let mut high = attempt.stacking.top();
    if tiers.len() > below {
        let (lid, standing) = half(shell, HalfSide::Lid, (rim, f64::INFINITY));
        facets.extend(lid);
        hindrances.extend(standing);
        high = brief.crown().si();
    }
    Problem {
        region: Region {
            facets,
            hindrances,
            low: 0.0,
            high,
        },
        tiers,
        pieces,
        balance: aim.balance,
        balance_counts: aim.counts,
        wishes: super::wished::wishes(question),
        weights: aim.weights,
    }
}

/// Whether fingers come from front and back: where it may be gripped, else beside the longer sides.
fn across_y(item: &Item, way: &Way, size: Vec3) -> bool {
    let toward = |pick: fn(Vec3) -> f64| {
        let mut turned = item
            .grips
            .iter()
            .map(|face| way.posed.pose.turn(face.direction()));
        turned.any(|way| pick(way).abs() > 0.5)
    };
    match (toward(|v| v.x), toward(|v| v.y)) {
        (true, false) => false,
        (false, true) => true,
        _ => size.x >= size.y,
    }
}

/// Whether a piece needs more foam over it than the cover of the lid's pockets has: then nothing of the lid lies over it.
fn keeps_clear(question: &Question<'_>, attempt: &Attempt, item: usize) -> bool {
    let brief = question.brief;
    let Some(floor) = attempt.stacking.lid_floor(brief) else {
        return false;
    };
    let covered = floor - attempt.stacking.top();
    let mut ways = question.ways[item].iter();
    ways.any(|way| lid_side(brief, item, &way.faces[1]) > covered + SAME_COVER)
}

/// How far a way sinks below the top of the tier in which it sinks least, metres; the lid is none of them.
fn sunk(attempt: &Attempt, above: &[f64]) -> f64 {
    let below = &above[..attempt.stacking.tiers()];
    below.iter().copied().fold(f64::INFINITY, f64::min).min(1.0)
}

fn height(orientation: &Orientation) -> f64 {
    orientation.body.high().unwrap_or(0.0)
}

fn orientation(
    question: &Question<'_>,
    attempt: &Attempt,
    item: usize,
    way: &Way,
    (loads, demand): (&[Load; 6], &Demand),
) -> Orientation {
    let brief = question.brief;
    let clearances = &brief.clearances;
    let may_lie_in_lid = brief.items[item].may_lie_in_lid;
    let mut needs = needs(brief, item, &way.faces, loads, &attempt.level);
    if may_lie_in_lid && attempt.stacking.lid_cover.is_some() {
        // Beside it is foam of the base or of the lid: enough of either.
        let in_lid = needs_in_lid(brief, item, &way.faces, loads, &attempt.level);
        for (need, in_lid) in needs.iter_mut().zip(in_lid).skip(2) {
            *need = need.max(in_lid);
        }
    }
    for (need, least) in needs.iter_mut().zip(&demand.least) {
        *need = need.max(least[0]);
    }
    needs[0] = needs[0].max(demand.least[0][1]);
    // Corner reliefs of two neighbours bulge towards each other; the web is what is left between them.
    let web =
        brief.foams[brief.base_foam].least_web.si() + 2.0 * RELIEF_BULGE * clearances.cutter_radius.si();
    let towards = |side: usize| web.max(demand.least[side][1]);
    let mut wall = Sides {
        left: needs[2],
        right: needs[3],
        front: needs[4],
        back: needs[5],
    };
    // Foam towards a neighbour is in series with the neighbour's own; where a side fell short it grows too.
    let mut webs = Sides {
        left: towards(2),
        right: towards(3),
        front: towards(4),
        back: towards(5),
    };
    if attempt.room_for_notches && !is_soft(&brief.items[item]) {
        let room = clearances.notch_radius.si() + clearances.least_notch_web.si();
        let size = way.posed.bounds.size();
        let across = across_y(&brief.items[item], way, size);
        // Beside what lies across the case fingers come in obliquely.
        let is_oblique = !way.turn.is_square();
        let sides = [
            (&mut wall.front, &mut webs.front, across || is_oblique),
            (&mut wall.back, &mut webs.back, across || is_oblique),
            (&mut wall.left, &mut webs.left, !across || is_oblique),
            (&mut wall.right, &mut webs.right, !across || is_oblique),
        ];
        for (wall, web, _) in sides.into_iter().filter(|(_, _, asks)| *asks) {
            *wall = wall.max(room);
            *web = web.max(room);
        }
    }
    let mut above: Vec<f64> = tiers(brief, attempt)
        .iter()
        .map(|tier| {
            if tier.opens_down {
                // Towards the lid's roof as towards the lid pad from below.
                return if may_lie_in_lid { needs[1] } else { BARRED };
            }
            (tier.high - way.height() - bottom(question, attempt, way, tier)).max(0.0)
        })
        .collect();
    if let Some(covered) = attempt.stacking.cover()
        && cover(brief, item, &way.faces, &attempt.level) > covered + SAME_COVER
    {
        // Under the board it would lie with too little foam over it: only the tray is left to it.
        above[0] = BARRED;
    }
    Orientation {
        tag: (way.up as u32) * 360 + u32::from(way.turn.as_degrees()),
        body: way.body.clone(),
        wall,
        web: webs,
        below: needs[0],
        cost: way.cost + SINK_COST * sunk(attempt, &above),
        above,
    }
}
