//! How many of the twenty cut cavities are put together again within how many steps.
//!
//! `cargo run --release -p caddis-layout --example solved_share`
#![expect(clippy::print_stdout, reason = "an example prints its result on stdout")]

#[path = "../tests/support/mod.rs"]
mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_layout::{referee, search};
use std::time::Instant;
use support::jigsaw::{FILLS, SHUFFLES, jigsaw};
use support::options;

const STEPS: [u64; 6] = [3_000, 10_000, 30_000, 100_000, 300_000, 1_500_000];
/// Seeds a case is searched with.
const SEEDS: u64 = 3;

fn main() {
    println!(
        "{:>9}  {}  all     seconds",
        "steps",
        FILLS.map(|fill| format!("{:>4.0} %", fill * 100.0)).join("  ")
    );
    for steps in STEPS {
        let begun = Instant::now();
        let mut shares = Vec::new();
        for fill in FILLS {
            let mut solved = 0;
            for (shuffle, pieces) in SHUFFLES {
                let (question, _) = jigsaw(shuffle, pieces, fill);
                for seed in 1..=SEEDS {
                    if let Outcome::Complete(layout) = search(&question, &options(seed, steps), &Quiet) {
                        solved += u64::from(referee(&question, &layout.placements, 1e-6).is_empty());
                    }
                }
            }
            shares.push(100.0 * solved as f64 / (SHUFFLES.len() as u64 * SEEDS) as f64);
        }
        let all = shares.iter().sum::<f64>() / shares.len() as f64;
        let each: Vec<String> = shares.iter().map(|share| format!("{share:>4.0} %")).collect();
        println!(
            "{steps:>9}  {}  {all:>3.0} %  {:.1}",
            each.join("  "),
            begun.elapsed().as_secs_f64()
        );
    }
}
