//! Air shut in a rigid case, and what it does to the lid.

use crate::{AtmosphereError, CarriageLimits, GeopotentialAltitude, Leg, Parcel, standard_air};
use caddis_basis::{Area, Force, Pressure, Source, Temperature, Volume};

/// Air shut in a rigid, tight case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrappedAir {
    /// Pressure inside when the lid was closed.
    pub closed_pressure: Pressure,
    /// Temperature inside when the lid was closed, above 0 K.
    pub closed_temperature: Temperature,
}

impl TrappedAir {
    /// Air shut in at a standard altitude and a temperature of its own.
    ///
    /// # Errors
    /// As [`standard_air`].
    pub fn closed_at(
        altitude: GeopotentialAltitude,
        temperature: Temperature,
    ) -> Result<Self, AtmosphereError> {
        Ok(Self {
            closed_pressure: standard_air(altitude)?.pressure,
            closed_temperature: temperature,
        })
    }

    /// Absolute pressure inside once the air has taken another temperature: `p2 = p1 T2 / T1`.
    ///
    /// # Accuracy
    /// Rigid shell, no leak, dry air: all three overstate the difference, so this is the worst case.
    ///
    /// # Source
    /// The ideal gas law at constant volume.
    #[must_use]
    pub fn inside(&self, temperature: Temperature) -> Pressure {
        self.closed_pressure * (temperature / self.closed_temperature)
    }

    /// Pressure inside less pressure outside; negative is suction.
    ///
    /// # Source
    /// As [`TrappedAir::inside`].
    #[must_use]
    pub fn gauge(&self, outside: Pressure, temperature: Temperature) -> Pressure {
        self.inside(temperature) - outside
    }

    /// How much air leaves `free_air` until it is level with `outside`, counted at the outside pressure: `V (p / p_outside - 1)`;
    /// negative when air flows in.
    ///
    /// # Source
    /// The ideal gas law at constant temperature.
    #[must_use]
    pub fn surplus(&self, free_air: Volume, outside: Pressure, temperature: Temperature) -> Volume {
        free_air * (self.inside(temperature) / outside - 1.0)
    }
}

/// The force of a pressure difference on the lid, positive when it pushes the lid open: `F = p A`.
///
/// # Source
/// Definition of pressure.
#[must_use]
pub fn lid_force(gauge: Pressure, lid_area: Area) -> Force {
    gauge * lid_area
}

/// What a leg's altitude does to a lid closed at sea level, with the valve shut.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureOnLid {
    /// The altitude the closed case meets.
    pub altitude: GeopotentialAltitude,
    /// The dated row the altitude was taken from; `None` where the leg states it.
    pub altitude_source: Option<Source>,
    /// Pressure outside at the altitude.
    pub outside: Pressure,
    /// Pressure inside less pressure outside at the altitude. Closed there and opened at sea level it is the
    /// same with the other sign.
    pub gauge: Pressure,
    /// The force on the lid.
    pub force: Force,
    /// How much air must leave until the case is level, counted at the outside pressure.
    pub surplus: Volume,
}

/// What a leg's altitude does to the lid with the valve shut; `None` for a leg on the ground at an unstated altitude.
///
/// # Accuracy
/// Standard air, rigid shell, no leak, no change of temperature.
///
/// # Errors
/// The altitude has no standard air.
///
/// # Source
/// [`standard_air`] and the ideal gas law.
pub fn pressure_on_lid(
    parcel: &Parcel,
    leg: &Leg,
    limits: &CarriageLimits,
) -> Result<Option<PressureOnLid>, AtmosphereError> {
    let Some((altitude, row)) = leg.altitude(limits) else {
        return Ok(None);
    };
    let outside = standard_air(altitude)?;
    let steady = outside.temperature;
    let shut = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, steady)?;
    let gauge = shut.gauge(outside.pressure, steady);
    Ok(Some(PressureOnLid {
        altitude,
        outside: outside.pressure,
        altitude_source: row.map(crate::Dated::dated_source),
        gauge,
        force: lid_force(gauge, parcel.lid_area),
        surplus: shut.surplus(parcel.sealed_volume, outside.pressure, steady),
    }))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn up_and_down_are_opposite(feet in 0.0..60_000.0_f64, celsius in -40.0..70.0_f64) {
            let warm = Temperature::celsius(celsius);
            let (sea, high) = (GeopotentialAltitude::SEA_LEVEL, GeopotentialAltitude::feet(feet));
            let up = TrappedAir::closed_at(sea, warm).unwrap()
                .gauge(standard_air(high).unwrap().pressure, warm);
            let down = TrappedAir::closed_at(high, warm).unwrap()
                .gauge(standard_air(sea).unwrap().pressure, warm);
            prop_assert!(up.si() >= 0.0);
            prop_assert!((up + down).si().abs() < 1e-9);
        }

        #[test]
        fn heat_raises_the_pressure(celsius in -40.0..70.0_f64, step in 0.01..30.0_f64) {
            let shut = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, Temperature::celsius(20.0)).unwrap();
            let (cool, warm) = (Temperature::celsius(celsius), Temperature::celsius(celsius + step));
            prop_assert!(shut.inside(warm) > shut.inside(cool));
        }
    }

    #[test]
    fn nothing_leaves_where_it_was_closed() {
        let warm = Temperature::celsius(20.0);
        let shut = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, warm).unwrap();
        let surplus = shut.surplus(Volume::from_si(0.06), shut.closed_pressure, warm);
        assert!(surplus.si().abs() < 1e-15);
    }
}
