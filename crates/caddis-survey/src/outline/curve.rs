//! Curves as polylines on them: halved until the chord lies near enough.

use caddis_geometry::Vec2;

/// Halvings at most: 4096 chords a piece.
const DEEPEST: u32 = 12;
/// Halvings at least, so that an S whose middle lies on its chord is seen.
const SHALLOWEST: u32 = 2;

/// Points of a curve from `start` to `end` of its parameter, without the first, within `chord` of it.
pub(super) fn sampled(curve: &impl Fn(f64) -> Vec2, start: f64, end: f64, chord: f64, out: &mut Vec<Vec2>) {
    halve(curve, (start, curve(start)), (end, curve(end)), chord, 0, out);
}

fn halve(
    curve: &impl Fn(f64) -> Vec2,
    (t0, p0): (f64, Vec2),
    (t1, p1): (f64, Vec2),
    chord: f64,
    depth: u32,
    out: &mut Vec<Vec2>,
) {
    let middle = f64::midpoint(t0, t1);
    let p = curve(middle);
    let off = |q: Vec2| {
        let along = p1 - p0;
        let length = along.length();
        if length > 0.0 {
            (q - p0).cross(along).abs() / length
        } else {
            q.distance(p0)
        }
    };
    let is_near = depth >= SHALLOWEST
        && off(p) <= chord
        && off(curve(f64::midpoint(t0, middle))) <= chord
        && off(curve(f64::midpoint(middle, t1))) <= chord;
    if is_near || depth >= DEEPEST || !p.is_finite() {
        out.push(p1);
    } else {
        halve(curve, (t0, p0), (middle, p), chord, depth + 1, out);
        halve(curve, (middle, p), (t1, p1), chord, depth + 1, out);
    }
}

/// A non-uniform rational B-spline.
#[derive(Debug, Default)]
pub(super) struct Spline {
    pub(super) degree: usize,
    pub(super) knots: Vec<f64>,
    /// With weight.
    pub(super) points: Vec<(Vec2, f64)>,
}

impl Spline {
    /// Whether its counts fit: knots = points + degree + 1, knots ascending, degree 1 to 12.
    pub(super) fn is_sound(&self) -> bool {
        (1..=12).contains(&self.degree)
            && self.points.len() > self.degree
            && self.knots.len() == self.points.len() + self.degree + 1
            && self.knots.windows(2).all(|pair| pair[0] <= pair[1])
            && self
                .points
                .iter()
                .all(|(p, w)| p.is_finite() && w.is_finite() && *w > 0.0)
    }

    /// The curve as a polyline within `chord` of it.
    pub(super) fn polyline(&self, chord: f64) -> Vec<Vec2> {
        let spans = &self.knots[self.degree..=self.points.len()];
        let mut out = vec![self.at(spans[0])];
        for pair in spans.windows(2) {
            if pair[1] > pair[0] {
                // The end of a span belongs to the next one: stay a hair inside.
                let end = pair[1] - (pair[1] - pair[0]) * 1e-12;
                sampled(&|t| self.at(t), pair[0], end, chord, &mut out);
            }
        }
        out
    }

    /// # Source
    /// De Boor's algorithm in homogeneous coordinates (de Boor 1972, "On calculating with B-splines"; from memory, checked
    /// against a circle).
    fn at(&self, t: f64) -> Vec2 {
        let p = self.degree;
        let last = self.points.len() - 1;
        let span = self.knots[p..=last + 1]
            .partition_point(|&knot| knot <= t)
            .saturating_sub(1)
            + p;
        let span = span.min(last);
        let mut d: Vec<[f64; 3]> = (0..=p)
            .map(|j| {
                let (point, w) = self.points[j + span - p];
                [point.x * w, point.y * w, w]
            })
            .collect();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let i = j + span - p;
                let (low, high) = (self.knots[i], self.knots[i + 1 + p - r]);
                let share = if high > low { (t - low) / (high - low) } else { 0.0 };
                let before = d[j - 1];
                for (value, before) in d[j].iter_mut().zip(before) {
                    *value = (1.0 - share) * before + share * *value;
                }
            }
        }
        Vec2::new(d[p][0] / d[p][2], d[p][1] / d[p][2])
    }
}
