//! Plan silhouettes of slices.

use super::Mesh;
use super::section::{Limit, Piece, cancelled, crossing, section_among};
use super::spans::Spans;
use crate::plane::overlay::{Fill, GridPoint, Overlay, Rule, from_grid, to_grid};
use crate::{Region, Side, Vec2, Vec3};

impl Mesh {
    /// Plan silhouette of the part between two heights (Outer: the projection of all clipped triangles and of the
    /// sections at both heights, so nothing between sampled sections is missed).
    ///
    /// What only touches a height from beyond does not count: a shelf at `low` that faces up belongs to the slice
    /// below. Both sides give the exact silhouette of the polyhedron.
    ///
    /// # Accuracy
    /// Corners are rounded to 0.1 µm.
    pub fn shadow(&self, low: f64, high: f64, side: Side) -> Region {
        // Nothing is approximated, so the sides agree.
        let (Side::Inner | Side::Outer) = side;
        shadow_among(&Spans::new(self), low.min(high), low.max(high))
    }
}

/// As [`Mesh::shadow`], with the triangles sorted once for many slices.
pub(crate) fn shadow_among(spans: &Spans, low: f64, high: f64) -> Region {
    let bottom = spans.bottom().unwrap_or(low);
    let mut pieces = Vec::new();
    for corners in spans.reaching(low, high) {
        let [a, b, c] = corners;
        let (least, most) = (a.z.min(b.z).min(c.z), a.z.max(b.z).max(c.z));
        let lies_beyond = if least == most {
            // The underside of what is above, the top of what is below; a lone sheet at the very bottom counts.
            let faces_up = (b - a).cross(c - a).z > 0.0;
            (most == high && !faces_up && high > low) || (least == low && faces_up && low > bottom)
        } else {
            most == low || least == high
        };
        if !lies_beyond {
            push_projection(&clipped(corners, low, high), &mut pieces);
        }
    }
    let mut overlay = Overlay::new();
    // Neighbours cancel along their common edge; what is left are silhouettes.
    for (a, b) in cancelled(pieces) {
        overlay.add_edge(a, b, false);
    }
    for section in [
        section_among(spans, low, Limit::Above),
        section_among(spans, high, Limit::Below),
    ] {
        for contour in section.contours() {
            let ring: Vec<_> = contour
                .vertices
                .iter()
                .map(|v| (from_grid(to_coarse_grid(v.at)), None))
                .collect();
            overlay.add_ring(&ring, false);
        }
    }
    overlay.region(Rule::Union, Fill::NonZero)
}

/// The nearest point of a grid of 0.1 µm: upright walls of meshes are seldom upright to the nanometre, and their
/// projections would be slivers by the thousand.
fn to_coarse_grid(p: Vec2) -> GridPoint {
    const COARSE: i64 = 100;
    let fine = to_grid(p);
    let round = |v: i64| (v + COARSE / 2).div_euclid(COARSE) * COARSE;
    GridPoint::new(round(fine.x), round(fine.y))
}

/// The part of a triangle between two heights: at most five corners.
fn clipped(corners: [Vec3; 3], low: f64, high: f64) -> Vec<Vec3> {
    let mut polygon = Vec::with_capacity(5);
    for (i, &a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % 3];
        if (low..=high).contains(&a.z) {
            polygon.push(a);
        }
        // Crossings in the order they are met from a to b.
        let planes = if a.z < b.z { [low, high] } else { [high, low] };
        for z in planes {
            let (below, above) = if a.z < b.z { (a, b) } else { (b, a) };
            if below.z < z && z < above.z {
                polygon.push(crossing(below, above, z));
            }
        }
    }
    polygon
}

/// Appends a polygon's plan boundary, turned counter-clockwise.
fn push_projection(polygon: &[Vec3], pieces: &mut Vec<Piece>) {
    let points: Vec<GridPoint> = polygon.iter().map(|p| to_coarse_grid(p.plan())).collect();
    let Some(&origin) = points.first() else { return };
    let n = points.len();
    let doubled: i128 = (0..n)
        .map(|i| {
            let (a, b) = (points[i], points[(i + 1) % n]);
            let (ax, ay) = (i128::from(a.x - origin.x), i128::from(a.y - origin.y));
            let (bx, by) = (i128::from(b.x - origin.x), i128::from(b.y - origin.y));
            ax * by - ay * bx
        })
        .sum();
    if doubled == 0 {
        return;
    }
    for i in 0..n {
        let (a, b) = (points[i], points[(i + 1) % n]);
        if a != b {
            pieces.push(if doubled > 0 { (a, b) } else { (b, a) });
        }
    }
}
