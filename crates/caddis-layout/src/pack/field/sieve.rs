//! Which sets of a cell the others cover.

use super::Edge;

/// Finds, cell by cell, the sets that no other one covers there; keeps its memory from cell to cell.
#[derive(Default)]
pub(super) struct Sieve {
    /// What is kept: edges from and to, corners from and to.
    pub(super) kept: Vec<[u32; 4]>,
    corners: Vec<[f32; 2]>,
    points: Vec<[f32; 2]>,
    spare: Vec<[f32; 2]>,
}

impl Sieve {
    /// Sets of one cell, each its edges from and to; what is kept stands in `kept`.
    pub(super) fn pass(&mut self, edges: &[Edge], group: &[(u32, u32)], half: f32) {
        self.kept.clear();
        self.corners.clear();
        // Larger sets come first, so that most of the others are covered by one that is kept already.
        for &(from, to) in group {
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
