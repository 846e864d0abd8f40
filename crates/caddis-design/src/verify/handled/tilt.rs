//! An item that tips out of a shallow cavity, or leans for want of foam under its weight.

use crate::verify::verdict_of;
use crate::{Brief, CaseVerdict, Interior, Packed, Support};
use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, Verdict, said};
use caddis_geometry::{Vec2, convex_hull};
use caddis_survey::Fragility;

/// An item leaves its cavity when its centre of mass lies beyond the cavity's mouth: the wall then has no lever to hold it.
///
/// # Source
/// Derived: a body leaning on the mouth's edge turns about it towards the side its weight lies on.
pub(super) fn tilt(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let source = Source::derived(said!(
        "an item tips out when its centre of mass lies beyond its cavity's mouth"
    ));
    let mut least: Option<(f64, f64, Said)> = None;
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        if matches!(brief.items[place.item].fragility, Fragility::None) {
            continue;
        }
        let top = cavity.steps.last().map_or(place.bottom, |step| step.high);
        let depth = top - place.bottom;
        if place.in_lid {
            // The mouth is below, the cover lies on it and the piece lies on the cover: its pocket holds it to its own height.
            continue;
        }
        // Upside down it sinks on to what lies over it.
        let high = place.body.high().unwrap_or(top);
        let over = interior
            .blocks
            .iter()
            .map(|block| block.low)
            .filter(|low| *low >= top - 1e-6)
            .fold(brief.crown().si(), f64::min);
        let free = (over - high).max(0.0);
        let reach = place.centre_of_mass.z - place.bottom + free;
        let margin = Margin::at_most(reach * 1e3, depth * 1e3, "mm");
        if !margin.is_kept() {
            findings.push(
                Finding::new(
                    "tips-out",
                    Domain::Protection,
                    Severity::Failing,
                    &place.instance,
                    said!(
                        "{item} can tip out when the case lies on its side or lid: its centre of mass comes \
                         {reach:.0} mm above the \
                         cavity's floor, and the cavity is {depth:.0} mm deep",
                        item = brief.items[place.item].name,
                        reach = reach * 1e3,
                        depth = depth * 1e3
                    ),
                    source.clone(),
                )
                .margin(margin)
                .remedy(said!(
                    "a deeper cavity, or foam in the lid that reaches down to it"
                )),
            );
        }
        let room = depth - reach;
        if least.as_ref().is_none_or(|(before, ..)| room < *before) {
            least = Some((room, depth, Said::from(&place.instance)));
        }
    }
    let Some((room, depth, who)) = least else {
        return CaseVerdict {
            code: "tilt",
            name: said!("Stood on a side"),
            verdict: Verdict::Holds,
            margin: None,
            sentence: said!("no hard item is packed"),
            source,
        };
    };
    CaseVerdict {
        code: "tilt",
        name: said!("Stood on a side"),
        verdict: verdict_of(room >= 0.0),
        margin: Some(Margin::at_most((depth - room) * 1e3, depth * 1e3, "mm")),
        sentence: said!(
            "every item's centre of mass stays {room:.0} mm or more within its cavity ({piece}), whichever way the \
             case lies",
            room = room * 1e3,
            piece = who
        ),
        source,
    }
}

/// The centre of mass of an item belongs over the foam that bears it.
pub(super) fn seats(interior: &Interior, brief: &Brief, packed: &[Packed], findings: &mut Vec<Finding>) {
    for (place, packed) in interior.places.iter().zip(packed) {
        let item = &brief.items[place.item];
        if matches!(item.fragility, Fragility::None) {
            continue;
        }
        let points: Vec<Vec2> = packed.sides[0]
            .iter()
            .filter(|patch| patch.support != Support::Void)
            .map(|patch| patch.patch.point.plan())
            .collect();
        let centre = place.centre_of_mass.plan();
        // No foam at all is a finding of its own.
        let Some(outside) = outside_hull(&points, centre).filter(|outside| *outside > 1e-6) else {
            continue;
        };
        findings.push(
            Finding::new(
                "seat-off-centre",
                Domain::Protection,
                Severity::Caution,
                &place.instance,
                said!(
                    "the centre of mass of {item} lies {outside:.0} mm outside the foam that bears it: it leans on a \
                     wall",
                    item = item.name,
                    outside = outside * 1e3
                ),
                Source::derived(said!("centre of mass against the hull of the bearing patches")),
            )
            .margin(Margin::at_most(outside * 1e3, 0.0, "mm"))
            .remedy(said!("foam under its heavy end, or turn it")),
        );
    }
}

/// How far a point lies outside the convex hull of others; 0 inside, `None` without a hull.
fn outside_hull(points: &[Vec2], at: Vec2) -> Option<f64> {
    let hull = convex_hull(points.to_vec());
    if hull.len() < 3 {
        return None;
    }
    // Counter-clockwise: outside an edge is to its right.
    let beyond = (0..hull.len())
        .map(|i| {
            let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
            -(b - a).unit().cross(at - a)
        })
        .fold(f64::NEG_INFINITY, f64::max);
    Some(beyond.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_geometry::Prism;

    #[test]
    fn a_shallow_cavity_lets_its_item_tip_out() {
        let brief = testing::brief();
        let mut interior = testing::shelf(&[(0.0, [100.0, 80.0, 60.0])]);
        let codes = |interior: &Interior| {
            let mut findings = Vec::new();
            let verdict = tilt(interior, &brief, &mut findings);
            (
                verdict.verdict,
                findings.into_iter().map(|f| f.code).collect::<Vec<_>>(),
            )
        };
        assert_eq!(codes(&interior), (Verdict::Holds, vec![]));
        // Half as deep as the item's centre of mass is high.
        let bottom = interior.places[0].bottom;
        let step: &mut Prism = &mut interior.cavities[0].steps[0];
        step.high = bottom + 0.015;
        assert_eq!(codes(&interior), (Verdict::Fails, vec!["tips-out"]));
    }

    #[test]
    fn a_heavy_end_off_its_foam_leans() {
        let brief = testing::brief();
        let mut interior = testing::shelf(&[(0.0, [100.0, 80.0, 60.0])]);
        let packed = crate::pack(&interior, &brief, 0.004);
        let codes = |interior: &Interior| {
            let mut findings = Vec::new();
            seats(interior, &brief, &packed, &mut findings);
            findings.into_iter().map(|f| f.code).collect::<Vec<_>>()
        };
        assert!(codes(&interior).is_empty());
        interior.places[0].centre_of_mass.x = 0.06;
        assert_eq!(codes(&interior), ["seat-off-centre"]);
    }
}
