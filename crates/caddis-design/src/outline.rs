//! What a layer's outline follows: the wall at a section of its height, what stands in, and what a cutter reaches.

use crate::cavity::reachable;
use crate::{Brief, CutTo, LayerPlan};
use caddis_basis::{LayerId, Length};
use caddis_geometry::{Region, Side};
use caddis_survey::{HalfSide, Shell};

/// Gap between a layer and an intrusion it goes round, metres.
const INTRUSION_GAP: f64 = 5e-4;
/// Islands of a layer smaller than this are not worth cutting, square metres.
const LEAST_ISLAND: f64 = 1e-3;
/// Foam that a cutter leaves in a gap it cannot pass is told from rounding by this area, square metres, and this half-width, metres.
const LEAST_BRIDGE: f64 = 5e-7;
const NO_WIDTH: f64 = 3e-5;
/// A gap is opened by a circle so much larger than the cutter.
const PASSAGE: f64 = 1.05;
/// Tongues of a layer narrower than this tear off, metres.
const LEAST_TONGUE: f64 = 6e-3;

/// Least and most of the target squeeze, metres.
pub(crate) fn squeeze_range(brief: &Brief, side: HalfSide) -> (f64, f64) {
    let foam = match side {
        HalfSide::Base => &brief.foams[brief.base_foam],
        HalfSide::Lid => &brief.foams[brief.lid_foam],
    };
    let (a, b) = (foam.wall_squeeze.0.si(), foam.wall_squeeze.1.si());
    (a.min(b), a.max(b))
}

/// The steepest of the four walls, metres per metre of height. Corners, whose radius may change with height, follow
/// their walls to within that change.
pub(crate) fn steepest(shell: &Shell, side: HalfSide) -> f64 {
    shell
        .half_spaces(side)
        .iter()
        .filter(|space| space.normal.x.abs().max(space.normal.y.abs()) > 0.999)
        .map(|space| space.slope.abs())
        .fold(0.0, f64::max)
}

/// One layer: which section it is cut to, and its net outline.
///
/// The squeeze is that against the drafted wall. Where a layer's edge reaches into the fillet, the fillet presses the
/// edge in or the edge is broken by hand; the outline follows the fillet at the height it is cut to. A bevelled edge has one squeeze
/// over its height: its outline is the section at the middle, and what is verified is a square edge of the same area.
pub(crate) fn layer(
    brief: &Brief,
    side: HalfSide,
    id: LayerId,
    (low, high): (f64, f64),
    stock: Length,
) -> LayerPlan {
    let shell = &brief.shell;
    let (least, most) = squeeze_range(brief, side);
    let half_taper = if brief.furnishing.bevelled_edges {
        0.0
    } else {
        steepest(shell, side) * (high - low) / 2.0
    };
    let target = f64::midpoint(least, most);
    let fits = target - half_taper >= least - 1e-9 && target + half_taper <= most + 1e-9;
    let tight_end = match side {
        HalfSide::Base => CutTo::Bottom,
        HalfSide::Lid => CutTo::Top,
    };
    let (cut_to, oversize, squeeze) = if fits {
        (CutTo::Middle, target, (target + half_taper, target - half_taper))
    } else {
        (tight_end, most, (most, most - 2.0 * half_taper))
    };
    let rim = shell.rim_height().si();
    let at = match cut_to {
        CutTo::Bottom => low,
        CutTo::Middle => f64::midpoint(low, high),
        CutTo::Top => high,
    };
    // A lid pad that hangs a little below the rim still follows the lid's walls.
    let at = if side == HalfSide::Lid {
        at.max(rim + 1e-6)
    } else {
        at
    };
    let mut walls = shell.wall_section(at);
    if walls.is_empty() {
        // The very floor or crown, lost to rounding.
        walls = shell.wall_section(f64::midpoint(low, high));
    }
    let walls = walls.offset(oversize, Side::Inner);
    let walls = if shell.half(side).traced.is_empty() {
        walls
    } else {
        // A traced wall may have corners that stand into the foam sharper than the cutter is round.
        let around = walls
            .bounds()
            .map_or_else(Region::empty, |b| Region::rectangle(b.min, b.max))
            .offset(0.1, Side::Outer);
        let gone = reachable(&around.difference(&walls), brief.clearances.cutter_radius.si());
        without_tongues(&walls.difference(&gone))
    };
    let standing: Vec<Region> = shell
        .obstacles(side)
        .into_iter()
        .filter(|obstacle| !obstacle.is_wall)
        .filter(|obstacle| obstacle.high.min(high) - obstacle.low.max(low) > 1e-6)
        .map(|obstacle| obstacle.outline.offset(INTRUSION_GAP, Side::Outer))
        .collect();
    let outline = if standing.is_empty() {
        walls
    } else {
        let cutter = brief.clearances.cutter_radius.si();
        let gone = reachable(&Region::union_all(&standing), cutter);
        entered(without_tongues(&walls.difference(&gone)), cutter)
    };
    LayerPlan {
        id,
        low,
        high,
        stock,
        cut_to,
        outline,
        squeeze,
    }
}

/// The outline with every gap in its edge wide enough for the cutter: where it could lie on both sides of a gap and not pass through, the
/// foam beside the gap goes.
fn entered(outline: Region, cutter: f64) -> Region {
    let mut outline = outline;
    if cutter <= 0.0 {
        return outline;
    }
    // Each round opens every gap there is; what a round leaves narrow, one more opens.
    for _ in 0..3 {
        let closed = outline.offset(cutter, Side::Outer).offset(-cutter, Side::Inner);
        let bridges: Vec<Region> = closed
            .difference(&outline)
            .shapes
            .into_iter()
            .map(Region::from)
            .filter(|bridge| {
                bridge.area() > LEAST_BRIDGE && !bridge.offset(-NO_WIDTH, Side::Inner).is_empty()
            })
            .collect();
        if bridges.is_empty() {
            break;
        }
        let passages: Vec<Region> = bridges
            .iter()
            .filter_map(Region::bounds)
            .map(|bounds| Region::circle(bounds.centre(), cutter * PASSAGE))
            .collect();
        outline = without_tongues(&outline.difference(&Region::union_all(&passages)));
    }
    outline
}

/// The region without tongues that tear and islands that are not worth cutting.
fn without_tongues(region: &Region) -> Region {
    let half = LEAST_TONGUE / 2.0;
    let core = region.offset(-half, Side::Inner).offset(half, Side::Outer);
    let torn = region.difference(&core);
    // Corners lose a sliver in the opening and keep it; tongues are longer than they are wide.
    let tongues: Vec<Region> = torn
        .shapes
        .into_iter()
        .filter(|shape| shape.outer.signed_area() > half * half)
        .map(|shape| Region { shapes: vec![shape] })
        .collect();
    let mut kept = if tongues.is_empty() {
        region.clone()
    } else {
        region.difference(&Region::union_all(&tongues))
    };
    kept.shapes.retain(|shape| {
        let holes: f64 = shape.holes.iter().map(|hole| hole.signed_area().abs()).sum();
        shape.outer.signed_area() - holes > LEAST_ISLAND
    });
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use caddis_geometry::Vec2;

    #[test]
    fn a_cutter_passes_every_gap_in_an_edge() {
        let cutter = 0.004;
        // A round boss near the edge: the foam between is a tongue and goes, and the mouth it leaves is narrower than the cutter.
        let plate = Region::rectangle(Vec2::new(-0.1, -0.06), Vec2::new(0.1, 0.06));
        let boss = Region::circle(Vec2::new(0.0, 0.0509), 0.0055);
        let outline = without_tongues(&plate.difference(&boss));
        let left = |outline: &Region| {
            let closed = outline.offset(cutter, Side::Outer).offset(-cutter, Side::Inner);
            closed.difference(outline).offset(-NO_WIDTH, Side::Inner).area()
        };
        assert!(left(&outline) > 1e-7, "{}", left(&outline));
        let opened = entered(outline.clone(), cutter);
        assert!(left(&opened) < 1e-8, "{}", left(&opened));
        assert!(opened.area() < outline.area() && opened.area() > outline.area() - 1e-4);
        // Where it passes already nothing changes.
        let wide = plate.difference(&Region::circle(Vec2::new(0.0, 0.06), 0.008));
        assert_eq!(entered(wide.clone(), cutter), wide);
    }
}
