//! Regions of the plane bounded by straight edges and circular arcs.

mod bounds;
mod contour;
mod distance;
mod edge;
mod flatten;
mod growth;
mod hull;
mod offset;
pub(crate) mod overlay;
mod region;
mod simplify;
mod support;

pub use bounds::{Bounds2, Placement2};
pub use contour::{Contour, Vertex};
pub(crate) use edge::Edge;
#[cfg(test)]
pub(crate) use edge::segment_distance;
pub use hull::convex_hull;
pub(crate) use region::Triangulated;
pub use region::{Region, Shape};
