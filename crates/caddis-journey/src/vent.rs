//! What a valve must pass while the case climbs, and what a slow one leaves behind.

use crate::{AtmosphereError, GeopotentialAltitude, standard_air};
use caddis_basis::{Pressure, STANDARD_GRAVITY, Speed, Volume};

/// A valve of constant conductance: so much air, counted at the outside pressure, for each pascal.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct VentFlow(f64);

impl VentFlow {
    /// From cubic metres a second at one pascal.
    pub const fn from_si(value: f64) -> Self {
        Self(value)
    }

    /// From litres a minute at a pressure difference.
    pub fn litres_per_minute(litres: f64, at: Pressure) -> Self {
        Self(litres / 60_000.0 / at.si())
    }

    /// Cubic metres a second at one pascal.
    pub const fn si(self) -> f64 {
        self.0
    }
}

/// Litres a minute that must leave a volume of free air to stay level while it climbs or sinks at a rate near an
/// altitude: `V rho g v / p`.
///
/// # Source
/// Hydrostatic balance `dp = -rho g dz` and the ideal gas law at constant temperature.
///
/// # Errors
/// As [`standard_air`].
pub fn vent_litres_per_minute(
    free_air: Volume,
    altitude: GeopotentialAltitude,
    rate: Speed,
) -> Result<f64, AtmosphereError> {
    let air = standard_air(altitude)?;
    let per_second = free_air.si() * air.density.si() * STANDARD_GRAVITY * rate.si() / air.pressure.si();
    Ok(per_second * 60_000.0)
}

/// The pressure a slow valve leaves behind in a steady climb near an altitude, at most: `V rho g v / (p C)`.
///
/// # Accuracy
/// The steady state of a long climb; a short one builds up less. The valve's flow is taken as proportional to the
/// pressure difference.
///
/// # Source
/// As [`vent_litres_per_minute`].
///
/// # Errors
/// As [`standard_air`].
pub fn slow_vent_pressure(
    free_air: Volume,
    altitude: GeopotentialAltitude,
    rate: Speed,
    vent: VentFlow,
) -> Result<Pressure, AtmosphereError> {
    let litres = vent_litres_per_minute(free_air, altitude, rate)?;
    Ok(Pressure::from_si(litres / 60_000.0 / vent.si()))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    /// Stepping the gas law through a climb ends at the steady difference.
    #[test]
    fn a_climb_in_steps_settles_at_the_formula() {
        let (volume, vent, rate) = (
            0.03,
            VentFlow::litres_per_minute(1.0, Pressure::from_si(500.0)),
            5.0,
        );
        let outside = |z: f64| {
            standard_air(GeopotentialAltitude::new(caddis_basis::Length::from_si(z)))
                .unwrap()
                .pressure
                .si()
        };
        let (mut inside, mut z, step) = (outside(0.0), 0.0, 0.001);
        while z < 3000.0 {
            let p = outside(z);
            // Air leaves at the outside pressure: d(inside V) = -C (inside - p) p dt
            inside -= vent.si() * (inside - p) * p / volume * step;
            z += rate * step;
        }
        let steady = slow_vent_pressure(
            Volume::from_si(volume),
            GeopotentialAltitude::new(caddis_basis::Length::from_si(3000.0)),
            Speed::from_si(rate),
            vent,
        )
        .unwrap();
        let found = inside - outside(3000.0);
        assert!(
            (found / steady.si() - 1.0).abs() < 0.01,
            "{found} {}",
            steady.si()
        );
    }
}
