//! Cushions: from need to keep-out distances, along the load path.

use crate::Brief;
use crate::faces::{Face, Faces};
use caddis_basis::{Acceleration, Area, Length, Mass, Pressure};
use caddis_geometry::Vec3;
use caddis_protection::{DropSettings, Foam, Patch, SizeRequest, flat_drop, size, size_with_full_area};
use caddis_survey::{Fragility, Item};
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// Best-effort cushions are looked for up to this thickness: thicker ones cost the room of the rest and hold little
/// more.
const THICKEST_EFFORT: f64 = 0.12;
/// Step of that search.
const EFFORT_STEP: f64 = 0.002;
/// A notch, a corner relief or a neighbour's void takes some bearing area: needs are sized on this share of it.
const BEARING_SHARE: f64 = 0.95;
/// Nothing is added to the foam under a tray's board after the layout, so it is sized on the least and on the most of a face that may
/// bear: what is light for its face needs more on the whole of it.
const COVERED: [f64; 2] = [BEARING_SHARE, 1.02];

/// Setbacks smaller than this make no difference to a need, metres.
const FLAT: f64 = 1.5e-3;
/// What a face that is not flat may ask beyond a flat one, metres.
const MOST_FOR_SHAPE: f64 = 0.1;
/// Share of its thickness that a relieved cushion deflects at most in the drop it is sized for: a law's optimum strain
/// and a little.
const RELIEF_STROKE: f64 = 0.7;

/// What presses on the foam of one side of a piece when the case falls that way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Load {
    /// Mass that leans on the piece along the load path, kg; its own is not in it.
    pub leaning: f64,
    /// The least acceleration any of those stands, m/s²; infinite when none of them states one.
    pub limit: f64,
}

impl Load {
    /// Nothing leans on it.
    pub(crate) const NONE: Self = Self {
        leaning: 0.0,
        limit: f64::INFINITY,
    };
}

/// How needs are turned into demands in one attempt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Level {
    /// Share of the need above the least that items of unknown fragility get.
    pub unknown_share: f64,
    /// Share of the need above the least that the item of this index gets, whatever its fragility (remedies only).
    pub thinner: Option<(usize, f64)>,
}

impl Level {
    /// Every need in full.
    pub(crate) const FULL: Self = Self {
        unknown_share: 1.0,
        thinner: None,
    };
}

/// The least acceleration an item stands, if anyone states it.
pub(crate) fn limit_of(item: &Item) -> Option<Acceleration> {
    match &item.fragility {
        Fragility::Known(stated) => Some(stated.least()),
        Fragility::Unknown | Fragility::None => None,
    }
}

/// Whether an item asks for no cushion at all.
pub(crate) fn is_soft(item: &Item) -> bool {
    item.softness.is_some() || matches!(item.fragility, Fragility::None)
}

/// Foam needed on each of the six sides of a posed piece, metres, in the order of [`crate::Direction::ALL`].
///
/// A side is sized on the mass it carries (its own and what leans on it), on its face, and on the least acceleration that anything riding on it stands. Where the full area is too stiff the thickness is the one that a
/// relieved area would need; where no thickness holds the limit it is the one that comes closest, and verification
/// reports it.
pub(crate) fn needs(
    brief: &Brief,
    index: usize,
    faces: &Faces,
    loads: &[Load; 6],
    level: &Level,
) -> [f64; 6] {
    let foams = (brief.base_foam, brief.lid_foam);
    needs_in(brief, index, (faces, None), loads, level, foams)
}

/// The same, with what was sized before for these faces in this brief, whatever its shell.
pub(crate) fn needs_again(
    brief: &Brief,
    index: usize,
    (faces, sized): (&Faces, &Sized),
    loads: &[Load; 6],
    level: &Level,
) -> [f64; 6] {
    let foams = (brief.base_foam, brief.lid_foam);
    needs_in(brief, index, (faces, Some(sized)), loads, level, foams)
}

/// The same of a piece that lies in the lid: foam of the lid all round.
pub(crate) fn needs_in_lid(
    brief: &Brief,
    index: usize,
    faces: &Faces,
    loads: &[Load; 6],
    level: &Level,
) -> [f64; 6] {
    let foams = (brief.lid_foam, brief.lid_foam);
    needs_in(brief, index, (faces, None), loads, level, foams)
}

/// Thicknesses of whole cushions sized before for the faces of one way in one brief, by side, foam and what is carried: mass and
/// limit as bits.
#[derive(Debug, Default)]
pub(crate) struct Sized(Mutex<BTreeMap<(usize, usize, u64, u64), f64>>);

impl Sized {
    fn or_else(
        &self,
        (side, foam): (usize, usize),
        request: &SizeRequest,
        size: impl FnOnce() -> f64,
    ) -> f64 {
        let limit = request.limit.map_or(f64::INFINITY, Acceleration::si);
        let key = (side, foam, request.mass.si().to_bits(), limit.to_bits());
        let known = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = known().get(&key).copied();
        found.unwrap_or_else(|| {
            let found = size();
            known().insert(key, found);
            found
        })
    }
}

fn needs_in(
    brief: &Brief,
    index: usize,
    (faces, sized): (&Faces, Option<&Sized>),
    loads: &[Load; 6],
    level: &Level,
    (base, lid): (usize, usize),
) -> [f64; 6] {
    let item = &brief.items[index];
    let least_side = brief.foams[base].least_web;
    let least_floor = brief.clearances.least_floor;
    let mut needs = [0.0; 6];
    for (side, need) in needs.iter_mut().enumerate() {
        let foam = if side == 1 { lid } else { base };
        let least = if side < 2 { least_floor } else { least_side };
        let face = (&faces[side], BEARING_SHARE);
        let size = |request: &SizeRequest| {
            let anew = || thickness(&brief.foams[foam], request, &faces[side]);
            match sized {
                Some(sized) => sized.or_else((side, foam), request, anew),
                None => anew(),
            }
        };
        *need = one(brief, (index, item), (face, &loads[side], least), level, size);
    }
    needs
}

/// Foam that a piece needs over it where a tray's board closes over it: base foam, and nothing leans on it that way.
pub(crate) fn cover(brief: &Brief, index: usize, faces: &Faces, level: &Level) -> f64 {
    covered(brief, index, &faces[1], &brief.foams[brief.base_foam], level)
}

/// Foam of the lid that a piece needs at a face which the cover of the lid's pockets bears, from above or below, in full.
pub(crate) fn lid_side(brief: &Brief, index: usize, face: &Face) -> f64 {
    covered(brief, index, face, &brief.foams[brief.lid_foam], &Level::FULL)
}

fn covered(brief: &Brief, index: usize, face: &Face, foam: &Foam, level: &Level) -> f64 {
    let need = |share: f64| {
        let side = ((face, share), &Load::NONE, brief.clearances.least_floor);
        let size = |request: &SizeRequest| thickness(foam, request, face);
        one(brief, (index, &brief.items[index]), side, level, size)
    };
    COVERED.into_iter().map(need).fold(0.0, f64::max)
}

/// The foam of one side; `size` tells the thickness of a whole cushion.
fn one(
    brief: &Brief,
    (index, item): (usize, &Item),
    ((face, share_of_area), load, least): ((&Face, f64), &Load, Length),
    level: &Level,
    size: impl Fn(&SizeRequest) -> f64,
) -> f64 {
    if is_soft(item) && load.leaning == 0.0 {
        return least.si();
    }
    let own = limit_of(item).map_or(f64::INFINITY, Acceleration::si);
    let strictest = own.min(load.limit);
    let request = SizeRequest {
        mass: item.mass.most() + Mass::from_si(load.leaning),
        area: Area::from_si(face.area * share_of_area),
        height: brief.handling.drop_height.most(),
        limit: strictest.is_finite().then(|| Acceleration::from_si(strictest)),
        least,
    };
    let full = size(&request);
    let share = match level.thinner {
        Some((thinned, share)) if thinned == index => share,
        _ if request.limit.is_none() => level.unknown_share,
        _ => 1.0,
    };
    least.si() + (full - least.si()).max(0.0) * share
}

/// Thickness for one side: on the full area, else on a relieved one, else the one that comes closest.
fn thickness(foam: &Foam, request: &SizeRequest, face: &Face) -> f64 {
    if let Ok(need) = size_with_full_area(foam, request) {
        return on_face(foam, request, face, need.thickness.si());
    }
    if let Ok(need) = size(foam, request) {
        // A relief is as deep as the foam deflects, and behind it the least foam stays.
        let thickness = need.thickness.si();
        return thickness.max(RELIEF_STROKE * thickness + request.least.si());
    }
    closest(foam, request)
}

/// The thickness at the foremost part of a face that is not flat: at least that of a flat one, and enough for the parts
/// that the fall loads first. Parts that stand back rest on thicker, softer foam.
fn on_face(foam: &Foam, request: &SizeRequest, face: &Face, flat: f64) -> f64 {
    if face.parts.last().is_none_or(|(setback, _)| *setback < FLAT) {
        return flat;
    }
    let holds = |thickness: f64| {
        let patches: Vec<Patch> = face
            .parts
            .iter()
            .map(|(setback, area)| Patch {
                point: Vec3::ZERO,
                direction: Vec3::new(1.0, 0.0, 0.0),
                area: area * BEARING_SHARE,
                thickness: thickness + setback,
                gap: 0.0,
                law: 0,
            })
            .collect();
        let settings = DropSettings {
            mass: request.mass,
            height: request.height,
        };
        flat_drop(std::slice::from_ref(&foam.law), &patches, &settings).is_ok_and(|drop| {
            match request.limit {
                Some(limit) => drop.peak <= limit && drop.bottoming_margin >= 0.0,
                None => drop.strain <= foam.law.optimum().strain,
            }
        })
    };
    if holds(flat) {
        return flat;
    }
    let (mut short, mut enough) = (flat, flat + MOST_FOR_SHAPE);
    if !holds(enough) {
        return flat;
    }
    for _ in 0..16 {
        let middle = f64::midpoint(short, enough);
        if holds(middle) {
            enough = middle;
        } else {
            short = middle;
        }
    }
    enough
}

/// The thinnest foam whose peak comes within a twentieth of the least any thickness gives on the full area.
fn closest(foam: &Foam, request: &SizeRequest) -> f64 {
    let stress: Pressure = request.mass.weight() / request.area;
    let steps = ((THICKEST_EFFORT - request.least.si()).max(0.0) / EFFORT_STEP).ceil() as u32;
    let tried: Vec<(f64, f64)> = (0..=steps)
        .map(|step| request.least.si() + f64::from(step) * EFFORT_STEP)
        .filter_map(|t| {
            let peak = foam.law.peak_g(stress, request.height, Length::from_si(t)).ok()?;
            Some((t, peak.as_g()))
        })
        .collect();
    let best = tried.iter().map(|(_, peak)| *peak).fold(f64::INFINITY, f64::min);
    tried
        .into_iter()
        .find(|(_, peak)| *peak <= best * 1.05)
        .map_or(THICKEST_EFFORT, |(t, _)| t)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::faces::faces;
    use crate::testing;

    fn faces_of(brief: &Brief, index: usize) -> Faces {
        let up = brief.items[index].ways_up[0];
        faces(
            &brief.items[index]
                .posed(up, caddis_survey::Turn::NONE, 0.005)
                .stack,
            &[],
            0.0,
        )
    }

    #[test]
    fn the_need_holds_the_limit_by_the_law_itself() {
        let brief = testing::brief();
        let foam = &brief.foams[0];
        let faces = faces_of(&brief, 1);
        let found = needs(&brief, 1, &faces, &[Load::NONE; 6], &Level::FULL);
        for side in 0..6 {
            let stress = brief.items[1].mass.value.weight() / Area::from_si(faces[side].area);
            let peak = foam
                .law
                .peak_g(
                    stress,
                    brief.handling.drop_height.value,
                    Length::from_si(found[side]),
                )
                .unwrap();
            assert!(peak.as_g() <= 80.0, "side {side}: {peak} on {} m", found[side]);
        }
    }

    #[test]
    fn a_row_needs_more_and_a_weaker_rider_counts() {
        let brief = testing::brief();
        let faces = faces_of(&brief, 1);
        let alone = needs(&brief, 1, &faces, &[Load::NONE; 6], &Level::FULL);
        let heavy = Load {
            leaning: 3.0,
            limit: f64::INFINITY,
        };
        let weak = Load {
            leaning: 3.0,
            limit: Acceleration::g(30.0).si(),
        };
        let row = needs(&brief, 1, &faces, &[heavy; 6], &Level::FULL);
        let weaker = needs(&brief, 1, &faces, &[weak; 6], &Level::FULL);
        assert!(
            row[2] > alone[2] && weaker[2] > row[2],
            "{} {} {}",
            alone[2],
            row[2],
            weaker[2]
        );
    }

    #[test]
    fn a_round_face_asks_for_more_than_a_flat_one_of_its_area() {
        let brief = testing::brief();
        let faces = faces_of(&brief, 4);
        let mut flat = faces.clone();
        for face in &mut flat {
            face.parts = vec![(0.0, face.area)];
        }
        let round = needs(&brief, 4, &faces, &[Load::NONE; 6], &Level::FULL);
        let flat = needs(&brief, 4, &flat, &[Load::NONE; 6], &Level::FULL);
        assert!(round[2] > flat[2] + 1e-3, "{} against {}", round[2], flat[2]);
        assert_eq!(round[0], flat[0]);
    }

    #[test]
    fn soft_goods_and_thinned_unknowns_keep_the_least() {
        let brief = testing::brief();
        let soft = needs(&brief, 5, &faces_of(&brief, 5), &[Load::NONE; 6], &Level::FULL);
        let thin = Level {
            unknown_share: 0.0,
            thinner: None,
        };
        let battery = needs(&brief, 0, &faces_of(&brief, 0), &[Load::NONE; 6], &thin);
        for found in [soft, battery] {
            assert_eq!(found, [0.015; 6]);
        }
    }

    #[test]
    fn an_impossible_limit_gets_the_closest_thickness() {
        let mut brief = testing::brief();
        brief.items[1].fragility = Fragility::Known(caddis_basis::Measured::exact(Acceleration::g(2.0)));
        let found = needs(&brief, 1, &faces_of(&brief, 1), &[Load::NONE; 6], &Level::FULL);
        assert!(found.iter().all(|t| t.is_finite() && *t >= 0.015));
    }
}
