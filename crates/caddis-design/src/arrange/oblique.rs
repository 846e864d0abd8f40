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
use caddis_geometry::{Placement2, Vec2};
use caddis_layout::Prepared;
use caddis_survey::{HalfSide, Item, Turn, Up};

/// Degrees between two oblique ways.
pub(super) const STEP: u16 = 5;
/// The same, where an item that could lie square is turned to make room for others.
const COARSE: u16 = 15;
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

/// The oblique ways of an item whose square ones are known; none where it may not be turned, or is round.
pub(crate) fn oblique(brief: &Brief, item: &Item, square: &[Way]) -> Vec<Way> {
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
        if known.len() == 1 && is_same(first, &turned(brief, first, Turn::degrees(45))) {
            continue;
        }
        for way in known {
            for step in 1..90 / STEP {
                let rest = Turn::degrees(step * STEP);
                if fits(brief, way, rest) {
                    found.push(turned(brief, way, rest));
                }
            }
        }
    }
    found
}

/// Whether the box of a way turned further is no larger than the shell's.
fn fits(brief: &Brief, way: &Way, rest: Turn) -> bool {
    let base = &brief.shell.base;
    let length = base.rim.length.most().si().max(base.floor.length.most().si());
    let width = base.rim.width.most().si().max(base.floor.width.most().si());
    let bounds = way.body.placed(&about(rest), 0.0).bounds();
    bounds.is_some_and(|b| b.size().x <= length && b.size().y <= width)
}

fn about(turn: Turn) -> Placement2 {
    Placement2 {
        angle: turn.radians(),
        shift: Vec2::ZERO,
    }
}

/// A square way turned further: nothing of it is cut into sections anew.
fn turned(brief: &Brief, way: &Way, rest: Turn) -> Way {
    let posed = way.posed.clone().turned(rest);
    let bounds = way.posed.stack.placed(&about(rest), 0.0).bounds();
    let onward = Placement2 {
        shift: bounds.map_or(Vec2::ZERO, |b| -b.centre().plan()),
        ..about(rest)
    };
    Way {
        turn: way.turn.then(rest),
        body: way.body.placed(&onward, 0.0),
        faces: faces(&posed.stack, &posed.clear, steepest(&brief.shell, HalfSide::Base)),
        cost: way.cost + COST,
        posed,
        ..way.clone()
    }
}

impl<'a> Question<'a> {
    /// Lets what finds no place in the empty case along its sides lie across it. `oblique` gives the oblique ways of an item. Whether any
    /// way was found.
    ///
    /// # Accuracy
    /// No proof: places in the empty case are looked for from a grid of starts, with the foam that the item alone needs.
    pub(super) fn turn_the_homeless(
        &mut self,
        attempt: &Attempt,
        oblique: impl Fn(usize) -> Vec<Way>,
    ) -> bool {
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
            any |= self.turn(attempt, item, oblique(item));
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
            let mut ways = oblique(self.brief, &self.brief.items[item], &self.ways[item]);
            ways.retain(|way| way.turn.as_degrees().is_multiple_of(COARSE));
            any |= turned.turn(attempt, item, ways);
        }
        any.then_some(turned)
    }

    /// Adds those of the given ways in which a piece of the item finds a place in the empty case; whether there are any.
    fn turn(&mut self, attempt: &Attempt, item: usize, mut ways: Vec<Way>) -> bool {
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
        let lies = asked.alone(attempt).lies_alone(0);
        let any = !lies.is_empty();
        let mut found = ways
            .into_iter()
            .enumerate()
            .filter(|(index, _)| lies.contains(index));
        self.ways[item].extend(found.by_ref().map(|(_, way)| way));
        any
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
