//! Peaks over every direction of fall.

use super::Gravity;
use super::course::Course;
use super::packing::{Contact, Packing};
use super::simulate::{Fall, Landing, Precision, Watch, simulate};
use crate::LawError;
use caddis_basis::{Length, in_order};
use caddis_geometry::Vec3;
use std::collections::BTreeMap;

/// What one item does in one fall of a map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ItemFall {
    /// Peak acceleration of the centre of mass, G.
    pub peak: f64,
    /// Largest strain of its foam.
    pub strain: f64,
    /// Largest displacement of its centre, m.
    pub travel: f64,
    /// Velocity change of the first pulse, m/s; 0 where it does not end within the time followed.
    pub velocity_change: f64,
    /// Length of the first pulse, s; 0 as above.
    pub duration: f64,
    /// Whether foam beyond the greatest strain of its law carried more than a tenth of the push.
    pub bottomed: bool,
    /// Whether it struck something hard.
    pub strikes: bool,
}

impl ItemFall {
    /// What counts of a course.
    pub(super) fn of(course: &Course) -> Self {
        Self {
            peak: course.first_pulse.centre.value,
            strain: course.first_pulse.strain.value,
            travel: course.first_pulse.travel,
            velocity_change: course.end.map_or(0.0, |end| end.velocity_change.length()),
            duration: course.end.map_or(0.0, |end| end.time),
            bottomed: course.bottomed,
            strikes: course.strikes,
        }
    }
}

/// The falls of every item in every direction.
#[derive(Debug, Clone, PartialEq)]
pub struct FallMap {
    /// The directions.
    pub directions: Vec<Vec3>,
    /// For each item its falls, in the order of the directions.
    pub items: Vec<Vec<ItemFall>>,
}

impl FallMap {
    /// The worst direction of an item: the highest peak, the first of equals.
    pub fn worst(&self, item: usize) -> Option<(Vec3, ItemFall)> {
        let falls = self.items.get(item)?;
        let mut worst: Option<(Vec3, ItemFall)> = None;
        for (direction, fall) in self.directions.iter().zip(falls) {
            if worst.is_none_or(|(_, before)| fall.peak > before.peak) {
                worst = Some((*direction, *fall));
            }
        }
        worst
    }
}

/// What a map is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapSettings {
    /// Height of the falls.
    pub height: Length,
    /// Gravity in the stroke.
    pub gravity: Gravity,
    /// How the shell lands.
    pub landing: Landing,
    /// How finely each fall is followed.
    pub precision: Precision,
    /// Threads to work on; the answer does not depend on it.
    pub threads: usize,
}

/// Simulates the fall in every direction.
///
/// # Accuracy
/// As the precision; each direction stands for those within about 5 degrees.
///
/// # Errors
/// As [`simulate`].
pub fn fall_map(packing: &Packing, directions: &[Vec3], settings: &MapSettings) -> Result<FallMap, LawError> {
    let falls: Vec<Fall> = directions
        .iter()
        .map(|direction| Fall {
            direction: *direction,
            height: settings.height,
            gravity: settings.gravity,
            friction: 0.0,
            landing: settings.landing,
        })
        .collect();
    let by_fall = simulate_all(packing, &falls, &settings.precision, settings.threads)?;
    let items = (0..packing.bodies())
        .map(|item| by_fall.iter().map(|fall| fall[item]).collect())
        .collect();
    Ok(FallMap {
        directions: directions.to_vec(),
        items,
    })
}

/// Simulates falls on several threads; for each fall what each item does.
///
/// # Errors
/// As [`simulate`]; of several the first in order.
pub fn simulate_all(
    packing: &Packing,
    falls: &[Fall],
    precision: &Precision,
    threads: usize,
) -> Result<Vec<Vec<ItemFall>>, LawError> {
    let found = in_order(falls.len(), threads, |index| {
        let found = simulate(packing, &falls[index], precision, &Watch::default())?;
        Ok(found.courses.iter().map(ItemFall::of).collect())
    });
    found.into_iter().collect()
}

/// One fall with what it did to the foam.
#[derive(Debug, Clone, PartialEq)]
pub struct Strained {
    /// What each item does.
    pub items: Vec<ItemFall>,
    /// The largest strain of every patch, in the order of the packing's contacts.
    pub strains: Vec<f64>,
}

/// As [`simulate_all`], with the largest strain of every patch, in the order of the packing's contacts.
///
/// # Errors
/// As [`simulate`]; of several the first in order.
pub fn strains_all(
    packing: &Packing,
    falls: &[Fall],
    precision: &Precision,
    threads: usize,
) -> Result<Vec<Strained>, LawError> {
    let watch = Watch {
        strains: true,
        ..Watch::default()
    };
    let found = in_order(falls.len(), threads, |index| {
        let found = simulate(packing, &falls[index], precision, &watch)?;
        Ok(Strained {
            items: found.courses.iter().map(ItemFall::of).collect(),
            strains: found.strains,
        })
    });
    found.into_iter().collect()
}

/// Thicknesses within this share of each other are one, and gaps within this distance, m.
const ALIKE: (f64, f64) = (0.1, 5e-4);

/// Merges patches of one body that face one way, lie in one cell of a grid of `cell` metres and have like foam behind
/// them (thickness within a tenth, gap within half a millimetre): area, first moment, and mean thickness and gap are
/// kept.
///
/// # Accuracy
/// Below 0.1 % of the force from the thickness (a tenth, squared, over twelve). The second moment within a cell is left
/// out: cell²/12 against the square of the item's size.
pub fn merge_contacts(contacts: &[Contact], cell: f64) -> Vec<Contact> {
    let mut at = BTreeMap::new();
    let mut out: Vec<Contact> = Vec::new();
    if !(cell.is_finite() && cell > 0.0) {
        return contacts.to_vec();
    }
    for contact in contacts {
        let p = &contact.patch;
        let n = p.direction;
        let key = (
            (contact.body, contact.against, p.law),
            [n.x.to_bits(), n.y.to_bits(), n.z.to_bits()],
            [p.point.x, p.point.y, p.point.z].map(|v| (v / cell).floor() as i64),
            [
                (p.thickness.ln() / ALIKE.0).round() as i64,
                (p.gap / ALIKE.1).round() as i64,
            ],
        );
        let index = *at.entry(key).or_insert_with(|| {
            out.push(Contact {
                patch: crate::Patch { area: 0.0, ..*p },
                ..*contact
            });
            out.len() - 1
        });
        let merged = &mut out[index].patch;
        let share = p.area / (merged.area + p.area);
        merged.point = merged.point.lerp(p.point, share);
        merged.thickness += (p.thickness - merged.thickness) * share;
        merged.gap += (p.gap - merged.gap) * share;
        merged.area += p.area;
    }
    out
}
