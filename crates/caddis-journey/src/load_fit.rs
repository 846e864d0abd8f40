//! How many cases of one kind stand on a pallet, in a container, in a vehicle.

use crate::chargeable::CONVERSION_SLACK;
use crate::{CarriageLimits, Dated, LoadSpace, SpaceKind};
use caddis_basis::{Length, Mass, Measured, Said};

/// Left free beside each case in a vehicle, container or unit load device; on a pallet cases touch (common practice, no
/// source).
const LOADING_GAP: Length = Length::mm(10.0);

/// Rows of the first block that are tried: boxes smaller than a thousandth of a vehicle are not cases.
const MOST_ROWS: u32 = 1000;

/// Cases of one kind in one space.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadFit {
    /// Name of the space.
    pub name: Said,
    /// What it is.
    pub kind: SpaceKind,
    /// Cases in one layer, all upright, in one block of rows or in two that are turned to each other.
    pub per_layer: u32,
    /// Layers by height.
    pub layers: u32,
    /// Cases by height and by mass, the lesser.
    pub cases: u32,
    /// Whether mass, not room, is the limit.
    pub by_mass: bool,
    /// Spaces needed for the cases asked for; `None` where not one fits.
    pub spaces: Option<u32>,
    /// Where the space's sizes come from.
    pub source: caddis_basis::Source,
}

/// How many cases stand in each space of the limits, upright, in plain rows: one block of rows, or two blocks turned to each
/// other that share the length or the width. Cleverer patterns are left out, so the count is safe; securing, axle loads and
/// overhang are the carrier's business.
///
/// # Source
/// Whole rows by length, width and height, both ways round; sizes from the dated rows of [`CarriageLimits`]. Two blocks give the
/// counts of pallets in containers that two trade pages print.
pub fn load_fit(sides: [Length; 3], gross: Mass, cases: u32, limits: &CarriageLimits) -> Vec<LoadFit> {
    limits
        .spaces
        .iter()
        .map(|row| fit(sides, gross, cases, row))
        .collect()
}

fn fit(sides: [Length; 3], gross: Mass, cases: u32, row: &Dated<LoadSpace>) -> LoadFit {
    let space = &row.value;
    let times = |room: Length, side: Length| -> u32 {
        let count = (room / side * (1.0 + CONVERSION_SLACK)).floor();
        if count.is_finite() {
            count.clamp(0.0, 1e6) as u32
        } else {
            0
        }
    };
    let gap = if space.kind == SpaceKind::Pallet {
        Length::ZERO
    } else {
        LOADING_GAP
    };
    let [a, b] = [sides[0] + gap, sides[1] + gap];
    let block = |length: Length, width: Length, x: Length, y: Length| {
        times(length, x).saturating_mul(times(width, y))
    };
    // The first block takes whole rows of the length (or of the width), the second what is left.
    let two_blocks = |length: Length, width: Length, x: Length, y: Length| -> u32 {
        (0..=times(length, x).min(MOST_ROWS))
            .map(|rows| {
                let taken = x * f64::from(rows);
                block(taken, width, x, y).saturating_add(block(length - taken, width, y, x))
            })
            .max()
            .unwrap_or(0)
    };
    let per_layer = [(a, b), (b, a)]
        .into_iter()
        .map(|(x, y)| {
            two_blocks(space.length, space.width, x, y).max(two_blocks(space.width, space.length, x, y))
        })
        .max()
        .unwrap_or(0);
    let layers = times(space.height, sides[2]);
    let by_room = per_layer.saturating_mul(layers);
    let by_load = (space.load / gross * (1.0 + CONVERSION_SLACK))
        .floor()
        .clamp(0.0, 1e9) as u32;
    let fits = by_room.min(by_load);
    LoadFit {
        name: space.name.clone(),
        kind: space.kind,
        per_layer,
        layers,
        cases: fits,
        by_mass: by_load < by_room,
        spaces: (fits > 0).then(|| cases.div_ceil(fits)),
        source: row.dated_source(),
    }
}

/// One loaded pallet.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedPallet {
    /// Name of the pallet.
    pub name: Said,
    /// Cases on it.
    pub cases: u32,
    /// Length, width and height, pallet included.
    pub sides: [Length; 3],
    /// Mass, pallet included.
    pub mass: Measured<Mass>,
    /// Mass of the empty pallet.
    pub own_mass: Mass,
}

/// The first (fullest) pallet that a load of cases makes, on the pallet of known height and mass that takes most; `None` where
/// none takes one.
///
/// # Source
/// As [`load_fit`].
pub fn loaded_pallet(
    sides: [Length; 3],
    gross: &Measured<Mass>,
    cases: u32,
    limits: &CarriageLimits,
) -> Option<LoadedPallet> {
    let fits = load_fit(sides, gross.most(), cases, limits);
    let (fit, space) = fits
        .iter()
        .zip(&limits.spaces)
        .map(|(fit, row)| (fit, &row.value))
        .filter(|(fit, space)| fit.kind == SpaceKind::Pallet && space.own.is_some() && fit.cases > 0)
        .reduce(|best, next| if next.0.cases > best.0.cases { next } else { best })?;
    let (height, own_mass) = space.own?;
    let count = cases.min(fit.cases);
    let layers = count.div_ceil(fit.per_layer.max(1));
    Some(LoadedPallet {
        name: fit.name.clone(),
        cases: count,
        sides: [space.length, space.width, height + sides[2] * f64::from(layers)],
        mass: Measured {
            value: own_mass + gross.value * f64::from(count),
            plus_minus: gross.plus_minus.map(|band| band * f64::from(count)),
            source: gross.source.clone(),
        },
        own_mass,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// What is counted has room and is not too heavy.
        #[test]
        fn what_fits_has_room(mm in prop::array::uniform3(50.0..3000.0_f64), kg in 0.5..500.0_f64, cases in 1_u32..200) {
            let limits = CarriageLimits::common();
            let sides = mm.map(Length::mm);
            for (fit, row) in load_fit(sides, Mass::from_si(kg), cases, &limits).iter().zip(&limits.spaces) {
                let room = row.value.length * row.value.width * row.value.height;
                let filled = sides[0] * sides[1] * sides[2] * f64::from(fit.cases);
                prop_assert!(filled.si() <= room.si() * 1.000_001);
                prop_assert!(kg * f64::from(fit.cases) <= row.value.load.si() * 1.000_001);
                if let Some(spaces) = fit.spaces {
                    prop_assert!(spaces * fit.cases >= cases);
                }
            }
        }
    }

    #[test]
    fn pallet_in_trailer_counts_are_those_of_the_trade() {
        // 33 pallets of 1200 x 800 and 26 of 1200 x 1000 stand in a 13.6 m semi-trailer, by two trade pages.
        let limits = CarriageLimits::common();
        let trailer = |x: f64, y: f64| {
            load_fit(
                [Length::from_si(x), Length::from_si(y), Length::from_si(2.0)],
                Mass::from_si(500.0),
                33,
                &limits,
            )
            .into_iter()
            .find(|fit| fit.name.contains("13.6 m"))
            .map(|fit| fit.cases)
        };
        assert_eq!(trailer(1.2, 0.8), Some(33));
        assert_eq!(trailer(1.2, 1.0), Some(26));
    }

    /// Two trade pages: 11 and 9 to 10 pallets in a 20 ft container, 23 to 24 and 20 to 21 in a 40 ft one.
    #[test]
    fn pallet_in_container_counts_are_those_of_the_trade() {
        let limits = CarriageLimits::common();
        let in_container = |name: &str, x: f64, y: f64| {
            load_fit(
                [Length::from_si(x), Length::from_si(y), Length::from_si(2.0)],
                Mass::from_si(500.0),
                1,
                &limits,
            )
            .into_iter()
            .find(|fit| fit.kind == SpaceKind::Container && fit.name.contains(name))
            .map_or(0, |fit| fit.cases)
        };
        assert_eq!(in_container("20 ft", 1.2, 0.8), 11);
        assert!((9..=10).contains(&in_container("20 ft", 1.2, 1.0)));
        assert!((23..=24).contains(&in_container("40 ft", 1.2, 0.8)));
        assert!((20..=21).contains(&in_container("40 ft", 1.2, 1.0)));
    }
}
