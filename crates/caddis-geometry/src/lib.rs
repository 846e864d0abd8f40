//! Plane regions with arcs, triangle meshes, section stacks and their safe sides.
//!
//! Coordinates are f64 metres, right-handed, z up. Guarantees: an `Inner` result never leaves the exact shape and
//! an `Outer` result never falls short of it, beyond the stated tolerance on the safe side only; the same input
//! gives the same bytes. Knows nothing about items, cases or foam.

mod mesh;
mod plane;
mod safe_side;
mod solid;
mod vector;

pub use mesh::{CavityCut, MassProperties, Mesh, MeshCheck, MeshError, Repairs, Resting};
pub use plane::{Bounds2, Contour, Placement2, Region, Shape, Vertex, convex_hull};
pub use safe_side::{Inner, Outer, Side};
pub use solid::{
    Boundary, BoundaryEdge, BoundaryError, BoundaryFace, BoundaryPiece, Prism, SectionStack, Slab, Surface,
};
pub use vector::{Bounds3, Pose, Vec2, Vec3};
