//! Whether a closed case floats.

use caddis_basis::{Area, Density, Length, Mass, Volume};

/// Fresh water, kg/m³. # Source: handbook value, from memory.
pub(crate) const FRESH_WATER: Density = Density::from_si(1000.0);
/// Sea water, kg/m³. # Source: handbook value, from memory.
pub(crate) const SEA_WATER: Density = Density::from_si(1025.0);

/// A closed, watertight hull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hull {
    /// What it displaces under water.
    pub volume: Volume,
    /// Its cross-section at the water.
    pub waterplane: Area,
    /// Its height.
    pub height: Length,
    /// Its mass with everything in it.
    pub mass: Mass,
}

/// How it lies in the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floating {
    /// Mass it can take on before it sinks; negative when it sinks.
    pub reserve: Mass,
    /// How deep it lies, upright, with straight walls.
    pub draught: Length,
    /// How far its top stands above the water; negative when it sinks.
    pub freeboard: Length,
}

impl Floating {
    /// Whether it floats.
    pub fn floats(&self) -> bool {
        self.reserve > Mass::ZERO
    }
}

/// How a hull lies in water of a density: it floats while `m < rho V`, draws `m / (rho A)`.
///
/// # Accuracy
/// Straight walls and an even keel; foam and contents inside a tight shell change nothing, a flooded case is not this one.
///
/// # Source
/// Archimedes.
pub fn floating(hull: &Hull, water: Density) -> Floating {
    let draught = hull.mass / water / hull.waterplane;
    Floating {
        reserve: water * hull.volume - hull.mass,
        draught,
        freeboard: hull.height - draught,
    }
}

/// How a hull lies in fresh and in sea water.
///
/// # Source
/// As [`floating`].
pub fn floating_fresh_and_sea(hull: &Hull) -> [Floating; 2] {
    [FRESH_WATER, SEA_WATER].map(|water| floating(hull, water))
}

/// Pressure of a head of fresh or sea water.
///
/// # Source
/// `p = rho g d`.
pub fn water_head(depth: Length, is_sea: bool) -> caddis_basis::Pressure {
    let rho = if is_sea { SEA_WATER } else { FRESH_WATER };
    caddis_basis::Pressure::from_si(rho.si() * caddis_basis::STANDARD_GRAVITY * depth.si())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_straight_box_floats_while_its_top_is_dry(kg in 0.1..90.0_f64, x in 0.1..1.0_f64, y in 0.1..1.0_f64, z in 0.05..0.6_f64) {
            let hull = Hull {
                volume: Volume::from_si(x * y * z),
                waterplane: Area::from_si(x * y),
                height: Length::from_si(z),
                mass: Mass::from_si(kg),
            };
            for lies in floating_fresh_and_sea(&hull) {
                prop_assert_eq!(lies.floats(), lies.freeboard.si() > 0.0);
            }
            let [fresh, sea] = floating_fresh_and_sea(&hull);
            prop_assert!(sea.reserve >= fresh.reserve);
        }
    }
}
