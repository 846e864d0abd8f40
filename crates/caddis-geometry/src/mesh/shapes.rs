//! Meshes of simple solids.

use super::Mesh;
use crate::plane::Triangulated;
use crate::{Region, Vec2, Vec3};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

impl Mesh {
    /// A box by opposite corners.
    pub fn cuboid(min: Vec3, max: Vec3) -> Self {
        let (low, high) = (min.min(max), min.max(max));
        let corner = |i: u32| {
            let pick = |bit: u32, l: f64, h: f64| if i >> bit & 1 == 1 { h } else { l };
            Vec3::new(
                pick(0, low.x, high.x),
                pick(1, low.y, high.y),
                pick(2, low.z, high.z),
            )
        };
        let faces = [
            [0, 2, 3, 1],
            [4, 5, 7, 6],
            [0, 1, 5, 4],
            [2, 6, 7, 3],
            [0, 4, 6, 2],
            [1, 3, 7, 5],
        ];
        Self {
            positions: (0..8).map(corner).collect(),
            triangles: faces
                .into_iter()
                .flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]])
                .collect(),
        }
    }

    /// The prism over a region between two heights, arcs flattened Inner; closed and outward.
    pub fn prism(region: &Region, low: f64, high: f64) -> Self {
        let (low, high) = (low.min(high), low.max(high));
        let plan = region.triangulated();
        let mut mesh = Self::default();
        let mut index = BTreeMap::new();
        // Each plan point is two vertices: 2k at the bottom, 2k + 1 at the top.
        let mut vertex = |key: (i64, i64), mesh: &mut Self| {
            *index.entry(key).or_insert_with(|| {
                let p = Triangulated::point(key);
                mesh.positions.extend([p.at_height(low), p.at_height(high)]);
                mesh.positions.len() as u32 - 2
            })
        };
        for triangle in plan.triangles {
            let [a, b, c] = triangle.map(|key| vertex(key, &mut mesh));
            mesh.triangles.extend([[a, c, b], [a + 1, b + 1, c + 1]]);
        }
        for ring in plan.rings {
            let ring: Vec<u32> = ring.into_iter().map(|key| vertex(key, &mut mesh)).collect();
            for (i, &a) in ring.iter().enumerate() {
                let b = ring[(i + 1) % ring.len()];
                mesh.triangles.extend([[a, b, b + 1], [a, b + 1, a + 1]]);
            }
        }
        mesh
    }

    /// A solid of revolution about z from a profile of (radius, z) points from bottom to top; `segments` around (at
    /// least 3). Closed and outward; vertices lie on the exact surface.
    pub fn revolved(profile: &[Vec2], segments: u32) -> Self {
        let segments = segments.max(3);
        let mut profile: Vec<Vec2> = profile.to_vec();
        // Close to the axis at both ends.
        if let (Some(&first), Some(&last)) = (profile.first(), profile.last()) {
            if first.x > 0.0 {
                profile.insert(0, Vec2::new(0.0, first.y));
            }
            if last.x > 0.0 {
                profile.push(Vec2::new(0.0, last.y));
            }
        }
        let mut mesh = Self::default();
        let ring = |p: Vec2, mesh: &mut Self| -> Vec<u32> {
            let base = mesh.positions.len() as u32;
            if p.x <= 0.0 {
                mesh.positions.push(Vec3::new(0.0, 0.0, p.y));
                return vec![base; segments as usize];
            }
            mesh.positions.extend((0..segments).map(|k| {
                let (sin, cos) = (TAU * f64::from(k) / f64::from(segments)).sin_cos();
                Vec3::new(p.x * cos, p.x * sin, p.y)
            }));
            (base..base + segments).collect()
        };
        let rings: Vec<Vec<u32>> = profile.iter().map(|&p| ring(p, &mut mesh)).collect();
        for pair in rings.windows(2) {
            for k in 0..segments as usize {
                let next = (k + 1) % segments as usize;
                let quad = [pair[0][k], pair[0][next], pair[1][next], pair[1][k]];
                for t in [[quad[0], quad[1], quad[2]], [quad[0], quad[2], quad[3]]] {
                    if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
                        mesh.triangles.push(t);
                    }
                }
            }
        }
        mesh
    }
}
