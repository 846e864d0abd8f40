//! One closed boundary of straight edges and arcs.

use super::{Bounds2, Placement2};
use crate::{Side, Vec2};

/// A corner, and the bulge of the edge that leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Where.
    pub at: Vec2,
    /// tan(a quarter of the arc's included angle), positive when the arc turns left; 0 for a straight edge. As in DXF.
    pub bulge: f64,
}

/// A closed boundary; the last vertex's edge returns to the first. Counter-clockwise encloses, clockwise is a hole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    /// Vertices in order.
    pub vertices: Vec<Vertex>,
}

impl Contour {
    /// A contour of straight edges.
    pub fn polygon(points: impl IntoIterator<Item = Vec2>) -> Self {
        Self {
            vertices: points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect(),
        }
    }

    /// Signed area: positive when counter-clockwise. Arcs count exactly.
    pub fn signed_area(&self) -> f64 {
        todo!()
    }

    /// Length of the boundary, arcs exactly.
    pub fn length(&self) -> f64 {
        todo!()
    }

    /// The tight box, arcs included; `None` when empty.
    pub fn bounds(&self) -> Option<Bounds2> {
        todo!()
    }

    /// Points of a polygon that stands for the contour: chords within `chord` metres of the arcs. `Inner` never
    /// leaves a counter-clockwise contour's inside, `Outer` never cuts into it (tangent polygon); for clockwise
    /// contours (holes) the sides swap so that the region as a whole keeps its side.
    pub fn flattened(&self, chord: f64, side: Side) -> Vec<Vec2> {
        let _ = (chord, side);
        todo!()
    }

    /// The contour the other way round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        todo!()
    }

    /// The contour moved.
    #[must_use]
    pub fn placed(&self, placement: &Placement2) -> Self {
        let _ = placement;
        todo!()
    }

    /// The mirror image in the y axis (x -> -x), same orientation sense kept.
    #[must_use]
    pub fn mirrored_x(&self) -> Self {
        todo!()
    }
}
