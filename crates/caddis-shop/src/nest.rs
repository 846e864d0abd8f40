//! Parts on sheets.

use caddis_basis::{LayerId, Length};
use caddis_geometry::Placement2;

/// A part on a sheet; never turned over.
#[derive(Debug, Clone, PartialEq)]
pub struct NestedPart {
    /// Which layer.
    pub layer: LayerId,
    /// From the part's frame to the sheet (origin at the sheet's lower left corner).
    pub placement: Placement2,
}

/// One sheet and what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetNest {
    /// Index into the shop's stock.
    pub stock: usize,
    /// Which sheet of that stock, from 1.
    pub number: u32,
    /// The parts.
    pub parts: Vec<NestedPart>,
    /// Net part area over sheet area.
    pub foam_yield: f64,
    /// Length of all cuts on the sheet.
    pub cut_length: Length,
}
