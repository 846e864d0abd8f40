//! Is it a solid, and what is wrong with it.

use super::Mesh;

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
    /// Triangles of no area, dropped by [`Mesh::welded`].
    pub degenerate_triangles: usize,
    /// Connected bodies.
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

impl Mesh {
    /// Refuses what can never be a mesh.
    ///
    /// # Errors
    /// No triangles, impossible coordinates, indices out of range.
    pub fn validated(self) -> Result<Self, MeshError> {
        todo!()
    }

    /// Vertices closer than `tolerance` metres merged, degenerate triangles dropped, inverted solids turned outward.
    #[must_use]
    pub fn welded(&self, tolerance: f64) -> Self {
        let _ = tolerance;
        todo!()
    }

    /// Counts what is wrong; expects welded vertices.
    pub fn check(&self) -> MeshCheck {
        todo!()
    }
}
