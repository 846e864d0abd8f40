//! Journeys and their legs.

use crate::error::JourneyError;
use crate::{CarriageLimits, Dated, DropHeights, GeopotentialAltitude, HandlingClass, standard_air};
use caddis_basis::{Length, Mass, Measured, Temperature};
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
    /// The pressure altitude (geopotential) the closed case meets: of the cabin in an aircraft, of the ground
    /// elsewhere. `None` takes the dated row of [`CarriageLimits`] in flight and sea level on the ground.
    pub cabin_altitude: Option<Length>,
    /// The coldest the closed case becomes.
    pub lowest_temperature: Option<Temperature>,
    /// The warmest the closed case becomes, sun and engine included.
    pub highest_temperature: Option<Temperature>,
}

impl Leg {
    /// A leg of which only the kind and the label are known.
    pub fn new(kind: LegKind, label: impl Into<String>) -> Self {
        Self {
            kind,
            label: label.into(),
            drop_height: None,
            cabin_altitude: None,
            lowest_temperature: None,
            highest_temperature: None,
        }
    }

    /// The handling class whose table gives the drop height when the leg states none.
    pub fn handling_class(&self) -> HandlingClass {
        if self.kind.is_courier() {
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

    fn validate(&self, number: usize) -> Result<(), JourneyError> {
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
        match (self.lowest_temperature, self.highest_temperature) {
            (Some(lowest), Some(highest)) if lowest > highest => Err(JourneyError::TemperaturesCrossed {
                leg: number,
                lowest: lowest.si(),
                highest: highest.si(),
            }),
            _ => Ok(()),
        }
    }
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
}

impl Journey {
    /// A journey closed at room temperature.
    pub fn new(title: impl Into<String>, legs: Vec<Leg>) -> Self {
        Self {
            title: title.into(),
            legs,
            closing_temperature: None,
        }
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
    /// A drop height or a temperature that is not a finite value above zero, crossed temperatures, an altitude
    /// without standard air.
    pub fn validate(&self) -> Result<(), JourneyError> {
        if let Some(closing) = self.closing_temperature {
            crate::parcel::positive("closing_temperature".to_owned(), closing.si(), "K")?;
        }
        self.legs
            .iter()
            .enumerate()
            .try_for_each(|(index, leg)| leg.validate(index + 1))
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
        let broken: [Spoil; 4] = [
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
