//! The dated rows every rule reads its limits from.
//!
//! Carriers change them yearly: a row names the edition it was taken from and the day it was written down. A job reads
//! its rows from the library (`library/journey`), where they are edited; [`CarriageLimits::common`] holds the same rows
//! for callers without one, and a test of the file reader holds both alike.

mod common;
mod kinds;
mod validate;

pub use kinds::{
    AdditionalHandling, AltitudeTest, BatteryLimits, BilledBy, Climate, CourierMaximum, CumulativeCarry,
    DimensionalRow, LiftFilter, LiftLimits, LiftZone, LoadSpace, MechanicalHandling, PostalLimits,
    PowerBankNote, ReferenceMasses, ReuseCategories, RoadVibration, SpaceKind, TransitDropRow, VehicleStack,
};

use crate::FreightStep;
use caddis_basis::{Certainty, Length, Mass, Source, Volume};

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

    /// A row written down with this version.
    fn row(value: T, edition: &str, citation: &str, certainty: Certainty) -> Self {
        Self {
            value,
            edition: edition.to_owned(),
            as_of: common::AS_OF.to_owned(),
            source: Source::new(citation, certainty),
        }
    }
}

/// Every limit the rules read.
#[derive(Debug, Clone, PartialEq)]
pub struct CarriageLimits {
    /// Linear size of a checked bag without extra charge.
    pub checked_linear_size: Dated<Length>,
    /// Linear size that many airlines still take at a charge.
    pub checked_linear_size_charged: Dated<Length>,
    /// Linear size that a few airlines take at most.
    pub checked_linear_size_largest: Dated<Length>,
    /// Mass of a checked bag without extra charge.
    pub checked_mass: Dated<Mass>,
    /// Mass of one piece that ground handling takes at all.
    pub checked_mass_one_piece: Dated<Mass>,
    /// Mass of one piece that a few airlines take at a second charge; above it none does.
    pub checked_mass_largest: Dated<Mass>,
    /// Cabin bag, the narrower practice; longest side first.
    pub carry_on: Dated<[Length; 3]>,
    /// Cabin bag, the wider practice; longest side first.
    pub carry_on_wide: Dated<[Length; 3]>,
    /// The least of the usual cabin bag masses.
    pub carry_on_mass: Dated<Mass>,
    /// The largest of the usual cabin bag masses.
    pub carry_on_mass_wide: Dated<Mass>,
    /// How carriers bill size; the first row for a leg is the one judged.
    pub dimensional: Vec<Dated<DimensionalRow>>,
    /// The largest courier parcel.
    pub courier_maximum: Dated<CourierMaximum>,
    /// Where a courier parcel counts as large.
    pub courier_large: Dated<CourierMaximum>,
    /// The volume above which a courier parcel counts as large.
    pub courier_large_volume: Dated<Volume>,
    /// The least a large parcel is billed.
    pub courier_large_billed: Dated<Mass>,
    /// Where additional handling starts.
    pub additional_handling: Dated<AdditionalHandling>,
    /// The volume above which additional handling starts.
    pub additional_handling_volume: Dated<Volume>,
    /// Above this a parcel carries a heavy label.
    pub heavy_label: Dated<Mass>,
    /// What the post takes.
    pub postal: Dated<PostalLimits>,
    /// Freight classes by density.
    pub freight_classes: Dated<Vec<FreightStep>>,
    /// What persons lift, men and women alike.
    pub lift: Dated<LiftLimits>,
    /// What men lift.
    pub lift_men: Dated<LiftLimits>,
    /// The load constant of the revised NIOSH lifting equation: the most under ideal conditions.
    pub load_constant: Dated<Mass>,
    /// Reference masses by age and sex.
    pub reference_masses: Dated<ReferenceMasses>,
    /// The filter below which no further assessment is asked for, by height.
    pub lift_filter: Dated<Vec<LiftFilter>>,
    /// The share of the sum of their single capacities that two and three persons lift.
    pub team_shares: Dated<[f64; 2]>,
    /// Pressure altitude of a passenger cabin and its hold, at worst.
    pub cabin_altitude: Dated<Length>,
    /// Pressure altitude of an unpressurised feeder aircraft, at worst.
    pub feeder_altitude: Dated<Length>,
    /// How fast the altitude of a test changes at most.
    pub altitude_rate: Dated<caddis_basis::Speed>,
    /// What high-altitude tests ask when nothing else is known.
    pub altitude_tests: Vec<Dated<AltitudeTest>>,
    /// Temperatures of closed goods in store and transit, by climate.
    pub climates: Vec<Dated<Climate>>,
    /// Lithium batteries that fly without approval.
    pub battery_free: Dated<BatteryLimits>,
    /// Lithium batteries that fly with approval.
    pub battery_approval: Dated<BatteryLimits>,
    /// Non-spillable lead batteries that fly.
    pub battery_lead: Dated<BatteryLimits>,
    /// Batteries of mobility aids, the one larger thing that flies.
    pub battery_mobility: Dated<BatteryLimits>,
    /// A battery built into the bag itself: above this it must come out to be checked.
    pub battery_of_bag: Dated<BatteryLimits>,
    /// Devices with batteries a person may carry.
    pub battery_devices: Dated<u32>,
    /// Spare batteries a person may carry.
    pub battery_spares: Dated<u32>,
    /// The state of charge of lithium ion batteries sent alone as cargo, as a fraction.
    pub battery_charge: Dated<f64>,
    /// What stands on a case in a vehicle.
    pub vehicle_stack: Dated<VehicleStack>,
    /// Design factors of a vehicle test at assurance levels I, II and III.
    pub vehicle_factors: Dated<[f64; 3]>,
    /// Design factors of a warehouse test of a rigid case at assurance levels I, II and III.
    pub warehouse_factors: Dated<[f64; 3]>,
    /// The same of a case whose plastic creeps under the load.
    pub warehouse_factors_creeping: Dated<[f64; 3]>,
    /// Pallets, containers, vehicles and unit load devices.
    pub spaces: Vec<Dated<LoadSpace>>,
    /// Transit drops by mass and size, lightest first.
    pub transit_drops: Vec<Dated<TransitDropRow>>,
    /// What one person may carry over a shift.
    pub cumulative_carry: Dated<CumulativeCarry>,
    /// What power banks meet beyond the rule of spares.
    pub power_banks: Dated<PowerBankNote>,
    /// Round trips of reusable packaging of airline supplies.
    pub reuse_categories: Dated<ReuseCategories>,
    /// Rough handling by machine.
    pub mechanical_handling: Dated<MechanicalHandling>,
    /// Vibration of a common carrier's truck.
    pub road_vibration: Dated<RoadVibration>,
    /// Vibration of a vehicle off made roads.
    pub off_road_vibration: Dated<RoadVibration>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Divisor;

    type Spoil = fn(&mut CarriageLimits);

    #[test]
    fn the_common_limits_are_sound_and_broken_ones_are_named() {
        assert_eq!(CarriageLimits::common().validate(), Ok(()));
        let broken: [(&str, Spoil); 6] = [
            ("divisor", |l| {
                l.dimensional[0].value.rule.divisor = Divisor::CubicInchesPerPound(0.0);
            }),
            ("carry_on", |l| l.carry_on.value[2] = Length::from_si(f64::NAN)),
            ("checked_mass", |l| l.checked_mass.value = Mass::from_si(-1.0)),
            ("dimensional", |l| l.dimensional.clear()),
            ("freight_classes", |l| l.freight_classes.value.swap(0, 1)),
            ("climates", |l| {
                l.climates[0].value.highest = Some(caddis_basis::Temperature::from_si(0.0));
            }),
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
        assert!(l.checked_linear_size_charged.value < l.checked_linear_size_largest.value);
        assert!(l.checked_mass.value < l.checked_mass_one_piece.value);
        assert!(l.checked_mass_one_piece.value < l.checked_mass_largest.value);
        assert!(l.carry_on_mass.value < l.carry_on_mass_wide.value);
        assert!(l.battery_free.value.energy < l.battery_approval.value.energy);
        assert!(l.battery_free.value.lithium < l.battery_approval.value.lithium);
    }
}
