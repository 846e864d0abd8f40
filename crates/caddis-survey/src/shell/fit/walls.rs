//! Floor, walls, corner radii and fillet of one half, from samples of its surface.

use super::FitError;
use super::sample::{Sample, quantile};
use super::solve::{Fitting, fit};
use crate::shell::rounded::Rounded;
use caddis_geometry::{Pose, Vec2, Vec3};

/// Samples a fit uses at most.
const MOST_SAMPLES: usize = 24_000;
/// What the arc of a rounded corner leaves of the sharp one: least of u + v over radius, 2 - sqrt(2).
const ARC_SHARE: f64 = 2.0 - std::f64::consts::SQRT_2;

/// A half in its own coordinates: plan, and height over floor or crown towards the rim. What is tilted, turned or shifted
/// is small here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Walls {
    /// Tilt about x and y, turn about z, radians; level, metres.
    pub(super) pose: [f64; 4],
    /// Left, right, front and back wall at the floor, metres.
    pub(super) foot: [f64; 4],
    /// How far each leans out per metre of height.
    pub(super) lean: [f64; 4],
    /// Corner radius at the floor, and how much it grows per metre.
    pub(super) radius: f64,
    pub(super) growth: f64,
    pub(super) fillet: f64,
}

/// The walls found, and how well.
#[derive(Debug, Clone)]
pub(super) struct FittedWalls {
    pub(super) walls: Walls,
    /// Standard deviations in the order of the numbers of [`Walls`].
    pub(super) deviations: Vec<f64>,
    /// Robust standard deviation of the surface about the walls.
    pub(super) spread: f64,
}

impl Walls {
    fn of(x: &[f64]) -> Self {
        let four = |from: usize| [x[from], x[from + 1], x[from + 2], x[from + 3]];
        Self {
            pose: four(0),
            foot: four(4),
            lean: four(8),
            radius: x[12],
            growth: x[13],
            fillet: x[14],
        }
    }

    fn numbers(&self) -> Vec<f64> {
        let mut x = Vec::with_capacity(15);
        x.extend(self.pose);
        x.extend(self.foot);
        x.extend(self.lean);
        x.extend([self.radius, self.growth, self.fillet]);
        x
    }

    /// The walls at a height.
    pub(super) fn at(&self, h: f64) -> Rounded {
        let [left, right, front, back] = [
            self.foot[0] - self.lean[0] * h,
            self.foot[1] + self.lean[1] * h,
            self.foot[2] - self.lean[2] * h,
            self.foot[3] + self.lean[3] * h,
        ];
        Rounded::new(
            Vec2::new(left + right, front + back) / 2.0,
            Vec2::new(right - left, back - front) / 2.0,
            self.radius + self.growth * h,
        )
    }

    /// The small motion that takes samples into these walls' own frame.
    pub(super) fn motion(&self) -> Pose {
        let [a, b, turn, level] = self.pose;
        let about_x = Pose {
            rotation: [
                Vec3::new(1.0, 0.0, 0.0),
                Vec3::new(0.0, a.cos(), -a.sin()),
                Vec3::new(0.0, a.sin(), a.cos()),
            ],
            translation: Vec3::ZERO,
        };
        let about_y = Pose {
            rotation: [
                Vec3::new(b.cos(), 0.0, b.sin()),
                Vec3::new(0.0, 1.0, 0.0),
                Vec3::new(-b.sin(), 0.0, b.cos()),
            ],
            translation: Vec3::ZERO,
        };
        about_x
            .then(&about_y)
            .then(&Pose::about_z(turn))
            .then(&Pose::translation(Vec3::new(0.0, 0.0, -level)))
    }

    /// How far a point stands inside floor, fillet and walls (negative: outside), in their own frame.
    pub(super) fn inside(&self, p: Vec3) -> f64 {
        let beside = -self.at(p.z).signed_distance(p.plan());
        let (f, h) = (self.fillet, p.z);
        if beside < f && h < f {
            f - (f - beside).hypot(f - h)
        } else {
            beside.min(h)
        }
    }
}

/// Fits a half to samples that stand about upright, floor (or crown) lowest, its level about zero; `depth` is about where
/// its rim is.
///
/// # Errors
/// Walls that cannot be told from what stands in front of them.
pub(super) fn fit_walls(samples: &[Sample], depth: f64) -> Result<FittedWalls, FitError> {
    let start = first(samples, depth)?;
    let used: Vec<Sample> = samples
        .iter()
        // A lid over the opening, as mending a mesh leaves it, is no wall.
        .filter(|s| s.at.z < depth && !(s.normal.z.abs() > 0.7 && s.at.z > 0.9 * depth))
        .copied()
        .collect();
    let used: Vec<Sample> = used
        .iter()
        .step_by((used.len() / MOST_SAMPLES).max(1))
        .copied()
        .collect();
    let mut least = vec![f64::NEG_INFINITY; 15];
    (least[12], least[14]) = (0.0, 0.0);
    let fitting = Fitting {
        steps: &[
            1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-3, 1e-4,
        ],
        least: &least,
        scales: &[12e-3, 6e-3, 3e-3, 1.5e-3, 1.5e-3],
        least_spread: 2e-5,
    };
    let fitted = fit(
        &start.numbers(),
        &used,
        &fitting,
        |x| {
            let walls = Walls::of(x);
            (walls, walls.motion())
        },
        |(walls, motion), sample| walls.inside(motion.apply(sample.at)),
    );
    let walls = Walls::of(&fitted.unknowns);
    let rim = walls.at(depth);
    if !(rim.half.x > 0.0 && rim.half.y > 0.0) {
        return Err(FitError::NoWalls);
    }
    Ok(FittedWalls {
        walls,
        deviations: fitted.deviations,
        spread: fitted.spread,
    })
}

/// A first guess: the outermost matter in slices, what the corners cut off, what the fillet cuts off.
fn first(samples: &[Sample], depth: f64) -> Result<Walls, FitError> {
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
    let mut walls = Walls {
        pose: [0.0; 4],
        foot,
        lean,
        radius: 0.0,
        growth: 0.0,
        fillet: 0.0,
    };
    // Corners, in the upper half, where housings are fewer: the middle two of the four decide.
    let mut corners: [Vec<f64>; 4] = Default::default();
    let mut edges = Vec::new();
    for sample in samples {
        let walls = walls.at(sample.at.z);
        let from = sample.at.plan() - walls.centre;
        let (u, v) = (walls.half.x - from.x.abs(), walls.half.y - from.y.abs());
        if sample.at.z > 0.5 * depth && sample.at.z < high && sample.normal.z.abs() < 0.5 {
            let corner = usize::from(from.x > 0.0) + 2 * usize::from(from.y > 0.0);
            corners[corner].push(u + v);
        }
        if sample.at.z < 0.3 * depth && u.max(v) > 0.3 * walls.half.x.min(walls.half.y) {
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
    walls.fillet = (quantile(&mut edges, 0.003).max(0.0) / ARC_SHARE).clamp(1e-3, 0.4 * depth);
    Ok(walls)
}
