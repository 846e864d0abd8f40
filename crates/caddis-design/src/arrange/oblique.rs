//! Oblique ways: what finds no place along the sides of the case may find one across it.
//!
//! Square ways come first, for a layout along the sides is tidier and its pockets are simpler. An item whose pieces lie nowhere in the
//! empty case in any of them gets the oblique ways in which they do, from the first attempt on. Where nothing is found all the
//! same, the longest items get theirs too, in coarser steps.

use super::attempt::Attempt;
use super::problem::{Demand, problem};
use super::question::Question;
use super::ways::{Way, is_same};
use crate::Brief;
use crate::cushion::Load;
use crate::faces::faces;
use crate::outline::steepest;
use caddis_geometry::{Bounds2, Placement2, SectionStack, Vec2};
use caddis_layout::Prepared;
use caddis_survey::{HalfSide, Item, PosedItem, Turn, Up};
use std::sync::Arc;

/// Degrees between two oblique ways.
pub(super) const STEP: u16 = 5;
/// The same, where an item that could lie square is turned to make room for others.
const COARSE: u16 = 15;
/// Oblique ways of one item, at most: evenly out of those in which it finds a place, for every way is prepared against all others.
const MOST: usize = 8;
/// What lying across the case costs, metres of equivalent length.
const COST: f64 = 0.004;
/// Items turned to make room for others, at most; each at least so much longer than wide, and so long in shares of the case.
const LONGEST: usize = 3;
const SLENDER: f64 = 1.5;
const LONG: f64 = 0.5;

/// The turns about the vertical, beyond the square ones, that make a difference to an item that has so many square ones.
pub(crate) fn turns(square: usize) -> impl Iterator<Item = Turn> {
    // One: it looks the same after a quarter turn. Two: after half a turn.
    let period = 90 * if square > 2 { 4 } else { square as u16 };
    (0..period / STEP)
        .map(|k| Turn::degrees(k * STEP))
        .filter(|turn| !turn.is_square())
}

/// The oblique ways of an item whose square ones are known, `step` degrees apart, that are `asked` for; none where it may not be
/// turned, or is round.
pub(super) fn oblique(
    item: &Item,
    square: &[Way],
    (step, draft): (u16, f64),
    asked: impl Fn(&Way, Turn) -> bool,
) -> Vec<Way> {
    if !item.may_turn {
        return Vec::new();
    }
    let mut ups: Vec<Up> = Vec::new();
    for way in square {
        if !ups.contains(&way.up) {
            ups.push(way.up);
        }
    }
    let mut found = Vec::new();
    for up in ups {
        let known: Vec<&Way> = square
            .iter()
            .filter(|way| way.up == up && way.turn.is_square())
            .collect();
        let Some(first) = known.first() else { continue };
        if known.len() == 1 && is_same(first, &turned(draft, first, Turn::degrees(45))) {
            continue;
        }
        for way in known {
            let rests = (1..90 / step).map(|k| Turn::degrees(k * step));
            let asked = rests.filter(|rest| asked(way, *rest));
            found.extend(asked.map(|rest| turned(draft, way, rest)));
        }
    }
    found
}

/// Whether the box of a way turned further is no larger than the shell's.
pub(super) fn fits(brief: &Brief, way: &Way, rest: Turn) -> bool {
    let base = &brief.shell.base;
    let length = base.rim.length.most().si().max(base.floor.length.most().si());
    let width = base.rim.width.most().si().max(base.floor.width.most().si());
    let size = plan_box(&way.body, rest).size();
    size.x <= length && size.y <= width
}

/// The plan box of a stack turned about the origin.
fn plan_box(stack: &SectionStack, turn: Turn) -> Bounds2 {
    let reach = |axis: Vec2| {
        let n = axis.rotated(-turn.radians());
        let reaches = stack.slabs.iter().filter_map(|slab| slab.region.reach(n));
        reaches.reduce(f64::max).unwrap_or(0.0)
    };
    let (x, y) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    Bounds2 {
        min: -Vec2::new(reach(-x), reach(-y)),
        max: Vec2::new(reach(x), reach(y)),
    }
}

/// A square way turned further: nothing of it is cut into sections anew.
fn turned(draft: f64, way: &Way, rest: Turn) -> Way {
    let posed = PosedItem::clone(&way.posed).turned(rest);
    let onward = Placement2 {
        angle: rest.radians(),
        shift: -plan_box(&way.posed.stack, rest).centre(),
    };
    let faces = faces(&posed.stack, &posed.clear, draft);
    Way {
        turn: way.turn.then(rest),
        body: way.body.placed(&onward, 0.0).into(),
        faces: Arc::new(faces),
        cost: way.cost + COST,
        posed: Arc::new(posed),
        sized: way.sized.as_ref().map(|_| Arc::default()),
        up: way.up,
    }
}

impl<'a> Question<'a> {
    /// Lets what finds no place in the empty case along its sides lie across it; whether that gives any item a way more.
    ///
    /// # Accuracy
    /// No proof: places in the empty case are looked for from a grid of starts, with the foam that the item alone needs.
    pub(super) fn turn_the_homeless(&mut self, attempt: &Attempt) -> bool {
        let prepared = self.alone(attempt);
        let homeless: Vec<usize> = (0..self.brief.items.len())
            .filter(|&item| self.brief.items[item].may_turn)
            .filter(|&item| {
                let mut pieces = self.pieces.iter().enumerate();
                let free = pieces.find(|(_, piece)| piece.item == item && piece.pin.is_none());
                free.is_some_and(|(piece, _)| prepared.lies_alone(piece).is_empty())
            })
            .collect();
        let mut any = false;
        for item in homeless {
            any |= self.turn(attempt, item, self.oblique(item, STEP));
        }
        any
    }

    /// The same question with its longest items free to lie across the case as well; `None` where that gives none of them a way more.
    pub(super) fn with_the_longest_turned(&self, attempt: &Attempt) -> Option<Question<'a>> {
        let rim = &self.brief.shell.base.rim;
        let least = LONG * rim.length.value.si().max(rim.width.value.si());
        let mut long: Vec<(f64, usize)> = (0..self.brief.items.len())
            .filter(|&item| self.pieces.iter().any(|p| p.item == item && p.pin.is_none()))
            .filter(|&item| self.ways[item].iter().all(|way| way.turn.is_square()))
            .filter_map(|item| {
                let sides = self.ways[item].iter().map(|way| {
                    let size = way.posed.bounds.size();
                    (size.x.max(size.y), size.x.min(size.y))
                });
                let (length, width) = sides.max_by(|a, b| a.0.total_cmp(&b.0))?;
                (length >= least && length >= SLENDER * width).then_some((length, item))
            })
            .collect();
        long.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut turned = self.clone();
        let mut any = false;
        for (_, item) in long.into_iter().take(LONGEST) {
            any |= turned.turn(attempt, item, self.oblique(item, COARSE));
        }
        any.then_some(turned)
    }

    /// The oblique ways of an item, `step` degrees apart, whose boxes are no larger than the shell's.
    fn oblique(&self, item: usize, step: u16) -> Vec<Way> {
        let draft = steepest(&self.brief.shell, HalfSide::Base);
        let fits = |way: &Way, rest| fits(self.brief, way, rest);
        oblique(&self.brief.items[item], &self.ways[item], (step, draft), fits)
    }

    /// Adds those of some ways in which a piece of the item finds a place in the empty case, [`MOST`] of them at most; whether there
    /// are any.
    pub(super) fn turn(&mut self, attempt: &Attempt, item: usize, mut ways: Vec<Way>) -> bool {
        ways.retain(|way| {
            let mut known = self.ways[item].iter();
            !known.any(|known| known.up == way.up && known.turn == way.turn)
        });
        let Some(piece) = self.pieces.iter().find(|piece| piece.item == item) else {
            return false;
        };
        if ways.is_empty() {
            return false;
        }
        let mut asked = self.clone();
        asked.pieces = vec![piece.clone()];
        asked.pieces[0].pin = None;
        asked.ways[item].clone_from(&ways);
        let mut lies = asked.alone(attempt).lies_alone(0);
        let count = lies.len();
        if count > MOST {
            lies = (0..MOST).map(|k| lies[k * count / MOST]).collect();
        }
        self.ways[item].extend(lies.into_iter().filter_map(|index| ways.get(index).cloned()));
        count > 0
    }

    /// The layout problem with the least that each piece asks when it is alone.
    fn alone(&self, attempt: &Attempt) -> Prepared {
        let bare = Attempt {
            room_for_notches: false,
            first_on_top: false,
            ..attempt.clone()
        };
        let loads = vec![[Load::NONE; 6]; self.pieces.len()];
        let demands = vec![Demand::NONE; self.pieces.len()];
        Prepared::new(problem(self, &bare, &loads, &demands))
    }
}
