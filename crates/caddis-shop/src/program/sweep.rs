//! What a cutter takes away along a path, as regions.

use super::path::{ToolPath, Way, sweep};
use caddis_geometry::{Contour, Region, Side, Vec2, Vertex};

/// What the cutter of `radius` takes away at `depth` below the sheet's top and not at `deeper`, metres.
///
/// # Accuracy
/// Straight moves exactly; where swept arcs cross, within the default chord error on the small side.
pub(crate) fn swept(path: &ToolPath, radius: f64, depth: f64, deeper: f64) -> Region {
    let mut pieces = Vec::new();
    for (from, step) in path.legs() {
        let between = |z: f64| z <= -depth && z > -deeper;
        let lowest = from.z.min(step.to.z);
        let highest = from.z.max(step.to.z);
        let (a, b) = (from.plan(), step.to.plan());
        match step.way {
            // A plunge takes a disc; every ring begins with one.
            _ if a == b && between(lowest) => pieces.push(Region::circle(a, radius)),
            Way::Rapid | Way::Line { .. } if between(highest) => {
                pieces.push(Region::slot(a, b, radius));
            }
            Way::Arc { centre, left, .. } if between(highest) => {
                pieces.extend(swept_arc(a, b, centre, left, radius));
            }
            _ => {}
        }
    }
    Region::union_all(&pieces)
}

/// The band an arc sweeps between its ends, and a disc at each end.
///
/// # Source
/// Points within `radius` of an arc about `centre`: a ring sector of radii R ± radius (a pie where the radius reaches the
/// centre) and the end discs. Elementary.
fn swept_arc(a: Vec2, b: Vec2, centre: Vec2, left: bool, radius: f64) -> Vec<Region> {
    let angle = sweep(a, b, centre, left);
    let around = a.distance(centre);
    let mut pieces = vec![Region::circle(a, radius), Region::circle(b, radius)];
    // Halves of at most a right angle each, so that no sector closes on itself.
    let parts = (angle.abs() / std::f64::consts::FRAC_PI_2).ceil().max(1.0);
    let bulge = (angle / parts / 4.0).tan();
    for i in 0..parts as usize {
        let ray = |k: usize| (a - centre).unit().rotated(angle * k as f64 / parts);
        let (from, to) = (ray(i), ray(i + 1));
        let outer = around + radius;
        let vertex = |at: Vec2, bulge: f64| Vertex { at, bulge };
        let mut vertices = vec![
            vertex(centre + from * outer, bulge),
            vertex(centre + to * outer, 0.0),
        ];
        let inner = around - radius;
        if inner > 1e-9 {
            vertices.push(vertex(centre + to * inner, -bulge));
            vertices.push(vertex(centre + from * inner, 0.0));
        } else {
            vertices.push(vertex(centre, 0.0));
        }
        pieces.push(Region::from_contours(&[Contour { vertices }]));
    }
    pieces
}

/// What a cut differs from its design by at one depth.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Difference {
    /// Foam of the design that the cutter took, deeper into it than the tolerance.
    pub(crate) gouged: Region,
    /// Foam that should have gone, within the cutter's reach, and did not.
    pub(crate) left: Region,
}

/// Compares what was taken at a depth with the foam that stays (`keep`) and the foam that must go (`must`, no more than a
/// round cutter reaches), both within `tolerance` metres of the boundaries.
pub(crate) fn compare(taken: &Region, keep: &Region, must: &Region, tolerance: f64) -> Difference {
    Difference {
        gouged: taken.intersection(&keep.offset(-tolerance, Side::Inner)),
        left: must.difference(taken).offset(-tolerance, Side::Inner),
    }
}
