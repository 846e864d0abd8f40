//! Feasibility: answers "can this go here, what would it meet, and by how much", and knows nothing of searching.
//!
//! Everything is f64. Plans are convex parts that hold the true plan (Outer), so an answer "clear" is true.

mod convex;
mod polygon;
mod room;
mod sweep;
mod zone;

pub(crate) use convex::{Convex, Demand, NoGo, Separation, clipped};
pub(crate) use polygon::{close_convex_parts, convex_parts, signed_area};
pub(crate) use room::{Room, Slot};
pub(crate) use sweep::Sweep;
pub(crate) use zone::Zone;

/// Rounding that is no violation, metres.
pub(crate) const ROUNDING: f64 = 1e-9;
/// Spare clearance beyond this is not sought and not told, metres.
pub(crate) const SPARE_CAP: f64 = 0.05;
