//! Mindlin's cushions as laws of stress against strain: linear, cubic, tangent, hyperbolic tangent, bilinear.
//!
//! Each is the force law of `mindlin` over an area A and a thickness t: sigma = F/A, e = x/t, modulus = k t/A.

use crate::LawError;
use crate::root::rising_root;
use std::f64::consts::PI;

/// One of Mindlin's cushions, per area and thickness. Moduli and stresses in pascals.
///
/// # Source
/// Forms from memory as R. D. Mindlin, "Dynamics of Package Cushioning", Bell System Technical Journal 24, 1945; energies
/// and inverses derived.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpringLaw {
    /// sigma = E e.
    Linear {
        /// E, Pa.
        modulus: f64,
    },
    /// sigma = E e + R e³.
    Cubic {
        /// E, Pa.
        modulus: f64,
        /// R, Pa.
        hardening: f64,
    },
    /// sigma = (2 E d/π) tan(π e / 2 d): hardens and bottoms at strain d.
    Tangent {
        /// E, Pa.
        modulus: f64,
        /// d, a strain up to 1.
        bottoming: f64,
    },
    /// sigma = S tanh(E e / S): softens towards a ceiling.
    HyperbolicTangent {
        /// E, Pa.
        modulus: f64,
        /// S, Pa.
        ceiling: f64,
    },
    /// sigma = E e up to the knee, then rises with the second modulus.
    Bilinear {
        /// E, Pa.
        modulus: f64,
        /// Strain of the knee.
        knee: f64,
        /// Modulus beyond the knee, Pa.
        second_modulus: f64,
    },
}

impl SpringLaw {
    /// The constants with their names, for checks and messages.
    fn constants(&self) -> Vec<(&'static str, f64)> {
        match *self {
            Self::Linear { modulus } => vec![("modulus", modulus)],
            Self::Cubic { modulus, hardening } => vec![("modulus", modulus), ("hardening", hardening)],
            Self::Tangent { modulus, bottoming } => {
                vec![("modulus", modulus), ("bottoming strain", bottoming)]
            }
            Self::HyperbolicTangent { modulus, ceiling } => vec![("modulus", modulus), ("ceiling", ceiling)],
            Self::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => vec![
                ("modulus", modulus),
                ("knee", knee),
                ("second modulus", second_modulus),
            ],
        }
    }

    pub(crate) fn check(&self) -> Result<(), LawError> {
        for (name, value) in self.constants() {
            if !(value.is_finite() && value > 0.0) {
                return Err(LawError::Constants(format!(
                    "the {name} of a spring law must be positive, not {value}"
                )));
            }
            if matches!(name, "bottoming strain" | "knee") && value > 1.0 {
                return Err(LawError::Constants(format!(
                    "the {name} {value} lies beyond the whole thickness"
                )));
            }
        }
        Ok(())
    }

    /// The strain at which it ends: its pole, or the whole thickness.
    pub(crate) fn last_strain(&self) -> f64 {
        match *self {
            Self::Tangent { bottoming, .. } => bottoming,
            _ => 1.0,
        }
    }

    /// Whether the stress grows without bound towards the last strain.
    pub(crate) fn has_pole(&self) -> bool {
        matches!(self, Self::Tangent { .. })
    }

    /// Stress at a strain between 0 and the last.
    pub(crate) fn stress(&self, strain: f64) -> f64 {
        match *self {
            Self::Linear { modulus } => modulus * strain,
            Self::Cubic { modulus, hardening } => (modulus + hardening * strain * strain) * strain,
            Self::Tangent { modulus, bottoming } => {
                2.0 * modulus * bottoming / PI * (PI * strain / (2.0 * bottoming)).tan()
            }
            Self::HyperbolicTangent { modulus, ceiling } => ceiling * (modulus * strain / ceiling).tanh(),
            Self::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => modulus * strain.min(knee) + second_modulus * (strain - knee).max(0.0),
        }
    }

    /// Slope of the stress at a strain between 0 and the last.
    pub(crate) fn tangent(&self, strain: f64) -> f64 {
        match *self {
            Self::Linear { modulus } => modulus,
            Self::Cubic { modulus, hardening } => modulus + 3.0 * hardening * strain * strain,
            Self::Tangent { modulus, bottoming } => {
                let cos = (PI * strain / (2.0 * bottoming)).cos();
                modulus / (cos * cos)
            }
            Self::HyperbolicTangent { modulus, ceiling } => {
                let tanh = (modulus * strain / ceiling).tanh();
                modulus * (1.0 - tanh * tanh)
            }
            Self::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => {
                if strain < knee {
                    modulus
                } else {
                    second_modulus
                }
            }
        }
    }

    /// Energy per volume up to a strain between 0 and the last, J/m³.
    pub(crate) fn energy(&self, strain: f64) -> f64 {
        match *self {
            Self::Linear { modulus } => 0.5 * modulus * strain * strain,
            Self::Cubic { modulus, hardening } => {
                let square = strain * strain;
                (0.5 * modulus + 0.25 * hardening * square) * square
            }
            Self::Tangent { modulus, bottoming } => {
                let sin = (PI * strain / (2.0 * bottoming)).sin();
                // -ln cos u = -ln(1 - sin² u)/2, which keeps its digits at small strains.
                -2.0 * modulus * bottoming * bottoming / (PI * PI) * (-sin * sin).ln_1p()
            }
            Self::HyperbolicTangent { modulus, ceiling } => {
                let u = modulus * strain / ceiling;
                let log_cosh = if u < 1.0 {
                    0.5 * (u.sinh() * u.sinh()).ln_1p()
                } else {
                    u + (-2.0 * u).exp().ln_1p() - std::f64::consts::LN_2
                };
                ceiling * ceiling / modulus * log_cosh
            }
            Self::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => {
                let (low, high) = (strain.min(knee), (strain - knee).max(0.0));
                0.5 * modulus * low * low + (modulus * knee + 0.5 * second_modulus * high) * high
            }
        }
    }

    /// The strain at which a positive stress is reached; `None` when it never is.
    pub(crate) fn strain_at_stress(&self, stress: f64) -> Option<f64> {
        let strain = match *self {
            Self::Linear { modulus } => stress / modulus,
            Self::Cubic { .. } => {
                if self.stress(1.0) < stress {
                    return None;
                }
                rising_root(0.0, 1.0, |e| (self.stress(e) - stress, self.tangent(e)))
            }
            Self::Tangent { modulus, bottoming } => {
                2.0 * bottoming / PI * (PI * stress / (2.0 * modulus * bottoming)).atan()
            }
            Self::HyperbolicTangent { modulus, ceiling } => {
                if stress >= ceiling {
                    return None;
                }
                ceiling / modulus * (stress / ceiling).atanh()
            }
            Self::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => {
                let at_knee = modulus * knee;
                if stress <= at_knee {
                    stress / modulus
                } else {
                    knee + (stress - at_knee) / second_modulus
                }
            }
        };
        (strain <= self.last_strain()).then_some(strain)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn springs() -> [SpringLaw; 5] {
        [
            SpringLaw::Linear { modulus: 2e5 },
            SpringLaw::Cubic {
                modulus: 1e5,
                hardening: 8e5,
            },
            SpringLaw::Tangent {
                modulus: 1e5,
                bottoming: 0.8,
            },
            SpringLaw::HyperbolicTangent {
                modulus: 4e5,
                ceiling: 6e4,
            },
            SpringLaw::Bilinear {
                modulus: 1e5,
                knee: 0.3,
                second_modulus: 9e5,
            },
        ]
    }

    #[test]
    fn energy_and_tangent_belong_to_the_stress() {
        for spring in springs() {
            spring.check().unwrap();
            for strain in [0.01, 0.2, 0.29, 0.5, 0.75] {
                let n = 20_000;
                let sum: f64 = (0..n)
                    .map(|i| spring.stress(strain * (f64::from(i) + 0.5) / f64::from(n)))
                    .sum();
                let energy = sum * strain / f64::from(n);
                assert!(
                    (spring.energy(strain) / energy - 1.0).abs() < 1e-6,
                    "{spring:?} {strain}"
                );
                let slope = (spring.stress(strain + 1e-6) - spring.stress(strain - 1e-6)) / 2e-6;
                assert!(
                    (spring.tangent(strain) / slope - 1.0).abs() < 1e-5,
                    "{spring:?} {strain}"
                );
                let back = spring.strain_at_stress(spring.stress(strain)).unwrap();
                assert!((back - strain).abs() < 1e-9, "{spring:?} {strain} {back}");
            }
        }
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(SpringLaw::Linear { modulus: 0.0 }.check().is_err());
        assert!(
            SpringLaw::Tangent {
                modulus: 1.0,
                bottoming: 1.5
            }
            .check()
            .is_err()
        );
        assert!(
            SpringLaw::HyperbolicTangent {
                modulus: 1.0,
                ceiling: f64::NAN
            }
            .check()
            .is_err()
        );
        assert_eq!(
            SpringLaw::HyperbolicTangent {
                modulus: 1e5,
                ceiling: 1e4
            }
            .strain_at_stress(1e4),
            None
        );
    }
}
