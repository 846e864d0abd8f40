//! Holes in a mesh, and fillings for those that are safe to close.

use super::Mesh;
use super::bodies::EdgeUses;
use crate::{Bounds3, Vec2, Vec3};

/// Larger rims are left open: their filling would be a guess.
const MOST_EDGES: usize = 2000;
/// A rim within this share of its width of a plane is flat.
const FLAT: f64 = 0.01;
/// A rim that stands off its plane by less than this, metres, is flat.
const FLAT_LENGTH: f64 = 5e-5;
/// A hole narrower than this share of the mesh's longest side is small.
const SMALL: f64 = 0.1;
/// A filled body must be at least this thick on average, as a share of its longest side.
const THICK: f64 = 1e-3;

/// The rims of a mesh's holes, each in the direction its filling must run.
pub(super) struct Holes {
    rims: Vec<Vec<u32>>,
}

/// Widths of the holes, metres.
#[derive(Debug, Default)]
pub(super) struct Filled {
    pub(super) closed: Vec<f64>,
    pub(super) left: Vec<f64>,
}

impl Holes {
    pub(super) fn of(mesh: &Mesh) -> Self {
        let uses = EdgeUses::of(mesh);
        // The filling runs each open edge against its triangle.
        let mut steps: Vec<(u32, u32)> = uses
            .groups()
            .filter(|group| group.len() == 1)
            .map(|group| {
                let (low, high) = group[0].edge;
                if group[0].forward {
                    (high, low)
                } else {
                    (low, high)
                }
            })
            .collect();
        steps.sort_unstable();
        let mut used = vec![false; steps.len()];
        let leaving = |v: u32| {
            let from = steps.partition_point(|s| s.0 < v);
            from..steps.partition_point(|s| s.0 <= v)
        };
        let mut place = vec![usize::MAX; mesh.positions.len()];
        let mut rims = Vec::new();
        for start in 0..steps.len() {
            if used[start] {
                continue;
            }
            let mut path: Vec<u32> = Vec::new();
            let mut at = steps[start].0;
            loop {
                if place[at as usize] != usize::MAX {
                    // A loop closed: it is a rim of its own, what led to it goes on.
                    let from = place[at as usize];
                    let rim = path.split_off(from);
                    for &v in &rim {
                        place[v as usize] = usize::MAX;
                    }
                    rims.push(rim);
                }
                let Some(step) = leaving(at).find(|&s| !used[s]) else {
                    break;
                };
                used[step] = true;
                place[at as usize] = path.len();
                path.push(at);
                at = steps[step].1;
            }
            for &v in &path {
                place[v as usize] = usize::MAX;
            }
            if path.len() > 2 {
                rims.push(path);
            }
        }
        Self { rims }
    }

    /// Closes what is safe to close.
    pub(super) fn fill(self, mesh: &mut Mesh) -> Filled {
        let size = mesh.bounds().map_or(Vec3::ZERO, |b| b.size());
        let longest = size.x.max(size.y).max(size.z);
        let mut filled = Filled::default();
        // Which body each vertex belongs to, so that a body is filled as a whole or not at all.
        let body_of = bodies_of_vertices(mesh);
        let mut by_body: Vec<(u32, Vec<u32>, f64)> = self
            .rims
            .into_iter()
            .map(|rim| {
                let width = width(mesh, &rim);
                (body_of[rim[0] as usize], rim, width)
            })
            .collect();
        by_body.sort_by_key(|entry| entry.0);
        let volumes = volumes(mesh, &body_of);
        for group in by_body.chunk_by(|l, r| l.0 == r.0) {
            let mut patches = Vec::new();
            let (mut closed, mut left) = (Vec::new(), Vec::new());
            for (_, rim, width) in group {
                match filling(mesh, rim, *width, longest) {
                    Some(patch) => {
                        patches.extend(patch);
                        closed.push(*width);
                    }
                    None => left.push(*width),
                }
            }
            let body = &volumes[group[0].0 as usize];
            if left.is_empty() && body.with(mesh, &patches).is_a_sheet() {
                filled.left.extend(closed);
            } else {
                mesh.triangles.extend(patches);
                filled.closed.extend(closed);
            }
            filled.left.extend(left);
        }
        filled
    }
}

fn bodies_of_vertices(mesh: &Mesh) -> Vec<u32> {
    let (body, _) = EdgeUses::of(mesh).bodies(mesh.triangles.len());
    let mut of = vec![0; mesh.positions.len()];
    for (t, b) in mesh.triangles.iter().zip(body) {
        for &v in t {
            of[v as usize] = b;
        }
    }
    of
}

/// Volume, surface and box of a body.
#[derive(Debug, Clone, Default)]
struct BodySize {
    volume: f64,
    surface: f64,
    bounds: Option<Bounds3>,
    origin: Vec3,
}

impl BodySize {
    fn add(&mut self, corners: [Vec3; 3]) {
        let [a, b, c] = corners.map(|p| p - self.origin);
        self.volume += a.dot(b.cross(c)) / 6.0;
        self.surface += (b - a).cross(c - a).length() / 2.0;
        let own = Bounds3::around(corners);
        self.bounds = match (self.bounds, own) {
            (Some(l), Some(r)) => Some(Bounds3 {
                min: l.min.min(r.min),
                max: l.max.max(r.max),
            }),
            (l, r) => l.or(r),
        };
    }

    fn with(&self, mesh: &Mesh, patches: &[[u32; 3]]) -> Self {
        let mut whole = self.clone();
        for t in patches {
            whole.add(t.map(|i| mesh.positions[i as usize]));
        }
        whole
    }

    fn is_a_sheet(&self) -> bool {
        let size = self.bounds.map_or(Vec3::ZERO, |b| b.size());
        2.0 * self.volume.abs() <= THICK * size.x.max(size.y).max(size.z) * self.surface
    }
}

fn volumes(mesh: &Mesh, body_of: &[u32]) -> Vec<BodySize> {
    let count = body_of.iter().max().map_or(0, |&b| b as usize + 1);
    let origin = mesh.bounds().map_or(Vec3::ZERO, |b| b.centre());
    let mut bodies = vec![
        BodySize {
            origin,
            ..BodySize::default()
        };
        count
    ];
    for t in &mesh.triangles {
        bodies[body_of[t[0] as usize] as usize].add(t.map(|i| mesh.positions[i as usize]));
    }
    bodies
}

/// The diagonal of a rim's box.
fn width(mesh: &Mesh, rim: &[u32]) -> f64 {
    Bounds3::around(rim.iter().map(|&i| mesh.positions[i as usize])).map_or(0.0, |b| b.size().length())
}

/// Triangles that close the hole, if that is safe.
fn filling(mesh: &Mesh, rim: &[u32], width: f64, longest: f64) -> Option<Vec<[u32; 3]>> {
    if rim.len() < 3 || rim.len() > MOST_EDGES {
        return None;
    }
    let points: Vec<Vec3> = rim.iter().map(|&i| mesh.positions[i as usize]).collect();
    let centre = points.iter().fold(Vec3::ZERO, |sum, &p| sum + p) / points.len() as f64;
    // Newell's normal: twice the vector area of the rim.
    let normal = (0..points.len()).fold(Vec3::ZERO, |sum, i| {
        let (a, b) = (points[i] - centre, points[(i + 1) % points.len()] - centre);
        sum + a.cross(b)
    });
    if normal.length() <= 1e-6 * width * width {
        return None;
    }
    let normal = normal.unit();
    let stands_off = points
        .iter()
        .map(|&p| (p - centre).dot(normal).abs())
        .fold(0.0, f64::max);
    let is_flat = stands_off <= (FLAT * width).max(FLAT_LENGTH);
    if !is_flat && width > SMALL * longest {
        return None;
    }
    let across = if normal.x.abs() < 0.6 {
        Vec3::new(1.0, 0.0, 0.0)
    } else {
        Vec3::new(0.0, 1.0, 0.0)
    };
    let u = across.cross(normal).unit();
    let v = normal.cross(u);
    let flat: Vec<Vec2> = points
        .iter()
        .map(|&p| Vec2::new((p - centre).dot(u), (p - centre).dot(v)))
        .collect();
    let triangles = clipped_ears(&flat)?;
    Some(triangles.into_iter().map(|t| t.map(|k| rim[k])).collect())
}

/// Triangles of a counter-clockwise polygon by cutting off ears; `None` where it crosses itself.
///
/// # Source
/// G. H. Meisters, "Polygons have ears", American Mathematical Monthly 82 (1975): every simple polygon has two.
fn clipped_ears(points: &[Vec2]) -> Option<Vec<[usize; 3]>> {
    let mut ring: Vec<usize> = (0..points.len()).collect();
    let mut triangles = Vec::with_capacity(points.len());
    while ring.len() > 3 {
        let n = ring.len();
        let corner = |k: usize| [ring[(k + n - 1) % n], ring[k], ring[(k + 1) % n]];
        let doubled = |[a, b, c]: [usize; 3]| (points[b] - points[a]).cross(points[c] - points[b]);
        let is_ear = |k: usize| {
            let t = corner(k);
            doubled(t) > 0.0 && !ring.iter().any(|i| !t.contains(i) && is_within(points, t, *i))
        };
        // The roundest ear first keeps needles away.
        let shape = |k: usize| {
            let [a, b, c] = corner(k).map(|i| points[i]);
            let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
            doubled(corner(k)) / (longest * longest).max(f64::MIN_POSITIVE)
        };
        let mut order: Vec<(f64, usize)> = (0..n).map(|k| (shape(k), k)).collect();
        // Large rims are cut in order: sorting each time would cost more than needles do.
        if n <= 64 {
            order.sort_by(|l, r| r.0.total_cmp(&l.0).then(l.1.cmp(&r.1)));
        }
        let ear = order.into_iter().map(|(_, k)| k).find(|&k| is_ear(k))?;
        triangles.push(corner(ear));
        ring.remove(ear);
    }
    let [a, b, c] = [ring[0], ring[1], ring[2]];
    ((points[b] - points[a]).cross(points[c] - points[b]) >= 0.0).then(|| {
        triangles.push([a, b, c]);
        triangles
    })
}

fn is_within(points: &[Vec2], t: [usize; 3], p: usize) -> bool {
    let p = points[p];
    let [a, b, c] = t.map(|i| points[i]);
    if p == a || p == b || p == c {
        return false;
    }
    let side = |u: Vec2, v: Vec2| (v - u).cross(p - u);
    side(a, b) >= 0.0 && side(b, c) >= 0.0 && side(c, a) >= 0.0
}
