//! The closed-cell gas law through a compression test.

use super::FitError;
use crate::{Law, LawError, LawKind, LawRange};
use caddis_basis::Source;

/// Strains the line is laid through: beyond the knee of the plateau, before the cell walls touch.
const STRAINS: (f64, f64) = (0.15, 0.50);

/// sigma = s0 + p e/(1 - e - R) through the loading branch of a compression test.
///
/// # Source
/// Verdejo and Mills estimate the effective cell pressure and the initial yield stress from such tests (seen); the
/// equation is from memory. Ordinary least squares in e/(1 - e - R), textbook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasFit {
    /// Plateau stress s0, Pa; below 0 where the test is no plateau with gas behind it.
    pub plateau: f64,
    /// Effective gas pressure p, Pa.
    pub gas_pressure: f64,
    /// Solid fraction R that was stated.
    pub solid_fraction: f64,
    /// Share of the spread of the stress that the line explains.
    pub r_squared: f64,
    /// Readings the line goes through.
    pub count: usize,
    /// The greatest of their strains.
    pub greatest_strain: f64,
}

impl GasFit {
    /// Fits (strain, stress Pa) points; those from 0.15 to 0.50 count.
    ///
    /// # Errors
    /// A solid fraction outside 0 to 0.45, where the law's pole would lie among the readings; fewer than five readings
    /// between the strains; a stress that does not rise with the gas's compression.
    pub fn of(points: &[(f64, f64)], solid_fraction: f64) -> Result<Self, FitError> {
        if !(0.0..=0.45).contains(&solid_fraction) {
            return Err(FitError::Rows(format!(
                "a solid fraction of {solid_fraction} makes no gas law: it is the foam's density over its polymer's, from 0 to 0.45"
            )));
        }
        let (low, high) = STRAINS;
        let pairs: Vec<(f64, f64, f64)> = points
            .iter()
            .filter(|(e, _)| *e > low && *e < high)
            .map(|&(e, stress)| (e / (1.0 - e - solid_fraction), stress, e))
            .collect();
        if pairs.len() < 5 {
            return Err(FitError::Rows(format!(
                "{} readings between strains {low} and {high} are too few for a gas law; give at least 5",
                pairs.len()
            )));
        }
        let n = pairs.len() as f64;
        let mean_x = pairs.iter().map(|p| p.0).sum::<f64>() / n;
        let mean_y = pairs.iter().map(|p| p.1).sum::<f64>() / n;
        let spread: f64 = pairs.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
        let whole: f64 = pairs.iter().map(|p| (p.1 - mean_y).powi(2)).sum();
        let gas_pressure = pairs.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum::<f64>() / spread;
        if !(gas_pressure > 0.0 && whole > 0.0) {
            return Err(FitError::Rows(
                "the stress does not rise as the gas in the cells is compressed: this foam is no closed-cell gas cushion"
                    .to_owned(),
            ));
        }
        let plateau = mean_y - gas_pressure * mean_x;
        let rest: f64 = pairs
            .iter()
            .map(|p| (p.1 - plateau - gas_pressure * p.0).powi(2))
            .sum();
        Ok(Self {
            plateau,
            gas_pressure,
            solid_fraction,
            r_squared: 1.0 - rest / whole,
            count: pairs.len(),
            greatest_strain: pairs.iter().map(|p| p.2).fold(0.0, f64::max),
        })
    }

    /// The fit as a law up to the last strain it went through: slow compression, so never measured in impact.
    ///
    /// # Errors
    /// A plateau below 0, which no foam has: the table of the readings speaks for it, not this form.
    pub fn law(&self, source: Source) -> Result<Law, LawError> {
        Law {
            kind: LawKind::ClosedCellGas {
                s0: self.plateau,
                p0: self.gas_pressure,
                r: self.solid_fraction,
            },
            range: LawRange {
                static_stress: None,
                greatest_strain: self.greatest_strain,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source,
        }
        .validated()
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Certainty;
    use proptest::prelude::*;

    fn points(s0: f64, p: f64, r: f64) -> Vec<(f64, f64)> {
        (0..60)
            .map(|i| f64::from(i) * 0.01)
            .map(|e| (e, s0 + p * e / (1.0 - e - r)))
            .collect()
    }

    proptest! {
        /// A law's own points give the law back, in any unit of stress.
        #[test]
        fn a_law_is_found_again(s0 in 1e3..1e5_f64, p in 5e4..3e5_f64, r in 0.0..0.2_f64, unit in 0.1..10.0_f64) {
            let scaled: Vec<(f64, f64)> = points(s0, p, r).iter().map(|q| (q.0, q.1 * unit)).collect();
            let fit = GasFit::of(&scaled, r).unwrap();
            prop_assert!((fit.gas_pressure / (p * unit) - 1.0).abs() < 1e-9);
            prop_assert!((fit.plateau / (s0 * unit) - 1.0).abs() < 1e-7);
            prop_assert!((fit.r_squared - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_no_gas_law_is_refused() {
        let source = Source::new("test", Certainty::Measured);
        let below = GasFit::of(&points(-800.0, 1.5e5, 0.1), 0.1).unwrap();
        assert!(below.plateau < 0.0 && below.law(source.clone()).is_err());
        assert!(
            GasFit::of(&points(2e4, 1.5e5, 0.1), 0.1)
                .unwrap()
                .law(source)
                .is_ok()
        );
        assert!(GasFit::of(&points(2e4, 1.5e5, 0.1), 0.6).is_err());
        assert!(GasFit::of(&points(2e4, 1.5e5, 0.1), f64::NAN).is_err());
        assert!(GasFit::of(&points(2e4, -1.0, 0.1), 0.1).is_err());
        assert!(GasFit::of(&points(2e4, 1.5e5, 0.1)[..18], 0.1).is_err());
    }
}
