//! Solids as stacks of horizontal sections: what layout, cavities and layers are made of.

use crate::{Bounds3, Mesh, Placement2, Region};

/// A straight prism: a region between two heights.
#[derive(Debug, Clone, PartialEq)]
pub struct Prism {
    /// The plan.
    pub region: Region,
    /// Bottom, metres.
    pub low: f64,
    /// Top, metres.
    pub high: f64,
}

/// One band of a stack: `region` holds every section of the solid between `low` and `high` (Outer).
pub type Slab = Prism;

/// A solid bounded from outside by contiguous bands, bottom to top.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionStack {
    /// Bands from bottom to top, each starting where the last ended; a band may be empty only where the solid is.
    pub slabs: Vec<Slab>,
}

impl SectionStack {
    /// Outer stack of a closed (or open: shadow only) mesh with bands between the given rising heights, which must
    /// span the mesh; simplified outward by `simplify` metres.
    pub fn of_mesh(mesh: &Mesh, heights: &[f64], simplify: f64) -> Self {
        let _ = (mesh, heights, simplify);
        todo!()
    }

    /// Lowest height; `None` when empty.
    pub fn low(&self) -> Option<f64> {
        self.slabs.first().map(|slab| slab.low)
    }

    /// Highest height; `None` when empty.
    pub fn high(&self) -> Option<f64> {
        self.slabs.last().map(|slab| slab.high)
    }

    /// Everything the solid occupies between two heights, in plan (union of the bands met). Bands that only touch
    /// the interval do not count.
    pub fn shadow(&self, low: f64, high: f64) -> Region {
        let _ = (low, high);
        todo!()
    }

    /// The lift-out sweep: each band holds every section at or below it (the cavity that lets the solid out upward).
    #[must_use]
    pub fn swept_up(&self) -> Self {
        todo!()
    }

    /// The stack moved in plan and raised by `raise`.
    #[must_use]
    pub fn placed(&self, placement: &Placement2, raise: f64) -> Self {
        let _ = (placement, raise);
        todo!()
    }

    /// Each band's region offset by `by` metres (Outer).
    #[must_use]
    pub fn offset(&self, by: f64) -> Self {
        let _ = by;
        todo!()
    }

    /// Volume of the bands.
    pub fn volume(&self) -> f64 {
        todo!()
    }

    /// The box.
    pub fn bounds(&self) -> Option<Bounds3> {
        todo!()
    }

    /// Volume that the lift-out cavity has over the solid itself: the undercut, m³.
    pub fn undercut(&self) -> f64 {
        self.swept_up().volume() - self.volume()
    }
}
