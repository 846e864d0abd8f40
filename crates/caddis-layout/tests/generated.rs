//! Generated cases whose answer is known, small ones that are decided exhaustively, and boxes against a bound.

mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_layout::{Problem, referee, search};
use std::time::Instant;
use support::jigsaw::{FILLS, SHUFFLES, jigsaw};
use support::{Dice, block, options, problem, room};

#[test]
fn a_cavity_cut_into_pieces_is_put_together_again() {
    let mut solved = Vec::new();
    for fill in FILLS {
        let mut count = 0;
        let begun = Instant::now();
        for (seed, pieces) in SHUFFLES {
            let (question, answer) = jigsaw(seed, pieces, fill);
            assert!(
                referee(&question, &answer, 1e-5).is_empty(),
                "the known answer is none: {:?}",
                referee(&question, &answer, 1e-5)
            );
            match search(&question, &options(seed, 1_500_000), &Quiet) {
                Outcome::Complete(layout) => {
                    assert!(referee(&question, &layout.placements, 1e-6).is_empty());
                    count += 1;
                }
                Outcome::Impossible { reasons } => {
                    // A search that found nothing may say so, but it must not claim a proof.
                    assert_eq!(reasons[0].code, "no-arrangement-found", "{}", reasons[0].sentence);
                }
                Outcome::Stopped { .. } => panic!("nobody stopped it"),
            }
        }
        eprintln!(
            "{:.0} % full: {count} of 4 solved, {:?}",
            fill * 100.0,
            begun.elapsed()
        );
        solved.push(count);
    }
    // Loose ones always; how many of the full ones is printed, and must not fall below what is usual.
    assert!(solved[0] == 4 && solved[1] == 4, "{solved:?}");
    assert!(solved.iter().sum::<i32>() >= 18, "{solved:?}");
}

/// Whether rectangles of whole units fit a room of whole units, by trying every place: rectangles that fit at all fit pushed
/// to the left and to the front, and then they lie on whole units.
fn fits_by_exhaustion(room: (usize, usize), boxes: &[(usize, usize)], taken: &mut Vec<bool>) -> bool {
    let Some((&(length, width), rest)) = boxes.split_first() else {
        return true;
    };
    let turns = if length == width { 1 } else { 2 };
    for (l, w) in [(length, width), (width, length)].into_iter().take(turns) {
        if l > room.0 || w > room.1 {
            continue;
        }
        for x in 0..=room.0 - l {
            for y in 0..=room.1 - w {
                let cells = || (x..x + l).flat_map(move |i| (y..y + w).map(move |j| i * room.1 + j));
                if cells().any(|cell| taken[cell]) {
                    continue;
                }
                cells().for_each(|cell| taken[cell] = true);
                let fits = fits_by_exhaustion(room, rest, taken);
                cells().for_each(|cell| taken[cell] = false);
                if fits {
                    return true;
                }
            }
        }
    }
    false
}

#[test]
fn small_cases_are_decided_as_by_exhaustion() {
    const UNIT: f64 = 0.02;
    let (mut feasible, mut found, mut infeasible, mut proved) = (0, 0, 0, 0);
    for seed in 0..40 {
        let mut dice = Dice(seed * 104_729 + 5);
        let mut whole = |low: f64, high: f64| dice.between(low, high + 1.0).floor() as usize;
        let plan = (whole(7.0, 10.0), whole(5.0, 7.0));
        let mut boxes: Vec<(usize, usize)> = Vec::new();
        let mut area = 0;
        while area < plan.0 * plan.1 * 75 / 100 {
            let next = (whole(2.0, 5.0), whole(2.0, 4.0));
            if area + next.0 * next.1 > plan.0 * plan.1 + 3 {
                break;
            }
            area += next.0 * next.1;
            boxes.push(next);
        }
        boxes.sort_by_key(|b| std::cmp::Reverse(b.0 * b.1));
        let fits = fits_by_exhaustion(plan, &boxes, &mut vec![false; plan.0 * plan.1]);
        let pieces = boxes
            .iter()
            .enumerate()
            .map(|(index, (l, w))| {
                let size = (*l as f64 * UNIT, *w as f64 * UNIT, 0.05);
                block(&format!("box {index}"), index as u32, size, (0.0, 0.0, 0.0))
            })
            .collect();
        let question = problem(
            room(plan.0 as f64 * UNIT, plan.1 as f64 * UNIT, 0.05, 0.0),
            pieces,
        );
        let outcome = search(&question, &options(seed, 1_000_000), &Quiet);
        match (&outcome, fits) {
            (Outcome::Complete(_), true) => found += 1,
            (Outcome::Complete(_), false) => {
                panic!("seed {seed}: a layout of what does not fit: {boxes:?} in {plan:?}")
            }
            (Outcome::Impossible { reasons }, true) => {
                assert_eq!(
                    reasons[0].code, "no-arrangement-found",
                    "seed {seed}: proved what is not so"
                );
                eprintln!("seed {seed}: not found, {boxes:?} in {plan:?}");
            }
            (Outcome::Impossible { reasons }, false) => {
                proved += i32::from(reasons[0].code != "no-arrangement-found");
            }
            (Outcome::Stopped { .. }, _) => panic!("nobody stopped it"),
        }
        feasible += i32::from(fits);
        infeasible += i32::from(!fits);
    }
    eprintln!(
        "{found} of {feasible} feasible found; {proved} of {infeasible} infeasible proved, none claimed"
    );
    assert!(feasible >= 10 && infeasible >= 5, "{feasible} {infeasible}");
    assert!(found * 10 >= feasible * 9, "{found} of {feasible}");
}

/// Whether boxes that stand upright provably need more than one bin of this size: by volume, and by those that can lie neither
/// over nor beside each other.
///
/// # Source
/// Bounds L0 and L1 of Martello, Pisinger, Vigo (2000), Operations Research 48:256, for one bin (memory); a box turned a quarter takes at
/// least its shorter side along the length.
fn needs_more_than_one(bin: (f64, f64, f64), boxes: &[(f64, f64, f64)]) -> bool {
    let volume: f64 = boxes.iter().map(|b| b.0 * b.1 * b.2).sum();
    let across = bin.0.min(bin.1);
    let in_a_row: f64 = boxes
        .iter()
        .filter(|b| b.2 > bin.2 / 2.0 && b.0.min(b.1) > across / 2.0)
        .map(|b| b.0.min(b.1))
        .sum();
    volume > bin.0 * bin.1 * bin.2 + 1e-12 || in_a_row > bin.0.max(bin.1) + 1e-12
}

/// A bin of two tiers cut into boxes of two heights; `grown` is what every box is larger by.
fn cut_bin(seed: u64, grown: f64) -> (Problem, Vec<(f64, f64, f64)>) {
    let mut dice = Dice(seed * 6007 + 11);
    let (length, width, low, high) = (0.5, 0.3, 0.09, 0.16);
    let mut pieces = Vec::new();
    let mut boxes = Vec::new();
    for tier in 0..2_usize {
        let height = if tier == 0 { low } else { high - low };
        let rows = 2 + (dice.unit() * 2.0) as usize;
        let mut y = 0.0;
        for row in 0..rows {
            let deep = if row + 1 == rows {
                width - y
            } else {
                width / rows as f64 * dice.between(0.8, 1.0)
            };
            y += deep;
            let columns = 2 + (dice.unit() * 3.0) as usize;
            let mut x = 0.0;
            for column in 0..columns {
                let long = if column + 1 == columns {
                    length - x
                } else {
                    length / columns as f64 * dice.between(0.8, 1.0)
                };
                x += long;
                let size = (long * (1.0 + grown), deep * (1.0 + grown), height);
                let mut piece = block(
                    &format!("box {}", pieces.len()),
                    pieces.len() as u32,
                    size,
                    (0.0, 0.0, 0.0),
                );
                piece.tiers = vec![0, 1];
                pieces.push(piece);
                boxes.push(size);
            }
        }
    }
    let mut question = problem(room(length, width, high, 0.0), pieces);
    question.tiers = vec![
        caddis_layout::Tier::upward(0.0, low),
        caddis_layout::Tier::upward(low, high),
    ];
    (question, boxes)
}

#[test]
fn boxes_are_never_laid_out_against_the_bound_and_loose_ones_always_are() {
    let bin = (0.5, 0.3, 0.16);
    let (mut solved, mut bounded, mut full) = (0, 0, 0);
    for seed in 0..8 {
        for grown in [-0.12, -0.02, 0.02] {
            let (question, boxes) = cut_bin(seed, grown);
            let too_much = needs_more_than_one(bin, &boxes);
            let outcome = search(&question, &options(seed, 300_000), &Quiet);
            let is_found = matches!(outcome, Outcome::Complete(_));
            assert!(
                !(is_found && too_much),
                "seed {seed}, grown {grown}: laid out against the bound"
            );
            if let Outcome::Complete(layout) = &outcome {
                assert!(referee(&question, &layout.placements, 1e-6).is_empty());
            }
            match grown {
                -0.12 => solved += i32::from(is_found),
                -0.02 => full += i32::from(is_found),
                _ => {
                    assert!(too_much, "a full bin grown by 2 % is more than full");
                    bounded += 1;
                }
            }
        }
    }
    eprintln!("77 % full: {solved} of 8; 96 % full: {full} of 8; over full: {bounded} of 8 refused");
    assert!(solved == 8, "{solved} of 8 loose bins");
}
