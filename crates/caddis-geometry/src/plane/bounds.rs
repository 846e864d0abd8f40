//! Plan boxes and plan placements.

use crate::{Pose, Vec2};

/// An axis-aligned rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds2 {
    /// Least corner.
    pub min: Vec2,
    /// Greatest corner.
    pub max: Vec2,
}

impl Bounds2 {
    /// Edge lengths.
    pub fn size(&self) -> Vec2 {
        self.max - self.min
    }

    /// The centre.
    pub fn centre(&self) -> Vec2 {
        (self.min + self.max) / 2.0
    }

    /// The least rectangle holding both.
    #[must_use]
    pub fn joined(&self, other: &Self) -> Self {
        Self {
            min: self.min.min(other.min),
            max: self.max.max(other.max),
        }
    }

    /// Grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self {
            min: self.min - Vec2::new(by, by),
            max: self.max + Vec2::new(by, by),
        }
    }

    /// Whether the point lies inside or on the edge.
    pub fn holds(&self, p: Vec2) -> bool {
        self.min.x <= p.x && p.x <= self.max.x && self.min.y <= p.y && p.y <= self.max.y
    }

    /// Whether the closed rectangles meet.
    pub fn meets(&self, other: &Self) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
    }
}

/// A rigid motion of the plane: turn about the origin, then shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement2 {
    /// Radians, counter-clockwise.
    pub angle: f64,
    /// Applied after the turn.
    pub shift: Vec2,
}

impl Placement2 {
    /// No motion.
    pub const IDENTITY: Self = Self {
        angle: 0.0,
        shift: Vec2::ZERO,
    };

    /// The motion as a function that turns without computing the sine each time.
    pub(crate) fn prepared(&self) -> impl Fn(Vec2) -> Vec2 + use<> {
        let (turn, shift) = (Pose::about_z(self.angle), self.shift);
        move |p| turn.apply(p.at_height(0.0)).plan() + shift
    }

    /// Where a point goes. Quarter turns are exact.
    pub fn apply(&self, p: Vec2) -> Vec2 {
        self.prepared()(p)
    }
}
