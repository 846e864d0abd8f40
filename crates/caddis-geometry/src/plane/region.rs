//! Regions: booleans, offsets, measures.

use super::{Bounds2, Contour, Placement2};
use crate::{Side, Vec2};

/// One connected piece of a region.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Counter-clockwise.
    pub outer: Contour,
    /// Clockwise, inside `outer`, disjoint.
    pub holes: Vec<Contour>,
}

/// A set of disjoint shapes. Deterministic order (by least corner of the outer boundary).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// The shapes.
    pub shapes: Vec<Shape>,
}

impl Region {
    /// Nothing.
    pub fn empty() -> Self {
        Self::default()
    }

    /// An axis-aligned rectangle by opposite corners.
    pub fn rectangle(min: Vec2, max: Vec2) -> Self {
        let _ = (min, max);
        todo!()
    }

    /// A rectangle with quarter-circle corners, arcs kept; the radius is held to half the shorter side.
    pub fn rounded_rectangle(min: Vec2, max: Vec2, radius: f64) -> Self {
        let _ = (min, max, radius);
        todo!()
    }

    /// A circle as two arcs.
    pub fn circle(centre: Vec2, radius: f64) -> Self {
        let _ = (centre, radius);
        todo!()
    }

    /// A slot: all points within `radius` of the segment, arcs kept.
    pub fn slot(from: Vec2, to: Vec2, radius: f64) -> Self {
        let _ = (from, to, radius);
        todo!()
    }

    /// The region inside the contours by the even-odd rule, whatever their direction; self-crossings are resolved.
    pub fn from_contours(contours: &[Contour]) -> Self {
        let _ = contours;
        todo!()
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.shapes.is_empty()
    }

    /// Area, arcs exactly.
    pub fn area(&self) -> f64 {
        todo!()
    }

    /// Length of all boundaries.
    pub fn boundary_length(&self) -> f64 {
        todo!()
    }

    /// Centre of area; `None` when empty.
    pub fn centroid(&self) -> Option<Vec2> {
        todo!()
    }

    /// The tight box; `None` when empty.
    pub fn bounds(&self) -> Option<Bounds2> {
        todo!()
    }

    /// Whether the point lies inside or on the boundary.
    pub fn contains(&self, p: Vec2) -> bool {
        let _ = p;
        todo!()
    }

    /// Distance from the point to the boundary, negative inside. Infinite when empty.
    pub fn signed_distance(&self, p: Vec2) -> f64 {
        let _ = p;
        todo!()
    }

    /// Least distance between two regions; 0 when they touch or overlap; infinite when one is empty.
    pub fn distance(&self, other: &Self) -> f64 {
        let _ = other;
        todo!()
    }

    /// Least room between `self` and the boundary of `outer` when `self` lies inside it: negative when it sticks out.
    pub fn room_inside(&self, outer: &Self) -> f64 {
        let _ = outer;
        todo!()
    }

    /// Union. Arcs are flattened within the default tolerance and recovered afterwards where they survive.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        let _ = other;
        todo!()
    }

    /// Union of many, in one pass.
    pub fn union_all<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        let _ = regions.into_iter().count();
        todo!()
    }

    /// `self` without `other`.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        let _ = other;
        todo!()
    }

    /// What both hold.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        let _ = other;
        todo!()
    }

    /// All points within `distance` (grown, positive), or farther than `-distance` from the outside (shrunk, negative),
    /// round joins. `Outer` never falls short of the exact offset, `Inner` never passes it; within the default
    /// tolerance of it. True arcs come back as arcs.
    #[must_use]
    pub fn offset(&self, distance: f64, side: Side) -> Self {
        let _ = (distance, side);
        todo!()
    }

    /// Minkowski sum with the box `[-left, right] x [-front, back]` (all >= 0): the per-side keep-out. Outer.
    #[must_use]
    pub fn grown_by_sides(&self, left: f64, right: f64, front: f64, back: f64) -> Self {
        let _ = (left, right, front, back);
        todo!()
    }

    /// The region moved.
    #[must_use]
    pub fn placed(&self, placement: &Placement2) -> Self {
        let _ = placement;
        todo!()
    }

    /// Fewer vertices: stays on the named side and within `tolerance` of the exact region.
    #[must_use]
    pub fn simplified(&self, tolerance: f64, side: Side) -> Self {
        let _ = (tolerance, side);
        todo!()
    }

    /// The mirror image in the y axis (x -> -x).
    #[must_use]
    pub fn mirrored_x(&self) -> Self {
        todo!()
    }

    /// The convex hull as a polygon region (arcs flattened Outer).
    #[must_use]
    pub fn convex_hull(&self) -> Self {
        todo!()
    }

    /// Triangles that fill the region (arcs flattened Inner), for drawing and meshing.
    pub fn triangles(&self) -> Vec<[Vec2; 3]> {
        todo!()
    }
}
