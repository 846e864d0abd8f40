//! Arcs as polygons, on a named side.

use super::contour::Contour;
use super::edge::{Arc, Edge};
use crate::{Side, Vec2};
use std::f64::consts::{FRAC_PI_4, TAU};

/// The chord error of flattened arcs, metres.
pub(crate) fn default_chord() -> f64 {
    caddis_basis::Tolerance::DEFAULT.chord().si()
}

/// The circle that an edge of a flattened contour stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circle {
    pub(crate) centre: Vec2,
    pub(crate) radius: f64,
}

impl Circle {
    /// One circle within rounding.
    pub(crate) fn is_same(&self, other: &Self) -> bool {
        const NEAR: f64 = 1e-7;
        self.centre.distance(other.centre) < NEAR && (self.radius - other.radius).abs() < NEAR
    }
}

/// Angles that cut an arc of a circle into pieces: the ends, and between them multiples of a fixed fraction of the
/// turn, so that arcs of one circle are cut at the same points whoever they belong to.
pub(crate) fn cut_angles(start: f64, sweep: f64, radius: f64, chord: f64) -> Vec<f64> {
    let chord = chord.max(1e-9);
    // Half the angle of a tangent piece that stands off by `chord`: r (1/cos h - 1) = chord; the sagitta is less.
    let half = (radius / (radius + chord)).acos().clamp(1e-5, FRAC_PI_4);
    // Pieces at the ends may be up to a fifth longer.
    let count = 4.0 * (TAU / (2.0 * half / 1.2) / 4.0).ceil().max(2.0);
    let step = TAU / count;
    let (low, high) = (start.min(start + sweep), start.max(start + sweep));
    let margin = 0.1 * step;
    let first = ((low + margin) / step).ceil() as i64;
    let last = ((high - margin) / step).floor() as i64;
    let mut angles = vec![low];
    angles.extend((first..=last).map(|k| k as f64 * step));
    angles.push(high);
    if sweep < 0.0 {
        angles.reverse();
    }
    angles
}

/// The polyline that stands for an arc, both ends included; ends are given exactly. `tangent` puts the polyline
/// outside the circle, touching it at the ends and at every cut; otherwise its vertices lie on the circle.
pub(crate) fn arc_points(
    ends: (Vec2, Vec2),
    circle: Circle,
    start: f64,
    sweep: f64,
    chord: f64,
    tangent: bool,
) -> Vec<Vec2> {
    let angles = cut_angles(start, sweep, circle.radius, chord);
    let on = |angle: f64, radius: f64| {
        let (sin, cos) = sin_cos(angle);
        circle.centre + Vec2::new(cos, sin) * radius
    };
    let mut points = vec![ends.0];
    if tangent {
        for pair in angles.windows(2) {
            let half = (pair[1] - pair[0]) / 2.0;
            points.push(on(pair[0] + half, circle.radius / half.cos()));
        }
    } else {
        points.extend(angles[1..angles.len() - 1].iter().map(|&a| on(a, circle.radius)));
    }
    points.push(ends.1);
    points
}

/// Sine and cosine, exact at quarter turns.
fn sin_cos(angle: f64) -> (f64, f64) {
    let quarter = angle / std::f64::consts::FRAC_PI_2;
    if (quarter - quarter.round()).abs() < 1e-12 {
        [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][quarter.round().rem_euclid(4.0) as usize]
    } else {
        angle.sin_cos()
    }
}

impl Arc {
    pub(crate) fn circle(&self) -> Circle {
        Circle {
            centre: self.centre,
            radius: self.radius,
        }
    }

    /// The arc as a polyline for a region that lies to its left.
    pub(crate) fn points(&self, chord: f64, side: Side) -> Vec<Vec2> {
        let from = self.a - self.centre;
        let tangent = (side == Side::Outer) == (self.bulge > 0.0);
        let start = from.y.atan2(from.x);
        arc_points(
            (self.a, self.b),
            self.circle(),
            start,
            self.sweep(),
            chord,
            tangent,
        )
    }
}

impl Contour {
    /// The flattened contour, each point with the circle that the edge leaving it stands for.
    pub(crate) fn flattened_marked(&self, chord: f64, side: Side) -> Vec<(Vec2, Option<Circle>)> {
        let mut points = Vec::with_capacity(self.vertices.len());
        for edge in self.edges() {
            match edge {
                Edge::Line(a, _) => points.push((a, None)),
                Edge::Arc(arc) => {
                    let mut line = arc.points(chord, side);
                    line.pop();
                    points.extend(line.into_iter().map(|p| (p, Some(arc.circle()))));
                }
            }
        }
        points
    }
}
