//! The referee: exact and slow, and code of its own.

use crate::{Placement, Problem};

/// A demand that a layout breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Violation {
    /// Which piece.
    pub piece: usize,
    /// What it meets ("wall", hindrance or piece name).
    pub with: String,
    /// How much is missing, metres (positive).
    pub missing: f64,
}

/// Every demand that the placements break by more than `slack` metres, on the exact shapes with geometry's own booleans.
pub fn referee(problem: &Problem, placements: &[Placement], slack: f64) -> Vec<Violation> {
    let _ = (problem, placements, slack);
    todo!()
}
