//! One edge of a contour: a straight line or a circular arc.

use super::Bounds2;
use crate::Vec2;

/// Bulges below this are straight: the arc rises less than 1 nm over a metre.
const STRAIGHT_BULGE: f64 = 1e-9;

/// Arcs of a greater radius, metres, are straight: a chord of a metre stands off by a tenth of a micrometre.
const MOST_RADIUS: f64 = 1e6;

/// A circular arc.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Arc {
    pub(crate) a: Vec2,
    pub(crate) b: Vec2,
    pub(crate) centre: Vec2,
    pub(crate) radius: f64,
    pub(crate) bulge: f64,
    /// Unit vector from the centre to the middle of the arc.
    middle: Vec2,
    /// Cosine of half the included angle.
    cos_half: f64,
}

/// A line or an arc.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Edge {
    Line(Vec2, Vec2),
    Arc(Arc),
}

impl Arc {
    /// # Source
    /// DXF bulge: b = tan(included angle / 4); r = c (1 + b²) / (4 |b|), centre on the chord's bisector at
    /// c (1 - b²) / (4 b) to its left. Elementary, derived from sagitta = b c / 2.
    fn new(a: Vec2, b: Vec2, bulge: f64) -> Self {
        let chord = b - a;
        let length = chord.length();
        let radius = length * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        let centre = (a + b) / 2.0 + chord.perpendicular() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        Self {
            a,
            b,
            centre,
            radius,
            bulge,
            middle: chord.perpendicular().unit() * -bulge.signum(),
            cos_half: (1.0 - bulge * bulge) / (1.0 + bulge * bulge),
        }
    }

    /// Signed included angle, radians.
    pub(crate) fn sweep(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    /// Whether the ray from the centre towards `p` meets the arc.
    pub(crate) fn spans(&self, p: Vec2) -> bool {
        let ray = p - self.centre;
        ray.dot(self.middle) >= self.cos_half * ray.length()
    }

    /// Lowest/highest/left/right points that lie on the arc, with the direction index 0..4 from +x.
    fn extremes(&self) -> impl Iterator<Item = (usize, Vec2)> + '_ {
        const AXES: [Vec2; 4] = [
            Vec2::new(1.0, 0.0),
            Vec2::new(0.0, 1.0),
            Vec2::new(-1.0, 0.0),
            Vec2::new(0.0, -1.0),
        ];
        AXES.into_iter()
            .map(|axis| self.centre + axis * self.radius)
            .enumerate()
            .filter(|(_, p)| self.spans(*p))
    }
}

impl Edge {
    pub(crate) fn new(a: Vec2, b: Vec2, bulge: f64) -> Self {
        let chord = a.distance(b);
        if !bulge.is_finite() || bulge.abs() < STRAIGHT_BULGE || chord.is_nan() || chord < 1e-12 {
            return Self::Line(a, b);
        }
        let arc = Arc::new(a, b, bulge);
        if arc.centre.is_finite() && arc.radius < MOST_RADIUS {
            Self::Arc(arc)
        } else {
            Self::Line(a, b)
        }
    }

    pub(crate) fn start(&self) -> Vec2 {
        match self {
            Self::Line(a, _) => *a,
            Self::Arc(arc) => arc.a,
        }
    }

    pub(crate) fn end(&self) -> Vec2 {
        match self {
            Self::Line(_, b) => *b,
            Self::Arc(arc) => arc.b,
        }
    }

    /// The point at parameter `t` in 0..=1 along the edge.
    pub(crate) fn at(&self, t: f64) -> Vec2 {
        match self {
            Self::Line(a, b) => a.lerp(*b, t),
            Self::Arc(arc) => arc.centre + (arc.a - arc.centre).rotated(arc.sweep() * t),
        }
    }

    /// Parameter of a point that lies on the edge.
    pub(crate) fn parameter(&self, p: Vec2) -> f64 {
        match self {
            Self::Line(a, b) => {
                let d = *b - *a;
                let n = d.dot(d);
                if n > 0.0 { (p - *a).dot(d) / n } else { 0.0 }
            }
            Self::Arc(arc) => {
                let (u, v) = (arc.a - arc.centre, p - arc.centre);
                let turn = arc.bulge.signum();
                let mut angle = (turn * u.cross(v)).atan2(u.dot(v));
                if angle < -1e-9 {
                    angle += std::f64::consts::TAU;
                }
                angle / arc.sweep().abs()
            }
        }
    }

    /// The edge the other way round.
    pub(crate) fn reversed(&self) -> Self {
        match self {
            Self::Line(a, b) => Self::Line(*b, *a),
            Self::Arc(arc) => Self::Arc(Arc {
                a: arc.b,
                b: arc.a,
                bulge: -arc.bulge,
                ..*arc
            }),
        }
    }

    /// The direction it leaves in, and how it bends there (1 over the radius, positive to the left).
    pub(crate) fn departure(&self) -> (Vec2, f64) {
        match self {
            Self::Line(a, b) => ((*b - *a).unit(), 0.0),
            Self::Arc(arc) => {
                let turn = arc.bulge.signum();
                let out = (arc.a - arc.centre).unit();
                (out.perpendicular() * turn, turn / arc.radius)
            }
        }
    }

    /// Signed area between chord and arc, 0 for a line.
    ///
    /// # Source
    /// Circular segment r² (θ - sin θ) / 2. Elementary.
    pub(crate) fn segment_area(&self) -> f64 {
        match self {
            Self::Line(..) => 0.0,
            Self::Arc(arc) => {
                let sweep = arc.sweep();
                arc.radius * arc.radius * (sweep - sweep.sin()) / 2.0
            }
        }
    }

    pub(crate) fn length(&self) -> f64 {
        match self {
            Self::Line(a, b) => a.distance(*b),
            Self::Arc(arc) => arc.radius * arc.sweep().abs(),
        }
    }

    pub(crate) fn bounds(&self) -> Bounds2 {
        let (a, b) = (self.start(), self.end());
        let mut bounds = Bounds2 {
            min: a.min(b),
            max: a.max(b),
        };
        if let Self::Arc(arc) = self {
            for (_, p) in arc.extremes() {
                bounds.min = bounds.min.min(p);
                bounds.max = bounds.max.max(p);
            }
        }
        bounds
    }

    /// Distance from a point to the edge.
    pub(crate) fn distance_to(&self, p: Vec2) -> f64 {
        match self {
            Self::Line(a, b) => segment_distance(*a, *b, p),
            Self::Arc(arc) => {
                let from_centre = p.distance(arc.centre);
                if from_centre == 0.0 || arc.spans(p) {
                    (from_centre - arc.radius).abs()
                } else {
                    p.distance(arc.a).min(p.distance(arc.b))
                }
            }
        }
    }

    /// How often the ray from `p` towards +x crosses the edge (ends half-open, so contours count right).
    pub(crate) fn crossings(&self, p: Vec2) -> u32 {
        match self {
            Self::Line(a, b) => {
                if (a.y > p.y) == (b.y > p.y) {
                    return 0;
                }
                let x = a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
                u32::from(x > p.x)
            }
            Self::Arc(arc) => {
                let reach = arc.radius;
                if (p.y - arc.centre.y).abs() > reach && (arc.a.y > p.y) == (arc.b.y > p.y) {
                    return 0;
                }
                // Cut at the highest and lowest point into pieces that rise or fall throughout.
                let mut cuts: Vec<(f64, Vec2)> = arc
                    .extremes()
                    .filter(|(axis, _)| axis % 2 == 1)
                    .map(|(_, q)| (self.parameter(q), q))
                    .filter(|(t, _)| *t > 0.0 && *t < 1.0)
                    .collect();
                cuts.sort_by(|l, r| l.0.total_cmp(&r.0));
                let mut count = 0;
                let mut from = (0.0, arc.a);
                for to in cuts.into_iter().chain([(1.0, arc.b)]) {
                    if (from.1.y > p.y) != (to.1.y > p.y) {
                        let mid = self.at(f64::midpoint(from.0, to.0));
                        let half = (reach * reach - (p.y - arc.centre.y).powi(2)).max(0.0).sqrt();
                        let x = arc.centre.x + half * (mid.x - arc.centre.x).signum();
                        count += u32::from(x > p.x);
                    }
                    from = to;
                }
                count
            }
        }
    }

    /// Points where two edges meet (isolated ones; overlapping stretches give none of their own).
    pub(crate) fn meetings(&self, other: &Self) -> Vec<Vec2> {
        let mut found = Vec::new();
        match (self, other) {
            (Self::Line(a, b), Self::Line(c, d)) => {
                let (r, s) = (*b - *a, *d - *c);
                let cross = r.cross(s);
                if cross != 0.0 {
                    let t = (*c - *a).cross(s) / cross;
                    let u = (*c - *a).cross(r) / cross;
                    if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
                        found.push(a.lerp(*b, t));
                    }
                }
            }
            (Self::Line(a, b), Self::Arc(arc)) | (Self::Arc(arc), Self::Line(a, b)) => {
                let d = *b - *a;
                let f = *a - arc.centre;
                let (qa, qb) = (d.dot(d), f.dot(d));
                let disc = qb * qb - qa * (f.dot(f) - arc.radius * arc.radius);
                if qa > 0.0 && disc >= 0.0 {
                    for t in [(-qb - disc.sqrt()) / qa, (-qb + disc.sqrt()) / qa] {
                        let p = a.lerp(*b, t);
                        if (0.0..=1.0).contains(&t) && arc.spans(p) {
                            found.push(p);
                        }
                    }
                }
            }
            (Self::Arc(one), Self::Arc(two)) => {
                let d = two.centre - one.centre;
                let n = d.length();
                if n > 0.0 {
                    let along = (n * n + one.radius * one.radius - two.radius * two.radius) / (2.0 * n);
                    let high = one.radius * one.radius - along * along;
                    if high >= 0.0 {
                        let foot = one.centre + d * (along / n);
                        let up = d.perpendicular() * (high.sqrt() / n);
                        for p in [foot + up, foot - up] {
                            if one.spans(p) && two.spans(p) {
                                found.push(p);
                            }
                        }
                    }
                }
            }
        }
        found
    }

    /// Least distance between two edges, 0 when they meet.
    pub(crate) fn distance(&self, other: &Self) -> f64 {
        if !self.meetings(other).is_empty() {
            return 0.0;
        }
        let mut least = self
            .distance_to(other.start())
            .min(self.distance_to(other.end()))
            .min(other.distance_to(self.start()))
            .min(other.distance_to(self.end()));
        // Between smooth interiors the shortest link runs through the centres.
        match (self, other) {
            (Self::Line(..), Self::Line(..)) => {}
            (Self::Line(a, b), Self::Arc(arc)) | (Self::Arc(arc), Self::Line(a, b)) => {
                let foot = nearest_on_segment(*a, *b, arc.centre);
                if arc.spans(foot) {
                    least = least.min((foot.distance(arc.centre) - arc.radius).abs());
                }
            }
            (Self::Arc(one), Self::Arc(two)) => {
                let u = (two.centre - one.centre).unit();
                for p in [one.centre + u * one.radius, one.centre - u * one.radius] {
                    if one.spans(p) {
                        least = least.min(other.distance_to(p));
                    }
                }
                for p in [two.centre + u * two.radius, two.centre - u * two.radius] {
                    if two.spans(p) {
                        least = least.min(self.distance_to(p));
                    }
                }
            }
        }
        least
    }
}

pub(crate) fn nearest_on_segment(a: Vec2, b: Vec2, p: Vec2) -> Vec2 {
    let d = b - a;
    let n = d.dot(d);
    if n > 0.0 {
        a.lerp(b, ((p - a).dot(d) / n).clamp(0.0, 1.0))
    } else {
        a
    }
}

pub(crate) fn segment_distance(a: Vec2, b: Vec2, p: Vec2) -> f64 {
    nearest_on_segment(a, b, p).distance(p)
}
