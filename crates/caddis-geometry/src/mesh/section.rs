//! Horizontal sections.

use super::Mesh;
use crate::{Region, Side};

impl Mesh {
    /// The section at height `z` (material side by winding, non-zero rule).
    pub fn section(&self, z: f64) -> Region {
        let _ = z;
        todo!()
    }

    /// Sections at many heights in one sweep.
    pub fn sections(&self, heights: &[f64]) -> Vec<Region> {
        let _ = heights;
        todo!()
    }

    /// Plan silhouette of the part between two heights (Outer: the projection of all clipped triangles, so nothing
    /// between sampled sections is missed).
    pub fn shadow(&self, low: f64, high: f64, side: Side) -> Region {
        let _ = (low, high, side);
        todo!()
    }
}
