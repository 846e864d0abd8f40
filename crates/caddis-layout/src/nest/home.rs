//! Parts about the corner of their own box: where one was drawn changes nothing.

use super::{Laid, SheetPart};
use crate::grid::on_grid;
use caddis_geometry::Vec2;

/// Grid of the outlines that are searched, metres: a power of two, below what counts as touching.
const GRID: f64 = 1.0 / (1_u64 << 34) as f64;

/// Parts moved home, and from where.
#[derive(Debug)]
pub(super) struct Home {
    pub(super) parts: Vec<SheetPart>,
    corners: Vec<Vec2>,
}

impl Home {
    pub(super) fn new(parts: &[SheetPart]) -> Self {
        let corners: Vec<Vec2> = parts
            .iter()
            .map(|part| part.outline.bounds().map_or(Vec2::ZERO, |bounds| bounds.min))
            .collect();
        let parts = parts
            .iter()
            .zip(&corners)
            .map(|(part, &corner)| SheetPart {
                outline: on_grid(&part.outline, corner, 1.0, GRID),
                ..part.clone()
            })
            .collect();
        Self { parts, corners }
    }

    /// The same places for the parts as they were drawn.
    pub(super) fn put_back(&self, mut laid: Vec<Laid>) -> Vec<Laid> {
        for part in laid.iter_mut().flat_map(|sheet| &mut sheet.1) {
            let placement = &mut part.placement;
            placement.shift -= self.corners[part.part].rotated(placement.angle);
        }
        laid
    }
}
