//! Journeys and their legs.

use crate::error::JourneyError;
use crate::{
    CarriageLimits, Dated, DropHeights, GeopotentialAltitude, HandleGeometry, HandlingClass, Humidity,
    IngressCode, MoistAir, TemperatureLimit, VentFlow, standard_air,
};
use caddis_basis::{Duration, Length, Mass, Measured, Said, Speed, Temperature, said};
use std::fmt;

/// How a leg is travelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LegKind {
    /// Checked baggage of a passenger.
    AirHold,
    /// Cabin baggage of a passenger.
    AirCabin,
    /// A parcel network by road.
    CourierRoad,
    /// A parcel network by air, perhaps in an unpressurised feeder aircraft.
    CourierAir,
    /// On a pallet, moved by machines.
    PalletFreight,
    /// In a vehicle off made roads.
    OffRoad,
    /// Carried by hand.
    HandCarry,
    /// Stored.
    Store,
}

impl LegKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::AirHold,
        Self::AirCabin,
        Self::CourierRoad,
        Self::CourierAir,
        Self::PalletFreight,
        Self::OffRoad,
        Self::HandCarry,
        Self::Store,
    ];

    /// The words printed on screens and papers.
    pub fn words(self) -> &'static str {
        match self {
            Self::AirHold => "air hold",
            Self::AirCabin => "air cabin",
            Self::CourierRoad => "courier by road",
            Self::CourierAir => "courier by air",
            Self::PalletFreight => "pallet freight",
            Self::OffRoad => "off road",
            Self::HandCarry => "hand carry",
            Self::Store => "store",
        }
    }

    /// The same for a sentence.
    pub fn said(self) -> Said {
        match self {
            Self::AirHold => said!("air hold"),
            Self::AirCabin => said!("air cabin"),
            Self::CourierRoad => said!("courier by road"),
            Self::CourierAir => said!("courier by air"),
            Self::PalletFreight => said!("pallet freight"),
            Self::OffRoad => said!("off road"),
            Self::HandCarry => said!("hand carry"),
            Self::Store => said!("store"),
        }
    }

    /// Whether it leaves the ground.
    pub fn is_flight(self) -> bool {
        matches!(self, Self::AirHold | Self::AirCabin | Self::CourierAir)
    }

    /// Whether it is a passenger's baggage.
    pub fn is_baggage(self) -> bool {
        matches!(self, Self::AirHold | Self::AirCabin)
    }

    /// Whether a parcel network carries it.
    pub fn is_courier(self) -> bool {
        matches!(self, Self::CourierRoad | Self::CourierAir)
    }
}

impl fmt::Display for LegKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// One leg of a journey.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// How it is travelled.
    pub kind: LegKind,
    /// What the people of the job call it.
    pub label: String,
    /// The drop it must bear; `None` takes the table of the leg's handling class.
    pub drop_height: Option<Measured<Length>>,
    /// The table of drop heights; `None` takes that of the leg's kind.
    pub handling: Option<HandlingClass>,
    /// The pressure altitude (geopotential) the closed case meets: of the cabin in an aircraft, of the ground
    /// elsewhere. `None` takes the dated row of [`CarriageLimits`] in flight and sea level on the ground.
    pub cabin_altitude: Option<Length>,
    /// The coldest the closed case becomes.
    pub lowest_temperature: Option<Temperature>,
    /// The warmest the closed case becomes, sun and engine included.
    pub highest_temperature: Option<Temperature>,
    /// A climate of the limits, whose temperatures stand in for those the leg does not state.
    pub climate: Option<String>,
    /// How fast the case climbs or sinks at most; `None` takes the dated row of [`CarriageLimits`] in flight.
    pub altitude_rate: Option<Speed>,
    /// What the case should keep out on this leg.
    pub ingress_wanted: Option<IngressCode>,
    /// The air where the case is opened at the end of this leg.
    pub opening_air: Option<MoistAir>,
    /// How far it goes, where somebody says so.
    pub distance: Option<Length>,
    /// How one person carries the case, or several like it, in a shift.
    pub carrying: Option<Carrying>,
}

/// How one person carries in a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carrying {
    /// How often.
    pub times: u32,
    /// How far each time.
    pub distance: Length,
}

impl Leg {
    /// A leg of which only the kind and the label are known.
    pub fn new(kind: LegKind, label: impl Into<String>) -> Self {
        Self {
            kind,
            label: label.into(),
            drop_height: None,
            handling: None,
            cabin_altitude: None,
            lowest_temperature: None,
            highest_temperature: None,
            climate: None,
            altitude_rate: None,
            ingress_wanted: None,
            opening_air: None,
            distance: None,
            carrying: None,
        }
    }

    /// The coldest and the warmest the closed case becomes: as the leg states, else as its climate does.
    pub fn temperatures(&self, limits: &CarriageLimits) -> (Option<Temperature>, Option<Temperature>) {
        let climate = self
            .climate
            .as_ref()
            .and_then(|name| limits.climates.iter().find(|row| row.value.name == *name));
        (
            self.lowest_temperature
                .or(climate.and_then(|row| row.value.lowest)),
            self.highest_temperature
                .or(climate.and_then(|row| row.value.highest)),
        )
    }

    /// The handling class whose table gives the drop height when the leg states none.
    pub fn handling_class(&self) -> HandlingClass {
        if let Some(stated) = self.handling {
            stated
        } else if self.kind.is_courier() {
            HandlingClass::Parcel
        } else {
            HandlingClass::Handbook
        }
    }

    /// The drop this leg must bear: its own, or the table's for the heaviest the parcel may be less its band (the
    /// lightest parcel falls farthest).
    ///
    /// # Errors
    /// The table does not reach the mass.
    pub fn drop_height_of(&self, gross: &Measured<Mass>) -> Result<Measured<Length>, JourneyError> {
        match &self.drop_height {
            Some(stated) => Ok(stated.clone()),
            None => DropHeights::of(self.handling_class()).height(gross.least()),
        }
    }

    /// The altitude the closed case meets and, where it was not stated, the dated row it was taken from; `None` on
    /// the ground at an unstated altitude.
    pub(crate) fn altitude<'a>(
        &self,
        limits: &'a CarriageLimits,
    ) -> Option<(GeopotentialAltitude, Option<&'a Dated<Length>>)> {
        let row = match (self.cabin_altitude, self.kind) {
            (Some(stated), _) => return Some((GeopotentialAltitude::new(stated), None)),
            (None, LegKind::CourierAir) => &limits.feeder_altitude,
            (None, LegKind::AirHold | LegKind::AirCabin) => &limits.cabin_altitude,
            (None, _) => return None,
        };
        Some((GeopotentialAltitude::new(row.value), Some(row)))
    }

    /// Refuses what no leg can be; `number` is what messages call it, from 1.
    ///
    /// # Errors
    /// A drop height, a temperature or a rate that is not a finite value above zero, crossed temperatures, an altitude without
    /// standard air, a humidity that is none, an unknown climate.
    pub fn validate(&self, number: usize, limits: &CarriageLimits) -> Result<(), JourneyError> {
        if let Some(climate) = &self.climate
            && !limits.climates.iter().any(|row| row.value.name == *climate)
        {
            return Err(JourneyError::Climate {
                leg: number,
                climate: climate.clone(),
                known: limits.climates.iter().map(|row| row.value.name.clone()).collect(),
            });
        }
        if let Some(distance) = self.distance {
            crate::parcel::positive(format!("distance of leg {number}"), distance.si(), "m")?;
        }
        if let Some(carrying) = self.carrying {
            crate::parcel::positive(
                format!("carrying.times of leg {number}"),
                f64::from(carrying.times),
                "",
            )?;
            crate::parcel::positive(
                format!("carrying.distance of leg {number}"),
                carrying.distance.si(),
                "m",
            )?;
        }
        if let Some(rate) = self.altitude_rate {
            crate::parcel::positive(format!("altitude_rate of leg {number}"), rate.si(), "m/s")?;
        }
        if let Some(air) = &self.opening_air {
            crate::parcel::positive(
                format!("the temperature of opening_air of leg {number}"),
                air.temperature.si(),
                "K",
            )?;
            humidity(
                format!("the humidity of opening_air of leg {number}"),
                air.humidity,
            )?;
        }
        if let Some(drop) = &self.drop_height {
            crate::parcel::positive(format!("drop_height of leg {number}"), drop.value.si(), "m")?;
            let field = format!("the ± part of drop_height of leg {number}");
            crate::parcel::band(field, drop.value.si(), drop.plus_minus.map(Length::si), "m")?;
        }
        if let Some(altitude) = self.cabin_altitude {
            standard_air(GeopotentialAltitude::new(altitude)).map_err(|reason| JourneyError::Altitude {
                field: format!("cabin_altitude of leg {number}"),
                reason,
            })?;
        }
        for (name, temperature) in [
            ("lowest_temperature", self.lowest_temperature),
            ("highest_temperature", self.highest_temperature),
        ] {
            if let Some(temperature) = temperature {
                crate::parcel::positive(format!("{name} of leg {number}"), temperature.si(), "K")?;
            }
        }
        match self.temperatures(limits) {
            (Some(lowest), Some(highest)) if lowest > highest => Err(JourneyError::TemperaturesCrossed {
                leg: number,
                lowest: lowest.as_celsius(),
                highest: highest.as_celsius(),
            }),
            _ => Ok(()),
        }
    }
}

/// Refuses a humidity that no air has.
fn humidity(field: String, humidity: Humidity) -> Result<(), JourneyError> {
    let percent = humidity.as_percent();
    if percent > 0.0 && percent <= 100.0 {
        Ok(())
    } else {
        Err(JourneyError::Humidity { field, percent })
    }
}

/// What the job states of the case beyond its survey; all of it may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CaseFacts {
    /// The ingress code its maker gives.
    pub ingress: Option<IngressCode>,
    /// Its carrying handles.
    pub handle: Option<HandleGeometry>,
    /// What its valve passes.
    pub vent_flow: Option<VentFlow>,
    /// What its wall and gasket let through, grams of water vapour a square metre and day.
    pub vapour_rate: Option<f64>,
    /// Whether it stays shut for weeks (true) or is opened daily (false).
    pub stays_shut: Option<bool>,
    /// How long it stays shut in store.
    pub shut_for: Option<Duration>,
    /// Whether couriers get it in a carton.
    pub in_carton: bool,
    /// How many round trips it should last.
    pub round_trips: Option<u32>,
    /// What its contents bear.
    pub temperatures: Vec<TemperatureLimit>,
}

/// The way a case goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Journey {
    /// What the people of the job call it.
    pub title: String,
    /// The legs in order.
    pub legs: Vec<Leg>,
    /// The temperature of the air when the lid is closed; `None` takes 20 degC.
    pub closing_temperature: Option<Temperature>,
    /// The humidity of the air when the lid is closed.
    pub closing_humidity: Option<Humidity>,
    /// How many cases of the kind travel together.
    pub cases: u32,
    /// What the job states of the case.
    pub case: CaseFacts,
    /// The dated rows that are asked.
    pub limits: CarriageLimits,
}

impl Journey {
    /// A journey of one case closed at room temperature, asked by [`CarriageLimits::common`].
    pub fn new(title: impl Into<String>, legs: Vec<Leg>) -> Self {
        Self {
            title: title.into(),
            legs,
            closing_temperature: None,
            closing_humidity: None,
            cases: 1,
            case: CaseFacts::default(),
            limits: CarriageLimits::common(),
        }
    }

    /// The air that is shut in; `None` while its humidity is not stated.
    pub fn closing_air(&self) -> Option<MoistAir> {
        self.closing_humidity.map(|humidity| MoistAir {
            temperature: self.closing_temperature(),
            humidity,
        })
    }

    /// The temperature of the air when the lid is closed.
    pub fn closing_temperature(&self) -> Temperature {
        self.closing_temperature.unwrap_or(Temperature::celsius(20.0))
    }

    /// The highest drop of all legs with the number of its leg (from 0), the first of equals; `None` without legs.
    ///
    /// # Errors
    /// A leg states no drop height and its table does not reach the mass.
    pub fn worst_drop_height(
        &self,
        gross: &Measured<Mass>,
    ) -> Result<Option<(usize, Measured<Length>)>, JourneyError> {
        let mut worst: Option<(usize, Measured<Length>)> = None;
        for (index, leg) in self.legs.iter().enumerate() {
            let height = leg.drop_height_of(gross)?;
            if worst
                .as_ref()
                .is_none_or(|(_, before)| height.most() > before.most())
            {
                worst = Some((index, height));
            }
        }
        Ok(worst)
    }

    /// Refuses what no journey can be.
    ///
    /// # Errors
    /// A drop height, a temperature or a stated fact of the case that is not a finite value above zero, crossed
    /// temperatures, an altitude without standard air, a humidity that is none, an unknown climate, no case at all; limits
    /// that are none.
    pub fn validate(&self) -> Result<(), JourneyError> {
        if let Some(closing) = self.closing_temperature {
            crate::parcel::positive("closing_temperature".to_owned(), closing.si(), "K")?;
        }
        if let Some(closing) = self.closing_humidity {
            humidity("closing_humidity".to_owned(), closing)?;
        }
        if self.cases == 0 {
            return Err(JourneyError::NoCases);
        }
        let facts = [
            ("handle diameter", self.case.handle.map(|h| h.diameter.si()), "m"),
            ("handle length", self.case.handle.map(|h| h.length.si()), "m"),
            (
                "handle clearance",
                self.case.handle.map(|h| h.clearance.si()),
                "m",
            ),
            ("vent flow", self.case.vent_flow.map(VentFlow::si), "m³/(s Pa)"),
            ("vapour rate", self.case.vapour_rate, "g/(m² d)"),
            ("time shut", self.case.shut_for.map(Duration::si), "s"),
        ];
        for (name, value, unit) in facts {
            if let Some(value) = value {
                crate::parcel::positive(format!("the {name} of the case"), value, unit)?;
            }
        }
        self.limits.validate()?;
        self.legs
            .iter()
            .enumerate()
            .try_for_each(|(index, leg)| leg.validate(index + 1, &self.limits))
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    type Spoil = fn(&mut Leg);

    #[test]
    fn the_worst_leg_wins() {
        let mut stated = Leg::new(LegKind::OffRoad, "track to the rim");
        stated.drop_height = Some(Measured::exact(Length::from_si(1.2)));
        let journey = Journey::new("out", vec![Leg::new(LegKind::CourierRoad, "to port"), stated]);
        let (leg, height) = journey
            .worst_drop_height(&Measured::exact(Mass::from_si(18.0)))
            .unwrap()
            .unwrap();
        assert_eq!((leg, height.value.si()), (1, 1.2));
    }

    #[test]
    fn broken_legs_are_refused() {
        let broken: [Spoil; 7] = [
            |leg| leg.climate = Some("Z9".to_owned()),
            |leg| leg.altitude_rate = Some(Speed::from_si(0.0)),
            |leg| {
                leg.opening_air = Some(MoistAir {
                    temperature: Temperature::celsius(20.0),
                    humidity: Humidity::percent(130.0),
                });
            },
            |leg| leg.cabin_altitude = Some(Length::from_si(30_000.0)),
            |leg| leg.drop_height = Some(Measured::exact(Length::from_si(-0.5))),
            |leg| leg.lowest_temperature = Some(Temperature::from_si(f64::NAN)),
            |leg| {
                leg.lowest_temperature = Some(Temperature::celsius(30.0));
                leg.highest_temperature = Some(Temperature::celsius(20.0));
            },
        ];
        for (number, spoil) in broken.into_iter().enumerate() {
            let mut leg = Leg::new(LegKind::AirHold, "flight");
            spoil(&mut leg);
            let journey = Journey::new("out", vec![Leg::new(LegKind::Store, "shelf"), leg]);
            let error = journey.validate().unwrap_err();
            assert!(error.to_string().contains("leg 2"), "case {number}: {error}");
        }
    }
}
