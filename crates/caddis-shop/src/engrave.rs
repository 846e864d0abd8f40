//! Names of the equipment on the face beside its cavities, in a single stroke: what is missing is seen, and where it goes.

use crate::LayerPart;
use crate::stroke_font::{text_strokes, width};
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Placement2, Region, Side, Vec2};
use caddis_survey::Turn;
use std::f64::consts::FRAC_PI_2;

/// Letter heights tried, metres, largest first.
///
/// # Source
/// 8 to 10 mm for text cut in foam (common practice, no source); smaller where only that has room.
const HEIGHTS: [f64; 3] = [0.010, 0.008, 0.006];
/// Foam left around a name, metres.
const CLEAR: f64 = 0.003;
/// Where along a side of the cavity a name is tried, from its middle, in shares of the side.
const SHIFTS: [f64; 5] = [0.0, 0.2, -0.2, 0.4, -0.4];

/// A name on a part's face.
#[derive(Debug, Clone, PartialEq)]
pub struct Engraving {
    /// The name.
    pub text: String,
    /// Letter height, metres.
    pub height: f64,
    /// Its strokes, part frame, metres.
    pub strokes: Vec<Vec<Vec2>>,
    /// The ground it takes, part frame, metres.
    pub ground: Region,
}

/// The names of everything that opens at the top of this part, where its face has room for them.
pub(crate) fn engravings(part: &LayerPart, interior: &Interior, brief: &Brief) -> Vec<Engraving> {
    if part.block == BlockKind::LidPad || part.number != part.of {
        return Vec::new();
    }
    let block = interior.blocks.iter().find(|block| block.kind == part.block);
    let Some(top) = block.map(|block| block.high) else {
        return Vec::new();
    };
    let voids = part.through.iter().chain(part.pockets.iter().map(|p| &p.region));
    let mut face = part
        .outline
        .difference(&Region::union_all(voids))
        .offset(-CLEAR, Side::Inner);
    let mut found: Vec<Engraving> = Vec::new();
    for place in &interior.places {
        let cavity = interior.cavities.iter().find(|c| c.instance == place.instance);
        let mouth = cavity
            .and_then(|cavity| cavity.steps.last())
            .filter(|step| (step.high - top).abs() < 1e-6)
            .map(|step| &step.region);
        let (Some(mouth), Some(item)) = (mouth, brief.items.get(place.item)) else {
            continue;
        };
        // Beside what lies across the case its name runs along its sides.
        let (_, across) = place.turn.parted();
        if let Some(engraving) = beside(&face, mouth, across, &item.name) {
            face = face.difference(&engraving.ground.offset(CLEAR, Side::Outer));
            found.push(engraving);
        }
    }
    found
}

/// The largest letters that fit beside a mouth whose sides are turned so far from those of the case: in front of it and behind it first,
/// then upright at its ends.
fn beside(face: &Region, mouth: &Region, across: Turn, name: &str) -> Option<Engraving> {
    let turned = |angle: f64| Placement2 {
        angle,
        shift: Vec2::ZERO,
    };
    let square = mouth.placed(&turned(-across.radians())).bounds()?;
    let (centre, half) = (square.centre(), square.size() / 2.0);
    for height in HEIGHTS {
        let length = width(name, height);
        let away = height / 2.0 + CLEAR + 1e-4;
        for (upright, toward) in [
            (false, Vec2::new(0.0, -1.0)),
            (false, Vec2::new(0.0, 1.0)),
            (true, Vec2::new(-1.0, 0.0)),
            (true, Vec2::new(1.0, 0.0)),
        ] {
            for shift in SHIFTS {
                let along = if upright {
                    Vec2::new(0.0, 2.0 * half.y * shift)
                } else {
                    Vec2::new(2.0 * half.x * shift, 0.0)
                };
                let out = if upright { half.x } else { half.y } + away;
                let at = centre + along + toward * out;
                let reach = if upright {
                    Vec2::new(height, length) / 2.0
                } else {
                    Vec2::new(length, height) / 2.0
                };
                let ground = Region::rectangle(at - reach, at + reach).placed(&turned(across.radians()));
                let at = at.rotated(across.radians());
                if face.contains(at) && ground.difference(face).area() < 1e-9 {
                    let place = Placement2 {
                        angle: across.radians() + if upright { FRAC_PI_2 } else { 0.0 },
                        shift: at,
                    };
                    let strokes = text_strokes(name, Vec2::new(-length / 2.0, -height / 2.0), height)
                        .into_iter()
                        .map(|line| line.into_iter().map(|p| place.apply(p)).collect())
                        .collect();
                    return Some(Engraving {
                        text: name.to_owned(),
                        height,
                        strokes,
                        ground,
                    });
                }
            }
        }
    }
    None
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_geometry::Bounds2;

    fn block(half: Vec2) -> Region {
        Region::rectangle(-half, half)
    }

    #[test]
    fn a_name_stands_beside_its_cavity_on_foam() {
        let mouth = block(Vec2::new(0.06, 0.03));
        let face = block(Vec2::new(0.15, 0.1))
            .difference(&mouth)
            .offset(-CLEAR, Side::Inner);
        let name = beside(&face, &mouth, Turn::NONE, "Battery pack").unwrap();
        assert!((name.height - 0.010).abs() < 1e-12);
        assert!(name.ground.distance(&mouth) >= CLEAR - 1e-9);
        let inside = |p: &Vec2| {
            name.ground
                .bounds()
                .unwrap()
                .grown(1e-9)
                .meets(&Bounds2 { min: *p, max: *p })
        };
        assert!(name.strokes.iter().flatten().all(inside));
        // The next one keeps off it.
        let left = face.difference(&name.ground.offset(CLEAR, Side::Outer));
        let next = beside(&left, &mouth, Turn::NONE, "Battery pack").unwrap();
        assert!(next.ground.distance(&name.ground) >= CLEAR - 1e-9);
    }

    #[test]
    fn a_name_runs_along_a_cavity_that_lies_across() {
        let turn = Turn::degrees(30);
        let about = Placement2 {
            angle: turn.radians(),
            shift: Vec2::ZERO,
        };
        let mouth = block(Vec2::new(0.12, 0.02)).placed(&about);
        let face = block(Vec2::new(0.2, 0.15))
            .difference(&mouth)
            .offset(-CLEAR, Side::Inner);
        let name = beside(&face, &mouth, turn, "Tripod").unwrap();
        assert!((name.height - 0.010).abs() < 1e-12);
        assert!((name.ground.distance(&mouth) - CLEAR).abs() < 2e-4);
        let along = Vec2::new(1.0, 0.0).rotated(turn.radians());
        let reach = |way: Vec2| {
            let points = name.strokes.iter().flatten().map(|p| way.dot(*p));
            let (low, high) = points.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                (low.min(p), high.max(p))
            });
            high - low
        };
        assert!(reach(along) > 2.0 * reach(along.perpendicular()));
        assert!(reach(along.perpendicular()) < 0.0125);
    }

    #[test]
    fn letters_shrink_turn_and_at_last_give_way() {
        let mouth = block(Vec2::new(0.02, 0.06));
        let narrow = |side: f64, end: f64| {
            let face = block(Vec2::new(0.02 + side, 0.06 + end)).difference(&mouth);
            beside(&face.offset(-CLEAR, Side::Inner), &mouth, Turn::NONE, "Tripod")
        };
        assert!((narrow(0.013, 0.004).unwrap().height - 0.006).abs() < 1e-12);
        let upright = narrow(0.018, 0.004).unwrap().ground.bounds().unwrap().size();
        assert!(upright.y > upright.x);
        assert_eq!(narrow(0.008, 0.004), None);
    }
}
