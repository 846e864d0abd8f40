//! Triangle meshes.

mod bodies;
mod cavity;
mod check;
mod crossing;
mod fill;
mod hull;
mod mass;
mod outline;
mod parts;
mod repair;
mod resting;
mod section;
mod shadow;
mod shapes;
mod spans;
mod weld;

pub use cavity::CavityCut;
pub use check::{MeshCheck, MeshError};
pub use mass::MassProperties;
pub use repair::Repairs;
pub use resting::Resting;
pub(crate) use shadow::shadow_among;
pub(crate) use spans::Spans;

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
    /// The corners of each triangle; triangles that name missing vertices are passed over.
    pub fn corners(&self) -> impl Iterator<Item = [Vec3; 3]> + '_ {
        let at = |i: u32| self.positions.get(i as usize).copied();
        self.triangles
            .iter()
            .filter_map(move |&[a, b, c]| Some([at(a)?, at(b)?, at(c)?]))
    }

    /// The tight box; `None` when there are no vertices in use.
    pub fn bounds(&self) -> Option<Bounds3> {
        Bounds3::around(self.corners().flatten())
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
            .extend(other.triangles.iter().map(|t| t.map(|i| i.saturating_add(base))));
    }
}
