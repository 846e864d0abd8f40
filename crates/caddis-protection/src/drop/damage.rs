//! The damage boundary: velocity change and acceleration that must both be passed before a shock does harm.

use caddis_basis::{Acceleration, STANDARD_GRAVITY, Speed};

/// Critical values of an item, measured on a shock machine or derived from one component.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DamageBoundary {
    /// Velocity change below which no acceleration harms.
    pub velocity_change: Speed,
    /// Acceleration below which no velocity change harms.
    pub acceleration: Acceleration,
}

impl DamageBoundary {
    /// The boundary of one undamped component with its natural frequency (Hz) and the acceleration it stands: half of
    /// that for a long square pulse, which doubles on the component; for a short one the velocity change alone counts.
    ///
    /// # Source
    /// dV = A / (2 pi f), A/2: derived from the single degree of freedom; the method: ASTM D3332 and R. E. Newton,
    /// Fragility Assessment, 1968 (secondary).
    pub fn of_component(frequency: f64, stands: Acceleration) -> Self {
        Self {
            velocity_change: Speed::from_si(stands.si() / (2.0 * std::f64::consts::PI * frequency)),
            acceleration: stands / 2.0,
        }
    }

    /// Whether a shock lies beyond the boundary: both values passed. Between the velocity change and pi/2 times it the
    /// true boundary of a square pulse rises above the critical acceleration; taking the corner errs to the safe side.
    ///
    /// # Source
    /// As [`DamageBoundary::of_component`]; the corner at pi/2 derived.
    pub fn is_passed(&self, peak: Acceleration, velocity_change: Speed) -> bool {
        peak > self.acceleration && velocity_change > self.velocity_change
    }

    /// The height whose fall, with this share of rebound, has the critical velocity change; drops below it are harmless
    /// whatever the foam.
    ///
    /// # Units
    /// Metres.
    ///
    /// # Source
    /// h = dV² / (2 g (1 + e)²), derived.
    pub fn harmless_height(&self, rebound: f64) -> f64 {
        (self.velocity_change.si() / (1.0 + rebound)).powi(2) / (2.0 * STANDARD_GRAVITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_component_gives_the_derived_values() {
        // f = 50 Hz, 80 g: 2.49724 m/s and 40 g, derived.
        let boundary = DamageBoundary::of_component(50.0, Acceleration::g(80.0));
        assert!((boundary.velocity_change.si() - 2.497_24).abs() < 1e-5);
        assert!((boundary.acceleration.as_g() - 40.0).abs() < 1e-12);
        // dV = 4 m/s: 0.81577 m without rebound, 0.36257 m at a half, derived.
        let four = DamageBoundary {
            velocity_change: Speed::from_si(4.0),
            ..boundary
        };
        assert!((four.harmless_height(0.0) - 0.815_77).abs() < 1e-5);
        assert!((four.harmless_height(0.5) - 0.362_57).abs() < 1e-5);
    }

    #[test]
    fn both_values_must_be_passed() {
        let boundary = DamageBoundary {
            velocity_change: Speed::from_si(2.5),
            acceleration: Acceleration::g(40.0),
        };
        assert!(boundary.is_passed(Acceleration::g(50.0), Speed::from_si(3.0)));
        assert!(!boundary.is_passed(Acceleration::g(500.0), Speed::from_si(2.0)));
        assert!(!boundary.is_passed(Acceleration::g(30.0), Speed::from_si(9.0)));
    }
}
