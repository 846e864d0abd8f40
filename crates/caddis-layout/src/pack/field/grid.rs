//! How a field is made: convex sets are laid over a grid one after the other.

use super::super::shifts::{Plane, Set};
use super::{CONTACT, Crossed, Edge, FIRST, FREE, Field, SOLID, deepest};
use caddis_geometry::Vec2;

/// Cells as they are filled, with the edges found so far.
pub(super) struct Grid {
    across: usize,
    low: Vec2,
    size: f64,
    solid: Vec<bool>,
    /// Cell, and which edges.
    found: Vec<(u32, u32, u32)>,
    edges: Vec<Edge>,
}

impl Grid {
    pub(super) fn new(low: Vec2, size: f64, across: usize, up: usize) -> Self {
        Self {
            across,
            low,
            size,
            solid: vec![false; across * up],
            found: Vec::new(),
            edges: Vec::new(),
        }
    }

    fn columns(&self, from: f64, to: f64, low: f64, most: usize) -> (usize, usize) {
        let index = |v: f64| (((v - low) / self.size).floor().max(0.0) as usize).min(most - 1);
        (index(from), index(to))
    }

    /// Whether a box is covered already.
    pub(super) fn is_solid(&self, low: Vec2, high: Vec2, up: usize) -> bool {
        let (first, last) = self.columns(low.x, high.x, self.low.x, self.across);
        let (bottom, top) = self.columns(low.y, high.y, self.low.y, up);
        (bottom..=top).all(|j| {
            self.solid[j * self.across + first..=j * self.across + last]
                .iter()
                .all(|&solid| solid)
        })
    }

    pub(super) fn add(&mut self, set: &Set, up: usize) {
        let half = self.size / 2.0;
        let (bottom, top) = self.columns(set.low.y, set.high.y, self.low.y, up);
        let columns = self.columns(set.low.x, set.high.x, self.low.x, self.across);
        for j in bottom..=top {
            let y = self.low.y + (j as f64 + 0.5) * self.size;
            let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
            let (mut inner_from, mut inner_to) = (f64::NEG_INFINITY, f64::INFINITY);
            for plane in &set.planes {
                let rest = plane.reach - plane.n.y * y;
                let spread = (plane.n.x.abs() + plane.n.y.abs()) * half;
                let (outer, inner) = (rest + spread, rest - spread);
                if plane.along > 0.0 {
                    to = to.min(outer * plane.along);
                    inner_to = inner_to.min(inner * plane.along);
                } else if plane.along < 0.0 {
                    from = from.max(outer * plane.along);
                    inner_from = inner_from.max(inner * plane.along);
                } else {
                    if outer <= 0.0 {
                        to = f64::NEG_INFINITY;
                    }
                    if inner < 0.0 {
                        inner_to = f64::NEG_INFINITY;
                    }
                }
            }
            // Columns by their middles.
            let column = |x: f64| (x - self.low.x) / self.size - 0.5;
            let first = column(from).ceil().max(columns.0 as f64);
            let last = column(to).floor().min(columns.1 as f64);
            if first > last {
                continue;
            }
            let (inner_first, inner_last) = (column(inner_from).ceil(), column(inner_to).floor());
            for i in first as usize..=last as usize {
                let cell = j * self.across + i;
                if self.solid[cell] {
                    continue;
                }
                if i as f64 >= inner_first && i as f64 <= inner_last {
                    self.solid[cell] = true;
                    continue;
                }
                let middle = Vec2::new(self.low.x + (i as f64 + 0.5) * self.size, y);
                let start = self.edges.len();
                let mut outside = false;
                for &Plane { n, reach, .. } in &set.planes {
                    let room = reach - n.dot(middle);
                    let spread = (n.x.abs() + n.y.abs()) * half;
                    if room <= -spread {
                        outside = true;
                        break;
                    }
                    if room < spread {
                        self.edges.push(Edge {
                            nx: n.x as f32,
                            ny: n.y as f32,
                            reach: room as f32,
                            last: false,
                        });
                    }
                }
                let end = self.edges.len();
                if outside {
                    self.edges.truncate(start);
                } else if start == end {
                    self.solid[cell] = true;
                } else {
                    self.edges[end - 1].last = true;
                    self.found.push((cell as u32, start as u32, end as u32));
                }
            }
        }
    }

    pub(super) fn finished(self, up: usize) -> Field {
        let across = self.across;
        let mut cells: Vec<u32> = self
            .solid
            .iter()
            .map(|&solid| if solid { SOLID } else { FREE })
            .collect();
        let mut found: Vec<(u32, u32, u32)> = self
            .found
            .into_iter()
            .filter(|found| !self.solid[found.0 as usize])
            .collect();
        found.sort_unstable();
        let (mut crossed, mut edges) = (Vec::new(), Vec::new());
        let step = self.size as f32;
        let mut sieve = Sieve::default();
        for group in found.chunk_by(|a, b| a.0 == b.0) {
            let from = edges.len() as u32;
            sieve.pass(&self.edges, group, step / 2.0);
            for kept in &sieve.kept {
                edges.extend_from_slice(&self.edges[kept[0] as usize..kept[1] as usize]);
            }
            let own = &edges[from as usize..];
            let seam = (0..9).all(|k| {
                let (x, y) = (
                    ((k % 3) as f32 - 1.0) * 0.5 * step,
                    ((k / 3) as f32 - 1.0) * 0.5 * step,
                );
                deepest(own, x, y) > 0.0
            });
            cells[group[0].0 as usize] = FIRST + crossed.len() as u32;
            crossed.push(Crossed {
                from,
                to: edges.len() as u32,
                seam,
            });
        }
        let mut field = Field {
            low: self.low,
            fine: 1.0 / self.size,
            step,
            contact: step * CONTACT,
            across,
            up,
            cells,
            nodes: Vec::new(),
            crossed,
            edges,
        };
        field.nodes = field.corner_depths();
        field
    }
}

/// Finds, cell by cell, the sets that no other one covers there; keeps its memory from cell to cell.
#[derive(Default)]
struct Sieve {
    /// What is kept: edges from and to, corners from and to.
    kept: Vec<[u32; 4]>,
    corners: Vec<[f32; 2]>,
    points: Vec<[f32; 2]>,
    spare: Vec<[f32; 2]>,
}

impl Sieve {
    fn pass(&mut self, edges: &[Edge], group: &[(u32, u32, u32)], half: f32) {
        self.kept.clear();
        self.corners.clear();
        // Larger sets come first, so that most of the others are covered by one that is kept already.
        for &(_, from, to) in group {
            let set = &edges[from as usize..to as usize];
            self.clip(set, half);
            let is_covered = |kept: &[u32; 4]| covers(edges, kept, &self.points);
            if self.points.is_empty() || self.kept.iter().any(is_covered) {
                continue;
            }
            let start = self.corners.len() as u32;
            self.corners.extend_from_slice(&self.points);
            self.kept.push([from, to, start, self.corners.len() as u32]);
        }
        let mut index = 0;
        while index < self.kept.len() {
            let own = self.kept[index];
            let corners = &self.corners[own[2] as usize..own[3] as usize];
            let later = &self.kept[index + 1..];
            if later.iter().any(|kept| covers(edges, kept, corners)) {
                self.kept.remove(index);
            } else {
                index += 1;
            }
        }
    }

    /// Corners of what a set covers of a cell that reaches so far from its middle.
    fn clip(&mut self, set: &[Edge], half: f32) {
        self.points.clear();
        self.points
            .extend_from_slice(&[[-half, -half], [half, -half], [half, half], [-half, half]]);
        for edge in set {
            let off = |p: &[f32; 2]| edge.nx * p[0] + edge.ny * p[1] - edge.reach;
            self.spare.clear();
            for (k, p) in self.points.iter().enumerate() {
                let q = &self.points[(k + 1) % self.points.len()];
                let (u, v) = (off(p), off(q));
                if u <= 0.0 {
                    self.spare.push(*p);
                }
                if (u < 0.0 && v > 0.0) || (u > 0.0 && v < 0.0) {
                    let t = u / (u - v);
                    self.spare
                        .push([p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t]);
                }
            }
            std::mem::swap(&mut self.points, &mut self.spare);
        }
    }
}

/// Whether a kept set holds all the points.
fn covers(edges: &[Edge], kept: &[u32; 4], points: &[[f32; 2]]) -> bool {
    edges[kept[0] as usize..kept[1] as usize].iter().all(|edge| {
        points
            .iter()
            .all(|p| edge.nx * p[0] + edge.ny * p[1] <= edge.reach)
    })
}
