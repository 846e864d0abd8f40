//! Growth by a box: a region with the distances it keeps on its four sides.

use super::flatten::{Circle, default_chord};
use super::overlay::{Fill, Overlay, Rule};
use super::region::Region;
use crate::{Side, Vec2};

type Ring = Vec<(Vec2, Option<Circle>)>;

impl Region {
    /// Minkowski sum with the box `[-left, right] x [-front, back]` (all >= 0): the per-side keep-out. Outer.
    ///
    /// # Source
    /// The convolution of two boundaries winds round a point as often as the region and the box, turned about and moved there, meet
    /// in separate pieces, where each of these is without a hole (L. Guibas, L. Ramshaw, J. Stolfi, "A kinetic
    /// framework for computational geometry", 1983; from memory). Holes that the box fills wholly are left out beforehand.
    #[must_use]
    pub fn grown_by_sides(&self, left: f64, right: f64, front: f64, back: f64) -> Self {
        let [left, right, front, back] = [left, right, front, back].map(|v| v.max(0.0));
        if left + right + front + back < 1e-9 {
            return self.clone();
        }
        let corners = [
            Vec2::new(right, -front),
            Vec2::new(right, back),
            Vec2::new(-left, back),
            Vec2::new(-left, -front),
        ];
        let mut overlay = Overlay::new();
        let mut add = |ring: Ring| overlay.add_ring(&convolved(&ring, &corners), false);
        for shape in &self.shapes {
            add(shape.outer.flattened_marked(default_chord(), Side::Outer));
            for hole in &shape.holes {
                let size = hole.bounds().map_or(Vec2::ZERO, |bounds| bounds.size());
                if size.x > left + right || size.y > front + back {
                    add(hole.flattened_marked(default_chord(), Side::Outer));
                }
            }
        }
        overlay.region(Rule::Union, Fill::Positive)
    }
}

/// The convolution of a ring with a box of these corners, counter-clockwise from the one at the right in front: each edge moved
/// to the corner that lies farthest out along its normal, and between two edges the way along the box from corner to corner.
/// Edges that are moved keep their circle, moved as well.
fn convolved(ring: &[(Vec2, Option<Circle>)], corners: &[Vec2; 4]) -> Ring {
    let edges: Vec<(Vec2, Vec2, Option<Circle>)> = (0..ring.len())
        .map(|i| (ring[i].0, ring[(i + 1) % ring.len()].0, ring[i].1))
        .filter(|(a, b, _)| a != b)
        .collect();
    let mut out = Vec::with_capacity(edges.len() + 8);
    for (i, &(a, b, circle)) in edges.iter().enumerate() {
        let (next_a, next_b, _) = edges[(i + 1) % edges.len()];
        let (along, onward) = (b - a, next_b - next_a);
        let (corner, next) = (farthest(along), farthest(onward));
        let by = corners[corner];
        let moved = circle.map(|circle| Circle {
            centre: circle.centre + by,
            ..circle
        });
        out.push((a + by, moved));
        if corner == next {
            continue;
        }
        let left = (next + 4 - corner) % 4;
        let cross = along.cross(onward);
        // Edges that go on straight to rounding turn the short way.
        let turns_left = cross > 0.0 || (cross == 0.0 && left < 3);
        let (count, step) = if turns_left { (left, 1) } else { (4 - left, 3) };
        out.extend((0..count).map(|k| (b + corners[(corner + k * step) % 4], None)));
    }
    out
}

/// The corner that lies farthest out along the outward normal of an edge; at an edge along the box, the one its sweep starts from.
fn farthest(along: Vec2) -> usize {
    let normal = -along.perpendicular();
    match (normal.x, normal.y) {
        (x, y) if x > 0.0 && y <= 0.0 => 0,
        (x, y) if x >= 0.0 && y > 0.0 => 1,
        (x, y) if x < 0.0 && y >= 0.0 => 2,
        _ => 3,
    }
}
