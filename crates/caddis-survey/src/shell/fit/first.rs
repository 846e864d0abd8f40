//! A first guess of floor, walls, corner radii and fillet.

use super::FitError;
use super::sample::{Sample, quantile};
use super::walls::{End, Segment, Walls};

/// What the arc of a rounded corner leaves of the sharp one: least of u + v over radius, 2 - sqrt(2).
const ARC_SHARE: f64 = 2.0 - std::f64::consts::SQRT_2;

/// A first guess: the outermost matter in slices, what the corners cut off, what the fillet cuts off.
pub(super) fn first(samples: &[Sample], depth: f64) -> Result<Walls, FitError> {
    const SLICES: usize = 14;
    // Clear of a large fillet, and of the rim.
    let (low, high) = (0.2 * depth, 0.97 * depth);
    let slice_of = |z: f64| ((z - low) / (high - low) * SLICES as f64).floor();
    let mut slices: Vec<[Vec<f64>; 4]> = (0..SLICES).map(|_| Default::default()).collect();
    for sample in samples {
        let slice = slice_of(sample.at.z);
        if slice >= 0.0 && slice < SLICES as f64 && sample.normal.z.abs() < 0.5 {
            let (x, y) = (sample.at.x, sample.at.y);
            for (list, value) in slices[slice as usize].iter_mut().zip([-x, x, -y, y]) {
                list.push(value);
            }
        }
    }
    let mut foot = [0.0; 4];
    let mut lean = [0.0; 4];
    for wall in 0..4 {
        let line: Vec<(f64, f64)> = slices
            .iter_mut()
            .enumerate()
            .filter(|(_, lists)| lists[wall].len() >= 40)
            .map(|(k, lists)| {
                let z = low + (high - low) * (k as f64 + 0.5) / SLICES as f64;
                (z, quantile(&mut lists[wall], 0.97))
            })
            .collect();
        if line.len() < 3 {
            return Err(FitError::NoWalls);
        }
        let mut slopes: Vec<f64> = (0..line.len())
            .flat_map(|a| (0..a).map(move |b| (a, b)))
            .map(|(a, b)| (line[a].1 - line[b].1) / (line[a].0 - line[b].0))
            .collect();
        lean[wall] = quantile(&mut slopes, 0.5).clamp(-0.2, 0.5);
        let mut feet: Vec<f64> = line.iter().map(|(z, out)| out - lean[wall] * z).collect();
        let sign = if wall % 2 == 0 { -1.0 } else { 1.0 };
        foot[wall] = sign * quantile(&mut feet, 0.5);
    }
    let mut walls = Segment {
        from: 0.0,
        is_ledge: false,
        foot,
        lean,
        radius: 0.0,
        growth: 0.0,
    };
    // Corners, in the upper half, where housings are fewer: the middle two of the four decide.
    let mut corners: [Vec<f64>; 4] = Default::default();
    let mut edges = Vec::new();
    for sample in samples {
        let at = walls.at(sample.at.z);
        let from = sample.at.plan() - at.centre;
        let (u, v) = (at.half.x - from.x.abs(), at.half.y - from.y.abs());
        if sample.at.z > 0.5 * depth && sample.at.z < high && sample.normal.z.abs() < 0.5 {
            let corner = usize::from(from.x > 0.0) + 2 * usize::from(from.y > 0.0);
            corners[corner].push(u + v);
        }
        if sample.at.z < 0.3 * depth && u.max(v) > 0.3 * at.half.x.min(at.half.y) {
            edges.push(u.min(v) + sample.at.z);
        }
    }
    let mut radii: Vec<f64> = corners
        .iter_mut()
        .filter(|cut| cut.len() >= 20)
        .map(|cut| quantile(cut, 0.003).max(0.0) / ARC_SHARE)
        .collect();
    let most = walls.at(0.0).half.x.min(walls.at(0.0).half.y);
    walls.radius = quantile(&mut radii, 0.5).clamp(2e-3, (0.8 * most).max(3e-3));
    let fillet = (quantile(&mut edges, 0.003).max(0.0) / ARC_SHARE).clamp(1e-3, 0.4 * depth);
    Ok(Walls {
        pose: [0.0; 4],
        segments: vec![walls],
        end: End::Fillet(fillet),
    })
}
