//! A packed item as the physics sees it: a rigid body with patches of foam.

use crate::flat_drop::is_same_direction;
use crate::{DropSettings, FlatDrop, LawError, flat_drop, straight_drop};
use caddis_geometry::Vec3;

/// One patch of an item's surface with the foam behind it (case frame, rest pose).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Rest point.
    pub point: Vec3,
    /// Unit direction from the item into the foam.
    pub direction: Vec3,
    /// Area, m².
    pub area: f64,
    /// Foam thickness behind it, m.
    pub thickness: f64,
    /// Free gap before the foam is met, m.
    pub gap: f64,
    /// Index into [`PackedBody::laws`].
    pub law: usize,
}

/// Mass properties and patches of one packed item.
#[derive(Debug, Clone, PartialEq)]
pub struct PackedBody {
    /// kg.
    pub mass: f64,
    /// Centre of mass, case frame.
    pub centre: Vec3,
    /// Inertia tensor about the centre, kg m², case axes, rows.
    pub inertia: [Vec3; 3],
    /// Laws that patches name.
    pub laws: Vec<crate::Law>,
    /// Patches of all six directions.
    pub patches: Vec<Patch>,
}

impl PackedBody {
    /// Patches that face along a direction to 1e-6.
    pub fn patches_towards(&self, direction: Vec3) -> Vec<Patch> {
        let direction = direction.unit();
        self.patches
            .iter()
            .filter(|p| is_same_direction(p.direction, direction))
            .copied()
            .collect()
    }

    /// The flat drop on the patches that face along a direction to 1e-6; the settings' mass counts, so that a row
    /// leaning on this item can be carried too.
    ///
    /// # Errors
    /// As [`flat_drop`].
    pub fn flat_drop_towards(&self, direction: Vec3, settings: &DropSettings) -> Result<FlatDrop, LawError> {
        flat_drop(&self.laws, &self.patches_towards(direction), settings)
    }

    /// The straight drop along a direction on every patch that faces it, oblique ones by their share.
    ///
    /// # Errors
    /// As [`straight_drop`].
    pub fn straight_drop_towards(
        &self,
        direction: Vec3,
        settings: &DropSettings,
    ) -> Result<FlatDrop, LawError> {
        straight_drop(&self.laws, &self.patches, direction, settings)
    }
}
