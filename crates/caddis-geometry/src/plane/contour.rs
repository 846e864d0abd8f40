//! One closed boundary of straight edges and arcs.

use super::edge::Edge;
use super::{Bounds2, Placement2};
use crate::{Side, Vec2};

/// A corner, and the bulge of the edge that leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Where.
    pub at: Vec2,
    /// tan(a quarter of the arc's included angle), positive when the arc turns left; 0 for a straight edge. As in DXF.
    pub bulge: f64,
}

/// A closed boundary; the last vertex's edge returns to the first. Counter-clockwise encloses, clockwise is a hole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    /// Vertices in order.
    pub vertices: Vec<Vertex>,
}

impl Contour {
    /// A contour of straight edges.
    pub fn polygon(points: impl IntoIterator<Item = Vec2>) -> Self {
        Self {
            vertices: points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect(),
        }
    }

    /// A circle as two half circles from its leftmost point.
    pub fn circle(centre: Vec2, radius: f64, counter_clockwise: bool) -> Self {
        let bulge = if counter_clockwise { 1.0 } else { -1.0 };
        let reach = Vec2::new(radius, 0.0);
        Self {
            vertices: vec![
                Vertex {
                    at: centre - reach,
                    bulge,
                },
                Vertex {
                    at: centre + reach,
                    bulge,
                },
            ],
        }
    }

    pub(crate) fn edges(&self) -> impl Iterator<Item = Edge> + '_ {
        let n = self.vertices.len();
        self.vertices
            .iter()
            .enumerate()
            .map(move |(i, v)| Edge::new(v.at, self.vertices[(i + 1) % n].at, v.bulge))
    }

    /// Signed area: positive when counter-clockwise. Arcs count exactly.
    ///
    /// # Source
    /// Shoelace formula (Green's theorem) plus circular segments r² (θ - sin θ) / 2.
    pub fn signed_area(&self) -> f64 {
        self.moments().0
    }

    /// Area and first moments (integral of x and y) about the origin.
    pub(crate) fn moments(&self) -> (f64, Vec2) {
        let origin = self.vertices.first().map_or(Vec2::ZERO, |v| v.at);
        let mut area = 0.0;
        let mut first = Vec2::ZERO;
        for edge in self.edges() {
            let (a, b) = (edge.start() - origin, edge.end() - origin);
            let triangle = a.cross(b) / 2.0;
            area += triangle;
            first += (a + b) * (triangle / 3.0);
            if let Edge::Arc(arc) = edge {
                // The segment between chord and arc; its moment about the circle's centre is (2/3) r³ sin³(θ/2).
                let sweep = arc.sweep();
                let segment = arc.radius * arc.radius * (sweep - sweep.sin()) / 2.0;
                let outward = (b - a).perpendicular().unit() * -arc.bulge.signum();
                let half_sine = (sweep.abs() / 2.0).sin();
                let moment = 2.0 / 3.0 * (arc.radius * half_sine).powi(3) * arc.bulge.signum();
                area += segment;
                first += (arc.centre - origin) * segment + outward * moment;
            }
        }
        (area, first + origin * area)
    }

    /// Length of the boundary, arcs exactly.
    pub fn length(&self) -> f64 {
        self.edges().map(|e| e.length()).sum()
    }

    /// The tight box, arcs included; `None` when empty.
    pub fn bounds(&self) -> Option<Bounds2> {
        self.edges().map(|e| e.bounds()).reduce(|l, r| l.joined(&r))
    }

    /// Points of a polygon that stands for the contour: chords within `chord` metres of the arcs. `Inner` never
    /// leaves a counter-clockwise contour's inside, `Outer` never cuts into it (tangent polygon); for clockwise
    /// contours (holes) the sides swap so that the region as a whole keeps its side.
    pub fn flattened(&self, chord: f64, side: Side) -> Vec<Vec2> {
        self.flattened_marked(chord, side)
            .into_iter()
            .map(|(p, _)| p)
            .collect()
    }

    /// The contour the other way round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let n = self.vertices.len();
        let vertices = (0..n)
            .rev()
            .map(|i| Vertex {
                at: self.vertices[(i + 1) % n].at,
                bulge: -self.vertices[i].bulge,
            })
            .collect();
        Self { vertices }
    }

    /// The contour moved.
    #[must_use]
    pub fn placed(&self, placement: &Placement2) -> Self {
        let vertices = self
            .vertices
            .iter()
            .map(|v| Vertex {
                at: placement.apply(v.at),
                bulge: v.bulge,
            })
            .collect();
        Self { vertices }
    }

    /// The mirror image in the y axis (x -> -x), same orientation sense kept.
    #[must_use]
    pub fn mirrored_x(&self) -> Self {
        let flip = |v: &Vertex| Vertex {
            at: Vec2::new(-v.at.x, v.at.y),
            bulge: -v.bulge,
        };
        Self {
            vertices: self.vertices.iter().map(flip).collect(),
        }
        .reversed()
    }
}
