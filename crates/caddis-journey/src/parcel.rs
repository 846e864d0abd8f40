//! The parcel: all a journey knows of a packed case.

use crate::Battery;
use crate::error::JourneyError;
use caddis_basis::{Area, Length, Mass, Measured, Source, Temperature, Volume};

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

/// The hollow inside, as the survey has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inside {
    /// The whole volume, foam and contents included: what a tight case displaces at least.
    pub volume: Volume,
    /// The surface round it, through which vapour comes.
    pub area: Area,
    /// Its height.
    pub height: Length,
}

/// The temperatures that one thing bears.
#[derive(Debug, Clone, PartialEq)]
pub struct TemperatureLimit {
    /// What: a foam, an item.
    pub what: String,
    /// The coldest; `None` when nobody said.
    pub lowest: Option<Temperature>,
    /// The warmest; `None` when nobody said.
    pub highest: Option<Temperature>,
    /// Who says so.
    pub source: Source,
}

/// What the interior tells a journey beyond sizes and masses; what is left out is asked for where it is needed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ParcelDetails {
    /// The hollow inside.
    pub inside: Option<Inside>,
    /// What packs the contents, by kind.
    pub dunnage: Vec<(crate::Dunnage, Mass)>,
    /// The temperatures its foams bear.
    pub temperatures: Vec<TemperatureLimit>,
    /// How far the centre of mass lies from the middle, along length and width.
    pub centre_offset: Option<[Length; 2]>,
    /// The drop height that its interior is designed for.
    pub design_drop: Option<Measured<Length>>,
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
    /// What the interior tells beyond that.
    pub details: ParcelDetails,
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

    /// The largest volume of the box round it.
    pub fn largest_volume(&self) -> Volume {
        let [length, width, height] = self.largest_sides();
        length * width * height
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
        if let Some(inside) = &self.details.inside {
            positive("the volume inside".to_owned(), inside.volume.si(), "m³")?;
            positive("the surface inside".to_owned(), inside.area.si(), "m²")?;
            positive("the height inside".to_owned(), inside.height.si(), "m")?;
        }
        for (_, mass) in &self.details.dunnage {
            not_negative("the mass of dunnage".to_owned(), mass.si(), "kg")?;
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
