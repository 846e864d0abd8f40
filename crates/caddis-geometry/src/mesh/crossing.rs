//! Triangles of a mesh that cut each other.

use super::Mesh;
use crate::Vec3;

/// Cells along the longest side, at most.
const MOST_CELLS: f64 = 256.0;

impl Mesh {
    /// How many triangles are cut by another that shares no corner with them.
    ///
    /// # Accuracy
    /// Touching does not count; neighbours that fold over each other about a common corner are not seen.
    pub fn crossing_triangles(&self) -> usize {
        let Some(bounds) = self.bounds() else { return 0 };
        let corners: Vec<[Vec3; 3]> = self.corners().collect();
        if corners.len() != self.triangles.len() {
            return 0;
        }
        let size = bounds.size();
        let longest = size.x.max(size.y).max(size.z).max(f64::MIN_POSITIVE);
        // About one triangle of a plain surface to a cell.
        let cells = (corners.len() as f64).sqrt().clamp(1.0, MOST_CELLS);
        let cell = longest / cells;
        let place = |p: Vec3| {
            let q = (p - bounds.min) / cell;
            [q.x, q.y, q.z].map(|v| v.floor().clamp(0.0, cells) as u64)
        };
        let mut entries: Vec<(u64, u32)> = Vec::with_capacity(corners.len() * 4);
        for (t, [a, b, c]) in corners.iter().enumerate() {
            let (low, high) = (place(a.min(*b).min(*c)), place(a.max(*b).max(*c)));
            for x in low[0]..=high[0] {
                for y in low[1]..=high[1] {
                    for z in low[2]..=high[2] {
                        entries.push(((x << 40) | (y << 20) | z, t as u32));
                    }
                }
            }
        }
        entries.sort_unstable();
        let mut crosses = vec![false; corners.len()];
        for group in entries.chunk_by(|l, r| l.0 == r.0) {
            for (k, &(_, s)) in group.iter().enumerate() {
                for &(_, t) in &group[k + 1..] {
                    let (s, t) = (s as usize, t as usize);
                    if (crosses[s] && crosses[t])
                        || self.triangles[s].iter().any(|v| self.triangles[t].contains(v))
                        || are_apart(&corners[s], &corners[t])
                    {
                        continue;
                    }
                    if cuts(&corners[s], &corners[t]) || cuts(&corners[t], &corners[s]) {
                        (crosses[s], crosses[t]) = (true, true);
                    }
                }
            }
        }
        crosses.into_iter().filter(|c| *c).count()
    }
}

fn are_apart(s: &[Vec3; 3], t: &[Vec3; 3]) -> bool {
    let low = |c: &[Vec3; 3]| c[0].min(c[1]).min(c[2]);
    let high = |c: &[Vec3; 3]| c[0].max(c[1]).max(c[2]);
    let gap = (low(s) - high(t)).max(low(t) - high(s));
    gap.x > 0.0 || gap.y > 0.0 || gap.z > 0.0
}

/// Whether an edge of `s` passes through the inside of `t`.
fn cuts(s: &[Vec3; 3], t: &[Vec3; 3]) -> bool {
    let [a, b, c] = *t;
    let normal = (b - a).cross(c - a);
    let reach = normal.length();
    if reach <= 0.0 {
        return false;
    }
    // Heights over the plane below a nanometre are touching.
    let height = s.map(|p| (p - a).dot(normal) / reach);
    (0..3).any(|k| {
        let (p, q) = (s[k], s[(k + 1) % 3]);
        let (u, v) = (height[k], height[(k + 1) % 3]);
        if u.abs() < 1e-9 || v.abs() < 1e-9 || (u > 0.0) == (v > 0.0) {
            return false;
        }
        let hit = p.lerp(q, u / (u - v));
        let side = |from: Vec3, to: Vec3| (to - from).cross(hit - from).dot(normal);
        let least = 1e-9 * reach * reach.sqrt();
        side(a, b) > least && side(b, c) > least && side(c, a) > least
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_that_overlap_cross_and_apart_they_do_not() {
        let cube = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.1, 0.1));
        assert_eq!(cube.crossing_triangles(), 0);
        let mut two = cube.clone();
        two.append(&Mesh::cuboid(Vec3::new(0.2, 0.0, 0.0), Vec3::new(0.3, 0.1, 0.1)));
        assert_eq!(two.crossing_triangles(), 0);
        let mut crossed = cube.clone();
        crossed.append(&Mesh::cuboid(
            Vec3::new(0.05, 0.02, 0.03),
            Vec3::new(0.15, 0.07, 0.08),
        ));
        assert!(crossed.crossing_triangles() >= 10);
        // One inside the other cuts nothing.
        let mut nested = cube;
        nested.append(&Mesh::cuboid(
            Vec3::new(0.02, 0.02, 0.02),
            Vec3::new(0.08, 0.07, 0.08),
        ));
        assert_eq!(nested.crossing_triangles(), 0);
    }
}
