//! The layers of a cavity that lets a mesh out: cumulative sections, grown and simplified.

use super::Mesh;
use super::outline::{Outline, simplified};
use super::section::crossing;
use crate::plane::overlay::{Fill, GridPoint, Overlay, Rule, from_grid, to_grid};
use crate::{Contour, Region, Shape, Vec2};

/// How the layers of a cavity are cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityCut {
    /// All round, metres; not negative.
    pub clearance: f64,
    /// How far a layer may stand out over the exact one, metres; less than 1 µm counts as 1 µm.
    pub tolerance: f64,
}

type Polygons = Vec<Vec<GridPoint>>;

impl Mesh {
    /// The plan of the cavity at each of the rising heights, for drawing the mesh upwards: everything that any section at
    /// or below that height holds, grown all round by the clearance.
    ///
    /// Sections are those of [`Mesh::section`]. What bulges between two heights only is not seen: use
    /// [`crate::SectionStack`] where nothing may be missed. Heights out of order, or not finite, are held to the one
    /// before.
    ///
    /// # Accuracy
    /// `Outer`: a layer holds the exact one and stands out over it by at most `tolerance`. Outlines are simplified before
    /// they are grown, and grown by as much more as that may have cost.
    ///
    /// Time is linear in the triangles, and in the corners of the sections times their logarithm.
    pub fn cavity_layers(&self, heights: &[f64], cut: CavityCut) -> Vec<Region> {
        let tolerance = cut.tolerance.max(1e-6);
        let clearance = cut.clearance.max(0.0);
        // A quarter each for the sections, their union and the round joins; the last covers the grid.
        let quarter = tolerance / 4.0;
        let mut layers: Vec<Region> = Vec::with_capacity(heights.len());
        let mut below: Polygons = Vec::new();
        for outlines in sliced(self, heights) {
            let section = outlines
                .into_iter()
                .filter_map(|outline| outline.simplified(quarter));
            let section: Vec<Vec<Vec2>> = section.collect();
            let whole = united(&below, &section);
            match layers.last() {
                Some(last) if whole == below => layers.push(last.clone()),
                _ => layers.push(grown(&whole, clearance + 2.0 * quarter, quarter)),
            }
            below = whole;
        }
        layers
    }
}

impl Mesh {
    /// Volume that the cavity has over the mesh itself when it is drawn upwards, m³: what stays empty above overhangs.
    ///
    /// # Accuracy
    /// The sum over `layers` sections of equal thickness: an overhang thinner than one may be missed.
    pub fn undercut(&self, layers: u32) -> f64 {
        let Some(bounds) = self.bounds() else { return 0.0 };
        let step = (bounds.max.z - bounds.min.z) / f64::from(layers.max(1));
        let heights: Vec<f64> = (0..layers.max(1))
            .map(|k| bounds.min.z + (f64::from(k) + 0.5) * step)
            .collect();
        let (mut below, mut over) = (Polygons::new(), 0.0);
        for outlines in sliced(self, &heights) {
            let section = outlines
                .into_iter()
                .filter_map(|outline| outline.simplified(1e-6));
            let own = united(&Polygons::new(), &section.collect::<Vec<_>>());
            let whole = match (below.is_empty(), own.is_empty()) {
                (true, _) => own.clone(),
                (false, true) => below,
                (false, false) => rings(&below, &own, Fill::Positive),
            };
            over += (area(&whole) - area(&own)).max(0.0);
            below = whole;
        }
        over * step
    }
}

/// Area of clean polygons, m².
fn area(polygons: &Polygons) -> f64 {
    let unit = from_grid(GridPoint::new(1, 0)).x;
    let doubled: i128 = polygons.iter().map(|ring| doubled_area(ring)).sum();
    doubled as f64 / 2.0 * unit * unit
}

/// The outlines at each height, material to their left.
fn sliced(mesh: &Mesh, heights: &[f64]) -> Vec<Vec<Outline>> {
    let mut rising: Vec<f64> = Vec::with_capacity(heights.len());
    for &z in heights {
        let least = rising.last().copied().unwrap_or(f64::NEG_INFINITY);
        rising.push(if z > least { z } else { least });
    }
    // A vertex lies above the planes before its level.
    let level: Vec<u32> = mesh
        .positions
        .iter()
        .map(|p| rising.partition_point(|&z| z <= p.z) as u32)
        .collect();
    let mut steps: Vec<Vec<Step>> = vec![Vec::new(); rising.len()];
    for t in &mesh.triangles {
        let [Some(&a), Some(&b), Some(&c)] = t.map(|v| level.get(v as usize)) else {
            continue;
        };
        for plane in a.min(b).min(c)..a.max(b).max(c) {
            steps[plane as usize].push(Step::of(*t, [a > plane, b > plane, c > plane]));
        }
    }
    steps
        .into_iter()
        .zip(rising)
        .map(|(steps, z)| linked(steps, |edge| at(mesh, edge, z)))
        .collect()
}

/// A triangle's piece of a section: from one of its edges to another, each named by its lower and higher vertex.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Step {
    from: u64,
    to: u64,
}

impl Step {
    fn of([a, b, c]: [u32; 3], above: [bool; 3]) -> Self {
        let edge = |u: u32, v: u32| u64::from(u.min(v)) << 32 | u64::from(u.max(v));
        // The vertex that is alone on its side comes first.
        let ([p, q, r], odd_is_above) = match above {
            [true, false, false] => ([a, b, c], true),
            [false, true, false] => ([b, c, a], true),
            [false, false, true] => ([c, a, b], true),
            [false, true, true] => ([a, b, c], false),
            [true, false, true] => ([b, c, a], false),
            _ => ([c, a, b], false),
        };
        let (left, right) = (edge(p, q), edge(r, p));
        if odd_is_above {
            Self {
                from: left,
                to: right,
            }
        } else {
            Self {
                from: right,
                to: left,
            }
        }
    }
}

/// Where an edge crosses a plane; the same whoever asks.
fn at(mesh: &Mesh, edge: u64, z: f64) -> Vec2 {
    let [p, q] = [edge >> 32, edge & u64::from(u32::MAX)].map(|v| mesh.positions[v as usize]);
    let (below, above) = if p.z < q.z { (p, q) } else { (q, p) };
    crossing(below, above, z).plan()
}

/// Chains of steps, closed ones first; loose ends are joined to the nearest by straight lines.
fn linked(mut steps: Vec<Step>, at: impl Fn(u64) -> Vec2) -> Vec<Outline> {
    steps.sort_unstable();
    let mut used = vec![false; steps.len()];
    let leaving = |edge: u64, used: &[bool]| {
        let first = steps.partition_point(|s| s.from < edge);
        (first..steps.len())
            .take_while(|&s| steps[s].from == edge)
            .find(|&s| !used[s])
    };
    // Chains that start where nothing arrives come first, so that an open chain is walked from its start.
    let mut arrivals: Vec<u64> = steps.iter().map(|s| s.to).collect();
    arrivals.sort_unstable();
    let loose = (0..steps.len()).filter(|&s| arrivals.binary_search(&steps[s].from).is_err());
    let order: Vec<usize> = loose.chain(0..steps.len()).collect();
    let mut closed = Vec::new();
    let mut open: Vec<Vec<Vec2>> = Vec::new();
    for start in order {
        if used[start] {
            continue;
        }
        let mut points = vec![at(steps[start].from)];
        used[start] = true;
        let mut edge = steps[start].to;
        while edge != steps[start].from {
            points.push(at(edge));
            let Some(next) = leaving(edge, &used) else { break };
            used[next] = true;
            edge = steps[next].to;
        }
        if edge == steps[start].from {
            closed.push(Outline::closed(points));
        } else {
            open.push(points);
        }
    }
    closed.extend(joined(open));
    closed
}

/// Open chains as closed ones: each end goes on at the nearest start, nearest pairs first.
fn joined(mut open: Vec<Vec<Vec2>>) -> Vec<Outline> {
    const MANY: usize = 400;
    if open.len() > MANY {
        // A heap of scraps: each is closed on itself.
        return open.into_iter().map(Outline::mended).collect();
    }
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, from) in open.iter().enumerate() {
        for (j, to) in open.iter().enumerate() {
            let gap = from[from.len() - 1].distance(to[0]);
            pairs.push((gap, i, j));
        }
    }
    pairs.sort_by(|l, r| l.0.total_cmp(&r.0).then((l.1, l.2).cmp(&(r.1, r.2))));
    let mut next = vec![usize::MAX; open.len()];
    let mut taken = vec![false; open.len()];
    for (_, i, j) in pairs {
        if next[i] == usize::MAX && !taken[j] {
            next[i] = j;
            taken[j] = true;
        }
    }
    let mut outlines = Vec::new();
    for start in 0..open.len() {
        if next[start] == usize::MAX {
            continue;
        }
        let mut points = Vec::new();
        let mut i = start;
        while next[i] != usize::MAX {
            points.append(&mut open[i]);
            i = std::mem::replace(&mut next[i], usize::MAX);
        }
        outlines.push(Outline::mended(points));
    }
    outlines
}

/// The union of what is clean already and the outlines of a section.
fn united(below: &Polygons, section: &[Vec<Vec2>]) -> Polygons {
    let grid: Polygons = section
        .iter()
        .map(|ring| ring.iter().map(|&p| to_grid(p)).collect())
        .collect();
    if grid.is_empty() {
        return below.clone();
    }
    // Where material runs the wrong way round, or holes lie, the section is made clean on its own first: its holes may
    // not cut into what lies below.
    let is_plain = grid.iter().all(|ring| doubled_area(ring) > 0);
    let clean = if is_plain && below.is_empty() {
        return rings(&grid, &Vec::new(), Fill::NonZero);
    } else if is_plain {
        grid
    } else {
        rings(&grid, &Vec::new(), Fill::NonZero)
    };
    rings(below, &clean, Fill::Positive)
}

fn rings(one: &Polygons, other: &Polygons, fill: Fill) -> Polygons {
    let mut overlay = Overlay::new();
    for ring in one.iter().chain(other) {
        for (i, &a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if a != b {
                overlay.add_edge(a, b, false);
            }
        }
    }
    overlay
        .polygons(Rule::Union, fill)
        .into_iter()
        .flatten()
        .collect()
}

fn doubled_area(ring: &[GridPoint]) -> i128 {
    let Some(origin) = ring.first() else { return 0 };
    (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let (ax, ay) = (i128::from(a.x - origin.x), i128::from(a.y - origin.y));
            let (bx, by) = (i128::from(b.x - origin.x), i128::from(b.y - origin.y));
            ax * by - ay * bx
        })
        .sum()
}

/// Clean polygons, simplified within `quarter` and grown by `reach` with round joins, which are tangent polygons.
///
/// # Source
/// The offset curve of a polygon, self-crossings and all, winds at least once around every point of the grown polygon
/// and never around another: X. Chen and S. Mc Mains, "Polygon offsetting by computing winding numbers", ASME DETC
/// (2005) (from memory).
fn grown(polygons: &Polygons, reach: f64, quarter: f64) -> Region {
    let mut overlay = Overlay::new();
    // Half the angle of a join's pieces: reach (1 / cos - 1) = quarter.
    let half = (reach / (reach + quarter)).acos();
    for ring in polygons {
        let points: Vec<Vec2> = ring.iter().map(|&p| from_grid(p)).collect();
        let points = simplified(&points, quarter).unwrap_or(points);
        let curve: Vec<GridPoint> = offset_curve(&points, reach, half)
            .into_iter()
            .map(to_grid)
            .collect();
        for (i, &a) in curve.iter().enumerate() {
            let b = curve[(i + 1) % curve.len()];
            if a != b {
                overlay.add_edge(a, b, false);
            }
        }
    }
    let mut region = Region::default();
    for shape in overlay.polygons(Rule::Union, Fill::Positive) {
        let mut contours = shape.into_iter().map(contour);
        if let Some(outer) = contours.next() {
            region.shapes.push(Shape {
                outer,
                holes: contours.collect(),
            });
        }
    }
    region.sort();
    region
}

/// A contour with its least point first.
fn contour(mut ring: Vec<GridPoint>) -> Contour {
    let least = (0..ring.len())
        .min_by_key(|&i| (ring[i].x, ring[i].y))
        .unwrap_or(0);
    ring.rotate_left(least);
    Contour::polygon(ring.into_iter().map(from_grid))
}

/// The ring moved out by `reach`; round at corners that stick out, through the corner itself where they go in.
fn offset_curve(points: &[Vec2], reach: f64, half: f64) -> Vec<Vec2> {
    let n = points.len();
    let mut curve = Vec::with_capacity(n * 3);
    let outward = |i: usize| -(points[(i + 1) % n] - points[i]).unit().perpendicular();
    let mut from = outward(n - 1);
    for (i, &corner) in points.iter().enumerate() {
        let to = outward(i);
        let (sine, cosine) = (from.cross(to), from.dot(to));
        if sine < 0.0 {
            curve.extend([corner + from * reach, corner, corner + to * reach]);
        } else {
            let turn = sine.atan2(cosine);
            let pieces = (turn / (2.0 * half)).ceil().max(1.0);
            let angle = turn / pieces / 2.0;
            let far = reach / angle.cos();
            // Tangent pieces: corners between the points of contact.
            curve.extend(
                (0..pieces as usize).map(|k| corner + from.rotated(angle * (2.0 * k as f64 + 1.0)) * far),
            );
        }
        from = to;
    }
    curve
}

#[cfg(test)]
mod tests {
    use super::*;

    const CUT: CavityCut = CavityCut {
        clearance: 0.003,
        tolerance: 5e-5,
    };

    fn mushroom() -> Mesh {
        let profile = [
            Vec2::new(0.01, 0.0),
            Vec2::new(0.01, 0.03),
            Vec2::new(0.03, 0.03),
            Vec2::new(0.03, 0.04),
            Vec2::new(0.02, 0.04),
            Vec2::new(0.02, 0.06),
        ];
        Mesh::revolved(&profile, 720)
    }

    #[test]
    fn layers_hold_the_exact_ones_and_little_more() {
        let layers = mushroom().cavity_layers(&[0.01, 0.035, 0.05], CUT);
        let circle = |r: f64| std::f64::consts::PI * r * r;
        for (layer, r) in layers.iter().zip([0.013, 0.033, 0.033]) {
            // The mesh is a polygon inside the circle by r (1 - cos(pi/720)).
            let (least, most) = (circle(r) - 2e-8, circle(r + CUT.tolerance));
            assert!(
                (least..most).contains(&layer.area()),
                "{} {least} {most}",
                layer.area()
            );
        }
        assert_eq!(layers[1], layers[2], "above the cap nothing is added");
    }

    #[test]
    fn layers_hold_the_sections_grown() {
        let mesh = mushroom();
        let heights = [0.005, 0.02, 0.033, 0.055];
        let layers = mesh.cavity_layers(&heights, CUT);
        for (layer, z) in layers.iter().zip(heights) {
            let grown = mesh.section(z).offset(CUT.clearance, crate::Side::Inner);
            assert!(grown.difference(layer).area() < 1e-10);
        }
    }

    #[test]
    fn the_undercut_is_what_the_cap_hides() {
        let ring = std::f64::consts::PI * (0.03_f64.powi(2) - 0.02_f64.powi(2)) * 0.02;
        let found = mushroom().undercut(120);
        assert!((found / ring - 1.0).abs() < 0.02, "{found} {ring}");
        let cube = Mesh::cuboid(Vec2::ZERO.at_height(0.0), Vec2::new(0.1, 0.1).at_height(0.1));
        assert!(cube.undercut(50) < 1e-8, "{}", cube.undercut(50));
    }

    #[test]
    fn a_hole_stays_and_closes_when_it_is_narrow() {
        // A ring of bore 10 mm.
        let ring = [
            Vec2::new(0.005, 0.0),
            Vec2::new(0.02, 0.0),
            Vec2::new(0.02, 0.01),
            Vec2::new(0.005, 0.01),
            Vec2::new(0.005, 0.0),
        ];
        let mut tube = Mesh::revolved(&ring, 256);
        tube.triangles.retain(|t| {
            // `revolved` closes to the axis: those discs go.
            t.iter()
                .all(|&i| tube.positions[i as usize].plan().length() > 1e-6)
        });
        let tube = tube.repaired(1e-7).0;
        let at = |clearance: f64| {
            let cut = CavityCut { clearance, ..CUT };
            tube.cavity_layers(&[0.005], cut)[0].shapes[0].holes.len()
        };
        assert_eq!(at(0.003), 1);
        assert_eq!(at(0.006), 0);
    }

    #[test]
    fn an_open_mesh_is_closed_by_straight_lines() {
        let mut cube = Mesh::cuboid(Vec2::ZERO.at_height(0.0), Vec2::new(0.1, 0.1).at_height(0.1));
        let right = |mesh: &Mesh, t: &[u32; 3]| t.iter().all(|&i| mesh.positions[i as usize].x > 0.09);
        let all = cube.clone();
        cube.triangles.retain(|t| !right(&all, t));
        let cut = CavityCut {
            clearance: 0.0,
            tolerance: 1e-5,
        };
        let layer = &cube.cavity_layers(&[0.05], cut)[0];
        assert!((layer.area() / 0.01 - 1.0).abs() < 1e-3, "{}", layer.area());
    }

    #[test]
    fn heights_out_of_order_and_empty_meshes_are_no_trouble() {
        assert!(Mesh::default().cavity_layers(&[0.0, 1.0], CUT)[1].is_empty());
        let layers = mushroom().cavity_layers(&[0.05, 0.01, f64::NAN], CUT);
        assert_eq!(layers.len(), 3);
        assert_eq!(layers[0], layers[2]);
    }
}
