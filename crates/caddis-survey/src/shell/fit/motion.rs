//! From the file's frame to a half's own.

use super::sample::Sample;
use caddis_geometry::{Mesh, Vec2, Vec3};

/// A motion, mirrored for a lid: `at = rows from + shift`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Motion {
    rows: [Vec3; 3],
    shift: Vec3,
}

impl Motion {
    /// The one that took the samples from where they lay in the file to where they are; `None` where they lie in one plane.
    ///
    /// # Source
    /// An affine map is fixed by four points that span a tetrahedron; the widest of the samples are taken; derived.
    pub(super) fn of(samples: &[Sample]) -> Option<Self> {
        let first = samples.first()?;
        let farthest = |of: &dyn Fn(&Sample) -> f64| samples.iter().max_by(|a, b| of(a).total_cmp(&of(b)));
        let a = farthest(&|s| (s.from - first.from).length())?;
        let along = a.from - first.from;
        let b = farthest(&|s| (s.from - first.from).cross(along).length())?;
        let normal = along.cross(b.from - first.from);
        let c = farthest(&|s| (s.from - first.from).dot(normal).abs())?;
        // The inverse of a matrix of three columns has their cross products as rows, over their volume.
        let sides = [a, b, c].map(|s| s.from - first.from);
        let volume = sides[0].cross(sides[1]).dot(sides[2]);
        if volume.abs() < 1e-9 {
            return None;
        }
        let inverse = [(1, 2), (2, 0), (0, 1)].map(|(i, j)| sides[i].cross(sides[j]) * (1.0 / volume));
        let ends = [a, b, c].map(|s| s.at - first.at);
        let row = |along: fn(Vec3) -> f64| {
            inverse[0] * along(ends[0]) + inverse[1] * along(ends[1]) + inverse[2] * along(ends[2])
        };
        let rows = [row(|v| v.x), row(|v| v.y), row(|v| v.z)];
        let turned = Vec3::new(
            rows[0].dot(first.from),
            rows[1].dot(first.from),
            rows[2].dot(first.from),
        );
        Some(Self {
            rows,
            shift: first.at - turned,
        })
    }

    /// The same, about another middle.
    pub(super) fn about(self, origin: Vec2) -> Self {
        Self {
            shift: self.shift - Vec3::new(origin.x, origin.y, 0.0),
            ..self
        }
    }

    fn apply(&self, p: Vec3) -> Vec3 {
        Vec3::new(self.rows[0].dot(p), self.rows[1].dot(p), self.rows[2].dot(p)) + self.shift
    }

    /// The mesh in the half's frame, its triangles wound as before.
    pub(super) fn of_mesh(&self, mesh: &Mesh) -> Mesh {
        let is_mirrored = self.rows[0].cross(self.rows[1]).dot(self.rows[2]) < 0.0;
        Mesh {
            positions: mesh.positions.iter().map(|&p| self.apply(p)).collect(),
            triangles: mesh
                .triangles
                .iter()
                .map(|&[a, b, c]| if is_mirrored { [a, c, b] } else { [a, b, c] })
                .collect(),
        }
    }
}
