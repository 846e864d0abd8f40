//! A packed item as the physics sees it: a rigid body with patches of foam.

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
