//! Parts in a strip.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use caddis_basis::{Flow, Progress, Quiet};
use caddis_geometry::{Contour, Placement2, Region as Plan, Shape, Vec2};
use caddis_layout::{
    StripError, StripOptions, StripPacking, StripPart, StripViolation, pack_strip, strip_referee,
};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI};
use support::Dice;

const TOLERANCE: f64 = 1e-7;

fn options(seed: u64, steps: u64, workers: usize) -> StripOptions {
    StripOptions {
        seed,
        steps,
        workers,
        seconds: None,
    }
}

fn polygon(points: &[(f64, f64)]) -> Plan {
    Plan {
        shapes: vec![Shape {
            outer: Contour::polygon(points.iter().map(|&(x, y)| Vec2::new(x, y))),
            holes: Vec::new(),
        }],
    }
}

fn part(outline: Plan, quantity: u32) -> StripPart {
    StripPart {
        outline,
        quantity,
        rotations: vec![0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2],
    }
}

/// Stars, angles and blocks.
fn mixed(seed: u64, kinds: usize) -> Vec<StripPart> {
    let mut dice = Dice(seed);
    (0..kinds)
        .map(|kind| {
            let outline = match kind % 3 {
                0 => {
                    let points: Vec<(f64, f64)> = (0..9)
                        .map(|k| {
                            let r = dice.between(0.05, 0.2);
                            let angle = f64::from(k) * PI / 4.5;
                            (r * angle.cos(), r * angle.sin())
                        })
                        .collect();
                    polygon(&points)
                }
                1 => {
                    let (x, y) = (dice.between(0.15, 0.3), dice.between(0.15, 0.3));
                    polygon(&[(0.0, 0.0), (x, 0.0), (x, 0.08), (0.08, 0.08), (0.08, y), (0.0, y)])
                }
                _ => Plan::rectangle(
                    Vec2::ZERO,
                    Vec2::new(dice.between(0.05, 0.3), dice.between(0.05, 0.2)),
                ),
            };
            part(outline, 1 + (dice.unit() * 2.0) as u32)
        })
        .collect()
}

fn scaled(parts: &[StripPart], by: f64) -> Vec<StripPart> {
    let mut parts = parts.to_vec();
    for part in &mut parts {
        for shape in &mut part.outline.shapes {
            for contour in std::iter::once(&mut shape.outer).chain(&mut shape.holes) {
                for vertex in &mut contour.vertices {
                    vertex.at = vertex.at * by;
                }
            }
        }
    }
    parts
}

fn pack(width: f64, parts: &[StripPart], seed: u64, steps: u64, workers: usize) -> StripPacking {
    let packing = pack_strip(width, parts, &options(seed, steps, workers), &Quiet).unwrap();
    assert_eq!(strip_referee(width, parts, &packing, TOLERANCE), Vec::new());
    packing
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn the_referee_accepts_what_is_packed(seed in 0_u64..1000, kinds in 2_usize..7) {
        let parts = mixed(seed, kinds);
        let packing = pack(0.5, &parts, seed, 60_000, 1);
        let area: f64 = parts.iter().map(|p| p.outline.area() * f64::from(p.quantity)).sum();
        prop_assert!((packing.density - area / (0.5 * packing.length)).abs() < 1e-9);
        prop_assert!(packing.density < 1.0 + 1e-9);
    }

    #[test]
    fn the_unit_does_not_matter(seed in 0_u64..1000, power in -3_i32..10) {
        // Powers of two scale without rounding, so that the whole search is the same.
        let unit = f64::from(2.0_f32.powi(power));
        let parts = mixed(seed, 4);
        let metres = pack(0.5, &parts, seed, 20_000, 1);
        let other = pack(0.5 * unit, &scaled(&parts, unit), seed, 20_000, 1);
        prop_assert_eq!(metres.length * unit, other.length);
    }

    #[test]
    fn where_a_part_is_drawn_does_not_matter(seed in 0_u64..1000, x in -3_i32..3, y in -3_i32..3) {
        // On a grid of powers of two no shift by whole numbers rounds: the whole search is the same.
        let mut parts = mixed(seed, 4);
        for vertex in parts.iter_mut().flat_map(|part| &mut part.outline.shapes).flat_map(|shape| &mut shape.outer.vertices) {
            let grid = f64::from(1 << 20);
            vertex.at = Vec2::new((vertex.at.x * grid).round() / grid, (vertex.at.y * grid).round() / grid);
        }
        let mut moved = parts.clone();
        for part in &mut moved {
            let shift = Vec2::new(f64::from(x), f64::from(y));
            part.outline = part.outline.placed(&Placement2 { angle: 0.0, shift });
        }
        let (a, b) = (pack(0.5, &parts, seed, 40_000, 1), pack(0.5, &moved, seed, 40_000, 1));
        prop_assert_eq!(a.length, b.length);
    }
}

#[test]
fn two_runs_and_any_number_of_workers_agree() {
    let parts = mixed(5, 6);
    let one = pack(0.5, &parts, 3, 150_000, 1);
    assert_eq!(one, pack(0.5, &parts, 3, 150_000, 1));
    assert_eq!(one, pack(0.5, &parts, 3, 150_000, 4));
    assert_ne!(one.placements, pack(0.5, &parts, 4, 150_000, 1).placements);
}

#[test]
fn more_steps_pack_closer() {
    let parts = mixed(11, 9);
    let brief = pack(0.5, &parts, 1, 5_000, 1);
    let long = pack(0.5, &parts, 1, 600_000, 1);
    assert!(
        long.density > brief.density,
        "{} after {}",
        long.density,
        brief.density
    );
    assert!(long.density > 0.7, "{}", long.density);
}

/// The shortest strip for rectangles that stay as they are, by trying every order from the left and lowest corner: with three
/// or four blocks one of the orders is the best there is.
fn shortest(blocks: &[(f64, f64)], placed: &mut Vec<(Vec2, Vec2)>) -> f64 {
    if placed.len() == blocks.len() {
        return placed.iter().map(|block| block.1.x).fold(0.0, f64::max);
    }
    let mut best = f64::INFINITY;
    let done: Vec<Vec2> = placed.iter().map(|block| block.1 - block.0).collect();
    for (index, &(x, y)) in blocks.iter().enumerate() {
        let size = Vec2::new(x, y);
        let wanted = blocks[..=index].iter().filter(|b| **b == blocks[index]).count();
        let used = done.iter().filter(|d| (**d - size).length() < 1e-9).count();
        if used >= wanted {
            continue;
        }
        let xs: Vec<f64> = std::iter::once(0.0).chain(placed.iter().map(|b| b.1.x)).collect();
        let ys: Vec<f64> = std::iter::once(0.0).chain(placed.iter().map(|b| b.1.y)).collect();
        for &x in &xs {
            for &y in &ys {
                let (low, high) = (Vec2::new(x, y), Vec2::new(x, y) + size);
                let meets = |b: &(Vec2, Vec2)| {
                    low.x < b.1.x - 1e-9
                        && high.x > b.0.x + 1e-9
                        && low.y < b.1.y - 1e-9
                        && high.y > b.0.y + 1e-9
                };
                if high.y <= 1.0 + 1e-9 && !placed.iter().any(meets) {
                    placed.push((low, high));
                    best = best.min(shortest(blocks, placed));
                    placed.pop();
                }
            }
        }
    }
    best
}

#[test]
fn a_few_blocks_lie_as_short_as_trying_everything() {
    for seed in 0..6 {
        let mut dice = Dice(seed);
        let blocks: Vec<(f64, f64)> = (0..4)
            .map(|_| (dice.between(0.2, 0.9), dice.between(0.2, 0.8)))
            .collect();
        let parts: Vec<StripPart> = blocks
            .iter()
            .map(|&(x, y)| StripPart {
                rotations: Vec::new(),
                ..part(Plan::rectangle(Vec2::ZERO, Vec2::new(x, y)), 1)
            })
            .collect();
        let wanted = shortest(&blocks, &mut Vec::new());
        let got = pack(1.0, &parts, seed, 400_000, 1).length;
        assert!(
            got >= wanted - 1e-6,
            "{got} is shorter than everything tried, {wanted}"
        );
        assert!(got <= wanted * 1.002, "{got} where {wanted} is possible");
    }
}

#[test]
fn a_small_part_lies_in_the_hole_of_a_frame() {
    let mut frame = Plan::rectangle(Vec2::ZERO, Vec2::new(0.9, 0.9));
    let hole = [(0.1, 0.1), (0.1, 0.8), (0.8, 0.8), (0.8, 0.1)].map(|(x, y)| Vec2::new(x, y));
    frame.shapes[0].holes.push(Contour::polygon(hole));
    let parts = [
        part(frame, 1),
        part(Plan::rectangle(Vec2::ZERO, Vec2::new(0.6, 0.6)), 1),
    ];
    let packing = pack(1.0, &parts, 1, 200_000, 1);
    assert!(packing.length < 0.902, "{}", packing.length);
}

#[test]
fn nonsense_is_refused_with_a_reason() {
    let good = part(Plan::rectangle(Vec2::ZERO, Vec2::new(0.3, 0.2)), 2);
    let ask = |width: f64, parts: &[StripPart]| pack_strip(width, parts, &options(1, 1000, 1), &Quiet);
    let one = std::slice::from_ref(&good);
    assert_eq!(ask(0.0, one).unwrap_err(), StripError::Width);
    assert_eq!(ask(f64::NAN, one).unwrap_err(), StripError::Width);
    assert_eq!(ask(1.0, &[]).unwrap_err(), StripError::Nothing);
    assert_eq!(ask(0.1, one).unwrap_err(), StripError::TooWide(0));
    assert_eq!(
        ask(1.0, &[good.clone(), part(Plan { shapes: Vec::new() }, 1)]).unwrap_err(),
        StripError::NoOutline(1)
    );
    let many = StripPart {
        quantity: 5000,
        ..good
    };
    assert_eq!(ask(1.0, &[many]).unwrap_err(), StripError::TooMany(5000));
}

#[test]
fn the_referee_sees_what_is_wrong() {
    let parts = [part(Plan::rectangle(Vec2::ZERO, Vec2::new(0.3, 0.2)), 2)];
    let good = pack(0.5, &parts, 1, 5_000, 1);
    let check = |change: &dyn Fn(&mut StripPacking)| {
        let mut bad = good.clone();
        change(&mut bad);
        strip_referee(0.5, &parts, &bad, TOLERANCE)
    };
    assert!(matches!(
        check(&|bad| bad.placements[0].1 = bad.placements[1].1)[..],
        [StripViolation::Overlap {
            first: 0,
            second: 1,
            ..
        }]
    ));
    assert!(matches!(
        check(&|bad| bad.length *= 0.99)[..],
        [StripViolation::Outside { .. }, ..]
    ));
    assert!(matches!(
        check(&|bad| bad.placements.truncate(1))[..],
        [StripViolation::Count { part: 0, found: 1 }]
    ));
    assert!(check(&|bad| bad.placements[0].1.angle += 0.1).contains(&StripViolation::Turned { copy: 0 }));
}

/// Stops at once.
struct Stop;

impl Progress for Stop {
    fn report(&self, _: &str, _: f64, _: Option<&str>) -> Flow {
        Flow::Stop
    }
}

#[test]
fn stopped_at_once_it_still_gives_a_sound_packing() {
    let parts = mixed(5, 6);
    let packing = pack_strip(0.5, &parts, &options(1, u64::MAX, 2), &Stop).unwrap();
    assert_eq!(strip_referee(0.5, &parts, &packing, TOLERANCE), Vec::new());
    let timed = StripOptions {
        seconds: Some(0.2),
        ..options(1, u64::MAX, 1)
    };
    let packing = pack_strip(0.5, &parts, &timed, &Quiet).unwrap();
    assert_eq!(strip_referee(0.5, &parts, &packing, TOLERANCE), Vec::new());
}

#[test]
fn many_kinds_and_one_as_wide_as_the_strip_are_packed() {
    let mut parts = mixed(21, 36);
    parts.push(part(Plan::rectangle(Vec2::ZERO, Vec2::new(0.05, 0.7)), 1));
    let packing = pack(0.7, &parts, 1, 60_000, 1);
    assert!(packing.density > 0.5, "{}", packing.density);
}

#[test]
fn parts_drawn_alike_are_packed_as_copies_of_one() {
    let ell = polygon(&[
        (0.0, 0.0),
        (0.25, 0.0),
        (0.25, 0.125),
        (0.125, 0.125),
        (0.125, 0.25),
        (0.0, 0.25),
    ]);
    let drawn_elsewhere = ell.placed(&Placement2 {
        angle: 0.0,
        shift: Vec2::new(3.0, -2.0),
    });
    let block = part(Plan::rectangle(Vec2::ZERO, Vec2::new(0.2, 0.3)), 2);
    let copies = pack(0.5, &[part(ell.clone(), 3), block.clone()], 2, 30_000, 1);
    let alike = [part(ell, 1), part(drawn_elsewhere, 2), block];
    let apart = pack(0.5, &alike, 2, 30_000, 1);
    assert_eq!(copies.length, apart.length);
    let names: Vec<usize> = apart.placements.iter().map(|placed| placed.0).collect();
    assert_eq!(names, [0, 1, 1, 2, 2]);
}

#[test]
fn a_part_that_fits_at_one_turn_of_many_keeps_it() {
    // Eighty kinds at sixteen turns are searched at fewer; the bar lies across at the one that is left out.
    let mut dice = Dice(77);
    let sixteenths: Vec<f64> = (0..16)
        .map(|k| f64::from(k) * std::f64::consts::TAU / 16.0)
        .collect();
    let mut parts: Vec<StripPart> = (0..80)
        .map(|_| StripPart {
            outline: Plan::rectangle(
                Vec2::ZERO,
                Vec2::new(dice.between(0.1, 0.2), dice.between(0.1, 0.2)),
            ),
            quantity: 1,
            rotations: sixteenths.clone(),
        })
        .collect();
    let slanted = Plan::rectangle(Vec2::ZERO, Vec2::new(2.0, 0.05)).placed(&Placement2 {
        angle: -std::f64::consts::TAU / 16.0,
        shift: Vec2::ZERO,
    });
    parts.push(StripPart {
        outline: slanted,
        quantity: 1,
        rotations: sixteenths,
    });
    let options = StripOptions {
        seed: 1,
        steps: 20_000,
        workers: 1,
        seconds: None,
    };
    let packing = pack_strip(0.5, &parts, &options, &Quiet).unwrap();
    assert!(strip_referee(0.5, &parts, &packing, 1e-7).is_empty());
}
