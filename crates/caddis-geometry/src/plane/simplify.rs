//! Fewer vertices on a named side.

use super::contour::{Contour, Vertex};
use super::edge::{Edge, segment_distance};
use super::overlay::{Fill, Overlay, Rule};
use super::region::Region;
use crate::{Side, Vec2};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

impl Region {
    /// Fewer vertices: stays on the named side and within `tolerance` of the exact region.
    ///
    /// Corners that may go without leaving the side go, and short edges give way to the crossing of their neighbours,
    /// cheapest first; arcs stay arcs unless a few straight edges follow them within a quarter of the tolerance.
    /// Every step adds (Outer) or takes (Inner) one triangle, so the side holds whatever the shape does.
    #[must_use]
    pub fn simplified(&self, tolerance: f64, side: Side) -> Self {
        if !tolerance.is_finite() || tolerance <= 0.0 {
            return self.clone();
        }
        let mut overlay = Overlay::new();
        for shape in &self.shapes {
            if side == Side::Inner && is_within(&shape.outer, tolerance) {
                continue;
            }
            overlay.add_contour(&Ring::new(&shape.outer, tolerance, side).reduced(), side, false);
            for hole in &shape.holes {
                if !(side == Side::Outer && is_within(hole, tolerance)) {
                    overlay.add_contour(&Ring::new(hole, tolerance, side).reduced(), side, false);
                }
            }
        }
        overlay.region(Rule::Union, Fill::Positive)
    }
}

/// Whether no two points of the contour are farther apart than `tolerance`.
fn is_within(contour: &Contour, tolerance: f64) -> bool {
    contour.bounds().is_some_and(|b| b.size().length() <= tolerance)
}

/// A contour as a linked ring. Edge i leaves vertex i.
struct Ring {
    at: Vec<Vec2>,
    bulge: Vec<f64>,
    /// How far edge i may be from the exact boundary already.
    error: Vec<f64>,
    next: Vec<usize>,
    previous: Vec<usize>,
    alive: Vec<bool>,
    version: Vec<u32>,
    count: usize,
    tolerance: f64,
    /// +1 keeps the Outer side, -1 the Inner.
    sign: f64,
}

/// One possible step, cheapest first; the index breaks ties.
type Step = Reverse<(u64, usize, bool, u32)>;

impl Ring {
    fn new(contour: &Contour, tolerance: f64, side: Side) -> Self {
        let mut at = Vec::new();
        let mut bulge = Vec::new();
        let mut error = Vec::new();
        for edge in contour.edges() {
            let mut push = |p: Vec2, b: f64, e: f64| {
                at.push(p);
                bulge.push(b);
                error.push(e);
            };
            match edge {
                Edge::Line(a, _) => push(a, 0.0, 0.0),
                Edge::Arc(arc) => {
                    let points = arc.points(tolerance / 4.0, side);
                    if points.len() <= 4 {
                        for &p in &points[..points.len() - 1] {
                            push(p, 0.0, tolerance / 4.0);
                        }
                    } else {
                        push(arc.a, arc.bulge, 0.0);
                    }
                }
            }
        }
        let n = at.len();
        Self {
            next: (0..n).map(|i| (i + 1) % n).collect(),
            previous: (0..n).map(|i| (i + n - 1) % n).collect(),
            alive: vec![true; n],
            version: vec![0; n],
            count: n,
            at,
            bulge,
            error,
            tolerance,
            sign: if side == Side::Outer { 1.0 } else { -1.0 },
        }
    }

    /// What dropping vertex `b` would cost, if it may go.
    fn drop_cost(&self, b: usize) -> Option<f64> {
        let (a, c) = (self.previous[b], self.next[b]);
        if self.bulge[a] != 0.0 || self.bulge[b] != 0.0 {
            return None;
        }
        let (pa, pb, pc) = (self.at[a], self.at[b], self.at[c]);
        let turn = self.sign * (pb - pa).cross(pc - pb);
        if turn > 0.0 {
            return None;
        }
        let cost = segment_distance(pa, pc, pb) + self.error[a].max(self.error[b]);
        (cost <= self.tolerance).then_some(cost)
    }

    /// Where edge `b` would shrink to, and what that costs, if it may.
    fn shrink_cost(&self, b: usize) -> Option<(Vec2, f64)> {
        let (a, c) = (self.previous[b], self.next[b]);
        let d = self.next[c];
        if self.bulge[a] != 0.0 || self.bulge[b] != 0.0 || self.bulge[c] != 0.0 || a == d {
            return None;
        }
        let (pa, pb, pc, pd) = (self.at[a], self.at[b], self.at[c], self.at[d]);
        let (u, v, w) = (pb - pa, pc - pb, pd - pc);
        let across = u.cross(w);
        if self.sign * u.cross(v) <= 0.0 || self.sign * v.cross(w) <= 0.0 || self.sign * across <= 0.0 {
            return None;
        }
        let meeting = pa + u * ((pc - pa).cross(w) / across);
        if !meeting.is_finite() {
            return None;
        }
        let cost = segment_distance(pb, pc, meeting) + self.error[b];
        (cost <= self.tolerance).then_some((meeting, cost))
    }

    fn offer(&self, i: usize, heap: &mut BinaryHeap<Step>) {
        if let Some(cost) = self.drop_cost(i) {
            heap.push(Reverse((cost.to_bits(), i, false, self.version[i])));
        }
        if let Some((_, cost)) = self.shrink_cost(i) {
            heap.push(Reverse((cost.to_bits(), i, true, self.version[i])));
        }
    }

    /// Unlinks vertex `i`.
    fn remove(&mut self, i: usize) {
        let (p, n) = (self.previous[i], self.next[i]);
        self.next[p] = n;
        self.previous[n] = p;
        self.alive[i] = false;
        self.count -= 1;
    }

    fn reduced(mut self) -> Contour {
        let mut heap = BinaryHeap::new();
        for i in 0..self.at.len() {
            self.offer(i, &mut heap);
        }
        while let Some(Reverse((_, i, shrinks, version))) = heap.pop() {
            if self.count <= 3 {
                break;
            }
            if !self.alive[i] || self.version[i] != version {
                continue;
            }
            let around = if shrinks {
                let Some((meeting, cost)) = self.shrink_cost(i) else {
                    continue;
                };
                let (before, after) = (self.previous[i], self.next[i]);
                // Edge `before` now ends at the meeting, edge i starts there and runs on along the old edge `after`.
                self.error[before] = self.error[before].max(cost);
                self.error[i] = self.error[after].max(cost);
                self.at[i] = meeting;
                self.bulge[i] = self.bulge[after];
                self.remove(after);
                i
            } else {
                let Some(cost) = self.drop_cost(i) else { continue };
                let before = self.previous[i];
                self.error[before] = cost;
                self.remove(i);
                before
            };
            // Costs reach two vertices back and forward.
            let mut touched = vec![around];
            let (mut back, mut forth) = (around, around);
            for _ in 0..2 {
                back = self.previous[back];
                forth = self.next[forth];
                touched.extend([back, forth]);
            }
            touched.sort_unstable();
            touched.dedup();
            for i in touched {
                self.version[i] += 1;
                self.offer(i, &mut heap);
            }
        }
        let vertices = (0..self.at.len())
            .filter(|&i| self.alive[i])
            .map(|i| Vertex {
                at: self.at[i],
                bulge: self.bulge[i],
            })
            .collect();
        Contour { vertices }
    }
}
