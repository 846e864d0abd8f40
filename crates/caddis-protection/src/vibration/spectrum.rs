//! An acceleration spectral density: straight lines between points on log-log paper.

use super::VibrationError;
use caddis_basis::{Acceleration, Frequency, STANDARD_GRAVITY, Said, Source};

/// An acceleration spectral density with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    /// What papers call it.
    pub title: Said,
    /// Where it comes from, with its certainty.
    pub source: Source,
    points: Vec<(f64, f64)>,
}

impl Spectrum {
    /// From points (Hz, (m/s²)²/Hz) of rising frequency.
    ///
    /// # Errors
    /// Fewer than two points, a frequency that does not rise, a value not above zero.
    pub fn new(title: Said, source: Source, points: Vec<(f64, f64)>) -> Result<Self, VibrationError> {
        let complain = |words: String| Err(VibrationError::Spectrum(words));
        if points.len() < 2 {
            return complain(format!(
                "a spectrum needs at least two points, not {}",
                points.len()
            ));
        }
        for (index, &(frequency, density)) in points.iter().enumerate() {
            let good = |v: f64| v.is_finite() && v > 0.0;
            if !good(frequency) || !good(density) {
                return complain(format!(
                    "point {} ({frequency} Hz, {density} (m/s²)²/Hz) must have a frequency and a density above zero",
                    index + 1
                ));
            }
            if index > 0 && frequency <= points[index - 1].0 {
                return complain(format!(
                    "point {} at {frequency} Hz does not lie above the one before it at {} Hz",
                    index + 1,
                    points[index - 1].0
                ));
            }
        }
        Ok(Self {
            title,
            source,
            points,
        })
    }

    /// From points (Hz, g²/Hz).
    ///
    /// # Errors
    /// As [`Spectrum::new`].
    pub fn in_g(title: Said, source: Source, points: &[(f64, f64)]) -> Result<Self, VibrationError> {
        let square = STANDARD_GRAVITY * STANDARD_GRAVITY;
        Self::new(
            title,
            source,
            points.iter().map(|&(f, d)| (f, d * square)).collect(),
        )
    }

    /// The points (Hz, (m/s²)²/Hz).
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// The points (Hz, g²/Hz).
    pub fn points_in_g(&self) -> Vec<(f64, f64)> {
        let square = STANDARD_GRAVITY * STANDARD_GRAVITY;
        self.points.iter().map(|&(f, d)| (f, d / square)).collect()
    }

    /// First and last frequency.
    pub fn range(&self) -> (Frequency, Frequency) {
        let last = self.points.len() - 1;
        (
            Frequency::from_si(self.points[0].0),
            Frequency::from_si(self.points[last].0),
        )
    }

    /// Density at a frequency, (m/s²)²/Hz; zero outside the range.
    pub fn density(&self, frequency: Frequency) -> f64 {
        let f = frequency.si();
        let after = self.points.partition_point(|p| p.0 < f);
        if after == self.points.len() {
            return 0.0;
        }
        let (f2, d2) = self.points[after];
        if f2 == f {
            return d2;
        }
        if after == 0 {
            return 0.0;
        }
        let (f1, d1) = self.points[after - 1];
        d1 * (f / f1).powf((d2 / d1).ln() / (f2 / f1).ln())
    }

    /// The overall level: root of the integral of the density.
    ///
    /// # Accuracy
    /// To rounding.
    ///
    /// # Source
    /// Exact integral of the power law on each straight line, derived.
    pub fn overall(&self) -> Acceleration {
        let square: f64 = self
            .points
            .windows(2)
            .map(|pair| power_law_integral(pair[0], pair[1]))
            .sum();
        Acceleration::from_si(square.sqrt())
    }

    /// The same shape with every density times a factor.
    ///
    /// # Errors
    /// A factor that is not above zero.
    pub fn scaled(&self, factor: f64) -> Result<Self, VibrationError> {
        Self::new(
            self.title.clone(),
            self.source.clone(),
            self.points.iter().map(|&(f, d)| (f, d * factor)).collect(),
        )
    }

    /// The integral of density times `weight`, a smooth function of frequency whose features near `narrow` are as
    /// sharp as `width` (a fraction of it).
    ///
    /// # Accuracy
    /// Better than 1e-8 for weights that are a simple oscillator's.
    ///
    /// # Source
    /// Gauss-Legendre of eight points in log frequency on panels that break at the spectrum's points and crowd round
    /// the resonances, textbook.
    pub(super) fn integrate(&self, narrow: &[(f64, f64)], weight: impl Fn(f64) -> f64) -> f64 {
        let (low, high) = (self.points[0].0, self.points[self.points.len() - 1].0);
        let mut breaks: Vec<f64> = self.points.iter().map(|p| p.0).collect();
        for &(centre, width) in narrow {
            for steps in [0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 14.0, 25.0, 50.0] {
                for place in [centre * (1.0 + width * steps), centre * (1.0 - width * steps)] {
                    if place > low && place < high {
                        breaks.push(place);
                    }
                }
            }
        }
        breaks.sort_by(f64::total_cmp);
        breaks.dedup();
        breaks
            .windows(2)
            .map(|pair| {
                let whole = (pair[1] / pair[0]).ln();
                let parts = (whole / 0.25).ceil().max(1.0);
                (0..parts as usize)
                    .map(|part| {
                        let start = pair[0].ln() + whole * part as f64 / parts;
                        self.panel(start, whole / parts, &weight)
                    })
                    .sum::<f64>()
            })
            .sum()
    }

    fn panel(&self, start: f64, length: f64, weight: &impl Fn(f64) -> f64) -> f64 {
        GAUSS
            .iter()
            .flat_map(|&(x, w)| [(x, w), (-x, w)])
            .map(|(x, w)| {
                let f = (start + 0.5 * length * (1.0 + x)).exp();
                // Rounding may put a node a hair outside the last point.
                0.5 * length * w * f * self.density(Frequency::from_si(f)) * weight(f)
            })
            .sum()
    }
}

/// Nodes and weights of the eight-point Gauss-Legendre rule (positive half), textbook.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

fn power_law_integral((f1, d1): (f64, f64), (f2, d2): (f64, f64)) -> f64 {
    let ratio = (f2 / f1).ln();
    let rise = (d2 / d1).ln() + ratio; // slope + 1, times ln(f2/f1)
    if rise.abs() < 1e-9 {
        d1 * f1 * ratio
    } else {
        d1 * f1 * ratio * rise.exp_m1() / rise
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Certainty;
    use proptest::prelude::*;

    fn spectrum(points: &[(f64, f64)]) -> Spectrum {
        Spectrum::in_g(
            Said::name("test"),
            Source::new("test", Certainty::Invented),
            points,
        )
        .unwrap()
    }

    #[test]
    fn points_that_make_no_spectrum_are_refused() {
        let source = || Source::new("test", Certainty::Invented);
        for (points, words) in [
            (vec![(1.0, 1.0)], "two points"),
            (vec![(1.0, 1.0), (1.0, 2.0)], "does not lie above"),
            (vec![(0.0, 1.0), (1.0, 2.0)], "point 1"),
            (vec![(1.0, 1.0), (2.0, 0.0)], "point 2"),
            (vec![(1.0, f64::NAN), (2.0, 1.0)], "point 1"),
        ] {
            let error = Spectrum::new(Said::name("t"), source(), points)
                .unwrap_err()
                .to_string();
            assert!(error.contains(words), "{error}");
        }
    }

    #[test]
    fn lines_are_straight_on_log_log_paper() {
        let s = spectrum(&[(10.0, 0.01), (1000.0, 0.0001)]);
        let at = |f| s.density(Frequency::from_si(f)) / (STANDARD_GRAVITY * STANDARD_GRAVITY);
        assert!((at(100.0) - 0.001).abs() < 1e-15);
        assert_eq!(at(9.99), 0.0);
        assert_eq!(at(1000.1), 0.0);
        // Slope -1: the logarithm.
        assert!((s.overall().as_g() - (0.1 * 100.0_f64.ln()).sqrt()).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn quadrature_and_power_laws_agree(
            steps in proptest::collection::vec((0.05..2.0_f64, 1e-5..1.0_f64), 2..9),
        ) {
            let mut f = 1.0;
            let points: Vec<_> = steps.iter().map(|&(step, d)| { f *= 1.0 + step; (f, d) }).collect();
            let s = spectrum(&points);
            let overall = s.overall().si();
            let got = s.integrate(&[(5.0, 0.05)], |_| 1.0).sqrt();
            prop_assert!((got / overall - 1.0).abs() < 1e-8, "{got} {overall}");
            // Scale: density times four doubles the level; one more point on a line changes nothing.
            prop_assert!((s.scaled(4.0).unwrap().overall().si() / overall - 2.0).abs() < 1e-12);
            let between = (points[0].0 * points[1].0).sqrt();
            let mut more = points.clone();
            more.insert(1, (between, s.density(Frequency::from_si(between)) / STANDARD_GRAVITY.powi(2)));
            prop_assert!((spectrum(&more).overall().si() / overall - 1.0).abs() < 1e-9);
        }
    }
}
