//! The suite: small jobs through the program as the user runs it. The folders mirror the stages; each folder below one
//! is a case (`case.toml` says what is run and what must come of it), and each case is a test of its own name.

use libtest_mimic::Arguments;

mod case;
mod determinism;
mod furnished;
mod hostile;
mod offcuts;
mod real_meshes;
mod results;
mod since;
mod step;
mod workbooks;

#[path = "../../fuzz/src/packed.rs"]
mod packed;
#[path = "../../fuzz/src/targets.rs"]
mod targets;

fn main() {
    let mut trials = case::trials();
    trials.extend(determinism::trials());
    trials.extend(results::trials());
    trials.extend(since::trials());
    trials.extend(furnished::trials());
    trials.extend(real_meshes::trials());
    trials.extend(step::trials());
    trials.extend(workbooks::trials());
    trials.extend(hostile::trials());
    trials.extend(offcuts::trials());
    libtest_mimic::run(&Arguments::from_args(), trials).exit();
}
