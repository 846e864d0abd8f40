//! The ideal pulses of the handbooks.

use super::{History, ResponseError};
use caddis_basis::{Acceleration, Duration, Speed};
use std::f64::consts::PI;

/// The shape of an ideal pulse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PulseShape {
    /// An elastic cushion.
    HalfSine,
    /// A cushion that crushes at one force.
    Square,
    /// Rises in a straight line and ends at its peak.
    TerminalPeakSawtooth,
}

/// An ideal pulse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulse {
    /// Shape.
    pub shape: PulseShape,
    /// Peak.
    pub peak: Acceleration,
    /// From zero back to zero.
    pub duration: Duration,
}

impl Pulse {
    /// The integral.
    ///
    /// # Source
    /// Half-sine 2 A T/pi, square A T, sawtooth A T/2; derived.
    pub fn velocity_change(&self) -> Speed {
        let share = match self.shape {
            PulseShape::HalfSine => 2.0 / PI,
            PulseShape::Square => 1.0,
            PulseShape::TerminalPeakSawtooth => 0.5,
        };
        self.peak * self.duration * share
    }

    fn at(&self, time: f64) -> f64 {
        let (peak, length) = (self.peak.si(), self.duration.si());
        if !(0.0..=length).contains(&time) {
            return 0.0;
        }
        match self.shape {
            PulseShape::HalfSine => peak * (PI * time / length).sin(),
            PulseShape::Square => peak,
            PulseShape::TerminalPeakSawtooth => peak * time / length,
        }
    }

    /// The pulse between two rests of `rest` each, sampled every `step`.
    ///
    /// # Errors
    /// A step or duration not above zero, or a history of more than ten million samples.
    pub fn history(&self, step: Duration, rest: Duration) -> Result<History, ResponseError> {
        let good = |d: Duration| d.is_finite() && d.si() > 0.0;
        if !(good(step) && good(self.duration) && rest.is_finite() && rest.si() >= 0.0) {
            return Err(ResponseError::Settings(format!(
                "step {step} and duration {} must be above zero and the rest {rest} not below",
                self.duration
            )));
        }
        let count = ((self.duration.si() + 2.0 * rest.si()) / step.si()).ceil() + 1.0;
        if count > 1e7 {
            return Err(ResponseError::Settings(format!(
                "a step of {step} gives more than ten million samples; take a longer one"
            )));
        }
        let before = (rest.si() / step.si()).round();
        let samples = (0..count as usize)
            .map(|i| self.at((i as f64 - before) * step.si()))
            .collect();
        History::new(step, samples)
    }
}
