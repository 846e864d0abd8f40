//! Volume, area, centre of mass and inertia of a closed mesh.

use super::Mesh;
use crate::Vec3;

/// Integrals of a solid of uniform density 1 kg/m³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassProperties {
    /// Cubic metres.
    pub volume: f64,
    /// Square metres.
    pub surface: f64,
    /// Metres.
    pub centre: Vec3,
    /// Inertia tensor about the centre per unit density, m^5; symmetric, rows.
    pub inertia: [Vec3; 3],
}

impl Mesh {
    /// Volume integrals by the divergence theorem, exact for closed polyhedra.
    pub fn mass_properties(&self) -> MassProperties {
        todo!()
    }
}
