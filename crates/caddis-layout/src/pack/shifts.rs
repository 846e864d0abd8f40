//! The shifts at which two convex parts meet: again a convex set.

use crate::engine::Convex;
use caddis_geometry::Vec2;

/// Neighbouring normals farther apart than this get one more between them where there is a gap, radians.
const WIDEST: f64 = std::f64::consts::FRAC_PI_8;

/// A convex part with its edge normals and box.
pub(super) struct Side<'a> {
    points: &'a [Vec2],
    /// Of the edges, with how far the part reaches along them.
    normals: Vec<(Vec2, f64)>,
    low: Vec2,
    high: Vec2,
}

impl<'a> Side<'a> {
    pub(super) fn new(part: &'a Convex) -> Self {
        let points = &part.points;
        let count = points.len();
        let normals = (0..count)
            .map(|i| {
                let n = -(points[(i + 1) % count] - points[i]).unit().perpendicular();
                (n, n.dot(points[i]))
            })
            .collect();
        let far = Vec2::new(f64::INFINITY, f64::INFINITY);
        Self {
            points,
            normals,
            low: points.iter().fold(far, |low, p| low.min(*p)),
            high: points.iter().fold(-far, |high, p| high.max(*p)),
        }
    }

    fn support(&self, n: Vec2) -> f64 {
        let reach = self.points.iter().map(|p| n.dot(*p));
        reach.fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Inside is `n . d < reach`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    pub(super) n: Vec2,
    pub(super) reach: f64,
    /// One over `n.x`; nought where the plane lies along x.
    pub(super) along: f64,
}

impl Plane {
    fn new(n: Vec2, reach: f64) -> Self {
        let along = if n.x.abs() > 1e-12 { 1.0 / n.x } else { 0.0 };
        Self { n, reach, along }
    }
}

/// A convex set of shifts: `normal . d < reach` for all of them.
pub(super) struct Set {
    pub(super) planes: Vec<Plane>,
    pub(super) low: Vec2,
    pub(super) high: Vec2,
}

impl Set {
    /// Shifts at which `second` meets `first` or comes nearer than `gap`.
    pub(super) fn new(first: &Side, second: &Side, gap: f64) -> Self {
        let (low, high) = reach_of(first, second, gap);
        let mut set = Self {
            planes: Vec::with_capacity(first.normals.len() + second.normals.len()),
            low,
            high,
        };
        let own = first
            .normals
            .iter()
            .map(|&(n, reach)| (n, reach + second.support(-n)));
        let theirs = second
            .normals
            .iter()
            .map(|&(n, reach)| (-n, reach + first.support(-n)));
        for (n, reach) in own.chain(theirs) {
            if set.planes.iter().all(|plane| plane.n.dot(n) < 1.0 - 1e-14) && n.dot(n) > 0.5 {
                set.planes.push(Plane::new(n, reach + gap));
            }
        }
        if gap > 0.0 {
            set.round_off(first, second, gap);
        }
        set
    }

    /// More planes between those that make a sharp corner, so that a gap is not much wider there.
    fn round_off(&mut self, first: &Side, second: &Side, gap: f64) {
        let mut angles: Vec<f64> = self
            .planes
            .iter()
            .map(|plane| plane.n.y.atan2(plane.n.x))
            .collect();
        angles.sort_by(f64::total_cmp);
        for (k, angle) in angles.iter().enumerate() {
            let next = angles
                .get(k + 1)
                .map_or(angles[0] + 2.0 * std::f64::consts::PI, |next| *next);
            let more = ((next - angle) / WIDEST).ceil() as usize;
            for j in 1..more {
                let between = angle + (next - angle) * j as f64 / more as f64;
                let n = Vec2::new(between.cos(), between.sin());
                let reach = first.support(n) + second.support(-n) + gap;
                self.planes.push(Plane::new(n, reach));
            }
        }
    }
}

/// The box of forbidden shifts of two parts.
pub(super) fn reach_of(first: &Side, second: &Side, gap: f64) -> (Vec2, Vec2) {
    let gap = Vec2::new(gap, gap);
    (first.low - second.high - gap, first.high - second.low + gap)
}
