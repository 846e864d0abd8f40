//! Make: an interior as parts, nests and a bill.

use crate::{Bill, LayerPart, SheetNest, Shop};
use caddis_basis::{Finding, Progress, Volume};
use caddis_design::{Brief, Interior};

/// Everything the shop makes. Works on any design, released or not.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopSet {
    /// Parts, block by block from the bottom.
    pub layers: Vec<LayerPart>,
    /// Sheets.
    pub nests: Vec<SheetNest>,
    /// Bill and cost.
    pub bill: Bill,
    /// Shop findings: webs, islands, loose pieces, process limits, stock missing.
    pub findings: Vec<Finding>,
    /// Volume of foam the parts hold less the volume the interior holds: what the cut solid differs by (should be nought).
    pub volume_difference: Volume,
}

/// Why nothing can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MakeError {
    /// No sheet of that foam and thickness.
    #[error(
        "the shop stocks no `{foam}` {thickness} thick; add a sheet to the shop file or change `layer_thicknesses`"
    )]
    NoStock {
        /// Foam id.
        foam: String,
        /// Thickness in words.
        thickness: String,
    },
    /// A part larger than every sheet.
    #[error("layer {layer} is larger than every sheet of its foam and thickness")]
    TooLarge {
        /// Which layer.
        layer: String,
    },
}

/// Splits, nests and prices the interior.
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
    let _ = (interior, brief, shop, seed, progress);
    todo!()
}
