//! The packed case as the simulation takes it: items as bodies, foam behind every patch as springs.

use crate::board::PackedBoard;
use crate::{Brief, Interior, Packed, PackedPatch, Support};
use caddis_basis::{Length, Mass};
use caddis_protection::drop::{Contact, Gravity, Packing, RigidBody, Spring, merge_contacts};
use caddis_protection::{Impact, LawError, Patch};

/// Laws that every item's patches share: the base foam's and the lid foam's. The hard floor follows them.
pub(super) const SHARED_LAWS: usize = 2;

/// Modulus and depth of what an item strikes where no foam lies between, Pa and m: hard against foam, soft enough that
/// the steps of the integration stay long. A strike is told as a strike, whatever its peak.
const HARD: (f64, f64) = (2e6, 0.005);

/// Gravity works on in the stroke unless every law already holds its work.
pub(super) fn gravity(brief: &Brief) -> Gravity {
    let holds = |index: usize| brief.foams[index].law.gravity_in_fit;
    if holds(brief.base_foam) && holds(brief.lid_foam) {
        Gravity::UntilContact
    } else {
        Gravity::Throughout
    }
}

/// Shell and foam.
pub(super) fn shell_mass(interior: &Interior, brief: &Brief) -> Mass {
    super::parcel::masses(interior, brief)
        .into_iter()
        .filter(|(what, _)| what == "shell" || what == "foam")
        .map(|(_, mass)| mass)
        .sum()
}

/// All items at their greatest mass, as in the flat falls.
pub(super) fn packing(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    cell: f64,
) -> Result<Packing, LawError> {
    let mut springs = vec![
        spring(brief, brief.base_foam, packed, 0)?,
        spring(brief, brief.lid_foam, packed, 1)?,
        Spring::hard(HARD.0)?,
    ];
    let mut bodies = Vec::with_capacity(packed.len());
    let mut contacts = Vec::new();
    for (index, one) in packed.iter().enumerate() {
        let mass = brief.items[interior.places[index].item].mass.most().si();
        let share = mass / one.body.mass;
        bodies.push(RigidBody {
            mass,
            centre: one.body.centre,
            inertia: one.body.inertia.map(|row| row * share),
        });
        // Each item's own laws of the two foams one behind the other come after those all share.
        let own = springs.len();
        for law in one.body.laws.iter().skip(SHARED_LAWS) {
            // Two foams one behind the other give back what the base foam does.
            springs.push(lossy(brief, brief.base_foam, Spring::of_law(law)?)?);
        }
        contacts.extend(
            one.sides
                .iter()
                .flatten()
                .filter_map(|patch| contact((index, packed.len()), patch, own)),
        );
    }
    // A tray's board is the last body; no item has its number.
    if let Some(board) = PackedBoard::of(interior, brief) {
        let (index, own) = (bodies.len(), springs.len());
        bodies.push(RigidBody {
            mass: board.mass,
            centre: board.centre,
            inertia: board.inertia,
        });
        for law in board.laws(brief, Impact::First).iter().skip(SHARED_LAWS) {
            springs.push(lossy(brief, brief.base_foam, Spring::of_law(law)?)?);
        }
        contacts.extend(
            board
                .sides
                .iter()
                .flatten()
                .filter_map(|patch| contact((index, packed.len()), patch, own)),
        );
    }
    Packing::new(&bodies, springs, merge_contacts(&contacts, cell))
}

/// The spring of a foam. A family of cushion curves gives its equivalent law at the drop height and the mean thickness of
/// the foam that bears.
fn spring(brief: &Brief, foam: usize, packed: &[Packed], law: usize) -> Result<Spring, LawError> {
    let (mut area, mut volume) = (0.0, 0.0);
    for one in packed.iter().flat_map(|one| one.sides.iter().flatten()) {
        if one.support != Support::Void && one.patch.law == law {
            area += one.patch.area;
            volume += one.patch.area * one.patch.thickness;
        }
    }
    let thickness = Length::from_si(if area > 0.0 { volume / area } else { 0.05 });
    let given = &brief.foams[foam].law;
    let law = given.at(brief.handling.drop_height.most(), thickness)?;
    lossy(brief, foam, Spring::of_law(law.as_ref())?)
}

/// The spring with what its foam gives back less than it took, where that was measured.
pub(super) fn lossy(brief: &Brief, foam: usize, spring: Spring) -> Result<Spring, LawError> {
    match &brief.foams[foam].hysteresis {
        Some((hysteresis, _)) => spring.with_hysteresis(*hysteresis),
        None => Ok(spring),
    }
}

/// The contact of a patch. Foam between two items is seen from both: the first of them keeps it; a board comes after all of them.
fn contact((body, board): (usize, usize), packed: &PackedPatch, own: usize) -> Option<Contact> {
    let against = match packed.support {
        Support::Piece(other) if other < body => return None,
        Support::Piece(other) => Some(other),
        Support::Board => Some(board),
        Support::Shell | Support::Void => None,
    };
    let patch = if packed.support == Support::Void {
        Patch {
            thickness: HARD.1,
            gap: packed.patch.gap + packed.patch.thickness,
            law: SHARED_LAWS,
            ..packed.patch
        }
    } else if packed.patch.law < SHARED_LAWS {
        packed.patch
    } else {
        Patch {
            law: own + packed.patch.law - SHARED_LAWS,
            ..packed.patch
        }
    };
    (patch.area > 0.0).then_some(Contact { patch, body, against })
}
