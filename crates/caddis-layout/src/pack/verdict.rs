//! The last word on a packing: outlines as they were given, by geometry's own overlay, nothing of the search's.

use super::strip::{StripPacking, StripPart};
use caddis_geometry::{Bounds2, Placement2, Region as Plan};

/// What is wrong with a packing. Copies are counted in the packing's order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StripViolation {
    /// A copy leaves the strip by so much.
    Outside {
        /// Which copy.
        copy: usize,
        /// Farthest point outside.
        by: f64,
    },
    /// Two copies share an area.
    Overlap {
        /// One.
        first: usize,
        /// The other.
        second: usize,
        /// Shared area.
        area: f64,
    },
    /// A part is not there as often as asked.
    Count {
        /// Which part.
        part: usize,
        /// Copies in the packing.
        found: u32,
    },
    /// A copy is turned as its part must not be.
    Turned {
        /// Which copy.
        copy: usize,
    },
}

/// Turns closer than this are one, radians.
const SAME_TURN: f64 = 1e-6;

/// Checks a packing: every copy there, at an allowed turn, inside the strip, no two overlapping.
///
/// # Accuracy
/// Outlines that touch are no violation: `tolerance`, a share of the strip's width, is the depth that counts as touching;
/// an overlap is refused when its area is more than that depth along the shorter of the two boundaries.
pub fn strip_referee(
    width: f64,
    parts: &[StripPart],
    packing: &StripPacking,
    tolerance: f64,
) -> Vec<StripViolation> {
    let mut violations = Vec::new();
    for (part, asked) in parts.iter().enumerate() {
        let found = packing
            .placements
            .iter()
            .filter(|placed| placed.0 == part)
            .count() as u32;
        if found != asked.quantity {
            violations.push(StripViolation::Count { part, found });
        }
    }
    let placed: Vec<(Plan, Option<Bounds2>, f64)> = packing
        .placements
        .iter()
        .map(|(part, placement)| {
            // Strip width one: the overlay's own tolerances are those of metres.
            let plan = scaled(&parts[*part].outline, 1.0 / width).placed(&Placement2 {
                angle: placement.angle,
                shift: placement.shift / width,
            });
            let bounds = plan.bounds();
            let length = plan.boundary_length();
            (plan, bounds, length)
        })
        .collect();
    for (copy, (part, placement)) in packing.placements.iter().enumerate() {
        let allowed = &parts[*part].rotations;
        let off = |angle: f64| {
            let off = (placement.angle - angle).rem_euclid(std::f64::consts::TAU);
            off.min(std::f64::consts::TAU - off)
        };
        let as_drawn = allowed.is_empty() && off(0.0) < SAME_TURN;
        if !as_drawn && allowed.iter().all(|&angle| off(angle) >= SAME_TURN) {
            violations.push(StripViolation::Turned { copy });
        }
        let Some(bounds) = placed[copy].1 else { continue };
        let by = (-bounds.min.x)
            .max(-bounds.min.y)
            .max(bounds.max.x - packing.length / width)
            .max(bounds.max.y - 1.0);
        if by > tolerance {
            violations.push(StripViolation::Outside { copy, by: by * width });
        }
    }
    for (second, (plan, bounds, length)) in placed.iter().enumerate() {
        for (first, (other, theirs, their_length)) in placed[..second].iter().enumerate() {
            let (Some(a), Some(b)) = (bounds, theirs) else {
                continue;
            };
            if !a.meets(b) {
                continue;
            }
            let area = plan.intersection(other).area();
            if area > tolerance * length.min(*their_length) {
                violations.push(StripViolation::Overlap {
                    first,
                    second,
                    area: area * width * width,
                });
            }
        }
    }
    violations
}

/// The plan made larger or smaller about the origin.
fn scaled(plan: &Plan, by: f64) -> Plan {
    let mut plan = plan.clone();
    for shape in &mut plan.shapes {
        for contour in std::iter::once(&mut shape.outer).chain(&mut shape.holes) {
            for vertex in &mut contour.vertices {
                vertex.at = vertex.at * by;
            }
        }
    }
    plan
}
