//! What the shop finds in a part: webs, loose pieces, limits of the process.

mod process;

use crate::split::{Split, without_slivers};
use crate::{Process, Shop};
use caddis_basis::{Certainty, Domain, Finding, Margin, Said, Severity, Source, Tolerance, said};
use caddis_design::{Brief, Interior};
use caddis_geometry::{Region, Side};
use caddis_protection::Foam;
use process::process_limits;

/// Foam that equipment presses aside by hand without noticing: two square millimetres in a corner.
const LEAST_IN_THE_WAY: f64 = 2e-6;
/// Residue in a corner below this area is the noise of flattened arcs, m² (a 90 degree corner sharp against a 1 mm cutter
/// leaves 0.2 mm²).
const LEAST_RESIDUE: f64 = 5e-8;

fn finding(code: &'static str, severity: Severity, split: &Split, sentence: Said, source: Source) -> Finding {
    Finding::new(
        code,
        Domain::Shop,
        severity,
        said!("layer {part}", part = split.part.id),
        sentence,
        source,
    )
}

/// All findings on one split layer whose glue is `above` and `part.glue`.
pub(crate) fn check(
    split: &Split,
    above: Option<&Region>,
    interior: &Interior,
    brief: &Brief,
    shop: &Shop,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    findings.extend(thin_web(split, interior, brief));
    findings.extend(loose_pieces(split, above));
    findings.extend(unreached(split));
    findings.extend(no_glue(split));
    if let Some(foam) = foam(split, interior, brief) {
        findings.extend(process_limits(split, foam, &shop.process));
    }
    findings.extend(cavity_corners(split, interior, &shop.process));
    findings.extend(outline_corners(split, &shop.process));
    findings
}

fn foam<'a>(split: &Split, interior: &Interior, brief: &'a Brief) -> Option<&'a Foam> {
    brief.foams.get(interior.blocks.get(split.block)?.foam)
}

/// Foam between a cavity and the layer's outline thinner than the foam's least web.
fn thin_web(split: &Split, interior: &Interior, brief: &Brief) -> Option<Finding> {
    let foam = foam(split, interior, brief)?;
    let widest = &split.levels.first()?.void;
    let room = widest.room_inside(&split.part.outline);
    (room < foam.least_web.si()).then(|| {
        let sentence = said!(
            "the foam between a cavity and the outline is {room:.1} mm thin; this foam tears below {least:.1} mm",
            room = room.max(0.0) * 1e3,
            least = foam.least_web.as_mm()
        );
        finding(
            "thin-web",
            Severity::Caution,
            split,
            sentence,
            foam.source.clone(),
        )
        .margin(Margin::at_least(room * 1e3, foam.least_web.as_mm(), "mm"))
        .remedy(said!("move the cavity inward, or hold the wall with the layers next to it"))
    })
}

/// Through cuts that leave the layer in more pieces than its outline has.
fn loose_pieces(split: &Split, above: Option<&Region>) -> Option<Finding> {
    let part = &split.part;
    let foam = without_slivers(&part.outline.difference(&Region::union_all(&part.through)));
    let (pieces, expected) = (foam.shapes.len(), part.outline.shapes.len());
    if pieces <= expected {
        return None;
    }
    let below = part.glue.as_ref().map(|glue| &glue.region);
    let is_held = |shape: &caddis_geometry::Shape| {
        let shape = Region::from(shape.clone());
        [above, below]
            .into_iter()
            .flatten()
            .any(|glue| !without_slivers(&glue.intersection(&shape)).is_empty())
    };
    let loose: Vec<f64> = foam
        .shapes
        .iter()
        .filter(|s| !is_held(s))
        .map(|s| Region::from(s.clone()).area() * 1e4)
        .collect();
    // Of pieces that nothing holds together the largest is the layer itself.
    let single = above.is_none() && below.is_none();
    let loose = loose.len().saturating_sub(usize::from(single));
    let source = Source::derived(said!("pieces of the outline less its through cuts"));
    Some(if loose == 0 {
        finding(
            "cut-into-pieces",
            Severity::Caution,
            split,
            said!(
                "the through cuts leave {pieces} pieces; adhesive to the next layer holds each of them",
                pieces
            ),
            source,
        )
        .remedy(said!(
            "lay the pieces into the neighbouring layer's cavities as a jig before gluing"
        ))
    } else {
        finding(
            "loose-piece",
            Severity::Failing,
            split,
            said!(
                "the through cuts leave {pieces} pieces and no adhesive holds {loose} of them",
                pieces,
                loose
            ),
            source,
        )
        .margin(Margin::at_most(loose as f64, 0.0, ""))
        .remedy(said!(
            "move the cavities apart, or let the floor of one of them stand"
        ))
    })
}

/// Voids that widen away from the cut face.
fn unreached(split: &Split) -> Option<Finding> {
    (split.unreached > 1e-9).then(|| {
        finding(
            "undercut",
            Severity::Failing,
            split,
            said!(
                "{volume:.2} cm³ of the cavities lie under foam as seen from the face that is cut",
                volume = split.unreached * 1e6
            ),
            Source::derived(said!("a vertical cutter reaches what is open above it")),
        )
        .margin(Margin::at_most(split.unreached * 1e6, 0.0, "cm³"))
        .remedy(said!("put a layer joint at the height where the cavity widens"))
    })
}

fn no_glue(split: &Split) -> Option<Finding> {
    let glue = split.part.glue.as_ref()?;
    without_slivers(&glue.region).is_empty().then(|| {
        finding(
            "no-adhesive-area",
            Severity::Failing,
            split,
            said!(
                "no face is left for adhesive to layer {below} once cavities are kept clear",
                below = glue.below
            ),
            Source::common_practice(),
        )
        .margin(Margin::at_least(glue.region.area() * 1e4, 0.0, "cm²"))
        .remedy(said!("weld the joint with hot air, or move the layer joint"))
    })
}

/// What a cutter of the least radius leaves in a cavity's corners, and whether the equipment needs that room.
fn cavity_corners(split: &Split, interior: &Interior, process: &Process) -> Option<Finding> {
    let radius = process.corner_radius().si();
    if radius <= 0.0 {
        return None;
    }
    let mut largest = 0.0_f64;
    let mut in_the_way = 0.0_f64;
    for (i, level) in split.levels.iter().enumerate() {
        if i > 0 && split.levels[i - 1].void == level.void {
            continue;
        }
        let reached = level
            .void
            .offset(-radius, Side::Inner)
            .offset(radius + slack(), Side::Outer);
        let left = level.void.difference(&reached);
        let left = Region {
            shapes: left
                .shapes
                .into_iter()
                .filter(|s| piece(s) > LEAST_RESIDUE)
                .collect(),
        };
        if left.is_empty() {
            continue;
        }
        largest = largest.max(left.area());
        let bodies = interior.places.iter().flat_map(|place| &place.body.slabs);
        for slab in bodies.filter(|slab| slab.low < level.high && slab.high > level.low) {
            in_the_way = in_the_way.max(left.intersection(&slab.region).area());
        }
    }
    let source = process.source.clone();
    if in_the_way > LEAST_IN_THE_WAY {
        Some(
            finding(
                "corner-changes-fit",
                Severity::Failing,
                split,
                said!(
                    "a cutter of radius {radius:.1} mm leaves {area:.1} mm² of foam where equipment lies",
                    radius = radius * 1e3,
                    area = in_the_way * 1e6
                ),
                source,
            )
            .margin(Margin::at_most(in_the_way * 1e6, 0.0, "mm²"))
            .remedy(said!("relieve the corners or take a smaller cutter")),
        )
    } else if largest > 0.0 {
        Some(
            finding(
                "corner-tighter-than-cutter",
                Severity::Caution,
                split,
                said!(
                    "a cutter of radius {radius:.1} mm leaves {area:.1} mm² of foam in cavity corners, clear of the equipment",
                    radius = radius * 1e3,
                    area = largest * 1e6
                ),
                source,
            )
            .remedy(said!("cut the corners by hand where the fit asks for it")),
        )
    } else {
        None
    }
}

/// Inside corners of the outline that the cutter rounds.
fn outline_corners(split: &Split, process: &Process) -> Option<Finding> {
    let radius = process.corner_radius().si();
    if radius <= 0.0 {
        return None;
    }
    let outline = &split.part.outline;
    let closed = outline.offset(radius, Side::Inner).offset(-radius, Side::Inner);
    let left = closed.difference(&outline.offset(slack(), Side::Outer));
    let area: f64 = left
        .shapes
        .iter()
        .map(piece)
        .filter(|area| *area > LEAST_RESIDUE)
        .sum();
    (area > 0.0).then(|| {
        finding(
            "outline-corner-rounded",
            Severity::Caution,
            split,
            said!(
                "a cutter of radius {radius:.1} mm leaves {area:.1} mm² of foam in inside corners of the outline",
                radius = radius * 1e3,
                area = area * 1e6
            ),
            process.source.clone(),
        )
        .remedy(said!("trim the corners by hand; the foam gives way against the shell"))
    })
}

/// Two chord errors: how far two flattened arcs may disagree.
fn slack() -> f64 {
    2.0 * Tolerance::DEFAULT.chord().si()
}

fn piece(shape: &caddis_geometry::Shape) -> f64 {
    Region::from(shape.clone()).area()
}

/// Findings on the shop's own numbers.
pub(crate) fn check_shop(shop: &Shop) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut wrong = |code, place: Said, sentence: Said| {
        findings.push(Finding::new(
            code,
            Domain::Shop,
            Severity::Failing,
            place,
            sentence,
            Source::new("the shop file", Certainty::CommonPractice),
        ));
    };
    let positive = |value: f64| value.is_finite() && value > 0.0;
    if !positive(shop.process.feed.si())
        || !positive(shop.process.pass_depth.si())
        || !positive(shop.process.kerf.si())
    {
        wrong(
            "process-incomplete",
            said!("process"),
            said!("feed, pass depth or kerf is not above zero; machine time cannot be reckoned"),
        );
    }
    if !(0.0..1.0).contains(&shop.rates.margin) {
        wrong(
            "margin-out-of-range",
            said!("rates"),
            said!("the margin is not between 0 and 1; the price is the bare cost"),
        );
    }
    if shop
        .stock
        .iter()
        .any(|sheet| sheet.price.currency() != shop.currency)
    {
        wrong(
            "mixed-currency",
            said!("stock"),
            said!("a sheet is priced in another currency than the shop's; its number is taken as it stands"),
        );
    }
    findings
}
