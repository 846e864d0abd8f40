//! The case coloured by its falls: each part of the outside in the shade of the fall that lands on it.

use crate::Document;
use crate::drawing::SHADES;
use crate::glb::{Body, write};
use crate::picture::{Eye, Light, Picture, picture};
use caddis_design::{Brief, Verification};
use caddis_geometry::{Mesh, Vec3};

/// Facets along each edge of a face.
const FACETS: usize = 28;
/// Upper ends of the shades, as shares of what the item nearest its limit stands.
const STEPS: [f64; 6] = [0.25, 0.5, 0.65, 0.8, 0.9, 1.0];

/// What each shade says, in the order of the shades.
pub(crate) const SHADE_WORDS: [&str; 8] = [
    "to 25 % of what it stands",
    "to 50 %",
    "to 65 %",
    "to 80 %",
    "to 90 %",
    "to 100 %",
    "over what it stands",
    "crushed solid, or strikes",
];

/// The outside of the case in the shades of the fall map, as glTF: one node for each shade, named by what it says.
///
/// A place on the case takes the fall in the direction from the middle of the case to it: that place lands first. Of all
/// items that state what they stand the one nearest its limit gives the shade. `None` where no item states it or no falls
/// were simulated.
///
/// # Units
/// Metres, y up. The outside is the surveyed box, without its radii.
pub fn fall_scene(brief: &Brief, verification: &Verification) -> Option<Document> {
    let bodies = bodies(brief, verification)?;
    Some(Document {
        name: "falls.glb".to_owned(),
        media_type: "model/gltf-binary",
        bytes: write(
            &format!("{}: falls", brief.title),
            &bodies.iter().collect::<Vec<_>>(),
        ),
    })
}

/// The same seen from above, in front and to the right, and from below, behind and to the left.
pub(crate) fn fall_pictures(
    brief: &Brief,
    verification: &Verification,
    width: usize,
    height: usize,
) -> Option<[Picture; 2]> {
    let bodies = bodies(brief, verification)?;
    let corner = Vec3::new(0.6, -0.9, 0.55);
    Some([corner, corner * -1.0].map(|eye| picture(&bodies, Eye::from(eye), Light::Even, width, height)))
}

/// Directions with the greatest share of its limit that any item sees, infinite where one is crushed.
fn shares(verification: &Verification) -> Vec<(Vec3, f64)> {
    let mut out: Vec<(Vec3, f64)> = Vec::new();
    for item in &verification.items {
        let limit = item.directions.iter().find_map(|direction| direction.limit);
        let (Some(falls), Some(limit)) = (&item.falls, limit) else {
            continue;
        };
        for (index, (direction, peak)) in falls.map.iter().enumerate() {
            let share = peak.map_or(f64::INFINITY, |peak| peak / limit);
            match out.get_mut(index) {
                Some((_, most)) => *most = most.max(share),
                None => out.push((*direction, share)),
            }
        }
    }
    out
}

fn shade(share: f64) -> usize {
    if share.is_infinite() {
        return SHADES.len() - 1;
    }
    STEPS
        .iter()
        .position(|step| share <= *step * (1.0 + 1e-9))
        .unwrap_or(STEPS.len())
}

fn bodies(brief: &Brief, verification: &Verification) -> Option<Vec<Body>> {
    let shares = shares(verification);
    if shares.is_empty() {
        return None;
    }
    let half = [0, 1, 2].map(|axis| brief.shell.outside[axis].value.si() / 2.0);
    let middle = Vec3::new(0.0, 0.0, brief.shell.crown_height().si() / 2.0);
    let mut meshes: Vec<Mesh> = SHADES.iter().map(|_| Mesh::default()).collect();
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for sign in [-1.0, 1.0] {
            for (i, k) in (0..FACETS).flat_map(|i| (0..FACETS).map(move |k| (i, k))) {
                let at = |a: f64, b: f64| {
                    let mut p = [0.0; 3];
                    p[axis] = sign * half[axis];
                    p[u] = half[u] * (2.0 * a / FACETS as f64 - 1.0);
                    p[v] = half[v] * (2.0 * b / FACETS as f64 - 1.0);
                    Vec3::new(p[0], p[1], p[2])
                };
                let (a, b) = (i as f64, k as f64);
                let direction = at(a + 0.5, b + 0.5).unit();
                let nearest = shares
                    .iter()
                    .max_by(|one, other| one.0.dot(direction).total_cmp(&other.0.dot(direction)))?;
                let mesh = &mut meshes[shade(nearest.1)];
                let mut corners = [at(a, b), at(a + 1.0, b), at(a + 1.0, b + 1.0), at(a, b + 1.0)];
                if sign < 0.0 {
                    corners.reverse();
                }
                let first = mesh.positions.len() as u32;
                mesh.positions.extend(corners.map(|corner| corner + middle));
                mesh.triangles.push([first, first + 1, first + 2]);
                mesh.triangles.push([first, first + 2, first + 3]);
            }
        }
    }
    Some(
        meshes
            .into_iter()
            .zip(SHADES)
            .zip(SHADE_WORDS)
            .map(|((mesh, colour), name)| Body {
                name: name.to_owned(),
                mesh,
                colour,
                alpha: 1.0,
            })
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shades_follow_the_share_of_the_limit() {
        let shades: Vec<usize> = [0.1, 0.5, 0.51, 1.0, 1.01, f64::INFINITY]
            .into_iter()
            .map(shade)
            .collect();
        assert_eq!(shades, [0, 1, 2, 5, 6, 7]);
        assert_eq!(SHADE_WORDS.len(), SHADES.len());
    }
}
