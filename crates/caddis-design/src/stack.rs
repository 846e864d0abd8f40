//! Blocks and layers: stacking stock thicknesses to heights.
//!
//! The base block and the trays stand at their free heights; the lid pad alone takes the squeeze of the closed case.
//! Layer heights in the lid pad are therefore its free heights scaled into the room above the trays. A tray with a board is two stacks
//! with the board between: layers end at it.

mod blocks;
mod pile;

pub(crate) use blocks::{blocks, board_outline};
pub(crate) use pile::{Pile, base_piles, suited_base};

use crate::Brief;
use caddis_survey::HalfSide;
use pile::{GRAIN, HalfCost, piles, suited};

/// What a millimetre that the base stack stays below the rim weighs, in layers.
const RIM_WORTH: f64 = 0.05;
/// What a millimetre of squeeze outside its range weighs, in layers.
const SQUEEZE_WORTH: f64 = 10.0;
/// How much thicker than it must be the foam under a tray's board may be, metres, what a millimetre of that weighs, in layers, and
/// how many such covers are tried.
const COVER_SLACK: f64 = 0.030;
const COVER_WORTH: f64 = 0.1;
const COVERS: usize = 3;
/// How far below the rim a base stack may end, metres.
const RIM_SLACK: f64 = 0.012;

/// What a tray with a board has below the foam that bears its pieces.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Under {
    /// The foam that covers what lies below the tray.
    pub cover: Pile,
    /// Thickness of the board on it.
    pub board: f64,
}

impl Under {
    fn height(&self) -> f64 {
        self.cover.height + self.board
    }
}

/// The case stacked from floor to crown.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Stacking {
    /// The block on the floor.
    pub base: Pile,
    /// The tray's foam over it, if there is one; over its board, where it has one.
    pub tray: Option<Pile>,
    /// What a tray has under that foam.
    pub under: Option<Under>,
    /// The lid pad.
    pub lid: Pile,
    /// The foam under it that closes its pockets from below, where pieces lie in it.
    pub lid_cover: Option<Pile>,
    /// Sum of costs, in layers.
    pub cost: f64,
}

impl Stacking {
    /// Height of the boundary between base block and tray, or of the top where there is no tray.
    pub(crate) fn boundary(&self) -> f64 {
        self.base.height
    }

    /// Height where the lid pad begins.
    pub(crate) fn top(&self) -> f64 {
        self.tray_floor() + self.tray.as_ref().map_or(0.0, |tray| tray.height)
    }

    /// Height where the foam begins that bears what lies in the tray: over its board, where it has one.
    pub(crate) fn tray_floor(&self) -> f64 {
        self.base.height + self.under.as_ref().map_or(0.0, Under::height)
    }

    /// How many tiers it has, the lid not counted.
    pub(crate) fn tiers(&self) -> usize {
        if self.tray.is_some() { 2 } else { 1 }
    }

    /// How much foam covers what lies below a tray with a board.
    pub(crate) fn cover(&self) -> Option<f64> {
        self.under.as_ref().map(|under| under.cover.height)
    }

    /// Height at which pieces stand in the lid of the closed case: over its cover, where it has one. Cover and pad share the squeeze
    /// of the closed lid by their free heights.
    pub(crate) fn lid_floor(&self, brief: &Brief) -> Option<f64> {
        let cover = self.lid_cover.as_ref()?;
        let room = brief.crown().si() - self.top();
        Some(self.top() + room * cover.height / (cover.height + self.lid.height))
    }

    /// The joint at or below a height: where a cavity floor can be that is cut through whole layers.
    pub(crate) fn joint_below(&self, brief: &Brief, height: f64) -> f64 {
        let joint = brief.clearances.joint_loss.si().max(0.0);
        let cover = self.under.as_ref().map(|under| (self.base.height, &under.cover));
        let tray = self.tray.as_ref().map(|tray| (self.tray_floor(), tray));
        [(0.0, &self.base)]
            .into_iter()
            .chain(cover)
            .chain(tray)
            .flat_map(|(low, pile)| {
                pile.stock.iter().scan((low, 0.0), move |(at, lost), thickness| {
                    let bottom = *at;
                    *at += thickness - *lost;
                    *lost = joint;
                    Some(bottom)
                })
            })
            .filter(|bottom| *bottom <= height + GRAIN)
            .fold(0.0, f64::max)
    }
}

/// Stacks the whole case in one block and a lid pad, for pieces of these heights; `None` when no pile of stock comes near the
/// rim.
pub(crate) fn stack_one(brief: &Brief, heights: &[f64]) -> Option<Stacking> {
    let half = HalfCost::of(brief, HalfSide::Base);
    let lid = HalfCost::of(brief, HalfSide::Lid);
    base_piles(brief)
        .into_iter()
        .filter(|base| ends_below_rim(brief, base.height))
        .filter_map(|base| finish(brief, &lid, suited(brief, &half, 0.0, base, heights), None, None))
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
}

/// Stacks a tray over a base block of this height, for pieces of these heights; one with a board has at least `cover` of foam under
/// it.
pub(crate) fn stack_two(brief: &Brief, base: &Pile, cover: f64, heights: &[f64]) -> Option<Stacking> {
    let half = HalfCost::of(brief, HalfSide::Base);
    let lid = HalfCost::of(brief, HalfSide::Lid);
    let base = suited(brief, &half, 0.0, base.clone(), heights);
    let rim = brief.shell.rim_height().si();
    let over = |under: Option<Under>| {
        let floor = base.height + under.as_ref().map_or(0.0, Under::height);
        piles(brief, &half, floor, rim - floor, (&[], &[]))
            .into_values()
            .filter(|tray| ends_below_rim(brief, floor + tray.height))
            .filter_map(|tray| {
                let tray = suited(brief, &half, floor, tray, heights);
                finish(brief, &lid, base.clone(), under.clone(), Some(tray))
            })
            .min_by(|a, b| a.cost.total_cmp(&b.cost))
    };
    let Some(board) = &brief.furnishing.tray_board else {
        return over(None);
    };
    let board = board.thickness.si();
    covers(brief, &half, base.height, cover)
        .into_iter()
        .filter_map(|cover| over(Some(Under { cover, board })))
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
}

/// The few cheapest piles that cover at least so much, foam beyond it counted as what it costs in room.
fn covers(brief: &Brief, half: &HalfCost, low: f64, least: f64) -> Vec<Pile> {
    let mut found: Vec<Pile> = piles(brief, half, low, least + COVER_SLACK, (&[], &[]))
        .into_values()
        .filter(|pile| pile.height >= least - GRAIN)
        .map(|mut pile| {
            pile.cost += (pile.height - least).max(0.0) * 1e3 * COVER_WORTH;
            pile
        })
        .collect();
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    found.truncate(COVERS);
    found
}

fn ends_below_rim(brief: &Brief, top: f64) -> bool {
    (-GRAIN..=RIM_SLACK).contains(&(brief.shell.rim_height().si() - top))
}

/// Adds the lid pad whose free height squeezes the closed stack as asked, or comes nearest to it.
fn finish(
    brief: &Brief,
    lid_half: &HalfCost,
    base: Pile,
    under: Option<Under>,
    tray: Option<Pile>,
) -> Option<Stacking> {
    let top = base.height
        + under.as_ref().map_or(0.0, Under::height)
        + tray.as_ref().map_or(0.0, |tray| tray.height);
    let below_rim = brief.shell.rim_height().si() - top;
    let room = brief.crown().si() - top;
    let (a, b) = (
        brief.clearances.stack_squeeze.0.si(),
        brief.clearances.stack_squeeze.1.si(),
    );
    let (least, most) = (a.min(b), a.max(b));
    let lid = lid_pile(brief, lid_half, top, (room, least, most))?;
    let cost = base.cost
        + under.as_ref().map_or(0.0, |under| under.cover.cost)
        + tray.as_ref().map_or(0.0, |tray| tray.cost)
        + lid.cost
        + below_rim.max(0.0) * 1e3 * RIM_WORTH;
    Some(Stacking {
        base,
        tray,
        under,
        lid,
        lid_cover: None,
        cost,
    })
}

/// The cheapest pile from a height up that is squeezed into a room as asked, or nearest to it.
fn lid_pile(brief: &Brief, half: &HalfCost, low: f64, (room, least, most): (f64, f64, f64)) -> Option<Pile> {
    piles(brief, half, low, room + most + 0.01, (&[], &[]))
        .into_values()
        .map(|mut pile| {
            let squeeze = pile.height - room;
            let off = (least - squeeze).max(squeeze - most).max(0.0);
            pile.cost += off * 1e3 * SQUEEZE_WORTH;
            pile
        })
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
}

/// The same case with pockets in its lid over a cover of at least so much foam; `None` where no stock makes one that leaves room over it.
pub(crate) fn with_pockets(brief: &Brief, stacking: &Stacking, least_cover: f64) -> Option<Stacking> {
    let half = HalfCost::of(brief, HalfSide::Lid);
    let top = stacking.top();
    let room = brief.crown().si() - top;
    let (a, b) = (
        brief.clearances.stack_squeeze.0.si(),
        brief.clearances.stack_squeeze.1.si(),
    );
    // Squeezed in the closed case it must still be as thick as it is asked to be.
    let squeezed = room / (room + a.max(b));
    let asked = least_cover / squeezed;
    if asked >= room {
        return None;
    }
    covers(brief, &half, top, asked)
        .into_iter()
        .filter(|pile| pile.height < room - GRAIN)
        .filter_map(|cover| {
            let lid = lid_pile(
                brief,
                &half,
                top + cover.height,
                (room - cover.height, a.min(b), a.max(b)),
            )?;
            let cost = stacking.cost - stacking.lid.cost + cover.cost + lid.cost;
            let lidded = Stacking {
                lid,
                lid_cover: Some(cover),
                cost,
                ..stacking.clone()
            };
            // Stock that is squeezed harder than asked may leave too little of it.
            let floor = lidded.lid_floor(brief)?;
            (floor - top >= least_cover - GRAIN).then_some(lidded)
        })
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::outline::squeeze_range;
    use crate::{BlockKind, CutTo, testing};
    use caddis_basis::Length;
    use caddis_geometry::Region;

    #[test]
    fn one_block_reaches_the_rim_and_the_lid_squeezes() {
        let brief = testing::brief();
        let stacking = stack_one(&brief, &[]).unwrap();
        assert!(
            stacking.top() <= 0.240 + 1e-9 && stacking.top() >= 0.228,
            "{stacking:?}"
        );
        let squeeze = stacking.top() + stacking.lid.height - 0.315;
        assert!((0.001 - 1e-9..=0.005 + 1e-9).contains(&squeeze), "{squeeze}");
        assert!(
            stacking.base.stock[0] <= 0.0151,
            "a thin layer clears the ribs: {:?}",
            stacking.base.stock
        );
    }

    #[test]
    fn layers_stack_without_gaps() {
        let brief = testing::brief();
        let base = base_piles(&brief)
            .into_iter()
            .find(|p| (p.height - 0.133).abs() < 0.003)
            .unwrap();
        let stacking = stack_two(&brief, &base, 0.0, &[]).unwrap();
        let blocks = blocks(&brief, &stacking);
        assert_eq!(blocks.len(), 3);
        let mut z = 0.0;
        for layer in blocks.iter().flat_map(|block| &block.layers) {
            assert!(
                (layer.low - z).abs() < 1e-9,
                "{} starts at {} not {z}",
                layer.id,
                layer.low
            );
            assert!(layer.high > layer.low && !layer.outline.is_empty());
            z = layer.high;
        }
        assert!((z - 0.315).abs() < 1e-9);
        assert_eq!(blocks[1].layers[0].id.as_str(), "T1-1");
    }

    #[test]
    fn layers_go_round_what_stands_in_them() {
        let brief = testing::brief();
        let blocks = blocks(&brief, &stack_one(&brief, &[]).unwrap());
        for block in &blocks {
            let side = if block.kind == BlockKind::LidPad {
                HalfSide::Lid
            } else {
                HalfSide::Base
            };
            for layer in &block.layers {
                for obstacle in brief.shell.obstacles(side) {
                    let is_fillet = obstacle.name.ends_with("fillet");
                    if !is_fillet && obstacle.low < layer.high - 1e-6 && obstacle.high > layer.low + 1e-6 {
                        let overlap = layer.outline.intersection(&obstacle.outline).area();
                        assert!(overlap < 1e-7, "{} meets {}", layer.id, obstacle.name);
                    }
                }
            }
        }
    }

    #[test]
    fn the_squeeze_is_what_the_wall_leaves() {
        let brief = testing::brief();
        let blocks = blocks(&brief, &stack_one(&brief, &[]).unwrap());
        let layer = &blocks[0].layers[blocks[0].layers.len() - 1];
        let width = |region: &Region| region.bounds().unwrap().size().y;
        for (z, squeeze) in [(layer.low, layer.squeeze.0), (layer.high, layer.squeeze.1)] {
            let found = (width(&layer.outline) - width(&brief.shell.wall_section(z))) / 2.0;
            assert!((found - squeeze).abs() < 2e-4, "{found} against {squeeze} at {z}");
        }
    }

    #[test]
    fn joints_lie_where_floors_are_wanted() {
        let mut brief = testing::brief();
        let heights = [0.052, 0.097, 0.171];
        let sunk = |brief: &Brief| -> f64 {
            let stacking = stack_one(brief, &heights).unwrap();
            heights
                .iter()
                .map(|height| {
                    let floor = stacking.top() - height;
                    floor - stacking.joint_below(brief, floor)
                })
                .sum()
        };
        let anywhere = sunk(&brief);
        brief.clearances.through_cuts = true;
        let at_joints = sunk(&brief);
        assert!(
            at_joints < 0.012 && at_joints < anywhere,
            "{at_joints} {anywhere}"
        );
        let stacking = stack_one(&brief, &heights).unwrap();
        let joints = blocks(&brief, &stacking);
        for height in heights {
            let floor = stacking.top() - height;
            let joint = crate::through::joint_below(&joints, floor);
            assert!((joint - stacking.joint_below(&brief, floor)).abs() < 1e-9);
        }
    }

    #[test]
    fn floors_show_another_colour_where_layers_can() {
        let mut brief = testing::brief();
        let heights = [0.026, 0.034, 0.090];
        let plain = stack_one(&brief, &heights).unwrap();
        let colour = |name: &str| crate::LayerColour {
            name: name.to_owned(),
            shade: [0; 3],
        };
        brief.furnishing.colours = Some(crate::LayerColours {
            top: colour("grey"),
            floors: colour("amber"),
        });
        let shown = stack_one(&brief, &heights).unwrap();
        let top = |stacking: &Stacking| *stacking.base.stock.last().unwrap();
        assert!(top(&plain) > 0.026, "{:?}", plain.base.stock);
        assert!(top(&shown) <= 0.026, "{:?}", shown.base.stock);
        assert!((shown.top() - plain.top()).abs() < 0.012 + 1e-9);
    }

    #[test]
    fn a_bevelled_edge_has_one_squeeze() {
        let mut brief = testing::brief();
        brief.furnishing.bevelled_edges = true;
        let (least, most) = squeeze_range(&brief, HalfSide::Base);
        for block in blocks(&brief, &stack_one(&brief, &[]).unwrap()) {
            for layer in &block.layers {
                assert_eq!(layer.cut_to, CutTo::Middle, "{}", layer.id);
                assert!((layer.squeeze.0 - layer.squeeze.1).abs() < 1e-12);
                assert!((least..=most).contains(&layer.squeeze.0));
            }
        }
    }

    #[test]
    fn stock_that_makes_no_height_is_said_so() {
        let mut brief = testing::brief();
        brief.clearances.layer_thicknesses = vec![Length::mm(170.0)];
        assert_eq!(stack_one(&brief, &[]), None);
    }
}
