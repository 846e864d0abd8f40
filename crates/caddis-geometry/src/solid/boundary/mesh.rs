//! The boundary as triangles: every edge is cut into the same chords for both faces that share it, so the skin closes.

use super::{Boundary, BoundaryFace, Surface};
use crate::plane::{Edge, overlay};
use crate::{Mesh, Vec2, Vec3};
use i_triangle::int::triangulator::IntTriangulator;
use std::collections::BTreeMap;

impl Boundary {
    /// Triangles, outward; chords of arcs stay within `chord` metres.
    ///
    /// # Accuracy
    /// Corners lie on the exact surface. Level faces are triangulated on a grid of nanometres; where chords of neighbouring arcs
    /// cross, a face stays open there, which [`Mesh::check`] shows and a finer `chord` mends.
    pub fn mesh(&self, chord: f64) -> Mesh {
        let mut mesh = Mesh {
            positions: self.corners.clone(),
            triangles: Vec::new(),
        };
        let chains: Vec<Vec<u32>> = (0..self.edges.len() as u32)
            .map(|edge| self.chain(edge, chord, &mut mesh))
            .collect();
        for face in &self.faces {
            if let Surface::Level { up } = face.surface {
                level(face, up, &chains, &mut mesh);
            } else {
                self.wall(face, &chains, &mut mesh);
            }
        }
        mesh
    }

    /// The same as a closed skin, with chords made finer where those asked for cross; `None` where none closes.
    pub fn closed_mesh(&self, chord: f64) -> Option<Mesh> {
        [1.0, 0.25, 0.0625]
            .into_iter()
            .map(|share| self.mesh(chord * share))
            .find(|mesh| mesh.triangles.is_empty() || mesh.check().is_closed)
    }

    /// Vertices along an edge, both corners included.
    fn chain(&self, index: u32, chord: f64, mesh: &mut Mesh) -> Vec<u32> {
        let edge = self.edges[index as usize];
        let mut chain = vec![edge.from];
        if edge.bulge != 0.0
            && let Edge::Arc(arc) = self.plan_edge((index, true))
        {
            let height = self.corners[edge.from as usize].z;
            // The sagitta of a chord that turns by `step` is r (1 - cos(step / 2)).
            let step = 2.0 * (1.0 - chord.max(1e-7) / arc.radius).clamp(0.0, 1.0).acos();
            let count = (arc.sweep().abs() / step.max(1e-3)).ceil().max(2.0) as u32;
            for k in 1..count {
                let p = Edge::Arc(arc).at(f64::from(k) / f64::from(count));
                chain.push(mesh.positions.len() as u32);
                mesh.positions.push(p.at_height(height));
            }
        }
        chain.push(edge.to);
        chain
    }

    /// A wall, column by column between its lower and its upper edge.
    fn wall(&self, face: &BoundaryFace, chains: &[Vec<u32>], mesh: &mut Mesh) {
        let Some(run) = face.loops.first() else { return };
        let is_upright = |&(edge, _): &(u32, bool)| {
            let edge = self.edges[edge as usize];
            self.corners[edge.from as usize].z != self.corners[edge.to as usize].z
        };
        // Seen from outside: bottom to the right, up, top to the left, down.
        let Some(top) = run
            .iter()
            .skip(1)
            .position(|step| !is_upright(step))
            .map(|p| p + 1)
        else {
            return;
        };
        let ordered = |(edge, forward): (u32, bool)| {
            let mut chain = chains[edge as usize].clone();
            if !forward {
                chain.reverse();
            }
            chain
        };
        let bottom = ordered(run[0]);
        let mut upper = ordered(run[top]);
        upper.reverse();
        let right: Vec<u32> = upward(&run[1..top], &ordered);
        let mut left: Vec<u32> = upward(&run[top + 1..], &ordered);
        left.reverse();
        let last = bottom.len() - 1;
        for k in 0..last {
            let near = if k == 0 {
                left.clone()
            } else {
                vec![bottom[k], upper[k]]
            };
            let far = if k + 1 == last {
                right.clone()
            } else {
                vec![bottom[k + 1], upper[k + 1]]
            };
            strip(&near, &far, mesh);
        }
    }
}

/// The vertices along a chain of edges, in its order.
fn upward(run: &[(u32, bool)], ordered: &impl Fn((u32, bool)) -> Vec<u32>) -> Vec<u32> {
    let mut chain: Vec<u32> = Vec::new();
    for &step in run {
        let part = ordered(step);
        let skip = usize::from(!chain.is_empty());
        chain.extend(part.into_iter().skip(skip));
    }
    chain
}

/// Triangles between two rising columns, the second to the right of the first.
fn strip(left: &[u32], right: &[u32], mesh: &mut Mesh) {
    let height = |v: u32| mesh.positions[v as usize].z;
    let (mut i, mut j) = (0, 0);
    let mut triangles = Vec::new();
    while i + 1 < left.len() || j + 1 < right.len() {
        let is_left =
            j + 1 >= right.len() || (i + 1 < left.len() && height(left[i + 1]) <= height(right[j + 1]));
        if is_left {
            triangles.push([left[i], right[j], left[i + 1]]);
            i += 1;
        } else {
            triangles.push([left[i], right[j], right[j + 1]]);
            j += 1;
        }
    }
    mesh.triangles.extend(triangles);
}

/// A level face with its holes.
fn level(face: &BoundaryFace, up: bool, chains: &[Vec<u32>], mesh: &mut Mesh) {
    let mut vertex = BTreeMap::new();
    let shape: Vec<Vec<overlay::GridPoint>> = face
        .loops
        .iter()
        .map(|run| {
            let mut ring = Vec::new();
            for &(edge, forward) in run {
                let chain = &chains[edge as usize];
                let steps: Vec<u32> = if forward {
                    chain[..chain.len() - 1].to_vec()
                } else {
                    chain[1..].iter().rev().copied().collect()
                };
                for index in steps {
                    let p: Vec3 = mesh.positions[index as usize];
                    // Seen from outside: what looks down is mirrored, so that outer loops turn left.
                    let key = overlay::to_grid(if up { p.plan() } else { Vec2::new(-p.x, p.y) });
                    vertex.insert((key.x, key.y), index);
                    ring.push(key);
                }
            }
            ring
        })
        .collect();
    // The triangulation trusts its input, so the overlay looks at it first; where rings are sound it changes nothing.
    let mut overlay = overlay::Overlay::keeping_points();
    for ring in &shape {
        for (i, &from) in ring.iter().enumerate() {
            overlay.add_edge(from, ring[(i + 1) % ring.len()], false);
        }
    }
    let mut triangulator = IntTriangulator::<i64, u32>::default();
    for sound in overlay.polygons(overlay::Rule::Union, overlay::Fill::Positive) {
        let found = triangulator.uncheck_triangulate_shape(&sound);
        for triangle in found.indices.chunks_exact(3) {
            let corners = [triangle[0], triangle[1], triangle[2]].map(|i| found.points[i as usize]);
            let [a, b, c] = corners;
            let turn =
                i128::from(b.x - a.x) * i128::from(c.y - a.y) - i128::from(b.y - a.y) * i128::from(c.x - a.x);
            let named = corners.map(|p| vertex.get(&(p.x, p.y)).copied());
            if let [Some(a), Some(b), Some(c)] = named {
                mesh.triangles.push(if turn < 0 { [a, c, b] } else { [a, b, c] });
            }
        }
    }
}
