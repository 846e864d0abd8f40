//! What a packed case measures, and how cases are ranked by it.

use crate::arrange::Glance;
use crate::verify::gross_mass;
use crate::{BlockKind, Brief, Interior};
use caddis_basis::{Length, Mass, Measured, Money, Volume};
use caddis_journey::{CarriageLimits, chargeable_weight, linear_size};
use caddis_survey::{HalfSide, Shell};
use std::cmp::Ordering;

/// What to rank cases by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Mass of shell, foam and contents: the lightest first.
    GrossMass,
    /// Outside length, width and height added: the smallest first.
    LinearSize,
    /// What a courier bills: the least first.
    ChargeableWeight,
    /// The price: the lowest first.
    Price,
    /// Foam in base and trays that is left for later: the most first.
    SpareRoom,
}

impl Measure {
    /// All five.
    pub const ALL: [Self; 5] = [
        Self::GrossMass,
        Self::LinearSize,
        Self::ChargeableWeight,
        Self::Price,
        Self::SpareRoom,
    ];

    /// As written on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::GrossMass => "gross-mass",
            Self::LinearSize => "linear-size",
            Self::ChargeableWeight => "chargeable-weight",
            Self::Price => "price",
            Self::SpareRoom => "spare-room",
        }
    }

    /// From its written form.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.as_str() == text)
    }
}

/// The figures of one case. What is `None` is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Gross mass; a lower bound where nothing is laid out yet.
    pub gross_mass: Option<Mass>,
    /// Length, width and height over everything, at their largest.
    pub linear_size: Length,
    /// What a courier bills; a lower bound where nothing is laid out yet.
    pub chargeable_weight: Option<Mass>,
    /// Price of the interior with its shell; only asked of what is arranged in full.
    pub price: Option<Money>,
    /// Foam left in base and trays; an upper bound where nothing is laid out yet.
    pub spare_room: Volume,
    /// How much every cushion could still grow; `None` where nothing is laid out.
    pub spare: Option<Length>,
    /// Trays; `None` where nothing is laid out.
    pub trays: Option<usize>,
}

/// What all shells have to hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Contents {
    /// Items and sundries.
    pub mass: Mass,
    volume: Volume,
}

impl Contents {
    pub(super) fn of(brief: &Brief) -> Self {
        let items = brief.items.iter();
        Self {
            mass: Self::mass_of(brief),
            volume: items.map(|item| item.volume() * f64::from(item.quantity)).sum(),
        }
    }

    /// The mass alone; a volume may have to be integrated.
    pub(super) fn mass_of(brief: &Brief) -> Mass {
        let items = brief.items.iter();
        items
            .map(|item| item.mass.value * f64::from(item.quantity))
            .sum::<Mass>()
            + brief.sundries.value
    }
}

impl Figures {
    /// What a shell reaches at best, before anything is laid out.
    pub(super) fn at_best(contents: &Contents, shell: &Shell) -> Self {
        let gross = shell.empty_mass.value + contents.mass;
        let inside = shell.usable_volume(HalfSide::Base).si();
        Self {
            gross_mass: Some(gross),
            linear_size: linear_size(largest(shell)),
            chargeable_weight: Some(billed(shell, gross)),
            price: None,
            spare_room: Volume::from_si((inside - contents.volume.si()).max(0.0)),
            spare: None,
            trays: None,
        }
    }

    /// What a first layout would measure: the foam is what the inside holds beyond the cavities, so gaps at walls, squeeze
    /// and finger notches are not in it (a few tens of grams).
    pub(super) fn at_a_glance(brief: &Brief, contents: &Contents, found: &Glance) -> Self {
        let shell = &brief.shell;
        let base = (shell.usable_volume(HalfSide::Base).si() - found.voids).max(0.0);
        let foam = brief.foams[brief.base_foam].density * Volume::from_si(base)
            + brief.foams[brief.lid_foam].density * shell.usable_volume(HalfSide::Lid);
        let at_best = Self::at_best(contents, shell);
        let gross = at_best.gross_mass.map(|mass| mass + foam);
        Self {
            gross_mass: gross,
            chargeable_weight: gross.map(|mass| billed(shell, mass)),
            spare_room: Volume::from_si(base),
            spare: Some(Length::from_si(found.spare)),
            trays: Some(found.trays),
            ..at_best
        }
    }

    /// What an interior measures in its brief's shell; the price is left open.
    pub(super) fn of(brief: &Brief, interior: &Interior) -> Self {
        let gross = gross_mass(interior, brief);
        let foam: f64 = interior
            .blocks
            .iter()
            .filter(|block| block.kind != BlockKind::LidPad)
            .map(|block| interior.foam_volume(block))
            .sum();
        Self {
            gross_mass: Some(gross.value),
            linear_size: linear_size(largest(&brief.shell)),
            chargeable_weight: Some(billed(&brief.shell, gross.value)),
            price: None,
            spare_room: Volume::from_si(foam),
            spare: Some(Length::from_si(interior.spare)),
            trays: Some(
                interior
                    .blocks
                    .iter()
                    .filter(|block| matches!(block.kind, BlockKind::Tray(_)))
                    .count(),
            ),
        }
    }

    /// The measure as a number of which less is better; infinite where it is not known.
    fn worth(&self, by: Measure) -> f64 {
        match by {
            Measure::GrossMass => self.gross_mass.map_or(f64::INFINITY, Mass::si),
            Measure::LinearSize => self.linear_size.si(),
            Measure::ChargeableWeight => self.chargeable_weight.map_or(f64::INFINITY, Mass::si),
            Measure::Price => self.price.map_or(f64::INFINITY, |price| price.minor() as f64),
            Measure::SpareRoom => -self.spare_room.si(),
        }
    }

    /// Which of two ranks first by a measure; equals go by linear size.
    pub(super) fn cmp_by(&self, other: &Self, by: Measure) -> Ordering {
        self.worth(by)
            .total_cmp(&other.worth(by))
            .then(self.linear_size.si().total_cmp(&other.linear_size.si()))
    }
}

/// The outside at its largest.
fn largest(shell: &Shell) -> [Length; 3] {
    [0, 1, 2].map(|side: usize| Measured::most(&shell.outside[side]))
}

fn billed(shell: &Shell, gross: Mass) -> Mass {
    let limits = CarriageLimits::common();
    let common = limits.dimensional.first();
    common.map_or(gross, |row| {
        chargeable_weight(largest(shell), gross, &row.value.rule).chargeable
    })
}
