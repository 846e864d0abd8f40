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
        for group in found.chunk_by(|a, b| a.0 == b.0) {
            let from = edges.len() as u32;
            for set in undominated(&self.edges, group, step) {
                edges.extend_from_slice(set);
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

/// The sets in a cell that no other one of them covers there.
fn undominated<'a>(edges: &'a [Edge], group: &[(u32, u32, u32)], step: f32) -> Vec<&'a [Edge]> {
    let sets: Vec<&[Edge]> = group
        .iter()
        .map(|found| &edges[found.1 as usize..found.2 as usize])
        .collect();
    if sets.len() == 1 {
        return sets;
    }
    let corners: Vec<Vec<[f32; 2]>> = sets.iter().map(|set| clipped(set, step / 2.0)).collect();
    let mut kept = vec![true; sets.len()];
    for (k, own) in corners.iter().enumerate() {
        kept[k] = !own.is_empty()
            && !(0..sets.len()).any(|other| {
                let holds = |p: &[f32; 2]| sets[other].iter().all(|e| e.nx * p[0] + e.ny * p[1] <= e.reach);
                other != k && kept[other] && own.iter().all(holds)
            });
    }
    sets.into_iter()
        .zip(kept)
        .filter(|set| set.1)
        .map(|set| set.0)
        .collect()
}

/// Corners of what a set covers of a cell that reaches so far from its middle.
fn clipped(set: &[Edge], half: f32) -> Vec<[f32; 2]> {
    let mut points = vec![[-half, -half], [half, -half], [half, half], [-half, half]];
    let mut kept = Vec::with_capacity(8);
    for edge in set {
        let off = |p: &[f32; 2]| edge.nx * p[0] + edge.ny * p[1] - edge.reach;
        kept.clear();
        for (k, p) in points.iter().enumerate() {
            let q = &points[(k + 1) % points.len()];
            let (u, v) = (off(p), off(q));
            if u <= 0.0 {
                kept.push(*p);
            }
            if (u < 0.0 && v > 0.0) || (u > 0.0 && v < 0.0) {
                let t = u / (u - v);
                kept.push([p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t]);
            }
        }
        std::mem::swap(&mut points, &mut kept);
    }
    points
}
