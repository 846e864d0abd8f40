//! Convex hulls of meshes.

use super::Mesh;
use crate::{Bounds3, Vec3};

/// How far a point is moved so that no four lie in one plane, as a share of the largest extent: far above the rounding of
/// distances to slim facets, far below what anyone measures (25 nm on 250 mm).
const MOVED: f64 = 1e-7;
/// Where that does not part them, it is made ten times as large, so often.
const ATTEMPTS: i32 = 4;

impl Mesh {
    /// The convex hull of its vertices in use, as a closed mesh; `None` when they lie in one plane.
    ///
    /// # Accuracy
    /// No vertex lies farther than 5e-7 of the largest extent outside. A flat face comes as many triangles.
    ///
    /// # Source
    /// C. B. Barber, D. P. Dobkin and H. Huhdanpaa, "The quickhull algorithm for convex hulls", ACM Transactions on
    /// Mathematical Software 22 (1996), with their joggled input.
    pub fn hull(&self) -> Option<Self> {
        let mut used: Vec<u32> = self
            .triangles
            .iter()
            .flatten()
            .copied()
            .filter(|&i| self.positions.get(i as usize).is_some_and(|p| p.is_finite()))
            .collect();
        used.sort_unstable();
        used.dedup();
        let exact: Vec<Vec3> = used.iter().map(|&i| self.positions[i as usize]).collect();
        let size = Bounds3::around(exact.iter().copied())?.size();
        let size = size.x.max(size.y).max(size.z);
        if size <= 0.0 {
            return None;
        }
        (0..ATTEMPTS).find_map(|attempt| {
            let moved = MOVED * size * 10_f64.powi(attempt);
            Quickhull::of(&exact, moved)?.finished(&exact)
        })
    }
}

/// One triangle of the growing hull.
#[derive(Debug, Clone)]
struct Facet {
    corners: [usize; 3],
    /// The facet across the side that starts at each corner.
    across: [usize; 3],
    normal: Vec3,
    offset: f64,
    /// Points beyond it.
    outside: Vec<usize>,
    is_alive: bool,
}

struct Quickhull {
    points: Vec<Vec3>,
    facets: Vec<Facet>,
    /// Points nearer to a facet than this lie on it.
    on: f64,
}

impl Quickhull {
    /// The hull of points moved by `moved`; `None` where they are flat or rounding broke it.
    fn of(exact: &[Vec3], moved: f64) -> Option<Self> {
        let mut hull = Self {
            points: (0_u64..).zip(exact).map(|(k, &p)| p + noise(k) * moved).collect(),
            facets: Vec::new(),
            on: 2.0 * moved,
        };
        hull.start()?;
        let mut at = 0;
        while at < hull.facets.len() {
            if hull.facets[at].is_alive && !hull.facets[at].outside.is_empty() {
                hull.grow(at)?;
            } else {
                at += 1;
            }
        }
        Some(hull)
    }

    /// The first tetrahedron: far corners in turn.
    fn start(&mut self) -> Option<()> {
        let farthest = |from: &dyn Fn(Vec3) -> f64| {
            (0..self.points.len()).max_by(|&a, &b| from(self.points[a]).total_cmp(&from(self.points[b])))
        };
        let a = farthest(&|p| -p.x)?;
        let p = self.points[a];
        let b = farthest(&|q| q.distance(p))?;
        let along = (self.points[b] - p).unit();
        let c = farthest(&|q| (q - p).cross(along).length())?;
        let normal = along.cross(self.points[c] - p).unit();
        let d = farthest(&|q| (q - p).dot(normal).abs())?;
        let height = (self.points[d] - p).dot(normal);
        // Flat, as far as anyone could measure.
        if height.abs() < 100.0 * self.on || (self.points[c] - p).cross(along).length() < 100.0 * self.on {
            return None;
        }
        let (b, c) = if height > 0.0 { (c, b) } else { (b, c) };
        // Seen from d the base winds backwards.
        for (corners, across) in [
            ([a, b, c], [1, 2, 3]),
            ([b, a, d], [0, 3, 2]),
            ([c, b, d], [0, 1, 3]),
            ([a, c, d], [0, 2, 1]),
        ] {
            self.add(corners, across);
        }
        let all: Vec<usize> = (0..self.points.len()).collect();
        self.assign(all, 0);
        Some(())
    }

    fn add(&mut self, corners: [usize; 3], across: [usize; 3]) {
        let [a, b, c] = corners.map(|k| self.points[k]);
        let normal = (b - a).cross(c - a).unit();
        self.facets.push(Facet {
            corners,
            across,
            normal,
            offset: normal.dot(a),
            outside: Vec::new(),
            is_alive: true,
        });
    }

    fn height(&self, facet: usize, point: usize) -> f64 {
        self.facets[facet].normal.dot(self.points[point]) - self.facets[facet].offset
    }

    /// Gives each point to the first of the facets from `first` on that it lies beyond; points beyond none lie inside.
    fn assign(&mut self, points: Vec<usize>, first: usize) {
        for point in points {
            if let Some(facet) = (first..self.facets.len()).find(|&facet| self.height(facet, point) > self.on)
            {
                self.facets[facet].outside.push(point);
            }
        }
    }

    /// Takes in the farthest point beyond a facet.
    fn grow(&mut self, facet: usize) -> Option<()> {
        let eye = *self.facets[facet]
            .outside
            .iter()
            .max_by(|&&a, &&b| self.height(facet, a).total_cmp(&self.height(facet, b)))?;
        let mut seen = vec![facet];
        self.facets[facet].is_alive = false;
        let (mut rim, mut next) = (Vec::new(), 0);
        while next < seen.len() {
            let from = seen[next];
            next += 1;
            for side in 0..3 {
                let to = self.facets[from].across[side];
                if !self.facets[to].is_alive {
                    continue;
                }
                if self.height(to, eye) > 0.0 {
                    self.facets[to].is_alive = false;
                    seen.push(to);
                } else {
                    let corners = self.facets[from].corners;
                    rim.push((corners[side], corners[(side + 1) % 3], to));
                }
            }
        }
        // A neighbour that was seen later leaves a side that is no rim.
        rim.retain(|&(.., to)| self.facets[to].is_alive);
        rim.sort_unstable();
        let start_of = |corner: usize| {
            let at = rim.partition_point(|&(from, ..)| from < corner);
            let is_one = rim.get(at)?.0 == corner && rim.get(at + 1).is_none_or(|next| next.0 != corner);
            is_one.then_some(at)
        };
        let (first, count) = (self.facets.len(), rim.len());
        // One ring: each side ends where another starts, and all are met on the way round.
        let followers: Vec<usize> = rim
            .iter()
            .map(|&(_, to, _)| start_of(to))
            .collect::<Option<_>>()?;
        let (mut at, mut met) = (0, 0);
        loop {
            at = followers[at];
            met += 1;
            if at == 0 || met > count {
                break;
            }
        }
        if met != count || count < 3 {
            return None;
        }
        let mut before = vec![0; count];
        for (at, &follower) in followers.iter().enumerate() {
            before[follower] = at;
        }
        for (at, &(a, b, hidden)) in rim.iter().enumerate() {
            self.add([a, b, eye], [hidden, first + followers[at], first + before[at]]);
            let side = (0..3).find(|&k| self.facets[hidden].corners[k] == b)?;
            self.facets[hidden].across[side] = first + at;
        }
        let orphans: Vec<usize> = seen
            .iter()
            .flat_map(|&dead| std::mem::take(&mut self.facets[dead].outside))
            .filter(|&point| point != eye)
            .collect();
        self.assign(orphans, first);
        Some(())
    }

    /// The mesh on the points as they were; `None` where something lies outside after all.
    fn finished(self, exact: &[Vec3]) -> Option<Mesh> {
        let mut mesh = Mesh::default();
        let mut index = vec![u32::MAX; exact.len()];
        for facet in self.facets.iter().filter(|facet| facet.is_alive) {
            mesh.triangles.push(facet.corners.map(|corner| {
                if index[corner] == u32::MAX {
                    index[corner] = mesh.positions.len() as u32;
                    mesh.positions.push(exact[corner]);
                }
                index[corner]
            }));
        }
        (mesh.check().is_closed && mesh.mass_properties().volume > 0.0).then_some(mesh)
    }
}

/// A point of the cube from -1 to 1, the same for the same number.
///
/// # Source
/// G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA (2014): `SplitMix64`
/// (constants from memory).
fn noise(number: u64) -> Vec3 {
    let at = |k: u64| {
        let mut z = number
            .wrapping_mul(3)
            .wrapping_add(k)
            .wrapping_add(1)
            .wrapping_mul(0x9e37_79b9_7f4a_7c15);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    Vec3::new(at(0), at(1), at(2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Region, Vec2};
    use proptest::prelude::*;

    fn cloud(points: Vec<Vec3>) -> Mesh {
        let count = points.len() as u32;
        Mesh {
            positions: points,
            triangles: (0..count)
                .map(|k| [k, (k + 1) % count, (k + 2) % count])
                .collect(),
        }
    }

    #[test]
    fn boxes_with_points_in_their_faces_and_edges() {
        let mut points = Vec::new();
        for x in 0..=10 {
            for y in 0..=8 {
                for z in 0..=6 {
                    points.push(Vec3::new(f64::from(x), f64::from(y), f64::from(z)) * 0.01);
                }
            }
        }
        let hull = cloud(points).hull().expect("a solid");
        let volume = hull.mass_properties().volume;
        assert!((volume / (0.1 * 0.08 * 0.06) - 1.0).abs() < 1e-5, "{volume}");
        let whole = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.08, 0.06))
            .hull()
            .expect("a solid");
        assert_eq!(whole.triangles.len(), 12);
    }

    #[test]
    fn a_star_has_the_hull_of_its_points() {
        let star = |inner: f64| {
            let corners: Vec<Vec2> = (0..10)
                .map(|k| {
                    let turn = std::f64::consts::PI * f64::from(k) / 5.0;
                    Vec2::new(turn.cos(), turn.sin()) * if k % 2 == 0 { 0.1 } else { inner }
                })
                .collect();
            Mesh::prism(
                &Region::from_contours(&[crate::Contour::polygon(corners)]),
                0.0,
                0.05,
            )
        };
        let hull = star(0.04).hull().expect("a solid").mass_properties().volume;
        // The regular pentagon.
        let area = 2.5 * 0.01 * (2.0 * std::f64::consts::PI / 5.0).sin();
        assert!((hull / (area * 0.05) - 1.0).abs() < 1e-5, "{hull}");
    }

    #[test]
    fn what_is_flat_has_none() {
        let flat = cloud(vec![
            Vec3::ZERO,
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, 1.0, 0.0),
            Vec3::new(1.0, 1.0, 0.0),
        ]);
        assert!(flat.hull().is_none());
        assert!(Mesh::default().hull().is_none());
        assert!(cloud(vec![Vec3::ZERO; 5]).hull().is_none());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn nothing_lies_outside_and_the_hull_is_its_own(
            points in prop::collection::vec((0..9_i32, 0..9_i32, 0..9_i32), 8..200), is_grid in any::<bool>()
        ) {
            let points: Vec<Vec3> = points
                .iter()
                .map(|&(x, y, z)| {
                    let p = Vec3::new(f64::from(x), f64::from(y), f64::from(z));
                    if is_grid { p } else { p.unit() * 3.0 }
                })
                .collect();
            let Some(hull) = cloud(points.clone()).hull() else { return Ok(()) };
            for [a, b, c] in hull.corners() {
                let across = (b - a).cross(c - a);
                // Slim triangles of a flat face point anywhere.
                if across.length() < 1e-2 {
                    continue;
                }
                for &p in &points {
                    prop_assert!((p - a).dot(across.unit()) < 1e-4, "{p:?} beyond {a:?} {b:?} {c:?}");
                }
            }
            let again = hull.hull().expect("a solid");
            let (one, two) = (hull.mass_properties().volume, again.mass_properties().volume);
            prop_assert!((one - two).abs() < 1e-5 * one.max(1.0), "{one} {two}");
        }
    }
}
