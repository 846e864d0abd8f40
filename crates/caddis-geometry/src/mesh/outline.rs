//! One closed outline of a section, and fewer corners for it.

use crate::Vec2;

/// A closed chain of points, material to its left.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outline {
    points: Vec<Vec2>,
}

impl Outline {
    pub(super) fn closed(points: Vec<Vec2>) -> Self {
        Self { points }
    }

    /// Of a chain that a straight line closes.
    pub(super) fn mended(points: Vec<Vec2>) -> Self {
        Self { points }
    }

    /// Fewer corners; `None` for what has no inside.
    pub(super) fn simplified(self, tolerance: f64) -> Option<Vec<Vec2>> {
        match simplified(&self.points, tolerance) {
            Some(fewer) => Some(fewer),
            None if self.points.len() >= 3 => Some(self.points),
            None => None,
        }
    }
}

/// The closed chain with fewer corners: no left-out corner is farther than `tolerance` from the edge that stands for it.
/// `None` where fewer than three corners would be left.
///
/// # Source
/// One pass with a cone of admissible directions from the last corner kept: J. Sklansky and V. Gonzalez, "Fast
/// polygonal approximation of digitized curves", Pattern Recognition 12 (1980) (from memory).
pub(super) fn simplified(points: &[Vec2], tolerance: f64) -> Option<Vec<Vec2>> {
    let n = points.len();
    if n < 4 {
        return (n == 3).then(|| points.to_vec());
    }
    // The leftmost corner stays: it is a corner of the hull.
    let start = (0..n).min_by(|&l, &r| {
        let (p, q) = (points[l], points[r]);
        p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
    })?;
    let at = |k: usize| points[(start + k) % n];
    let mut kept = vec![at(0)];
    let mut cone = Cone::new(at(0), tolerance);
    let mut k = 1;
    while k <= n {
        if cone.takes(at(k)) {
            k += 1;
            continue;
        }
        // The last corner taken ends the edge; the one that was refused is asked again from there.
        kept.push(at(k - 1));
        cone = Cone::new(at(k - 1), tolerance);
    }
    (kept.len() >= 3).then_some(kept)
}

/// Directions from a corner that pass within the tolerance of every corner since.
struct Cone {
    from: Vec2,
    tolerance: f64,
    farthest: f64,
    /// The right and the left limit, unit vectors; none before a corner is far enough to limit anything.
    limits: Option<(Vec2, Vec2)>,
    is_fresh: bool,
}

impl Cone {
    fn new(from: Vec2, tolerance: f64) -> Self {
        Self {
            from,
            tolerance,
            farthest: 0.0,
            limits: None,
            is_fresh: true,
        }
    }

    /// Whether an edge to `p` may stand for all corners up to it; limits the cone if so.
    fn takes(&mut self, p: Vec2) -> bool {
        let ray = p - self.from;
        let distance = ray.length();
        // The first is always taken, so that every pass goes on.
        let is_first = std::mem::replace(&mut self.is_fresh, false);
        if !is_first && distance < self.farthest {
            // Turning back: an edge would end short of a corner it stands for.
            return false;
        }
        if distance <= self.tolerance {
            self.farthest = self.farthest.max(distance);
            return true;
        }
        let u = ray / distance;
        if let Some((right, left)) = self.limits
            && (right.cross(u) < 0.0 || u.cross(left) < 0.0)
        {
            return false;
        }
        self.farthest = distance;
        let sine = self.tolerance / distance;
        let cosine = (1.0 - sine * sine).sqrt();
        let right = Vec2::new(u.x * cosine + u.y * sine, u.y * cosine - u.x * sine);
        let left = Vec2::new(u.x * cosine - u.y * sine, u.y * cosine + u.x * sine);
        self.limits = Some(match self.limits {
            None => (right, left),
            Some((r, l)) => (
                if r.cross(right) > 0.0 { right } else { r },
                if left.cross(l) > 0.0 { left } else { l },
            ),
        });
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Contour, Region};
    use proptest::prelude::*;

    #[test]
    fn a_fine_circle_keeps_few_corners_within_the_tolerance() {
        let points: Vec<Vec2> = (0..4000)
            .map(|i| Vec2::new(0.1, 0.0).rotated(std::f64::consts::TAU * f64::from(i) / 4000.0))
            .collect();
        let fewer = simplified(&points, 1e-5).expect("a circle has an inside");
        assert!((100..500).contains(&fewer.len()), "{}", fewer.len());
        let region = Region::from_contours(&[Contour::polygon(fewer)]);
        for p in points {
            assert!(region.signed_distance(p).abs() <= 1e-5 + 2e-9);
        }
    }

    #[test]
    fn a_line_has_no_inside() {
        let line: Vec<Vec2> = [0.0, 1.0, 2.0, 1.0].map(|x| Vec2::new(x, 0.0)).to_vec();
        assert!(simplified(&line, 1e-3).is_none());
    }

    proptest! {
        #[test]
        fn no_corner_is_left_behind(steps in proptest::collection::vec((0.2_f64..1.0, -0.3_f64..0.3), 5..80)) {
            // A star about the origin.
            let n = steps.len() as f64;
            let points: Vec<Vec2> = steps
                .iter()
                .enumerate()
                .map(|(i, (r, noise))| Vec2::new(*r, 0.0).rotated(std::f64::consts::TAU * (i as f64 + noise) / n))
                .collect();
            if let Some(fewer) = simplified(&points, 0.05) {
                prop_assert!(fewer.len() <= points.len());
                for p in points {
                    let near = (0..fewer.len())
                        .map(|i| crate::plane::segment_distance(fewer[i], fewer[(i + 1) % fewer.len()], p))
                        .fold(f64::INFINITY, f64::min);
                    prop_assert!(near <= 0.05 + 1e-9, "{near}");
                }
            }
        }
    }
}
