//! The wishes of a job in the layout's terms, piece by piece.

use super::question::Question;
use super::ways::OUTLINE;
use crate::{Brief, GapWish};
use caddis_basis::ItemId;
use caddis_geometry::Vec2;
use caddis_layout::{Weights, Wish};

/// The wishes between pieces, and what is to be reached first.
pub(super) fn wishes(question: &Question<'_>) -> Vec<Wish> {
    let brief = question.brief;
    let of = |item: &ItemId| -> Vec<usize> {
        (0..question.pieces.len())
            .filter(|&index| question.pieces[index].instance.item == *item)
            .collect()
    };
    let mut found = Vec::new();
    for GapWish { items, gap } in &brief.wishes.together {
        for pair in items.windows(2) {
            let (first, second) = (of(&pair[0]), of(&pair[1]));
            // Each piece of the second beside one of the first, in turn.
            for (index, &b) in second.iter().enumerate() {
                if let Some(&a) = first.get(index % first.len().max(1)).filter(|&&a| a != b) {
                    // The layout's bodies are the largest the pieces may be; what is promised holds for the nominal ones.
                    let grown = growth(question, a) + growth(question, b);
                    found.push(Wish::Together(a, b, (gap.si() - grown).max(0.0)));
                }
            }
        }
    }
    for GapWish { items, gap } in &brief.wishes.apart {
        for (index, first) in items.iter().enumerate() {
            for second in &items[index + 1..] {
                for a in of(first) {
                    found.extend(
                        of(second)
                            .into_iter()
                            .filter(|&b| a != b)
                            .map(|b| Wish::Apart(a, b, gap.si())),
                    );
                }
            }
        }
    }
    let way = crate::wishes::opening_side(&brief.shell);
    found.extend(
        question
            .pieces
            .iter()
            .enumerate()
            .filter(|(_, piece)| brief.items[piece.item].reach_first)
            .map(|(index, _)| Wish::Towards(index, way)),
    );
    found
}

/// By how much the body that the layout sees may stand off the nominal one in plan, metres.
fn growth(question: &Question<'_>, piece: usize) -> f64 {
    let brief = question.brief;
    let tolerance = brief.items[question.pieces[piece].item].size_tolerance;
    tolerance.si().max(0.0) + brief.foams[brief.base_foam].cavity_clearance.si().max(0.0) + OUTLINE
}

/// Millimetres short of a wish that are as bad as the wish not met.
const SHORT: f64 = 40.0;

/// Where the centre of mass of all pieces should lie, how much each way counts, and what layouts that fit are compared by.
pub(super) struct Aim {
    pub(super) balance: Vec2,
    pub(super) counts: Vec2,
    pub(super) weights: Weights,
}

/// The aim of a layout whose pieces weigh so many kilograms together.
pub(super) fn aim(brief: &Brief, pieces: f64) -> Aim {
    let (wished, counts) = crate::wishes::balance(brief.wishes.carried, &brief.shell);
    // The rest of the case lies about its middle: the pieces lean farther than the whole case does.
    let rest = brief.shell.empty_mass.value.si() + brief.sundries.value.si();
    let lever = (pieces + rest) / pieces.max(1e-9);
    let weights = &brief.wishes.weights;
    Aim {
        balance: wished * lever,
        counts,
        weights: Weights {
            balance: weights.balance,
            unbalanced: weights.unbalanced,
            balanced_within: crate::wishes::balanced_within(&brief.shell) * lever,
            wishes: weights.wish / SHORT,
            order: weights.line * 1e-3,
        },
    }
}
