//! The score: what arrangements that hold are compared by, term by term.

use super::{balance, balanced_within, wishes};
use crate::{BlockKind, Brief, Interior};
use caddis_basis::{Said, said};
use caddis_geometry::Vec2;

/// What one of each term is worth, in millimetres of spare: the room that every cushion could still grow by.
///
/// # Source
/// The weights are choices, not measurements (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScoreWeights {
    /// For a millimetre that the centre of mass lies off.
    pub balance: f64,
    /// For a millimetre of it beyond what still counts as balanced.
    pub unbalanced: f64,
    /// For a tray.
    pub tray: f64,
    /// For a wish that is not met.
    pub wish: f64,
    /// For a piece that shares no line with another.
    pub line: f64,
}

impl Default for ScoreWeights {
    fn default() -> Self {
        Self {
            balance: 0.05,
            unbalanced: 1.0,
            tray: 5.0,
            wish: 20.0,
            line: 0.5,
        }
    }
}

/// One term of what the arrangement was judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct ScoreTerm {
    /// What.
    pub name: Said,
    /// How much of it there is.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Millimetres of equal worth for one of it: negative where less is better.
    pub weight: f64,
}

impl ScoreTerm {
    /// What it adds to the score, millimetres of equal worth.
    pub fn points(&self) -> f64 {
        self.value * self.weight
    }
}

/// What the arrangement is judged by beyond that everything fits with its cushions, term by term, in the order of worth.
pub fn score(interior: &Interior, brief: &Brief) -> Vec<ScoreTerm> {
    let weights = &brief.wishes.weights;
    let trays = interior
        .blocks
        .iter()
        .filter(|block| matches!(block.kind, BlockKind::Tray(_)))
        .count();
    let unmet = wishes(interior, brief)
        .iter()
        .filter(|verdict| !verdict.is_met)
        .count();
    let term = |name, value, unit, weight| ScoreTerm {
        name,
        value,
        unit,
        weight,
    };
    vec![
        term(
            said!("centre of mass out of balance by"),
            beyond_balance(interior, brief) * 1e3,
            "mm",
            -weights.unbalanced,
        ),
        term(said!("wishes not met"), unmet as f64, "", -weights.wish),
        term(said!("trays"), trays as f64, "", -weights.tray),
        term(
            said!("spare beyond every cushion"),
            interior.spare * 1e3,
            "mm",
            1.0,
        ),
        term(
            said!("centre of mass off the place wished for"),
            off_balance(interior, brief).length() * 1e3,
            "mm",
            -weights.balance,
        ),
        term(
            said!("pieces out of line"),
            out_of_line(interior) as f64,
            "",
            -weights.line,
        ),
    ]
}

/// How far the centre of mass lies from where it is wished along x and y, each way as it counts, metres.
pub(super) fn off_balance(interior: &Interior, brief: &Brief) -> Vec2 {
    let (wished, counts) = balance(brief.wishes.carried, &brief.shell);
    let (x, y, _) = crate::verify::centre_of_mass(interior, brief);
    Vec2::new((x - wished.x).abs() * counts.x, (y - wished.y).abs() * counts.y)
}

/// By how much the centre of mass lies beyond what still counts as balanced, metres; 0 for a balanced case.
pub(crate) fn beyond_balance(interior: &Interior, brief: &Brief) -> f64 {
    let (off, within) = (off_balance(interior, brief), balanced_within(&brief.shell));
    (off.x - within.x).max(0.0).hypot((off.y - within.y).max(0.0))
}

/// Pieces that share no line, through their middles or along an edge, with another of their tier.
fn out_of_line(interior: &Interior) -> usize {
    const SAME: f64 = 1e-3;
    let boxes: Vec<_> = interior
        .places
        .iter()
        .filter_map(|place| place.body.bounds().map(|bounds| (place.tier, bounds)))
        .collect();
    let lines = |low: f64, high: f64| [low, f64::midpoint(low, high), high];
    boxes
        .iter()
        .enumerate()
        .filter(|(index, (tier, own))| {
            !boxes.iter().enumerate().any(|(other, (its_tier, its))| {
                let meets = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).any(|(a, b)| (a - b).abs() < SAME);
                other != *index
                    && its_tier == tier
                    && (meets(lines(own.min.x, own.max.x), lines(its.min.x, its.max.x))
                        || meets(lines(own.min.y, own.max.y), lines(its.min.y, its.max.y)))
            })
        })
        .count()
}
