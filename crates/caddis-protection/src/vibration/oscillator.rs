//! An item on its cushion: one mass, one spring, one damper, moved by its base.

use super::{Spectrum, VibrationError};
use caddis_basis::{Acceleration, Frequency, Length, said};
use std::f64::consts::{PI, TAU};

/// A simple oscillator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oscillator {
    /// Natural frequency, undamped.
    pub natural: Frequency,
    /// Fraction of critical damping.
    pub damping: f64,
}

/// The response to random vibration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RandomResponse {
    /// Root mean square of the item's acceleration.
    pub level: Acceleration,
    /// Root mean square of the cushion's deflection about rest.
    pub deflection: Length,
    /// How often in a second the acceleration passes zero upwards.
    pub rate: Frequency,
    /// Miles' estimate of the level: as if the density at the natural frequency reached over all frequencies.
    pub miles: Acceleration,
}

impl RandomResponse {
    /// The peak that design takes for granted: three times the level.
    ///
    /// # Source
    /// 3-sigma design value beside Miles' equation: R. Simmons, NASA GSFC, "Miles' Equation", May 2001 (published).
    pub fn design_peak(&self) -> Acceleration {
        self.level * 3.0
    }
}

impl Oscillator {
    /// The oscillator itself if it makes sense.
    ///
    /// # Errors
    /// A natural frequency not above zero; damping not above zero (a resonance without end) or 1 and more.
    pub fn validated(self) -> Result<Self, VibrationError> {
        let good =
            self.natural.is_finite() && self.natural.si() > 0.0 && self.damping > 0.0 && self.damping < 1.0;
        if good {
            Ok(self)
        } else {
            Err(VibrationError::Settings(format!(
                "natural frequency {} must be above zero and damping {} between 0 and 1",
                self.natural, self.damping
            )))
        }
    }

    /// From the amplification at resonance.
    ///
    /// # Errors
    /// An amplification not above 1.
    ///
    /// # Source
    /// T at the natural frequency is sqrt(1 + 1/(4 z²)), so z = 1/(2 sqrt(Q² - 1)); derived.
    pub fn of_amplification(natural: Frequency, amplification: f64) -> Result<Self, VibrationError> {
        if !(amplification > 1.0 && amplification.is_finite()) {
            return Err(VibrationError::Settings(format!(
                "amplification {amplification} at resonance must be above 1"
            )));
        }
        Self {
            natural,
            damping: 0.5 / (amplification * amplification - 1.0).sqrt(),
        }
        .validated()
    }

    /// Amplification at the natural frequency.
    pub fn amplification(&self) -> f64 {
        self.transmissibility(self.natural)
    }

    /// Acceleration of the mass over acceleration of the base.
    ///
    /// # Source
    /// sqrt((1 + (2 z r)²) / ((1 - r²)² + (2 z r)²)): notes on Steinberg, equation 2.48, as code (published, seen in a
    /// second text).
    pub fn transmissibility(&self, frequency: Frequency) -> f64 {
        let r = frequency.si() / self.natural.si();
        let d = (2.0 * self.damping * r).powi(2);
        ((1.0 + d) / ((1.0 - r * r).powi(2) + d)).sqrt()
    }

    /// Miles' estimate of the acceleration level.
    ///
    /// # Source
    /// sqrt(pi/2 f Q ASD), Q = 1/(2 z): R. Simmons, NASA GSFC, "Miles' Equation", May 2001 (published).
    pub fn miles(&self, spectrum: &Spectrum) -> Acceleration {
        let density = spectrum.density(self.natural);
        Acceleration::from_si((0.5 * PI * self.natural.si() * density / (2.0 * self.damping)).sqrt())
    }

    /// Where the response is sharp, and how.
    pub(super) fn sharp(&self) -> (f64, f64) {
        (self.natural.si(), self.damping)
    }

    /// The whole response by integration over the spectrum.
    ///
    /// # Accuracy
    /// 1e-7 of the level. The spectrum says nothing outside its range: nothing is added there.
    ///
    /// # Source
    /// Density of the response = T² times that of the base; deflection by 1/((1 - r²)² + (2 z r)²)/w⁴; rate by
    /// the second moment (S. O. Rice); textbook.
    pub fn response(&self, spectrum: &Spectrum) -> RandomResponse {
        let sharp = [self.sharp()];
        let transfer = |f: f64| self.transmissibility(Frequency::from_si(f)).powi(2);
        let square = spectrum.integrate(&sharp, transfer);
        let second = spectrum.integrate(&sharp, |f| f * f * transfer(f));
        let natural = TAU * self.natural.si();
        let deflection = spectrum.integrate(&sharp, |f| {
            let r = f / self.natural.si();
            1.0 / ((1.0 - r * r).powi(2) + (2.0 * self.damping * r).powi(2)) / natural.powi(4)
        });
        RandomResponse {
            level: Acceleration::from_si(square.sqrt()),
            deflection: Length::from_si(deflection.sqrt()),
            rate: Frequency::from_si((second / square).sqrt()),
            miles: self.miles(spectrum),
        }
    }

    /// The spectrum on the mass, drawn on the base's points and as many more as its resonance needs.
    ///
    /// # Errors
    /// As [`Spectrum::new`]: never for a spectrum that is one.
    pub fn response_spectrum(&self, spectrum: &Spectrum) -> Result<Spectrum, VibrationError> {
        let (low, high) = spectrum.range();
        let mut places: Vec<f64> = spectrum.points().iter().map(|p| p.0).collect();
        let count = 200;
        let span = (high.si() / low.si()).ln();
        places.extend((1..count).map(|i| low.si() * (span * f64::from(i) / f64::from(count)).exp()));
        for steps in [0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0] {
            let offset = self.damping * steps;
            places.extend([
                self.natural.si() * (1.0 + offset),
                self.natural.si() * (1.0 - offset),
            ]);
        }
        places.retain(|&f| f >= low.si() && f <= high.si());
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a / *b - 1.0).abs() < 1e-9);
        Spectrum::new(
            said!("{spectrum} on the cushion", spectrum = spectrum.title),
            spectrum.source.clone(),
            places
                .into_iter()
                .map(|f| {
                    let frequency = Frequency::from_si(f);
                    (
                        f,
                        spectrum.density(frequency) * self.transmissibility(frequency).powi(2),
                    )
                })
                .collect(),
        )
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::{Certainty, STANDARD_GRAVITY, Source};
    use proptest::prelude::*;

    fn flat(low: f64, high: f64, density: f64) -> Spectrum {
        Spectrum::in_g(
            caddis_basis::Said::name("flat"),
            Source::new("test", Certainty::Invented),
            &[(low, density), (high, density)],
        )
        .unwrap()
    }

    #[test]
    fn amplification_and_damping_go_back_and_forth() {
        for q in [1.2, 3.0, 10.0, 50.0] {
            let o = Oscillator::of_amplification(Frequency::from_si(20.0), q).unwrap();
            assert!((o.amplification() / q - 1.0).abs() < 1e-12);
        }
        assert!(Oscillator::of_amplification(Frequency::from_si(20.0), 1.0).is_err());
        assert!(Oscillator::of_amplification(Frequency::ZERO, 5.0).is_err());
    }

    proptest! {
        #[test]
        fn white_noise_gives_the_closed_form(natural in 5.0..200.0_f64, damping in 0.01..0.4_f64) {
            let o = Oscillator { natural: Frequency::from_si(natural), damping };
            // From far below to far above: the tail above is (2 z)² f_n² S / f.
            let got = o.response(&flat(natural * 1e-4, natural * 1e4, 0.01));
            let exact = (PI * natural * 0.01 * (1.0 + 4.0 * damping * damping) / (4.0 * damping)).sqrt();
            prop_assert!((got.level.as_g() / exact - 1.0).abs() < 3e-4, "{} {exact}", got.level.as_g());
            let y = (0.01 * STANDARD_GRAVITY.powi(2) / (2.0 * damping) / (32.0 * PI.powi(3) * natural.powi(3))).sqrt();
            prop_assert!((got.deflection.si() / y - 1.0).abs() < 3e-4);
        }

        #[test]
        fn a_stiff_cushion_passes_all_and_a_soft_one_little(damping in 0.02..0.3_f64) {
            let spectrum = flat(2.0, 200.0, 0.01);
            let level = |natural| {
                Oscillator { natural: Frequency::from_si(natural), damping }.response(&spectrum).level
                    / spectrum.overall()
            };
            prop_assert!((level(20_000.0) - 1.0).abs() < 1e-3);
            prop_assert!(level(0.2) < 0.2 + 2.0 * damping);
        }

        #[test]
        fn the_drawn_response_integrates_to_the_level(natural in 5.0..150.0_f64, damping in 0.02..0.3_f64) {
            let spectrum = flat(2.0, 200.0, 0.01);
            let o = Oscillator { natural: Frequency::from_si(natural), damping };
            let drawn = o.response_spectrum(&spectrum).unwrap().overall();
            prop_assert!((drawn / o.response(&spectrum).level - 1.0).abs() < 5e-3);
        }
    }
}
