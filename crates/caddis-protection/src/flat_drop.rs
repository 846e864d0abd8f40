//! A flat drop on a group of parallel patches, by energy balance.

use crate::root::rising_root;
use crate::{Law, LawError, OutOfRange, Patch, WorkingPoint};
use caddis_basis::{Acceleration, Area, Length, Mass, Pressure, STANDARD_GRAVITY, said};
use caddis_geometry::Vec3;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// What falls how far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropSettings {
    /// Mass carried by the patches (the item and whatever leans on it along the load path).
    pub mass: Mass,
    /// Height of fall.
    pub height: Length,
}

/// What a flat drop does.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatDrop {
    /// Peak acceleration at the centre of mass, in G of the item.
    pub peak: Acceleration,
    /// Greatest deflection, free gaps included.
    pub deflection: Length,
    /// Largest strain over the patches.
    pub strain: f64,
    /// Bottoming margin: 1 - strain / greatest strain of the law's range, least over the patches; negative when
    /// bottomed.
    pub bottoming_margin: f64,
    /// Mean static stress: weight over bearing area.
    pub static_stress: Pressure,
    /// Bearing area across the fall.
    pub area: Area,
    /// Whether static stress, thickness, height and strain lie inside the law's range; what does not.
    pub out_of_range: Vec<OutOfRange>,
}

/// Two directions closer than this are one.
const SAME_DIRECTION: f64 = 1e-6;

/// Whether two unit directions are the same to 1e-6.
pub(crate) fn is_same_direction(one: Vec3, other: Vec3) -> bool {
    one.distance(other) <= SAME_DIRECTION
}

/// The flat drop along the patches' common direction: all patches deflect alike (those with a gap later), energy
/// balance m (h + x) g = sum A t w(x/t).
///
/// Where every law in the way already contains gravity's work in its fit, x is replaced by the gap fallen through
/// before the first patch is met; where only some do, x is kept, which errs to the severe side.
///
/// # Errors
/// The foam bottoms; a family of cushion curves was not measured there; no patch; patches that face different ways, or name no law; mass, height, area or thickness that
/// is not positive.
///
/// # Accuracy
/// To rounding (1e-12 of the strain) for the stated model: rigid item, rigid shell that stops dead, no rotation.
///
/// # Source
/// Derived from energy balance; pads in parallel add their forces.
pub fn flat_drop(laws: &[Law], patches: &[Patch], settings: &DropSettings) -> Result<FlatDrop, LawError> {
    let direction = patches.first().ok_or(LawError::NoPatch)?.direction;
    if patches.iter().any(|p| !is_same_direction(p.direction, direction)) {
        return Err(LawError::Settings(
            "patches of one flat drop must face the same way".to_owned(),
        ));
    }
    drop_on(laws, patches.iter().map(|p| (p, 1.0)), settings)
}

/// The reverse answer: the peak acceleration to which these patches hold the item in a flat drop.
///
/// # Errors
/// As [`flat_drop`].
pub fn held_to(laws: &[Law], patches: &[Patch], settings: &DropSettings) -> Result<Acceleration, LawError> {
    Ok(flat_drop(laws, patches, settings)?.peak)
}

/// A straight drop on patches that may face obliquely (a round or stepped item): each patch deflects by the part of
/// the travel along its own direction, and only the force along the fall counts.
///
/// Patches that face away from the fall take no part; rotation, sideways motion and shear are left out.
///
/// # Errors
/// As [`flat_drop`], without the demand for one direction.
///
/// # Source
/// Derived: sum A t w((x n.d - gap)/t) = m g (h + x).
pub fn straight_drop(
    laws: &[Law],
    patches: &[Patch],
    direction: Vec3,
    settings: &DropSettings,
) -> Result<FlatDrop, LawError> {
    let direction = direction.unit();
    if !(direction.is_finite() && direction.length() > 0.0) {
        return Err(LawError::Settings("a drop needs a direction".to_owned()));
    }
    drop_on(
        laws,
        patches
            .iter()
            .map(|p| (p, p.direction.dot(direction)))
            .filter(|(_, share)| *share > SAME_DIRECTION),
        settings,
    )
}

/// Patches that act alike, added up.
struct Spring<'a> {
    law: Cow<'a, Law>,
    area: f64,
    thickness: f64,
    gap: f64,
    /// Cosine between the patch and the fall.
    share: f64,
}

impl Spring<'_> {
    fn strain(&self, travel: f64) -> f64 {
        (travel * self.share - self.gap).max(0.0) / self.thickness
    }

    fn travel(&self, strain: f64) -> f64 {
        (self.gap + strain * self.thickness) / self.share
    }

    fn energy(&self, travel: f64) -> f64 {
        self.area * self.thickness * self.law.energy(self.strain(travel))
    }

    fn force(&self, travel: f64) -> f64 {
        self.area * self.share * self.law.stress(self.strain(travel))
    }

    /// The force just after a travel: at first touch the initial stress already stands.
    fn force_after(&self, travel: f64) -> f64 {
        if travel >= self.travel(0.0) {
            self.force(travel).max(if self.strain(travel) < 1e-12 {
                self.area * self.share * self.law.initial_stress()
            } else {
                0.0
            })
        } else {
            0.0
        }
    }
}

fn above_zero(what: &str, value: f64) -> Result<(), LawError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(LawError::Settings(format!(
            "{what} must be above zero, not {value} in SI units"
        )))
    }
}

/// Groups patches by law, thickness, gap and slant, in that order, so that the sums do not depend on luck.
fn springs<'a, 'p>(
    laws: &'a [Law],
    patches: impl Iterator<Item = (&'p Patch, f64)>,
    height: Length,
) -> Result<Vec<Spring<'a>>, LawError> {
    let mut groups: BTreeMap<(usize, u64, u64, u64), Spring<'a>> = BTreeMap::new();
    for (patch, share) in patches {
        above_zero("patch area", patch.area)?;
        above_zero("foam thickness", patch.thickness)?;
        if !(patch.gap.is_finite() && patch.gap >= 0.0) {
            return Err(LawError::Settings(format!(
                "the gap before the foam must not be negative: {} m",
                patch.gap
            )));
        }
        if (patch.direction.length() - 1.0).abs() > SAME_DIRECTION || !patch.direction.is_finite() {
            return Err(LawError::Settings(
                "a patch direction is not of unit length".to_owned(),
            ));
        }
        let law = laws.get(patch.law).ok_or_else(|| {
            LawError::Settings(format!("a patch names law {} of {}", patch.law, laws.len()))
        })?;
        let key = (
            patch.law,
            patch.thickness.to_bits(),
            patch.gap.to_bits(),
            share.to_bits(),
        );
        let spring = match groups.entry(key) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(place) => {
                law.check()?;
                place.insert(Spring {
                    law: law.at(height, Length::from_si(patch.thickness))?,
                    area: 0.0,
                    thickness: patch.thickness,
                    gap: patch.gap,
                    share,
                })
            }
        };
        spring.area += patch.area;
    }
    let springs: Vec<_> = groups.into_values().collect();
    if springs.is_empty() {
        Err(LawError::NoPatch)
    } else {
        Ok(springs)
    }
}

/// Where a balance (value, slope) turns from rising to falling between two travels, if it does.
fn top_between(low: f64, high: f64, balance: impl Fn(f64) -> (f64, f64)) -> Option<f64> {
    // Just inside the ends: at a point of a table the slope is that of one side.
    let inside = (high - low) * 1e-9;
    let (mut rising, mut falling) = (low + inside, high - inside);
    if !(balance(rising).1 > 0.0 && balance(falling).1 < 0.0) {
        return None;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(rising, falling);
        if balance(middle).1 > 0.0 {
            rising = middle;
        } else {
            falling = middle;
        }
    }
    Some(rising)
}

fn drop_on<'p>(
    laws: &[Law],
    patches: impl Iterator<Item = (&'p Patch, f64)>,
    settings: &DropSettings,
) -> Result<FlatDrop, LawError> {
    let (mass, height) = (settings.mass.si(), settings.height.si());
    above_zero("mass", mass)?;
    above_zero("drop height", height)?;
    let springs = springs(laws, patches, settings.height)?;
    // A family's table ends where the measurement ended, which says nothing of the foam being solid.
    let bottoms = || {
        if springs.iter().any(|s| matches!(s.law, Cow::Owned(_))) {
            LawError::Outside(said!(
                "the drop asks for more energy than the measured cushion curves reach"
            ))
        } else {
            LawError::Bottoms
        }
    };
    let weight = mass * STANDARD_GRAVITY;
    let first_contact = springs
        .iter()
        .map(|s| s.travel(0.0))
        .fold(f64::INFINITY, f64::min);
    let gravity_works_on = springs.iter().any(|s| !s.law.gravity_in_fit);
    let pull = if gravity_works_on { weight } else { 0.0 };
    let given = weight * height
        + if gravity_works_on {
            0.0
        } else {
            weight * first_contact
        };
    let balance = |x: f64| {
        let taken: f64 = springs.iter().map(|s| s.energy(x)).sum();
        let force: f64 = springs.iter().map(|s| s.force(x)).sum();
        (taken - pull * x - given, force - pull)
    };

    let solid = springs
        .iter()
        .map(|s| s.travel(s.law.solid_strain()))
        .fold(f64::INFINITY, f64::min);
    // Where a table dips the balance may be met more than once and the peak may come before the end: look at its
    // points in order.
    let mut corners: Vec<f64> = Vec::new();
    if springs.iter().any(|s| !s.law.never_dips()) {
        for spring in &springs {
            corners.push(spring.travel(0.0));
            corners.extend(
                spring
                    .law
                    .corners()
                    .into_iter()
                    .map(|strain| spring.travel(strain)),
            );
        }
        corners.retain(|&x| x >= first_contact && x < solid);
    }
    corners.sort_by(f64::total_cmp);
    let mut low = first_contact;
    let mut high = solid;
    // The last stretch ends where the foam is solid.
    let last = (!corners.is_empty()).then_some(solid);
    for corner in corners.iter().copied().chain(last) {
        if balance(corner).0 >= 0.0 {
            high = corner;
            break;
        }
        // Between two points the push may fall below the weight: the balance has its top there.
        if let Some(top) = top_between(low, corner, balance)
            && balance(top).0 >= 0.0
        {
            high = top;
            break;
        }
        low = corner;
    }
    if balance(high).0 < 0.0 {
        return Err(bottoms());
    }
    let travel = rising_root(low, high, balance);
    let force_after = |x: f64| springs.iter().map(|s| s.force_after(x)).sum::<f64>();
    let end: f64 = springs.iter().map(|s| s.force(travel)).sum();
    let force = corners
        .iter()
        .take_while(|&&x| x < travel)
        .fold(end, |force, &x| force.max(force_after(x)));
    let peak = Acceleration::from_si(force / mass);
    if !(peak.is_finite() && balance(travel).0.is_finite()) {
        return Err(bottoms());
    }

    let area: f64 = springs.iter().map(|s| s.area * s.share).sum();
    let static_stress = Pressure::from_si(weight / area);
    let mut out_of_range = Vec::new();
    for spring in &springs {
        let point = WorkingPoint {
            static_stress,
            thickness: Length::from_si(spring.thickness),
            height: settings.height,
            strain: spring.strain(travel),
        };
        for bound in spring.law.range.outside(&point) {
            if !out_of_range.contains(&bound) {
                out_of_range.push(bound);
            }
        }
    }
    Ok(FlatDrop {
        peak,
        deflection: Length::from_si(travel),
        strain: springs.iter().map(|s| s.strain(travel)).fold(0.0, f64::max),
        bottoming_margin: springs
            .iter()
            .map(|s| 1.0 - s.strain(travel) / s.law.range.greatest_strain)
            .fold(f64::INFINITY, f64::min),
        static_stress,
        area: Area::from_si(area),
        out_of_range,
    })
}
