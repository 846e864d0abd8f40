//! The geometric tolerance, from which every other small distance derives.

use crate::Length;

/// How finely curves are followed and contours compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    chord: Length,
}

impl Tolerance {
    /// The default: chords follow arcs to 0.02 mm, a fifth of what a router repeats on foam.
    pub const DEFAULT: Self = Self {
        chord: Length::from_si(2e-5),
    };

    /// A tolerance by its chord error.
    pub fn new(chord: Length) -> Self {
        Self { chord }
    }

    /// The largest distance between an arc and the chords that stand for it.
    pub fn chord(self) -> Length {
        self.chord
    }

    /// Two points closer than this are one: a fiftieth of the chord error, so that welding never moves a curve
    /// visibly.
    pub fn weld(self) -> Length {
        self.chord / 50.0
    }
}

impl Default for Tolerance {
    fn default() -> Self {
        Self::DEFAULT
    }
}
