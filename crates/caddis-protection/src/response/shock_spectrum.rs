//! The shock response spectrum: what a simple item of each natural frequency feels of a history.
//!
//! The item is one mass on one spring with viscous damping, its base moved by the history; the spectrum is the largest
//! absolute acceleration of the mass. The base moves in straight lines between samples, for which the recursive filter
//! below is exact, so that a stiff item may be followed on steps cut finer without changing the problem.

use super::{History, ResponseError};
use caddis_basis::{Acceleration, Frequency};
use std::f64::consts::TAU;

/// The spectrum at one natural frequency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpectrumPoint {
    /// Natural frequency.
    pub frequency: Frequency,
    /// Largest acceleration in the positive sense, never below zero.
    pub positive: Acceleration,
    /// Largest acceleration in the negative sense, as a magnitude.
    pub negative: Acceleration,
    /// Largest magnitude while the base still moves.
    pub primary: Acceleration,
    /// Largest magnitude after the base has come to rest.
    pub residual: Acceleration,
}

impl SpectrumPoint {
    /// The largest magnitude of all.
    pub fn maximax(&self) -> Acceleration {
        self.positive.max(self.negative)
    }
}

/// A shock response spectrum.
#[derive(Debug, Clone, PartialEq)]
pub struct ShockSpectrum {
    /// Fraction of critical damping.
    pub damping: f64,
    /// Points in the order asked for.
    pub points: Vec<SpectrumPoint>,
}

/// Fewest steps in one period of the natural frequency: a peak between two of them is missed by at most
/// 1 - cos(pi/64) = 0.12 %.
const STEPS_IN_A_PERIOD: f64 = 64.0;
/// Fewest steps between two samples: a soft damped item follows the base's speed, which bends between samples.
const STEPS_IN_A_SAMPLE: f64 = 8.0;

/// The spectrum of a history at the given natural frequencies. The base is at rest before and after.
///
/// # Accuracy
/// Exact for straight lines between samples up to the peak between two steps (while the base moves at most 0.12 % of
/// what swings at the natural frequency and 1/64 of the bump between two samples; afterwards the peak is found in
/// closed form). Straight lines are the truth up to about a tenth of the sampling
/// rate; above half of it there is no answer.
///
/// # Errors
/// Damping outside 0 to below 1; no frequency; a frequency not above zero or above half the sampling rate.
///
/// # Source
/// Recursive ramp-invariant filter for absolute acceleration: D. O. Smallwood, "An improved recursive formula for
/// calculating shock response spectra", Shock and Vibration Bulletin 51 part 2, 1981; the same filter is ISO 18431-4
/// (coefficients from memory; checked by the closed forms of the half-sine, square and sawtooth pulse and by scipy).
pub fn shock_spectrum(
    history: &History,
    damping: f64,
    frequencies: &[Frequency],
) -> Result<ShockSpectrum, ResponseError> {
    if !(0.0..1.0).contains(&damping) {
        return Err(ResponseError::Settings(format!(
            "damping {damping} must lie from 0 to below 1 (a Q of 10 is 0.05)"
        )));
    }
    if frequencies.is_empty() {
        return Err(ResponseError::Settings(
            "no natural frequency is asked for".to_owned(),
        ));
    }
    let rate = 1.0 / history.step().si();
    let points = frequencies
        .iter()
        .map(|&frequency| {
            if !(frequency.si() > 0.0 && frequency.si() <= 0.5 * rate) {
                return Err(ResponseError::Settings(format!(
                    "natural frequency {frequency} must lie above zero and at most at half the sampling rate, {:.0} Hz",
                    0.5 * rate
                )));
            }
            Ok(point(history, damping, frequency))
        })
        .collect::<Result<_, _>>()?;
    Ok(ShockSpectrum { damping, points })
}

/// Coefficients of y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] + c1 y[n-1] - c2 y[n-2].
struct Filter {
    b: [f64; 3],
    c1: f64,
    c2: f64,
    decay: f64,
    sin: f64,
    cos: f64,
}

impl Filter {
    fn new(omega: f64, damping: f64, step: f64) -> Self {
        let damped = omega * (1.0 - damping * damping).sqrt();
        let decay = (-damping * omega * step).exp();
        let (sin, cos) = (damped * step).sin_cos();
        let c = decay * cos;
        let s = decay * sin / (damped * step);
        Self {
            b: [1.0 - s, 2.0 * (s - c), decay * decay - s],
            c1: 2.0 * c,
            c2: decay * decay,
            decay,
            sin,
            cos,
        }
    }
}

/// Largest and least values seen so far.
#[derive(Default)]
struct Extremes {
    high: f64,
    low: f64,
}

impl Extremes {
    fn see(&mut self, value: f64) {
        self.high = self.high.max(value);
        self.low = self.low.min(value);
    }

    fn magnitude(&self) -> f64 {
        self.high.max(-self.low)
    }
}

fn point(history: &History, damping: f64, frequency: Frequency) -> SpectrumPoint {
    let omega = TAU * frequency.si();
    let parts = (history.step().si() * frequency.si() * STEPS_IN_A_PERIOD)
        .ceil()
        .max(STEPS_IN_A_SAMPLE);
    let step = history.step().si() / parts;
    let filter = Filter::new(omega, damping, step);
    let mut during = Extremes::default();
    let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
    let mut take = |x: f64| {
        let y = filter.b[0] * x + filter.b[1] * x1 + filter.b[2] * x2 + filter.c1 * y1 - filter.c2 * y2;
        (x2, x1, y2, y1) = (x1, x, y1, y);
        y
    };
    let mut before = 0.0;
    for &sample in history.samples() {
        for part in 1..=parts as usize {
            let share = part as f64 / parts;
            during.see(take(before + (sample - before) * share));
        }
        before = sample;
    }
    // The base comes to rest one step after the last sample; from there the mass swings freely.
    for part in 1..=parts as usize {
        during.see(take(before * (1.0 - part as f64 / parts)));
    }
    let start = take(0.0);
    let next = take(0.0);
    let mut after = Extremes::default();
    free_swing(&filter, omega, damping, (start, next), &mut after);
    SpectrumPoint {
        frequency,
        positive: Acceleration::from_si(during.high.max(after.high)),
        negative: Acceleration::from_si(-during.low.min(after.low)),
        primary: Acceleration::from_si(during.magnitude()),
        residual: Acceleration::from_si(after.magnitude()),
    }
}

/// Extremes of exp(-z w t) (A cos wd t + B sin wd t), given by its values at 0 and one step later.
///
/// # Source
/// Free swing of a damped oscillator, textbook: its slope is zero where tan wd t = (B wd - z w A)/(A wd + z w B).
fn free_swing(filter: &Filter, omega: f64, damping: f64, (start, next): (f64, f64), extremes: &mut Extremes) {
    let damped = omega * (1.0 - damping * damping).sqrt();
    let a = start;
    let b = (next / filter.decay - start * filter.cos) / filter.sin;
    extremes.see(start);
    let first = (b * damped - damping * omega * a).atan2(a * damped + damping * omega * b);
    // Angles wd t of the zeros of the slope: every pi from the first one not below 0; the first two are the largest.
    let first = first.rem_euclid(std::f64::consts::PI);
    for turn in 0..2 {
        let angle = first + f64::from(turn) * std::f64::consts::PI;
        let fade = (-damping * omega * angle / damped).exp();
        extremes.see(fade * (a * angle.cos() + b * angle.sin()));
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::super::{Pulse, PulseShape};
    use super::*;
    use caddis_basis::Duration;
    use proptest::prelude::*;

    fn amplification(shape: PulseShape, product: f64) -> SpectrumPoint {
        let pulse = Pulse {
            shape,
            peak: Acceleration::from_si(1.0),
            duration: Duration::from_si(1.0),
        };
        let history = pulse
            .history(Duration::from_si(1e-4), Duration::from_si(0.01))
            .unwrap();
        shock_spectrum(&history, 0.0, &[Frequency::from_si(product)])
            .unwrap()
            .points[0]
    }

    #[test]
    fn undamped_pulses_amplify_as_derived() {
        for (shape, product, expected) in [
            (PulseShape::HalfSine, 0.10, 0.3963),
            (PulseShape::HalfSine, 0.5, std::f64::consts::FRAC_PI_2),
            (PulseShape::HalfSine, 0.81, 1.7685),
            (PulseShape::HalfSine, 1.0, 3.0_f64.sqrt()),
            (PulseShape::HalfSine, 3.0, 1.170),
            (PulseShape::Square, 0.10, 0.6181),
            (PulseShape::Square, 1.5, 2.0),
            (PulseShape::TerminalPeakSawtooth, 0.25, 0.7331),
            (PulseShape::TerminalPeakSawtooth, 1.5, 1.022),
        ] {
            let got = amplification(shape, product).maximax().si();
            assert!(
                (got / expected - 1.0).abs() < 1.5e-3,
                "{shape:?} {product}: {got}"
            );
        }
    }

    #[test]
    fn a_stiff_item_feels_the_pulse_itself_and_nothing_after_it() {
        let point = amplification(PulseShape::HalfSine, 400.0);
        assert!((point.maximax().si() - 1.0).abs() < 0.01, "{point:?}");
        assert!(point.residual.si() < 0.01, "{point:?}");
    }

    #[test]
    fn wrong_settings_are_refused() {
        let history = History::new(Duration::from_si(1e-3), vec![0.0, 1.0, 0.0]).unwrap();
        let at = |f| [Frequency::from_si(f)];
        assert!(shock_spectrum(&history, 1.0, &at(10.0)).is_err());
        assert!(shock_spectrum(&history, -0.1, &at(10.0)).is_err());
        assert!(shock_spectrum(&history, f64::NAN, &at(10.0)).is_err());
        assert!(shock_spectrum(&history, 0.05, &at(0.0)).is_err());
        assert!(shock_spectrum(&history, 0.05, &at(501.0)).is_err());
        assert!(shock_spectrum(&history, 0.05, &[]).is_err());
    }

    proptest! {
        #[test]
        fn scale_sign_and_delay_go_through(
            samples in proptest::collection::vec(-50.0..50.0_f64, 2..60),
            factor in 0.1..20.0_f64,
            delay in 0..30_usize,
            damping in 0.0..0.9_f64,
            frequency in 1.0..400.0_f64,
        ) {
            let step = Duration::from_si(1e-3);
            let at = [Frequency::from_si(frequency)];
            let one = shock_spectrum(&History::new(step, samples.clone()).unwrap(), damping, &at).unwrap().points[0];
            let mut other = vec![0.0; delay];
            other.extend(samples.iter().map(|a| -a * factor));
            let other = shock_spectrum(&History::new(step, other).unwrap(), damping, &at).unwrap().points[0];
            let close = |a: Acceleration, b: Acceleration| (a.si() * factor - b.si()).abs() <= 1e-7 * factor * (1.0 + a.si());
            prop_assert!(close(one.positive, other.negative), "{one:?} {other:?}");
            prop_assert!(close(one.negative, other.positive), "{one:?} {other:?}");
            prop_assert!(close(one.residual, other.residual), "{one:?} {other:?}");
        }

        #[test]
        fn cutting_the_steps_finer_changes_little(
            samples in proptest::collection::vec(-50.0..50.0_f64, 2..40), frequency in 1.0..100.0_f64,
        ) {
            let at = [Frequency::from_si(frequency)];
            let coarse = History::new(Duration::from_si(1e-3), samples.clone()).unwrap();
            let mut fine = vec![samples[0]];
            // The base ramps up from rest within one step of the coarse history.
            fine.insert(0, samples[0] * 2.0 / 3.0);
            fine.insert(0, samples[0] / 3.0);
            for pair in samples.windows(2) {
                for part in 1..=3 {
                    fine.push(pair[0] + (pair[1] - pair[0]) * f64::from(part) / 3.0);
                }
            }
            let last = samples[samples.len() - 1];
            fine.extend([last * 2.0 / 3.0, last / 3.0]);
            let fine = History::new(Duration::from_si(1e-3 / 3.0), fine).unwrap();
            let one = shock_spectrum(&coarse, 0.05, &at).unwrap().points[0].maximax().si();
            let other = shock_spectrum(&fine, 0.05, &at).unwrap().points[0].maximax().si();
            prop_assert!((one - other).abs() <= 0.016 * one.max(other), "{one} {other}");
        }
    }
}
