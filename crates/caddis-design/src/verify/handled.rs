//! The packed case in people's hands: stood on a side, its trays lifted, its lid pressed shut, left in the heat.

use super::verdict_of;
use crate::{Block, BlockKind, Brief, CaseVerdict, Interior, LayerPlan, Packed, Support};
use caddis_basis::{
    Certainty, Domain, Finding, Force, Margin, Mass, Severity, Source, Temperature, Verdict, Volume,
};
use caddis_geometry::{Region, Vec2};
use caddis_protection::Law;
use caddis_survey::Fragility;

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    findings: &mut Vec<Finding>,
) -> Vec<CaseVerdict> {
    let mut out = vec![tilt(interior, brief, findings)];
    seats(interior, brief, packed, findings);
    for block in &interior.blocks {
        if matches!(block.kind, BlockKind::Tray(_)) {
            out.push(tray(interior, brief, block, findings));
        }
    }
    out.push(lid_force(interior, brief, findings));
    findings.extend(creep_when_hot(brief));
    out
}

/// An item leaves its cavity when its centre of mass lies beyond the cavity's mouth: the wall then has no lever to hold it.
///
/// # Source
/// Derived: a body leaning on the mouth's edge turns about it towards the side its weight lies on.
fn tilt(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let source = Source::derived("an item tips out when its centre of mass lies beyond its cavity's mouth");
    let mut least: Option<(f64, f64, String)> = None;
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        if matches!(brief.items[place.item].fragility, Fragility::None) {
            continue;
        }
        let top = cavity.steps.last().map_or(place.bottom, |step| step.high);
        let depth = top - place.bottom;
        // Upside down it sinks on to what lies over it.
        let high = place.body.high().unwrap_or(top);
        let over = interior
            .blocks
            .iter()
            .map(|block| block.low)
            .filter(|low| *low >= top - 1e-6)
            .fold(brief.shell.crown_height().si(), f64::min);
        let free = (over - high).max(0.0);
        let reach = place.centre_of_mass.z - place.bottom + free;
        let margin = Margin::at_most(reach * 1e3, depth * 1e3, "mm");
        if !margin.is_kept() {
            findings.push(
                Finding::new(
                    "tips-out",
                    Domain::Protection,
                    Severity::Failing,
                    place.instance.to_string(),
                    format!(
                        "{} can tip out when the case lies on its side or lid: its centre of mass comes {:.0} mm above the \
                         cavity's floor, and the cavity is {:.0} mm deep",
                        brief.items[place.item].name,
                        reach * 1e3,
                        depth * 1e3
                    ),
                    source.clone(),
                )
                .margin(margin)
                .remedy("a deeper cavity, or foam in the lid that reaches down to it"),
            );
        }
        let room = depth - reach;
        if least.as_ref().is_none_or(|(before, ..)| room < *before) {
            least = Some((room, depth, place.instance.to_string()));
        }
    }
    let Some((room, depth, who)) = least else {
        return CaseVerdict {
            code: "tilt",
            name: "Stood on a side".to_owned(),
            verdict: Verdict::Holds,
            margin: None,
            sentence: "no hard item is packed".to_owned(),
            source,
        };
    };
    CaseVerdict {
        code: "tilt",
        name: "Stood on a side".to_owned(),
        verdict: verdict_of(room >= 0.0),
        margin: Some(Margin::at_most((depth - room) * 1e3, depth * 1e3, "mm")),
        sentence: format!(
            "every item's centre of mass stays {:.0} mm or more within its cavity ({who}), whichever way the case lies",
            room * 1e3
        ),
        source,
    }
}

/// The centre of mass of an item belongs over the foam that bears it.
fn seats(interior: &Interior, brief: &Brief, packed: &[Packed], findings: &mut Vec<Finding>) {
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
                place.instance.to_string(),
                format!(
                    "the centre of mass of {} lies {:.0} mm outside the foam that bears it: it leans on a wall",
                    item.name,
                    outside * 1e3
                ),
                Source::derived("centre of mass against the hull of the bearing patches"),
            )
            .margin(Margin::at_most(outside * 1e3, 0.0, "mm"))
            .remedy("foam under its heavy end, or turn it"),
        );
    }
}

/// How far a point lies outside the convex hull of others; 0 inside, `None` without a hull.
fn outside_hull(points: &[Vec2], at: Vec2) -> Option<f64> {
    // Andrew's monotone chain.
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return None;
    }
    let chain = |points: &mut dyn Iterator<Item = Vec2>| {
        let mut out: Vec<Vec2> = Vec::new();
        for p in points {
            while let [.., a, b] = out[..]
                && (b - a).cross(p - b) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut hull = chain(&mut sorted.iter().copied());
    hull.extend(chain(&mut sorted.iter().rev().copied()));
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

/// Strain at which closed-cell foam has left its first straight rise.
const RISE: f64 = 0.05;
/// A tray may sag by this share of its length when it is lifted by its ends.
const SAG: f64 = 1.0 / 20.0;
/// Places along a tray at which its section is taken.
const STATIONS: usize = 20;

/// The tray lifted by its two ends, as a beam of its foam.
///
/// # Accuracy
/// An order of magnitude: foam bends softer in tension than in compression, and the modulus is the law's secant at a
/// strain of 0.05.
///
/// # Source
/// Unit-load method for a beam on two supports under an even load, `integral of M m / (E I)`, derived; its section loses
/// what cavities and notches take. The limit of a twentieth is common practice, no source.
fn tray(interior: &Interior, brief: &Brief, block: &Block, findings: &mut Vec<Finding>) -> CaseVerdict {
    let number = match block.kind {
        BlockKind::Tray(number) => number,
        BlockKind::Base | BlockKind::LidPad => 0,
    };
    let place = format!("tray {number}");
    let name = format!("Tray {number} lifted by its ends");
    let source = Source::new(
        "beam of foam on two supports, modulus by the law's secant at a strain of 0.05; a twentieth of its length as limit is \
         common practice",
        Certainty::Model,
    );
    let foam = &brief.foams[block.foam];
    let modulus = foam.law.stress(RISE) / RISE;
    let bounds = block
        .layers
        .iter()
        .filter_map(|layer| layer.outline.bounds())
        .reduce(|a, b| caddis_geometry::Bounds2 {
            min: a.min.min(b.min),
            max: a.max.max(b.max),
        });
    let (Some(bounds), true) = (bounds, modulus.is_finite() && modulus > 0.0) else {
        return CaseVerdict {
            code: "tray-stiffness",
            name,
            verdict: Verdict::NotKnown,
            margin: None,
            sentence: "the foam's law has no one stress at a strain, so how far the tray sags is not known"
                .to_owned(),
            source,
        };
    };
    let size = bounds.size();
    let is_along_x = size.x >= size.y;
    let length = size.x.max(size.y);
    let load = foam.density * Volume::from_si(interior.foam_volume(block))
        + interior
            .places
            .iter()
            .filter(|p| p.bottom >= block.low - 1e-6 && p.bottom < block.high)
            .map(|p| brief.items[p.item].mass.most())
            .sum::<Mass>();
    let per_metre = load.weight().si() / length;
    let step = length / STATIONS as f64;
    let mut sag = 0.0;
    for station in 0..STATIONS {
        let x = (station as f64 + 0.5) * step;
        let (moment, unit) = (per_metre * x * (length - x) / 2.0, x.min(length - x) / 2.0);
        let (low, high) = if is_along_x {
            (
                Vec2::new(bounds.min.x + x - step / 2.0, bounds.min.y),
                Vec2::new(bounds.min.x + x + step / 2.0, bounds.max.y),
            )
        } else {
            (
                Vec2::new(bounds.min.x, bounds.min.y + x - step / 2.0),
                Vec2::new(bounds.max.x, bounds.min.y + x + step / 2.0),
            )
        };
        let strip = Region::rectangle(low, high);
        sag += moment * unit / (modulus * second_moment(interior, block, &strip, step)) * step;
    }
    let limit = length * SAG;
    // A section that is cut through has no stiffness at all.
    let found = if sag.is_finite() { sag } else { length };
    let margin = Margin::at_most(found * 1e3, limit * 1e3, "mm");
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "tray-sags",
                Domain::Shop,
                Severity::Caution,
                &place,
                format!(
                    "the tray sags about {:.0} mm under its {load:.1} when it is lifted by its ends",
                    found * 1e3
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy("a backer sheet glued under it, a thicker floor, or straps that lift it from below"),
        );
    }
    CaseVerdict {
        code: "tray-stiffness",
        name,
        verdict: if margin.is_kept() {
            Verdict::Indicative
        } else {
            Verdict::Fails
        },
        sentence: format!(
            "{load:.1} on two ends {:.0} mm apart let it sag about {:.0} mm",
            length * 1e3,
            found * 1e3
        ),
        margin: Some(margin),
        source,
    }
}

/// Second moment of area of what foam is left of a block in a strip across it, m⁴.
fn second_moment(interior: &Interior, block: &Block, strip: &Region, step: f64) -> f64 {
    let mut slices: Vec<(f64, f64, f64)> = Vec::new();
    for layer in &block.layers {
        for pair in interior.heights_within(layer.low, layer.high).windows(2) {
            let z = f64::midpoint(pair[0], pair[1]);
            let width = left_in(interior, layer, strip, z) / step;
            slices.push((width, z, pair[1] - pair[0]));
        }
    }
    let area: f64 = slices.iter().map(|(width, _, height)| width * height).sum();
    if area <= 0.0 {
        return 0.0;
    }
    let middle = slices
        .iter()
        .map(|(width, z, height)| width * height * z)
        .sum::<f64>()
        / area;
    slices
        .iter()
        .map(|(width, z, height)| width * height * (height * height / 12.0 + (z - middle).powi(2)))
        .sum()
}

/// Area of foam in a strip at a height.
fn left_in(interior: &Interior, layer: &LayerPlan, strip: &Region, z: f64) -> f64 {
    let voids: Vec<Region> = interior
        .voids_at(z)
        .map(|void| void.intersection(strip))
        .filter(|void| !void.is_empty())
        .collect();
    layer
        .outline
        .intersection(strip)
        .difference(&Region::union_all(&voids))
        .area()
}

/// What two hands press a lid shut with at its front edge.
const HANDS: Force = Force::from_si(250.0);

/// Force at the lid's front edge that squeezes the stack shut.
///
/// # Accuracy
/// On the safe side: cavities count as filled, since what lies in them is flush and stands on foam. A law that starts at a
/// finite stress is taken to rise to its stress at a strain of 0.05 in a straight line.
///
/// # Source
/// Layers in series carry one force, F = A sigma(e), and share the squeeze; it acts at the middle, so that the front edge
/// has twice its lever about the hinge (derived). 250 N with two hands: common practice, no source.
fn lid_force(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let source = Source::new(
        "layers in series share the squeeze, straight rise of the law to a strain of 0.05; 250 N with two hands is common \
         practice",
        Certainty::Model,
    );
    let free: f64 = interior.blocks.iter().map(|block| block.free_height).sum();
    let squeeze = free - brief.shell.crown_height().si();
    let layers: Vec<(f64, f64, &Law)> = interior
        .blocks
        .iter()
        .flat_map(|block| {
            let law = &brief.foams[block.foam].law;
            block
                .layers
                .iter()
                .map(move |layer| (layer.high - layer.low, layer.outline.area(), law))
        })
        .collect();
    let name = "Lid pressed shut".to_owned();
    let Some(force) = stack_force(&layers, squeeze) else {
        return CaseVerdict {
            code: "lid-force",
            name,
            verdict: Verdict::NotKnown,
            margin: None,
            sentence:
                "a foam's law has no one stress at a strain, so the force to close the lid is not known"
                    .to_owned(),
            source,
        };
    };
    let front = Force::from_si(force / 2.0);
    let margin = Margin::at_most(front.si(), HANDS.si(), "N");
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "lid-hard-to-close",
                Domain::Shop,
                Severity::Caution,
                "stack",
                format!(
                    "{front:.0} at the front edge squeeze the stack by {:.1} mm: more than two hands press",
                    squeeze * 1e3
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy("less squeeze by a thinner lid layer, a softer lid pad, or relief in it; latches do not replace hands"),
        );
    }
    CaseVerdict {
        code: "lid-force",
        name,
        verdict: if margin.is_kept() {
            Verdict::Indicative
        } else {
            Verdict::Fails
        },
        sentence: format!(
            "{front:.0} at the front edge squeeze the stack by {:.1} mm, {:.0} over the whole lid",
            squeeze * 1e3,
            Force::from_si(force)
        ),
        margin: Some(margin),
        source,
    }
}

/// Force that squeezes layers (height, area, law) together by a distance, N; `None` where a law has no one stress.
fn stack_force(layers: &[(f64, f64, &Law)], squeeze: f64) -> Option<f64> {
    if squeeze <= 0.0 {
        return Some(0.0);
    }
    let strain = |law: &Law, stress: f64| {
        let knee = law.stress(RISE);
        if stress <= knee {
            Some(RISE * stress / knee)
        } else {
            law.strain_at_stress(stress)
        }
    };
    let known = layers.iter().all(|(.., law)| {
        let knee = law.stress(RISE);
        knee.is_finite() && knee > 0.0
    });
    let height: f64 = layers.iter().map(|(height, ..)| height).sum();
    if !known || layers.is_empty() || squeeze >= height {
        return None;
    }
    let closes = |force: f64| {
        layers
            .iter()
            .map(|(height, area, law)| strain(law, force / area).unwrap_or(1.0) * height)
            .sum::<f64>()
    };
    let (mut low, mut high) = (0.0, 1.0);
    while closes(high) < squeeze {
        high *= 2.0;
        if high > 1e9 {
            return None;
        }
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if closes(middle) < squeeze {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

/// Creep limits are stated at room temperature; above this nobody vouches for them.
const WARM: Temperature = Temperature::celsius(30.0);

/// Foam under weight for months in the heat.
fn creep_when_hot(brief: &Brief) -> Option<Finding> {
    if !brief.handling.stored_long {
        return None;
    }
    let foam = &brief.foams[brief.base_foam];
    let (limit, source) = foam.creep_limit.as_ref()?;
    let leg = brief
        .journey
        .legs
        .iter()
        .filter(|leg| leg.kind == caddis_journey::LegKind::Store && leg.highest_temperature > Some(WARM))
        .max_by(|a, b| {
            let of = |leg: &caddis_journey::Leg| leg.highest_temperature.map_or(0.0, Temperature::si);
            of(a).total_cmp(&of(b))
        })?;
    let met = leg.highest_temperature?;
    Some(
        Finding::new(
            "creep-in-heat-not-known",
            Domain::Protection,
            Severity::Caution,
            &foam.name,
            format!(
                "{} is stored under load at up to {met:.0} ({}), and its creep limit of {limit:.1} is not stated for more than \
                 {WARM:.0}: it settles more",
                foam.title, leg.label
            ),
            source.clone(),
        )
        .margin(Margin::at_most(met.as_celsius(), WARM.as_celsius(), "degC"))
        .remedy("get the supplier's creep curve at that temperature; look at the foam after the first hot month"),
    )
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_geometry::Prism;
    use caddis_protection::{LawKind, LawRange};

    fn gas() -> Law {
        Law {
            kind: LawKind::ClosedCellGas {
                s0: 1e4,
                p0: 101_325.0,
                r: 0.03,
            },
            range: LawRange {
                static_stress: None,
                greatest_strain: 0.8,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        }
    }

    #[test]
    fn layers_share_the_squeeze() {
        let law = gas();
        let knee = law.stress(RISE);
        // Two layers of 100 mm, 0.2 and 0.1 m²: F (h/A1 + h/A2) RISE / knee = squeeze.
        let force = stack_force(&[(0.1, 0.2, &law), (0.1, 0.1, &law)], 0.003).unwrap();
        let expected = 0.003 * knee / RISE / (0.1 / 0.2 + 0.1 / 0.1);
        assert!((force / expected - 1.0).abs() < 1e-9, "{force} {expected}");
        assert_eq!(stack_force(&[(0.1, 0.2, &law)], 0.0), Some(0.0));
        assert_eq!(stack_force(&[(0.1, 0.2, &law)], 0.2), None);
        // Far past the rise it is the law's own stress.
        let force = stack_force(&[(0.1, 0.2, &law)], 0.04).unwrap();
        assert!((force / (0.2 * law.stress(0.4)) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_lid_is_hard_or_easy_to_close() {
        let interior = testing::shelf(&[]);
        let mut brief = testing::brief();
        let verdict = |interior: &Interior, brief: &Brief| {
            let mut findings = Vec::new();
            let verdict = lid_force(interior, brief, &mut findings);
            (
                verdict.verdict,
                findings.into_iter().map(|f| f.code).collect::<Vec<_>>(),
            )
        };
        let mut tight = interior.clone();
        tight.blocks[1].free_height += 0.012 - squeeze(&tight, &brief);
        assert_eq!(
            verdict(&tight, &brief),
            (Verdict::Fails, vec!["lid-hard-to-close"])
        );
        let mut easy = interior;
        easy.blocks[1].free_height += 0.0005 - squeeze(&easy, &brief);
        assert_eq!(verdict(&easy, &brief), (Verdict::Indicative, vec![]));
        brief.foams[0].law.kind = LawKind::Table(Vec::new());
        assert_eq!(verdict(&easy, &brief).0, Verdict::NotKnown);
    }

    fn squeeze(interior: &Interior, brief: &Brief) -> f64 {
        interior.blocks.iter().map(|block| block.free_height).sum::<f64>() - brief.shell.crown_height().si()
    }

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

    #[test]
    fn a_tray_sags_as_a_beam_does() {
        let brief = testing::brief();
        let mut interior = testing::shelf(&[]);
        let block = &mut interior.blocks[0];
        block.kind = BlockKind::Tray(1);
        block.low = 0.2;
        block.layers[0].low = 0.2;
        let block = interior.blocks[0].clone();
        let mut findings = Vec::new();
        let verdict = tray(&interior, &brief, &block, &mut findings);
        // 300 x 200 x 40 mm of foam under its own weight: 5 q L^4 / (384 E I).
        let foam = &brief.foams[0];
        let weight = foam.density.si() * 0.3 * 0.2 * 0.04 * 9.806_65;
        let modulus = foam.law.stress(RISE) / RISE;
        let inertia = 0.2 * 0.04_f64.powi(3) / 12.0;
        let expected = 5.0 * (weight / 0.3) * 0.3_f64.powi(4) / (384.0 * modulus * inertia);
        let found = verdict.margin.unwrap().found / 1e3;
        assert!((found / expected - 1.0).abs() < 0.01, "{found} {expected}");
        assert!(findings.is_empty());
        // A hundred times as heavy.
        let mut heavy = brief.clone();
        heavy.foams[0].density = heavy.foams[0].density * 2000.0;
        assert_eq!(
            tray(&interior, &heavy, &block, &mut findings).verdict,
            Verdict::Fails
        );
        assert_eq!(findings[0].code, "tray-sags");
        // Cut through, it has no stiffness.
        interior.notches.push(crate::Notch {
            cavity: caddis_basis::CavityId::new("cut"),
            prism: Prism {
                region: Region::rectangle(Vec2::new(-0.02, -0.2), Vec2::new(0.02, 0.2)),
                low: 0.0,
                high: 0.3,
            },
        });
        assert_eq!(
            tray(&interior, &brief, &block, &mut Vec::new()).verdict,
            Verdict::Fails
        );
    }

    #[test]
    fn months_in_the_heat_are_pointed_out() {
        let mut brief = testing::brief();
        let mut leg = caddis_journey::Leg::new(caddis_journey::LegKind::Store, "shed");
        leg.highest_temperature = Some(Temperature::celsius(45.0));
        brief.journey.legs = vec![leg];
        brief.handling.stored_long = true;
        assert_eq!(creep_when_hot(&brief).unwrap().code, "creep-in-heat-not-known");
        brief.journey.legs[0].highest_temperature = Some(Temperature::celsius(25.0));
        assert!(creep_when_hot(&brief).is_none());
        brief.journey.legs[0].highest_temperature = Some(Temperature::celsius(45.0));
        brief.handling.stored_long = false;
        assert!(creep_when_hot(&brief).is_none());
    }
}
