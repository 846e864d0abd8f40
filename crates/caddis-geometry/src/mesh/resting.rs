//! How a rigid piece stands by itself on a level floor.

use super::Mesh;
use crate::plane::convex_hull;
use crate::{Vec2, Vec3};
use std::collections::BTreeMap;

/// Vertices this close to the floor bear, as a share of the largest extent (25 µm on 250 mm).
const BEARING: f64 = 1e-4;
/// Facets slimmer than this share of the largest extent point anywhere.
const SLIM: f64 = 1e-5;
/// Of the facets that point the same way to about this, radians, the largest speaks for all.
const ALIKE: f64 = 0.02;
/// Poses closer together than this, radians, are one.
const APART: f64 = 0.05;

/// One way a piece stands by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resting {
    /// Which direction of its own frame points up then, unit.
    pub up: Vec3,
    /// Height of the centre of mass above the floor, metres.
    pub centre_height: f64,
    /// Area of the hull of what touches the floor, m².
    pub footprint: f64,
    /// Least tilt, radians, at which it tips over an edge of the footprint.
    pub tip_angle: f64,
    /// Where it tips to then: a direction of its own frame, level, unit.
    pub tips_to: Vec3,
    /// How far the centre of mass rises until then, metres.
    pub rise: f64,
}

impl Mesh {
    /// Every way it stands by itself on a level floor and takes a tilt of `least_tip` (radians) before it tips, the
    /// steadiest first. `centre` is its centre of mass.
    ///
    /// A piece that rolls has no edge to tip over there: its chords stand for no pose once `least_tip` is more than half
    /// of what one of them turns.
    ///
    /// # Accuracy
    /// Poses less than 3 degrees apart are one, the steadier; what lies within 1e-4 of the largest extent of the floor
    /// bears.
    ///
    /// # Source
    /// A piece stands where its centre of mass is above the hull of its support; the tilt to an edge is atan(d / h), with d
    /// the distance to it in plan and h the height. Any text on statics; derived.
    pub fn resting(&self, centre: Vec3, least_tip: f64) -> Vec<Resting> {
        let Some(hull) = self.hull() else {
            return Vec::new();
        };
        let size = hull
            .bounds()
            .map_or(0.0, |b| b.size().x.max(b.size().y).max(b.size().z));
        let mut found: Vec<Resting> = Vec::new();
        let mut poses: Vec<Resting> = facets(&hull, size)
            .into_iter()
            .filter_map(|down| standing(&hull, centre, down, BEARING * size))
            .filter(|pose| pose.tip_angle >= least_tip)
            .collect();
        poses.sort_by(|a, b| {
            b.tip_angle
                .total_cmp(&a.tip_angle)
                .then(b.up.z.total_cmp(&a.up.z))
                .then(b.up.x.total_cmp(&a.up.x))
                .then(b.up.y.total_cmp(&a.up.y))
        });
        for pose in poses {
            if found
                .iter()
                .all(|other| other.up.cross(pose.up).length().atan2(other.up.dot(pose.up)) > APART)
            {
                found.push(pose);
            }
        }
        found
    }
}

/// Outward normals of the hull's facets, of those alike the one of the largest.
fn facets(hull: &Mesh, size: f64) -> Vec<Vec3> {
    let mut largest: BTreeMap<[i32; 3], (f64, Vec3)> = BTreeMap::new();
    for [a, b, c] in hull.corners() {
        let across = (b - a).cross(c - a);
        let area = across.length() / 2.0;
        let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
        if area <= longest * longest.min(SLIM * size) / 2.0 {
            continue;
        }
        let normal = across.unit();
        let key = [normal.x, normal.y, normal.z].map(|n| (n / ALIKE).round() as i32);
        let kept = largest.entry(key).or_insert((area, normal));
        if area > kept.0 {
            *kept = (area, normal);
        }
    }
    largest.into_values().map(|(_, normal)| normal).collect()
}

/// The pose with `down` on the floor; `None` where it would tip by itself.
fn standing(hull: &Mesh, centre: Vec3, down: Vec3, bearing: f64) -> Option<Resting> {
    let depth = hull
        .positions
        .iter()
        .map(|p| p.dot(down))
        .fold(f64::NEG_INFINITY, f64::max);
    let height = depth - centre.dot(down);
    if height <= 0.0 {
        return None;
    }
    let least = Vec3::new(down.x.abs(), down.y.abs(), down.z.abs());
    let other = if least.x <= least.y && least.x <= least.z {
        Vec3::new(1.0, 0.0, 0.0)
    } else if least.y <= least.z {
        Vec3::new(0.0, 1.0, 0.0)
    } else {
        Vec3::new(0.0, 0.0, 1.0)
    };
    let x = down.cross(other).unit();
    let y = down.cross(x);
    let flat = |p: Vec3| Vec2::new((p - centre).dot(x), (p - centre).dot(y));
    let support = convex_hull(
        hull.positions
            .iter()
            .filter(|p| p.dot(down) >= depth - bearing)
            .map(|&p| flat(p))
            .collect(),
    );
    if support.len() < 3 {
        return None;
    }
    let mut area = 0.0;
    let mut nearest: Option<(f64, Vec2)> = None;
    for (at, &a) in support.iter().enumerate() {
        let b = support[(at + 1) % support.len()];
        area += a.cross(b) / 2.0;
        let along = b - a;
        // To the right of a counter-clockwise edge is outside; the centre is the origin.
        let outward = Vec2::new(along.y, -along.x).unit();
        let distance = outward.dot(a);
        if nearest.is_none_or(|(least, _)| distance < least) {
            nearest = Some((distance, outward));
        }
    }
    let (distance, outward) = nearest?;
    if distance <= 0.0 {
        return None;
    }
    Some(Resting {
        up: Vec3::ZERO - down,
        centre_height: height,
        footprint: area,
        tip_angle: distance.atan2(height),
        tips_to: x * outward.x + y * outward.y,
        rise: distance.hypot(height) - height,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Contour, Region};
    use std::f64::consts::{FRAC_PI_4, PI};

    const LEAST: f64 = 0.087;

    fn close(what: &str, got: f64, want: f64, within: f64) {
        assert!((got - want).abs() <= within, "{what}: {got}, not {want}");
    }

    #[test]
    fn a_box_stands_on_six_sides() {
        let mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.2, 0.1));
        let poses = mesh.resting(Vec3::new(0.15, 0.1, 0.05), LEAST);
        assert_eq!(poses.len(), 6, "{poses:?}");
        // The flattest first: it tips over its long edge.
        close("tip", poses[0].tip_angle, (0.1_f64 / 0.05).atan(), 1e-6);
        close("height", poses[0].centre_height, 0.05, 1e-9);
        close("footprint", poses[0].footprint, 0.06, 1e-9);
        close("rise", poses[0].rise, 0.1_f64.hypot(0.05) - 0.05, 1e-9);
        close("tips across", poses[0].tips_to.y.abs(), 1.0, 1e-6);
        close("last", poses[5].tip_angle, (0.05_f64 / 0.15).atan(), 1e-6);
    }

    #[test]
    fn a_heavy_end_takes_sides_away() {
        let mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.2, 0.1));
        // The mass at one end, high up: on the end it stands steadier, on the far end it tips sooner.
        let poses = mesh.resting(Vec3::new(0.29, 0.1, 0.05), LEAST);
        let on = |up: Vec3| {
            poses
                .iter()
                .find(|pose| pose.up.dot(up) > 0.99)
                .map(|pose| pose.tip_angle)
        };
        close(
            "on the heavy end",
            on(Vec3::new(-1.0, 0.0, 0.0)).expect("stands"),
            (0.05_f64 / 0.01).atan(),
            1e-6,
        );
        close(
            "flat, over the heavy end",
            on(Vec3::new(0.0, 0.0, 1.0)).expect("stands"),
            (0.01_f64 / 0.05).atan(),
            1e-6,
        );
        // On the light end the mass is high above a small foot: atan(0.05 / 0.29) is more than the least all the same.
        close(
            "on the light end",
            on(Vec3::new(1.0, 0.0, 0.0)).expect("stands"),
            (0.05_f64 / 0.29).atan(),
            1e-6,
        );
    }

    #[test]
    fn a_cylinder_stands_on_its_ends_and_rolls_on_its_side() {
        let profile = [(0.0, 0.0), (0.04, 0.0), (0.04, 0.12), (0.0, 0.12)].map(|(r, z)| Vec2::new(r, z));
        let mesh = Mesh::revolved(&profile, 64);
        let poses = mesh.resting(Vec3::new(0.0, 0.0, 0.06), LEAST);
        assert_eq!(poses.len(), 2, "{poses:?}");
        // To the chord's middle.
        let edge = 0.04 * (PI / 64.0).cos();
        close("tip", poses[0].tip_angle, (edge / 0.06).atan(), 1e-6);
        assert!(poses.iter().all(|pose| pose.up.z.abs() > 0.999_999));
    }

    #[test]
    fn a_wedge_stands_on_its_long_sides_only() {
        // A right triangle with legs 4 and 3, 1 high: its centre lies a third from either leg, 0.8 from the slope.
        let triangle = Contour::polygon(vec![Vec2::ZERO, Vec2::new(0.4, 0.0), Vec2::new(0.0, 0.3)]);
        let mesh = Mesh::prism(&Region::from_contours(&[triangle]), 0.0, 0.1);
        let centre = mesh.mass_properties().centre;
        let poses = mesh.resting(centre, LEAST);
        assert_eq!(poses.len(), 5, "{poses:?}");
        let slope = Vec3::new(-0.6, -0.8, 0.0);
        let on_slope = poses
            .iter()
            .find(|pose| pose.up.dot(slope) > 0.999)
            .expect("it lies on its slope");
        close("height over the slope", on_slope.centre_height, 0.08, 1e-9);
        // Along the slope its centre lies 0.18 from one end, across it half its thickness.
        close(
            "tip from the slope",
            on_slope.tip_angle,
            (0.05_f64 / 0.08).atan(),
            1e-6,
        );
    }

    #[test]
    fn what_leans_too_far_does_not_stand() {
        // A prism sheared so far that its centre is beyond its foot.
        let mut mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.1, 0.3));
        for p in &mut mesh.positions {
            p.x += p.z * FRAC_PI_4.tan();
        }
        let poses = mesh.resting(mesh.mass_properties().centre, LEAST);
        assert!(poses.iter().all(|pose| pose.up.z.abs() < 0.99), "{poses:?}");
    }
}
