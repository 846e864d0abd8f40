//! Arrange: the loop between foam and layout.
//!
//! How much foam an item needs depends on where it lies, and where it can lie depends on how much foam it needs. Each
//! attempt fixes the stacking of layers and how needs are met, lets the layout search, follows the load path of what it
//! found and what verification finds short of foam in it, and searches again until both are satisfied. Attempts go from
//! the best to the most modest: one block before a tray, full cushions before thinner ones, room for finger notches before none.
//! Cushions of items whose fragility nobody states may be thinned (the verification then says what they hold); those
//! of stated fragility never are. The falls of the verification are rehearsed on every layout: what bottoms as it
//! turns asks for the foam that would hold it.
//!
//! What comes first: everything fits; every cushion holds what it must; the case is balanced for the way it is carried; as few
//! trays as may be; room left; order. An arrangement that holds but lies out of balance is therefore only taken when no other
//! stacking gives a balanced one; of those that are all out of balance the one of the best score is.

mod assemble;
mod attempt;
mod attempts;
mod glance;
mod laid;
mod live;
mod load_path;
mod oblique;
mod problem;
mod question;
mod remedy;
mod repair;
mod spare_room;
mod tiers;
mod ways;
mod wished;

use crate::wishes::beyond_balance;
use crate::{Brief, Change, Interior, ScoreTerm, score};
use attempt::{Attempt, Effort, Tried, Watch};
use caddis_basis::{Outcome, Progress, Said, said};
pub(crate) use glance::{Glance, KnownWays, UNPROVED, glance};
pub use laid::{Arrangement, SpaceSpot, lay_out};
pub use live::{Breach, Broken, Lie, Live, SideRoom};
pub(crate) use oblique::turns as oblique_turns;
use question::Question;
pub use question::Spot;
pub(crate) use ways::Way;

/// How hard to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ArrangeOptions {
    /// Seed.
    pub seed: u64,
    /// Step budget of the search.
    pub steps: u64,
    /// Search workers; never changes the result.
    pub workers: usize,
}

/// Finds an interior: cushions sized by law along the load path, every item placed, cavities, notches and layers.
///
/// The same brief, seed and steps give the same interior whatever the number of workers. The budget for finding a layout is
/// shared evenly by the attempts that may become necessary, and what is found may use most of what is left; finding out which
/// remedy would help an impossible brief uses as much again at most.
pub fn arrange(brief: &Brief, options: &ArrangeOptions, progress: &dyn Progress) -> Outcome<Interior> {
    match Question::new(brief) {
        Ok(question) => solve(&question, options, progress),
        Err(reasons) => Outcome::Impossible { reasons },
    }
}

/// Finds an interior for a brief that was arranged before in another form: every piece known then stays where it lay when it
/// still can, in the same stacking when it still does.
///
/// # Accuracy
/// What must move is found by search, as by [`arrange`]; simulated falls do not ask for more foam, verification judges them.
pub fn arrange_from(
    before: &Arrangement,
    brief: &Brief,
    options: &ArrangeOptions,
    progress: &dyn Progress,
) -> Outcome<Interior> {
    match Question::new(brief) {
        Ok(question) => solve(&question.knowing(before), options, progress),
        Err(reasons) => Outcome::Impossible { reasons },
    }
}

/// Applies changes to a brief's interior and keeps what it can. The brief given is the one after the changes.
///
/// Pieces that are moved, turned or pinned lie exactly where they are put; the others stay where they were when they
/// still can. A pin that breaks a demand makes the outcome impossible, with the demand as the reason.
pub fn rearrange(
    interior: &Interior,
    brief: &Brief,
    changes: &[Change],
    options: &ArrangeOptions,
    progress: &dyn Progress,
) -> Outcome<Interior> {
    match Question::new(brief).and_then(|question| question.after(interior, changes)) {
        Ok(question) => solve(&question, options, progress),
        Err(reasons) => Outcome::Impossible { reasons },
    }
}

/// One in so many of the steps left stays for the attempts after one that found a layout.
const WAITING: u64 = 2;
/// Attempts that hold every flat fall but not the rehearsed ones: after so many the verification has the word.
const REHEARSED: u32 = 3;

fn solve(question: &Question<'_>, options: &ArrangeOptions, progress: &dyn Progress) -> Outcome<Interior> {
    let attempts = match question.attempts() {
        Ok(attempts) => attempts,
        Err(reasons) => return Outcome::Impossible { reasons },
    };
    let watch = Watch::new(progress, attempts.len());
    // Keeping what is reached first on top is tried beside the attempts that do without, on a share of its own.
    // Lying across is for what is left when all else failed.
    let needful = attempts
        .iter()
        .filter(|attempt| !attempt.first_on_top && !attempt.across)
        .count();
    let mut waiting = needful as u64 + 1;
    let (mut used, mut rounds) = (0, 0);
    let (mut after, mut rehearsed) = (0, 0);
    // A layout whose load path, interior or rehearsed falls ask for more foam than it has: better than none, and verification
    // says where. Another attempt may lie so that they hold: which item bottoms as it turns hangs on who its neighbours are.
    // The one that falls short on the fewest sides is kept, the first of equals.
    // Of those that hold every flat fall a balanced one comes first.
    let mut loose: Option<(Attempt, attempt::Found)> = None;
    let mut loose_leans = true;
    // Holds everything, but out of balance: another stacking may do better.
    let mut leaning: Option<(f64, &Attempt, Interior)> = None;
    let mut reasons = Vec::new();
    let mut not_on_top: Option<Said> = None;
    let mut question = question.clone();
    let mut before: Option<&Attempt> = None;
    for (index, attempt) in attempts.iter().enumerate() {
        if attempt.across && (loose.is_some() || leaning.is_some()) {
            break;
        }
        // A tray, or doing without room for notches, may settle what did not settle; thinner cushions never do better than
        // a layout that is short of foam.
        if loose
            .as_ref()
            .is_some_and(|(held, _)| attempt.level.unknown_share < held.level.unknown_share)
        {
            break;
        }
        if let Some((_, held, _)) = &leaning {
            if attempt.level.unknown_share < held.level.unknown_share {
                break;
            }
            if attempt.stacking == held.stacking {
                continue;
            }
        }
        if rehearsed == REHEARSED {
            break;
        }
        // Where every flat fall holds, the same stacking arranged otherwise is enough: another would trade height for luck.
        if let Some((held, found)) = &loose
            && found.holds_flat
            && held.stacking != attempt.stacking
        {
            continue;
        }
        watch.begin(index);
        if attempt.across {
            if before.is_some_and(|before| !before.across) {
                match question.with_the_longest_turned(attempt) {
                    Some(turned) => question = turned,
                    None => break,
                }
            }
        } else if before.is_none_or(|before| before.stacking != attempt.stacking) {
            question.turn_the_homeless(attempt);
        }
        before = Some(attempt);
        // What finds no layout leaves as much to those that follow; what does is worth most of what is left.
        let left = options.steps.saturating_sub(used);
        let share = left / waiting.max(2);
        let effort = Effort {
            finding: share / 2,
            all: if index + 1 < attempts.len() {
                left - left / WAITING
            } else {
                left
            },
            // A change to what lies there is answered at once; its verification simulates.
            with_falls: question.boundary.is_none(),
            after,
        };
        waiting -= u64::from(!attempt.first_on_top && !attempt.across);
        let run = attempt::run(&question, attempt, options, effort, &watch);
        used += run.steps;
        rounds += run.rounds;
        if attempt.first_on_top && not_on_top.is_none() {
            not_on_top = why_not_on_top(&run.tried);
        }
        match run.tried {
            Tried::Settled(found) => {
                let mut interior =
                    assemble::interior(&question, attempt, &found, (rounds, options.seed, used));
                interior.not_on_top = not_on_top.clone().filter(|_| !attempt.first_on_top);
                // What was arranged before keeps its stacking, balanced or not.
                if question.boundary.is_some() || beyond_balance(&interior, question.brief) <= 0.0 {
                    return Outcome::Complete(interior);
                }
                let points = score(&interior, question.brief)
                    .iter()
                    .map(ScoreTerm::points)
                    .sum();
                if leaning.as_ref().is_none_or(|(best, ..)| points > *best) {
                    leaning = Some((points, attempt, interior));
                }
            }
            Tried::Loose(found) => {
                after += 1;
                rehearsed += u32::from(found.holds_flat);
                let leans = !found.holds_flat || {
                    let lies = assemble::interior(&question, attempt, &found, (rounds, options.seed, used));
                    beyond_balance(&lies, question.brief) > 0.0
                };
                let is_better = |best: &attempt::Found| {
                    if leans == loose_leans {
                        found.is_better_than(best)
                    } else {
                        loose_leans
                    }
                };
                if loose.as_ref().is_none_or(|(_, best)| is_better(best)) {
                    loose = Some((attempt.clone(), found));
                    loose_leans = leans;
                }
            }
            // What stood in the way of those along the sides says more.
            Tried::Nothing(found) if !attempt.across => reasons = found,
            Tried::Nothing(_) => {}
        }
        if watch.is_stopped() {
            let best = leaning.map(|(.., interior)| interior).or_else(|| {
                loose.map(|(attempt, found)| {
                    assemble::interior(&question, &attempt, &found, (rounds, options.seed, used))
                })
            });
            return Outcome::Stopped { best, steps: used };
        }
    }
    if let Some((.., interior)) = leaning {
        return Outcome::Complete(interior);
    }
    if let Some((attempt, found)) = loose {
        let mut interior = assemble::interior(&question, &attempt, &found, (rounds, options.seed, used));
        interior.not_on_top = not_on_top.filter(|_| !attempt.first_on_top);
        return Outcome::Complete(interior);
    }
    Outcome::Impossible {
        reasons: remedy::with_remedies(&question, reasons, &attempts, options, &watch),
    }
}

/// What came of keeping what is reached first on top, in words; `None` where it worked.
fn why_not_on_top(tried: &Tried) -> Option<Said> {
    match tried {
        Tried::Settled(_) => None,
        Tried::Loose(found) => Some(said!(
            "tried with all that is reached first on top, {sides} sides of cushions are short of foam that they have \
             below",
            sides = found.shortfalls
        )),
        Tried::Nothing(reasons) => Some(reasons.first().map_or_else(
            || said!("tried with all that is reached first on top, nothing was found within the step budget"),
            |reason| {
                said!(
                    "tried with all that is reached first on top, {sentence}",
                    sentence = reason.sentence
                )
            },
        )),
    }
}

#[cfg(test)]
mod board_tests;
#[cfg(test)]
mod clear_tests;
#[cfg(test)]
mod lid_tests;
#[cfg(test)]
mod oblique_tests;
#[cfg(test)]
mod tests;
