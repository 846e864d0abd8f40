//! The dated rows every rule reads its limits from.
//!
//! Carriers change them yearly: a row names the edition it was taken from and the day it was written down, and any
//! row can be replaced before [`crate::check_with`].

use crate::error::JourneyError;
use crate::parcel::positive;
use crate::{DimensionalRule, Divisor, MassStep, SideRounding, WattHours};
use caddis_basis::{Certainty, Density, Length, Mass, Source};

/// The day the rows of this version were written down.
const AS_OF: &str = "2026-11-25";

/// A limit with its edition, its day and its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated<T> {
    /// The limit.
    pub value: T,
    /// Which text or practice, in which edition.
    pub edition: String,
    /// The day the row was written down, `YYYY-MM-DD`; not a promise that it still held then.
    pub as_of: String,
    /// Where it was read, and how sure it is.
    pub source: Source,
}

impl<T> Dated<T> {
    /// A row written down with this version.
    fn row(value: T, edition: &str, citation: &str, certainty: Certainty) -> Self {
        Self {
            value,
            edition: edition.to_owned(),
            as_of: AS_OF.to_owned(),
            source: Source::new(citation, certainty),
        }
    }

    /// The source with edition and day, as findings carry it.
    pub fn dated_source(&self) -> Source {
        let citation = if self.source.citation.is_empty() {
            format!("{}, row of {}", self.edition, self.as_of)
        } else {
            format!(
                "{}: {}, row of {}",
                self.edition, self.source.citation, self.as_of
            )
        };
        Source::new(citation, self.source.certainty)
    }
}

/// The largest parcel of a network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourierMaximum {
    /// Heaviest.
    pub mass: Mass,
    /// Longest side.
    pub longest: Length,
    /// Longest side plus girth.
    pub length_and_girth: Length,
}

/// Where a parcel starts to cost additional handling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdditionalHandling {
    /// Heaviest without.
    pub mass: Mass,
    /// Longest side without.
    pub longest: Length,
    /// Second longest side without.
    pub second: Length,
    /// Longest side plus girth without.
    pub length_and_girth: Length,
}

/// What persons lift and carry, men and women alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftLimits {
    /// One person, from the floor to 0.91 m.
    pub floor_to_waist: Mass,
    /// One person, from the floor to 1.52 m.
    pub floor_to_shoulder: Mass,
    /// One person, carried up to 10 m.
    pub carry: Mass,
    /// The share of the one-person value that each person beyond two adds.
    pub share_beyond_two: f64,
}

/// The largest battery of a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryLimits {
    /// Most energy of one battery.
    pub energy: WattHours,
    /// Most lithium metal of one battery.
    pub lithium: Mass,
    /// Highest nominal voltage, V; infinite where none is set.
    pub volts: f64,
    /// Most spares a person; `None` where none is set.
    pub spares: Option<u32>,
}

/// Mixed freight standing on a case in a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VehicleStack {
    /// Mean density of what stands above.
    pub density: Density,
    /// Height of the load.
    pub height: Length,
}

/// Every limit the rules read.
#[derive(Debug, Clone, PartialEq)]
pub struct CarriageLimits {
    /// Linear size of a checked bag without extra charge.
    pub checked_linear_size: Dated<Length>,
    /// Linear size that many airlines still take at a charge.
    pub checked_linear_size_charged: Dated<Length>,
    /// Mass of a checked bag without extra charge.
    pub checked_mass: Dated<Mass>,
    /// Mass of one piece that ground handling takes at all.
    pub checked_mass_one_piece: Dated<Mass>,
    /// Cabin bag, the narrower practice; longest side first.
    pub carry_on: Dated<[Length; 3]>,
    /// Cabin bag, the wider practice; longest side first.
    pub carry_on_wide: Dated<[Length; 3]>,
    /// The least of the usual cabin bag masses.
    pub carry_on_mass: Dated<Mass>,
    /// The largest of the usual cabin bag masses.
    pub carry_on_mass_wide: Dated<Mass>,
    /// How couriers bill size.
    pub dimensional: Dated<DimensionalRule>,
    /// The largest courier parcel.
    pub courier_maximum: Dated<CourierMaximum>,
    /// Where a courier parcel counts as large.
    pub courier_large: Dated<CourierMaximum>,
    /// Where additional handling starts.
    pub additional_handling: Dated<AdditionalHandling>,
    /// What persons lift.
    pub lift: Dated<LiftLimits>,
    /// The load constant of the revised NIOSH lifting equation: the most under ideal conditions.
    pub load_constant: Dated<Mass>,
    /// Pressure altitude of a passenger cabin and its hold, at worst.
    pub cabin_altitude: Dated<Length>,
    /// Pressure altitude of an unpressurised feeder aircraft, at worst.
    pub feeder_altitude: Dated<Length>,
    /// Lithium batteries that fly without approval.
    pub battery_free: Dated<BatteryLimits>,
    /// Lithium batteries that fly with approval.
    pub battery_approval: Dated<BatteryLimits>,
    /// Non-spillable lead batteries that fly.
    pub battery_lead: Dated<BatteryLimits>,
    /// What stands on a case in a vehicle.
    pub vehicle_stack: Dated<VehicleStack>,
}

impl CarriageLimits {
    /// The common practice this version knows.
    pub fn common() -> Self {
        use Certainty::{Memory, Published, Secondary};
        let airlines = "economy checked baggage, widespread airline practice";
        let cabin = "cabin baggage, airline practice";
        let networks = "parcel networks, common conditions";
        let unlimited = f64::INFINITY;
        Self {
            checked_linear_size: Dated::row(
                Length::inches(62.0),
                airlines,
                "62 in over length, width and height, wheels and handles included, in traveller guides quoting airlines",
                Secondary,
            ),
            checked_linear_size_charged: Dated::row(
                Length::inches(80.0),
                airlines,
                "oversize tier of 62 in to 80 in at a charge",
                Memory,
            ),
            checked_mass: Dated::row(
                Mass::from_si(23.0),
                airlines,
                "50 lb or 23 kg in traveller guides quoting airlines",
                Secondary,
            ),
            checked_mass_one_piece: Dated::row(
                Mass::from_si(32.0),
                airlines,
                "at most 32 kg a piece for ground handling, in traveller guides",
                Secondary,
            ),
            carry_on: Dated::row(
                [Length::inches(22.0), Length::inches(14.0), Length::inches(9.0)],
                cabin,
                "22 x 14 x 9 in, wheels and handles included, in traveller guides",
                Secondary,
            ),
            carry_on_wide: Dated::row(
                [Length::mm(560.0), Length::mm(450.0), Length::mm(250.0)],
                cabin,
                "56 x 45 x 25 cm, wheels and handles included, in a traveller guide",
                Secondary,
            ),
            carry_on_mass: Dated::row(
                Mass::from_si(7.0),
                cabin,
                "usual limits of 7, 8, 10 and 12 kg",
                Memory,
            ),
            carry_on_mass_wide: Dated::row(
                Mass::from_si(12.0),
                cabin,
                "usual limits of 7, 8, 10 and 12 kg",
                Memory,
            ),
            dimensional: Self::dimensional_5000(),
            courier_maximum: Dated::row(
                CourierMaximum {
                    mass: Mass::pounds(150.0),
                    longest: Length::inches(108.0),
                    length_and_girth: Length::inches(165.0),
                },
                networks,
                "150 lb, 108 in, length and girth 165 in, on a carrier's published page",
                Published,
            ),
            courier_large: Dated::row(
                CourierMaximum {
                    mass: Mass::pounds(110.0),
                    longest: Length::inches(96.0),
                    length_and_girth: Length::inches(130.0),
                },
                networks,
                "large package over 96 in, over 130 in of length and girth, and from 2026-01-26 over 110 lb, in shipping guides",
                Secondary,
            ),
            additional_handling: Dated::row(
                AdditionalHandling {
                    mass: Mass::pounds(50.0),
                    longest: Length::inches(48.0),
                    second: Length::inches(30.0),
                    length_and_girth: Length::inches(105.0),
                },
                networks,
                "over 48 in, second side over 30 in, over 50 lb, over 105 in of length and girth, or not fully boxed",
                Memory,
            ),
            lift: Dated::row(
                LiftLimits {
                    floor_to_waist: Mass::from_si(20.0),
                    floor_to_shoulder: Mass::from_si(16.8),
                    carry: Mass::from_si(19.0),
                    share_beyond_two: 0.75,
                },
                "MIL-STD-1472G 5.8.6.3",
                "lifting and carrying, men and women",
                Memory,
            ),
            load_constant: Dated::row(
                Mass::from_si(23.0),
                "NIOSH 94-110, revised 9/2021",
                "load constant of the revised lifting equation, p. 1 and 7, in a repository quoting the manual",
                Published,
            ),
            cabin_altitude: Dated::row(
                Length::from_si(2438.4),
                "14 CFR 25.841(a)",
                "cabin pressure altitude of at most 8000 ft in normal operation",
                Memory,
            ),
            feeder_altitude: Dated::row(
                Length::from_si(5791.2),
                "ASTM D6653",
                "unpressurised feeder aircraft as high as 5791 m (19 000 ft), in the abstract",
                Published,
            ),
            battery_free: Dated::row(
                BatteryLimits {
                    energy: WattHours::new(100.0),
                    lithium: Mass::from_si(0.002),
                    volts: unlimited,
                    spares: None,
                },
                "49 CFR 175.10(a), edition of 2018-10-01, and the screening authority's page",
                "lithium ion up to 100 Wh, lithium metal up to 2 g, without approval",
                Published,
            ),
            battery_approval: Dated::row(
                BatteryLimits {
                    energy: WattHours::new(160.0),
                    lithium: Mass::from_si(0.008),
                    volts: unlimited,
                    spares: Some(2),
                },
                "49 CFR 175.10(a)",
                "over 100 Wh up to 160 Wh, over 2 g up to 8 g: with approval, at most two spares a person, in texts quoting the aviation authority's page",
                Secondary,
            ),
            battery_lead: Dated::row(
                BatteryLimits {
                    energy: WattHours::new(100.0),
                    lithium: Mass::ZERO,
                    volts: 12.0,
                    spares: Some(2),
                },
                "49 CFR 175.10(a)(18)(iii), edition of 2018-10-01",
                "non-spillable, up to 12 V and 100 Wh, at most two protected spares",
                Published,
            ),
            vehicle_stack: Dated::row(
                VehicleStack {
                    density: Density::from_si(192.0),
                    height: Length::from_si(2.7),
                },
                "ASTM D4169 schedule C",
                "12 lb/ft3 of mixed freight to 108 in, on a laboratory's calculator page; design factors left out here",
                Secondary,
            ),
        }
    }

    /// Refuses limits that no carrier can mean; altitudes are judged where they are used.
    ///
    /// # Errors
    /// A size, mass, density or divisor that is not a finite value above zero.
    pub fn validate(&self) -> Result<(), JourneyError> {
        let (courier, large) = (self.courier_maximum.value, self.courier_large.value);
        let (handling, lift, stack) = (
            self.additional_handling.value,
            self.lift.value,
            self.vehicle_stack.value,
        );
        let lengths = [
            ("checked_linear_size", self.checked_linear_size.value),
            (
                "checked_linear_size_charged",
                self.checked_linear_size_charged.value,
            ),
            ("courier_maximum.longest", courier.longest),
            ("courier_maximum.length_and_girth", courier.length_and_girth),
            ("courier_large.longest", large.longest),
            ("courier_large.length_and_girth", large.length_and_girth),
            ("additional_handling.longest", handling.longest),
            ("additional_handling.second", handling.second),
            ("additional_handling.length_and_girth", handling.length_and_girth),
            ("vehicle_stack.height", stack.height),
        ];
        let frames = [
            ("carry_on", self.carry_on.value),
            ("carry_on_wide", self.carry_on_wide.value),
        ];
        let masses = [
            ("checked_mass", self.checked_mass.value),
            ("checked_mass_one_piece", self.checked_mass_one_piece.value),
            ("carry_on_mass", self.carry_on_mass.value),
            ("carry_on_mass_wide", self.carry_on_mass_wide.value),
            ("courier_maximum.mass", courier.mass),
            ("courier_large.mass", large.mass),
            ("additional_handling.mass", handling.mass),
            ("lift.floor_to_waist", lift.floor_to_waist),
            ("lift.floor_to_shoulder", lift.floor_to_shoulder),
            ("lift.carry", lift.carry),
            ("load_constant", self.load_constant.value),
        ];
        let (divisor, unit) = match self.dimensional.value.divisor {
            Divisor::CubicCentimetresPerKilogram(divisor) => (divisor, "cm³/kg"),
            Divisor::CubicInchesPerPound(divisor) => (divisor, "in³/lb"),
        };
        for (name, length) in lengths {
            positive(format!("the limit {name}"), length.si(), "m")?;
        }
        for (name, frame) in frames {
            for side in frame {
                positive(format!("the limit {name}"), side.si(), "m")?;
            }
        }
        for (name, mass) in masses {
            positive(format!("the limit {name}"), mass.si(), "kg")?;
        }
        positive(
            "the limit vehicle_stack.density".to_owned(),
            stack.density.si(),
            "kg/m³",
        )?;
        positive(
            "the limit lift.share_beyond_two".to_owned(),
            lift.share_beyond_two,
            "",
        )?;
        positive("the divisor of dimensional".to_owned(), divisor, unit)
    }

    /// Metric express billing: 5000 cm³/kg, raised to the next half kilogram.
    pub fn dimensional_5000() -> Dated<DimensionalRule> {
        Dated::row(
            DimensionalRule {
                divisor: Divisor::CubicCentimetresPerKilogram(5000.0),
                sides: SideRounding::Unrounded,
                step: MassStep::HalfKilogram,
            },
            "express couriers, metric",
            "divisor 5000 cm3/kg, raised to the next half kilogram, on freight forwarders' calculator pages",
            Certainty::Secondary,
        )
    }

    /// Inch billing: 139 in³/lb, sides to the nearest inch, raised to the next pound.
    pub fn dimensional_139() -> Dated<DimensionalRule> {
        Dated::row(
            DimensionalRule {
                divisor: Divisor::CubicInchesPerPound(139.0),
                sides: SideRounding::NearestInch,
                step: MassStep::Pound,
            },
            "parcel networks, inches, before 2025",
            "divisor 139 in3/lb, sides to the nearest inch, raised to the next pound, on a carrier's published page",
            Certainty::Published,
        )
    }

    /// Inch billing: 139 in³/lb, every fraction of an inch raised, raised to the next pound.
    pub fn dimensional_139_raised() -> Dated<DimensionalRule> {
        Dated::row(
            DimensionalRule {
                divisor: Divisor::CubicInchesPerPound(139.0),
                sides: SideRounding::NextInch,
                step: MassStep::Pound,
            },
            "parcel networks, inches, from August 2025",
            "every fraction of an inch raised to the next inch",
            Certainty::Memory,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Spoil = fn(&mut CarriageLimits);

    #[test]
    fn the_common_limits_are_sound_and_broken_ones_are_named() {
        assert_eq!(CarriageLimits::common().validate(), Ok(()));
        let broken: [(&str, Spoil); 3] = [
            ("divisor", |l| {
                l.dimensional.value.divisor = Divisor::CubicInchesPerPound(0.0);
            }),
            ("carry_on", |l| l.carry_on.value[2] = Length::from_si(f64::NAN)),
            ("checked_mass", |l| l.checked_mass.value = Mass::from_si(-1.0)),
        ];
        for (field, spoil) in broken {
            let mut limits = CarriageLimits::common();
            spoil(&mut limits);
            let message = limits
                .validate()
                .err()
                .map(|error| error.to_string())
                .unwrap_or_default();
            assert!(message.contains(field), "{field}: {message}");
        }
    }

    /// A narrower limit beyond its wider one would let the wider tier pass unnoticed.
    #[test]
    fn tiers_rise() {
        let l = CarriageLimits::common();
        assert!(l.checked_linear_size.value < l.checked_linear_size_charged.value);
        assert!(l.checked_mass.value < l.checked_mass_one_piece.value);
        assert!(l.carry_on_mass.value < l.carry_on_mass_wide.value);
        assert!(l.battery_free.value.energy < l.battery_approval.value.energy);
        assert!(l.battery_free.value.lithium < l.battery_approval.value.lithium);
    }
}
