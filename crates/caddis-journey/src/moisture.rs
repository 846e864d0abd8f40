//! Moisture in air: saturation, dew point, and the water that a closed case lets fall when it cools.

use caddis_basis::{Manner, Mass, Part, Pressure, Sayable, Temperature, Volume};
use std::fmt;

/// Relative humidity of air, over water.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Humidity(f64);

impl Humidity {
    /// From per cent.
    pub const fn percent(value: f64) -> Self {
        Self(value / 100.0)
    }

    /// In per cent.
    pub fn as_percent(self) -> f64 {
        self.0 * 100.0
    }

    /// As a fraction of saturation.
    pub const fn fraction(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Humidity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.0} %", self.as_percent())
    }
}

impl Sayable for Humidity {
    fn part(&self, _: Manner) -> Part {
        Part::Figure(self.to_string())
    }
}

/// Air with its moisture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoistAir {
    /// Temperature.
    pub temperature: Temperature,
    /// Relative humidity, above 0 and up to 100 %.
    pub humidity: Humidity,
}

/// Saturation pressure at 0 degC. # Source: as [`saturation_pressure`].
const A: f64 = 611.2;
/// # Source: as [`saturation_pressure`].
const B: f64 = 17.62;
/// degC. # Source: as [`saturation_pressure`].
const C: f64 = 243.12;
/// Specific gas constant of water vapour, J/(kg K). # Source: as [`MoistAir::vapour_density`].
const VAPOUR_CONSTANT: f64 = 461.5;

/// Pressure of water vapour over water: `611.2 Pa exp(17.62 t / (243.12 + t))`, t in degC.
///
/// # Accuracy
/// Within 0.3 % of steam tables from 0 to 50 degC; over water also below 0 degC, where frost forms a little earlier.
///
/// # Source
/// Magnus formula with the constants of WMO / Sonntag, seen in a second text.
pub fn saturation_pressure(temperature: Temperature) -> Pressure {
    let t = temperature.as_celsius();
    Pressure::from_si(A * (B * t / (C + t)).exp())
}

impl MoistAir {
    /// The partial pressure of its vapour.
    ///
    /// # Source
    /// Definition of relative humidity, with [`saturation_pressure`].
    pub fn vapour_pressure(&self) -> Pressure {
        saturation_pressure(self.temperature) * self.humidity.0
    }

    /// The temperature at which dew forms when the air cools at constant pressure.
    ///
    /// # Source
    /// [`saturation_pressure`] turned round: `t = C g / (B - g)`, `g = ln(e / 611.2 Pa)`.
    pub fn dew_point(&self) -> Temperature {
        let g = (self.vapour_pressure().si() / A).ln();
        Temperature::celsius(C * g / (B - g))
    }

    /// Grams of water in a cubic metre: `e / (461.5 J/(kg K) T)`.
    ///
    /// # Source
    /// Ideal gas law for water vapour.
    pub fn vapour_density(&self) -> caddis_basis::Density {
        caddis_basis::Density::from_si(
            self.vapour_pressure().si() / (VAPOUR_CONSTANT * self.temperature.si()),
        )
    }

    /// The temperature at which dew forms in a closed rigid case: below [`MoistAir::dew_point`], because the vapour's
    /// pressure falls with the temperature.
    ///
    /// # Accuracy
    /// To 1e-9 K; foam and board that give off moisture raise it.
    ///
    /// # Source
    /// `e_s(T) = e T / T_closed`, by bisection of [`saturation_pressure`].
    pub fn dew_point_closed(&self) -> Temperature {
        let (mut low, mut high) = (Temperature::celsius(-80.0), self.temperature);
        // The excess of saturation over the vapour that is there rises with temperature throughout this span.
        while (high - low).si() > 1e-9 {
            let middle = (low + high) / 2.0;
            if middle <= low || middle >= high {
                break;
            }
            let there = self.vapour_pressure() * (middle / self.temperature);
            if saturation_pressure(middle) < there {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }

    /// The water that falls out of this volume of it when it is cooled, zero while it stays above its dew point.
    ///
    /// # Source
    /// The difference of the two vapour densities, as rooms are reckoned.
    pub fn condensate(&self, volume: Volume, cooled_to: Temperature) -> Mass {
        let full = MoistAir {
            temperature: cooled_to,
            humidity: Humidity(1.0),
        };
        ((self.vapour_density() - full.vapour_density()) * volume).max(Mass::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn air(celsius: f64, percent: f64) -> MoistAir {
        MoistAir {
            temperature: Temperature::celsius(celsius),
            humidity: Humidity::percent(percent),
        }
    }

    proptest! {
        #[test]
        fn the_dew_point_is_saturated(celsius in -20.0..60.0_f64, percent in 2.0..100.0_f64) {
            let moist = air(celsius, percent);
            let dew = moist.dew_point();
            prop_assert!(dew.si() <= moist.temperature.si() + 1e-9);
            prop_assert!((saturation_pressure(dew) - moist.vapour_pressure()).si().abs() < 1e-6);
        }

        #[test]
        fn a_closed_case_dews_later(celsius in 0.0..60.0_f64, percent in 5.0..99.0_f64) {
            let moist = air(celsius, percent);
            prop_assert!(moist.dew_point_closed().si() <= moist.dew_point().si() + 1e-6);
        }

        #[test]
        fn nothing_falls_above_the_dew_point(celsius in 5.0..50.0_f64, percent in 5.0..95.0_f64, up in 0.1..30.0_f64) {
            let moist = air(celsius, percent);
            let warm = moist.dew_point_closed() + Temperature::from_si(up);
            prop_assert!(moist.condensate(Volume::from_si(0.02), warm).si() >= 0.0);
            if warm >= moist.temperature {
                prop_assert_eq!(moist.condensate(Volume::from_si(0.02), warm), Mass::ZERO);
            }
        }
    }

    #[test]
    fn dry_air_never_dews_above_eighty_below() {
        assert!(air(20.0, 1e-9).dew_point_closed().as_celsius() < -70.0);
    }
}
