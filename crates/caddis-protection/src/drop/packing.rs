//! Items in their foam, prepared for the simulation: bodies with true mass properties, patches sorted by direction.

use super::kernel::{Columns, LANES};
use super::spring::Spring;
use crate::{LawError, PackedBody, Patch};
use caddis_geometry::Vec3;
use pulp::Arch;

/// A rigid item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RigidBody {
    /// kg.
    pub mass: f64,
    /// Centre of mass at rest, case frame, m.
    pub centre: Vec3,
    /// Inertia tensor about the centre, kg m², case axes, rows.
    pub inertia: [Vec3; 3],
}

/// A patch with the body it belongs to and what it pushes against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// The patch; its `law` counts the springs of the packing.
    pub patch: Patch,
    /// The body whose surface it is.
    pub body: usize,
    /// Another body behind the foam, or the shell.
    pub against: Option<usize>,
}

/// Rigid items in one shell, with the foam between them.
#[derive(Debug, Clone)]
pub struct Packing {
    pub(super) bodies: Vec<Body>,
    pub(super) springs: Vec<Spring>,
    pub(super) groups: Vec<Group>,
    pub(super) contacts: Vec<Contact>,
    pub(super) arch: Arch,
}

/// A body with the inverse of its tensor.
#[derive(Debug, Clone)]
pub(super) struct Body {
    pub mass: f64,
    pub centre: Vec3,
    pub inertia: [Vec3; 3],
    pub inverse: [Vec3; 3],
    /// Radius of gyration, m.
    pub radius: f64,
}

/// Patches of one body that face one way on one spring against one thing.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub body: usize,
    pub against: Option<usize>,
    pub spring: usize,
    pub normal: Vec3,
    pub columns: Columns,
    pub tiles: Vec<Tile>,
}

/// A run of at most [`TILE`] patches and the box they lie in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tile {
    pub from: usize,
    pub to: usize,
    pub low: Vec3,
    pub high: Vec3,
    /// Least gap, m.
    pub gap: f64,
}

/// Patches in a tile: a tile out of contact costs one comparison.
const TILE: usize = 64;

impl Packing {
    /// Prepares bodies, springs and contacts.
    ///
    /// # Errors
    /// No body; a mass that is not positive; a tensor that is none (not symmetric, not positive definite); a patch that
    /// names no body or spring, faces nowhere, or has an area or thickness that is not positive or a negative gap.
    pub fn new(bodies: &[RigidBody], springs: Vec<Spring>, contacts: Vec<Contact>) -> Result<Self, LawError> {
        if bodies.is_empty() {
            return Err(LawError::Settings("a drop needs at least one item".to_owned()));
        }
        let prepared = bodies.iter().map(prepare).collect::<Result<Vec<_>, _>>()?;
        for contact in &contacts {
            check(contact, bodies.len(), springs.len())?;
        }
        Ok(Self {
            groups: group(&prepared, &contacts),
            bodies: prepared,
            springs,
            contacts,
            arch: Arch::new(),
        })
    }

    /// One packed body on the springs of its laws, the shell behind every patch.
    ///
    /// # Errors
    /// As [`Packing::new`] and [`Spring::of_law`].
    pub fn of(body: &PackedBody) -> Result<Self, LawError> {
        let springs = body
            .laws
            .iter()
            .map(Spring::of_law)
            .collect::<Result<Vec<_>, _>>()?;
        let contacts = body
            .patches
            .iter()
            .map(|patch| Contact {
                patch: *patch,
                body: 0,
                against: None,
            })
            .collect();
        let rigid = RigidBody {
            mass: body.mass,
            centre: body.centre,
            inertia: body.inertia,
        };
        Self::new(&[rigid], springs, contacts)
    }

    /// Bodies in the packing.
    pub fn bodies(&self) -> usize {
        self.bodies.len()
    }

    /// Patches in the packing.
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// The same packing with other springs, one for one.
    ///
    /// # Errors
    /// Another number of springs.
    pub fn with_springs(&self, springs: Vec<Spring>) -> Result<Self, LawError> {
        if springs.len() != self.springs.len() {
            return Err(LawError::Settings(format!(
                "{} springs cannot stand for {}",
                springs.len(),
                self.springs.len()
            )));
        }
        Ok(Self {
            springs,
            ..self.clone()
        })
    }

    /// The same bodies in other foam.
    ///
    /// # Errors
    /// As [`Packing::new`].
    pub(super) fn with_foam(&self, springs: Vec<Spring>, contacts: Vec<Contact>) -> Result<Self, LawError> {
        for contact in &contacts {
            check(contact, self.bodies.len(), springs.len())?;
        }
        Ok(Self {
            groups: group(&self.bodies, &contacts),
            bodies: self.bodies.clone(),
            springs,
            contacts,
            arch: self.arch,
        })
    }

    /// The springs.
    pub fn springs(&self) -> &[Spring] {
        &self.springs
    }
}

fn prepare(body: &RigidBody) -> Result<Body, LawError> {
    let complain = |words: String| Err(LawError::Settings(words));
    if !(body.mass.is_finite() && body.mass > 0.0) {
        return complain(format!("an item's mass must be above zero, not {} kg", body.mass));
    }
    let [a, b, c] = body.inertia;
    if !(body.centre.is_finite() && a.is_finite() && b.is_finite() && c.is_finite()) {
        return complain("an item's centre or inertia is not a number".to_owned());
    }
    let size = a.x.abs() + b.y.abs() + c.z.abs();
    if (a.y - b.x).abs() + (a.z - c.x).abs() + (b.z - c.y).abs() > 1e-6 * size {
        return complain("an item's inertia tensor is not symmetric".to_owned());
    }
    let determinant = a.dot(b.cross(c));
    let minor = a.x * b.y - a.y * b.x;
    if !(a.x > 0.0 && minor > 0.0 && determinant > 0.0) {
        return complain("an item's inertia tensor is not positive definite".to_owned());
    }
    // Rows of the inverse of a symmetric matrix are its columns: the cross products of the rows.
    let inverse = [
        b.cross(c) / determinant,
        c.cross(a) / determinant,
        a.cross(b) / determinant,
    ];
    Ok(Body {
        mass: body.mass,
        centre: body.centre,
        inertia: body.inertia,
        inverse,
        radius: (0.5 * size / body.mass).sqrt(),
    })
}

fn check(contact: &Contact, bodies: usize, springs: usize) -> Result<(), LawError> {
    let complain = |words: String| Err(LawError::Settings(words));
    let patch = &contact.patch;
    if contact.body >= bodies || contact.against.is_some_and(|b| b >= bodies || b == contact.body) {
        return complain(format!(
            "a patch names item {} against {:?}, of {bodies}",
            contact.body, contact.against
        ));
    }
    if patch.law >= springs {
        return complain(format!("a patch names law {} of {springs}", patch.law));
    }
    if !patch.point.is_finite()
        || !patch.direction.is_finite()
        || (patch.direction.length() - 1.0).abs() > 1e-6
    {
        return complain("a patch lies nowhere, or its direction is not of unit length".to_owned());
    }
    for (what, value) in [("area", patch.area), ("foam thickness", patch.thickness)] {
        if !(value.is_finite() && value > 0.0) {
            return complain(format!(
                "the {what} of a patch must be above zero, not {value} in SI units"
            ));
        }
    }
    if !(patch.gap.is_finite() && patch.gap >= 0.0) {
        return complain(format!(
            "the gap before the foam must not be negative: {} m",
            patch.gap
        ));
    }
    Ok(())
}

/// Groups in the order in which they first appear, so that sums do not depend on luck.
fn group(bodies: &[Body], contacts: &[Contact]) -> Vec<Group> {
    let mut keys = std::collections::BTreeMap::new();
    let mut members: Vec<Vec<usize>> = Vec::new();
    for (i, contact) in contacts.iter().enumerate() {
        let n = contact.patch.direction;
        let key = (
            contact.body,
            contact.against,
            contact.patch.law,
            [n.x.to_bits(), n.y.to_bits(), n.z.to_bits()],
        );
        let at = *keys.entry(key).or_insert_with(|| {
            members.push(Vec::new());
            members.len() - 1
        });
        members[at].push(i);
    }
    members
        .into_iter()
        .map(|members| one_group(bodies, contacts, &members))
        .collect()
}

fn one_group(bodies: &[Body], contacts: &[Contact], members: &[usize]) -> Group {
    let first = &contacts[members[0]];
    let centre = bodies[first.body].centre;
    let mut columns = Columns::default();
    let mut tiles = Vec::new();
    for tile in members.chunks(TILE) {
        let from = columns.x.len();
        let mut bounds: Option<(Vec3, Vec3)> = None;
        let mut gap = f64::INFINITY;
        for &i in tile {
            let patch = &contacts[i].patch;
            let place = patch.point - centre;
            bounds = Some(bounds.map_or((place, place), |(low, high)| (low.min(place), high.max(place))));
            gap = gap.min(patch.gap);
            columns.x.push(place.x);
            columns.y.push(place.y);
            columns.z.push(place.z);
            columns.area.push(patch.area);
            columns.inverse.push(1.0 / patch.thickness);
            columns.gap.push(patch.gap / patch.thickness);
        }
        while !columns.x.len().is_multiple_of(LANES) {
            for column in [
                &mut columns.x,
                &mut columns.y,
                &mut columns.z,
                &mut columns.area,
                &mut columns.inverse,
            ] {
                column.push(0.0);
            }
            // Without reach and without area: never in contact, never counted.
            columns.gap.push(1.0);
        }
        let (low, high) = bounds.unwrap_or((Vec3::ZERO, Vec3::ZERO));
        tiles.push(Tile {
            from,
            to: columns.x.len(),
            low,
            high,
            gap,
        });
    }
    Group {
        body: first.body,
        against: first.against,
        spring: first.patch.law,
        normal: first.patch.direction,
        columns,
        tiles,
    }
}
