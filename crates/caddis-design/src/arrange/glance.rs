//! A glance: whether a brief can be arranged at all, asked of many shells.
//!
//! It asks what the most modest attempt of an arrangement would accept (least cushions where nobody states a fragility, no
//! room kept for notches), stops at the first layout, follows the load path a few times, and leaves verification out.

use super::attempt::{Attempt, SETTLED, load_path};
use super::oblique::{STEP, fits, oblique};
use super::problem::{Demand, problem};
use super::question::Question;
use super::tiers::stackings;
use super::ways::{Way, ways};
use crate::Brief;
use crate::cushion::{Level, Load};
use crate::faces::faces;
use crate::outline::steepest;
use caddis_basis::{Domain, Finding, Outcome, Quiet, Severity, Source, said};
use caddis_geometry::SectionStack;
use caddis_layout::{Layout, Placement, SearchOptions, referee, search_first};
use caddis_survey::{HalfSide, Shell, Turn};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// Rounds of laying out and following the load path.
const ROUNDS: u64 = 3;
/// The layout's proof that walls leave a piece no room in any way it has.
const TOO_LONG: &str = "piece-too-large";
/// The search's reason that is no proof.
pub(crate) const UNPROVED: &str = "no-arrangement-found";
/// Drafts of shells are told apart to this, metres per metre of height.
const DRAFT_GRAIN: f64 = 0.005;

/// The ways items may lie, posed once for all shells. What depends on the shell's draft is kept by draft, rounded down:
/// a wall that leans less leaves less foam above, so the needs are no smaller.
pub(crate) struct KnownWays {
    by_draft: BTreeMap<i64, Vec<Known>>,
    /// Volume of the cavity of each way, cubic metres.
    voids: Vec<Vec<f64>>,
}

/// The ways of one item at one draft.
struct Known {
    square: Vec<Way>,
    /// Those across the case, once asked for.
    oblique: OnceLock<Vec<Way>>,
}

/// Volume of a stack and its way out up to its own top.
fn void(stack: &SectionStack) -> f64 {
    stack
        .slabs
        .iter()
        .map(|slab| stack.shadow(f64::NEG_INFINITY, slab.high).area() * (slab.high - slab.low))
        .sum()
}

/// The draft of a shell, in grains.
fn grain_of(shell: &Shell) -> i64 {
    (steepest(shell, HalfSide::Base).max(0.0) / DRAFT_GRAIN).floor() as i64
}

fn draft(grain: i64) -> f64 {
    grain as f64 * DRAFT_GRAIN
}

impl KnownWays {
    /// Poses every item of the briefs, which differ in their shells only.
    pub(crate) fn new<'a>(brief: &Brief, shells: impl Iterator<Item = &'a Shell>) -> Self {
        let posed: Vec<Vec<Way>> = brief.items.iter().map(|item| ways(brief, item)).collect();
        let mut by_draft: BTreeMap<i64, Vec<Known>> = BTreeMap::new();
        for shell in shells {
            let key = grain_of(shell);
            by_draft.entry(key).or_insert_with(|| {
                let leaning = |way: &Way| Way {
                    faces: Arc::new(faces(&way.posed.stack, &way.posed.clear, draft(key))),
                    sized: Some(Arc::default()),
                    ..way.clone()
                };
                let known = posed.iter().map(|ways| Known {
                    square: ways.iter().map(leaning).collect(),
                    oblique: OnceLock::new(),
                });
                known.collect()
            });
        }
        let voids = posed
            .iter()
            .map(|ways| ways.iter().map(|way| void(&way.posed.stack)).collect())
            .collect();
        Self { by_draft, voids }
    }

    /// Volume of the cavity of an item lying one way: of the known ways by number.
    fn void(&self, item: usize, number: usize, way: &Way) -> f64 {
        let known = self.voids.get(item).and_then(|ways| ways.get(number)).copied();
        known.unwrap_or_else(|| void(&way.posed.stack))
    }

    /// The ways of an item in a shell of this brief.
    pub(crate) fn of(&self, brief: &Brief, item: usize) -> Vec<Way> {
        match self
            .by_draft
            .get(&grain_of(&brief.shell))
            .and_then(|known| known.get(item))
        {
            Some(known) => known.square.clone(),
            None => ways(brief, &brief.items[item]),
        }
    }

    /// The ways of an item across a shell of this brief, as far as their boxes are no larger than the shell's; `number` says which of
    /// the known items it is.
    fn across(&self, brief: &Brief, item: usize, number: usize) -> Vec<Way> {
        let key = grain_of(&brief.shell);
        let Some(known) = self.by_draft.get(&key).and_then(|known| known.get(number)) else {
            return Vec::new();
        };
        let all = known
            .oblique
            .get_or_init(|| oblique(&brief.items[item], &known.square, (STEP, draft(key)), |_, _| true));
        let fitting = all.iter().filter(|way| fits(brief, way, Turn::NONE));
        fitting.cloned().collect()
    }

    /// The ways of an item along the sides at one of the drafts: their bodies are the same at all.
    pub(crate) fn any(&self, item: usize) -> &[Way] {
        self.by_draft
            .values()
            .next()
            .and_then(|known| known.get(item))
            .map_or(&[], |known| known.square.as_slice())
    }
}

/// What a glance found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Glance {
    /// How much every cushion could still grow in the layout, metres.
    pub spare: f64,
    /// Trays.
    pub trays: usize,
    /// Volume of the cavities, cubic metres: nominal bodies and their way out.
    pub voids: f64,
    /// Whether its cushions are those that its load path asks for.
    pub is_settled: bool,
}

/// Looks whether the brief can be arranged.
///
/// # Errors
/// Why it cannot, the strongest reason first.
pub(crate) fn glance(
    brief: &Brief,
    known: &KnownWays,
    items: &[usize],
    options: &SearchOptions,
) -> Result<Glance, Vec<Finding>> {
    let mut question = Question::with_ways(brief, |index| known.of(brief, items[index]))?;
    let stackings = stackings(&question);
    let mut reasons = vec![Finding::new(
        "no-stack",
        Domain::Arrangement,
        Severity::Failing,
        said!("layers"),
        said!("no stack of the stock thicknesses ends within 12 mm below the rim"),
        Source::derived(said!(
            "stock thicknesses less the joints, against the rim's height"
        )),
    )];
    // A round after the first starts from a layout and needs little: each stacking's share is that of one search.
    let budget = options.steps / stackings.len().max(1) as u64;
    let mut loose: Option<Glance> = None;
    let mut turned = vec![false; brief.items.len()];
    for (index, stacking) in stackings.into_iter().enumerate() {
        let attempt = Attempt {
            stacking,
            level: Level {
                unknown_share: 0.0,
                thinner: None,
            },
            room_for_notches: false,
            first_on_top: false,
            across: false,
        };
        let search = SearchOptions {
            steps: budget,
            ..*options
        };
        let mut tried = laid_out(&question, &attempt, &search);
        // What finds no place along the sides may find one across: asked only where that is likely, for it takes a while.
        if let Err(found) = &tried {
            let mut any = false;
            for reason in found.iter().filter(|reason| reason.code == TOO_LONG) {
                match question.item_of(&reason.place) {
                    // Where none was found, the next stacking may leave it room higher up.
                    Some(item) if !turned[item] => {
                        turned[item] = question.turn(&attempt, item, known.across(brief, item, items[item]));
                        any |= turned[item];
                    }
                    _ => {}
                }
            }
            // Or a housing is in its way, which no walls prove: then the search found nothing.
            if !any && found.first().is_some_and(|reason| reason.code == UNPROVED) {
                any = question.turn_the_homeless(&attempt);
            }
            if any {
                tried = laid_out(&question, &attempt, &search);
            }
        }
        match tried {
            Ok((layout, is_settled)) => {
                let voids = question
                    .pieces
                    .iter()
                    .zip(&layout.placements)
                    .map(|(piece, placement)| {
                        let way = placement.orientation;
                        known.void(items[piece.item], way, &question.ways[piece.item][way])
                    })
                    .sum();
                let found = Glance {
                    spare: layout.spare,
                    trays: usize::from(attempt.stacking.tray.is_some()),
                    voids,
                    is_settled,
                };
                if is_settled {
                    return Ok(found);
                }
                loose.get_or_insert(found);
            }
            // The first stacking is the plainest: its reasons say most.
            Err(found) if index == 0 => reasons = found,
            Err(_) => {}
        }
    }
    loose.ok_or(reasons)
}

/// A layout of one stacking, and whether its own load path is content with it.
fn laid_out(
    question: &Question<'_>,
    attempt: &Attempt,
    search: &SearchOptions,
) -> Result<(Layout, bool), Vec<Finding>> {
    let boosts = vec![Demand::NONE; question.pieces.len()];
    let mut loads = vec![[Load::NONE; 6]; question.pieces.len()];
    let mut hints: Vec<Option<Placement>> = Vec::new();
    let mut last: Option<Layout> = None;
    for round in 0..=ROUNDS {
        let asked = problem(question, attempt, &loads, &boosts);
        if let Some(layout) = &last {
            let is_settled = referee(&asked, &layout.placements, SETTLED).is_empty();
            if is_settled || round == ROUNDS {
                return Ok((layout.clone(), is_settled));
            }
        }
        match search_first(&asked, &hints, search, &Quiet) {
            Outcome::Complete(layout)
            | Outcome::Stopped {
                best: Some(layout), ..
            } => {
                loads = load_path(question, attempt, &layout);
                hints = layout.placements.iter().copied().map(Some).collect();
                last = Some(layout);
            }
            Outcome::Stopped { best: None, .. } => break,
            Outcome::Impossible { reasons } => match last {
                // It fits with the cushions of the round before, which its load path finds too thin.
                Some(layout) => return Ok((layout, false)),
                None => return Err(reasons),
            },
        }
    }
    Err(Vec::new())
}
