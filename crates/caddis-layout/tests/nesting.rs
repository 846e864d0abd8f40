//! Parts on sheets.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use caddis_basis::Quiet;
use caddis_geometry::{Contour, Region as Plan, Vec2};
use caddis_layout::{Nesting, PreparedNesting, Sheet, SheetPart, UnplacedReason, nest, nest_to};
use std::f64::consts::{FRAC_PI_2, PI};
use std::time::Instant;
use support::nested::assert_all_told;
use support::{Dice, options};

fn sheet(length: f64, width: f64, trim: f64, gap: f64) -> Sheet {
    Sheet {
        name: "board".to_owned(),
        length,
        width,
        trim,
        gap,
        limit: None,
        cost: 1.0,
        outline: None,
        defects: Vec::new(),
    }
}

fn part(name: &str, outline: Plan, quantity: u32) -> SheetPart {
    SheetPart {
        name: name.to_owned(),
        outline,
        quantity,
        rotations: vec![0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2],
        quality: 1,
    }
}

fn plate(x: f64, y: f64) -> Plan {
    Plan::rectangle(Vec2::ZERO, Vec2::new(x, y))
}

/// Everything keeps its distance, measured here and not by the code under test.
fn assert_sound(nesting: &Nesting, parts: &[SheetPart], sheets: &[Sheet]) {
    for nested in &nesting.sheets {
        let kind = &sheets[nested.sheet];
        let plans: Vec<Plan> = nested
            .parts
            .iter()
            .map(|part| parts[part.part].outline.placed(&part.placement))
            .collect();
        for (index, plan) in plans.iter().enumerate() {
            let bounds = plan.bounds().unwrap();
            assert!(bounds.min.x >= kind.trim - 1e-6 && bounds.min.y >= kind.trim - 1e-6);
            assert!(
                bounds.max.x <= kind.length - kind.trim + 1e-6
                    && bounds.max.y <= kind.width - kind.trim + 1e-6
            );
            for other in &plans[..index] {
                assert!(plan.distance(other) >= kind.gap - 1e-6);
                assert!(plan.intersection(other).area() < 1e-7);
            }
        }
    }
    assert_all_told(nesting, parts);
}

#[test]
fn plates_that_fill_a_sheet_exactly_fill_it() {
    // 3 x 400 + 2 x 10 + 2 x 5 = 1230; 2 x 300 + 10 + 10 = 620.
    let parts = [part("plate", plate(0.4, 0.3), 6)];
    let sheets = [sheet(1.23, 0.62, 0.005, 0.01)];
    let nesting = nest(&parts, &sheets, &options(1, 100_000), &Quiet);
    assert_sound(&nesting, &parts, &sheets);
    assert_eq!(nesting.sheets.len(), 1);
    assert!(nesting.unplaced.is_empty());
    assert!((nesting.yield_share - 0.72 / (1.23 * 0.62)).abs() < 1e-9);
}

#[test]
fn angles_interlock() {
    let corner = [
        (0.0, 0.0),
        (0.3, 0.0),
        (0.3, 0.1),
        (0.1, 0.1),
        (0.1, 0.3),
        (0.0, 0.3),
    ];
    let outline = Plan::from_contours(&[Contour::polygon(corner.map(|(x, y)| Vec2::new(x, y)))]);
    let parts = [part("angle", outline, 2)];
    // Two angles turned into each other take 400 x 300.
    let sheets = [sheet(0.4, 0.3, 0.0, 0.0)];
    let nesting = nest(&parts, &sheets, &options(1, 100_000), &Quiet);
    assert_sound(&nesting, &parts, &sheets);
    assert_eq!(
        (nesting.sheets.len(), nesting.unplaced.len()),
        (1, 0),
        "{nesting:?}"
    );
}

#[test]
fn a_small_part_goes_into_the_hole_of_a_frame() {
    let frame = plate(0.4, 0.4).difference(&Plan::rectangle(Vec2::new(0.05, 0.05), Vec2::new(0.35, 0.35)));
    let parts = [part("frame", frame, 1), part("plug", plate(0.2, 0.2), 1)];
    let sheets = [sheet(0.41, 0.41, 0.005, 0.005)];
    let nesting = nest(&parts, &sheets, &options(1, 50_000), &Quiet);
    assert_sound(&nesting, &parts, &sheets);
    assert_eq!((nesting.sheets.len(), nesting.unplaced.len()), (1, 0));
}

#[test]
fn limits_and_sizes_are_told() {
    let parts = [
        part("long", plate(3.0, 0.1), 2),
        part("plate", plate(0.5, 0.5), 3),
        part("none", Plan::empty(), 1),
    ];
    let mut sheets = vec![sheet(1.0, 0.6, 0.01, 0.01)];
    sheets[0].limit = Some(2);
    let nesting = nest(&parts, &sheets, &options(1, 10_000), &Quiet);
    assert_sound(&nesting, &parts, &sheets);
    let reasons: Vec<_> = nesting
        .unplaced
        .iter()
        .map(|u| (u.part, u.copies, u.reason))
        .collect();
    assert_eq!(
        reasons,
        [
            (0, 2, UnplacedReason::TooLarge),
            (1, 1, UnplacedReason::NoSheetLeft),
            (2, 1, UnplacedReason::NoOutline)
        ]
    );
    assert!(nest(&parts, &[], &options(1, 10), &Quiet).sheets.is_empty());
    sheets[0].gap = f64::NAN;
    assert!(nest(&parts, &sheets, &options(1, 10), &Quiet).sheets.is_empty());
}

#[test]
fn the_cheaper_sheet_is_taken_when_it_is_enough() {
    let parts = [part("plate", plate(0.5, 0.4), 1)];
    let mut sheets = vec![sheet(2.0, 1.0, 0.01, 0.01), sheet(1.0, 0.5, 0.01, 0.01)];
    sheets[0].cost = 40.0;
    sheets[1].cost = 15.0;
    let nesting = nest(&parts, &sheets, &options(1, 10_000), &Quiet);
    assert_eq!(nesting.sheets[0].sheet, 1);
}

/// Six plates to a sheet: whoever knows that two sheets are the least for eleven is told two after one filling.
#[test]
fn enough_ends_the_search_early_and_as_cheap() {
    let (parts, sheets) = (
        [part("plate", plate(0.6, 0.45), 11)],
        [sheet(2.0, 1.0, 0.0, 0.01)],
    );
    let searched = nest(&parts, &sheets, &options(7, 4_000), &Quiet);
    let early = nest_to(&parts, &sheets, 2.0, &options(7, 4_000), &Quiet);
    assert_eq!((searched.sheets.len(), early.sheets.len()), (2, 2));
    assert!(early.steps < searched.steps, "{} {}", early.steps, searched.steps);
    assert_sound(&early, &parts, &sheets);
    // What cannot be had is searched for as long as ever.
    let in_vain = nest_to(&parts, &sheets, 1.0, &options(7, 4_000), &Quiet);
    assert_eq!(in_vain, searched);
}

#[test]
fn prepared_once_nests_as_from_the_start() {
    let sheets = [sheet(2.0, 1.0, 0.0, 0.01)];
    let parts = |copies| {
        [
            part("plate", plate(0.6, 0.45), copies),
            part("strip", plate(0.9, 0.1), copies),
        ]
    };
    let mut prepared = PreparedNesting::new(parts(1).to_vec(), &sheets);
    for (copies, enough) in [(3, 1.0), (1, f64::NEG_INFINITY), (5, 2.0)] {
        let fresh = nest_to(&parts(copies), &sheets, enough, &options(7, 2_000), &Quiet);
        assert_eq!(
            prepared.nest_copies(copies, enough, &options(7, 2_000), &Quiet),
            fresh
        );
    }
}

#[test]
fn a_mixed_order_is_sound_repeatable_and_dense() {
    let mut dice = Dice(7);
    let mut parts = Vec::new();
    for index in 0..14 {
        let (x, y) = (dice.between(0.1, 0.6), dice.between(0.1, 0.4));
        let outline = match index % 3 {
            0 => Plan::rounded_rectangle(Vec2::ZERO, Vec2::new(x, y), 0.04),
            1 => plate(x, y).difference(&Plan::circle(Vec2::new(x / 2.0, y), 0.35 * x.min(y))),
            _ => Plan::slot(Vec2::ZERO, Vec2::new(x * 0.7, y * 0.5), 0.05),
        };
        parts.push(part(&format!("layer {index}"), outline, 1 + index % 3));
    }
    let sheets = [sheet(1.2, 0.6, 0.01, 0.008)];
    let begun = Instant::now();
    let nesting = nest(&parts, &sheets, &options(3, 300_000), &Quiet);
    eprintln!(
        "{} sheets, yield {:.3}, {} steps in {:?}",
        nesting.sheets.len(),
        nesting.yield_share,
        nesting.steps,
        begun.elapsed()
    );
    assert_sound(&nesting, &parts, &sheets);
    assert!(nesting.unplaced.is_empty());
    let mut two = options(3, 300_000);
    two.workers = 2;
    assert_eq!(nest(&parts, &sheets, &two, &Quiet), nesting);
    assert!(nesting.yield_share > 0.55);
}

#[test]
fn where_a_part_was_drawn_changes_nothing() {
    let angle = Plan {
        shapes: vec![caddis_geometry::Shape {
            outer: Contour::polygon([
                Vec2::new(0.0, 0.0),
                Vec2::new(0.31, 0.0),
                Vec2::new(0.31, 0.1),
                Vec2::new(0.12, 0.1),
                Vec2::new(0.12, 0.27),
                Vec2::new(0.0, 0.27),
            ]),
            holes: Vec::new(),
        }],
    };
    let sheets = [sheet(1.0, 0.7, 0.01, 0.004)];
    let at = |shift: Vec2| {
        let moved = angle.placed(&caddis_geometry::Placement2 { angle: 0.0, shift });
        let parts = [part("angle", moved, 9), part("plate", plate(0.2, 0.13), 5)];
        let nesting = nest(&parts, &sheets, &options(5, 30_000), &Quiet);
        assert_sound(&nesting, &parts, &sheets);
        nesting
    };
    let (near, far) = (at(Vec2::ZERO), at(Vec2::new(0.123_456_7, -0.765_432_1)));
    assert_eq!(near.sheets.len(), far.sheets.len());
    for (one, other) in near.sheets.iter().zip(&far.sheets) {
        for (a, b) in one.parts.iter().zip(&other.parts) {
            let moved = b.placement.shift
                + if b.part == 0 {
                    Vec2::new(0.123_456_7, -0.765_432_1).rotated(b.placement.angle)
                } else {
                    Vec2::ZERO
                };
            assert_eq!(
                (a.part, a.copy, a.placement.angle),
                (b.part, b.copy, b.placement.angle)
            );
            assert!(moved.distance(a.placement.shift) < 1e-12);
        }
    }
}
