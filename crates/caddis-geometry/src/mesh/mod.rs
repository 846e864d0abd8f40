//! Triangle meshes.

mod check;
mod mass;
mod section;
mod shapes;

pub use check::{MeshCheck, MeshError};
pub use mass::MassProperties;

use crate::{Bounds3, Pose, Vec3};

/// A triangle mesh. Triangles wind counter-clockwise seen from outside when the mesh is a closed solid.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// Vertex positions, metres.
    pub positions: Vec<Vec3>,
    /// Indices into `positions`.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The tight box; `None` when there are no vertices in use.
    pub fn bounds(&self) -> Option<Bounds3> {
        Bounds3::around(
            self.triangles
                .iter()
                .flatten()
                .map(|&i| self.positions[i as usize]),
        )
    }

    /// The mesh moved.
    #[must_use]
    pub fn posed(&self, pose: &Pose) -> Self {
        Self {
            positions: self.positions.iter().map(|&p| pose.apply(p)).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// Two meshes as one, unmerged.
    pub fn append(&mut self, other: &Self) {
        let base = self.positions.len() as u32;
        self.positions.extend_from_slice(&other.positions);
        self.triangles
            .extend(other.triangles.iter().map(|t| t.map(|i| i + base)));
    }
}
