//! The damage boundary: an item is harmed only by a shock that passes two limits at once.
//!
//! Short shocks harm by their velocity change, long ones by their acceleration. The plane of the two has a region where
//! damage is expected: right of the critical velocity change and above the critical acceleration. Between the critical
//! velocity change and 1.57 times it, the boundary of square pulses bends; the straight corner is on the safe side of it.

use super::{PulseMeasures, ResponseError};
use caddis_basis::{Acceleration, Frequency, Speed};
use std::f64::consts::{FRAC_PI_2, PI};

/// Velocity change of the knee of the square-pulse boundary over the critical one: pi/2.
///
/// # Source
/// Derived (f T = 0.5); ASTM D3332 asks the critical-acceleration test to use at least 1.57 times (from memory,
/// unverified).
pub const KNEE: f64 = FRAC_PI_2;

/// An item's two limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DamageBoundary {
    /// Below this velocity change no acceleration harms.
    pub velocity_change: Speed,
    /// Below this acceleration no velocity change harms.
    pub acceleration: Acceleration,
}

/// Where a shock lies on the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DamageJudgement {
    /// The velocity change is too small to harm, whatever the acceleration.
    TooShort,
    /// The acceleration is too small to harm, whatever the velocity change.
    TooGentle,
    /// Past both limits.
    Damage,
}

impl DamageBoundary {
    /// The boundary itself if both limits are above zero.
    ///
    /// # Errors
    /// A limit that is not.
    pub fn validated(self) -> Result<Self, ResponseError> {
        let good = |value: f64| value.is_finite() && value > 0.0;
        if good(self.velocity_change.si()) && good(self.acceleration.si()) {
            Ok(self)
        } else {
            Err(ResponseError::Settings(format!(
                "critical velocity change {} and critical acceleration {} must be above zero",
                self.velocity_change, self.acceleration
            )))
        }
    }

    /// The boundary of one undamped component that breaks at its own response.
    ///
    /// # Source
    /// dV = A/(2 pi f), table acceleration A/2 for the square pulse; derived (R. E. Newton 1968, ASTM D3332).
    pub fn of_component(natural: Frequency, response: Acceleration) -> Self {
        Self {
            velocity_change: Speed::from_si(response.si() / (2.0 * PI * natural.si())),
            acceleration: response / 2.0,
        }
    }

    /// Judges a shock against the straight corner, which lies on the safe side of the bent one.
    pub fn judge(&self, velocity_change: Speed, peak: Acceleration) -> DamageJudgement {
        if velocity_change.abs() <= self.velocity_change {
            DamageJudgement::TooShort
        } else if peak.abs() <= self.acceleration {
            DamageJudgement::TooGentle
        } else {
            DamageJudgement::Damage
        }
    }

    /// Judges a measured pulse.
    pub fn judge_pulse(&self, pulse: &PulseMeasures) -> DamageJudgement {
        self.judge(pulse.velocity_change, pulse.peak)
    }

    /// Points (velocity change, acceleration) of the square-pulse boundary from `top` times the critical acceleration
    /// down to the knee, for a plot; beyond the knee it runs level.
    ///
    /// # Source
    /// With q = pi f T from 0 to pi/2: `A = A_c / sin q`, `dV = dV_c q / sin q`; derived from the square pulse's undamped
    /// response 2 A sin(pi f T).
    pub fn square_pulse_boundary(&self, top: f64, count: usize) -> Vec<(Speed, Acceleration)> {
        let first = (1.0 / top.max(1.0)).asin();
        let count = count.max(2);
        (0..count)
            .map(|i| {
                let q = first + (FRAC_PI_2 - first) * i as f64 / (count - 1) as f64;
                (self.velocity_change * (q / q.sin()), self.acceleration / q.sin())
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_component_gives_the_published_example() {
        // f = 50 Hz, 80 G: dV 2.49724 m/s, 40 G; knee at 3.92266 m/s.
        let boundary = DamageBoundary::of_component(Frequency::from_si(50.0), Acceleration::g(80.0));
        assert!((boundary.velocity_change.si() - 2.497_24).abs() < 1e-5);
        assert!((boundary.acceleration.as_g() - 40.0).abs() < 1e-12);
        let points = boundary.square_pulse_boundary(50.0, 30);
        let last = points[29];
        assert!((last.0.si() - 3.922_66).abs() < 1e-5 && (last.1.as_g() - 40.0).abs() < 1e-9);
        assert!((points[0].0 / boundary.velocity_change - 1.0).abs() < 1e-3);
        assert!(points.windows(2).all(|p| p[1].0 >= p[0].0 && p[1].1 <= p[0].1));
    }

    #[test]
    fn a_shock_harms_only_past_both_limits() {
        let boundary = DamageBoundary {
            velocity_change: Speed::from_si(2.5),
            acceleration: Acceleration::g(40.0),
        };
        let judge = |v, g| boundary.judge(Speed::from_si(v), Acceleration::g(g));
        assert_eq!(judge(2.0, 500.0), DamageJudgement::TooShort);
        assert_eq!(judge(8.0, 39.0), DamageJudgement::TooGentle);
        assert_eq!(judge(3.0, 41.0), DamageJudgement::Damage);
        assert_eq!(judge(-3.0, -41.0), DamageJudgement::Damage);
        assert!(
            DamageBoundary {
                velocity_change: Speed::ZERO,
                ..boundary
            }
            .validated()
            .is_err()
        );
    }
}
