//! The mark on a part's face: which part, which face is up, where the hinge is.

use crate::LayerPart;
use crate::stroke_font::{text_strokes, width};
use caddis_geometry::{Placement2, Region, Vec2};
use std::f64::consts::FRAC_PI_2;

/// Letter heights tried, metres, largest first: 10 mm reads across a bench, 5 mm is the least a knife or pen draws in foam.
const HEIGHTS: [f64; 4] = [0.010, 0.008, 0.006, 0.005];
/// Foam left around a mark, metres.
const CLEAR: f64 = 0.004;
/// Steps of the search for a place, metres.
const STEP: f64 = 0.008;

/// Words of a part's mark.
pub(crate) fn words(part: &LayerPart) -> String {
    let face = if part.mirrored { "UNDERSIDE UP" } else { "TOP UP" };
    format!("{} {}/{} {face}", part.id, part.number, part.of)
}

/// Strokes of the mark in the part's frame where they lie on uncut foam; `None` when no place holds them.
pub(crate) fn mark(part: &LayerPart) -> Option<Vec<Vec<Vec2>>> {
    let voids: Vec<&Region> = part
        .through
        .iter()
        .chain(part.pockets.iter().map(|p| &p.region))
        .chain(part.engravings.iter().map(|name| &name.ground))
        .collect();
    let face = part.outline.difference(&Region::union_all(voids));
    let bounds = face.bounds()?;
    let words = words(part);
    for height in HEIGHTS {
        let length = width(&words, height) + 2.0 * height;
        let room = face.offset(-(height / 2.0 + CLEAR), caddis_geometry::Side::Inner);
        for upright in [false, true] {
            let half = if upright {
                Vec2::new(height, length) / 2.0
            } else {
                Vec2::new(length, height) / 2.0
            };
            let reach = bounds.grown(-CLEAR);
            let mut y = reach.min.y + half.y;
            while y <= reach.max.y - half.y {
                let mut x = reach.min.x + half.x;
                while x <= reach.max.x - half.x {
                    let centre = Vec2::new(x, y);
                    if room.contains(centre) && fits(&face, centre, half) {
                        return Some(strokes(part, &words, centre, height, upright));
                    }
                    x += STEP;
                }
                y += STEP;
            }
        }
    }
    None
}

fn fits(face: &Region, centre: Vec2, half: Vec2) -> bool {
    Region::rectangle(centre - half, centre + half).room_inside(face) >= CLEAR
}

/// Text and arrow around a centre; the arrow always points to the hinge.
fn strokes(part: &LayerPart, words: &str, centre: Vec2, height: f64, upright: bool) -> Vec<Vec<Vec2>> {
    let length = width(words, height) + 2.0 * height;
    let mut lines = text_strokes(words, Vec2::new(-length / 2.0, -height / 2.0), height);
    let place = Placement2 {
        angle: if upright { FRAC_PI_2 } else { 0.0 },
        shift: centre,
    };
    for line in &mut lines {
        for p in line {
            *p = place.apply(*p);
        }
    }
    let at = place.apply(Vec2::new(length / 2.0 - height / 2.0, 0.0));
    lines.extend(arrow(at, height, part.hinge));
    lines
}

/// An arrow `height` long around `centre`, towards the hinge.
pub(crate) fn arrow(centre: Vec2, height: f64, hinge: i8) -> Vec<Vec<Vec2>> {
    let up = f64::from(hinge.signum()) * height / 2.0;
    let tip = centre + Vec2::new(0.0, up);
    let barb = |side: f64| tip + Vec2::new(side * height * 0.25, -up * 0.7);
    vec![
        vec![centre - Vec2::new(0.0, up), tip],
        vec![barb(-1.0), tip, barb(1.0)],
    ]
}
