//! The closed case as the journey meets it: masses, outside, air.

use crate::{Brief, Interior};
use caddis_basis::{Area, Mass, Measured, Said, Volume, said};
use caddis_geometry::Vec3;
use caddis_journey::{Dunnage, HandlePlace, Inside, Parcel, ParcelDetails, TemperatureLimit};
use caddis_survey::{FittingGroup, HalfSide};

/// What the case weighs, part by part: shell, foam, each kind of item, sundries. Nominal masses.
pub(super) fn masses(interior: &Interior, brief: &Brief) -> Vec<(Said, Mass)> {
    let mut out = vec![(said!("shell"), brief.shell.empty_mass.value)];
    out.push((said!("foam"), foam_mass(interior, brief)));
    if let Some(board) = board_mass(interior, brief) {
        out.push((said!("board behind the lid pad"), board));
    }
    if let Some((board, _)) = tray_board(interior, brief) {
        out.push((said!("board in the tray"), board));
    }
    for item in &brief.items {
        out.push((Said::name(&item.name), item.mass.value * f64::from(item.quantity)));
    }
    out.push((said!("sundries"), brief.sundries.value));
    out
}

/// Mass of the foam that is left after every cavity and notch is cut.
fn foam_mass(interior: &Interior, brief: &Brief) -> Mass {
    interior
        .blocks
        .iter()
        .map(|block| brief.foams[block.foam].density * Volume::from_si(interior.foam_volume(block)))
        .sum()
}

/// Mass of the board behind the lid pad.
fn board_mass(interior: &Interior, brief: &Brief) -> Option<Mass> {
    let board = brief.furnishing.board.as_ref()?;
    let area = interior.back_board(brief)?.region.area();
    Some(Mass::from_si(board.mass_per_area * area))
}

/// Mass of the board in a tray, and its centre.
pub(super) fn tray_board(interior: &Interior, brief: &Brief) -> Option<(Mass, Vec3)> {
    let (board, prism) = brief.furnishing.tray_board.as_ref().zip(interior.tray_board())?;
    let centre = prism.region.bounds()?.centre();
    let middle = f64::midpoint(prism.low, prism.high);
    let mass = Mass::from_si(board.mass_per_area * prism.region.area());
    Some((mass, centre.at_height(middle)))
}

/// Gross mass with the sum of the parts' bands as its own (worst case).
pub(crate) fn gross_mass(interior: &Interior, brief: &Brief) -> Measured<Mass> {
    let value: Mass = masses(interior, brief).into_iter().map(|(_, mass)| mass).sum();
    let band = |measured: &Measured<Mass>| measured.plus_minus.unwrap_or(Mass::ZERO);
    let plus_minus = band(&brief.shell.empty_mass)
        + band(&brief.sundries)
        + brief
            .items
            .iter()
            .map(|item| band(&item.mass) * f64::from(item.quantity))
            .sum::<Mass>();
    Measured {
        value,
        plus_minus: Some(plus_minus),
        source: None,
    }
}

/// The parcel of a packed case.
pub(super) fn parcel(interior: &Interior, brief: &Brief) -> Parcel {
    let shell = &brief.shell;
    let rim = shell.section(shell.rim_height().si() - 1e-6);
    let inside = shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid);
    let foam: f64 = interior
        .blocks
        .iter()
        .map(|block| interior.foam_volume(block))
        .sum();
    let items: f64 = interior
        .places
        .iter()
        .map(|place| brief.items[place.item].volume().si())
        .sum();
    let named = |word: &str| {
        shell
            .fittings
            .iter()
            .filter(|fitting| fitting.name.to_lowercase().contains(word))
            .map(|fitting| fitting.count)
            .sum::<u32>()
    };
    // A handle's height is half the outside height when the case lies on its base; nobody surveys it more closely yet.
    let height = shell.outside[2].value / 2.0;
    let handles = shell
        .fittings
        .iter()
        .filter(|fitting| {
            fitting.group == FittingGroup::Moving && fitting.name.to_lowercase().contains("handle")
        })
        .flat_map(|fitting| {
            (0..fitting.count).map(|_| HandlePlace {
                height,
                two_handed: false,
            })
        })
        .collect();
    Parcel {
        outside: shell.outside.clone(),
        gross_mass: gross_mass(interior, brief),
        lid_area: brief.lid_area.unwrap_or(Area::from_si(rim.area())),
        sealed_volume: Volume::from_si((inside.si() - foam - items).max(0.0)),
        valve: brief.valve,
        handles,
        wheels: named("wheel") > 0,
        padlock_points: named("padlock"),
        locks: named("lock").saturating_sub(named("padlock")),
        batteries: brief.batteries.clone(),
        stacking_rating: shell.stacking_rating.as_ref().map(Measured::least),
        details: details(interior, brief, inside, rim.area()),
    }
}

/// What the interior tells a journey: the hollow, its foams, its balance.
fn details(interior: &Interior, brief: &Brief, inside: Volume, rim_area: f64) -> ParcelDetails {
    let shell = &brief.shell;
    let height = shell.crown_height();
    // Walls of a straight hollow of the rim's outline: a little more than drafted walls have.
    let round: f64 = 2.0 * (shell.base.rim.length.value.si() + shell.base.rim.width.value.si());
    let (x, y, _) = centre_of_mass(interior, brief);
    ParcelDetails {
        inside: Some(Inside {
            volume: inside,
            area: Area::from_si(2.0 * rim_area + round * height.si()),
            height,
        }),
        dunnage: vec![(Dunnage::SyntheticFoam, foam_mass(interior, brief))],
        temperatures: brief
            .foams
            .iter()
            .filter_map(|foam| {
                let (lowest, highest) = foam.temperatures?;
                Some(TemperatureLimit {
                    what: foam.title.clone(),
                    lowest: Some(lowest),
                    highest: Some(highest),
                    source: foam.source.clone(),
                })
            })
            .collect(),
        centre_offset: Some([x, y].map(caddis_basis::Length::from_si)),
        design_drop: Some(brief.handling.drop_height.clone()),
    }
}

/// Centre of mass of everything in the case, metres (shell and sundries taken at the middle of the case).
pub(crate) fn centre_of_mass(interior: &Interior, brief: &Brief) -> (f64, f64, f64) {
    let middle = f64::midpoint(0.0, brief.shell.crown_height().si());
    let mut total = brief.shell.empty_mass.value.si() + brief.sundries.value.si();
    let mut moment = (0.0, 0.0, total * middle);
    let pieces = interior
        .places
        .iter()
        .map(|place| (brief.items[place.item].mass.value, place.centre_of_mass));
    for (mass, centre) in pieces.chain(tray_board(interior, brief)) {
        let mass = mass.si();
        total += mass;
        moment.0 += mass * centre.x;
        moment.1 += mass * centre.y;
        moment.2 += mass * centre.z;
    }
    (moment.0 / total, moment.1 / total, moment.2 / total)
}
