//! The foam as a thing to make and to grip: wall squeeze, webs, islands, notches, what is over the rim.

use super::verdict_of;
use crate::{BlockKind, Brief, CaseVerdict, Interior};
use caddis_basis::{Area, Domain, Finding, Length, Margin, Said, Severity, Source, Verdict, said};
use caddis_survey::Fragility;

pub(super) fn verdicts(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> Vec<CaseVerdict> {
    islands(interior, brief, findings);
    notches(interior, brief, findings);
    vec![
        wall_squeeze(interior, brief, findings),
        webs(interior, brief, findings),
        proud(interior, brief, findings),
    ]
}

fn wall_squeeze(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let mut loosest = f64::INFINITY;
    let mut tightest = f64::NEG_INFINITY;
    let mut all_kept = true;
    for block in &interior.blocks {
        let (least, most) = brief.foams[block.foam].wall_squeeze;
        for layer in &block.layers {
            let (tight, loose) = layer.squeeze;
            tightest = tightest.max(tight);
            loosest = loosest.min(loose);
            let is_tight = tight > most.si() + 1e-5;
            // A vertical cutter leaves a tapering gap at one end of a layer; what must hold is the tight end.
            let is_loose = tight < least.si() - 1e-5;
            all_kept &= !is_tight && !is_loose;
            if is_tight || is_loose {
                let (margin, remedy) = if is_tight {
                    (
                        Margin::at_most(tight * 1e3, most.as_mm(), "mm"),
                        said!("cut the layer to a smaller section, or split it"),
                    )
                } else {
                    (
                        Margin::at_least(tight * 1e3, least.as_mm(), "mm"),
                        said!("cut the layer to a larger section"),
                    )
                };
                findings.push(
                    Finding::new(
                        "wall-squeeze",
                        Domain::Shop,
                        Severity::Failing,
                        &layer.id,
                        said!(
                            "layer {layer} is squeezed {squeeze:.1} mm per side where it fits tightest, outside the \
                             {least:.1} to {most:.1} aimed at",
                            layer = layer.id,
                            squeeze = tight * 1e3,
                            least,
                            most
                        ),
                        Source::common_practice(),
                    )
                    .margin(margin)
                    .remedy(remedy),
                );
            }
        }
    }
    CaseVerdict {
        code: "wall-squeeze",
        name: said!("Foam squeeze at the walls"),
        verdict: verdict_of(all_kept),
        margin: None,
        sentence: {
            let tightest = tightest * 1e3;
            if loosest < 0.0 {
                said!(
                    "layers are squeezed up to {tightest:.1} mm per side where they fit tightest and stand {gap:.1} \
                     mm clear where the taper leaves them",
                    tightest,
                    gap = -loosest * 1e3
                )
            } else {
                said!(
                    "layers are squeezed up to {tightest:.1} mm per side where they fit tightest and {loosest:.1} mm \
                     where the taper leaves them",
                    tightest,
                    loosest = loosest * 1e3
                )
            }
        },
        source: Source::common_practice(),
    }
}

/// Least web between cavities that share a height.
fn webs(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let limit = brief.foams[brief.base_foam].least_web;
    let mut thinnest: Option<(f64, Said)> = None;
    for (i, one) in interior.cavities.iter().enumerate() {
        for other in &interior.cavities[i + 1..] {
            let web = one
                .steps
                .iter()
                .flat_map(|a| other.steps.iter().map(move |b| (a, b)))
                .filter(|(a, b)| a.low < b.high - 1e-9 && b.low < a.high - 1e-9)
                .map(|(a, b)| a.region.distance(&b.region))
                .fold(f64::INFINITY, f64::min);
            let place = said!("{one} / {other}", one = one.id, other = other.id);
            if web < limit.si() - 1e-5 {
                findings.push(
                    Finding::new(
                        "thin-web",
                        Domain::Shop,
                        Severity::Failing,
                        &place,
                        said!(
                            "only {web:.1} mm of foam stands between the cavities of {one} and {other}",
                            web = web * 1e3,
                            one = one.id,
                            other = other.id
                        ),
                        Source::common_practice(),
                    )
                    .margin(Margin::at_least(web * 1e3, limit.as_mm(), "mm"))
                    .remedy(said!("move one of them, or make them one cavity")),
                );
            }
            if thinnest.as_ref().is_none_or(|(least, _)| web < *least) {
                thinnest = Some((web, place));
            }
        }
    }
    let (web, place) = thinnest.unwrap_or((f64::INFINITY, Said::default()));
    if !web.is_finite() {
        return CaseVerdict {
            code: "webs",
            name: said!("Webs between cavities"),
            verdict: Verdict::Holds,
            margin: None,
            sentence: said!("no two cavities stand side by side"),
            source: Source::common_practice(),
        };
    }
    let margin = Margin::at_least(web * 1e3, limit.as_mm(), "mm");
    CaseVerdict {
        code: "webs",
        name: said!("Webs between cavities"),
        verdict: verdict_of(web >= limit.si() - 1e-5),
        sentence: said!(
            "the thinnest web is {web:.1} mm, between {place}",
            web = web * 1e3,
            place
        ),
        margin: Some(margin),
        source: Source::common_practice(),
    }
}

/// Foam that stands free inside a layer: judged as a pad against (1.33 t)².
fn islands(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    for block in &interior.blocks {
        for layer in &block.layers {
            for pair in interior.heights_within(layer.low, layer.high).windows(2) {
                let z = f64::midpoint(pair[0], pair[1]);
                let foam = interior.foam_at(block, layer, z);
                let mut areas: Vec<f64> = foam
                    .shapes
                    .iter()
                    .map(|shape| {
                        shape.outer.signed_area()
                            + shape
                                .holes
                                .iter()
                                .map(caddis_geometry::Contour::signed_area)
                                .sum::<f64>()
                    })
                    .collect();
                areas.sort_by(f64::total_cmp);
                areas.pop();
                let tall = Length::from_si(pair[1] - pair[0]);
                for area in areas.into_iter().filter(|area| *area > 1e-6) {
                    let check = brief.foams[block.foam].buckling(Area::from_si(area), tall);
                    let is_kept = check.is_at_least();
                    findings.push(
                        Finding::new(
                            "free-standing-foam",
                            Domain::Shop,
                            if is_kept {
                                Severity::Note
                            } else {
                                Severity::Caution
                            },
                            said!("{layer} at {height:.0} mm", layer = layer.id, height = z * 1e3),
                            said!(
                                "a piece of foam of {area:.1} stands free in layer {layer}, {tall:.0} tall",
                                area = Area::from_si(area),
                                layer = layer.id,
                                tall
                            ),
                            check.source,
                        )
                        .margin(Margin::at_least(check.found * 1e4, check.limit * 1e4, "cm²"))
                        .remedy(said!("join it to the block, or glue it to the layer below")),
                    );
                }
            }
        }
    }
}

fn notches(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        let item = &brief.items[place.item];
        if matches!(item.fragility, Fragility::None)
            || crate::notch::is_taken_by_its_top(item, place)
            || interior.notches.iter().any(|notch| notch.cavity == cavity.id)
        {
            continue;
        }
        findings.push(
            Finding::new(
                "no-finger-notch",
                Domain::Shop,
                Severity::Caution,
                &place.instance,
                if item.grips.is_empty() {
                    said!("there is no room for a finger notch beside {item}", item = item.name)
                } else {
                    let faces = item.grips.iter().map(|face| Said::name(face.as_str()));
                    said!(
                        "there is no room for a finger notch beside the faces by which {item} may be taken ({faces})",
                        item = item.name,
                        faces = Said::row(faces, ", ")
                    )
                },
                Source::common_practice(),
            )
            .remedy(said!("add a lifting strap, or a push-out hole from below")),
        );
    }
}

/// Nothing stands above the top of its tier, so the lid closes on foam and swings clear.
fn proud(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let rim = interior
        .blocks
        .iter()
        .filter(|block| block.kind != BlockKind::LidPad)
        .map(|block| block.high)
        .fold(0.0, f64::max);
    let mut highest = f64::NEG_INFINITY;
    for place in interior.places.iter().filter(|place| !place.in_lid) {
        let top = place.body.high().unwrap_or(0.0) + brief.items[place.item].size_tolerance.si();
        highest = highest.max(top);
        let limit = rim + brief.clearances.stack_squeeze.1.si();
        if top > limit + 1e-6 {
            findings.push(
                Finding::new(
                    "stands-proud",
                    Domain::Arrangement,
                    Severity::Failing,
                    &place.instance,
                    said!(
                        "{instance} stands {top:.1} mm above the foam",
                        instance = place.instance,
                        top = (top - rim) * 1e3
                    ),
                    Source::derived(said!("top of the item against the top of its block")),
                )
                .margin(Margin::at_most(top * 1e3, limit * 1e3, "mm"))
                .remedy(said!("a deeper cavity, or a recess in the lid pad")),
            );
        }
    }
    let highest = if highest.is_finite() { highest } else { rim };
    let is_kept = highest <= rim + brief.clearances.stack_squeeze.1.si() + 1e-6;
    CaseVerdict {
        code: "lid-closes",
        name: said!("Lid closes on foam"),
        verdict: verdict_of(is_kept),
        margin: Some(Margin::at_most(
            highest * 1e3,
            (rim + brief.clearances.stack_squeeze.1.si()) * 1e3,
            "mm",
        )),
        sentence: said!(
            "the highest item reaches {highest:.1} mm, the base foam {rim:.1} mm above the floor",
            highest = highest * 1e3,
            rim = rim * 1e3
        ),
        source: Source::derived(said!(
            "top of every item, with its tolerance, against the top of the base foam"
        )),
    }
}
