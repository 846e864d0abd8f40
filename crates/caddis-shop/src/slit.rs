//! Slits by which a hot wire enters cavities: it is fast at both ends and cannot be set down inside a layer.

use crate::LayerPart;
use caddis_geometry::{Region, Side, Vec2};

/// Arcs are followed to this when the nearest points are looked for, metres.
const CHORD: f64 = 2e-4;

/// One slit for every hole of the part, each the shortest to the outline or to a hole that is reached already, so that the
/// foam stays in one piece. In the order in which holes are reached, nearest first.
///
/// # Source
/// A shortest spanning tree over the outline and the holes, grown from the outline (Prim 1957, from memory): of all ways to
/// reach every hole it cuts the least foam.
pub(crate) fn slits(part: &LayerPart) -> Vec<[Vec2; 2]> {
    let ring = |region: &Region| -> Vec<Vec<Vec2>> {
        region
            .contours()
            .map(|contour| contour.flattened(CHORD, Side::Inner))
            .collect()
    };
    let mut reached = ring(&part.outline);
    let mut waiting: Vec<Vec<Vec2>> = part
        .through
        .iter()
        .flat_map(|hole| &hole.shapes)
        .map(|shape| shape.outer.flattened(CHORD, Side::Inner))
        .collect();
    let mut slits = Vec::with_capacity(waiting.len());
    while !waiting.is_empty() {
        let nearest = waiting
            .iter()
            .enumerate()
            .flat_map(|(hole, contour)| {
                reached
                    .iter()
                    .filter_map(move |there| Some((hole, nearest(there, contour)?)))
            })
            .min_by(|a, b| length(&a.1).total_cmp(&length(&b.1)).then(a.0.cmp(&b.0)));
        let Some((hole, slit)) = nearest else {
            break;
        };
        slits.push(slit);
        reached.push(waiting.remove(hole));
    }
    slits
}

pub(crate) fn length(slit: &[Vec2; 2]) -> f64 {
    slit[0].distance(slit[1])
}

/// The shortest way from one closed line to another: an end of it lies on a corner of one of them.
fn nearest(from: &[Vec2], to: &[Vec2]) -> Option<[Vec2; 2]> {
    let ends = |corners: &[Vec2], edges: &[Vec2]| {
        corners
            .iter()
            .filter_map(|&corner| {
                let foot = (0..edges.len())
                    .map(|i| foot(corner, edges[i], edges[(i + 1) % edges.len()]))
                    .min_by(|a, b| a.distance(corner).total_cmp(&b.distance(corner)))?;
                Some([corner, foot])
            })
            .min_by(|a, b| length(a).total_cmp(&length(b)))
    };
    let away = ends(from, to);
    let back = ends(to, from).map(|[corner, foot]| [foot, corner]);
    [away, back]
        .into_iter()
        .flatten()
        .min_by(|a, b| length(a).total_cmp(&length(b)))
}

fn foot(point: Vec2, a: Vec2, b: Vec2) -> Vec2 {
    let along = b - a;
    let square = along.dot(along);
    if square <= 0.0 {
        return a;
    }
    a + along * ((point - a).dot(along) / square).clamp(0.0, 1.0)
}
