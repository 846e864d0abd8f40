//! One vertex per place, triangles that agree, solids turned outward.

use super::Mesh;
use super::bodies::EdgeUses;
use crate::{Bounds3, Vec3};
use std::collections::HashMap;

impl Mesh {
    /// Vertices closer than `tolerance` metres merged, triangles of fewer than three corners dropped, neighbours made
    /// to agree, inverted solids turned outward (a void inside a solid stays a void).
    #[must_use]
    pub fn welded(&self, tolerance: f64) -> Self {
        let mut mesh = self.merged(tolerance.max(0.0));
        let uses = EdgeUses::of(&mesh);
        let (body, bodies) = uses.bodies(mesh.triangles.len());
        for (t, turns) in uses.disagreeing(&body, bodies).into_iter().enumerate() {
            if turns {
                mesh.triangles[t].swap(1, 2);
            }
        }
        mesh.turn_outward(&body, bodies);
        mesh
    }

    fn merged(&self, tolerance: f64) -> Self {
        // Two vertices within the tolerance lie in the same or in neighbouring cells.
        let cell = tolerance.max(1e-12);
        let key = |v: f64| (v / cell).floor() as i64;
        let mut cells: HashMap<[i64; 3], Vec<u32>> = HashMap::with_capacity(self.positions.len() / 2);
        let mut positions: Vec<Vec3> = Vec::with_capacity(self.positions.len() / 2);
        let mut index = Vec::with_capacity(self.positions.len());
        for &p in &self.positions {
            let home = [key(p.x), key(p.y), key(p.z)];
            let range = |v: f64, k: i64| {
                // Only neighbours that the tolerance reaches.
                let low = if v - tolerance < k as f64 * cell {
                    k.saturating_sub(1)
                } else {
                    k
                };
                let high = if v + tolerance >= (k as f64 + 1.0) * cell {
                    k.saturating_add(1)
                } else {
                    k
                };
                low..=high
            };
            let mut found = None;
            'search: for x in range(p.x, home[0]) {
                for y in range(p.y, home[1]) {
                    for z in range(p.z, home[2]) {
                        let near = cells.get(&[x, y, z]).into_iter().flatten();
                        for &i in near {
                            if positions[i as usize].distance(p) <= tolerance {
                                found = Some(i);
                                break 'search;
                            }
                        }
                    }
                }
            }
            index.push(found.unwrap_or_else(|| {
                let i = positions.len() as u32;
                positions.push(p);
                cells.entry(home).or_default().push(i);
                i
            }));
        }
        let triangles = self
            .triangles
            .iter()
            .filter_map(|t| {
                let [a, b, c] = t.map(|i| index.get(i as usize).copied());
                let t = [a?, b?, c?];
                (t[0] != t[1] && t[1] != t[2] && t[2] != t[0]).then_some(t)
            })
            .collect();
        Self { positions, triangles }
    }

    /// Turns closed bodies of negative volume over, unless they are voids in another body.
    fn turn_outward(&mut self, body: &[u32], bodies: usize) {
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
            return;
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
