//! Repair of meshes from the real world: what is safe is mended and said, the rest is counted.

use super::Mesh;
use super::bodies::EdgeUses;
use super::fill::Holes;
use std::collections::BTreeSet;

/// Open edges closer than this, metres, are two sides of one crack: far above the rounding of exporters, far below what
/// foam is cut to.
const CRACK: f64 = 2e-5;

/// What was done to a mesh, and what is left.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Repairs {
    /// Triangles of fewer than three corners, dropped.
    pub collapsed: usize,
    /// Triangles that stood twice, dropped.
    pub duplicates: usize,
    /// Triangles of walls between two bodies that share them, dropped.
    pub inner_walls: usize,
    /// Vertices moved onto their neighbour across a crack, by at most 20 µm.
    pub stitched: usize,
    /// Triangles turned so that neighbours agree.
    pub turned: usize,
    /// Bodies that were inside out.
    pub inverted: usize,
    /// Holes closed.
    pub filled: usize,
    /// The widest hole that was closed, metres.
    pub widest_filled: f64,
    /// Holes left open.
    pub open: usize,
    /// The widest hole left open, metres: a surface that is missing there may stand out by half of it.
    pub widest_open: f64,
}

impl Repairs {
    /// One sentence for each thing done, without a full stop.
    pub fn sentences(&self) -> Vec<String> {
        let mut said = Vec::new();
        let mut say = |count: usize, sentence: String| {
            if count > 0 {
                said.push(sentence);
            }
        };
        say(
            self.collapsed,
            format!("triangles of no area dropped: {}", self.collapsed),
        );
        say(
            self.duplicates,
            format!("triangles that stood twice dropped: {}", self.duplicates),
        );
        say(
            self.inner_walls,
            format!(
                "triangles of walls inside the solid dropped: {}",
                self.inner_walls
            ),
        );
        say(
            self.stitched,
            format!(
                "cracks closed by moving {} vertices by at most 20 µm",
                self.stitched
            ),
        );
        say(
            self.turned,
            format!(
                "triangles turned over to agree with their neighbours: {}",
                self.turned
            ),
        );
        say(
            self.inverted,
            format!(
                "bodies that were inside out and have been turned: {}",
                self.inverted
            ),
        );
        say(
            self.filled,
            format!(
                "holes closed: {}, the widest {:.2} mm",
                self.filled,
                self.widest_filled * 1e3
            ),
        );
        said
    }
}

impl Mesh {
    /// The mesh as [`Mesh::welded`], without what stands twice, and with cracks and safe holes closed.
    ///
    /// A hole is safe to close when its rim is flat, or when it is narrower than a tenth of the mesh, and when closing
    /// leaves a body with a thickness: a lone sheet stays a sheet. Everything else stays open and is counted.
    ///
    /// # Accuracy
    /// Vertices move by at most `tolerance`, or by 20 µm across a crack. A hole's filling lies within the flat of its rim
    /// to 1 % of its width, or within its width where it is small.
    pub fn repaired(&self, tolerance: f64) -> (Self, Repairs) {
        let mut done = Repairs::default();
        let mut mesh = self.merged(tolerance.max(0.0));
        done.collapsed = self.triangles.len() - mesh.triangles.len();
        (done.duplicates, done.inner_walls) = mesh.drop_repeated();
        (done.turned, done.inverted) = mesh.turn();
        let uses = EdgeUses::of(&mesh);
        if uses.groups().any(|group| group.len() == 1) {
            done.stitched = mesh.stitch(&uses);
            let filled = Holes::of(&mesh).fill(&mut mesh);
            done.filled = filled.closed.len();
            done.open = filled.left.len();
            let widest = |all: &[f64]| all.iter().copied().fold(0.0, f64::max);
            (done.widest_filled, done.widest_open) = (widest(&filled.closed), widest(&filled.left));
            if done.filled + done.stitched > 0 {
                let (turned, inverted) = mesh.turn();
                done.turned += turned;
                done.inverted += inverted;
            }
        }
        (mesh, done)
    }

    /// Drops second copies of triangles, and pairs of triangles back to back where two bodies share a wall. A sheet that
    /// has two faces of its own stays.
    fn drop_repeated(&mut self) -> (usize, usize) {
        let turned = |t: &[u32; 3]| {
            let least = (0..3).min_by_key(|&k| t[k]).unwrap_or(0);
            [t[least], t[(least + 1) % 3], t[(least + 2) % 3]]
        };
        let mut order: Vec<([u32; 3], bool, usize)> = self
            .triangles
            .iter()
            .enumerate()
            .map(|(i, t)| {
                let [a, b, c] = turned(t);
                ([a, b.min(c), b.max(c)], b < c, i)
            })
            .collect();
        order.sort_unstable();
        if order.windows(2).all(|pair| pair[0].0 != pair[1].0) {
            return (0, 0);
        }
        let mut drop = BTreeSet::new();
        let mut pairs = Vec::new();
        for group in order.chunk_by(|l, r| l.0 == r.0) {
            for same in group.chunk_by(|l, r| l.1 == r.1) {
                drop.extend(same[1..].iter().map(|s| s.2));
            }
            if let (Some(first), Some(last)) = (group.first(), group.last())
                && first.1 != last.1
            {
                pairs.push([first.2, last.2]);
            }
        }
        let duplicates = drop.len();
        let mut walls = 0;
        if !pairs.is_empty() {
            let uses = EdgeUses::of(&self.without(&drop));
            for pair in pairs {
                let counts = sides(&self.triangles[pair[0]]).map(|edge| uses.count(edge));
                if counts.iter().all(|&n| n >= 4) {
                    drop.extend(pair);
                    walls += 2;
                }
            }
        }
        *self = self.without(&drop);
        (duplicates, walls)
    }

    fn without(&self, drop: &BTreeSet<usize>) -> Self {
        Self {
            positions: self.positions.clone(),
            triangles: self
                .triangles
                .iter()
                .enumerate()
                .filter(|(i, _)| !drop.contains(i))
                .map(|(_, t)| *t)
                .collect(),
        }
    }

    /// Merges vertices of open edges that lie within a crack's width; gives how many moved. Nothing is done where that
    /// would crowd an edge with a third triangle.
    fn stitch(&mut self, uses: &EdgeUses) -> usize {
        let mut rim: Vec<u32> = uses
            .groups()
            .filter(|group| group.len() == 1)
            .flat_map(|group| [group[0].edge.0, group[0].edge.1])
            .collect();
        rim.sort_unstable();
        rim.dedup();
        // By x; each vertex looks back as far as a crack reaches.
        rim.sort_by(|&l, &r| {
            let (l, r) = (self.positions[l as usize], self.positions[r as usize]);
            l.x.total_cmp(&r.x)
                .then(l.y.total_cmp(&r.y))
                .then(l.z.total_cmp(&r.z))
        });
        let mut onto: Vec<u32> = (0..self.positions.len() as u32).collect();
        let mut moved = 0;
        for (k, &v) in rim.iter().enumerate() {
            let p = self.positions[v as usize];
            let near = rim[..k]
                .iter()
                .rev()
                .take_while(|&&w| p.x - self.positions[w as usize].x <= CRACK)
                .find(|&&w| onto[w as usize] == w && self.positions[w as usize].distance(p) <= CRACK);
            if let Some(&w) = near {
                onto[v as usize] = w;
                moved += 1;
            }
        }
        if moved == 0 {
            return 0;
        }
        let stitched = Self {
            positions: self.positions.clone(),
            triangles: self
                .triangles
                .iter()
                .map(|t| t.map(|i| onto[i as usize]))
                .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
                .collect(),
        };
        let crowded = |uses: &EdgeUses| uses.groups().filter(|group| group.len() > 2).count();
        if crowded(&EdgeUses::of(&stitched)) > crowded(uses) {
            return 0;
        }
        *self = stitched;
        moved
    }
}

fn sides(t: &[u32; 3]) -> [(u32, u32); 3] {
    [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])].map(|(a, b)| (a.min(b), a.max(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Vec2, Vec3};

    fn cube() -> Mesh {
        Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.2, 0.3))
    }

    fn volume(mesh: &Mesh) -> f64 {
        mesh.mass_properties().volume
    }

    #[test]
    fn a_sound_mesh_stays_as_it_is() {
        let (mesh, done) = cube().repaired(1e-6);
        assert_eq!(mesh, cube());
        assert_eq!(done, Repairs::default());
        assert!(done.sentences().is_empty());
    }

    #[test]
    fn a_missing_face_is_closed_and_said() {
        let mut open = cube();
        open.triangles.drain(0..2);
        let (mesh, done) = open.repaired(1e-6);
        assert!(mesh.check().is_closed);
        assert_eq!((done.filled, done.open), (1, 0));
        assert!((volume(&mesh) - 0.006).abs() < 1e-12);
        assert!((done.widest_filled - 0.1_f64.hypot(0.2)).abs() < 1e-9, "{done:?}");
    }

    #[test]
    fn duplicates_flips_and_inversions_are_mended() {
        let mut bad = cube();
        bad.triangles.push(bad.triangles[3]);
        bad.triangles[5].swap(0, 1);
        for t in &mut bad.triangles {
            t.swap(0, 1);
        }
        let (mesh, done) = bad.repaired(1e-6);
        assert!(mesh.check().is_closed, "{done:?}");
        assert!((volume(&mesh) - 0.006).abs() < 1e-12);
        assert_eq!((done.duplicates, done.turned, done.inverted), (1, 1, 1));
    }

    #[test]
    fn a_wall_between_two_boxes_goes() {
        let mut two = cube();
        two.append(&Mesh::cuboid(Vec3::new(0.1, 0.0, 0.0), Vec3::new(0.2, 0.2, 0.3)));
        // The two diagonals of a shared face must be the same one for its triangles to be the same.
        let (mesh, done) = two.repaired(1e-6);
        assert_eq!(done.inner_walls % 2, 0);
        assert!((volume(&mesh) - 0.012).abs() < 1e-12);
    }

    #[test]
    fn a_lone_sheet_stays_open() {
        let sheet = Mesh {
            positions: vec![
                Vec3::ZERO,
                Vec3::new(0.1, 0.0, 0.0),
                Vec3::new(0.1, 0.1, 0.0),
                Vec3::new(0.0, 0.1, 0.0),
            ],
            triangles: vec![[0, 1, 2], [0, 2, 3]],
        };
        let (mesh, done) = sheet.repaired(1e-6);
        assert_eq!(mesh.triangles.len(), 2);
        assert_eq!((done.filled, done.open), (0, 1));
    }

    #[test]
    fn a_crack_is_stitched() {
        let half = |sign: f64| {
            let mut half = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1 * sign, 0.2, 0.3));
            // Without the face at x = 0.
            half.triangles
                .retain(|t| t.iter().any(|&i| half.positions[i as usize].x.abs() > 1e-9));
            half
        };
        let mut cracked = half(-1.0);
        cracked.append(&half(1.0).posed(&crate::Pose::translation(Vec3::new(1e-5, 0.0, 0.0))));
        let (mesh, done) = cracked.repaired(1e-6);
        assert!(mesh.check().is_closed, "{done:?}");
        assert_eq!((done.stitched, mesh.check().bodies), (4, 1));
    }

    #[test]
    fn a_wide_uneven_hole_stays_open() {
        let profile = [Vec2::new(0.05, 0.0), Vec2::new(0.05, 0.2)];
        let mut tube = Mesh::revolved(&profile, 48);
        // A window cut through half the wall.
        tube.triangles.retain(|t| {
            let level = t
                .iter()
                .all(|&i| tube.positions[i as usize].z == tube.positions[t[0] as usize].z);
            level || t.iter().any(|&i| tube.positions[i as usize].y < -1e-9)
        });
        let (mesh, done) = tube.repaired(1e-6);
        assert!(!mesh.check().is_closed);
        assert!(done.open == 1 && done.widest_open > 0.1, "{done:?}");
    }
}
