//! One vertex per place, triangles that agree, solids turned outward.

use super::Mesh;
use super::bodies::EdgeUses;
use crate::{Bounds3, Vec3};

/// Vertices found so far, by cells of the tolerance: an open table of chains, for the standard maps spend most of a
/// large mesh's reading on hashing.
struct Places {
    tolerance: f64,
    cell: f64,
    positions: Vec<Vec3>,
    /// First vertex of each slot plus one; 0 where there is none.
    first: Vec<u32>,
    /// The next vertex of the same slot plus one.
    next: Vec<u32>,
}

impl Places {
    fn new(tolerance: f64, vertices: usize) -> Self {
        Self {
            tolerance,
            // Two vertices within the tolerance lie in the same or in neighbouring cells; a wide cell seldom needs both.
            cell: (tolerance * 16.0).max(1e-12),
            positions: Vec::with_capacity(vertices / 2),
            first: vec![0; vertices.next_power_of_two().max(16)],
            next: Vec::with_capacity(vertices / 2),
        }
    }

    fn slot(&self, [x, y, z]: [i64; 3]) -> usize {
        // Odd constants of the 64-bit golden ratio family, as in multiplicative hashing.
        let mixed = (x as u64)
            .wrapping_mul(0x9e37_79b9_7f4a_7c15)
            .wrapping_add((y as u64).wrapping_mul(0xc2b2_ae3d_27d4_eb4f))
            .wrapping_add((z as u64).wrapping_mul(0x1656_67b1_9e37_79f9));
        let mixed = (mixed ^ (mixed >> 29)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed >> 32) as usize & (self.first.len() - 1)
    }

    fn found(&self, cell: [i64; 3], p: Vec3) -> Option<u32> {
        let mut at = self.first[self.slot(cell)];
        while let Some(i) = at.checked_sub(1) {
            if self.positions[i as usize].distance(p) <= self.tolerance {
                return Some(i);
            }
            at = self.next[i as usize];
        }
        None
    }

    /// The vertex at a place, new where there is none yet.
    fn vertex(&mut self, p: Vec3) -> u32 {
        let range = |v: f64| {
            let low = ((v - self.tolerance) / self.cell).floor() as i64;
            let high = ((v + self.tolerance) / self.cell).floor() as i64;
            low..=high
        };
        for x in range(p.x) {
            for y in range(p.y) {
                for z in range(p.z) {
                    if let Some(i) = self.found([x, y, z], p) {
                        return i;
                    }
                }
            }
        }
        let home = [p.x, p.y, p.z].map(|v| (v / self.cell).floor() as i64);
        let slot = self.slot(home);
        let i = self.positions.len() as u32;
        self.positions.push(p);
        self.next.push(self.first[slot]);
        self.first[slot] = i + 1;
        i
    }
}

impl Mesh {
    /// Vertices closer than `tolerance` metres merged, triangles of fewer than three corners dropped, neighbours made
    /// to agree, inverted solids turned outward (a void inside a solid stays a void).
    #[must_use]
    pub fn welded(&self, tolerance: f64) -> Self {
        let mut mesh = self.merged(tolerance.max(0.0));
        mesh.turn();
        mesh
    }

    /// Makes neighbours agree and bodies face outward; gives how many triangles were turned for the first, and how many
    /// bodies for the second.
    pub(crate) fn turn(&mut self) -> (usize, usize) {
        let uses = EdgeUses::of(self);
        let (body, bodies) = uses.bodies(self.triangles.len());
        let mut turned = 0;
        for (t, turns) in uses.disagreeing(&body, bodies).into_iter().enumerate() {
            if turns {
                self.triangles[t].swap(1, 2);
                turned += 1;
            }
        }
        (turned, self.turn_outward(&body, bodies))
    }

    /// One vertex per place within `tolerance`; triangles that keep fewer than three corners go.
    pub(crate) fn merged(&self, tolerance: f64) -> Self {
        let mut places = Places::new(tolerance, self.positions.len());
        let index: Vec<u32> = self.positions.iter().map(|&p| places.vertex(p)).collect();
        let triangles = self
            .triangles
            .iter()
            .filter_map(|t| {
                let [a, b, c] = t.map(|i| index.get(i as usize).copied());
                let t = [a?, b?, c?];
                (t[0] != t[1] && t[1] != t[2] && t[2] != t[0]).then_some(t)
            })
            .collect();
        Self {
            positions: places.positions,
            triangles,
        }
    }

    /// Turns closed bodies of negative volume over, unless they are voids in another body; gives how many.
    fn turn_outward(&mut self, body: &[u32], bodies: usize) -> usize {
        let mut volume = vec![0.0; bodies];
        let mut boxes: Vec<Option<Bounds3>> = vec![None; bodies];
        let origin = self.bounds().map_or(Vec3::ZERO, |b| b.centre());
        for (t, corners) in self.corners().enumerate() {
            let b = body[t] as usize;
            let [p, q, r] = corners.map(|c| c - origin);
            volume[b] += p.dot(q.cross(r));
            let around = Bounds3::around(corners);
            boxes[b] = match (boxes[b], around) {
                (Some(l), Some(r)) => Some(Bounds3 {
                    min: l.min.min(r.min),
                    max: l.max.max(r.max),
                }),
                (l, r) => l.or(r),
            };
        }
        if volume.iter().all(|v| *v >= 0.0) {
            return 0;
        }
        let triangles: Vec<Vec<usize>> =
            body.iter()
                .enumerate()
                .fold(vec![Vec::new(); bodies], |mut all, (t, b)| {
                    all[*b as usize].push(t);
                    all
                });
        let encloses = |outer: usize, inner: usize| {
            let (Some(o), Some(i)) = (boxes[outer], boxes[inner]) else {
                return false;
            };
            let inside = |a: Vec3, b: Vec3| a.x <= b.x && a.y <= b.y && a.z <= b.z;
            outer != inner
                && inside(o.min, i.min)
                && inside(i.max, o.max)
                && triangles[inner].first().is_some_and(|&t| {
                    self.is_inside(&triangles[outer], self.positions[self.triangles[t][0] as usize])
                })
        };
        // Bodies in nobody turn over by their own sign; what lies in them turns with them.
        let mut turns = vec![false; bodies];
        for b in 0..bodies {
            let holder = (0..bodies).find(|&o| encloses(o, b) && !(0..bodies).any(|p| encloses(p, o)));
            turns[b] = volume[holder.unwrap_or(b)] < 0.0;
        }
        for (t, triangle) in self.triangles.iter_mut().enumerate() {
            if turns[body[t] as usize] {
                triangle.swap(1, 2);
            }
        }
        turns.into_iter().filter(|turns| *turns).count()
    }

    /// Whether a point lies inside the closed body of some triangles: parity of crossings above it.
    fn is_inside(&self, triangles: &[usize], p: Vec3) -> bool {
        // A hair aside, so that rays through vertices are unlikely.
        let p = p + Vec3::new(1.37e-8, 2.11e-8, 0.0);
        let crossings = triangles.iter().filter(|&&t| {
            let [a, b, c] = self.triangles[t].map(|i| self.positions[i as usize]);
            let side = |u: Vec3, v: Vec3| (v - u).plan().cross((p - u).plan());
            let (u, v, w) = (side(a, b), side(b, c), side(c, a));
            if !((u > 0.0) == (v > 0.0) && (v > 0.0) == (w > 0.0)) {
                return false;
            }
            let total = u + v + w;
            total != 0.0 && (v * a.z + w * b.z + u * c.z) / total > p.z
        });
        crossings.count() % 2 == 1
    }
}
