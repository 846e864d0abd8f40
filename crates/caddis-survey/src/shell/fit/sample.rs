//! Points spread evenly over a mesh.

use caddis_geometry::{Mesh, Pose, Vec3};

/// A point of the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub(super) at: Vec3,
    /// Unit normal of its triangle, of either sense.
    pub(super) normal: Vec3,
    /// Where it lay in the file.
    pub(super) from: Vec3,
}

impl Sample {
    pub(super) fn posed(&self, pose: &Pose) -> Self {
        Self {
            at: pose.apply(self.at),
            normal: pose.turn(self.normal),
            from: self.from,
        }
    }
}

/// About `count` points, each standing for the same area. Deterministic.
///
/// # Source
/// Low-discrepancy additive sequence of the plastic number (M. Roberts, 2018; from memory), folded into the triangle.
pub(super) fn spread(mesh: &Mesh, count: usize) -> Vec<Sample> {
    const STEP: [f64; 2] = [0.754_877_666_246_692_8, 0.569_840_290_998_053_3];
    let area = |[a, b, c]: [Vec3; 3]| (b - a).cross(c - a).length() / 2.0;
    let total: f64 = mesh.corners().map(area).filter(|area| area.is_finite()).sum();
    if total.is_nan() || total <= 0.0 {
        return Vec::new();
    }
    let quantum = total / count as f64;
    let mut samples = Vec::with_capacity(count + 1);
    let (mut carry, mut u, mut v) = (0.5 * quantum, 0.5, 0.5);
    for corners in mesh.corners() {
        let own = area(corners);
        if !own.is_finite() || own <= 0.0 {
            continue;
        }
        carry += own;
        let [a, b, c] = corners;
        let normal = (b - a).cross(c - a).unit();
        while carry >= quantum {
            carry -= quantum;
            u = (u + STEP[0]).fract();
            v = (v + STEP[1]).fract();
            let (s, t) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
            let at = a + (b - a) * s + (c - a) * t;
            samples.push(Sample { at, normal, from: at });
        }
    }
    samples
}

/// The value below which a share of the values lies; zero of none.
pub(super) fn quantile(values: &mut [f64], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let index = ((values.len() - 1) as f64 * share.clamp(0.0, 1.0)).round() as usize;
    *values.select_nth_unstable_by(index, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_spread_by_area() {
        let mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.2, 0.1));
        let samples = spread(&mesh, 11_000);
        assert!((samples.len() as f64 - 11_000.0).abs() < 2.0, "{}", samples.len());
        let on_top = samples.iter().filter(|s| (s.at.z - 0.1).abs() < 1e-12).count();
        assert!((on_top as f64 - 3000.0).abs() < 5.0, "{on_top}");
        let left = samples.iter().filter(|s| s.at.x < 0.15).count();
        assert!((left as f64 / samples.len() as f64 - 0.5).abs() < 0.01, "{left}");
        assert!(spread(&Mesh::default(), 100).is_empty());
    }
}
