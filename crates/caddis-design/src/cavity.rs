//! Cavities from places.
//!
//! A cavity lets its item out upward: at each height it holds every section of the item, and of the room it keeps clear, at
//! or below it. It is made of
//! few prisms, each with corners that the cutter reaches. In the lid it is one prism, as wide as the item is anywhere: what is flat loses
//! little by it, and the item comes out downward as it would upward.

use crate::{Cavity, Place};
use caddis_basis::CavityId;
use caddis_geometry::{Contour, Prism, Region, SectionStack, Shape, Side, Vec2};

/// Bands whose areas differ by less than this share are one step.
const SAME_STEP: f64 = 0.02;
/// A ledge narrower than this is not worth a cut of its own and would stand as a flap of foam, metres.
const LEAST_LEDGE: f64 = 2e-3;
/// Foam inside an item's own outline is left standing only if a circle of this radius fits in it, metres (common practice,
/// no source: twice the least web across).
const LEAST_ISLAND: f64 = 0.014;
/// How far a cavity's outline may stand off the item's (outward), metres: a fifth of what foam is cut to.
const OUTLINE: f64 = 2e-4;
/// Foam left in a corner that is thinner than this is pressed away by the item, metres.
const CORNER_TOLERANCE: f64 = 1e-4;
/// Residues of a corner smaller than this are rounding, square metres.
const LEAST_RESIDUE: f64 = 5e-8;
/// How far a corner may lie from where the cutter's centre gets and still be cleared by one relief circle, in radii.
const RELIEF_REACH: f64 = 3.0;

/// What shapes a cavity besides its item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CavityRules {
    /// Clearance per side, negative for squeeze, metres.
    pub clearance: f64,
    /// Least cutter radius, metres.
    pub cutter_radius: f64,
    /// Depth bands, metres.
    pub step: f64,
}

/// The cavity of a place, open at the top of its tier; in the lid at the top of its cover.
pub(crate) fn cavity(place: &Place, tier_top: f64, rules: &CavityRules) -> Cavity {
    let taken = place.body.with_prisms(&place.clear);
    let grown = if rules.clearance == 0.0 {
        taken
    } else {
        taken.offset(rules.clearance)
    };
    let swept = if place.in_lid {
        pocket(&grown)
    } else {
        grown.swept_up()
    };
    let mut bands: Vec<Prism> = Vec::new();
    for slab in swept
        .slabs
        .into_iter()
        .filter(|slab| !slab.region.is_empty() && slab.high > slab.low)
    {
        match bands.last_mut() {
            Some(last) if is_one_step(last, &slab, rules.step) => {
                last.high = slab.high;
                last.region = slab.region;
            }
            _ => bands.push(slab),
        }
    }
    if let Some(last) = bands.last_mut().filter(|_| !place.in_lid) {
        last.high = last.high.max(tier_top);
    }
    let mut below = Region::empty();
    for band in &mut bands {
        let plain = without_narrow_islands(&band.region.simplified(OUTLINE, Side::Outer));
        let open = reachable(&plain, rules.cutter_radius);
        // Relief below stays open above, or the item's way out would be narrower than its seat.
        band.region = if below.is_empty() || below.difference(&open).area() < LEAST_RESIDUE {
            open
        } else {
            open.union(&below)
        };
        below = band.region.clone();
    }
    Cavity {
        id: CavityId::new(place.instance.to_string()),
        instance: place.instance.clone(),
        steps: bands,
        over: None,
    }
}

/// The whole plan of a body over its whole height.
fn pocket(body: &SectionStack) -> SectionStack {
    let slabs = match (body.low(), body.high()) {
        (Some(low), Some(high)) => vec![Prism {
            region: Region::union_all(body.slabs.iter().map(|slab| &slab.region)),
            low,
            high,
        }],
        _ => Vec::new(),
    };
    SectionStack { slabs }
}

/// The region with its narrow holes filled: foam that would stand alone in an item's bore or handle tears out.
fn without_narrow_islands(region: &Region) -> Region {
    let is_wide = |hole: &Contour| {
        !Region::from_contours(std::slice::from_ref(hole))
            .offset(-LEAST_ISLAND, Side::Inner)
            .is_empty()
    };
    let shapes = region
        .shapes
        .iter()
        .map(|shape| Shape {
            outer: shape.outer.clone(),
            holes: shape.holes.iter().filter(|hole| is_wide(hole)).cloned().collect(),
        })
        .collect();
    Region { shapes }
}

/// Whether the next band may be cut together with those before it: nearly the same plan, or a sliver of height.
fn is_one_step(step: &Prism, next: &Prism, least_height: f64) -> bool {
    let (mine, theirs) = (step.region.area(), next.region.area());
    theirs - mine <= SAME_STEP * mine
        || step.high - step.low < least_height / 2.0
        || next
            .region
            .difference(&step.region.offset(LEAST_LEDGE, Side::Outer))
            .area()
            < LEAST_RESIDUE
}

/// The region opened where a cutter of this radius cannot reach: corners get a relief circle of the cutter's radius
/// through the corner, parts narrower than the cutter are widened. The result holds the region.
pub(crate) fn reachable(region: &Region, radius: f64) -> Region {
    if radius <= CORNER_TOLERANCE || region.is_empty() {
        return region.clone();
    }
    let core = region.offset(-radius, Side::Outer);
    let mut parts = vec![region.clone()];
    for residue in residues(region, &core, radius) {
        let corner = residue
            .shapes
            .iter()
            .flat_map(|shape| &shape.outer.vertices)
            .map(|vertex| (core.signed_distance(vertex.at), vertex.at))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match corner {
            Some((distance, _)) if distance <= radius + CORNER_TOLERANCE => {}
            Some((distance, corner)) if distance <= RELIEF_REACH * radius => {
                let centre = corner + towards(&core, corner) * radius;
                // A hair larger, so that the corner itself is inside after flattening.
                parts.push(Region::circle(centre, radius + CORNER_TOLERANCE / 5.0));
            }
            _ => parts.push(residue.offset(radius, Side::Outer)),
        }
    }
    if parts.len() == 1 {
        return parts.swap_remove(0);
    }
    let opened = Region::union_all(&parts);
    // What circles could not clear (narrow waists) is widened.
    let core = opened.offset(-radius, Side::Outer);
    let mut rest: Vec<Region> = residues(&opened, &core, radius)
        .into_iter()
        .filter(|residue| {
            residue
                .shapes
                .iter()
                .flat_map(|shape| &shape.outer.vertices)
                .any(|vertex| core.signed_distance(vertex.at) > radius + 3.0 * CORNER_TOLERANCE)
        })
        .map(|residue| residue.offset(radius, Side::Outer))
        .collect();
    if rest.is_empty() {
        return opened;
    }
    rest.push(opened);
    Region::union_all(&rest)
}

/// The parts of a region that a cutter whose centre keeps to `core` leaves standing.
fn residues(region: &Region, core: &Region, radius: f64) -> Vec<Region> {
    region
        .difference(&core.offset(radius, Side::Outer))
        .shapes
        .into_iter()
        .filter(|shape| shape.outer.signed_area() > LEAST_RESIDUE)
        .map(|shape| Region { shapes: vec![shape] })
        .collect()
}

/// Unit direction from a point outside a region towards it.
fn towards(region: &Region, from: Vec2) -> Vec2 {
    let step = 1e-5;
    let slope = |by: Vec2| region.signed_distance(from + by) - region.signed_distance(from - by);
    let rise = Vec2::new(slope(Vec2::new(step, 0.0)), slope(Vec2::new(0.0, step)));
    -rise.unit()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_basis::InstanceId;
    use caddis_geometry::Placement2;
    use caddis_survey::{Turn, Up};
    use proptest::prelude::*;

    const RULES: CavityRules = CavityRules {
        clearance: 5e-4,
        cutter_radius: 4e-3,
        step: 5e-3,
    };

    fn place(item: usize, bottom: f64) -> Place {
        let brief = testing::brief();
        let posed = brief.items[item].posed(brief.items[item].ways_up[0], Turn::NONE, RULES.step);
        let at = Vec2::new(0.03, -0.02);
        Place {
            instance: InstanceId::new(brief.items[item].id.clone(), 1),
            item,
            number: 1,
            up: Up::PlusZ,
            turn: Turn::NONE,
            at,
            bottom,
            pose: posed.pose,
            body: posed.stack.placed(
                &Placement2 {
                    angle: 0.0,
                    shift: at,
                },
                bottom,
            ),
            clear: Vec::new(),
            centre_of_mass: posed.centre_of_mass,
            tier: 0,
            in_lid: false,
        }
    }

    #[test]
    fn a_pocket_in_the_lid_is_as_wide_as_its_item_anywhere() {
        let mut lying = place(3, 0.25);
        lying.in_lid = true;
        let found = cavity(&lying, 0.315, &RULES);
        let [pocket] = found.steps.as_slice() else {
            panic!("{} steps", found.steps.len());
        };
        assert_eq!(
            (Some(pocket.low), Some(pocket.high)),
            (lying.body.low(), lying.body.high())
        );
        let whole = lying.body.shadow(f64::NEG_INFINITY, f64::INFINITY);
        assert!(whole.difference(&pocket.region).area() < 1e-7);
    }

    #[test]
    fn boxes_and_upright_cylinders_are_one_step() {
        for item in [0, 1, 4] {
            let found = cavity(&place(item, 0.05), 0.24, &RULES);
            assert_eq!(found.steps.len(), 1);
            assert_eq!((found.steps[0].low, found.steps[0].high), (0.05, 0.24));
        }
    }

    #[test]
    fn a_lying_cylinder_is_stepped_to_its_widest() {
        let found = cavity(&place(3, 0.05), 0.24, &RULES);
        assert!(
            (3..=7).contains(&found.steps.len()),
            "{} steps",
            found.steps.len()
        );
        assert!(found.steps.last().unwrap().low < 0.05 + 0.026);
    }

    #[test]
    fn every_cavity_holds_its_item_and_lets_it_out() {
        for item in 0..testing::brief().items.len() {
            let place = place(item, 0.05);
            let found = cavity(&place, 0.24, &RULES);
            for step in &found.steps {
                let swept = place.body.shadow(0.0, step.high.min(place.body.high().unwrap()));
                let missing = swept.difference(&step.region).area();
                assert!(missing < 1e-7, "item {item}: {missing} m² at {}", step.low);
            }
            for pair in found.steps.windows(2) {
                assert!((pair[0].high - pair[1].low).abs() < 1e-12);
                assert!(pair[0].region.difference(&pair[1].region).area() < 1e-7);
            }
        }
    }

    #[test]
    fn a_corner_is_cleared_by_the_cutter() {
        let square = Region::rectangle(Vec2::ZERO, Vec2::new(0.05, 0.03));
        let open = reachable(&square, 0.004);
        assert!(square.difference(&open).area() < 1e-9);
        let core = open.offset(-0.004, Side::Outer);
        assert!(
            core.signed_distance(Vec2::ZERO) < 0.0042,
            "{}",
            core.signed_distance(Vec2::ZERO)
        );
        let bulge = (open.bounds().unwrap().size().x - 0.05) / 2.0;
        assert!((bulge - 0.004 * 0.293).abs() < 1e-4, "{bulge}");
    }

    #[test]
    fn a_part_narrower_than_the_cutter_is_widened() {
        let thin = Region::rectangle(Vec2::ZERO, Vec2::new(0.08, 0.005));
        let open = reachable(&thin, 0.004);
        assert!(thin.difference(&open).area() < 1e-9);
        assert!(open.bounds().unwrap().size().y >= 0.008 - 1e-4);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn reachable_holds_the_region(points in proptest::collection::vec((0.0..0.1_f64, 0.0..0.1_f64), 3..9), r in 0.001..0.008_f64) {
            let hull = Region::from_contours(&[Contour::polygon(points.iter().map(|&(x, y)| Vec2::new(x, y)))]);
            let open = reachable(&hull, r);
            prop_assert!(hull.difference(&open).area() < 1e-7);
        }
    }
}
