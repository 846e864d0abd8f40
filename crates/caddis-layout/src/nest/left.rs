//! What is left of a sheet in pieces worth keeping.

use super::Sheet;
use crate::engine::convex_parts;
use caddis_geometry::{Bounds2, Region as Plan, Vec2};

/// Pieces taken from one sheet at most.
const MOST: usize = 8;

/// Which rectangles are worth keeping: at least so long and so wide, either way round, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keepable {
    /// The longer side at least.
    pub length: f64,
    /// The shorter side at least.
    pub width: f64,
}

impl Keepable {
    fn takes(&self, size: Vec2) -> bool {
        let (long, short) = (size.x.max(size.y), size.x.min(size.y));
        long >= self.length.max(self.width) && short >= self.length.min(self.width) && short > 0.0
    }
}

/// Rectangles left on a sheet beside the parts cut from it, the largest first, each clear of the parts, of defects and of
/// each other by the sheet's gap. They reach to the sheet's own edge where nothing lies between: its trim is theirs.
///
/// # Accuracy
/// Parts count as the boxes of the convex parts they are made of: beside a slanted or round edge a little more could be kept.
pub fn left_of(sheet: &Sheet, parts: &[Plan], least: &Keepable) -> Vec<Bounds2> {
    let whole = Vec2::new(sheet.length, sheet.width);
    if !(whole.is_finite() && whole.x > 0.0 && whole.y > 0.0 && sheet.gap.is_finite()) {
        return Vec::new();
    }
    let gap = sheet.gap.max(0.0);
    let mut taken: Vec<Bounds2> = parts.iter().flat_map(|part| boxes_of(part, gap)).collect();
    if let Some(outline) = &sheet.outline {
        let beyond = Plan::rectangle(Vec2::ZERO, whole).difference(outline);
        taken.extend(boxes_of(&beyond, 0.0));
    }
    taken.extend(
        sheet
            .defects
            .iter()
            .flat_map(|defect| boxes_of(&defect.outline, 0.0)),
    );
    let mut kept = Vec::new();
    while kept.len() < MOST
        && let Some(largest) = largest_free(whole, &taken, least)
    {
        taken.push(grown(largest, gap));
        kept.push(largest);
    }
    kept
}

fn boxes_of(plan: &Plan, gap: f64) -> Vec<Bounds2> {
    convex_parts(plan)
        .iter()
        .filter_map(|part| {
            let min = part.points.iter().copied().reduce(Vec2::min)?;
            let max = part.points.iter().copied().reduce(Vec2::max)?;
            Some(grown(Bounds2 { min, max }, gap))
        })
        .collect()
}

fn grown(bounds: Bounds2, by: f64) -> Bounds2 {
    let by = Vec2::new(by, by);
    Bounds2 {
        min: bounds.min - by,
        max: bounds.max + by,
    }
}

/// The largest rectangle worth keeping that meets no box: its left and right sides lie on boxes or the sheet's edge, so every pair of
/// those is tried, and between them the rooms from box to box.
fn largest_free(whole: Vec2, taken: &[Bounds2], least: &Keepable) -> Option<Bounds2> {
    let narrow = least.length.min(least.width);
    let mut lefts: Vec<f64> = taken.iter().map(|b| b.max.x).chain([0.0]).collect();
    let mut rights: Vec<f64> = taken.iter().map(|b| b.min.x).chain([whole.x]).collect();
    for sides in [&mut lefts, &mut rights] {
        sides.retain(|x| (0.0..=whole.x).contains(x));
        sides.sort_by(f64::total_cmp);
        sides.dedup();
    }
    let mut across: Vec<&Bounds2> = taken.iter().collect();
    across.sort_by(|a, b| a.min.y.total_cmp(&b.min.y));
    let mut best: Option<Bounds2> = None;
    for &left in &lefts {
        for &right in rights.iter().filter(|right| **right - left >= narrow) {
            let between = across.iter().filter(|b| b.max.x > left && b.min.x < right);
            let mut from = 0.0_f64;
            let rooms = between.map(|b| (b.min.y, b.max.y)).chain([(whole.y, whole.y)]);
            for (low, high) in rooms {
                let room = Bounds2 {
                    min: Vec2::new(left, from),
                    max: Vec2::new(right, low.min(whole.y)),
                };
                let size = room.max - room.min;
                let is_larger = best.is_none_or(|best| {
                    let its = best.max - best.min;
                    size.x * size.y > its.x * its.y
                });
                if size.y > 0.0 && least.takes(size) && is_larger {
                    best = Some(room);
                }
                from = from.max(high);
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(gap: f64) -> Sheet {
        Sheet {
            name: String::new(),
            length: 2.0,
            width: 1.0,
            trim: 0.01,
            gap,
            limit: None,
            cost: 1.0,
            outline: None,
            defects: Vec::new(),
        }
    }

    const LEAST: Keepable = Keepable {
        length: 0.3,
        width: 0.15,
    };

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Plan {
        Plan::rectangle(Vec2::new(x0, y0), Vec2::new(x1, y1))
    }

    fn sides(kept: &[Bounds2]) -> Vec<[i64; 4]> {
        let mm = |v: f64| (v * 1e3).round() as i64;
        kept.iter()
            .map(|b| [mm(b.min.x), mm(b.min.y), mm(b.max.x), mm(b.max.y)])
            .collect()
    }

    #[test]
    fn the_end_of_a_sheet_and_the_room_beside_a_part_are_kept() {
        let parts = [rectangle(0.01, 0.01, 0.8, 0.6)];
        let kept = left_of(&sheet(0.005), &parts, &LEAST);
        assert_eq!(sides(&kept), [[805, 0, 2000, 1000], [0, 605, 800, 1000]]);
        // Nothing cut: the whole sheet.
        assert_eq!(sides(&left_of(&sheet(0.005), &[], &LEAST)), [[0, 0, 2000, 1000]]);
        // Everything cut: nothing worth keeping.
        assert!(left_of(&sheet(0.0), &[rectangle(0.01, 0.01, 1.9, 0.9)], &LEAST).is_empty());
    }

    #[test]
    fn the_edge_of_an_offcut_and_its_defects_are_minded() {
        let mut offcut = sheet(0.0);
        offcut.outline = Some(rectangle(0.0, 0.0, 1.0, 1.0));
        assert_eq!(sides(&left_of(&offcut, &[], &LEAST)), [[0, 0, 1000, 1000]]);
        offcut.defects.push(crate::Defect {
            outline: rectangle(0.45, 0.4, 0.5, 0.55),
            quality: 1,
        });
        let kept = left_of(&offcut, &[], &LEAST);
        assert_eq!(sides(&kept)[0], [500, 0, 1000, 1000]);
    }

    #[test]
    fn a_part_that_grows_never_leaves_more() {
        let mut before = f64::INFINITY;
        for step in 1..12 {
            let size = 0.15 * f64::from(step);
            let kept = left_of(&sheet(0.003), &[rectangle(0.01, 0.01, size, 0.5)], &LEAST);
            let first = kept
                .first()
                .map_or(0.0, |b| (b.max.x - b.min.x) * (b.max.y - b.min.y));
            assert!(first <= before + 1e-12, "{size}");
            before = first;
        }
    }
}
