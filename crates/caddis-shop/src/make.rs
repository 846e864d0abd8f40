//! Make: an interior as parts, nests and a bill.

use crate::fitting::fitted;
use crate::split::{Split, split};
use crate::{Bill, Glue, LayerPart, SheetNest, Shop};
use crate::{ProcessKind, SheetPath, bill, check, engrave, lamination, mark, nest, program, slit};
use caddis_basis::{Finding, LayerId, Length, Progress, Volume, sort_findings};
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::Region;

/// Everything the shop makes. Works on any design, released or not.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopSet {
    /// Parts, block by block from the bottom.
    pub layers: Vec<LayerPart>,
    /// The board of a tray, where it has one: cut by hand.
    pub board: Option<BoardPart>,
    /// Sheets.
    pub nests: Vec<SheetNest>,
    /// Tool paths of the sheets; empty without a router's data.
    pub paths: Vec<SheetPath>,
    /// Bill and cost.
    pub bill: Bill,
    /// Shop findings: webs, islands, loose pieces, process limits, stock missing.
    pub findings: Vec<Finding>,
    /// Volume of foam the parts hold less the volume the interior holds: what the cut solid differs by (should be nought).
    pub volume_difference: Volume,
}

/// A board that is cut by hand, to be glued between two layers.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardPart {
    /// Its outline with its holes, seen from above.
    pub region: Region,
    /// Thickness.
    pub thickness: Length,
    /// The layers below and above it.
    pub between: [LayerId; 2],
}

impl BoardPart {
    /// The board of an interior, where it is among what is made.
    pub(crate) fn of(interior: &Interior, made: &[BlockKind]) -> Option<Self> {
        let mut blocks = interior.blocks.iter().filter(|block| made.contains(&block.kind));
        let (block, board) = blocks.find_map(|block| Some((block, block.board.as_ref()?)))?;
        let above = block
            .layers
            .iter()
            .position(|layer| !block.is_under_board(layer))?;
        let below = above.checked_sub(1)?;
        Some(Self {
            region: board.region.clone(),
            thickness: Length::from_si(board.high - board.low),
            between: [below, above].map(|index| block.layers[index].id.clone()),
        })
    }
}

/// Why nothing can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MakeError {
    /// No sheet of that foam and thickness.
    #[error(
        "the shop stocks no `{foam}` {thickness} thick{colour}; add a sheet to the shop file or change `layer_thicknesses`"
    )]
    NoStock {
        /// Foam id.
        foam: String,
        /// Thickness in words.
        thickness: String,
        /// The colour asked for, in words, or nothing.
        colour: String,
    },
    /// A part larger than every sheet.
    #[error("layer {layer} is larger than every sheet of its foam and thickness")]
    TooLarge {
        /// Which layer.
        layer: String,
    },
    /// A part that nesting refuses.
    #[error("layer {layer} cannot be nested: {reason}")]
    NotNested {
        /// Which layer.
        layer: String,
        /// Nesting's reason.
        reason: String,
    },
    /// A block names a foam that the brief does not hold.
    #[error("layer {layer} is of a foam the brief does not hold")]
    UnknownFoam {
        /// Which layer.
        layer: String,
    },
}

/// Splits, nests and prices the interior. `seed` is the nesting search's.
///
/// # Errors
/// Stock that is missing or too small.
pub fn make(
    interior: &Interior,
    brief: &Brief,
    shop: &Shop,
    seed: u64,
    progress: &dyn Progress,
) -> Result<ShopSet, MakeError> {
    let mut splits = split(interior, brief)?;
    for (block_index, block) in interior.blocks.iter().enumerate() {
        let glues: Vec<Option<Glue>> = block
            .layers
            .windows(2)
            .map(|pair| {
                // Two layers with a board between are glued to it, not to each other.
                // The cover of a lid's pockets is taken off.
                let side = |layer| (block.is_under_board(layer), block.is_of_cover(layer));
                let is_joint = side(&pair[0]) == side(&pair[1]);
                is_joint.then(|| lamination::glue(interior, block, (&pair[0], &pair[1]), shop))
            })
            .collect();
        let uppers = splits
            .iter_mut()
            .filter(|split| split.block == block_index)
            .skip(1);
        for (split, glue) in uppers.zip(glues) {
            split.part.glue = glue;
        }
    }
    if shop.process.kind == ProcessKind::HotWire {
        for split in &mut splits {
            split.part.slits = slit::slits(&split.part);
        }
    }
    if shop.engraves_names {
        for split in &mut splits {
            split.part.engravings = engrave::engravings(&split.part, interior, brief);
        }
    }
    let mut findings = check::check_shop(shop);
    for (i, split) in splits.iter().enumerate() {
        findings.extend(check::check(split, glue_above(&splits, i), interior, brief, shop));
    }
    let held: f64 = splits
        .iter()
        .map(|s| s.part.foam_volume(Length::from_si(s.height)).si())
        .sum();
    let asked: f64 = interior
        .blocks
        .iter()
        .map(|block| interior.foam_volume(block))
        .sum();
    let layers: Vec<LayerPart> = splits
        .into_iter()
        .map(|split| {
            let mut part = if split.part.face_up == "underside" {
                split.part.mirrored_as_cut()
            } else {
                split.part
            };
            part.mark = mark::mark(&part);
            part
        })
        .collect();
    let nests = nest::nest(&layers, shop, seed, progress)?;
    let (paths, narrow) = program::sheet_paths(&layers, &nests, shop);
    findings.extend(narrow);
    sort_findings(&mut findings);
    let made: Vec<BlockKind> = interior.blocks.iter().map(|block| block.kind).collect();
    let bill = bill::bill(
        &layers,
        &nests,
        &paths,
        fitted(interior, brief, shop, &made),
        shop,
    );
    Ok(ShopSet {
        layers,
        board: BoardPart::of(interior, &made),
        nests,
        paths,
        bill,
        findings,
        volume_difference: Volume::from_si(held - asked),
    })
}

/// The adhesive on top of a layer: that of the next layer of the same block.
fn glue_above(splits: &[Split], i: usize) -> Option<&Region> {
    let above = splits.get(i + 1)?;
    (above.block == splits[i].block)
        .then_some(above.part.glue.as_ref())
        .flatten()
        .map(|glue| &glue.region)
}
