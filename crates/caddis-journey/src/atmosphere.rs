//! The standard atmosphere to 20 km, and the two kinds of altitude.

use caddis_basis::{Density, Length, Pressure, STANDARD_GRAVITY, Temperature};

/// Specific gas constant of dry air, J/(kg K).
///
/// # Source
/// ISO 2533 / US Standard Atmosphere 1976; constants read in published code and tables.
const GAS_CONSTANT: f64 = 287.052_87;
/// Temperature at sea level, K. # Source: as [`GAS_CONSTANT`].
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Pressure at sea level. # Source: as [`GAS_CONSTANT`].
pub(crate) const SEA_LEVEL_PRESSURE: Pressure = Pressure::from_si(101_325.0);
/// Fall of temperature up to the tropopause, K per geopotential metre. # Source: as [`GAS_CONSTANT`].
const LAPSE: f64 = 0.006_5;
/// Tropopause, geopotential m. # Source: as [`GAS_CONSTANT`].
const TROPOPAUSE: f64 = 11_000.0;
/// Upper end of the isothermal layer and of this module, geopotential m. # Source: as [`GAS_CONSTANT`].
const CEILING: f64 = 20_000.0;
/// Lower end of this module, geopotential m: no road lies deeper.
const FLOOR: f64 = -1_000.0;
/// The nominal radius of the Earth that links the two altitudes, m. # Source: as [`GAS_CONSTANT`].
const EARTH_RADIUS: f64 = 6_356_766.0;

/// Why there is no standard air at an altitude.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AtmosphereError {
    /// Outside -1000 m to 20 000 m, or not a number.
    #[error(
        "find standard air at {metres} m: the tables used here run from -1000 m to 20000 m of geopotential altitude"
    )]
    OutOfRange {
        /// The altitude asked for, geopotential metres.
        metres: f64,
    },
}

/// Altitude in constant gravity: what an altimeter and every pressure table count in.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct GeopotentialAltitude(Length);

/// Altitude as a tape would measure it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct GeometricAltitude(Length);

impl GeopotentialAltitude {
    /// Sea level.
    pub const SEA_LEVEL: Self = Self(Length::ZERO);

    /// Wraps a geopotential (pressure) altitude.
    pub const fn new(altitude: Length) -> Self {
        Self(altitude)
    }

    /// From feet (0.3048 m exactly).
    pub fn feet(value: f64) -> Self {
        Self(Length::from_si(value * 0.304_8))
    }

    /// The altitude as a length.
    pub const fn length(self) -> Length {
        self.0
    }

    /// The same place as a tape would measure it: `z = r H / (r - H)`; not finite at `H = r`.
    ///
    /// # Source
    /// ISO 2533, ICAO Doc 7488, with r = 6 356 766 m.
    pub fn geometric(self) -> GeometricAltitude {
        let h = self.0.si();
        GeometricAltitude(Length::from_si(EARTH_RADIUS * h / (EARTH_RADIUS - h)))
    }
}

impl GeometricAltitude {
    /// Wraps a geometric altitude.
    pub const fn new(altitude: Length) -> Self {
        Self(altitude)
    }

    /// The altitude as a length.
    pub const fn length(self) -> Length {
        self.0
    }

    /// The same place in constant gravity: `H = r z / (r + z)`; not finite at `z = -r`.
    ///
    /// # Source
    /// ISO 2533, ICAO Doc 7488, with r = 6 356 766 m.
    pub fn geopotential(self) -> GeopotentialAltitude {
        let z = self.0.si();
        GeopotentialAltitude(Length::from_si(EARTH_RADIUS * z / (EARTH_RADIUS + z)))
    }
}

/// Air at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Static pressure.
    pub pressure: Pressure,
    /// Temperature.
    pub temperature: Temperature,
    /// Density.
    pub density: Density,
}

/// Standard air at a geopotential altitude.
///
/// # Accuracy
/// The model itself to floating point; real weather moves sea-level pressure by several kPa.
///
/// # Errors
/// Below -1000 m, above 20 000 m, or not a number.
///
/// # Source
/// ISO 2533 / ICAO Doc 7488 / US Standard Atmosphere 1976 (identical to 32 km): `T = T0 - L H` and
/// `p = p0 (T/T0)^(g/(R L))` to 11 000 m, then `p = p11 exp(-g (H - 11000) / (R T))`; `rho = p / (R T)`.
///
/// ```
/// use caddis_journey::{GeopotentialAltitude, standard_air};
/// let cabin = standard_air(GeopotentialAltitude::feet(8000.0))?;
/// assert_eq!(format!("{:.2}", cabin.pressure), "75.26 kPa");
/// # Ok::<(), caddis_journey::AtmosphereError>(())
/// ```
pub fn standard_air(altitude: GeopotentialAltitude) -> Result<Air, AtmosphereError> {
    let h = altitude.0.si();
    if !(FLOOR..=CEILING).contains(&h) {
        return Err(AtmosphereError::OutOfRange { metres: h });
    }
    let exponent = STANDARD_GRAVITY / (GAS_CONSTANT * LAPSE);
    let temperature = SEA_LEVEL_TEMPERATURE - LAPSE * h.min(TROPOPAUSE);
    let below = SEA_LEVEL_PRESSURE.si() * (temperature / SEA_LEVEL_TEMPERATURE).powf(exponent);
    let above = (h - TROPOPAUSE).max(0.0);
    let pressure = below * (-STANDARD_GRAVITY * above / (GAS_CONSTANT * temperature)).exp();
    Ok(Air {
        pressure: Pressure::from_si(pressure),
        temperature: Temperature::from_si(temperature),
        density: Density::from_si(pressure / (GAS_CONSTANT * temperature)),
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn air(metres: f64) -> Air {
        standard_air(GeopotentialAltitude::new(Length::from_si(metres))).unwrap()
    }

    #[test]
    fn outside_the_tables_is_an_error() {
        for metres in [-1000.1, 20_000.1, f64::NAN, f64::INFINITY] {
            assert!(standard_air(GeopotentialAltitude::new(Length::from_si(metres))).is_err());
        }
    }

    #[test]
    fn layers_meet() {
        let (below, above) = (air(TROPOPAUSE - 1e-6), air(TROPOPAUSE + 1e-6));
        assert!((below.pressure - above.pressure).si().abs() < 1e-5);
        assert!((below.temperature - above.temperature).si().abs() < 1e-7);
    }

    proptest! {
        #[test]
        fn pressure_and_density_fall(low in -1000.0..19_990.0_f64, step in 0.01..10.0_f64) {
            let (a, b) = (air(low), air(low + step));
            prop_assert!(a.pressure > b.pressure);
            prop_assert!(a.density > b.density);
            prop_assert!(a.temperature >= b.temperature);
        }

        #[test]
        fn altitudes_come_back(metres in -1000.0..80_000.0_f64) {
            let z = GeometricAltitude::new(Length::from_si(metres));
            let back = z.geopotential().geometric();
            prop_assert!((back.length().si() - metres).abs() < 1e-9 * metres.abs().max(1.0));
            prop_assert!(z.geopotential().length() <= z.length());
        }

        #[test]
        fn the_gas_law_closes(metres in -1000.0..20_000.0_f64) {
            let a = air(metres);
            let pressure = a.density.si() * GAS_CONSTANT * a.temperature.si();
            prop_assert!((pressure / a.pressure.si() - 1.0).abs() < 1e-12);
        }

        /// The weight of the air in a thin slice is what its pressure falls by.
        #[test]
        fn hydrostatic_balance(metres in -999.0..19_999.0_f64) {
            let fall = (air(metres - 0.5).pressure - air(metres + 0.5).pressure).si();
            let weight = air(metres).density.si() * STANDARD_GRAVITY;
            prop_assert!((fall / weight - 1.0).abs() < 1e-6);
        }
    }
}
