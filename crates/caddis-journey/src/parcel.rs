//! The parcel: all a journey knows of a packed case.

use crate::Battery;
use crate::error::JourneyError;
use caddis_basis::{Area, Length, Mass, Measured, Volume};

/// What lets air in and out of a closed case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Valve {
    /// A valve that levels the pressure by itself, in working order.
    Working,
    /// A purge valve that somebody must open.
    Manual,
    /// Tight, without a valve.
    None,
    /// The case is not tight: no pressure can build up.
    NotTight,
    /// Nobody said.
    Unknown,
}

/// Where hands hold the case as it stands or lies for lifting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandlePlace {
    /// Height of the grip above the floor.
    pub height: Length,
    /// Whether two hands, or two persons, can hold here at once.
    pub two_handed: bool,
}

/// A packed case as carriers and hands meet it.
#[derive(Debug, Clone, PartialEq)]
pub struct Parcel {
    /// Length, width, height over everything: wheels, handles and latches included.
    pub outside: [Measured<Length>; 3],
    /// Mass of shell, interior and contents.
    pub gross_mass: Measured<Mass>,
    /// The area on which pressure pushes the lid: the opening inside the seal.
    pub lid_area: Area,
    /// Free air inside: what neither foam solid nor contents take.
    pub sealed_volume: Volume,
    /// What lets air in and out.
    pub valve: Valve,
    /// Where hands hold.
    pub handles: Vec<HandlePlace>,
    /// Whether it rolls on wheels of its own.
    pub wheels: bool,
    /// Places for a padlock.
    pub padlock_points: u32,
    /// Locks built in.
    pub locks: u32,
    /// Batteries inside, installed or spare.
    pub batteries: Vec<Battery>,
    /// The mass that may stand on the closed case, as its maker states it; `None` when nobody said.
    pub stacking_rating: Option<Mass>,
}

impl Parcel {
    /// The largest the three sides may be, in the order given.
    pub fn largest_sides(&self) -> [Length; 3] {
        [
            self.outside[0].most(),
            self.outside[1].most(),
            self.outside[2].most(),
        ]
    }

    /// The nominal sides, in the order given.
    pub fn nominal_sides(&self) -> [Length; 3] {
        [
            self.outside[0].value,
            self.outside[1].value,
            self.outside[2].value,
        ]
    }

    /// How many persons can hold it at once.
    pub fn grips(&self) -> usize {
        self.handles
            .iter()
            .map(|handle| if handle.two_handed { 2 } else { 1 })
            .sum()
    }

    /// Refuses what no parcel can be.
    ///
    /// # Errors
    /// A side, mass, area, rating, battery rating or handle height that is not a finite value above zero, a
    /// negative volume, a tolerance that is negative or as large as its value.
    pub fn validate(&self) -> Result<(), JourneyError> {
        for (name, side) in ["length", "width", "height"].into_iter().zip(&self.outside) {
            positive(format!("the outside {name}"), side.value.si(), "m")?;
            let field = format!("the ± part of the outside {name}");
            band(field, side.value.si(), side.plus_minus.map(Length::si), "m")?;
        }
        let mass = &self.gross_mass;
        positive("gross_mass".to_owned(), mass.value.si(), "kg")?;
        let field = "the ± part of gross_mass".to_owned();
        band(field, mass.value.si(), mass.plus_minus.map(Mass::si), "kg")?;
        positive("lid_area".to_owned(), self.lid_area.si(), "m²")?;
        not_negative("sealed_volume".to_owned(), self.sealed_volume.si(), "m³")?;
        if let Some(rating) = self.stacking_rating {
            positive("stacking_rating".to_owned(), rating.si(), "kg")?;
        }
        for handle in &self.handles {
            not_negative("the height of a handle".to_owned(), handle.height.si(), "m")?;
        }
        self.batteries.iter().try_for_each(Battery::validate)
    }
}

/// Refuses anything but a finite value above zero.
pub(crate) fn positive(field: String, value: f64, unit: &'static str) -> Result<(), JourneyError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(JourneyError::NotPositive { field, value, unit })
    }
}

fn not_negative(field: String, value: f64, unit: &'static str) -> Result<(), JourneyError> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        Err(JourneyError::Negative { field, value, unit })
    }
}

/// Refuses a tolerance that is negative or leaves nothing of its value.
pub(crate) fn band(
    field: String,
    value: f64,
    plus_minus: Option<f64>,
    unit: &'static str,
) -> Result<(), JourneyError> {
    let Some(plus_minus) = plus_minus else {
        return Ok(());
    };
    let left = format!("the value left by {field}");
    not_negative(field, plus_minus, unit)?;
    positive(left, value - plus_minus, unit)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::rules::fixture::parcel;

    type Spoil = fn(&mut Parcel);

    #[test]
    fn broken_parcels_are_refused_by_field() {
        let broken: [(&str, Spoil); 7] = [
            ("width", |p| p.outside[1].value = Length::mm(-1.0)),
            ("height", |p| p.outside[2].plus_minus = Some(Length::mm(-1.0))),
            ("length", |p| p.outside[0].plus_minus = Some(Length::from_si(9.0))),
            ("gross_mass", |p| p.gross_mass.value = Mass::from_si(f64::NAN)),
            ("lid_area", |p| p.lid_area = Area::ZERO),
            ("sealed_volume", |p| {
                p.sealed_volume = Volume::from_si(f64::INFINITY);
            }),
            ("stacking_rating", |p| p.stacking_rating = Some(Mass::ZERO)),
        ];
        for (field, spoil) in broken {
            let mut parcel = parcel();
            spoil(&mut parcel);
            let message = parcel.validate().unwrap_err().to_string();
            assert!(message.contains(field), "{message}");
        }
        parcel().validate().unwrap();
    }
}
