//! A conservative outer shape where a solid cannot be recovered.

use super::findings::volume_by_sections;
use caddis_basis::{Said, said};
use caddis_geometry::Mesh;

/// The convex hull of a mesh, and what it does to the shape, a sentence without a full stop; `None` where the mesh lies in
/// one plane. `widest_hole` is that of its report, metres.
///
/// # Accuracy
/// No surface of the mesh lies outside. What is missing where it is open may: by half the widest hole at most where it is
/// no steeper than 45 degrees against what surrounds it. The volume within is that of 200 sections, about 0.5 % where
/// the mesh is closed.
pub fn outer_hull(mesh: &Mesh, widest_hole: f64) -> Option<(Mesh, Said)> {
    let hull = mesh.hull()?;
    let (outer, inner) = (hull.mass_properties().volume, volume_by_sections(mesh));
    let volume = outer * 1e3;
    let size = if inner > 0.0 {
        said!(
            "{volume:.3} L, {times:.2} times the {inner:.3} L that its sections enclose",
            volume,
            times = outer / inner,
            inner = inner * 1e3
        )
    } else {
        said!("{volume:.3} L, and its sections enclose nothing", volume)
    };
    let sentence = if widest_hole > 0.0 {
        said!(
            "its convex hull stands for it: {size}; hollows are filled, and nothing that is drawn lies outside; what is \
             missing over its widest hole may still stand out by about {out:.1} mm",
            size,
            out = widest_hole * 500.0
        )
    } else {
        said!(
            "its convex hull stands for it: {size}; hollows are filled, and nothing that is drawn lies outside",
            size
        )
    };
    Some((hull, sentence))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_geometry::Vec3;

    /// An upright box without its lid, 100 mm each way; `post` stands in the middle of its floor.
    fn open_box(post: Option<f64>) -> Mesh {
        let corner = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
        let mut positions: Vec<Vec3> = [0.0, 0.1]
            .iter()
            .flat_map(|&z| {
                [
                    corner(0.0, 0.0, z),
                    corner(0.1, 0.0, z),
                    corner(0.1, 0.1, z),
                    corner(0.0, 0.1, z),
                ]
            })
            .collect();
        let mut triangles = vec![[0, 2, 1], [0, 3, 2]];
        for k in 0..4 {
            let next = (k + 1) % 4;
            triangles.push([k, next, next + 4]);
            triangles.push([k, next + 4, k + 4]);
        }
        if let Some(height) = post {
            positions.push(corner(0.05, 0.05, height));
            triangles.push([0, 1, 8]);
        }
        Mesh { positions, triangles }
    }

    #[test]
    fn a_box_without_its_lid_is_closed_and_says_by_how_much() {
        let mesh = open_box(None);
        assert!(!mesh.check().is_closed);
        let (hull, said) = outer_hull(&mesh, 0.1).unwrap();
        assert!(hull.check().is_closed);
        assert!((hull.mass_properties().volume - 1e-3).abs() < 1e-8);
        assert!(said.contains("1.000 L, 1.00 times the 1.000 L"), "{said}");
        assert!(said.contains("50.0 mm"), "{said}");
    }

    #[test]
    fn nothing_drawn_lies_outside() {
        let mesh = open_box(Some(0.2));
        let (hull, _) = outer_hull(&mesh, 0.0).unwrap();
        let (outer, inner) = (hull.bounds().unwrap(), mesh.bounds().unwrap());
        assert!((outer.max.z - inner.max.z).abs() < 1e-6);
        assert!(hull.mass_properties().volume > 1.3e-3);
    }

    #[test]
    fn a_sheet_has_no_hull() {
        let mesh = Mesh {
            positions: vec![Vec3::ZERO, Vec3::new(0.1, 0.0, 0.0), Vec3::new(0.0, 0.1, 0.0)],
            triangles: vec![[0, 1, 2]],
        };
        assert!(outer_hull(&mesh, 0.0).is_none());
    }
}
