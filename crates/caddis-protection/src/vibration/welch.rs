//! A spectral density estimated from a recording, with how far to trust it (P. D. Welch's method).

use super::{Spectrum, VibrationError};
use crate::response::History;
use caddis_basis::{Acceleration, Frequency, Said, Source};
use realfft::RealFftPlanner;
use std::f64::consts::TAU;

/// The taper of each segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Window {
    /// Raised cosine, periodic.
    Hann,
    /// None: for signals that fit the segment exactly.
    Rectangular,
}

/// How to cut a recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WelchSettings {
    /// Distance of the spectrum's lines wanted; the segment is as long as it takes, rounded to a whole number of samples.
    pub resolution: Frequency,
    /// Share of a segment that the next one repeats, 0 to below 1.
    pub overlap: f64,
    /// Taper.
    pub window: Window,
    /// Probability that the true density lies inside the confidence band.
    pub confidence: f64,
}

impl Default for WelchSettings {
    fn default() -> Self {
        Self {
            resolution: Frequency::from_si(1.0),
            overlap: 0.5,
            window: Window::Hann,
            confidence: 0.9,
        }
    }
}

/// A spectral density with its confidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Distance of the lines.
    pub resolution: Frequency,
    /// One-sided density of each line from 0 Hz, (m/s²)²/Hz.
    pub density: Vec<f64>,
    /// Segments averaged.
    pub segments: usize,
    /// The number of independent segments that would scatter as much.
    pub equivalent_averages: f64,
    /// The true density lies between these multiples of the estimate, at the confidence asked for.
    pub band: (f64, f64),
    /// Probability of the band.
    pub confidence: f64,
}

impl Estimate {
    /// The level that the lines add up to.
    pub fn overall(&self) -> Acceleration {
        Acceleration::from_si((self.density.iter().sum::<f64>() * self.resolution.si()).sqrt())
    }

    /// The lines from the first above `from` to the last not above `to` as a spectrum.
    ///
    /// # Errors
    /// Fewer than two lines of a density above zero in between.
    pub fn spectrum(
        &self,
        title: Said,
        source: Source,
        from: Frequency,
        to: Frequency,
    ) -> Result<Spectrum, VibrationError> {
        let points = self
            .density
            .iter()
            .enumerate()
            .skip(1)
            .map(|(line, &density)| (line as f64 * self.resolution.si(), density))
            .filter(|&(f, density)| f >= from.si() && f <= to.si() && density > 0.0)
            .collect();
        Spectrum::new(title, source, points)
    }
}

/// Estimates the spectral density of a history. The mean of each segment is taken off.
///
/// # Accuracy
/// Scatter by the band; features narrower than about two lines are smeared.
///
/// # Errors
/// An overlap, confidence or resolution out of bounds; a history shorter than two segments' worth of one line.
///
/// # Source
/// P. D. Welch, IEEE Transactions on Audio and Electroacoustics AU-15 (1967), pp. 70-73: averaged modified
/// periodograms, and their variance with the correlation of overlapping tapers; chi-square confidence with twice the
/// equivalent averages as degrees of freedom (J. S. Bendat and A. G. Piersol); from memory, checked against
/// scipy.signal.welch and by the scatter of noise.
pub fn welch(history: &History, settings: &WelchSettings) -> Result<Estimate, VibrationError> {
    let complain = |words: String| Err(VibrationError::Settings(words));
    if !(0.0..1.0).contains(&settings.overlap) {
        return complain(format!("overlap {} must lie from 0 to below 1", settings.overlap));
    }
    if !(settings.confidence > 0.0 && settings.confidence < 1.0) {
        return complain(format!(
            "confidence {} must lie between 0 and 1",
            settings.confidence
        ));
    }
    let rate = 1.0 / history.step().si();
    let samples = history.samples();
    if !(settings.resolution.is_finite() && settings.resolution.si() > 0.0) {
        return complain(format!("resolution {} must be above zero", settings.resolution));
    }
    let length = (rate / settings.resolution.si()).round();
    if length < 8.0 {
        return complain(format!(
            "lines {:.4} apart leave {length} samples in a segment at {rate:.1} samples a second; ask for at most {:.1} Hz",
            settings.resolution,
            rate / 8.0
        ));
    }
    if length > samples.len() as f64 {
        return complain(format!(
            "lines {:.4} apart need {:.2} s in one piece; the recording lasts {:.2} s",
            settings.resolution,
            length / rate,
            samples.len() as f64 / rate
        ));
    }
    let length = length as usize;
    // The next segment starts at least one sample on.
    let stride = (length - (settings.overlap * length as f64) as usize).max(1);
    let window = taper(settings.window, length);
    let power: f64 = window.iter().map(|w| w * w).sum();
    let mut planner = RealFftPlanner::<f64>::new();
    let transform = planner.plan_fft_forward(length);
    let mut input = transform.make_input_vec();
    let mut output = transform.make_output_vec();
    let mut density = vec![0.0; output.len()];
    let mut segments = 0;
    for start in (0..=samples.len() - length).step_by(stride) {
        let piece = &samples[start..start + length];
        let mean = piece.iter().sum::<f64>() / length as f64;
        for ((to, &a), &w) in input.iter_mut().zip(piece).zip(&window) {
            *to = (a - mean) * w;
        }
        transform
            .process(&mut input, &mut output)
            .map_err(|error| VibrationError::Settings(format!("the transform failed: {error}")))?;
        for (sum, line) in density.iter_mut().zip(&output) {
            *sum += line.norm_sqr();
        }
        segments += 1;
    }
    let last = density.len() - 1;
    for (line, value) in density.iter_mut().enumerate() {
        let one_sided = if line == 0 || (length.is_multiple_of(2) && line == last) {
            1.0
        } else {
            2.0
        };
        *value *= one_sided / (rate * power * segments as f64);
    }
    let equivalent_averages = equivalent_averages(&window, power, stride, segments);
    Ok(Estimate {
        resolution: Frequency::from_si(rate / length as f64),
        density,
        segments,
        equivalent_averages,
        band: confidence_band(equivalent_averages, settings.confidence),
        confidence: settings.confidence,
    })
}

fn taper(window: Window, length: usize) -> Vec<f64> {
    (0..length)
        .map(|i| match window {
            Window::Hann => 0.5 - 0.5 * (TAU * i as f64 / length as f64).cos(),
            Window::Rectangular => 1.0,
        })
        .collect()
}

/// K / (1 + 2 sum (1 - j/K) r), r the squared correlation of tapers j strides apart.
fn equivalent_averages(window: &[f64], power: f64, stride: usize, segments: usize) -> f64 {
    let count = segments as f64;
    let mut inflation = 1.0;
    for apart in 1..segments {
        let shift = apart * stride;
        if shift >= window.len() {
            break;
        }
        let product: f64 = window[shift..].iter().zip(window).map(|(a, b)| a * b).sum();
        inflation += 2.0 * (1.0 - apart as f64 / count) * (product / power).powi(2);
    }
    count / inflation
}

/// True over estimated density, low and high: 2 n over the upper and lower quantile of chi-square with 2 n degrees.
fn confidence_band(averages: f64, confidence: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - confidence);
    let quantile = |p: f64| gamma_quantile(averages, p);
    (averages / quantile(1.0 - tail), averages / quantile(tail))
}

/// The x below which a gamma variable of this shape (scale 1) lies with probability p.
fn gamma_quantile(shape: f64, probability: f64) -> f64 {
    let mut low = 0.0;
    let mut high = shape + 1.0;
    while lower_gamma(shape, high) < probability {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if lower_gamma(shape, middle) < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The regularised lower incomplete gamma function: series below shape + 1, continued fraction above.
///
/// # Source
/// Textbook (Abramowitz and Stegun 6.5.29 and 6.5.31).
fn lower_gamma(shape: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    let front = (shape * x.ln() - x - libm::lgamma(shape)).exp();
    if x < shape + 1.0 {
        let mut term = 1.0 / shape;
        let mut sum = term;
        let mut n = shape;
        for _ in 0..100_000 {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term < sum * 1e-16 {
                break;
            }
        }
        return front * sum;
    }
    // Lentz's method.
    let tiny = 1e-300;
    let mut b = x + 1.0 - shape;
    let mut c = 1.0 / tiny;
    let mut d = 1.0 / b;
    let mut fraction = d;
    for i in 1..100_000 {
        let a = -f64::from(i) * (f64::from(i) - shape);
        b += 2.0;
        d = a * d + b;
        d = 1.0 / if d.abs() < tiny { tiny } else { d };
        c = b + a / c;
        c = if c.abs() < tiny { tiny } else { c };
        let factor = d * c;
        fraction *= factor;
        if (factor - 1.0).abs() < 1e-15 {
            break;
        }
    }
    1.0 - front * fraction
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Duration;
    use proptest::prelude::*;

    fn noise(count: usize, seed: u64) -> Vec<f64> {
        let mut state = seed;
        (0..count)
            .map(|_| {
                // Twelve uniform numbers make a good Gaussian.
                (0..12)
                    .map(|_| {
                        state = state
                            .wrapping_mul(6_364_136_223_846_793_005)
                            .wrapping_add(1_442_695_040_888_963_407);
                        (state >> 11) as f64 / (1_u64 << 53) as f64
                    })
                    .sum::<f64>()
                    - 6.0
            })
            .collect()
    }

    fn history(samples: Vec<f64>) -> History {
        History::new(Duration::from_si(1e-3), samples).unwrap()
    }

    #[test]
    fn wrong_settings_are_refused() {
        let recording = history(noise(4000, 1));
        let refused = |settings: WelchSettings| welch(&recording, &settings).unwrap_err().to_string();
        let good = WelchSettings::default();
        assert!(refused(WelchSettings { overlap: 1.0, ..good }).contains("overlap"));
        assert!(
            refused(WelchSettings {
                confidence: 1.0,
                ..good
            })
            .contains("confidence")
        );
        let at = |f| WelchSettings {
            resolution: Frequency::from_si(f),
            ..good
        };
        assert!(refused(at(0.1)).contains("lasts 4.00 s"));
        assert!(refused(at(500.0)).contains("125.0 Hz"));
        assert!(refused(at(0.0)).contains("above zero"));
    }

    #[test]
    fn chi_square_quantiles_are_the_tables() {
        // Chi-square with 10 degrees: 5 % at 3.940, 95 % at 18.307 (tables).
        let (low, high) = confidence_band(5.0, 0.9);
        assert!(
            (low - 10.0 / 18.307).abs() < 1e-4 && (high - 10.0 / 3.940).abs() < 3e-4,
            "{low} {high}"
        );
    }

    #[test]
    fn the_scatter_of_noise_is_what_the_averages_say() {
        let estimate = welch(&history(noise(200_000, 7)), &WelchSettings::default()).unwrap();
        let lines = &estimate.density[5..495];
        let mean = lines.iter().sum::<f64>() / lines.len() as f64;
        let variance = lines.iter().map(|d| (d / mean - 1.0).powi(2)).sum::<f64>() / lines.len() as f64;
        // White noise of variance 1 at 1000 samples a second: 2/1000 each line.
        assert!((mean / 0.002 - 1.0).abs() < 0.02, "{mean}");
        assert!(
            (variance * estimate.equivalent_averages - 1.0).abs() < 0.25,
            "{variance} {}",
            estimate.equivalent_averages
        );
        let inside = lines
            .iter()
            .filter(|&&d| d * estimate.band.0 <= 0.002 && d * estimate.band.1 >= 0.002)
            .count() as f64
            / lines.len() as f64;
        assert!((inside - 0.9).abs() < 0.05, "{inside}");
    }

    proptest! {
        #[test]
        fn the_lines_of_one_whole_segment_add_up_to_the_variance(samples in proptest::collection::vec(-9.0..9.0_f64, 64)) {
            // Parseval: no taper, no overlap, one segment.
            let recording = history(samples.clone());
            let settings = WelchSettings {
                resolution: Frequency::from_si(1000.0 / 64.0),
                overlap: 0.0,
                window: Window::Rectangular,
                confidence: 0.9,
            };
            let estimate = welch(&recording, &settings).unwrap();
            let mean = samples.iter().sum::<f64>() / 64.0;
            let variance = samples.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / 64.0;
            prop_assert!((estimate.overall().si().powi(2) - variance).abs() < 1e-9);
            prop_assert_eq!(estimate.segments, 1);
        }

        #[test]
        fn units_go_through_as_their_square(factor in 0.01..100.0_f64, seed in 0..1000_u64) {
            let samples = noise(3000, seed);
            let settings = WelchSettings { resolution: Frequency::from_si(5.0), ..WelchSettings::default() };
            let one = welch(&history(samples.clone()), &settings).unwrap();
            let other = welch(&history(samples.iter().map(|a| a * factor).collect()), &settings).unwrap();
            for (a, b) in one.density.iter().zip(&other.density) {
                prop_assert!((a * factor * factor - b).abs() <= 1e-9 * factor * factor * (1e-6 + a));
            }
        }

        #[test]
        fn turning_the_recorder_keeps_the_sum_of_axes(seed in 0..1000_u64, angle in 0.0..6.3_f64) {
            let (x, y) = (noise(3000, seed), noise(3000, seed + 5000));
            let (sin, cos) = angle.sin_cos();
            let u: Vec<f64> = x.iter().zip(&y).map(|(x, y)| cos * x - sin * y).collect();
            let v: Vec<f64> = x.iter().zip(&y).map(|(x, y)| sin * x + cos * y).collect();
            let settings = WelchSettings { resolution: Frequency::from_si(5.0), ..WelchSettings::default() };
            let of = |samples: Vec<f64>| welch(&history(samples), &settings).unwrap().density;
            let (x, y, u, v) = (of(x), of(y), of(u), of(v));
            for line in 0..x.len() {
                prop_assert!((x[line] + y[line] - u[line] - v[line]).abs() < 1e-12 + 1e-9 * (x[line] + y[line]));
            }
        }
    }
}
