//! What the suite, the oracle tests and the benchmarks share: where things are, how to run `caddis` and the second
//! opinions, and the rows of the verification manual.
//!
//! Everything here panics with a sentence: it is test code, and a tool that is missing fails the test that needs it.

mod folder;
mod manual;
mod place;
mod program;

pub use folder::Folder;
pub use manual::{Allowed, Row, manual};
pub use place::{Inputs, demonstration_meshes, inputs, metres_per_unit, open_models, workspace_root};
pub use program::{Ran, caddis, reference, second_opinion};
