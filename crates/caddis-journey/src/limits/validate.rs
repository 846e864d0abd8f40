//! Refuses limits that no carrier can mean.

use super::CarriageLimits;
use crate::Divisor;
use crate::error::JourneyError;
use crate::parcel::positive;

impl CarriageLimits {
    /// Refuses limits that no carrier can mean; altitudes are judged where they are used.
    ///
    /// # Errors
    /// A size, mass, density, factor or divisor that is not a finite value above zero; an empty list; steps that do not
    /// rise; a climate whose temperatures are crossed.
    pub fn validate(&self) -> Result<(), JourneyError> {
        let mut checks: Vec<(String, f64, &'static str)> = Vec::new();
        let mut check = |name: &str, value: f64, unit| checks.push((name.to_owned(), value, unit));
        for (name, row) in [
            ("checked_linear_size", &self.checked_linear_size),
            ("checked_linear_size_charged", &self.checked_linear_size_charged),
            ("checked_linear_size_largest", &self.checked_linear_size_largest),
        ] {
            check(name, row.value.si(), "m");
        }
        for (name, row) in [
            ("checked_mass", &self.checked_mass),
            ("checked_mass_one_piece", &self.checked_mass_one_piece),
            ("checked_mass_largest", &self.checked_mass_largest),
            ("carry_on_mass", &self.carry_on_mass),
            ("carry_on_mass_wide", &self.carry_on_mass_wide),
            ("courier_large_billed", &self.courier_large_billed),
            ("heavy_label", &self.heavy_label),
            ("load_constant", &self.load_constant),
        ] {
            check(name, row.value.si(), "kg");
        }
        for (name, row) in [
            ("courier_large_volume", &self.courier_large_volume),
            ("additional_handling_volume", &self.additional_handling_volume),
        ] {
            check(name, row.value.si(), "m³");
        }
        for (name, row) in [
            ("carry_on", &self.carry_on),
            ("carry_on_wide", &self.carry_on_wide),
        ] {
            for side in row.value {
                check(name, side.si(), "m");
            }
        }
        for (name, row) in [
            ("courier_maximum", &self.courier_maximum),
            ("courier_large", &self.courier_large),
        ] {
            check(&format!("{name}.mass"), row.value.mass.si(), "kg");
            check(&format!("{name}.longest"), row.value.longest.si(), "m");
            check(
                &format!("{name}.length_and_girth"),
                row.value.length_and_girth.si(),
                "m",
            );
        }
        let handling = self.additional_handling.value;
        check("additional_handling.mass", handling.mass.si(), "kg");
        check("additional_handling.longest", handling.longest.si(), "m");
        check("additional_handling.second", handling.second.si(), "m");
        check(
            "additional_handling.length_and_girth",
            handling.length_and_girth.si(),
            "m",
        );
        let post = self.postal.value;
        check("postal.mass", post.mass.si(), "kg");
        check("postal.length_and_girth", post.length_and_girth.si(), "m");
        check(
            "postal.length_and_girth_oversize",
            post.length_and_girth_oversize.si(),
            "m",
        );
        check("postal.longest", post.longest.si(), "m");
        check("postal.longest_lower_fee", post.longest_lower_fee.si(), "m");
        check("postal.volume", post.volume.si(), "m³");
        for (name, row) in [("lift", &self.lift), ("lift_men", &self.lift_men)] {
            check(
                &format!("{name}.floor_to_waist"),
                row.value.floor_to_waist.si(),
                "kg",
            );
            check(
                &format!("{name}.floor_to_shoulder"),
                row.value.floor_to_shoulder.si(),
                "kg",
            );
            check(&format!("{name}.carry"), row.value.carry.si(), "kg");
            check(
                &format!("{name}.share_beyond_two"),
                row.value.share_beyond_two,
                "",
            );
        }
        let reference = self.reference_masses.value;
        for mass in [
            reference.men,
            reference.women,
            reference.men_young_or_old,
            reference.women_young_or_old,
        ] {
            check("reference_masses", mass.si(), "kg");
        }
        for zone in &self.lift_filter.value {
            for mass in [zone.men_close, zone.men_far, zone.women_close, zone.women_far] {
                check("lift_filter", mass.si(), "kg");
            }
        }
        check("altitude_rate", self.altitude_rate.value.si(), "m/s");
        for (index, test) in self.altitude_tests.iter().enumerate() {
            check(
                &format!("altitude_tests[{index}].hold"),
                test.value.hold.si(),
                "s",
            );
            check(
                &format!("altitude_tests[{index}].altitude"),
                test.value.altitude.si(),
                "m",
            );
        }
        check("battery_devices", f64::from(self.battery_devices.value), "");
        check("battery_spares", f64::from(self.battery_spares.value), "");
        check("battery_charge", self.battery_charge.value, "");
        let stack = self.vehicle_stack.value;
        check("vehicle_stack.density", stack.density.si(), "kg/m³");
        check("vehicle_stack.height", stack.height.si(), "m");
        check("vehicle_stack.small_height", stack.small_height.si(), "m");
        check("vehicle_stack.small_mass", stack.small_mass.si(), "kg");
        check("vehicle_stack.small_volume", stack.small_volume.si(), "m³");
        for (name, row) in [
            ("vehicle_factors", &self.vehicle_factors.value[..]),
            ("warehouse_factors", &self.warehouse_factors.value[..]),
            (
                "warehouse_factors_creeping",
                &self.warehouse_factors_creeping.value[..],
            ),
            ("team_shares", &self.team_shares.value[..]),
        ] {
            for &factor in row {
                check(name, factor, "");
            }
        }
        for (index, row) in self.dimensional.iter().enumerate() {
            let (divisor, unit) = match row.value.rule.divisor {
                Divisor::CubicCentimetresPerKilogram(divisor) => (divisor, "cm³/kg"),
                Divisor::CubicInchesPerPound(divisor) => (divisor, "in³/lb"),
            };
            check(&format!("dimensional[{index}].divisor"), divisor, unit);
        }
        for (index, row) in self.spaces.iter().enumerate() {
            for (side, value) in [
                ("length", row.value.length),
                ("width", row.value.width),
                ("height", row.value.height),
            ] {
                check(&format!("spaces[{index}].{side}"), value.si(), "m");
            }
            check(&format!("spaces[{index}].load"), row.value.load.si(), "kg");
            if let Some((height, mass)) = row.value.own {
                check(&format!("spaces[{index}].own_height"), height.si(), "m");
                check(&format!("spaces[{index}].own_mass"), mass.si(), "kg");
            }
        }
        for (index, row) in self.transit_drops.iter().enumerate() {
            check(
                &format!("transit_drops[{index}].height_small"),
                row.value.height_small.si(),
                "m",
            );
            check(
                &format!("transit_drops[{index}].height_large"),
                row.value.height_large.si(),
                "m",
            );
            check(
                &format!("transit_drops[{index}].drops"),
                f64::from(row.value.drops()),
                "",
            );
        }
        let carry = self.cumulative_carry.value;
        for (name, value, unit) in [
            ("shift", carry.shift.si(), "s"),
            ("near", carry.near.si(), "m"),
            ("near_mass", carry.near_mass.si(), "kg"),
            ("far", carry.far.si(), "m"),
            ("far_mass", carry.far_mass.si(), "kg"),
        ] {
            check(&format!("cumulative_carry.{name}"), value, unit);
        }
        let categories = self.reuse_categories.value;
        check("reuse_categories.first", f64::from(categories.first), "");
        check("reuse_categories.second", f64::from(categories.second), "");
        let handling = self.mechanical_handling.value;
        check("mechanical_handling.light_to", handling.light_to.si(), "kg");
        for (name, heights) in [("light", handling.light), ("heavy", handling.heavy)] {
            for height in heights {
                check(&format!("mechanical_handling.{name}"), height.si(), "m");
            }
        }
        for speed in handling.side_impact {
            check("mechanical_handling.side_impact", speed.si(), "m/s");
        }
        for (vehicle, road) in [
            ("road_vibration", self.road_vibration.value),
            ("off_road_vibration", self.off_road_vibration.value),
        ] {
            for (name, value, unit) in [
                ("vertical", road.vertical, "G"),
                ("transverse", road.transverse, "G"),
                ("longitudinal", road.longitudinal, "G"),
                ("time", road.time.si(), "s"),
                ("distance", road.distance.si(), "m"),
            ] {
                check(&format!("{vehicle}.{name}"), value, unit);
            }
        }
        for (name, value, unit) in checks {
            positive(format!("the limit {name}"), value, unit)?;
        }
        self.validate_lists()
    }

    fn validate_lists(&self) -> Result<(), JourneyError> {
        let broken = |field: &str, why: &'static str| {
            Err(JourneyError::Limits {
                field: field.to_owned(),
                why,
            })
        };
        for (name, count) in [
            ("dimensional", self.dimensional.len()),
            ("freight_classes", self.freight_classes.value.len()),
            ("climates", self.climates.len()),
            ("spaces", self.spaces.len()),
            ("transit_drops", self.transit_drops.len()),
            ("lift_filter", self.lift_filter.value.len()),
        ] {
            if count == 0 {
                return broken(name, "holds no row");
            }
        }
        let rises = |values: &[f64]| values.windows(2).all(|pair| pair[0] < pair[1]);
        let steps: Vec<f64> = self
            .freight_classes
            .value
            .iter()
            .map(|step| step.below.si())
            .collect();
        if !rises(&steps) {
            return broken("freight_classes", "does not rise from step to step");
        }
        let carry = self.cumulative_carry.value;
        if carry.near >= carry.far || carry.near_mass < carry.far_mass {
            return broken("cumulative_carry", "lets more be carried farther");
        }
        let categories = self.reuse_categories.value;
        if categories.first <= categories.second {
            return broken("reuse_categories", "does not fall from category I to II");
        }
        if self.power_banks.value.advice.trim().is_empty() {
            return broken("power_banks", "gives no advice");
        }
        let masses: Vec<f64> = self
            .transit_drops
            .iter()
            .map(|row| row.value.below.si())
            .collect();
        if !rises(&masses) {
            return broken("transit_drops", "does not rise from row to row");
        }
        for climate in &self.climates {
            let (low, high) = (climate.value.lowest, climate.value.highest);
            let cold =
                |t: Option<caddis_basis::Temperature>| t.is_some_and(|t| !(t.is_finite() && t.si() > 0.0));
            if cold(low) || cold(high) || matches!((low, high), (Some(low), Some(high)) if low > high) {
                return broken("climates", "has temperatures that are none, or crossed");
            }
        }
        Ok(())
    }
}
