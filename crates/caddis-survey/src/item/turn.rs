//! Turns about the vertical.

use caddis_geometry::Pose;
use std::fmt;

/// A turn about the vertical in whole degrees, counter-clockwise from above: at least 0, less than a full turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Turn(u16);

const FULL: u16 = 360;
const QUARTER: u16 = 90;

impl Turn {
    /// No turn.
    pub const NONE: Self = Self(0);
    /// The four turns that keep a box along the axes.
    pub const SQUARE: [Self; 4] = [Self(0), Self(QUARTER), Self(2 * QUARTER), Self(3 * QUARTER)];

    /// Of so many degrees; full turns are left out.
    pub fn degrees(degrees: u16) -> Self {
        Self(degrees % FULL)
    }

    /// Of an angle in degrees that is whole within a thousandth, whatever its sign; `None` for any other.
    pub fn whole(degrees: f64) -> Option<Self> {
        let near = degrees.round();
        let is_whole = degrees.is_finite() && (degrees - near).abs() < 1e-3;
        is_whole.then(|| Self(near.rem_euclid(f64::from(FULL)) as u16))
    }

    /// In degrees.
    pub fn as_degrees(self) -> u16 {
        self.0
    }

    /// In radians.
    pub fn radians(self) -> f64 {
        f64::from(self.0).to_radians()
    }

    /// Whether a box stays along the axes.
    pub fn is_square(self) -> bool {
        self.0.is_multiple_of(QUARTER)
    }

    /// The square turn at or before it, and what is left beyond that.
    pub fn parted(self) -> (Self, Self) {
        let rest = self.0 % QUARTER;
        (Self(self.0 - rest), Self(rest))
    }

    /// This and then another.
    #[must_use]
    pub fn then(self, other: Self) -> Self {
        Self((self.0 + other.0) % FULL)
    }

    /// The rotation; exact for square turns.
    pub fn pose(self) -> Pose {
        Pose::about_z(self.radians())
    }
}

impl fmt::Display for Turn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}°", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_add_and_part() {
        let turn = Turn::degrees(285);
        assert_eq!(turn.parted(), (Turn::degrees(270), Turn::degrees(15)));
        assert_eq!(turn.then(Turn::degrees(90)), Turn::degrees(15));
        assert_eq!(turn.to_string(), "285°");
        assert!(Turn::degrees(450).is_square() && !turn.is_square());
    }

    #[test]
    fn whole_degrees_alone_are_turns() {
        assert_eq!(Turn::whole(-90.0), Some(Turn::degrees(270)));
        assert_eq!(Turn::whole(360.0), Some(Turn::NONE));
        assert_eq!(Turn::whole(44.9999), Some(Turn::degrees(45)));
        for odd in [0.5, f64::NAN, f64::INFINITY] {
            assert_eq!(Turn::whole(odd), None);
        }
    }

    #[test]
    fn square_turns_are_exact() {
        for (turn, x) in Turn::SQUARE.into_iter().zip([1.0, 0.0, -1.0, 0.0]) {
            assert_eq!(turn.pose().rotation[0].x, x);
        }
    }
}
