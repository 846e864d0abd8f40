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

type Coordinate = fn(Vec3) -> f64;

const X: Coordinate = |v| v.x;
const Y: Coordinate = |v| v.y;
const Z: Coordinate = |v| v.z;

/// The second moments in the order they are summed.
const PAIRS: [(Coordinate, Coordinate); 6] = [(X, X), (Y, Y), (Z, Z), (X, Y), (Y, Z), (Z, X)];

impl Mesh {
    /// Volume integrals by the divergence theorem, exact for closed polyhedra.
    ///
    /// # Accuracy
    /// Rounding only, for a closed outward mesh; meaningless for an open one. Without volume the centre is the middle of
    /// the box.
    ///
    /// # Source
    /// Each triangle and the reference point span a signed tetrahedron; the integral of the product of two coordinates
    /// over it is det/120 times (product of the corners' sums + sum of the corners' products): F. Tonon, "Explicit exact
    /// formulas for the 3-D tetrahedron inertia tensor", J. Math. Stat. 1 (2004). The same integrals as B. Mirtich,
    /// "Fast and accurate computation of polyhedral mass properties", J. Graphics Tools 1 (1996).
    pub fn mass_properties(&self) -> MassProperties {
        // A reference point inside the box keeps the signed volumes small.
        let origin = self.bounds().map_or(Vec3::ZERO, |b| b.centre());
        let (mut volume, mut surface) = (0.0, 0.0);
        let mut first = Vec3::ZERO;
        // xx, yy, zz, xy, yz, zx
        let mut second = [0.0; 6];
        for corners in self.corners() {
            let [a, b, c] = corners.map(|p| p - origin);
            surface += (b - a).cross(c - a).length() / 2.0;
            let det = a.dot(b.cross(c));
            let sum = a + b + c;
            volume += det / 6.0;
            first += sum * (det / 24.0);
            let products =
                |f: Coordinate, g: Coordinate| f(sum) * g(sum) + f(a) * g(a) + f(b) * g(b) + f(c) * g(c);
            for (total, (f, g)) in second.iter_mut().zip(PAIRS) {
                *total += det / 120.0 * products(f, g);
            }
        }
        let centre = if volume == 0.0 { Vec3::ZERO } else { first / volume };
        let [mut xx, mut yy, mut zz, mut xy, mut yz, mut zx] = second;
        xx -= volume * centre.x * centre.x;
        yy -= volume * centre.y * centre.y;
        zz -= volume * centre.z * centre.z;
        xy -= volume * centre.x * centre.y;
        yz -= volume * centre.y * centre.z;
        zx -= volume * centre.z * centre.x;
        MassProperties {
            volume,
            surface,
            centre: centre + origin,
            inertia: [
                Vec3::new(yy + zz, -xy, -zx),
                Vec3::new(-xy, zz + xx, -yz),
                Vec3::new(-zx, -yz, xx + yy),
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Pose, Vec2};

    #[test]
    fn a_box_has_its_closed_form() {
        let mesh = Mesh::cuboid(Vec3::new(1.0, 2.0, 3.0), Vec3::new(1.3, 2.2, 3.1));
        let found = mesh.mass_properties();
        let (a, b, c) = (0.3, 0.2, 0.1);
        let volume = a * b * c;
        assert!((found.volume - volume).abs() < 1e-15);
        assert!((found.surface - 2.0 * (a * b + b * c + c * a)).abs() < 1e-12);
        assert!(found.centre.distance(Vec3::new(1.15, 2.1, 3.05)) < 1e-12);
        assert!((found.inertia[0].x - volume * (b * b + c * c) / 12.0).abs() < 1e-15);
        assert!((found.inertia[2].z - volume * (a * a + b * b) / 12.0).abs() < 1e-15);
        assert!(found.inertia[0].y.abs() < 1e-15);
    }

    #[test]
    fn a_fine_cylinder_nears_its_closed_form_and_turning_changes_nothing() {
        let profile = [Vec2::new(0.05, 0.0), Vec2::new(0.05, 0.2)];
        let mesh = Mesh::revolved(&profile, 720);
        let found = mesh.mass_properties();
        let volume = std::f64::consts::PI * 0.05 * 0.05 * 0.2;
        assert!((found.volume / volume - 1.0).abs() < 2e-5);
        assert!((found.inertia[2].z / (volume * 0.05 * 0.05 / 2.0) - 1.0).abs() < 5e-5);
        let turned = mesh.posed(&Pose::about_z(0.7)).mass_properties();
        assert!((turned.volume - found.volume).abs() < 1e-15);
        assert!((turned.inertia[0].x - found.inertia[0].x).abs() < 1e-12);
    }
}
