//! Hidden-line removal: the stretches of bodies' edges that an eye sees, as lines and not as pixels.

use super::raster::Eye;
use caddis_geometry::{Mesh, Vec2, Vec3};
use std::collections::BTreeMap;

/// Faces whose normals differ by more than this cosine meet in an edge that is drawn; less is a round surface's chord.
const CREASE: f64 = 0.77;
/// What lies closer behind a face than this, metres, lies in it: bodies touch, and chords leave their arcs.
const BEHIND: f64 = 3e-4;
/// Cells along the longer side of the picture by which faces are found.
const CELLS: f64 = 200.0;
/// Shorter stretches, metres, are rounding.
const LEAST: f64 = 1e-5;

/// A stretch of an edge that is seen, in the eye's plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    pub(crate) from: Vec2,
    pub(crate) to: Vec2,
    /// Index of the body whose edge it is.
    pub(crate) body: usize,
}

/// The visible stretches of the edges of some bodies: creases, borders and outlines of round surfaces.
///
/// # Accuracy
/// Where an edge goes behind a face is computed on the triangles, so as near as their chords; what lies less than 0.3 mm
/// behind a face counts as lying in it.
///
/// # Source
/// An edge is drawn where its faces fold, or where one looks to the eye and the other away; it is hidden where a face
/// lies before it. Each face hides one interval of a straight edge, since both are linear in the edge's parameter. Derived.
pub(crate) fn visible_edges(bodies: &[&Mesh], eye: Eye) -> Vec<Seen> {
    let mut edges: Vec<(usize, Vec3, Vec3)> = Vec::new();
    let mut faces: Vec<[Vec3; 3]> = Vec::new();
    for (index, body) in bodies.iter().enumerate() {
        let mut mesh = body.welded(1e-7);
        for p in &mut mesh.positions {
            *p = eye.seen(*p);
        }
        drawn_edges(&mesh, |a, b| edges.push((index, a, b)));
        faces.extend(mesh.corners().filter(|[a, b, c]| {
            // Faces seen edge-on hide nothing.
            (*b - *a).plan().cross((*c - *a).plan()).abs() > 1e-13
        }));
    }
    let grid = Grid::new(&faces);
    let mut asked = vec![0_u32; faces.len()];
    let mut seen = Vec::new();
    for (number, (body, a, b)) in (1..).zip(edges) {
        let mut hidden: Vec<(f64, f64)> = Vec::new();
        grid.along(a.plan(), b.plan(), |face| {
            if asked[face] != number {
                asked[face] = number;
                hidden.extend(behind(&faces[face], a, b));
            }
        });
        hidden.sort_by(|l, r| l.0.total_cmp(&r.0));
        let (p, q) = (a.plan(), b.plan());
        let length = p.distance(q);
        let mut from = 0.0;
        for (low, high) in hidden.into_iter().chain([(1.0, 1.0)]) {
            if (low - from) * length > LEAST {
                seen.push(Seen {
                    from: p.lerp(q, from),
                    to: p.lerp(q, low),
                    body,
                });
            }
            from = f64::max(from, high);
        }
    }
    seen
}

/// The edges of a mesh in the eye's frame that are drawn.
fn drawn_edges(mesh: &Mesh, mut draw: impl FnMut(Vec3, Vec3)) {
    let mut uses: Vec<((u32, u32), Vec3)> = Vec::with_capacity(mesh.triangles.len() * 3);
    for (triangle, [a, b, c]) in mesh.triangles.iter().zip(mesh.corners()) {
        let normal = (b - a).cross(c - a).unit();
        for k in 0..3 {
            let (from, to) = (triangle[k], triangle[(k + 1) % 3]);
            uses.push(((from.min(to), from.max(to)), normal));
        }
    }
    uses.sort_by_key(|(ends, _)| *ends);
    for group in uses.chunk_by(|l, r| l.0 == r.0) {
        let is_drawn = match group {
            [(_, one), (_, other)] => {
                let turns = one.z * other.z < 0.0 && one.z.abs().min(other.z.abs()) > 1e-9;
                turns || one.dot(*other) < CREASE
            }
            _ => true,
        };
        if is_drawn {
            let (a, b) = group[0].0;
            draw(mesh.positions[a as usize], mesh.positions[b as usize]);
        }
    }
}

/// The interval of the edge `a b` that lies behind a face.
fn behind(face: &[Vec3; 3], a: Vec3, b: Vec3) -> Option<(f64, f64)> {
    let [p, q, r] = *face;
    let nearest = p.z.max(q.z).max(r.z);
    if nearest < a.z.min(b.z) + BEHIND {
        return None;
    }
    let area = (q - p).plan().cross((r - p).plan());
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    // Keeps where a value linear along the edge is positive.
    let mut keep = |at_start: f64, at_end: f64| {
        if at_start <= 0.0 && at_end <= 0.0 {
            high = -1.0;
        } else if at_start <= 0.0 {
            low = low.max(at_start / (at_start - at_end));
        } else if at_end <= 0.0 {
            high = high.min(at_start / (at_start - at_end));
        }
    };
    let weight = |from: Vec3, to: Vec3, at: Vec3| (to - from).plan().cross((at - from).plan()) / area;
    for (from, to) in [(p, q), (q, r), (r, p)] {
        // A hair outside: an edge that runs behind the seam of two triangles is hidden by both. Its own faces lie in it.
        keep(weight(from, to, a) + 1e-9, weight(from, to, b) + 1e-9);
    }
    let depth = |at: Vec3| {
        let (u, v, w) = (weight(q, r, at), weight(r, p, at), weight(p, q, at));
        u * p.z + v * q.z + w * r.z - at.z - BEHIND
    };
    keep(depth(a), depth(b));
    (high > low).then_some((low, high))
}

/// Faces by the cells of the picture they meet.
struct Grid {
    low: Vec2,
    cell: f64,
    across: usize,
    down: usize,
    start: Vec<usize>,
    faces: Vec<u32>,
}

impl Grid {
    fn new(faces: &[[Vec3; 3]]) -> Self {
        let (mut low, mut high) = (
            Vec2::new(f64::INFINITY, f64::INFINITY),
            Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        );
        for p in faces.iter().flatten() {
            low = low.min(p.plan());
            high = high.max(p.plan());
        }
        let size = high - low;
        if !size.is_finite() {
            (low, high) = (Vec2::ZERO, Vec2::ZERO);
        }
        let size = high - low;
        let cell = (size.x.max(size.y) / CELLS).max(1e-6);
        let mut grid = Self {
            low,
            cell,
            across: (size.x / cell) as usize + 1,
            down: (size.y / cell) as usize + 1,
            start: Vec::new(),
            faces: Vec::new(),
        };
        // Counted first, then filled, so that each cell's faces lie together.
        let mut counts = vec![0_usize; grid.across * grid.down + 1];
        for face in faces {
            grid.cells(face, |cell| counts[cell + 1] += 1);
        }
        for k in 1..counts.len() {
            counts[k] += counts[k - 1];
        }
        let mut next = counts.clone();
        let mut filled = vec![0_u32; counts.last().copied().unwrap_or(0)];
        for (index, face) in (0..).zip(faces) {
            grid.cells(face, |cell| {
                filled[next[cell]] = index;
                next[cell] += 1;
            });
        }
        grid.start = counts;
        grid.faces = filled;
        grid
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.low.x) / self.cell).max(0.0) as usize).min(self.across - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low.y) / self.cell).max(0.0) as usize).min(self.down - 1)
    }

    /// The cells a face may meet: row by row between the leftmost and rightmost point of its sides there.
    fn cells(&self, face: &[Vec3; 3], mut visit: impl FnMut(usize)) {
        let [a, b, c] = face.map(Vec3::plan);
        let (low, high) = (a.min(b).min(c), a.max(b).max(c));
        for row in self.row(low.y)..=self.row(high.y) {
            let (bottom, top) = self.band(row);
            let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
            for (p, q) in [(a, b), (b, c), (c, a)] {
                if let Some((x0, x1)) = clipped(p, q, bottom, top) {
                    left = left.min(x0);
                    right = right.max(x1);
                }
            }
            if left <= right {
                for column in self.column(left)..=self.column(right) {
                    visit(row * self.across + column);
                }
            }
        }
    }

    fn band(&self, row: usize) -> (f64, f64) {
        let bottom = self.low.y + row as f64 * self.cell;
        (bottom - self.cell * 1e-6, bottom + self.cell * (1.0 + 1e-6))
    }

    /// Every face of the cells that a line meets; a face may come more than once.
    fn along(&self, a: Vec2, b: Vec2, mut visit: impl FnMut(usize)) {
        for row in self.row(a.y.min(b.y))..=self.row(a.y.max(b.y)) {
            let (bottom, top) = self.band(row);
            let Some((left, right)) = clipped(a, b, bottom, top) else {
                continue;
            };
            for column in self.column(left)..=self.column(right) {
                let cell = row * self.across + column;
                for &face in &self.faces[self.start[cell]..self.start[cell + 1]] {
                    visit(face as usize);
                }
            }
        }
    }
}

/// Least and greatest x of a line between two heights.
fn clipped(a: Vec2, b: Vec2, bottom: f64, top: f64) -> Option<(f64, f64)> {
    let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
    if high.y < bottom || low.y > top {
        return None;
    }
    let at = |y: f64| {
        if high.y - low.y < 1e-15 {
            None
        } else {
            Some(low.x + (high.x - low.x) * (y - low.y) / (high.y - low.y))
        }
    };
    let from = if low.y >= bottom { Some(low.x) } else { at(bottom) };
    let to = if high.y <= top { Some(high.x) } else { at(top) };
    let (from, to) = (from.unwrap_or(low.x), to.unwrap_or(high.x));
    Some((from.min(to), from.max(to)))
}

/// Lines of one body joined end to end: fewer, longer lines; points in line with their neighbours within `slack` are left out.
pub(crate) fn joined(lines: &[(Vec2, Vec2)], slack: f64) -> Vec<Vec<Vec2>> {
    let key = |p: Vec2| ((p.x / slack).round() as i64, (p.y / slack).round() as i64);
    let mut meets: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, &(a, b)) in lines.iter().enumerate() {
        meets.entry(key(a)).or_default().push(index);
        meets.entry(key(b)).or_default().push(index);
    }
    let mut used = vec![false; lines.len()];
    // On from a point along the one other line that ends there.
    let onward = |at: Vec2, used: &[bool]| -> Option<(usize, Vec2)> {
        let here = meets.get(&key(at))?;
        let [one, other] = here.as_slice() else {
            return None;
        };
        let next = *[one, other].into_iter().find(|&&index| !used[index])?;
        let (a, b) = lines[next];
        Some((next, if key(a) == key(at) { b } else { a }))
    };
    let mut chains = Vec::new();
    for index in 0..lines.len() {
        if used[index] {
            continue;
        }
        used[index] = true;
        let (a, b) = lines[index];
        let mut chain = vec![a, b];
        for _ in 0..2 {
            while let Some((next, to)) = onward(chain[chain.len() - 1], &used) {
                used[next] = true;
                chain.push(to);
            }
            chain.reverse();
        }
        chains.push(straightened(chain, slack));
    }
    chains
}

fn straightened(chain: Vec<Vec2>, slack: f64) -> Vec<Vec2> {
    let mut kept: Vec<Vec2> = Vec::new();
    for p in chain {
        while let [.., before, last] = kept.as_slice() {
            let (along, step) = (p - *before, *last - *before);
            let is_between = step.dot(along) > 0.0 && step.dot(along) < along.dot(along);
            if is_between && along.unit().cross(step).abs() < slack / 4.0 {
                kept.pop();
            } else {
                break;
            }
        }
        kept.push(p);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(seen: &[Seen], body: usize) -> f64 {
        seen.iter()
            .filter(|line| line.body == body)
            .map(|line| line.from.distance(line.to))
            .sum()
    }

    #[test]
    fn of_a_box_nine_edges_are_seen_from_a_corner() {
        let cube = Mesh::cuboid(Vec3::ZERO, Vec3::new(1.0, 1.0, 1.0));
        let seen = visible_edges(&[&cube], Eye::from(Vec3::new(1.0, -1.0, 1.0)));
        // Each edge is seen at sqrt(2/3) of its length: isometric foreshortening.
        let wanted = 9.0 * (2.0_f64 / 3.0).sqrt();
        assert!((length(&seen, 0) - wanted).abs() < 1e-3, "{}", length(&seen, 0));
    }

    #[test]
    fn a_plate_hides_just_the_part_of_a_rod_behind_it() {
        let plate = Mesh::cuboid(Vec3::new(-1.0, -1.0, 1.0), Vec3::new(1.0, 1.0, 1.1));
        let rod = Mesh::cuboid(Vec3::new(-3.0, -0.1, 0.0), Vec3::new(3.0, 0.1, 0.1));
        let seen = visible_edges(&[&plate, &rod], Eye::from(Vec3::new(0.0, 0.0, 1.0)));
        // Seen from above: two long sides of 6 less the plate's 2, twice (upper and lower edges fall together), and the ends.
        let rod_alone = visible_edges(&[&rod], Eye::from(Vec3::new(0.0, 0.0, 1.0)));
        let hidden = length(&rod_alone, 0) - length(&seen, 1);
        let sides = (length(&rod_alone, 0) - 2.0 * 0.2) / 6.0;
        assert!((hidden - sides.round() * 2.0).abs() < 1e-6, "{hidden} {sides}");
        let plate_alone = visible_edges(&[&plate], Eye::from(Vec3::new(0.0, 0.0, 1.0)));
        assert!((length(&seen, 0) - length(&plate_alone, 0)).abs() < 1e-9);
    }

    #[test]
    fn a_round_bar_shows_its_outline_and_no_chords() {
        let profile = [
            Vec2::new(0.0, 0.0),
            Vec2::new(0.5, 0.0),
            Vec2::new(0.5, 2.0),
            Vec2::new(0.0, 2.0),
        ];
        let bar = Mesh::revolved(&profile, 90);
        let seen = visible_edges(&[&bar], Eye::from(Vec3::new(0.0, -1.0, 0.0)));
        let upright = seen
            .iter()
            .filter(|line| (line.from.x - line.to.x).abs() < 1e-9 && line.from.distance(line.to) > 1.0);
        assert_eq!(upright.count(), 2);
    }

    #[test]
    fn lines_join_into_one_chain_without_needless_points() {
        let at = |x: f64, y: f64| Vec2::new(x, y);
        let lines = [
            (at(0.0, 0.0), at(1.0, 0.0)),
            (at(2.0, 0.0), at(1.0, 0.0)),
            (at(2.0, 0.0), at(2.0, 1.0)),
        ];
        assert_eq!(
            joined(&lines, 1e-3),
            [vec![at(0.0, 0.0), at(2.0, 0.0), at(2.0, 1.0)]]
        );
    }
}
