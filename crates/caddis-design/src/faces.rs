//! The six faces of a posed piece as its foam sees them: bearing area, and how far each part of it stands back.
//!
//! Foam behind a face that is round, stepped or opposite a drafted wall is thicker in some places than where it is
//! thinnest, so it is softer there: the thinnest place must then be thicker than on a flat face.

use crate::scanline::{Axis, Flat, plan_cells};
use caddis_geometry::{Prism, SectionStack, Vec3};
use std::collections::BTreeMap;

/// Grid across a face, metres.
const SPACING: f64 = 0.004;
/// Bands of a drafted face are no taller than this, metres.
const BAND: f64 = 0.02;
/// Setbacks are told apart to this, metres.
const GRAIN: f64 = 1e-3;

/// One face.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Face {
    /// Projected area, square metres.
    pub area: f64,
    /// (setback behind the foremost part, area), rising; areas sum to `area`.
    pub parts: Vec<(f64, f64)>,
}

/// Six faces in the order of [`crate::Direction::ALL`].
pub(crate) type Faces = [Face; 6];

/// The faces of a stack; `draft` is how much walls lean outward per height. What stands before `clear` room bears nothing.
pub(crate) fn faces(stack: &SectionStack, clear: &[Prism], draft: f64) -> Faces {
    let mut parts: [BTreeMap<i64, f64>; 6] = Default::default();
    let flats: Vec<(f64, f64, Flat)> = stack
        .slabs
        .iter()
        .flat_map(|slab| {
            let flat = Flat::new(&slab.region);
            cuts(slab.low, slab.high, clear)
                .into_iter()
                .map(move |(low, high)| (low, high, flat.clone()))
        })
        .collect();
    let bears = |at: Vec3, outward: Vec3| !is_before(clear, at, outward);
    for (low, high, flat) in &flats {
        let Some(bounds) = flat.bounds() else { continue };
        let bands = ((high - low) / if draft > 0.0 { BAND } else { f64::INFINITY })
            .ceil()
            .max(1.0);
        for (axis, sides, from, to) in [
            (Axis::X, [2, 3], bounds.min.y, bounds.max.y),
            (Axis::Y, [4, 5], bounds.min.x, bounds.max.x),
        ] {
            let rows = ((to - from) / SPACING).ceil().clamp(1.0, 4096.0);
            let step = (to - from) / rows;
            for row in 0..rows as u32 {
                let own = flat.intervals(axis, from + (f64::from(row) + 0.5) * step);
                let (Some(first), Some(last)) = (own.first(), own.last()) else {
                    continue;
                };
                for band in 0..bands as u32 {
                    let z = low + (high - low) * (f64::from(band) + 0.5) / bands;
                    let area = step * (high - low) / bands;
                    let across = from + (f64::from(row) + 0.5) * step;
                    if bears(axis.point(first.0, across, z), -axis.direction()) {
                        add(&mut parts[sides[0]], first.0 + draft * z, area);
                    }
                    if bears(axis.point(last.1, across, z), axis.direction()) {
                        add(&mut parts[sides[1]], draft * z - last.1, area);
                    }
                }
            }
        }
    }
    let [down, up, ..] = &mut parts;
    columns(&flats, clear, down, up);
    parts.map(face)
}

/// Down and up, one column per cell of the silhouette. The foam above is cut flat, so only what touches it bears; its
/// parts stand at one level here and verification sees the gaps.
fn columns(
    flats: &[(f64, f64, Flat)],
    clear: &[Prism],
    down: &mut BTreeMap<i64, f64>,
    up: &mut BTreeMap<i64, f64>,
) {
    let level = Vec3::new(0.0, 0.0, 1.0);
    let silhouette: Vec<&Flat> = flats.iter().map(|(_, _, flat)| flat).collect();
    for cell in plan_cells(&silhouette, SPACING) {
        let mut within = flats.iter().filter(|(_, _, flat)| flat.contains(cell.point));
        let Some((lowest, first_top, _)) = within.next() else {
            continue;
        };
        let highest = within.next_back().map_or(*first_top, |(_, high, _)| *high);
        if !is_before(clear, cell.point.at_height(*lowest), -level) {
            add(down, *lowest, cell.area);
        }
        if !is_before(clear, cell.point.at_height(highest), level) {
            add(up, 0.0, cell.area);
        }
    }
}

/// How far before a face clear room is looked for, metres.
const HAIR: f64 = 2e-4;

/// Whether clear room starts at a point of a face that looks along `outward`.
pub(crate) fn is_before(clear: &[Prism], at: Vec3, outward: Vec3) -> bool {
    let p = at + outward * HAIR;
    clear.iter().any(|room| room.holds(p))
}

/// A band cut where clear room begins or ends.
fn cuts(low: f64, high: f64, clear: &[Prism]) -> Vec<(f64, f64)> {
    let mut heights = vec![low, high];
    heights.extend(
        clear
            .iter()
            .flat_map(|room| [room.low, room.high])
            .filter(|z| *z > low + 1e-6 && *z < high - 1e-6),
    );
    heights.sort_by(f64::total_cmp);
    heights.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

fn add(parts: &mut BTreeMap<i64, f64>, setback: f64, area: f64) {
    *parts.entry((setback / GRAIN).round() as i64).or_insert(0.0) += area;
}

fn face(parts: BTreeMap<i64, f64>) -> Face {
    let foremost = parts.keys().next().copied().unwrap_or(0);
    Face {
        area: parts.values().sum(),
        parts: parts
            .into_iter()
            .map(|(key, area)| ((key - foremost) as f64 * GRAIN, area))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_survey::{Turn, Up};

    fn of(item: usize, up: Up, draft: f64) -> Faces {
        faces(
            &testing::items()[item].posed(up, Turn::NONE, 0.005).stack,
            &[],
            draft,
        )
    }

    #[test]
    fn a_box_bears_flat_on_its_faces() {
        let found = of(1, Up::PlusZ, 0.0);
        for (face, expected) in found.iter().zip([0.0108, 0.0108, 0.0153, 0.0153, 0.0204, 0.0204]) {
            assert!(
                (face.area - expected).abs() < 1e-9,
                "{} against {expected}",
                face.area
            );
            assert_eq!(face.parts.len(), 1);
        }
    }

    #[test]
    fn nothing_bears_before_clear_room() {
        let mut item = testing::items()[1].clone();
        let bounds = item.bounds().map_or(0.0, |b| b.max.x);
        item.keep_clear = vec![caddis_survey::ClearRoom {
            name: "cable".to_owned(),
            from: Vec3::new(bounds, -0.01, 0.05),
            to: Vec3::new(bounds + 0.03, 0.01, 0.08),
        }];
        let posed = item.posed(Up::PlusZ, Turn::NONE, 0.005);
        let (whole, bare) = (
            faces(&posed.stack, &[], 0.0),
            faces(&posed.stack, &posed.clear, 0.0),
        );
        let spared = whole[3].area - bare[3].area;
        assert!((spared / (0.02 * 0.03) - 1.0).abs() < 0.25, "{spared}");
        for side in [0, 1, 2, 4, 5] {
            assert!((whole[side].area - bare[side].area).abs() < 1e-12);
        }
    }

    #[test]
    fn a_round_side_stands_back_by_its_radius() {
        let found = of(4, Up::PlusZ, 0.0);
        let side = &found[2];
        assert!((side.area - 0.095 * 0.110).abs() < 1e-5);
        let farthest = side.parts.last().map_or(0.0, |part| part.0);
        assert!((0.030..=0.0475).contains(&farthest), "{farthest}");
    }

    #[test]
    fn a_drafted_wall_leaves_more_foam_above() {
        let found = of(1, Up::PlusZ, 0.032);
        let farthest = found[2].parts.last().map_or(0.0, |part| part.0);
        assert!((farthest - 0.032 * 0.150).abs() < 2e-3, "{farthest}");
        assert_eq!(found[0].parts.len(), 1, "the floor is level");
    }
}
