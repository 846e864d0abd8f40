//! The blocks of a stacking, layer by layer, and the outline of a tray's board.

use super::{Pile, Stacking};
use crate::outline::layer;
use crate::{Block, BlockKind, Brief};
use caddis_basis::{LayerId, Length};
use caddis_geometry::{Prism, Region, Side};
use caddis_survey::HalfSide;

/// How far a tray's board stands off the walls, metres: its edge must pass where foam is only squeezed (common practice, no source).
const BOARD_INSET: f64 = 0.004;
/// Sections of the way out that a board must pass.
const BOARD_SECTIONS: u32 = 8;

/// The blocks of a stacking with every layer's outline.
pub(crate) fn blocks(brief: &Brief, stacking: &Stacking) -> Vec<Block> {
    let mut blocks = vec![block(
        brief,
        BlockKind::Base,
        &stacking.base,
        0.0,
        stacking.boundary(),
    )];
    if let Some(tray) = &stacking.tray {
        let floor = stacking.tray_floor();
        let mut over = block(brief, BlockKind::Tray(1), tray, floor, stacking.top());
        if let Some(under) = &stacking.under {
            let low = stacking.boundary();
            let cover = block(brief, BlockKind::Tray(1), &under.cover, low, floor - under.board);
            over = backed(brief, cover, over);
        }
        blocks.push(over);
    }
    let crown = brief.crown().si();
    let pad = |low: f64| block(brief, BlockKind::LidPad, &stacking.lid, low, crown);
    blocks.push(match (&stacking.lid_cover, stacking.lid_floor(brief)) {
        (Some(cover), Some(floor)) => {
            let cover = block(brief, BlockKind::LidPad, cover, stacking.top(), floor);
            covered(cover, pad(floor))
        }
        _ => pad(stacking.top()),
    });
    blocks
}

/// One lid pad of the cover under its pockets and the foam they are cut in.
fn covered(cover: Block, pad: Block) -> Block {
    let mut layers = cover.layers;
    layers.extend(pad.layers);
    for (number, layer) in (1..).zip(&mut layers) {
        layer.id = LayerId::new(format!("L{number}"));
    }
    Block {
        low: cover.low,
        layers,
        free_height: cover.free_height + pad.free_height,
        cover: Some(cover.high),
        ..pad
    }
}

/// One tray of the foam under its board and the foam over it.
fn backed(brief: &Brief, cover: Block, over: Block) -> Block {
    let (low, high) = (cover.high, over.low);
    let mut layers = cover.layers;
    layers.extend(over.layers);
    for (number, layer) in (1..).zip(&mut layers) {
        layer.id = LayerId::new(format!("T1-{number}"));
    }
    Block {
        low: cover.low,
        layers,
        free_height: cover.free_height + (high - low) + over.free_height,
        board: Some(Prism {
            region: board_outline(brief, low, high),
            low,
            high,
        }),
        ..over
    }
}

/// The outline of a tray's board: it gives by nothing, so it keeps [`BOARD_INSET`] off the wall and off whatever stands in, from its
/// own height up to where it comes out.
pub(crate) fn board_outline(brief: &Brief, low: f64, high: f64) -> Region {
    let shell = &brief.shell;
    let rim = shell.rim_height().si();
    let steps = f64::from(BOARD_SECTIONS);
    let walls = (0..=BOARD_SECTIONS)
        .map(|step| shell.wall_section(low + (rim - 1e-6 - low) * f64::from(step) / steps))
        .chain([shell.wall_section(high)])
        .filter(|section| !section.is_empty())
        .reduce(|a, b| a.intersection(&b))
        .unwrap_or_else(Region::empty);
    let standing: Vec<Region> = shell
        .obstacles(HalfSide::Base)
        .into_iter()
        .filter(|obstacle| obstacle.high > low + 1e-6)
        .map(|obstacle| obstacle.outline.offset(BOARD_INSET, Side::Outer))
        .collect();
    walls
        .offset(-BOARD_INSET, Side::Inner)
        .difference(&Region::union_all(&standing))
}

fn block(brief: &Brief, kind: BlockKind, pile: &Pile, low: f64, high: f64) -> Block {
    let joint = brief.clearances.joint_loss.si().max(0.0);
    let scale = (high - low) / pile.height;
    let mut free = 0.0;
    let mut layers = Vec::with_capacity(pile.stock.len());
    for (index, &thickness) in pile.stock.iter().enumerate() {
        let bottom = low + free * scale;
        free += if index == 0 { thickness } else { thickness - joint };
        let is_last = index + 1 == pile.stock.len();
        let top = if is_last { high } else { low + free * scale };
        let number = index + 1;
        let (side, id) = match kind {
            BlockKind::Base => (HalfSide::Base, format!("B{number}")),
            BlockKind::Tray(tray) => (HalfSide::Base, format!("T{tray}-{number}")),
            BlockKind::LidPad => (HalfSide::Lid, format!("L{number}")),
        };
        layers.push(layer(
            brief,
            side,
            LayerId::new(id),
            (bottom, top),
            Length::from_si(thickness),
        ));
    }
    Block {
        kind,
        foam: if kind == BlockKind::LidPad {
            brief.lid_foam
        } else {
            brief.base_foam
        },
        low,
        high,
        layers,
        free_height: pile.height,
        board: None,
        cover: None,
    }
}
