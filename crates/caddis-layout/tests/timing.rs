//! Time to answer for the shop's usual sizes; prints what it measures, fails when far too slow.

mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_layout::{Prepared, search};
use std::time::Instant;
use support::{mixed, options, ragged};

#[test]
fn usual_sizes_are_solved_in_seconds() {
    for (count, fill) in [(12, 0.42), (12, 0.5), (18, 0.42), (25, 0.38)] {
        for seed in [1, 2, 3] {
            let question = mixed(seed, count, fill);
            let begun = Instant::now();
            let outcome = search(&question, &options(seed, 2_000_000), &Quiet);
            let took = begun.elapsed();
            match &outcome {
                Outcome::Complete(layout) => eprintln!(
                    "{count} pieces, fill {fill}, seed {seed}: {took:?}, spare {:.2} mm, imbalance {:.1} mm, {} steps",
                    layout.spare * 1e3,
                    layout.imbalance * 1e3,
                    layout.steps
                ),
                Outcome::Impossible { reasons } => {
                    eprintln!(
                        "{count} pieces, fill {fill}, seed {seed}: {took:?}, {}",
                        reasons[0].sentence
                    );
                }
                Outcome::Stopped { .. } => panic!("nobody stopped it"),
            }
            assert!(took.as_secs() < 60);
            if fill < 0.4 || count == 12 && fill < 0.45 {
                assert!(matches!(outcome, Outcome::Complete(_)));
            }
        }
    }
}

#[test]
fn a_check_takes_far_less_than_a_millisecond() {
    let question = mixed(1, 12, 0.42);
    let Some(layout) = search(&question, &options(1, 2_000_000), &Quiet).into_result() else {
        panic!("this problem is easy");
    };
    let prepared = Prepared::new(question);
    let others: Vec<_> = layout.placements.iter().copied().enumerate().collect();
    let begun = Instant::now();
    let mut sum = 0.0;
    for round in 0..1000 {
        for (piece, placement) in &others {
            sum += prepared
                .check(
                    *piece,
                    &support::moved(
                        *placement,
                        caddis_geometry::Vec2::new(1e-6 * f64::from(round), 0.0),
                    ),
                    &others,
                )
                .distance;
        }
    }
    let each = begun.elapsed() / 12_000;
    eprintln!("one check: {each:?} ({sum:.3})");
    assert!(each.as_micros() < 500);
}

#[test]
fn ragged_pieces_are_solved_in_seconds_too() {
    let mut question = mixed(2, 12, 0.4);
    for (index, piece) in question
        .pieces
        .iter_mut()
        .enumerate()
        .filter(|(index, _)| index % 2 == 0)
    {
        let radius = 0.04 + 0.002 * index as f64;
        *piece = ragged(
            &format!("instrument {index}"),
            100 + index as u32,
            index as u64,
            radius,
            0.11,
        );
    }
    let begun = Instant::now();
    let outcome = search(&question, &options(1, 2_000_000), &Quiet);
    let took = begun.elapsed();
    let Outcome::Complete(layout) = outcome else {
        panic!("{outcome:?}")
    };
    eprintln!(
        "six ragged among twelve: {took:?}, spare {:.2} mm, {} steps",
        layout.spare * 1e3,
        layout.steps
    );
    let prepared = Prepared::new(question);
    let others: Vec<_> = layout.placements.iter().copied().enumerate().collect();
    let begun = Instant::now();
    for (piece, placement) in &others {
        assert!(prepared.check(*piece, placement, &others).distance >= -1e-9);
    }
    let cold = begun.elapsed() / 12;
    let begun = Instant::now();
    for (piece, placement) in &others {
        assert!(prepared.check(*piece, placement, &others).distance >= -1e-9);
    }
    eprintln!(
        "one check: {cold:?} the first time, {:?} later",
        begun.elapsed() / 12
    );
    assert!(took.as_secs() < 90);
}
