//! An acceleration history at even steps, and what is read from it.

use super::ResponseError;
use caddis_basis::{Acceleration, Duration, Speed};

/// Acceleration over time at even steps.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    step: f64,
    samples: Vec<f64>,
}

/// What a test laboratory writes down of one pulse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PulseMeasures {
    /// The largest magnitude, with its sign.
    pub peak: Acceleration,
    /// When it is reached.
    pub at: Duration,
    /// The time around the peak during which the acceleration stays above a tenth of it.
    pub duration: Duration,
    /// The integral over that time and the flanks down to zero: the velocity change of the pulse.
    pub velocity_change: Speed,
}

impl History {
    /// From samples in m/s² taken every `step`.
    ///
    /// # Errors
    /// A step that is not above zero, fewer than two samples, a sample that is not a number.
    pub fn new(step: Duration, samples: Vec<f64>) -> Result<Self, ResponseError> {
        let complain = |words: String| Err(ResponseError::History(words));
        if !(step.is_finite() && step.si() > 0.0) {
            return complain(format!("the time step {step} must be above zero"));
        }
        if samples.len() < 2 {
            return complain(format!(
                "a history needs at least two samples, not {}",
                samples.len()
            ));
        }
        if let Some(at) = samples.iter().position(|a| !a.is_finite()) {
            return complain(format!("sample {} is not a finite number", at + 1));
        }
        Ok(Self {
            step: step.si(),
            samples,
        })
    }

    /// Time from one sample to the next.
    pub fn step(&self) -> Duration {
        Duration::from_si(self.step)
    }

    /// The samples, m/s².
    pub fn samples(&self) -> &[f64] {
        &self.samples
    }

    /// From the first sample to the last.
    pub fn length(&self) -> Duration {
        Duration::from_si(self.step * (self.samples.len() - 1) as f64)
    }

    /// The sample of largest magnitude and its index; the first of equals.
    fn largest(&self) -> (usize, f64) {
        self.samples.iter().enumerate().fold(
            (0, 0.0),
            |best, (i, &a)| {
                if a.abs() > f64::abs(best.1) { (i, a) } else { best }
            },
        )
    }

    /// The integral over the whole history.
    ///
    /// # Source
    /// Trapezium rule: exact for the straight lines between samples.
    pub fn velocity_change(&self) -> Speed {
        Speed::from_si(self.integral(0, self.samples.len() - 1))
    }

    fn integral(&self, from: usize, to: usize) -> f64 {
        self.samples[from..=to]
            .windows(2)
            .map(|pair| 0.5 * (pair[0] + pair[1]) * self.step)
            .sum()
    }

    /// Peak, duration at a tenth of the peak and velocity change of the pulse that holds the largest sample.
    ///
    /// # Accuracy
    /// The crossings of the tenth are found on the straight lines between samples. A peak between two samples is not
    /// guessed: give samples fine enough (ten or more over the pulse).
    ///
    /// # Source
    /// A tenth of the peak as the ends of a pulse: as shock-test standards do (from memory, unverified).
    pub fn pulse(&self) -> PulseMeasures {
        let (peak_at, peak) = self.largest();
        let sign = if peak < 0.0 { -1.0 } else { 1.0 };
        let value = |i: usize| sign * self.samples[i];
        let tenth = 0.1 * peak.abs();
        let crossing = |above: usize, below: usize| {
            let (a, b) = (value(above), value(below));
            let share = if a > b { (a - tenth) / (a - b) } else { 0.0 };
            above as f64 + share * (below as f64 - above as f64)
        };
        let last = self.samples.len() - 1;
        let mut first = peak_at;
        while first > 0 && value(first - 1) > tenth {
            first -= 1;
        }
        let begin = if first > 0 {
            crossing(first, first - 1)
        } else {
            0.0
        };
        let mut end = peak_at;
        while end < last && value(end + 1) > tenth {
            end += 1;
        }
        let finish = if end < last {
            crossing(end, end + 1)
        } else {
            last as f64
        };
        // The flanks below a tenth belong to the pulse as far as it does not turn.
        while first > 0 && value(first - 1) > 0.0 && value(first - 1) <= value(first) {
            first -= 1;
        }
        while end < last && value(end + 1) > 0.0 && value(end + 1) <= value(end) {
            end += 1;
        }
        let (from, to) = (first.saturating_sub(1), (end + 1).min(last));
        PulseMeasures {
            peak: Acceleration::from_si(peak),
            at: Duration::from_si(peak_at as f64 * self.step),
            duration: Duration::from_si((finish - begin) * self.step),
            velocity_change: Speed::from_si(self.integral(from, to)),
        }
    }

    /// The same history times a factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            step: self.step,
            samples: self.samples.iter().map(|a| a * factor).collect(),
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::{Pulse, PulseShape};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn bad_histories_are_refused() {
        let step = Duration::from_si(1e-3);
        assert!(History::new(Duration::ZERO, vec![0.0, 1.0]).is_err());
        assert!(History::new(step, vec![1.0]).is_err());
        let error = History::new(step, vec![0.0, f64::NAN]).unwrap_err();
        assert!(error.to_string().contains("sample 2"), "{error}");
    }

    #[test]
    fn a_half_sine_reads_as_it_was_made() {
        // 50 G, 11 ms: 3.43371 m/s; it exceeds a tenth for 1 - 2 asin(0.1)/pi of its length.
        let pulse = Pulse {
            shape: PulseShape::HalfSine,
            peak: Acceleration::g(50.0),
            duration: Duration::from_si(0.011),
        };
        let history = pulse
            .history(Duration::from_si(1e-6), Duration::from_si(5e-3))
            .unwrap();
        let read = history.pulse();
        assert!((read.peak.as_g() - 50.0).abs() < 1e-5);
        assert!((read.velocity_change.si() - 3.433_71).abs() < 1e-5, "{read:?}");
        let share = 1.0 - 2.0 * 0.1_f64.asin() / std::f64::consts::PI;
        assert!((read.duration.si() / 0.011 - share).abs() < 1e-4, "{read:?}");
        assert!((history.velocity_change().si() - read.velocity_change.si()).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn scale_and_sign_go_through(
            samples in proptest::collection::vec(-100.0..100.0_f64, 2..40),
            factor in prop_oneof![-5.0..-0.1_f64, 0.1..5.0_f64],
        ) {
            let history = History::new(Duration::from_si(1e-3), samples).unwrap();
            let (one, other) = (history.pulse(), history.scaled(factor).pulse());
            prop_assert!((one.peak.si() * factor - other.peak.si()).abs() < 1e-9);
            prop_assert!((one.duration.si() - other.duration.si()).abs() < 1e-12);
            prop_assert!((one.velocity_change.si() * factor - other.velocity_change.si()).abs() < 1e-9);
        }
    }
}
