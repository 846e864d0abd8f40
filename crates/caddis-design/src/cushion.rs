//! Cushions: from need to keep-out distances, along the load path.

use crate::Brief;
use caddis_basis::{Acceleration, Area, Length, Mass, Pressure};
use caddis_geometry::SectionStack;
use caddis_protection::{Foam, SizeRequest, size, size_with_full_area};
use caddis_survey::{Fragility, Item};

/// Best-effort cushions are looked for up to this thickness: thicker ones cost the room of the rest and hold little
/// more.
const THICKEST_EFFORT: f64 = 0.12;
/// Step of that search.
const EFFORT_STEP: f64 = 0.002;
/// A notch, a corner relief or a neighbour's void takes some bearing area: needs are sized on this share of it.
const BEARING_SHARE: f64 = 0.95;

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

/// Projected areas of a posed piece, square metres, in the order of [`crate::Direction::ALL`].
pub(crate) fn bearing_areas(stack: &SectionStack) -> [f64; 6] {
    let plan = match (stack.low(), stack.high()) {
        (Some(low), Some(high)) => stack.shadow(low, high).area(),
        _ => 0.0,
    };
    let (mut along_x, mut along_y) = (0.0, 0.0);
    for slab in &stack.slabs {
        let boxes: Vec<_> = slab.region.shapes.iter().filter_map(|s| s.outer.bounds()).collect();
        let height = slab.high - slab.low;
        along_x += height * covered(boxes.iter().map(|b| (b.min.y, b.max.y)).collect());
        along_y += height * covered(boxes.iter().map(|b| (b.min.x, b.max.x)).collect());
    }
    [plan, plan, along_x, along_x, along_y, along_y]
}

/// Length covered by intervals.
fn covered(mut intervals: Vec<(f64, f64)>) -> f64 {
    intervals.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut total = 0.0;
    let mut reach = f64::NEG_INFINITY;
    for (low, high) in intervals {
        total += (high - low.max(reach)).max(0.0);
        reach = reach.max(high);
    }
    total
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
/// A side is sized on the mass it carries (its own and what leans on it), on its bearing area, and on the least
/// acceleration that anything riding on it stands. Where the full area is too stiff the thickness is the one that a
/// relieved area would need; where no thickness holds the limit it is the one that comes closest, and verification
/// reports it.
pub(crate) fn needs(
    brief: &Brief,
    index: usize,
    areas: &[f64; 6],
    loads: &[Load; 6],
    level: &Level,
) -> [f64; 6] {
    let item = &brief.items[index];
    let base = &brief.foams[brief.base_foam];
    let lid = &brief.foams[brief.lid_foam];
    let least_side = base.least_web;
    let least_floor = brief.clearances.least_floor;
    let mut needs = [0.0; 6];
    for (side, need) in needs.iter_mut().enumerate() {
        let foam = if side == 1 { lid } else { base };
        let least = if side < 2 { least_floor } else { least_side };
        if is_soft(item) && loads[side].leaning == 0.0 {
            *need = least.si();
            continue;
        }
        let own = limit_of(item).map_or(f64::INFINITY, Acceleration::si);
        let strictest = own.min(loads[side].limit);
        let request = SizeRequest {
            mass: item.mass.most() + Mass::from_si(loads[side].leaning),
            area: Area::from_si(areas[side] * BEARING_SHARE),
            height: brief.handling.drop_height.most(),
            limit: strictest.is_finite().then(|| Acceleration::from_si(strictest)),
            least,
        };
        let full = thickness(foam, &request);
        let share = match level.thinner {
            Some((thinned, share)) if thinned == index => share,
            _ if request.limit.is_none() => level.unknown_share,
            _ => 1.0,
        };
        *need = least.si() + (full - least.si()).max(0.0) * share;
    }
    needs
}

/// Thickness for one side: on the full area, else on a relieved one, else the one that comes closest.
fn thickness(foam: &Foam, request: &SizeRequest) -> f64 {
    if let Ok(need) = size_with_full_area(foam, request) {
        return need.thickness.si();
    }
    if let Ok(need) = size(foam, request) {
        return need.thickness.si();
    }
    closest(foam, request)
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
    use crate::testing;
    use caddis_survey::Up;

    fn areas_of(brief: &Brief, index: usize) -> [f64; 6] {
        bearing_areas(&brief.items[index].posed(Up::PlusZ, 0, 0.005).stack)
    }

    #[test]
    fn a_box_bears_on_its_faces() {
        let brief = testing::brief();
        let areas = areas_of(&brief, 1);
        for (found, expected) in areas.iter().zip([0.0108, 0.0108, 0.0153, 0.0153, 0.0204, 0.0204]) {
            assert!((found - expected).abs() < 1e-9, "{areas:?}");
        }
    }

    #[test]
    fn the_need_holds_the_limit_by_the_law_itself() {
        let brief = testing::brief();
        let foam = &brief.foams[0];
        let areas = areas_of(&brief, 1);
        let found = needs(&brief, 1, &areas, &[Load::NONE; 6], &Level::FULL);
        for side in 0..6 {
            let stress = brief.items[1].mass.value.weight() / Area::from_si(areas[side]);
            let peak = foam
                .law
                .peak_g(stress, brief.handling.drop_height.value, Length::from_si(found[side]))
                .unwrap();
            assert!(peak.as_g() <= 80.0, "side {side}: {peak} on {} m", found[side]);
        }
    }

    #[test]
    fn a_row_needs_more_and_a_weaker_rider_counts() {
        let brief = testing::brief();
        let areas = areas_of(&brief, 1);
        let alone = needs(&brief, 1, &areas, &[Load::NONE; 6], &Level::FULL);
        let heavy = Load {
            leaning: 3.0,
            limit: f64::INFINITY,
        };
        let weak = Load {
            leaning: 3.0,
            limit: Acceleration::g(40.0).si(),
        };
        let row = needs(&brief, 1, &areas, &[heavy; 6], &Level::FULL);
        let weaker = needs(&brief, 1, &areas, &[weak; 6], &Level::FULL);
        assert!(row[2] > alone[2] && weaker[2] > row[2], "{} {} {}", alone[2], row[2], weaker[2]);
    }

    #[test]
    fn soft_goods_and_thinned_unknowns_keep_the_least() {
        let brief = testing::brief();
        let soft = needs(&brief, 5, &areas_of(&brief, 5), &[Load::NONE; 6], &Level::FULL);
        let thin = Level {
            unknown_share: 0.0,
            thinner: None,
        };
        let battery = needs(&brief, 0, &areas_of(&brief, 0), &[Load::NONE; 6], &thin);
        for found in [soft, battery] {
            assert_eq!(found, [0.015; 6]);
        }
    }

    #[test]
    fn an_impossible_limit_gets_the_closest_thickness() {
        let mut brief = testing::brief();
        brief.items[1].fragility = Fragility::Known(caddis_basis::Measured::exact(Acceleration::g(2.0)));
        let found = needs(&brief, 1, &areas_of(&brief, 1), &[Load::NONE; 6], &Level::FULL);
        assert!(found.iter().all(|t| t.is_finite() && *t >= 0.015));
    }
}
