//! Paths of the cutter's centre for one part on its sheet: pockets cleared, holes and outline profiled.

use super::machine::Machine;
use crate::{LayerPart, Process};
use caddis_geometry::{Contour, Placement2, Region, Shape, Side, Vec2};

/// Clearing passes follow outlines simplified to this, metres: the finishing pass follows the exact one.
const CLEARING_TOLERANCE: f64 = 5e-4;
/// Openings narrower than this are the noise of flattened arcs, metres.
const SLIVER: f64 = 1e-4;
/// The last of a run of clearing passes that grow smaller; a pocket a metre wide has fewer at the least step-over.
const MOST_RINGS: usize = 4_000;

/// Closed paths cut one after the other at every level.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cut {
    /// Paths of the cutter's centre in the order they are cut, sheet frame.
    pub(crate) rings: Vec<Contour>,
    /// Depths below the top of the sheet, rising, metres.
    pub(crate) levels: Vec<f64>,
    /// Where the centre may go from one ring to the next without leaving the pocket; empty for profiles.
    pub(crate) room: Region,
}

/// What is cut of one part.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct PartCuts {
    /// Pockets, shallow before deep.
    pub(crate) pockets: Vec<Cut>,
    /// Holes.
    pub(crate) through: Vec<Cut>,
    /// The part's own outline.
    pub(crate) outline: Vec<Cut>,
    /// Pockets and holes no ring fits into, by number.
    pub(crate) too_narrow: usize,
}

/// Cuts of `part` lying at `place`.
pub(crate) fn part_cuts(
    part: &LayerPart,
    place: &Placement2,
    process: &Process,
    machine: &Machine,
) -> PartCuts {
    let radius = process.kerf.si() / 2.0;
    let pass = process.pass_depth.si();
    let floor = (part.stock.si() - machine.skin.si()).max(0.0);
    let placed = |region: &Region| region.placed(place);
    let through: Vec<Region> = part.through.iter().map(placed).collect();
    let mut cuts = PartCuts::default();
    // Voids by depth: whatever is open at a pocket's floor, pockets and the holes beside them alike.
    let mut above = 0.0;
    let mut open_to: Vec<(f64, Region)> = Vec::new();
    for (i, pocket) in part.pockets.iter().enumerate() {
        let depth = pocket.depth.si();
        let reaching: Vec<Region> = part.pockets[i..].iter().map(|p| placed(&p.region)).collect();
        let reaching = Region::union_all(&reaching);
        let open = Region::union_all(through.iter().chain([&reaching]));
        let cleared = Region {
            shapes: open
                .shapes
                .into_iter()
                .filter(|shape| {
                    let shape = Region::from(shape.clone());
                    shape.intersection(&reaching).area() > 0.5 * SLIVER * radius
                })
                .collect(),
        };
        let levels = levels(above, depth, pass);
        for shape in &cleared.shapes {
            match clearing(
                &Region::from(shape.clone()),
                radius,
                machine.stepover * 2.0 * radius,
            ) {
                Some((rings, room)) => cuts.pockets.push(Cut {
                    rings,
                    levels: levels.clone(),
                    room,
                }),
                None => cuts.too_narrow += 1,
            }
        }
        open_to.push((depth, cleared));
        above = depth;
    }
    for hole in &through {
        let from = open_to
            .iter()
            .filter(|(_, open)| hole.difference(open).area() < SLIVER * radius)
            .map(|(depth, _)| *depth)
            .fold(0.0, f64::max);
        let rings = profile(hole, -radius);
        if rings.is_empty() {
            cuts.too_narrow += 1;
            continue;
        }
        cuts.through.extend(rings.into_iter().map(|ring| Cut {
            rings: vec![ring],
            levels: levels(from, floor, pass),
            room: Region::empty(),
        }));
    }
    let rings = profile(&placed(&part.outline), radius);
    cuts.outline.extend(rings.into_iter().map(|ring| Cut {
        rings: vec![ring],
        levels: levels(0.0, floor, pass),
        room: Region::empty(),
    }));
    cuts
}

/// Depths of even passes from `from` to `to`, none deeper than `pass`.
fn levels(from: f64, to: f64, pass: f64) -> Vec<f64> {
    let passes = ((to - from) / pass - 1e-9).ceil().max(1.0);
    (1..=passes as usize)
        .map(|i| from + (to - from) * i as f64 / passes)
        .collect()
}

/// The boundary moved by `by`, with the wall on the right of the path: the cutter, turning clockwise, climbs.
pub(super) fn profile(region: &Region, by: f64) -> Vec<Contour> {
    let side = if by > 0.0 { Side::Outer } else { Side::Inner };
    let moved = region.offset(by, side);
    moved
        .contours()
        .map(|contour| {
            if by > 0.0 {
                contour.reversed()
            } else {
                contour.clone()
            }
        })
        .collect()
}

/// Rings that clear `void`, inner ones first, and the room of the centre. `None` when the cutter does not fit.
///
/// # Source
/// Contour-parallel clearing (common practice). No foam stays between rings a step apart while the cutter's radius reaches the
/// next ring's corner: step <= 2 r sin(half the sharpest corner), elementary geometry.
fn clearing(void: &Region, radius: f64, step: f64) -> Option<(Vec<Contour>, Region)> {
    let room = void.offset(-radius, Side::Inner);
    if room.is_empty() {
        return None;
    }
    let mut rings = Vec::new();
    for shape in &room.shapes {
        let sharpest = sharpest_half_angle(shape);
        let reach = 1.9 * radius * sharpest.sin() - CLEARING_TOLERANCE;
        let step = step.min(reach).max(step / 4.0);
        let before = rings.len();
        rings_of(shape, step, before, &mut rings);
    }
    Some((rings, room))
}

/// Depth first: what lies inside a ring before the ring.
fn rings_of(shape: &Shape, step: f64, before: usize, rings: &mut Vec<Contour>) {
    if rings.len() - before < MOST_RINGS {
        let inner = Region::from(shape.clone())
            .simplified(CLEARING_TOLERANCE, Side::Inner)
            .offset(-step, Side::Inner);
        for child in &inner.shapes {
            rings_of(child, step, before, rings);
        }
    }
    rings.push(shape.outer.clone());
    rings.extend(shape.holes.iter().cloned());
}

/// Half the sharpest angle at a convex corner of the outer boundary, radians; a right angle's half where none is sharper.
fn sharpest_half_angle(shape: &Shape) -> f64 {
    let vertices = &shape.outer.vertices;
    let n = vertices.len();
    let mut sharpest = std::f64::consts::FRAC_PI_4;
    for i in 0..n {
        let (before, here, after) = (vertices[(i + n - 1) % n], vertices[i], vertices[(i + 1) % n]);
        // Tangents at a corner turn from the chords by half the arcs' angles: 2 atan(bulge).
        let arriving = turned(here.at - before.at, 2.0 * before.bulge.atan());
        let leaving = turned(after.at - here.at, -2.0 * here.bulge.atan());
        let turn = arriving.cross(leaving).atan2(arriving.dot(leaving));
        if turn > 0.0 {
            sharpest = f64::min(sharpest, (std::f64::consts::PI - turn) / 2.0);
        }
    }
    sharpest
}

fn turned(chord: Vec2, angle: f64) -> Vec2 {
    chord.rotated(angle)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_are_even_and_reach_the_floor() {
        assert_eq!(levels(0.0, 0.05, 0.025), [0.025, 0.05]);
        assert_eq!(levels(0.0, 0.03, 0.025).len(), 2);
        let deep = levels(0.02, 0.05, 0.01);
        assert_eq!(deep.len(), 3);
        assert!((deep[2] - 0.05).abs() < 1e-15);
    }

    #[test]
    fn a_square_is_cleared_by_squares_inside_squares() {
        let square = Region::rectangle(Vec2::ZERO, Vec2::new(0.04, 0.04));
        let (rings, room) = clearing(&square, 0.004, 0.004).expect("fits");
        // Half widths 16, 12, 8, 4 mm; at nought nothing is left.
        assert_eq!(rings.len(), 4);
        assert!((room.area() - 0.032 * 0.032).abs() < 1e-9);
        let areas: Vec<f64> = rings.iter().map(Contour::signed_area).collect();
        assert!(areas.windows(2).all(|pair| pair[0] < pair[1]), "{areas:?}");
    }

    #[test]
    fn a_slot_narrower_than_the_cutter_is_not_cut() {
        let slot = Region::rectangle(Vec2::ZERO, Vec2::new(0.04, 0.007));
        assert!(clearing(&slot, 0.004, 0.004).is_none());
    }

    #[test]
    fn sharp_corners_are_seen() {
        let wedge = Shape {
            outer: Contour::polygon([Vec2::ZERO, Vec2::new(1.0, 0.0), Vec2::new(1.0, 0.2)]),
            holes: Vec::new(),
        };
        let half = sharpest_half_angle(&wedge);
        assert!((half - 0.2_f64.atan() / 2.0).abs() < 1e-12);
    }
}
