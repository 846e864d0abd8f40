//! Booleans: flatten, overlay exactly on a grid of whole nanometres, recover the arcs.

use super::contour::{Contour, Vertex};
use super::flatten::{Circle, default_chord};
use super::region::{Region, Shape};
use crate::{Side, Vec2};
use i_overlay::core::edge_data::{EdgeDataMerge, OverlayEdgeData};
use i_overlay::core::edge_overlay::{EdgeOverlay, InputEdge};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::ShapeType;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::segm::boolean::ShapeCountBoolean;
use i_overlay::vector::edge::DataVectorEdge;

pub(crate) type GridPoint = IntPoint<i64>;

/// Grid points per metre: a decimal grid, so that lengths given in whole micrometres come back unchanged.
const PER_METRE: f64 = 1e9;

/// Contours thinner than this on average are rounding noise.
const SLIVER_WIDTH: f64 = 2.5e-7;

/// Straight vertices that stand off by less than this are grid noise.
const COLLINEAR: f64 = 3e-9;

/// The nearest grid point; coordinates beyond 1000 km are held there.
pub(crate) fn to_grid(p: Vec2) -> GridPoint {
    let on = |v: f64| (v.clamp(-1e6, 1e6) * PER_METRE).round() as i64;
    IntPoint::new(on(p.x), on(p.y))
}

pub(crate) fn from_grid(p: GridPoint) -> Vec2 {
    Vec2::new(p.x as f64 / PER_METRE, p.y as f64 / PER_METRE)
}

/// Which circle an edge stands for: an index into the store plus one, or 0 for a straight edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mark(u32);

impl OverlayEdgeData<ShapeCountBoolean> for Mark {
    type Store = Vec<Circle>;

    fn merge(edges: EdgeDataMerge<ShapeCountBoolean, Self>, circles: &mut Vec<Circle>) -> Self {
        let (left, right) = (edges.lhs_data, edges.rhs_data);
        if same_circle(left, right, circles) {
            left
        } else {
            Self(0)
        }
    }
}

fn circle_of(mark: Mark, circles: &[Circle]) -> Option<Circle> {
    circles.get((mark.0 as usize).wrapping_sub(1)).copied()
}

fn same_circle(left: Mark, right: Mark, circles: &[Circle]) -> bool {
    left == right
        || match (circle_of(left, circles), circle_of(right, circles)) {
            (Some(l), Some(r)) => l.is_same(&r),
            _ => false,
        }
}

/// What the overlay keeps of subject and clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    Union,
    Intersection,
    Difference,
}

/// How winding numbers make an inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fill {
    EvenOdd,
    NonZero,
    Positive,
}

/// A boolean operation being prepared.
pub(crate) struct Overlay {
    overlay: EdgeOverlay<i64, Mark>,
}

impl Overlay {
    pub(crate) fn new() -> Self {
        let mut overlay = EdgeOverlay::new(64);
        overlay.options.preserve_output_collinear = false;
        Self { overlay }
    }

    /// One whose results keep points that lie in line with their neighbours.
    pub(crate) fn keeping_points() -> Self {
        let mut overlay = Self::new();
        overlay.overlay.options.preserve_output_collinear = true;
        overlay
    }

    fn mark(&mut self, circle: Option<Circle>) -> Mark {
        let Some(circle) = circle else { return Mark(0) };
        let circles = self.overlay.data_store_mut();
        if circles.last() != Some(&circle) {
            circles.push(circle);
        }
        Mark(circles.len() as u32)
    }

    /// Adds one directed edge; the material lies to its left.
    pub(crate) fn add_edge(&mut self, a: GridPoint, b: GridPoint, clip: bool) {
        let kind = if clip { ShapeType::Clip } else { ShapeType::Subject };
        self.overlay.add_edge(InputEdge { a, b, data: Mark(0) }, kind);
    }

    /// Adds a closed chain of points, each with the circle of the edge that leaves it.
    pub(crate) fn add_ring(&mut self, ring: &[(Vec2, Option<Circle>)], clip: bool) {
        let kind = if clip { ShapeType::Clip } else { ShapeType::Subject };
        for (i, &(a, circle)) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()].0;
            let data = self.mark(circle);
            self.overlay.add_edge(
                InputEdge {
                    a: to_grid(a),
                    b: to_grid(b),
                    data,
                },
                kind,
            );
        }
    }

    /// Adds a contour flattened on the given side.
    pub(crate) fn add_contour(&mut self, contour: &Contour, side: Side, clip: bool) {
        self.add_ring(&contour.flattened_marked(default_chord(), side), clip);
    }

    /// Adds every contour of a region.
    pub(crate) fn add_region(&mut self, region: &Region, side: Side, clip: bool) {
        for contour in region.contours() {
            self.add_contour(contour, side, clip);
        }
    }

    fn run(&mut self, rule: Rule, fill: Fill) -> Vec<Vec<Vec<DataVectorEdge<i64, Mark>>>> {
        let rule = match rule {
            Rule::Union => OverlayRule::Union,
            Rule::Intersection => OverlayRule::Intersect,
            Rule::Difference => OverlayRule::Difference,
        };
        let fill = match fill {
            Fill::EvenOdd => FillRule::EvenOdd,
            Fill::NonZero => FillRule::NonZero,
            Fill::Positive => FillRule::Positive,
        };
        self.overlay.build_vector_shapes(rule, fill)
    }

    /// The result as polygons on the grid: per shape the outer ring, then holes.
    pub(crate) fn polygons(mut self, rule: Rule, fill: Fill) -> Vec<Vec<Vec<GridPoint>>> {
        let ring = |edges: Vec<DataVectorEdge<i64, Mark>>| edges.into_iter().map(|e| e.a).collect();
        self.run(rule, fill)
            .into_iter()
            .map(|shape| shape.into_iter().map(ring).collect())
            .collect()
    }

    /// The result with its arcs.
    pub(crate) fn region(mut self, rule: Rule, fill: Fill) -> Region {
        let shapes = self.run(rule, fill);
        let circles = self.overlay.data_store();
        let contour = |edges: &Vec<DataVectorEdge<i64, Mark>>| {
            let ring: Vec<(Vec2, Option<Circle>)> = edges
                .iter()
                .map(|e| (from_grid(e.a), circle_of(e.data, circles)))
                .collect();
            (!is_sliver(&ring))
                .then(|| recovered(&ring))
                .filter(|c| c.vertices.len() > 1)
        };
        let mut region = Region::default();
        for shape in &shapes {
            let Some((outer, holes)) = shape.split_first() else {
                continue;
            };
            if let Some(outer) = contour(outer) {
                let holes = holes.iter().filter_map(contour).collect();
                region.shapes.push(Shape { outer, holes });
            }
        }
        region.sort();
        region
    }
}

fn is_sliver(ring: &[(Vec2, Option<Circle>)]) -> bool {
    let points = || {
        ring.iter()
            .map(|r| r.0)
            .zip(ring.iter().cycle().skip(1).map(|r| r.0))
    };
    let origin = ring.first().map_or(Vec2::ZERO, |r| r.0);
    let area: f64 = points().map(|(a, b)| (a - origin).cross(b - origin)).sum::<f64>() / 2.0;
    let length: f64 = points().map(|(a, b)| a.distance(b)).sum();
    ring.len() < 3 || area.abs() <= SLIVER_WIDTH * length / 2.0
}

/// Puts arcs back where runs of edges stand for one circle, and drops straight vertices that are grid noise.
fn recovered(ring: &[(Vec2, Option<Circle>)]) -> Contour {
    let n = ring.len();
    let same = |l: &Option<Circle>, r: &Option<Circle>| match (l, r) {
        (Some(l), Some(r)) => l.is_same(r),
        (None, None) => true,
        _ => false,
    };
    // Start where a run starts, so that no run wraps.
    let Some(start) = (0..n).find(|&i| !same(&ring[(i + n - 1) % n].1, &ring[i].1)) else {
        return match ring.first().and_then(|r| r.1) {
            Some(circle) => whole_circle(ring, circle),
            None => least_first(Contour::polygon(without_noise(
                ring.iter().map(|r| r.0).collect(),
                true,
            ))),
        };
    };
    let mut vertices: Vec<Vertex> = Vec::new();
    let mut i = 0;
    while i < n {
        let circle = ring[(start + i) % n].1;
        let mut points = vec![ring[(start + i) % n].0];
        while i < n && same(&ring[(start + i) % n].1, &circle) {
            i += 1;
            points.push(ring[(start + i) % n].0);
        }
        match circle {
            None => {
                let points = without_noise(points, false);
                vertices.extend(
                    points[..points.len() - 1]
                        .iter()
                        .map(|&at| Vertex { at, bulge: 0.0 }),
                );
            }
            Some(circle) => push_arc(&mut vertices, &points, circle),
        }
    }
    least_first(Contour { vertices })
}

/// Where edge `a b` touches the circle: at an end that lies on it, or at the foot of the centre.
fn touch(a: Vec2, b: Vec2, circle: Circle) -> Option<Vec2> {
    // The grid moves points by up to a nanometre, crossings by a few.
    const ON: f64 = 5e-8;
    let on = |p: Vec2| (p.distance(circle.centre) - circle.radius).abs() < ON;
    if on(a) {
        return Some(a);
    }
    let d = (b - a).unit();
    let along = (circle.centre - a).dot(d);
    let foot = a + d * along;
    (along > 0.0 && along < a.distance(b) && on(foot))
        .then(|| circle.centre + (foot - circle.centre).unit() * circle.radius)
}

/// Appends a run of edges that stand for one circle (last point excluded): straight up to the first point on the
/// circle, an arc to the last, straight again.
fn push_arc(vertices: &mut Vec<Vertex>, points: &[Vec2], circle: Circle) {
    let straight = |at: Vec2| Vertex { at, bulge: 0.0 };
    let last = points.len() - 1;
    let mut touches: Vec<(usize, Vec2)> = points
        .windows(2)
        .enumerate()
        .filter_map(|(i, pair)| touch(pair[0], pair[1], circle).map(|p| (i, p)))
        .collect();
    if (points[last].distance(circle.centre) - circle.radius).abs() < 5e-8 {
        touches.push((last, points[last]));
    }
    let (Some(&(first_edge, first)), Some(&(last_edge, end))) = (touches.first(), touches.last()) else {
        vertices.extend(points[..last].iter().map(|&p| straight(p)));
        return;
    };
    let sweep: f64 = touches
        .windows(2)
        .map(|t| angle_between(t[0].1, t[1].1, circle))
        .sum();
    // An arc that rises less than the grid's noise stays as it is.
    if touches.len() < 2 || circle.radius * (1.0 - (sweep / 2.0).cos()) < 2e-8 {
        vertices.extend(points[..last].iter().map(|&p| straight(p)));
        return;
    }
    vertices.extend(
        points[..=first_edge]
            .iter()
            .filter(|p| p.distance(first) > 2e-9)
            .map(|&p| straight(p)),
    );
    vertices.extend(arc_vertices(first, sweep, circle));
    if last_edge < last {
        vertices.push(straight(end));
        vertices.extend(points[last_edge + 1..last].iter().map(|&p| straight(p)));
    }
}

fn angle_between(p: Vec2, q: Vec2, circle: Circle) -> f64 {
    let (u, v) = (p - circle.centre, q - circle.centre);
    u.cross(v).atan2(u.dot(v))
}

/// Vertices of an arc without its end, in pieces of at most half a turn.
fn arc_vertices(from: Vec2, sweep: f64, circle: Circle) -> Vec<Vertex> {
    let pieces = (sweep.abs() / (std::f64::consts::PI + 1e-9)).ceil().max(1.0);
    let bulge = (sweep / pieces / 4.0).tan();
    (0..pieces as usize)
        .map(|k| {
            let turned = (from - circle.centre).rotated(sweep / pieces * k as f64);
            Vertex {
                at: if k == 0 { from } else { circle.centre + turned },
                bulge,
            }
        })
        .collect()
}

fn whole_circle(ring: &[(Vec2, Option<Circle>)], circle: Circle) -> Contour {
    let turned: f64 = (0..ring.len())
        .map(|i| angle_between(ring[i].0, ring[(i + 1) % ring.len()].0, circle))
        .sum();
    Contour::circle(circle.centre, circle.radius, turned > 0.0)
}

/// Drops points that stand off the line of their neighbours by less than the grid's noise.
fn without_noise(points: Vec<Vec2>, closed: bool) -> Vec<Vec2> {
    // Few enough in a row that their errors cannot add up to anything.
    const AT_ONCE: usize = 24;
    let n = points.len();
    if n < 4 {
        return points;
    }
    let mut kept = vec![0];
    let mut i = 1;
    while i < n {
        let from = points[kept[kept.len() - 1]];
        // The farthest next vertex that all skipped ones are in line with.
        let mut best = i;
        let mut to = i + 1;
        let limit = if closed { n } else { n - 1 };
        while to <= limit && to - i < AT_ONCE {
            let end = points[to % n];
            let flat = points[i..to]
                .iter()
                .all(|&p| super::edge::segment_distance(from, end, p) < COLLINEAR);
            if !flat {
                break;
            }
            best = to;
            to += 1;
        }
        if best >= n {
            break;
        }
        kept.push(best);
        i = best + 1;
    }
    if closed && kept.len() < 3 {
        return points;
    }
    kept.into_iter().map(|k| points[k]).collect()
}

/// The contour with its least vertex first, so that equal contours have equal bytes.
fn least_first(mut contour: Contour) -> Contour {
    let least = contour
        .vertices
        .iter()
        .enumerate()
        .min_by(|(_, l), (_, r)| l.at.x.total_cmp(&r.at.x).then(l.at.y.total_cmp(&r.at.y)))
        .map_or(0, |(i, _)| i);
    contour.vertices.rotate_left(least);
    contour
}
