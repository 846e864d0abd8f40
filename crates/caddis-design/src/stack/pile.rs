//! Piles of stock thicknesses: the cheapest for every height, with joints where floors want them.

use crate::Brief;
use crate::outline::{squeeze_range, steepest};
use caddis_survey::{HalfSide, Shell};
use std::collections::BTreeMap;

/// Heights are told apart to this, metres.
pub(super) const GRAIN: f64 = 1e-5;
/// Foam that an intrusion's cut-out wastes above it and that weighs as much as one layer more, cubic metres.
const LAYER_WORTH: f64 = 4e-4;
/// What a millimetre of wall taper beyond the squeeze range weighs, in layers.
const TAPER_WORTH: f64 = 0.3;
/// What a millimetre weighs by which a piece sinks to the joint under it, in layers.
const SINK_WORTH: f64 = 0.2;
/// Boundaries closer together than this are one choice where joints must suit pieces, metres.
const NEAR: f64 = 4e-3;
/// What a piece weighs whose cavity has its floor in the uppermost layer where floors are to show another colour, in layers.
const HIDDEN_WORTH: f64 = 0.6;

/// One way to stack a block: stock thicknesses from bottom to top and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pile {
    /// Stock thicknesses, metres, bottom to top.
    pub stock: Vec<f64>,
    /// Stacked height: thicknesses less the joints.
    pub height: f64,
    /// In layers.
    pub cost: f64,
}

pub(super) fn grain(height: f64) -> i64 {
    (height / GRAIN).round() as i64
}

/// The cheapest pile for every height up to `greatest` that thicknesses and joints can make, standing at `low`. Where floors are
/// wanted at heights that only joints can give, each costs what its piece sinks; where floors are to show, each piece of the heights
/// `shown` that the uppermost layer is thicker than costs something too.
pub(super) fn piles(
    brief: &Brief,
    half: &HalfCost,
    low: f64,
    greatest: f64,
    (floors, shown): (&[f64], &[f64]),
) -> BTreeMap<i64, Pile> {
    let joint = brief.clearances.joint_loss.si().max(0.0);
    let thicknesses: Vec<f64> = brief
        .clearances
        .layer_thicknesses
        .iter()
        .map(|t| t.si())
        .filter(|t| t.is_finite() && *t > joint + 1e-3)
        .collect();
    let mut found: BTreeMap<i64, Pile> = BTreeMap::new();
    let mut queue: BTreeMap<i64, Pile> = BTreeMap::from([(
        0,
        Pile {
            stock: Vec::new(),
            height: 0.0,
            cost: 0.0,
        },
    )]);
    while let Some((_, pile)) = queue.pop_first() {
        for &thickness in &thicknesses {
            let rise = if pile.stock.is_empty() {
                thickness
            } else {
                thickness - joint
            };
            let height = pile.height + rise;
            if height > greatest + GRAIN {
                continue;
            }
            let (bottom, top) = (low + pile.height, low + height);
            let sunk: f64 = floors
                .iter()
                .filter(|floor| (bottom - GRAIN..top - GRAIN).contains(*floor))
                .map(|floor| floor - bottom)
                .sum();
            let cost = pile.cost + half.layer(bottom, top) + sunk * 1e3 * SINK_WORTH;
            let hidden = shown
                .iter()
                .filter(|shallow| **shallow < thickness - GRAIN)
                .count();
            let next = grain(height);
            for (piles, cost) in [
                (&mut queue, cost),
                (&mut found, cost + hidden as f64 * HIDDEN_WORTH),
            ] {
                if piles.get(&next).is_none_or(|before| cost < before.cost - 1e-9) {
                    let mut stock = pile.stock.clone();
                    stock.push(thickness);
                    piles.insert(next, Pile { stock, height, cost });
                }
            }
        }
    }
    found
}

/// What makes a layer of one half dear, found once for all layers that are tried.
pub(super) struct HalfCost {
    /// Area and heights of the intrusions.
    intrusions: Vec<(f64, f64, f64)>,
    /// Steepest taper of the walls, length over height.
    taper: f64,
    /// What the squeeze follows, metres.
    follows: f64,
}

impl HalfCost {
    pub(super) fn of(brief: &Brief, side: HalfSide) -> Self {
        let (tight, loose) = squeeze_range(brief, side);
        Self {
            intrusions: intrusion_boxes(&brief.shell, side),
            taper: steepest(&brief.shell, side),
            // A bevelled edge follows any wall.
            follows: if brief.furnishing.bevelled_edges {
                f64::INFINITY
            } else {
                loose - tight
            },
        }
    }

    /// One layer, plus the foam that intrusions waste in it, plus taper that the squeeze cannot follow.
    pub(super) fn layer(&self, low: f64, high: f64) -> f64 {
        let waste: f64 = self
            .intrusions
            .iter()
            .map(|&(area, from, to)| {
                let overlap = high.min(to) - low.max(from);
                if overlap > 1e-4 {
                    area * (high - low - overlap)
                } else {
                    0.0
                }
            })
            .sum();
        let taper = self.taper * (high - low);
        1.0 + waste / LAYER_WORTH + (taper - self.follows).max(0.0) * 1e3 * TAPER_WORTH
    }
}

/// Area at the root and heights in the case of every intrusion that is still there.
fn intrusion_boxes(shell: &Shell, side: HalfSide) -> Vec<(f64, f64, f64)> {
    let half = match side {
        HalfSide::Base => &shell.base,
        HalfSide::Lid => &shell.lid,
    };
    let crown = shell.crown_height().si();
    half.intrusions
        .iter()
        .filter(|intrusion| !intrusion.removed)
        .map(|intrusion| {
            let area = intrusion
                .root_region(half)
                .intersection(&half.rim_region())
                .area();
            let (from, to) = (intrusion.from.value.si(), intrusion.to.value.si());
            match side {
                HalfSide::Base => (area, from, to),
                HalfSide::Lid => (area, crown - to, crown - from),
            }
        })
        .collect()
}

/// Piles of the base block with their heights, for choosing a boundary: rising heights.
pub(crate) fn base_piles(brief: &Brief) -> Vec<Pile> {
    let rim = brief.shell.rim_height().si();
    let base = HalfCost::of(brief, HalfSide::Base);
    piles(brief, &base, 0.0, rim, (&[], &[])).into_values().collect()
}

/// The pile of the same height whose joints suit pieces of these heights, their tops flush with its own. Without through cuts and colours
/// a floor may lie anywhere, and the pile stays as it is.
pub(super) fn suited(brief: &Brief, half: &HalfCost, low: f64, pile: Pile, heights: &[f64]) -> Pile {
    let through = brief.clearances.through_cuts;
    let is_coloured = brief.furnishing.colours.is_some();
    if !through && !is_coloured {
        return pile;
    }
    let inside: Vec<f64> = heights
        .iter()
        .copied()
        .filter(|height| *height < pile.height)
        .collect();
    let floors: Vec<f64> = inside.iter().map(|height| low + pile.height - height).collect();
    let floors = if through { floors.as_slice() } else { &[] };
    let shown = if is_coloured { inside.as_slice() } else { &[] };
    piles(brief, half, low, pile.height, (floors, shown))
        .remove(&grain(pile.height))
        .unwrap_or(pile)
}

/// Of the base piles about as high as `pile` the one whose joints suit pieces of these heights best. How many layers make a height
/// exactly is nearly fixed by it, since every joint loses the same.
pub(crate) fn suited_base(brief: &Brief, pile: Pile, heights: &[f64]) -> Pile {
    if !brief.clearances.through_cuts {
        return pile;
    }
    let half = &HalfCost::of(brief, HalfSide::Base);
    piles(brief, half, 0.0, pile.height + NEAR, (&[], &[]))
        .into_values()
        .filter(|other| (other.height - pile.height).abs() <= NEAR)
        .map(|other| suited(brief, half, 0.0, other, heights))
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
        .unwrap_or(pile)
}
