//! Feasibility of one placement, fast enough to ask on every mouse move.

use crate::{Placement, Problem};
use caddis_geometry::Vec2;

/// What a placement touches, and how to get away.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Name of the wall, hindrance or piece.
    pub with: String,
    /// Signed distance left after the demanded foam; negative when violated, metres.
    pub distance: f64,
    /// A plan shift that would resolve it.
    pub push_out: Vec2,
}

/// A problem prepared for many checks. Cloneable and `Send`.
#[derive(Debug, Clone)]
pub struct Prepared {
    problem: Problem,
}

impl Prepared {
    /// Prepares sweeps, supports and boxes.
    pub fn new(problem: Problem) -> Self {
        Self { problem }
    }

    /// The tightest contact of `piece` placed so, against the room and against the `others` (piece index, placement).
    pub fn check(&self, piece: usize, placement: &Placement, others: &[(usize, Placement)]) -> Contact {
        let _ = (&self.problem, piece, placement, others);
        todo!()
    }
}
