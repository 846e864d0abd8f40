//! Where pieces can go: feasibility, search and an independent referee.
//!
//! Guarantees: nothing is returned as feasible that the referee refuses; same problem, seed and steps give the same
//! layout whatever the thread count. Knows nothing about foam or journeys. Metres, case coordinates.

mod body;
mod engine;
mod grid;
mod nest;
mod pack;
mod prepared;
mod problem;
mod random;
mod referee;
mod search;

pub use body::Body;
pub use nest::{
    Defect, Keepable, NestedPart, NestedSheet, Nesting, PreparedNesting, Sheet, SheetPart, Unplaced,
    UnplacedReason, left_of, nest, nest_to,
};
pub use pack::{
    StripError, StripOptions, StripPacking, StripPart, StripViolation, pack_strip, strip_referee,
};
pub use prepared::{Contact, Prepared};
pub use problem::{
    Facet, Hindrance, Layout, Orientation, Piece, Placement, Problem, Region, SearchOptions, Sides, Tier,
    Weights, Wish,
};
pub use referee::{Violation, referee};
pub use search::{Within, search, search_first, search_from, search_within};
