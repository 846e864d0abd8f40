//! Is it a solid, and what is wrong with it.

use super::Mesh;
use super::bodies::EdgeUses;

/// What a mesh is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeshCheck {
    /// Every edge is shared by exactly two triangles that run it in opposite directions.
    pub is_closed: bool,
    /// Edges used once.
    pub boundary_edges: usize,
    /// Edges used more than twice.
    pub non_manifold_edges: usize,
    /// Neighbours that disagree about their outside.
    pub flipped_edges: usize,
    /// Triangles of no area. [`Mesh::welded`] drops those with fewer than three corners; a needle between three
    /// corners in line stays, because its neighbours need it to close.
    pub degenerate_triangles: usize,
    /// Connected bodies (triangles joined by edges).
    pub bodies: usize,
}

/// Why numbers cannot be a mesh.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MeshError {
    /// No triangles at all.
    #[error("it holds no triangles")]
    Empty,
    /// A coordinate is NaN, infinite or absurd (beyond 1 km).
    #[error("vertex {index} has a coordinate that is not a finite length under 1 km")]
    Coordinate {
        /// Which vertex, from 0.
        index: usize,
    },
    /// A triangle names a vertex that is not there.
    #[error("triangle {triangle} names vertex {vertex}, but there are only {count}")]
    Index {
        /// Which triangle, from 0.
        triangle: usize,
        /// The missing vertex.
        vertex: u32,
        /// How many there are.
        count: usize,
    },
}

/// Coordinates beyond this, metres, are a wrong unit or broken numbers.
const MOST: f64 = 1000.0;

impl Mesh {
    /// Refuses what can never be a mesh.
    ///
    /// # Errors
    /// No triangles, impossible coordinates, indices out of range.
    pub fn validated(self) -> Result<Self, MeshError> {
        if self.triangles.is_empty() {
            return Err(MeshError::Empty);
        }
        let is_possible = |p: &crate::Vec3| p.is_finite() && p.x.abs().max(p.y.abs()).max(p.z.abs()) <= MOST;
        if let Some(index) = self.positions.iter().position(|p| !is_possible(p)) {
            return Err(MeshError::Coordinate { index });
        }
        let count = self.positions.len();
        for (triangle, corners) in self.triangles.iter().enumerate() {
            if let Some(&vertex) = corners.iter().find(|&&i| i as usize >= count) {
                return Err(MeshError::Index {
                    triangle,
                    vertex,
                    count,
                });
            }
        }
        Ok(self)
    }

    /// Counts what is wrong; expects welded vertices.
    pub fn check(&self) -> MeshCheck {
        let uses = EdgeUses::of(self);
        let (mut boundary, mut crowded, mut flipped) = (0, 0, 0);
        for group in uses.groups() {
            match group {
                [_] => boundary += 1,
                [one, two] => flipped += usize::from(one.forward == two.forward),
                _ => crowded += 1,
            }
        }
        let degenerate = self
            .corners()
            .filter(|[a, b, c]| {
                let longest = a.distance(*b).max(b.distance(*c)).max(c.distance(*a));
                (*b - *a).cross(*c - *a).length() <= longest * 1e-12
            })
            .count();
        MeshCheck {
            is_closed: !self.triangles.is_empty() && boundary + crowded + flipped == 0,
            boundary_edges: boundary,
            non_manifold_edges: crowded,
            flipped_edges: flipped,
            degenerate_triangles: degenerate,
            bodies: uses.bodies(self.triangles.len()).1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Vec3;

    #[test]
    fn a_soup_of_corners_welds_into_a_closed_box() {
        let cube = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.2, 0.3));
        let mut soup = Mesh::default();
        for triangle in &cube.triangles {
            let first = soup.positions.len() as u32;
            soup.positions.extend(
                triangle
                    .iter()
                    .rev()
                    .map(|&i| cube.positions[i as usize] + Vec3::new(1e-8, 0.0, 0.0)),
            );
            soup.triangles.push([first, first + 1, first + 2]);
        }
        assert!(!soup.check().is_closed);
        let welded = soup.welded(1e-6);
        assert_eq!(welded.positions.len(), 8);
        let check = welded.check();
        assert!(check.is_closed && check.bodies == 1, "{check:?}");
        assert!(
            welded.mass_properties().volume > 0.0,
            "an inside-out solid is turned outward"
        );
    }

    #[test]
    fn a_hole_and_a_flip_are_counted() {
        let mut cube = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.2, 0.3));
        cube.triangles[0].swap(0, 1);
        assert_eq!(cube.check().flipped_edges, 3);
        cube.triangles.remove(0);
        assert_eq!(cube.check().boundary_edges, 3);
        cube.positions[0].x = f64::NAN;
        assert!(matches!(
            cube.validated(),
            Err(MeshError::Coordinate { index: 0 })
        ));
    }
}
