//! The stress-energy fit: a straight line through ln(G s) over s h/t, with what is known of its spread.

use super::FitError;
use super::student::{beyond, exceeded_with};
use crate::{Law, LawError, LawKind, LawRange};
use caddis_basis::Source;

/// Confidence of every band and interval.
pub(crate) const CONFIDENCE: f64 = 0.95;
/// An outlier is one that chance gives less often than this in the whole set (Bonferroni).
const OUTLIER_CHANCE: f64 = 0.05;

/// A fitted line ln(G s) = ln a + b s h/t.
///
/// # Source
/// Ordinary least squares, Student's t intervals, externally studentized residuals: textbook; checked against statsmodels.
#[derive(Debug, Clone, PartialEq)]
pub struct StressEnergyFit {
    /// a, Pa.
    pub a: f64,
    /// b, 1/Pa.
    pub b: f64,
    /// 95 % interval of a, Pa.
    pub a_interval: (f64, f64),
    /// 95 % interval of b, 1/Pa.
    pub b_interval: (f64, f64),
    /// Standard deviation of ln(measured peak / fitted peak): the scatter, as a fraction of the peak.
    pub scatter: f64,
    /// Share of the spread of ln(G s) that the line explains.
    pub r_squared: f64,
    /// Number of tests.
    pub count: usize,
    /// Least and greatest s h/t, J/m³.
    pub energies: (f64, f64),
    /// Tests that do not belong (by index into what was fitted); they are in the fit all the same.
    pub outliers: Vec<Outlier>,
    /// Mean of s h/t, J/m³.
    mean_energy: f64,
    /// Sum of squared distances of s h/t from its mean.
    spread: f64,
    /// Student's t for the confidence.
    t: f64,
}

/// A test far from the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// Index of the test.
    pub index: usize,
    /// Externally studentized residual.
    pub residual: f64,
    /// Chance of one so far out among all tests (Bonferroni).
    pub chance: f64,
    /// Measured peak over fitted peak.
    pub ratio: f64,
}

/// 95 % bands of the dynamic stress G s at one energy, Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The line.
    pub fitted: f64,
    /// Where the true line lies.
    pub mean: (f64, f64),
    /// Where one more drop lies.
    pub single: (f64, f64),
}

impl StressEnergyFit {
    /// Fits (s h/t, G s) pairs, both in pascals.
    ///
    /// # Errors
    /// Fewer than three pairs or two energies; a stress that does not rise with the energy.
    pub fn of(pairs: &[(f64, f64)]) -> Result<Self, FitError> {
        let count = pairs.len();
        let n = count as f64;
        if count < 3 {
            return Err(FitError::Rows(format!(
                "{count} drops are too few for a line and its scatter; at least 3, better 15 (five at each of three energies)"
            )));
        }
        let mean_x = pairs.iter().map(|p| p.0).sum::<f64>() / n;
        let mean_y = pairs.iter().map(|p| p.1.ln()).sum::<f64>() / n;
        let spread: f64 = pairs.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
        if spread <= 1e-9 * mean_x * mean_x * n {
            return Err(FitError::Rows(
                "all drops spend the same energy s h/t: no line goes through one place; change static stress, height or \
                 thickness"
                    .to_owned(),
            ));
        }
        let b = pairs
            .iter()
            .map(|p| (p.0 - mean_x) * (p.1.ln() - mean_y))
            .sum::<f64>()
            / spread;
        if b <= 0.0 {
            return Err(FitError::Rows(format!(
                "the stress G s does not rise with the energy s h/t (b = {b:.3e} 1/Pa): these drops make no stress-energy law"
            )));
        }
        let intercept = mean_y - b * mean_x;
        let residuals: Vec<f64> = pairs.iter().map(|p| p.1.ln() - intercept - b * p.0).collect();
        let rest: f64 = residuals.iter().map(|r| r * r).sum();
        let whole: f64 = pairs.iter().map(|p| (p.1.ln() - mean_y).powi(2)).sum();
        let freedom = n - 2.0;
        let variance = rest / freedom;
        let t = exceeded_with(1.0 - CONFIDENCE, count - 2);
        let b_error = (variance / spread).sqrt();
        let a_error = (variance * (1.0 / n + mean_x * mean_x / spread)).sqrt();
        let least = pairs.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
        let most = pairs.iter().map(|p| p.0).fold(0.0, f64::max);
        Ok(Self {
            a: intercept.exp(),
            b,
            a_interval: ((intercept - t * a_error).exp(), (intercept + t * a_error).exp()),
            b_interval: (b - t * b_error, b + t * b_error),
            scatter: variance.sqrt(),
            r_squared: 1.0 - rest / whole,
            count,
            energies: (least, most),
            outliers: outliers(pairs, &residuals, mean_x, spread, rest),
            mean_energy: mean_x,
            spread,
            t,
        })
    }

    /// The bands at one energy s h/t, J/m³.
    pub fn band(&self, energy: f64) -> Band {
        let line = self.a.ln() + self.b * energy;
        let leverage = 1.0 / self.count as f64 + (energy - self.mean_energy).powi(2) / self.spread;
        let mean = self.t * self.scatter * leverage.sqrt();
        let single = self.t * self.scatter * (1.0 + leverage).sqrt();
        Band {
            fitted: line.exp(),
            mean: ((line - mean).exp(), (line + mean).exp()),
            single: ((line - single).exp(), (line + single).exp()),
        }
    }

    /// The strain at which the equivalent law is crushed solid: 1/(a b).
    pub fn densification_strain(&self) -> f64 {
        1.0 / (self.a * self.b)
    }

    /// Strain of the equivalent law at the greatest energy tested: as far as the data reach.
    pub fn greatest_strain(&self) -> f64 {
        -(-self.b * self.energies.1).exp_m1() / (self.a * self.b)
    }

    /// The law, valid where it was tested.
    ///
    /// # Errors
    /// As [`Law::check`].
    pub fn law(
        &self,
        mut range: LawRange,
        is_measured_dynamic: bool,
        source: Source,
    ) -> Result<Law, LawError> {
        range.greatest_strain = self.greatest_strain();
        Law {
            kind: LawKind::StressEnergy { a: self.a, b: self.b },
            range,
            // Measured peaks contain the work of gravity in the stroke.
            gravity_in_fit: true,
            is_measured_dynamic,
            source,
        }
        .validated()
    }
}

/// Tests whose externally studentized residual is too large for chance.
fn outliers(pairs: &[(f64, f64)], residuals: &[f64], mean: f64, spread: f64, rest: f64) -> Vec<Outlier> {
    let n = pairs.len() as f64;
    let Some(freedom) = pairs.len().checked_sub(3).filter(|f| *f > 0) else {
        return Vec::new();
    };
    pairs
        .iter()
        .zip(residuals)
        .enumerate()
        .filter_map(|(index, (pair, &residual))| {
            let leverage = 1.0 / n + (pair.0 - mean).powi(2) / spread;
            let left = rest - residual * residual / (1.0 - leverage);
            let studentized = residual / (left.max(0.0) / freedom as f64 * (1.0 - leverage)).sqrt();
            let chance = (beyond(studentized, freedom) * n).min(1.0);
            (chance < OUTLIER_CHANCE).then_some(Outlier {
                index,
                residual: studentized,
                chance,
                ratio: residual.exp(),
            })
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn exact_data_come_back() {
        let (a, b) = (3e4, 3.5e-5);
        let pairs: Vec<(f64, f64)> = (1..=12)
            .map(|i| 3000.0 * f64::from(i))
            .map(|x| (x, a * (b * x).exp()))
            .collect();
        let fit = StressEnergyFit::of(&pairs).unwrap();
        assert!((fit.a / a - 1.0).abs() < 1e-10 && (fit.b / b - 1.0).abs() < 1e-10);
        assert!(fit.scatter < 1e-10 && fit.r_squared > 1.0 - 1e-12);
        assert!((fit.greatest_strain() - (1.0 - (-b * 36_000.0_f64).exp()) / (a * b)).abs() < 1e-9);
    }

    #[test]
    fn one_wild_drop_is_named() {
        let mut pairs: Vec<(f64, f64)> = (1..=20)
            .map(|i| 2000.0 * f64::from(i))
            .map(|x| (x, 3e4 * (3.5e-5 * x + 0.02 * (x * 0.7).sin()).exp()))
            .collect();
        assert!(StressEnergyFit::of(&pairs).unwrap().outliers.is_empty());
        pairs[7].1 *= 1.5;
        let fit = StressEnergyFit::of(&pairs).unwrap();
        assert_eq!(fit.outliers.len(), 1);
        assert!(fit.outliers[0].index == 7 && fit.outliers[0].ratio > 1.3);
        let band = fit.band(20_000.0);
        assert!(band.single.0 < band.mean.0 && band.mean.0 < band.fitted && band.fitted < band.mean.1);
    }

    #[test]
    fn no_line_is_said() {
        assert!(StressEnergyFit::of(&[(1.0, 1.0), (2.0, 3.0)]).is_err());
        assert!(StressEnergyFit::of(&[(5.0, 1.0), (5.0, 2.0), (5.0, 3.0)]).is_err());
        let falling = [(1e3, 5e4), (2e3, 4e4), (3e3, 3e4)];
        let error = StressEnergyFit::of(&falling).unwrap_err();
        assert!(error.to_string().contains("does not rise"), "{error}");
    }
}
