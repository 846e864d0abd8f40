//! The search.

use crate::{Layout, Problem, SearchOptions};
use caddis_basis::{Outcome, Progress};

/// Places every piece, or says what does not fit and by how much.
pub fn search(problem: &Problem, options: &SearchOptions, progress: &dyn Progress) -> Outcome<Layout> {
    let _ = (problem, options, progress);
    todo!()
}
