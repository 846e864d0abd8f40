//! Generated cases whose answer is known, and small ones that are decided exhaustively.

mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_geometry::Vec2;
use caddis_layout::{Hindrance, Piece, Placement, Problem, referee, search};
use std::time::Instant;
use support::{Dice, block, options, problem, rectangle, room};

const SIZE: (f64, f64) = (0.60, 0.40);
const DEPTH: f64 = 0.20;
/// Draft of the walls, metres per metre.
const DRAFT: f64 = 0.03;

/// A cavity with draft and a well, cut into pieces, each with its place: the answer is known. `fill` is the bodies' share of
/// the floor; half of the gaps between them is foam that is demanded, half is slack.
fn jigsaw(seed: u64, pieces: usize, fill: f64) -> (Problem, Vec<Placement>) {
    let mut dice = Dice(seed * 7919 + 17);
    // Cut the largest cell across its longer side, near the middle.
    let mut cells = vec![(
        Vec2::new(-SIZE.0 / 2.0, -SIZE.1 / 2.0),
        Vec2::new(SIZE.0 / 2.0, SIZE.1 / 2.0),
    )];
    while cells.len() < pieces {
        let area = |cell: &(Vec2, Vec2)| (cell.1.x - cell.0.x) * (cell.1.y - cell.0.y);
        let largest = (0..cells.len())
            .max_by(|&a, &b| area(&cells[a]).total_cmp(&area(&cells[b])))
            .unwrap_or(0);
        let (low, high) = cells.swap_remove(largest);
        let share = dice.between(0.35, 0.65);
        let size = high - low;
        if size.x >= size.y {
            let x = low.x + share * size.x;
            cells.extend([(low, Vec2::new(x, high.y)), (Vec2::new(x, low.y), high)]);
        } else {
            let y = low.y + share * size.y;
            cells.extend([(low, Vec2::new(high.x, y)), (Vec2::new(low.x, y), high)]);
        }
    }
    // The gap that leaves the bodies their share.
    let share = |gap: f64| {
        let bodies: f64 = cells
            .iter()
            .map(|(low, high)| (high.x - low.x - gap).max(0.0) * (high.y - low.y - gap).max(0.0))
            .sum();
        bodies / (SIZE.0 * SIZE.1)
    };
    let (mut narrow, mut wide) = (0.0, 0.2);
    for _ in 0..60 {
        let middle = f64::midpoint(narrow, wide);
        if share(middle) > fill {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
    let gap = narrow;
    let foam = (gap / 4.0, gap / 2.0, 0.01);
    // A well in the corner of the first cell: whatever lies there is shallow enough to lie over it.
    let well = 0.08;
    let mut region = room(SIZE.0, SIZE.1, DEPTH, DRAFT);
    let over = cells[0];
    region.hindrances.push(Hindrance {
        name: "well".to_owned(),
        outline: rectangle(0.5 * (over.1.x - over.0.x), 0.5 * (over.1.y - over.0.y)).placed(
            &caddis_geometry::Placement2 {
                angle: 0.0,
                shift: (over.0 + over.1) / 2.0,
            },
        ),
        low: 0.0,
        high: well,
    });
    let mut known = Vec::new();
    for (index, (low, high)) in cells.iter().enumerate() {
        let size = *high - *low - Vec2::new(gap, gap);
        let height = if index == 0 {
            DEPTH - well - 0.02
        } else {
            dice.between(0.4, 0.9) * DEPTH
        };
        let piece = block(
            &format!("piece {index}"),
            index as u32,
            (size.x, size.y, height),
            foam,
        );
        let placement = Placement {
            orientation: 0,
            tier: 0,
            at: (*low + *high) / 2.0,
            bottom: DEPTH - height,
        };
        known.push((piece, placement));
    }
    // Shuffled.
    for last in (1..known.len()).rev() {
        let other = (dice.unit() * (last + 1) as f64) as usize;
        known.swap(last, other);
    }
    let (pieces, placements): (Vec<Piece>, Vec<Placement>) = known.into_iter().unzip();
    (problem(region, pieces), placements)
}

#[test]
fn a_cavity_cut_into_pieces_is_put_together_again() {
    let fills = [0.45, 0.55, 0.65, 0.75, 0.85];
    let mut solved = Vec::new();
    for fill in fills {
        let mut count = 0;
        let begun = Instant::now();
        for (seed, pieces) in [(1, 6), (2, 8), (3, 10), (4, 12)] {
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
