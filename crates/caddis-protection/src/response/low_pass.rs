//! Low-pass filters as test laboratories use them, without phase shift.
//!
//! A recorded fall rings with the recorder and its mount; its peak is read after a filter whose class or corner is
//! stated. The filter is a two-pole Butterworth run forwards and backwards, so that it delays nothing; the four poles
//! together are 6 dB down at the two-pole corner and 3 dB down at 1/1.2465 of it, the corner stated here.

use super::{History, ResponseError};
use caddis_basis::{Duration, Frequency, Said, said};
use std::f64::consts::PI;

/// The channel frequency classes of road-vehicle crash tests, which drop tests borrow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FrequencyClass {
    /// CFC 60: 3 dB down at 100 Hz.
    Class60,
    /// CFC 180: 3 dB down at 300 Hz.
    Class180,
    /// CFC 600: 3 dB down at 1000 Hz.
    Class600,
    /// CFC 1000: 3 dB down at 1650 Hz.
    Class1000,
}

/// A low-pass filter of four poles without phase shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowPass {
    /// Where the gain is down by 3 dB after both passes.
    pub corner: Frequency,
    design: f64,
    name: Option<FrequencyClass>,
}

/// Ratio of the two-pole corner to the 3 dB corner of both passes: (sqrt 2 - 1)^(-1/4).
///
/// # Source
/// 1 / (1 + r⁴) = 1/sqrt 2 for the square of the two-pole Butterworth gain; derived.
const TWO_PASSES: f64 = 1.246_450_480_280_461;

impl FrequencyClass {
    /// The class's number, which is also the end of its flat band in Hz.
    pub fn number(self) -> f64 {
        match self {
            Self::Class60 => 60.0,
            Self::Class180 => 180.0,
            Self::Class600 => 600.0,
            Self::Class1000 => 1000.0,
        }
    }
}

impl LowPass {
    /// The filter of a class.
    ///
    /// # Source
    /// SAE J211-1 / ISO 6487, appendix on the digital filter: two-pole corner 2.0775 times the class (from memory,
    /// unverified).
    pub fn class(class: FrequencyClass) -> Self {
        let design = 2.0775 * class.number();
        Self {
            corner: Frequency::from_si(design / TWO_PASSES),
            design,
            name: Some(class),
        }
    }

    /// The filter whose gain after both passes is 3 dB down at `corner`.
    pub fn corner(corner: Frequency) -> Self {
        Self {
            corner,
            design: corner.si() * TWO_PASSES,
            name: None,
        }
    }

    /// How a paper states the filter.
    pub fn words(&self) -> Said {
        if let Some(class) = self.name {
            said!(
                "4-pole Butterworth, no phase shift, channel class {class:.0} (3 dB down at {corner:.0})",
                class = class.number(),
                corner = self.corner
            )
        } else {
            said!(
                "4-pole Butterworth, no phase shift, 3 dB down at {corner:.0}",
                corner = self.corner
            )
        }
    }

    /// Coefficients b0, b1, b2 of the input and a1, a2 of the output (subtracted) for one pass.
    ///
    /// # Source
    /// Two-pole Butterworth by the bilinear transform with pre-warped corner, textbook; the same as SAE J211-1's
    /// difference equation.
    fn coefficients(&self, step: f64) -> [f64; 5] {
        let w = (PI * self.design * step).tan();
        let root = std::f64::consts::SQRT_2;
        let scale = 1.0 / (1.0 + root * w + w * w);
        [
            w * w * scale,
            2.0 * w * w * scale,
            w * w * scale,
            2.0 * (w * w - 1.0) * scale,
            (1.0 - root * w + w * w) * scale,
        ]
    }

    /// The history after both passes. Each pass starts settled on its first sample, so that a recording that begins or
    /// ends off zero makes no step of its own.
    ///
    /// # Errors
    /// A corner that is not above zero or that the sampling cannot hold (the two-pole corner must lie below half the
    /// sampling rate).
    pub fn filter(&self, history: &History) -> Result<History, ResponseError> {
        let step = history.step().si();
        if !(self.design.is_finite() && self.design > 0.0) {
            return Err(ResponseError::Settings(format!(
                "the filter's corner {} must be above zero",
                self.corner
            )));
        }
        if self.design * step >= 0.5 {
            return Err(ResponseError::Settings(format!(
                "a filter of {:.0} needs a sampling rate above {:.0} Hz; this history has {:.0} Hz",
                self.corner,
                2.0 * self.design,
                1.0 / step
            )));
        }
        let coefficients = self.coefficients(step);
        let mut samples = history.samples().to_vec();
        pass(&coefficients, samples.iter_mut());
        pass(&coefficients, samples.iter_mut().rev());
        History::new(history.step(), samples)
    }
}

/// One pass in place, starting in the steady state of the first sample.
fn pass<'a>(&[b0, b1, b2, a1, a2]: &[f64; 5], samples: impl Iterator<Item = &'a mut f64>) {
    let mut state: Option<(f64, f64)> = None;
    for x in samples {
        // Transposed direct form II; settled on x the output is x (gain 1 at rest).
        let (s1, s2) = state.unwrap_or((*x * (1.0 - b0), *x * (b2 - a2)));
        let y = b0 * *x + s1;
        state = Some((b1 * *x - a1 * y + s2, b2 * *x - a2 * y));
        *x = y;
    }
}

/// The lowest corner that leaves a pulse's peak as it is: five times the pulse's frequency 1/(2 T).
///
/// # Source
/// Common practice, no source.
pub fn gentlest_corner(pulse: Duration) -> Frequency {
    Frequency::from_si(5.0 / (2.0 * pulse.si()))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sine(frequency: f64, step: f64, count: usize) -> History {
        let samples = (0..count)
            .map(|i| (2.0 * PI * frequency * i as f64 * step).sin())
            .collect();
        History::new(Duration::from_si(step), samples).unwrap()
    }

    #[test]
    fn the_corner_is_three_decibels_down_and_nothing_is_delayed() {
        for filter in [
            LowPass::class(FrequencyClass::Class60),
            LowPass::class(FrequencyClass::Class180),
            LowPass::corner(Frequency::from_si(250.0)),
        ] {
            let step = 2e-5;
            let input = sine(filter.corner.si(), step, 40_000);
            let output = filter.filter(&input).unwrap();
            let middle = 15_000..25_000;
            // In phase with the input: the projection is the whole gain.
            let gain: f64 = middle
                .clone()
                .map(|i| output.samples()[i] * input.samples()[i])
                .sum::<f64>()
                / middle.map(|i| input.samples()[i].powi(2)).sum::<f64>();
            assert!((gain - 0.5_f64.sqrt()).abs() < 2e-3, "{}: {gain}", filter.words());
        }
    }

    #[test]
    fn classes_are_three_decibels_down_where_the_standard_says() {
        for (class, corner) in [
            (FrequencyClass::Class60, 100.0),
            (FrequencyClass::Class180, 300.0),
            (FrequencyClass::Class600, 1000.0),
            (FrequencyClass::Class1000, 1650.0),
        ] {
            let got = LowPass::class(class).corner.si();
            // The standard rounds its corners.
            assert!((got / corner - 1.0).abs() < 0.011, "{class:?}: {got}");
        }
    }

    #[test]
    fn a_corner_beyond_the_sampling_is_refused() {
        let input = sine(10.0, 1e-3, 100);
        let error = LowPass::class(FrequencyClass::Class1000)
            .filter(&input)
            .unwrap_err();
        assert!(error.to_string().contains("sampling rate"), "{error}");
        assert!(LowPass::corner(Frequency::ZERO).filter(&input).is_err());
    }

    proptest! {
        #[test]
        fn a_constant_passes_and_time_may_run_backwards(
            samples in proptest::collection::vec(-10.0..10.0_f64, 20..60), level in -9.0..9.0_f64,
        ) {
            let filter = LowPass::corner(Frequency::from_si(50.0));
            let step = Duration::from_si(1e-3);
            let flat = History::new(step, vec![level; 30]).unwrap();
            for y in filter.filter(&flat).unwrap().samples() {
                prop_assert!((y - level).abs() < 1e-9);
            }
            // Rest at both ends long enough to settle: forwards-backwards is then its own mirror image.
            let mut padded = vec![0.0; 200];
            padded.extend(&samples);
            padded.extend(vec![0.0; 200]);
            let forwards = filter.filter(&History::new(step, padded.clone()).unwrap()).unwrap();
            padded.reverse();
            let backwards = filter.filter(&History::new(step, padded).unwrap()).unwrap();
            for (a, b) in forwards.samples().iter().zip(backwards.samples().iter().rev()) {
                prop_assert!((a - b).abs() < 1e-6);
            }
        }
    }
}
