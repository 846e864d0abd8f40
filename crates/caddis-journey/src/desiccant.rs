//! How much desiccant a case that stays shut needs, by two standards.

use caddis_basis::{Area, Duration, Mass, Volume};

/// What lies in the case beside its contents, as the military method sorts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dunnage {
    /// Wood, board, and whatever is not listed.
    Cellulosic,
    /// Bound fibre.
    BoundFibre,
    /// Glass fibre.
    GlassFibre,
    /// Synthetic foam and rubber.
    SyntheticFoam,
}

impl Dunnage {
    /// Units of desiccant for each pound.
    ///
    /// # Source
    /// MIL-STD-2073-1, method 50, read in full in a repository's text.
    fn units_per_pound(self) -> f64 {
        match self {
            Self::Cellulosic => 8.0,
            Self::BoundFibre => 3.6,
            Self::GlassFibre => 2.0,
            Self::SyntheticFoam => 0.5,
        }
    }
}

/// What keeps the vapour out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Barrier {
    /// A sealed barrier that is not rigid metal: a plastic case, a bag (formula I).
    NotMetal {
        /// Its surface.
        area: Area,
    },
    /// A sealed rigid metal case, or one as tight: 0.001 g in 24 h through 100 in² (formula II).
    RigidMetal {
        /// The volume inside.
        volume: Volume,
    },
}

/// Square metres in a square foot.
const FOOT2: f64 = 0.092_903_04;
/// Cubic metres in a cubic foot.
const FOOT3: f64 = 0.028_316_846_592;

/// Units of desiccant, not rounded: `C A + sum X D` or `K V + sum X D` with C = 1.6 a square foot, K = 1.2 a cubic foot.
///
/// # Source
/// MIL-STD-2073-1, method 50, formulas I and II, read in full in a repository's text.
pub fn desiccant_units_mil(barrier: Barrier, dunnage: &[(Dunnage, Mass)]) -> f64 {
    let shell = match barrier {
        Barrier::NotMetal { area } => 1.6 * area.si() / FOOT2,
        Barrier::RigidMetal { volume } => 1.2 * volume.si() / FOOT3,
    };
    let inside: f64 = dunnage
        .iter()
        .map(|(kind, mass)| kind.units_per_pound() * mass.as_pounds())
        .sum();
    shell + inside
}

/// The humidity that must not be passed at the end of the storage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FinalHumidity {
    /// 20 %.
    Twenty,
    /// 40 %.
    Forty,
    /// 50 %.
    Fifty,
    /// 60 %.
    Sixty,
}

impl FinalHumidity {
    /// Grams one unit takes up, and the factor on the rate.
    ///
    /// # Source
    /// DIN 55474, table as reprinted by a supplier.
    fn row(self) -> (f64, f64) {
        match self {
            Self::Twenty => (3.0, 0.9),
            Self::Forty => (6.0, 0.7),
            Self::Fifty => (7.0, 0.65),
            Self::Sixty => (8.0, 0.6),
        }
    }
}

/// A package to be kept dry as the German standard reckons it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryPackage {
    /// Volume of air inside.
    pub volume: Volume,
    /// Water in the air that is shut in, g/m³.
    pub air_moisture: f64,
    /// Hygroscopic packing aids.
    pub hygroscopic: Mass,
    /// Surface of the barrier.
    pub area: Area,
    /// What the barrier lets through, g/(m² d).
    pub vapour_rate: f64,
    /// How long it stays shut.
    pub time: Duration,
    /// The humidity not to be passed.
    pub final_humidity: FinalHumidity,
}

/// Water that air-dry hygroscopic packing aids give off, g/kg.
///
/// # Source
/// DIN 55474 in the current text (wood at 18 %, board, organic upholstery); an older reprint has 140.
const AID_MOISTURE: f64 = 80.0;

/// Units of desiccant, not rounded: `(V b + m c + A e WDD t) / a`.
///
/// # Source
/// DIN 55474 as reprinted by a supplier.
pub fn desiccant_units_din(package: &DryPackage) -> f64 {
    let (a, e) = package.final_humidity.row();
    let days = package.time.si() / 86_400.0;
    let water = package.volume.si() * package.air_moisture
        + package.hygroscopic.si() * AID_MOISTURE
        + package.area.si() * e * package.vapour_rate * days;
    water / a
}

/// A dry pack by its surface and the rate of its barrier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryPack {
    /// Surface of the barrier.
    pub area: Area,
    /// What the barrier lets through, g in 24 h through 100 in².
    pub vapour_rate_per_100_in2: f64,
    /// Months shut.
    pub months: f64,
    /// What one unit takes up at the humidity not to be passed, g.
    pub capacity: f64,
}

/// Units of desiccant, not rounded: `0.231 A MVTR months / capacity`, A in square inches.
///
/// # Source
/// EIA-583 as quoted in a distributor's forum: seen in a second text.
pub fn desiccant_units_eia(pack: &DryPack) -> f64 {
    0.231 * pack.area.si() / 0.000_645_16 * pack.vapour_rate_per_100_in2 * pack.months / pack.capacity
}

/// Standard bags, smallest first. # Source: as [`desiccant_bags`].
const SIZES: [(f64, &str); 8] = [
    (1.0 / 6.0, "1/6"),
    (1.0 / 3.0, "1/3"),
    (0.5, "1/2"),
    (1.0, "1"),
    (2.0, "2"),
    (4.0, "4"),
    (8.0, "8"),
    (16.0, "16"),
];

/// The bags that make up so many units: the fewest standard bags of 16, 8, 4, 2, 1, 1/2, 1/3 and 1/6 unit that reach it.
///
/// # Source
/// Standard bag sizes of MIL-D-3464 and DIN 55473.
pub fn desiccant_bags(units: f64) -> Vec<(u32, &'static str)> {
    let mut left = units.max(0.0);
    let mut bags: Vec<(u32, &'static str)> = Vec::new();
    let sixteens = (left / 16.0).floor().min(1e6);
    if sixteens >= 1.0 {
        bags.push((sixteens as u32, "16"));
        left -= sixteens * 16.0;
    }
    // What is left is below 16 units: the smallest single bag that reaches it.
    if left > 1e-9
        && let Some((_, word)) = SIZES.iter().find(|(size, _)| left <= size * (1.0 + 1e-9))
    {
        match bags.iter_mut().find(|(_, known)| known == word) {
            Some(bag) => bag.0 += 1,
            None => bags.push((1, word)),
        }
    }
    bags
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn bags_reach_the_units() {
        assert_eq!(desiccant_bags(3.7), [(1, "4")]);
        assert_eq!(desiccant_bags(17.0), [(1, "16"), (1, "1")]);
        assert_eq!(desiccant_bags(31.0), [(2, "16")]);
        assert_eq!(desiccant_bags(0.1), [(1, "1/6")]);
        assert!(desiccant_bags(0.0).is_empty());
    }

    proptest! {
        #[test]
        fn more_of_anything_never_needs_less(area in 0.01..5.0_f64, kg in 0.0..20.0_f64, more in 0.0..3.0_f64) {
            let units = |area: f64, kg: f64| desiccant_units_mil(
                Barrier::NotMetal { area: Area::from_si(area) },
                &[(Dunnage::SyntheticFoam, Mass::from_si(kg))],
            );
            prop_assert!(units(area + more, kg) >= units(area, kg));
            prop_assert!(units(area, kg + more) >= units(area, kg));
        }
    }
}
