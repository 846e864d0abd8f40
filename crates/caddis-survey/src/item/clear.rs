//! Room beside an item that foam keeps out of.

use caddis_geometry::{Bounds3, Pose, Vec3};

/// Room for a cable, a connector, a handle, or before a lens or paint that must not be touched: a box in the item's own
/// frame. No foam stands in it, and none behind it bears the item.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearRoom {
    /// What it is for, on papers.
    pub name: String,
    /// Its lowest corner.
    pub from: Vec3,
    /// Its highest corner.
    pub to: Vec3,
}

impl ClearRoom {
    /// The box where a pose along the axes puts it.
    pub fn posed(&self, pose: &Pose) -> Bounds3 {
        let (a, b) = (pose.apply(self.from), pose.apply(self.to));
        Bounds3 {
            min: Vec3::new(a.x.min(b.x), a.y.min(b.y), a.z.min(b.z)),
            max: Vec3::new(a.x.max(b.x), a.y.max(b.y), a.z.max(b.z)),
        }
    }
}
