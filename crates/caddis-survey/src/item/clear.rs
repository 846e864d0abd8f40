//! Room beside an item that foam keeps out of.

use caddis_geometry::{Pose, Prism, Region, Vec3};

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
    /// The box where a pose of quarter turns puts it.
    pub fn posed(&self, pose: &Pose) -> Prism {
        let (a, b) = (pose.apply(self.from), pose.apply(self.to));
        let (min, max) = (a.min(b), a.max(b));
        Prism {
            region: Region::rectangle(min.plan(), max.plan()),
            low: min.z,
            high: max.z,
        }
    }
}
