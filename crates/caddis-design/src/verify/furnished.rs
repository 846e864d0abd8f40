//! What a job asks of its foam beside cavities: openings that found no room, floors that show no colour of their own, what keeps
//! the lid pad in.

use super::handled::{RISE, modelled};
use crate::{Block, BlockKind, Brief, CaseVerdict, HeldBy, Interior, OpeningKind, Place, TrayLift};
use caddis_basis::{
    Certainty, Domain, Finding, Force, InstanceId, Margin, Mass, Said, Severity, Source, Verdict, Volume,
    said,
};

/// Friction of foam on a moulded wall where nobody measured it.
///
/// # Source
/// From memory: polyethylene on polypropylene slides at 0.2 to 0.4.
const FRICTION: f64 = 0.2;
/// The pad's weight is held so many times over: a lid is opened with a jerk.
///
/// # Source
/// Assumed, no source.
const JERK: f64 = 2.0;

pub(crate) fn verdicts(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> Vec<CaseVerdict> {
    lift_holes(interior, brief, findings);
    tray_board(interior, brief, findings);
    channels(interior, brief, findings);
    label(interior, brief, findings);
    floors(interior, brief, findings);
    lid_pockets(interior, brief, findings);
    let pad = interior
        .blocks
        .iter()
        .find(|block| block.kind == BlockKind::LidPad);
    pad.filter(|_| brief.furnishing.lid_held_by == HeldBy::Squeeze)
        .map(|pad| held(interior, brief, pad, findings))
        .into_iter()
        .collect()
}

fn caution(code: &'static str, place: impl Into<Said>, sentence: Said, remedy: Said) -> Finding {
    Finding::new(
        code,
        Domain::Shop,
        Severity::Caution,
        place,
        sentence,
        Source::common_practice(),
    )
    .remedy(remedy)
}

fn has(interior: &Interior, kind: OpeningKind, place: &str) -> bool {
    let mut openings = interior.openings.iter();
    openings.any(|opening| opening.kind == kind && opening.place == place)
}

fn lift_holes(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    if brief.furnishing.tray_lift != TrayLift::Holes {
        return;
    }
    for block in &interior.blocks {
        let BlockKind::Tray(number) = block.kind else {
            continue;
        };
        let place = said!("tray {number}", number);
        if !has(interior, OpeningKind::Lift, &place) {
            let (length, width) = brief.clearances.lift_hole;
            findings.push(caution(
                "no-lift-hole",
                &place,
                said!(
                    "at no two ends of tray {number} is there room for lift holes of {length:.0} by {width:.0} mm in \
                     one line",
                    number,
                    length = length.as_mm(),
                    width = width.as_mm()
                ),
                said!("pull straps (`tray_lift = \"straps\"`), or a smaller hole"),
            ));
        }
    }
}

/// A board that is asked for where there is no tray.
fn tray_board(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    if brief.furnishing.tray_board.is_some() && interior.tray_board().is_none() {
        findings.push(caution(
            "no-tray-board",
            said!("tray"),
            said!(
                "a board in the tray is asked for (`tray_board`), and everything lies in one block: there is no \
                 tray, so there is no board"
            ),
            said!("leave it out; a tray is added where one block does not hold everything"),
        ));
    }
}

fn channels(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    for wish in &brief.furnishing.channels {
        let tier = |piece: &InstanceId| {
            let mut places = interior.places.iter();
            places
                .find(|place| place.instance == *piece)
                .map(|place| (place.tier, place.in_lid))
        };
        // A piece in another case of a split list has no channel here.
        let (Some(one), Some(other)) = (tier(&wish.between.0), tier(&wish.between.1)) else {
            continue;
        };
        let place = said!("{one} to {other}", one = wish.between.0, other = wish.between.1);
        if has(interior, OpeningKind::Channel, &place) {
            continue;
        }
        let why = if one == other && one.1 {
            said!(
                "{one} and {other} lie in the lid: no channel joins pockets there",
                one = wish.between.0,
                other = wish.between.1
            )
        } else if one == other {
            said!(
                "no straight or once-bent channel {width:.0} mm wide runs from {one} to {other} clear of everything \
                 else",
                width = wish.width.as_mm(),
                one = wish.between.0,
                other = wish.between.1
            )
        } else {
            said!(
                "{one} and {other} lie in two tiers: no channel joins them",
                one = wish.between.0,
                other = wish.between.1
            )
        };
        findings.push(caution(
            "no-cable-channel",
            &place,
            why,
            said!("wish the two together, or a narrower channel"),
        ));
    }
}

fn in_lid(interior: &Interior) -> impl Iterator<Item = &Place> {
    interior.places.iter().filter(|place| place.in_lid)
}

/// What the open lid carries, and that its cover must be fastened.
fn lid_pockets(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    let names: Vec<Said> = in_lid(interior)
        .map(|place| Said::name(&brief.items[place.item].name))
        .collect();
    if names.is_empty() {
        return;
    }
    let mass: Mass = in_lid(interior)
        .map(|place| brief.items[place.item].mass.most())
        .sum();
    findings.push(caution(
        "lid-carries",
        said!("lid"),
        said!(
            "the lid carries {items} ({mass:.2}) as it opens: only the fastened cover holds what lies in its \
             pockets, and the open case leans \
             towards its hinge",
            items = Said::row(names, ", "),
            mass
        ),
        said!(
            "fasten the cover before the lid is opened again, open the case on level ground with a hand on the lid, \
             and stay clear below it"
        ),
    ));
}

fn label(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    let Some(wish) = brief.furnishing.label else {
        return;
    };
    if has(interior, OpeningKind::Label, "label") {
        return;
    }
    let why = if brief.clearances.through_cuts {
        said!("the label's recess is a pocket, and this process cuts through or not at all")
    } else {
        said!(
            "the uppermost foam has no room for a label of {length:.0} by {width:.0} mm, {depth:.0} mm deep",
            length = wish.length.as_mm(),
            width = wish.width.as_mm(),
            depth = wish.depth.as_mm()
        )
    };
    findings.push(caution(
        "no-label-recess",
        said!("label"),
        why,
        said!("a smaller label, or one in the lid"),
    ));
}

/// Pieces whose cavity has its floor in the layer that everybody sees anyway.
fn floors(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    let Some(colours) = &brief.furnishing.colours else {
        return;
    };
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        let Some(floor) = cavity.steps.first() else {
            continue;
        };
        let mut layers = interior
            .blocks
            .iter()
            .filter(|block| block.kind != BlockKind::LidPad)
            .filter_map(|block| block.layers.last());
        let Some(layer) = layers.find(|layer| floor.low > layer.low + 1e-6 && floor.low < layer.high) else {
            continue;
        };
        findings.push(caution(
            "floor-not-in-colour",
            &place.instance,
            said!(
                "the cavity of {piece} has its floor in layer {layer}: where it is missing {top} shows, not {floors}",
                piece = place.instance,
                layer = layer.id,
                top = colours.top.name,
                floors = colours.floors.name
            ),
            said!("a thinner uppermost layer, by `layer_thicknesses`"),
        ));
    }
}

/// The pad as it hangs in a lid that is just lifted, by what its squeezed edges press on the walls.
///
/// # Accuracy
/// An order of magnitude: the edge is taken as pressed evenly between two walls, by the mean of its tight and its loose end.
///
/// # Source
/// F = mu sigma(e) A with e the squeeze over half the pad, sigma by the law's secant at a strain of 0.05, A the edge's area (derived).
fn held(interior: &Interior, brief: &Brief, pad: &Block, findings: &mut Vec<Finding>) -> CaseVerdict {
    let (friction, source) = match &brief.handling.foam_friction {
        Some((friction, source)) => (*friction, source.clone()),
        None => (
            FRICTION,
            Source::own(
                said!("friction of foam on a moulded wall of 0.2, from memory"),
                Certainty::Memory,
            ),
        ),
    };
    let foam = &brief.foams[pad.foam];
    let name = said!("Lid pad held in the lid");
    let modulus = foam.law.stress(RISE) / RISE;
    if !(modulus.is_finite() && modulus > 0.0) {
        return CaseVerdict {
            code: "lid-pad-held",
            name,
            verdict: Verdict::NotKnown,
            margin: None,
            sentence: said!(
                "the foam's law has no one stress at a strain, so how its edges hold the pad is not known"
            ),
            source,
        };
    }
    let grip: f64 = pad
        .layers
        .iter()
        .filter_map(|layer| {
            let size = layer.outline.bounds()?.size();
            let squeeze = f64::midpoint(layer.squeeze.0, layer.squeeze.1).max(0.0);
            let strain = squeeze / (size.x.min(size.y) / 2.0);
            let edge = 2.0 * (size.x + size.y) * (layer.high - layer.low);
            Some(friction * modulus * strain * edge)
        })
        .sum();
    let carried: Mass = in_lid(interior)
        .map(|place| brief.items[place.item].mass.most())
        .sum();
    let weight = (foam.density * Volume::from_si(interior.foam_volume(pad)) + carried)
        .weight()
        .si();
    let margin = Margin::at_least(grip, JERK * weight, "N");
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "lid-pad-loose",
                Domain::Shop,
                Severity::Caution,
                said!("lid pad"),
                said!(
                    "the squeeze at the walls holds the lid pad with about {grip:.1}, twice its weight is \
                     {asked:.1}: it may fall out as the lid opens",
                    grip = Force::from_si(grip),
                    asked = Force::from_si(JERK * weight)
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy(said!(
                "adhesive or a board behind it (`lid_held_by`), or more wall squeeze"
            )),
        );
    }
    CaseVerdict {
        code: "lid-pad-held",
        name,
        verdict: modelled(&margin),
        sentence: said!(
            "its edges hold the pad with about {grip:.0}, it weighs {weight:.1}",
            grip = Force::from_si(grip),
            weight = Force::from_si(weight)
        ),
        margin: Some(margin),
        source,
    }
}
