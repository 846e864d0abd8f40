//! Meshes of simple solids.

use super::Mesh;
use crate::{Region, Vec2, Vec3};

impl Mesh {
    /// A box by opposite corners.
    pub fn cuboid(min: Vec3, max: Vec3) -> Self {
        let _ = (min, max);
        todo!()
    }

    /// The prism over a region between two heights, arcs flattened Inner; closed and outward.
    pub fn prism(region: &Region, low: f64, high: f64) -> Self {
        let _ = (region, low, high);
        todo!()
    }

    /// A solid of revolution about z from a profile of (radius, z) points from bottom to top; `segments` around.
    pub fn revolved(profile: &[Vec2], segments: u32) -> Self {
        let _ = (profile, segments);
        todo!()
    }
}
