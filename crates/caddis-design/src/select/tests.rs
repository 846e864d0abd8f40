//! Tests of selecting as a whole.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::testing;
use caddis_basis::{Length, Quiet};
use caddis_survey::IntrusionKind;

const OPTIONS: SelectOptions = SelectOptions {
    by: Measure::LinearSize,
    arrange: ArrangeOptions {
        seed: 7,
        steps: 400_000,
        workers: 2,
    },
    in_full: 0,
    best: None,
    most_mass: None,
    most_cases: 3,
};

/// The test shell scaled in plan and depth.
fn scaled(name: &str, plan: f64, depth: f64) -> Shell {
    let mut shell = testing::shell();
    shell.name = name.to_owned();
    for half in [&mut shell.base, &mut shell.lid] {
        for opening in [&mut half.rim, &mut half.floor] {
            for side in [&mut opening.length, &mut opening.width] {
                side.value = side.value * plan;
            }
        }
        for intrusion in &mut half.intrusions {
            match &mut intrusion.outline {
                caddis_survey::OutlineShape::Rectangle { centre, .. }
                | caddis_survey::OutlineShape::Circle { centre, .. } => {
                    centre.x.value = centre.x.value * plan;
                    centre.y.value = centre.y.value * plan;
                }
                other => panic!("the test shell has no {other:?}"),
            }
            intrusion.to.value =
                Length::from_si(intrusion.to.value.si().min(0.9 * half.depth.value.si() * depth));
        }
    }
    shell.base.depth.value = shell.base.depth.value * depth;
    for (side, by) in shell.outside.iter_mut().zip([plan, plan, depth]) {
        side.value = side.value * by;
    }
    shell.empty_mass.value = shell.empty_mass.value * plan;
    shell
}

fn shells() -> Vec<Shell> {
    vec![
        scaled("small", 0.5, 1.0),
        scaled("shallow", 1.0, 0.5),
        testing::shell(),
        scaled("large", 1.25, 1.0),
    ]
}

#[test]
fn the_smallest_that_holds_everything_comes_first() {
    let brief = testing::brief();
    let found = select(&brief, &shells(), &Unpriced, &OPTIONS, &Quiet);
    let best = found.best().unwrap();
    assert_eq!(best.shell, 2, "{:#?}", best.figures);
    assert_eq!(found.candidates.len(), 4);
    let fitting: Vec<usize> = found
        .candidates
        .iter()
        .filter(|candidate| candidate.standing.fits())
        .map(|candidate| candidate.shell)
        .collect();
    assert_eq!(fitting, [2, 3]);
    // Every refusal says the one reason and by how much.
    for candidate in &found.candidates[2..] {
        let Standing::Refused(finding) = &candidate.standing else {
            panic!("{candidate:?}")
        };
        assert!(
            finding.margin.as_ref().is_some_and(|margin| margin.room() < 0.0),
            "{finding:?}"
        );
    }
    assert!(found.split.is_none());
}

#[test]
fn a_long_piece_across_the_case_saves_the_next_larger() {
    let mut brief = testing::brief();
    brief.items = vec![
        testing::flat("bar", [640.0, 40.0, 40.0], 1.2, 120.0),
        brief.items[0].clone(),
    ];
    brief.handling.drop_height.value = Length::mm(350.0);
    let fitting = |brief: &Brief| {
        let found = select(brief, &shells(), &Unpriced, &OPTIONS, &Quiet);
        let fitting = found.candidates.into_iter().filter(|c| c.standing.fits());
        fitting.map(|candidate| candidate.shell).collect::<Vec<_>>()
    };
    assert_eq!(fitting(&brief), [2, 3]);
    brief.items[0].may_turn = false;
    assert_eq!(
        fitting(&brief),
        [3],
        "along the sides it is too long for the smaller one"
    );
}

#[test]
fn what_a_housing_keeps_from_lying_along_the_sides_lies_across() {
    let mut brief = testing::brief();
    brief.items = vec![testing::flat("bar", [570.0, 40.0, 40.0], 1.2, 120.0)];
    brief.handling.drop_height.value = Length::mm(350.0);
    // Beside either of them the bar is too long; between them it lies from corner to corner.
    let mut shell = testing::shell();
    let tall =
        |at: (f64, f64)| testing::block("housing", IntrusionKind::WheelHousing, at, (90.0, 190.0, 225.0));
    shell.base.intrusions = vec![tall((-270.0, -95.0)), tall((270.0, 95.0))];
    let fits = |brief: &Brief| {
        let found = select(brief, std::slice::from_ref(&shell), &Unpriced, &OPTIONS, &Quiet);
        assert_eq!(found.within_bounds, 1);
        found.candidates[0].standing.fits()
    };
    assert!(fits(&brief));
    brief.items[0].may_turn = false;
    assert!(!fits(&brief));
}

#[test]
fn the_same_whatever_the_workers() {
    let brief = testing::brief();
    let with = |workers: usize| {
        let mut options = OPTIONS;
        options.arrange.workers = workers;
        select(&brief, &shells(), &Unpriced, &options, &Quiet)
    };
    assert_eq!(with(1), with(3));
}

#[test]
fn the_best_few_are_enough_when_so_asked() {
    let brief = testing::brief();
    let mut many = shells();
    many.extend((0..60).map(|i| scaled("larger", 1.3 + 0.01 * f64::from(i), 1.0)));
    let options = SelectOptions {
        best: Some(1),
        ..OPTIONS
    };
    let found = select(&brief, &many, &Unpriced, &options, &Quiet);
    let whole = select(&brief, &many, &Unpriced, &OPTIONS, &Quiet);
    assert_eq!(found.best(), whole.best());
    let passed = found
        .candidates
        .iter()
        .filter(|candidate| candidate.standing == Standing::Passed);
    assert!(passed.count() > 0);
}

#[test]
fn a_mass_limit_splits_the_list_over_several_cases() {
    let brief = testing::brief();
    let whole = select(&brief, &shells(), &Unpriced, &OPTIONS, &Quiet);
    let gross = whole.best().unwrap().figures.gross_mass.unwrap();
    let limit = gross * 0.85;
    let options = SelectOptions {
        most_mass: Some((limit, || caddis_basis::Said::name("what the test allows"))),
        ..OPTIONS
    };
    let found = select(&brief, &shells(), &Unpriced, &options, &Quiet);
    assert!(found.best().is_none());
    let split = found.split.unwrap();
    assert!(split.cases.len() > 1);
    let mut counts = vec![0; brief.items.len()];
    for case in &split.cases {
        assert!(case.figures.gross_mass.unwrap() <= limit);
        for &(item, count) in &case.items {
            counts[item] += count;
        }
    }
    let wanted: Vec<u32> = brief.items.iter().map(|item| item.quantity).collect();
    assert_eq!(counts, wanted);
}

#[test]
fn the_best_is_arranged_and_verified() {
    let brief = testing::brief();
    let options = SelectOptions {
        in_full: 1,
        ..OPTIONS
    };
    let found = select(&brief, &shells()[2..], &Unpriced, &options, &Quiet);
    let best = found.best().unwrap();
    assert!(matches!(best.standing, Standing::Arranged { .. }));
    // The mass told at a glance is that of the finished interior, but for a few tens of grams.
    let glanced = select(&brief, &shells()[2..], &Unpriced, &OPTIONS, &Quiet);
    let (a, b) = (
        best.figures.gross_mass.unwrap(),
        glanced.best().unwrap().figures.gross_mass.unwrap(),
    );
    assert!((a - b).si().abs() < 0.1, "{a} against {b}");
}
