//! Horizontal sections.

use super::Mesh;
use super::spans::Spans;
use crate::plane::overlay::{Fill, GridPoint, Overlay, Rule, from_grid, to_grid};
use crate::{Region, Vec3};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A directed piece of a section's boundary, material to its left.
pub(crate) type Piece = (GridPoint, GridPoint);

/// On which side of the plane the section is taken where faces lie in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Limit {
    /// Just below: vertices in the plane count as above it.
    Below,
    /// Just above: vertices in the plane count as below it.
    Above,
}

impl Limit {
    fn is_above(self, p: Vec3, z: f64) -> bool {
        match self {
            Self::Below => p.z >= z,
            Self::Above => p.z > z,
        }
    }
}

impl Mesh {
    /// The section at height `z` (material side by winding, non-zero rule).
    ///
    /// Where faces lie in the plane the section is the one just below it: at the bottom face it is empty, at the top
    /// face it is the top. Open meshes: loose ends are joined to the nearest by straight lines.
    ///
    /// # Accuracy
    /// Exact for the polyhedron, rounded to 1 nm. Round parts of a mesh come as the polygons they are.
    pub fn section(&self, z: f64) -> Region {
        region_of(
            self.corners()
                .filter_map(|corners| piece(corners, z, Limit::Below))
                .collect(),
        )
    }

    /// Sections at many heights; triangles are sorted by height once.
    pub fn sections(&self, heights: &[f64]) -> Vec<Region> {
        let spans = Spans::new(self);
        heights
            .iter()
            .map(|&z| section_among(&spans, z, Limit::Below))
            .collect()
    }
}

/// The section on one side of the plane.
pub(crate) fn section_among(spans: &Spans, z: f64, limit: Limit) -> Region {
    region_of(
        spans
            .reaching(z, z)
            .filter_map(|corners| piece(corners, z, limit))
            .collect(),
    )
}

/// Where the edge between a vertex below and one above crosses the plane. The same for both triangles of the edge.
pub(crate) fn crossing(below: Vec3, above: Vec3, z: f64) -> Vec3 {
    let height = above.z - below.z;
    let t = if height > 0.0 {
        ((z - below.z) / height).clamp(0.0, 1.0)
    } else {
        0.0
    };
    // Exactly the vertex at the ends.
    let p = if t == 1.0 { above } else { below.lerp(above, t) };
    Vec3::new(p.x, p.y, z)
}

/// The boundary piece that a triangle leaves in the plane.
fn piece([a, b, c]: [Vec3; 3], z: f64, limit: Limit) -> Option<Piece> {
    // Turn so that the vertex that is alone on its side comes first.
    let ([p, q, r], odd_is_above) = match [a, b, c].map(|p| limit.is_above(p, z)) {
        [true, false, false] => ([a, b, c], true),
        [false, true, false] => ([b, c, a], true),
        [false, false, true] => ([c, a, b], true),
        [false, true, true] => ([a, b, c], false),
        [true, false, true] => ([b, c, a], false),
        [true, true, false] => ([c, a, b], false),
        _ => return None,
    };
    // Seen from outside, from the face's left crossing to its right one the material is to the left.
    let (from, to) = if odd_is_above {
        (crossing(q, p, z), crossing(r, p, z))
    } else {
        (crossing(p, r, z), crossing(p, q, z))
    };
    let piece = (to_grid(from.plan()), to_grid(to.plan()));
    (piece.0 != piece.1).then_some(piece)
}

fn region_of(pieces: Vec<Piece>) -> Region {
    if pieces.is_empty() {
        return Region::empty();
    }
    let mut overlay = Overlay::new();
    for (a, b) in balanced(pieces) {
        overlay.add_edge(a, b, false);
    }
    overlay.region(Rule::Union, Fill::NonZero)
}

fn key(p: GridPoint) -> (i64, i64) {
    (p.x, p.y)
}

/// Pieces without those that cancel, with loose ends joined, nearest first, so that every point is left as often as
/// it is reached and winding numbers make sense.
fn balanced(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut pieces = cancelled(pieces);
    let mut ends: Vec<((i64, i64), i64)> = pieces
        .iter()
        .flat_map(|&(a, b)| [(key(a), -1), (key(b), 1)])
        .collect();
    ends.sort_unstable();
    // Where chains end (reached more often than left) and where they start.
    let (mut stops, mut starts) = (Vec::new(), Vec::new());
    for group in ends.chunk_by(|l, r| l.0 == r.0) {
        let balance: i64 = group.iter().map(|e| e.1).sum();
        let (x, y) = group[0].0;
        let list = if balance > 0 { &mut stops } else { &mut starts };
        list.extend(std::iter::repeat_n(
            GridPoint::new(x, y),
            balance.unsigned_abs() as usize,
        ));
    }
    pieces.extend(joined(&stops, &starts));
    pieces
}

/// Lines from stops to starts, shortest first. With very many loose ends, in order of place.
fn joined(stops: &[GridPoint], starts: &[GridPoint]) -> Vec<Piece> {
    const MANY: usize = 600;
    if stops.len() > MANY {
        return stops.iter().copied().zip(starts.iter().copied()).collect();
    }
    let mut heap = BinaryHeap::new();
    for (i, a) in stops.iter().enumerate() {
        for (j, b) in starts.iter().enumerate() {
            let d = from_grid(*a).distance(from_grid(*b));
            heap.push(Reverse((d.to_bits(), i, j)));
        }
    }
    let mut used = (vec![false; stops.len()], vec![false; starts.len()]);
    let mut found = Vec::new();
    while let Some(Reverse((_, i, j))) = heap.pop() {
        if !used.0[i] && !used.1[j] {
            (used.0[i], used.1[j]) = (true, true);
            found.push((stops[i], starts[j]));
        }
    }
    found
}

/// The pieces that are left when opposite ones cancel.
pub(crate) fn cancelled(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut keyed: Vec<([(i64, i64); 2], i64)> = pieces
        .into_iter()
        .map(|(a, b)| {
            let (a, b) = (key(a), key(b));
            if a < b { ([a, b], 1) } else { ([b, a], -1) }
        })
        .collect();
    keyed.sort_unstable();
    let mut left = Vec::new();
    for group in keyed.chunk_by(|l, r| l.0 == r.0) {
        let count: i64 = group.iter().map(|k| k.1).sum();
        let [a, b] = group[0].0.map(|(x, y)| GridPoint::new(x, y));
        let piece = if count > 0 { (a, b) } else { (b, a) };
        left.extend(std::iter::repeat_n(piece, count.unsigned_abs() as usize));
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Side, Vec2};

    #[test]
    fn sections_of_simple_solids_are_exact() {
        let cube = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.2, 0.1));
        for z in [0.001, 0.05, 0.1] {
            assert!((cube.section(z).area() - 0.06).abs() < 1e-9, "{z}");
        }
        assert!(cube.section(0.2).is_empty() && cube.section(-0.1).is_empty());
        let cone = Mesh::revolved(&[Vec2::new(0.1, 0.0), Vec2::new(0.0, 0.1)], 360);
        let half = cone.section(0.05).area();
        assert!(
            (half / (std::f64::consts::PI * 0.0025) - 1.0).abs() < 1e-3,
            "{half}"
        );
    }

    #[test]
    fn sections_integrate_to_the_volume() {
        let ball: Vec<Vec2> = (0..=40)
            .map(|i| {
                let angle = std::f64::consts::PI * (f64::from(i) / 40.0 - 0.5);
                Vec2::new(
                    if i % 40 == 0 { 0.0 } else { 0.1 * angle.cos() },
                    0.1 * angle.sin(),
                )
            })
            .collect();
        let mesh = Mesh::revolved(&ball, 96);
        let heights: Vec<f64> = (0..2000).map(|i| -0.1 + (f64::from(i) + 0.5) * 1e-4).collect();
        let sum: f64 = mesh.sections(&heights).iter().map(Region::area).sum::<f64>() * 1e-4;
        assert!((sum / mesh.mass_properties().volume - 1.0).abs() < 1e-4);
    }

    #[test]
    fn a_shadow_holds_what_stands_between() {
        // A mushroom: its cap hides its stem.
        let mushroom = [
            Vec2::new(0.01, 0.0),
            Vec2::new(0.01, 0.05),
            Vec2::new(0.04, 0.05),
            Vec2::new(0.04, 0.06),
        ];
        let mesh = Mesh::revolved(&mushroom, 180);
        let stem = mesh.shadow(0.0, 0.049, Side::Outer).area();
        let all = mesh.shadow(0.0, 0.06, Side::Outer).area();
        let circle = |r: f64| std::f64::consts::PI * r * r;
        assert!((stem / circle(0.01) - 1.0).abs() < 1e-3, "{stem}");
        assert!((all / circle(0.04) - 1.0).abs() < 1e-3, "{all}");
        assert!((mesh.shadow(0.02, 0.06, Side::Outer).area() - all).abs() < 1e-12);
    }
}
