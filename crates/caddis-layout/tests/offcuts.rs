//! Parts on offcuts and hides, with holes, places of less quality and prices.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use caddis_basis::Quiet;
use caddis_geometry::{Contour, Region as Plan, Shape, Vec2};
use caddis_layout::{Defect, Nesting, Sheet, SheetPart, nest};
use std::f64::consts::{FRAC_PI_2, PI};
use support::nested::assert_all_told;
use support::{Dice, options};

fn polygon(points: &[(f64, f64)]) -> Plan {
    Plan {
        shapes: vec![Shape {
            outer: Contour::polygon(points.iter().map(|&(x, y)| Vec2::new(x, y))),
            holes: Vec::new(),
        }],
    }
}

fn plate(x: f64, y: f64, quantity: u32) -> SheetPart {
    SheetPart {
        name: "plate".to_owned(),
        outline: Plan::rectangle(Vec2::ZERO, Vec2::new(x, y)),
        quantity,
        rotations: vec![0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2],
        quality: 1,
    }
}

fn board(length: f64, width: f64) -> Sheet {
    Sheet {
        name: "board".to_owned(),
        length,
        width,
        trim: 0.0,
        gap: 0.0,
        limit: None,
        cost: 1.0,
        outline: None,
        defects: Vec::new(),
    }
}

/// Everything lies on the matter, clear of what it minds and of the rest; measured here and not by the code under test.
fn assert_sound(nesting: &Nesting, parts: &[SheetPart], sheets: &[Sheet]) {
    for nested in &nesting.sheets {
        let kind = &sheets[nested.sheet];
        let whole = Plan::rectangle(Vec2::ZERO, Vec2::new(kind.length, kind.width));
        let matter = kind.outline.clone().unwrap_or(whole);
        let mut plans: Vec<Plan> = Vec::new();
        for part in &nested.parts {
            let plan = parts[part.part].outline.placed(&part.placement);
            assert!(plan.difference(&matter).area() < 1e-6, "off the sheet");
            for defect in &kind.defects {
                let minds = defect.quality < parts[part.part].quality;
                assert!(
                    !minds || plan.intersection(&defect.outline).area() < 1e-6,
                    "on a defect"
                );
            }
            for other in &plans {
                assert!(plan.intersection(other).area() < 1e-6, "overlap");
                assert!(kind.gap == 0.0 || plan.distance(other) > kind.gap - 1e-6);
            }
            plans.push(plan);
        }
    }
    assert_all_told(nesting, parts);
}

#[test]
fn an_offcut_is_filled_within_its_outline() {
    let mut offcut = board(1.0, 0.6);
    offcut.outline = Some(polygon(&[
        (0.0, 0.0),
        (1.0, 0.0),
        (1.0, 0.3),
        (0.5, 0.6),
        (0.0, 0.6),
    ]));
    let parts = [plate(0.3, 0.2, 5)];
    let nesting = nest(&parts, std::slice::from_ref(&offcut), &options(1, 20_000), &Quiet);
    assert_sound(&nesting, &parts, &[offcut]);
    assert!(nesting.unplaced.is_empty());
    assert_eq!(nesting.sheets.len(), 1);
}

#[test]
fn a_defect_is_minded_by_what_asks_for_better() {
    let mut sheet = board(0.6, 0.3);
    sheet.defects.push(Defect {
        outline: Plan::rectangle(Vec2::new(0.0, 0.0), Vec2::new(0.3, 0.3)),
        quality: 1,
    });
    let (mut fine, coarse) = (plate(0.29, 0.29, 1), plate(0.29, 0.29, 1));
    fine.quality = 2;
    let parts = [fine, coarse];
    let nesting = nest(&parts, std::slice::from_ref(&sheet), &options(1, 20_000), &Quiet);
    assert_sound(&nesting, &parts, &[sheet.clone()]);
    assert!(nesting.unplaced.is_empty());
    assert_eq!(nesting.sheets.len(), 1);
    sheet.defects[0].quality = 0;
    let nesting = nest(&parts, std::slice::from_ref(&sheet), &options(1, 20_000), &Quiet);
    assert_sound(&nesting, &parts, &[sheet]);
    assert_eq!(nesting.sheets.len(), 2, "a hole holds nothing");
}

#[test]
fn a_gap_holds_on_offcuts_too() {
    let mut sheet = board(1.0, 0.5);
    sheet.gap = 0.01;
    sheet.outline = Some(polygon(&[(0.0, 0.0), (1.0, 0.0), (0.9, 0.5), (0.0, 0.5)]));
    let parts = [plate(0.2, 0.15, 8)];
    let nesting = nest(&parts, std::slice::from_ref(&sheet), &options(3, 40_000), &Quiet);
    assert_sound(&nesting, &parts, &[sheet]);
    assert!(nesting.unplaced.is_empty());
}

#[test]
fn two_runs_agree_and_stock_is_not_exceeded() {
    let mut dice = Dice(9);
    let parts: Vec<SheetPart> = (0..8)
        .map(|_| plate(dice.between(0.1, 0.35), dice.between(0.1, 0.25), 2))
        .collect();
    let mut hide = board(0.9, 0.6);
    hide.limit = Some(1);
    hide.outline = Some(polygon(&[
        (0.1, 0.0),
        (0.8, 0.05),
        (0.9, 0.5),
        (0.4, 0.6),
        (0.0, 0.45),
    ]));
    let mut rest = board(0.7, 0.5);
    rest.limit = Some(2);
    rest.cost = 2.0;
    let sheets = [hide, rest];
    let first = nest(&parts, &sheets, &options(2, 20_000), &Quiet);
    assert_sound(&first, &parts, &sheets);
    assert_eq!(first, nest(&parts, &sheets, &options(2, 20_000), &Quiet));
    for (index, sheet) in sheets.iter().enumerate() {
        let used = first.sheets.iter().filter(|nested| nested.sheet == index).count();
        assert!(used <= sheet.limit.unwrap() as usize);
    }
}

#[test]
fn irregular_offcuts_spare_a_whole_board() {
    // Five halves of a board: two boards and a half; the offcuts hold what the third would.
    let corner = polygon(&[(0.0, 0.0), (0.8, 0.0), (0.8, 0.25), (0.55, 0.55), (0.0, 0.55)]);
    let mut offcut = board(0.8, 0.55);
    offcut.outline = Some(corner);
    offcut.limit = Some(1);
    offcut.cost = 0.0;
    let mut whole = board(1.0, 0.5);
    whole.cost = 10.0;
    let parts = [plate(0.49, 0.48, 5)];
    let sheets = [whole, offcut];
    let nesting = nest(&parts, &sheets, &options(1, 40_000), &Quiet);
    assert_sound(&nesting, &parts, &sheets);
    assert!(nesting.unplaced.is_empty());
    assert_eq!(nesting.cost, 20.0);
    let on_offcut = nesting.sheets.iter().find(|sheet| sheet.sheet == 1).unwrap();
    assert_eq!(on_offcut.parts.len(), 1);
}

#[test]
fn cheaper_wins_over_fewer() {
    // One large hide holds all; two small ones cost less.
    let hide = |length: f64, cost: f64| {
        let mut hide = board(length, 1.0);
        hide.outline = Some(polygon(&[
            (0.0, 0.0),
            (length, 0.02),
            (length - 0.02, 1.0),
            (0.0, 1.0),
        ]));
        hide.limit = Some(2);
        hide.cost = cost;
        hide
    };
    let parts = [plate(0.42, 0.9, 4)];
    for (small, large, wanted) in [(4.0, 10.0, 8.0), (6.0, 10.0, 10.0)] {
        let sheets = [hide(2.0, large), hide(1.0, small)];
        let nesting = nest(&parts, &sheets, &options(1, 60_000), &Quiet);
        assert_sound(&nesting, &parts, &sheets);
        assert!(nesting.unplaced.is_empty());
        assert_eq!(nesting.cost, wanted);
    }
}
