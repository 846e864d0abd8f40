//! A rectangle with rounded corners, by numbers.

use caddis_geometry::{Region, Vec2};
use std::f64::consts::PI;

/// A rectangle with quarter-circle corners. A circle is one whose half-sides equal its radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rounded {
    pub(super) centre: Vec2,
    /// Half of each side.
    pub(super) half: Vec2,
    pub(super) radius: f64,
}

impl Rounded {
    /// Holds the radius to half the shorter side.
    pub(super) fn new(centre: Vec2, half: Vec2, radius: f64) -> Self {
        let half = Vec2::new(half.x.max(0.0), half.y.max(0.0));
        Self {
            centre,
            half,
            radius: radius.clamp(0.0, half.x.min(half.y)),
        }
    }

    /// Distance to the boundary, negative inside.
    ///
    /// # Source
    /// The exact distance to a rectangle with offset corners; derived.
    pub(super) fn signed_distance(&self, p: Vec2) -> f64 {
        let q = Vec2::new(
            (p.x - self.centre.x).abs() - self.half.x + self.radius,
            (p.y - self.centre.y).abs() - self.half.y + self.radius,
        );
        q.max(Vec2::ZERO).length() + q.x.max(q.y).min(0.0) - self.radius
    }

    /// Every point deeper than `by` inside (within `-by` of it where `by` is negative); `None` when nothing of area is
    /// left.
    pub(super) fn inset(&self, by: f64) -> Option<Self> {
        let half = self.half - Vec2::new(by, by);
        (half.x > 0.0 && half.y > 0.0).then(|| Self::new(self.centre, half, (self.radius - by).max(0.0)))
    }

    /// All sizes on the straight line between two, the radius too.
    pub(super) fn lerp(&self, other: &Self, t: f64) -> Self {
        Self::new(
            self.centre.lerp(other.centre, t),
            self.half.lerp(other.half, t),
            self.radius + (other.radius - self.radius) * t,
        )
    }

    /// How far it reaches in a direction.
    pub(super) fn support(&self, normal: Vec2) -> f64 {
        let arm = self.half - Vec2::new(self.radius, self.radius);
        normal.dot(self.centre)
            + normal.x.abs() * arm.x
            + normal.y.abs() * arm.y
            + self.radius * normal.length()
    }

    /// The region, arcs kept.
    pub(super) fn region(&self) -> Region {
        if self.half.x <= 0.0 || self.half.y <= 0.0 {
            Region::empty()
        } else if self.half.x == self.radius && self.half.y == self.radius {
            Region::circle(self.centre, self.radius)
        } else {
            Region::rounded_rectangle(self.centre - self.half, self.centre + self.half, self.radius)
        }
    }

    /// Area.
    pub(super) fn area(&self) -> f64 {
        4.0 * self.half.x * self.half.y - (4.0 - PI) * self.radius * self.radius
    }

    /// A convex polygon, counter-clockwise, of exactly the same area: corner arcs become `steps` chords each (at least
    /// three), whose inner corners are moved out so far that each quarter disc keeps its area.
    ///
    /// # Source
    /// With n chords of angle d: (n - 2) / 2 q² sin d + r q sin d = pi r² / 4 for the inner corners' radius q; derived.
    pub(super) fn polygon(&self, steps: u32) -> Vec<Vec2> {
        if self.half.x <= 0.0 || self.half.y <= 0.0 {
            return Vec::new();
        }
        let (r, steps) = (self.radius, steps.max(3));
        let corner = self.half - Vec2::new(r, r);
        let step = PI / 2.0 / f64::from(steps);
        let square = f64::from(steps - 2) / 2.0 * step.sin();
        let linear = r * step.sin();
        let moved = ((linear * linear + square * PI * r * r).sqrt() - linear) / (2.0 * square);
        let mut points = Vec::with_capacity(4 * steps as usize + 4);
        for (quadrant, (sx, sy)) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .into_iter()
            .enumerate()
        {
            let centre = self.centre + Vec2::new(sx * corner.x, sy * corner.y);
            if r <= 0.0 {
                points.push(centre);
                continue;
            }
            for k in 0..=steps {
                let angle = PI / 2.0 * quadrant as f64 + step * f64::from(k);
                let reach = if k == 0 || k == steps { r } else { moved };
                points.push(centre + Vec2::new(reach * angle.cos(), reach * angle.sin()));
            }
        }
        points
    }

    /// Whether the bounding rectangles overlap by more than a touch.
    pub(super) fn overlaps_box_of(&self, other: &Self) -> bool {
        let gap = self.centre - other.centre;
        let reach = self.half + other.half;
        gap.x.abs() < reach.x && gap.y.abs() < reach.y
    }

    /// Whether two outlines have room in common.
    pub(super) fn meets(&self, other: &Self) -> bool {
        if !self.overlaps_box_of(other) {
            return false;
        }
        // Two convex shapes: walk to the point of one nearest to the other and back. Alternating projections end in the
        // common part if there is one.
        let mut p = self.centre;
        for _ in 0..200 {
            let q = other.nearest(p);
            p = self.nearest(q);
            if p.distance(q) < 1e-9 {
                return true;
            }
        }
        false
    }

    /// The nearest point of the filled shape.
    fn nearest(&self, p: Vec2) -> Vec2 {
        if self.signed_distance(p) <= 0.0 {
            return p;
        }
        let arm = self.half - Vec2::new(self.radius, self.radius);
        let core = self.centre
            + Vec2::new(
                (p.x - self.centre.x).clamp(-arm.x, arm.x),
                (p.y - self.centre.y).clamp(-arm.y, arm.y),
            );
        core + (p - core).unit() * self.radius
    }

    /// Whether `other` lies wholly inside: its corner arcs' farthest points do, and both are convex.
    pub(super) fn holds(&self, other: &Self) -> bool {
        other
            .corner_points()
            .iter()
            .all(|&p| self.signed_distance(p) <= 1e-12)
    }

    /// Points on the boundary of the corners, closely enough spaced to judge containment of convex shapes.
    fn corner_points(&self) -> Vec<Vec2> {
        let corner = self.half - Vec2::new(self.radius, self.radius);
        let mut points = Vec::with_capacity(4 * 17);
        for (sx, sy) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
            for k in 0..=16 {
                let (sin, cos) = (PI / 32.0 * f64::from(k)).sin_cos();
                points.push(
                    self.centre
                        + Vec2::new(
                            sx * (corner.x + self.radius * cos),
                            sy * (corner.y + self.radius * sin),
                        ),
                );
            }
        }
        points
    }
}
