//! How deep one shape lies in another, for every shift of the second against the first.
//!
//! The forbidden shifts of two shapes are a union of convex sets, one per pair of their convex parts. A grid over that
//! union answers most questions with one look: nothing there, or so deep. Where the boundary passes a cell, the cell keeps
//! the edges that cross it, so that whether two shapes meet is exact and not a matter of the grid.

mod grid;
mod sieve;

use super::shifts::{Set, Side, reach_of};
use crate::engine::Convex;
use caddis_geometry::Vec2;
use grid::Grid;

/// Depths below this share of a cell are contact, not overlap: rounding of single precision within a cell.
const CONTACT: f32 = 1e-6;

const FREE: u32 = 0;
const SOLID: u32 = 1;
/// Cells from this on hold edges, the first of which is so many on.
const FIRST: u32 = 2;

/// One edge of a convex set, as seen from the middle of a cell: inside is `x * nx + y * ny < reach`.
#[derive(Debug, Clone, Copy)]
struct Edge {
    nx: f32,
    ny: f32,
    reach: f32,
    /// Whether it is the last one of its convex set in this cell.
    last: bool,
    /// Whether it is the last one of the cell: a cell needs no look at where its edges end.
    end: bool,
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
    across: u32,
    up: u32,
    cells: Box<[u32]>,
    /// Depth at the corners of cells.
    nodes: Box<[f32]>,
    edges: Box<[Edge]>,
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
        let mut grid = Grid::new(low, size, across, up);
        let mut sets: Vec<Set> = Vec::with_capacity(order.len());
        for (_, i, j) in order {
            let (low, high) = reach_of(&first[i], &second[j], gap);
            if !grid.is_covered(low, high) {
                let set = Set::new(&first[i], &second[j], gap);
                grid.add(&set, sets.len() as u32);
                sets.push(set);
            }
        }
        grid.finished(&sets)
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
        let across = self.across as usize;
        if i >= across || j >= self.up as usize {
            return 0.0;
        }
        let cell = self.cells[j * across + i];
        if cell == FREE {
            return 0.0;
        }
        let (u, v) = ((u - i as f64) as f32, (v - j as f64) as f32);
        if cell == SOLID {
            return self.between(i, j, u, v);
        }
        let edges = &self.edges[(cell - FIRST) as usize..];
        let (x, y) = ((u - 0.5) * self.step, (v - 0.5) * self.step);
        let deep = deepest(edges, x, y);
        if deep <= self.contact {
            0.0
        } else if edges[0].seam {
            deep.max(self.between(i, j, u, v))
        } else {
            deep
        }
    }

    /// Between the corners of a cell.
    fn between(&self, i: usize, j: usize, u: f32, v: f32) -> f32 {
        let wide = self.across as usize + 1;
        let at = j * wide + i;
        let next = at + wide;
        let low = self.nodes[at] + (self.nodes[at + 1] - self.nodes[at]) * u;
        let high = self.nodes[next] + (self.nodes[next + 1] - self.nodes[next]) * u;
        low + (high - low) * v
    }
}

/// Depth in the set of the cell that holds the point deepest; nought outside all of them.
#[inline]
fn deepest(edges: &[Edge], x: f32, y: f32) -> f32 {
    let (mut deep, mut least) = (0.0_f32, f32::INFINITY);
    for edge in edges {
        least = least.min(edge.reach - edge.nx * x - edge.ny * y);
        if edge.last {
            deep = deep.max(least);
            if edge.end {
                break;
            }
            least = f32::INFINITY;
        }
    }
    deep
}

impl Field {
    /// Depth at the corners of cells: told by the edges near the boundary, from there inwards by the distance to go.
    ///
    /// # Source
    /// Fast sweeping for |grad u| = 1: H. Zhao, A fast sweeping method for Eikonal equations, 2005 (from memory).
    fn corner_depths(&self) -> Box<[f32]> {
        let (across, up) = (self.across as usize, self.up as usize);
        let (wide, tall) = (across + 1, up + 1);
        let mut nodes = vec![0.0_f32; wide * tall];
        let mut open = vec![false; wide * tall];
        for j in 0..tall {
            for i in 0..wide {
                let (mut known, mut near, mut inside) = (0.0_f32, false, false);
                for (di, dj) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                    if i < di || j < dj || i - di >= across || j - dj >= up {
                        near = true;
                        continue;
                    }
                    let cell = self.cells[(j - dj) * across + i - di];
                    if cell == FREE {
                        near = true;
                    } else if cell == SOLID {
                        inside = true;
                    } else {
                        let edges = &self.edges[(cell - FIRST) as usize..];
                        let x = (di as f32 - 0.5) * self.step;
                        let y = (dj as f32 - 0.5) * self.step;
                        let deep = deepest(edges, x, y);
                        known = known.max(deep);
                        inside |= deep > 0.0;
                        near |= !edges[0].seam;
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
        nodes.into_boxed_slice()
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
