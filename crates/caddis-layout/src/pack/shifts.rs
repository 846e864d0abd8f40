//! The shifts at which two convex parts meet: again a convex set.

use crate::engine::Convex;
use caddis_geometry::Vec2;

/// Neighbouring normals farther apart than this get one more between them where there is a gap, radians.
const WIDEST: f64 = std::f64::consts::FRAC_PI_8;

/// A convex part with its edge normals and box.
pub(super) struct Side<'a> {
    points: &'a [Vec2],
    normals: Vec<Vec2>,
    low: Vec2,
    high: Vec2,
}

impl<'a> Side<'a> {
    pub(super) fn new(part: &'a Convex) -> Self {
        let points = &part.points;
        let count = points.len();
        let normals = (0..count)
            .map(|i| -(points[(i + 1) % count] - points[i]).unit().perpendicular())
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

/// A convex set of shifts: `normal . d < reach` for all of them.
#[derive(Default)]
pub(super) struct Set {
    pub(super) planes: Vec<(Vec2, f64)>,
    pub(super) low: Vec2,
    pub(super) high: Vec2,
}

impl Set {
    /// Shifts at which `second` meets `first` or comes nearer than `gap`.
    pub(super) fn fill(&mut self, first: &Side, second: &Side, gap: f64) {
        self.planes.clear();
        for n in first
            .normals
            .iter()
            .copied()
            .chain(second.normals.iter().map(|n| -*n))
        {
            if self.planes.iter().all(|plane| plane.0.dot(n) < 1.0 - 1e-14) && n.dot(n) > 0.5 {
                self.planes.push((n, 0.0));
            }
        }
        if gap > 0.0 {
            self.round_off();
        }
        for plane in &mut self.planes {
            plane.1 = first.support(plane.0) + second.support(-plane.0) + gap;
        }
        (self.low, self.high) = reach_of(first, second, gap);
    }

    /// More planes between those that make a sharp corner, so that a gap is not much wider there.
    fn round_off(&mut self) {
        let mut angles: Vec<f64> = self
            .planes
            .iter()
            .map(|plane| plane.0.y.atan2(plane.0.x))
            .collect();
        angles.sort_by(f64::total_cmp);
        for (k, angle) in angles.iter().enumerate() {
            let next = angles
                .get(k + 1)
                .map_or(angles[0] + 2.0 * std::f64::consts::PI, |next| *next);
            let more = ((next - angle) / WIDEST).ceil() as usize;
            for j in 1..more {
                let between = angle + (next - angle) * j as f64 / more as f64;
                self.planes.push((Vec2::new(between.cos(), between.sin()), 0.0));
            }
        }
    }
}

/// The box of forbidden shifts of two parts.
pub(super) fn reach_of(first: &Side, second: &Side, gap: f64) -> (Vec2, Vec2) {
    let gap = Vec2::new(gap, gap);
    (first.low - second.high - gap, first.high - second.low + gap)
}
