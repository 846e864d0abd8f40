//! How deep one shape lies in another, for every shift of the second against the first.
//!
//! The forbidden shifts of two shapes are a union of convex sets, one per pair of their convex parts. A grid over that
//! union answers most questions with one look: nothing there, or so deep. Where the boundary passes a cell, the cell keeps
//! the edges that cross it, so that whether two shapes meet is exact and not a matter of the grid.

use super::shifts::{Set, Side, reach_of};
use crate::engine::Convex;
use caddis_geometry::Vec2;

/// Depths below this share of a cell are contact, not overlap: rounding of single precision within a cell.
const CONTACT: f32 = 1e-6;

const FREE: u32 = 0;
const SOLID: u32 = 1;
/// Cells from this on hold edges.
const FIRST: u32 = 2;

/// One edge of a convex set, as seen from the middle of a cell: inside is `x * nx + y * ny < reach`.
#[derive(Debug, Clone, Copy)]
struct Edge {
    nx: f32,
    ny: f32,
    reach: f32,
    /// Whether it is the last one of its convex set in this cell.
    last: bool,
}

#[derive(Debug, Clone, Copy)]
struct Crossed {
    from: u32,
    to: u32,
    /// Whether the sets cover the cell together: a seam inside, not the outer boundary.
    seam: bool,
}

/// Depth of overlap by shift.
#[derive(Debug)]
pub(super) struct Field {
    low: Vec2,
    /// Cells per metre.
    fine: f64,
    step: f32,
    contact: f32,
    across: usize,
    up: usize,
    cells: Vec<u32>,
    /// Depth at the corners of cells.
    nodes: Vec<f32>,
    crossed: Vec<Crossed>,
    edges: Vec<Edge>,
}

/// Cells as they are filled, with the edges found so far.
struct Grid {
    across: usize,
    low: Vec2,
    size: f64,
    solid: Vec<bool>,
    /// Cell, and which edges.
    found: Vec<(u32, u32, u32)>,
    edges: Vec<Edge>,
}

impl Field {
    /// The field of `second` moved against `first`, both as they are turned, with so many cells along its longer side.
    pub(super) fn new(first: &[Convex], second: &[Convex], gap: f64, cells: usize) -> Self {
        let first: Vec<Side> = first.iter().map(Side::new).collect();
        let second: Vec<Side> = second.iter().map(Side::new).collect();
        let (mut low, mut high) = (Vec2::ZERO, Vec2::ZERO);
        let mut order: Vec<(f64, usize, usize)> = Vec::with_capacity(first.len() * second.len());
        for (i, a) in first.iter().enumerate() {
            for (j, b) in second.iter().enumerate() {
                let reach = reach_of(a, b, gap);
                (low, high) = (low.min(reach.0), high.max(reach.1));
                let size = reach.1 - reach.0;
                order.push((size.x * size.y, i, j));
            }
        }
        // Large ones first: what lies wholly inside what is solid already adds nothing.
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let extent = high - low;
        let size = (extent.x.max(extent.y) / cells as f64).max(1e-12);
        // A free rim, so that corners on the boundary have depth nought.
        let low = low - Vec2::new(size, size) * 0.5;
        let across = (extent.x / size).ceil() as usize + 1;
        let up = (extent.y / size).ceil() as usize + 1;
        let mut grid = Grid {
            across,
            low,
            size,
            solid: vec![false; across * up],
            found: Vec::new(),
            edges: Vec::new(),
        };
        let mut set = Set::default();
        for (_, i, j) in order {
            let (low, high) = reach_of(&first[i], &second[j], gap);
            if !grid.is_solid(low, high, up) {
                set.fill(&first[i], &second[j], gap);
                grid.add(&set, up);
            }
        }
        grid.finished(up)
    }

    /// How deep the second lies in the first when shifted so; nought when they are apart or touch.
    #[inline]
    pub(super) fn depth(&self, d: Vec2) -> f32 {
        let u = (d.x - self.low.x) * self.fine;
        let v = (d.y - self.low.y) * self.fine;
        if !(u >= 0.0 && v >= 0.0) {
            return 0.0;
        }
        let (i, j) = (u as usize, v as usize);
        if i >= self.across || j >= self.up {
            return 0.0;
        }
        let cell = self.cells[j * self.across + i];
        if cell == FREE {
            return 0.0;
        }
        let (u, v) = ((u - i as f64) as f32, (v - j as f64) as f32);
        if cell == SOLID {
            return self.between(i, j, u, v);
        }
        let crossed = self.crossed[(cell - FIRST) as usize];
        let (x, y) = ((u - 0.5) * self.step, (v - 0.5) * self.step);
        let deep = deepest(&self.edges[crossed.from as usize..crossed.to as usize], x, y);
        if deep <= self.contact {
            0.0
        } else if crossed.seam {
            deep.max(self.between(i, j, u, v))
        } else {
            deep
        }
    }

    /// Between the corners of a cell.
    fn between(&self, i: usize, j: usize, u: f32, v: f32) -> f32 {
        let at = j * (self.across + 1) + i;
        let next = at + self.across + 1;
        let low = self.nodes[at] + (self.nodes[at + 1] - self.nodes[at]) * u;
        let high = self.nodes[next] + (self.nodes[next + 1] - self.nodes[next]) * u;
        low + (high - low) * v
    }
}

/// Depth in the set that holds the point deepest; nought outside all of them.
#[inline]
fn deepest(edges: &[Edge], x: f32, y: f32) -> f32 {
    let (mut deep, mut least) = (0.0_f32, f32::INFINITY);
    for edge in edges {
        least = least.min(edge.reach - edge.nx * x - edge.ny * y);
        if edge.last {
            deep = deep.max(least);
            least = f32::INFINITY;
        }
    }
    deep
}

impl Grid {
    fn columns(&self, from: f64, to: f64, low: f64, most: usize) -> (usize, usize) {
        let index = |v: f64| (((v - low) / self.size).floor().max(0.0) as usize).min(most - 1);
        (index(from), index(to))
    }

    /// Whether a box is covered already.
    fn is_solid(&self, low: Vec2, high: Vec2, up: usize) -> bool {
        let (first, last) = self.columns(low.x, high.x, self.low.x, self.across);
        let (bottom, top) = self.columns(low.y, high.y, self.low.y, up);
        (bottom..=top).all(|j| {
            self.solid[j * self.across + first..=j * self.across + last]
                .iter()
                .all(|&solid| solid)
        })
    }

    fn add(&mut self, set: &Set, up: usize) {
        let half = self.size / 2.0;
        let (bottom, top) = self.columns(set.low.y, set.high.y, self.low.y, up);
        let columns = self.columns(set.low.x, set.high.x, self.low.x, self.across);
        for j in bottom..=top {
            let y = self.low.y + (j as f64 + 0.5) * self.size;
            let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
            let (mut inner_from, mut inner_to) = (f64::NEG_INFINITY, f64::INFINITY);
            for &(n, reach) in &set.planes {
                let rest = reach - n.y * y;
                let spread = (n.x.abs() + n.y.abs()) * half;
                let (outer, inner) = (rest + spread, rest - spread);
                if n.x > 1e-12 {
                    to = to.min(outer / n.x);
                    inner_to = inner_to.min(inner / n.x);
                } else if n.x < -1e-12 {
                    from = from.max(outer / n.x);
                    inner_from = inner_from.max(inner / n.x);
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
                for &(n, reach) in &set.planes {
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

    fn finished(self, up: usize) -> Field {
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

impl Field {
    /// Depth at the corners of cells: told by the edges near the boundary, from there inwards by the distance to go.
    ///
    /// # Source
    /// Fast sweeping for |grad u| = 1: H. Zhao, A fast sweeping method for Eikonal equations, 2005 (from memory).
    fn corner_depths(&self) -> Vec<f32> {
        let (wide, tall) = (self.across + 1, self.up + 1);
        let mut nodes = vec![0.0_f32; wide * tall];
        let mut open = vec![false; wide * tall];
        for j in 0..tall {
            for i in 0..wide {
                let (mut known, mut near, mut inside) = (0.0_f32, false, false);
                for (di, dj) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                    if i < di || j < dj || i - di >= self.across || j - dj >= self.up {
                        near = true;
                        continue;
                    }
                    let cell = self.cells[(j - dj) * self.across + i - di];
                    if cell == FREE {
                        near = true;
                    } else if cell == SOLID {
                        inside = true;
                    } else {
                        let crossed = self.crossed[(cell - FIRST) as usize];
                        let x = (di as f32 - 0.5) * self.step;
                        let y = (dj as f32 - 0.5) * self.step;
                        let deep = deepest(&self.edges[crossed.from as usize..crossed.to as usize], x, y);
                        known = known.max(deep);
                        inside |= deep > 0.0;
                        near |= !crossed.seam;
                    }
                }
                let at = j * wide + i;
                if near || !inside {
                    nodes[at] = known;
                } else {
                    nodes[at] = f32::INFINITY;
                    open[at] = true;
                }
            }
        }
        let step = self.step;
        for sweep in 0..4 {
            for row in 1..tall - 1 {
                let j = if sweep & 1 == 0 { row } else { tall - 1 - row };
                for column in 1..wide - 1 {
                    let i = if sweep & 2 == 0 { column } else { wide - 1 - column };
                    let at = j * wide + i;
                    if !open[at] {
                        continue;
                    }
                    let a = nodes[at - 1].min(nodes[at + 1]);
                    let b = nodes[at - wide].min(nodes[at + wide]);
                    let (low, apart) = (a.min(b), (a - b).abs());
                    let reached = if apart.is_nan() || apart >= step {
                        low + step
                    } else {
                        (a + b + (2.0 * step * step - apart * apart).sqrt()) / 2.0
                    };
                    nodes[at] = nodes[at].min(reached);
                }
            }
        }
        for node in &mut nodes {
            if !node.is_finite() {
                *node = 0.0;
            }
        }
        nodes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::convex_parts;
    use caddis_geometry::{Contour, Placement2, Region as Plan, Shape};

    fn outline(points: &[(f64, f64)]) -> Plan {
        Plan {
            shapes: vec![Shape {
                outer: Contour::polygon(points.iter().map(|&(x, y)| Vec2::new(x, y))),
                holes: Vec::new(),
            }],
        }
    }

    fn ell() -> Plan {
        outline(&[
            (0.0, 0.0),
            (0.3, 0.0),
            (0.3, 0.1),
            (0.1, 0.1),
            (0.1, 0.2),
            (0.0, 0.2),
        ])
    }

    #[test]
    fn squares_meet_as_deep_as_they_overlap() {
        let square = convex_parts(&Plan::rectangle(Vec2::ZERO, Vec2::new(1.0, 1.0)));
        let field = Field::new(&square, &square, 0.0, 40);
        for (x, y, deep) in [
            (0.0, 0.0, 1.0),
            (0.5, 0.0, 0.5),
            (0.9, 0.3, 0.1),
            (1.0, 0.0, 0.0),
            (1.2, 0.0, 0.0),
        ] {
            let got = field.depth(Vec2::new(x, y));
            assert!(
                (f64::from(got) - deep).abs() < 0.05,
                "({x}, {y}): {got}, wanted {deep}"
            );
        }
        assert_eq!(field.depth(Vec2::new(1.0, 0.4)), 0.0);
        assert!(field.depth(Vec2::new(1.0 - 1e-6, 0.4)) > 0.0);
    }

    #[test]
    fn it_meets_exactly_where_the_outlines_overlap() {
        let (a, b) = (
            ell(),
            outline(&[(0.0, 0.0), (0.2, 0.05), (0.05, 0.25), (0.1, 0.1)]),
        );
        let field = Field::new(&convex_parts(&a), &convex_parts(&b), 0.0, 40);
        let mut met = 0;
        for i in 0..60 {
            for j in 0..60 {
                let shift = Vec2::new(f64::from(i) * 0.011 - 0.3, f64::from(j) * 0.0097 - 0.3);
                let placed = b.placed(&Placement2 { angle: 0.0, shift });
                let area = a.intersection(&placed).area();
                let deep = field.depth(shift);
                assert_eq!(deep > 0.0, area > 1e-9, "at {shift:?}: {deep} deep, {area} m2");
                met += usize::from(deep > 0.0);
            }
        }
        assert!(met > 500);
    }

    #[test]
    fn a_gap_keeps_them_apart() {
        let square = convex_parts(&Plan::rectangle(Vec2::ZERO, Vec2::new(1.0, 1.0)));
        let field = Field::new(&square, &square, 0.1, 40);
        assert!(field.depth(Vec2::new(1.09, 0.0)) > 0.0);
        assert_eq!(field.depth(Vec2::new(1.1, 0.0)), 0.0);
        assert!(field.depth(Vec2::new(1.06, 1.06)) > 0.0);
        assert_eq!(field.depth(Vec2::new(1.075, 1.075)), 0.0);
    }
}
