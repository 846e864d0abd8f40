//! Regions of the plane bounded by straight edges and circular arcs.

mod bounds;
mod contour;
mod region;

pub use bounds::{Bounds2, Placement2};
pub use contour::{Contour, Vertex};
pub use region::{Region, Shape};
