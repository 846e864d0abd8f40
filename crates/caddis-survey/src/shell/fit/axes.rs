//! Which way is up in a scan, and along which way its walls run.

use super::FitError;
use super::sample::Sample;
use caddis_geometry::{Pose, Vec3};
use std::f64::consts::{FRAC_PI_2, PI};

/// A floor is looked for within this of the file's z, degrees.
pub(super) const MOST_TILT: f64 = 35.0;
/// Spacing of the directions tried, degrees.
const SPACING: f64 = 2.5;
/// A normal belongs to a direction within this, degrees.
const NEAR: f64 = 10.0;
/// Less of the surface than this is no floor.
const LEAST_FLOOR: f64 = 0.04;

/// The rotation that takes the scan upright, with its longer side along x; of the two ways round the nearer to the file's.
///
/// # Errors
/// Nothing flat lies within 35 degrees of level; nothing stands up.
pub(super) fn upright(samples: &[Sample]) -> Result<Pose, FitError> {
    let up = up(samples)?;
    let level = to_z(up);
    // Walls: their normals in plan, four-fold.
    let (mut sin, mut cos) = (0.0, 0.0);
    let mut walls = 0_usize;
    for sample in samples {
        let n = level.turn(sample.normal);
        if n.z.abs() < 0.35 {
            let angle = n.y.atan2(n.x) * 4.0;
            sin += angle.sin();
            cos += angle.cos();
            walls += 1;
        }
    }
    if walls * 50 < samples.len() {
        return Err(FitError::NoWalls);
    }
    let mut yaw = sin.atan2(cos) / 4.0;
    // Corners and round housings blur the mean: only normals near a wall's count in the end.
    for near in [0.5, 0.25, 0.12, 0.12] {
        let (mut sum, mut count) = (0.0, 0.0);
        for sample in samples {
            let n = level.turn(sample.normal);
            if n.z.abs() < 0.35 {
                let off = (n.y.atan2(n.x) - yaw + PI / 4.0).rem_euclid(FRAC_PI_2) - PI / 4.0;
                if off.abs() < near {
                    sum += off;
                    count += 1.0;
                }
            }
        }
        if count > 0.0 {
            yaw += sum / count;
        }
    }
    let mut pose = level.then(&Pose::about_z(-yaw));
    let spans = |pose: &Pose, along: fn(Vec3) -> f64| {
        let mut at: Vec<f64> = samples.iter().map(|s| along(pose.apply(s.at))).collect();
        super::sample::quantile(&mut at, 0.999) - super::sample::quantile(&mut at, 0.001)
    };
    if spans(&pose, |p| p.y) > spans(&pose, |p| p.x) {
        // Whichever quarter turn leaves x nearer to the file's.
        let turns = [FRAC_PI_2, -FRAC_PI_2].map(|turn| pose.then(&Pose::about_z(turn)));
        let [a, b] = turns;
        pose = if a.rotation[0].x >= b.rotation[0].x { a } else { b };
    }
    if pose.rotation[0].x < 0.0 {
        pose = pose.then(&Pose::about_z(PI));
    }
    Ok(pose)
}

/// The direction in which most of the surface faces, near the file's z.
fn up(samples: &[Sample]) -> Result<Vec3, FitError> {
    let near = NEAR.to_radians().cos();
    let faces = |up: Vec3, cos: f64| samples.iter().filter(move |s| s.normal.dot(up).abs() > cos);
    let thin: Vec<&Sample> = samples.iter().step_by((samples.len() / 4000).max(1)).collect();
    let mut best = (0, Vec3::new(0.0, 0.0, 1.0));
    let rings = (MOST_TILT / SPACING) as u32;
    for ring in 0..=rings {
        let tilt = (f64::from(ring) * SPACING).to_radians();
        let turns = ((2.0 * PI * tilt.sin() / SPACING.to_radians()).ceil() as u32).max(1);
        for turn in 0..turns {
            let angle = 2.0 * PI * f64::from(turn) / f64::from(turns);
            let up = Vec3::new(tilt.sin() * angle.cos(), tilt.sin() * angle.sin(), tilt.cos());
            let votes = thin.iter().filter(|s| s.normal.dot(up).abs() > near).count();
            if votes > best.0 {
                best = (votes, up);
            }
        }
    }
    if (best.0 as f64) < LEAST_FLOOR * thin.len() as f64 {
        return Err(FitError::NoFloor);
    }
    let mut up = best.1;
    for degrees in [NEAR, NEAR, 8.0, 8.0] {
        let mut sum = Vec3::ZERO;
        for sample in faces(up, f64::to_radians(degrees).cos()) {
            let sign = if sample.normal.dot(up) < 0.0 { -1.0 } else { 1.0 };
            sum += sample.normal * sign;
        }
        if sum.length() > 0.0 {
            up = sum.unit();
        }
    }
    Ok(up)
}

/// The least rotation that takes a direction to z.
fn to_z(up: Vec3) -> Pose {
    let z = Vec3::new(0.0, 0.0, 1.0);
    let axis = up.cross(z);
    let sin = axis.length();
    let cos = up.dot(z);
    if sin < 1e-15 {
        return Pose::IDENTITY;
    }
    let k = axis / sin;
    let row = |e: Vec3| {
        // Rodrigues' formula, transposed rows: v' = v cos + (k x v) sin + k (k.v)(1 - cos).
        e * cos + e.cross(k) * sin + k * (k.dot(e) * (1.0 - cos))
    };
    Pose {
        rotation: [
            row(Vec3::new(1.0, 0.0, 0.0)),
            row(Vec3::new(0.0, 1.0, 0.0)),
            row(Vec3::new(0.0, 0.0, 1.0)),
        ],
        translation: Vec3::ZERO,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_direction_is_taken_to_z() {
        for up in [
            Vec3::new(0.3, -0.2, 0.9),
            Vec3::new(0.0, 0.1, 1.0),
            Vec3::new(0.0, 0.0, 1.0),
        ] {
            let up = up.unit();
            let there = to_z(up).turn(up);
            assert!(there.distance(Vec3::new(0.0, 0.0, 1.0)) < 1e-12, "{there:?}");
            let [a, b, c] = to_z(up).rotation;
            assert!((a.cross(b).dot(c) - 1.0).abs() < 1e-12);
        }
    }
}
