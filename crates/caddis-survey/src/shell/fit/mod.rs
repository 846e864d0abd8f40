//! From a scan or a drawing of the interior surface to a survey.
//!
//! Guarantees: what is named was found in the surface, with how far it may be off; what could not be explained is counted,
//! placed and said. Odd outlines are not recovered: they stay in the unexplained.

mod axes;
mod breaks;
mod cut;
mod ends;
mod first;
mod form;
mod motion;
mod recovered;
mod residual;
mod sample;
mod solve;
mod stands;
#[cfg(test)]
mod tests;
mod walls;

pub use recovered::{ScanFit, Supplied};
pub use residual::{HalfResidual, Residual};

use super::HalfSide;
use breaks::{pieces, slices};
use caddis_basis::Length;
use caddis_geometry::{Mesh, Vec3};
use form::{fit_half, refit};
use motion::Motion;
use sample::{Sample, quantile, spread};
use stands::{Odd, Stand, stands};
use walls::{FittedWalls, Walls};

/// Points spread over each surface.
const SAMPLES: usize = 120_000;
/// Matter stands in where it stands off floor and walls by more than this, or by more than a few spreads, metres.
const STANDS_IN: f64 = 1.2e-3;
/// Half-width of a slice in which the parting is looked for, metres.
const SLICE: f64 = 2e-3;

/// A level surface so near to the end of the scan is its end, metres.
const LEVEL_OFF: f64 = 8e-3;
/// How far a first guess of the parting may be off, as a share of the height.
const PARTING_OFF: f64 = 0.04;
/// How far below the rim plane matter is no longer looked for, metres.
const RIM_LEFT_OUT: f64 = 3e-3;
/// Directions in which the upper edge of open walls is looked for.
const SECTORS: usize = 72;

/// Why a scan gave no survey.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Next to nothing in it.
    #[error(
        "the surface holds {triangles} triangles over {area_cm2:.0} cm²; give the scan of a whole interior, in the right unit"
    )]
    TooLittle {
        /// Triangles.
        triangles: usize,
        /// Their area.
        area_cm2: f64,
    },
    /// No floor.
    #[error("no flat floor lies within 35 deg of level; turn the scan so that z points up")]
    NoFloor,
    /// No walls.
    #[error("no four walls stand around the floor; give the whole interior of a case, not a part of it")]
    NoWalls,
    /// No place where base and lid part.
    #[error(
        "the walls have no kink where base and lid part; give the height of the rim plane over the floor"
    )]
    NoParting,
    /// The stated rim plane is not between floor and crown.
    #[error(
        "the rim plane at {rim} does not lie between floor and crown, which are {height} apart; give its height over the floor"
    )]
    RimOutside {
        /// As stated.
        rim: Length,
        /// Floor to crown.
        height: Length,
    },
}

/// A half found in a scan, in its own coordinates: plan, and height over floor or crown.
#[derive(Debug, Clone)]
struct FoundHalf {
    side: HalfSide,
    fitted: FittedWalls,
    depth: f64,
    /// How far its rim may be off.
    depth_off: f64,
    stands: Vec<Stand>,
    odd: Vec<Odd>,
    residual: HalfResidual,
    /// From the file to here.
    motion: Option<Motion>,
}

/// Fits a base and, in a mesh of its own, a lid; without one the mesh is of the whole interior, or of a base alone.
///
/// The base lies with its floor down and x about along its length (within 45 degrees); z points up within 35 degrees. A lid
/// may lie either way up. `rim` is the height of the rim plane over the floor where it is known.
///
/// # Errors
/// See [`FitError`].
pub fn fit_scan(base: &Mesh, lid: Option<&Mesh>, rim: Option<Length>) -> Result<ScanFit, FitError> {
    let mut samples = sampled(base)?;
    let pose = axes::upright(&samples)?;
    samples = samples.iter().map(|s| s.posed(&pose)).collect();
    centre(&mut samples);
    let (low, high) = ends(&samples);
    raise(&mut samples, low);
    let height = high - low;
    if let Some(lid) = lid {
        let found = half(HalfSide::Base, &samples, open(&samples, height, rim), None)?;
        let mut lid_samples = sampled(lid)?;
        let pose = axes::upright(&lid_samples)?;
        lid_samples = lid_samples.iter().map(|s| s.posed(&pose)).collect();
        centre(&mut lid_samples);
        let (lid_low, lid_high) = ends(&lid_samples);
        // A lid's crown is where its plan is smaller.
        let is_turned = widens(&lid_samples, lid_low, lid_high) > 0.0;
        if is_turned {
            // About its length, as an opened lid lies beside its base.
            turn_over(&mut lid_samples);
        }
        let (_, top) = ends(&lid_samples);
        let mut lid_samples = mirrored(&lid_samples);
        raise(&mut lid_samples, -top);
        let lid_found = half(
            HalfSide::Lid,
            &lid_samples,
            open(&lid_samples, lid_high - lid_low, None),
            None,
        )?;
        return Ok(ScanFit::of(&found, Some(&lid_found), false, is_turned));
    }
    let Some(guess) = parting(&samples, height, rim)? else {
        return Ok(ScanFit::of(
            &half(HalfSide::Base, &samples, open(&samples, height, rim), None)?,
            None,
            false,
            false,
        ));
    };
    // Whole: upright by the base's own floor and walls first, for both halves are to have the same axes.
    let below: Vec<Sample> = samples.iter().filter(|s| s.at.z < guess).copied().collect();
    let below_guess = clear_of(guess, height, rim);
    let motion = fit_half(&below, below_guess)?.walls.motion();
    samples = samples.iter().map(|s| s.posed(&motion)).collect();
    centre(&mut samples);
    let (low, high) = ends(&samples);
    raise(&mut samples, low);
    let height = high - low;
    let parting = parting(&samples, height, rim)?.unwrap_or(guess);
    // Then the rim plane where their walls meet.
    let below: Vec<Sample> = samples.iter().filter(|s| s.at.z < parting).copied().collect();
    let mut above: Vec<Sample> = samples.iter().filter(|s| s.at.z >= parting).copied().collect();
    let mut lid = mirrored(&above);
    raise(&mut lid, -height);
    let first = (
        fit_half(&below, clear_of(parting, height, rim))?,
        fit_half(&lid, clear_of(height - parting, height, rim))?,
    );
    let met = if rim.is_some() {
        None
    } else {
        meet(&first.0, &first.1, height)
    };
    let depth = met.unwrap_or(parting).clamp(0.05 * height, 0.95 * height);
    let below: Vec<Sample> = samples.iter().filter(|s| s.at.z < depth).copied().collect();
    above = samples.iter().filter(|s| s.at.z >= depth).copied().collect();
    let mut lid = mirrored(&above);
    raise(&mut lid, -height);
    let mut base = half(HalfSide::Base, &below, Depth::Known(depth), Some(first.0.walls))?;
    let mut lid = half(
        HalfSide::Lid,
        &lid,
        Depth::Known(height - depth),
        Some(first.1.walls),
    )?;
    // Floor and crown as fitted are the ends, not the first guess of their levels.
    let (floor, crown) = (base.fitted.walls.pose[3], height - lid.fitted.walls.pose[3]);
    base.depth = depth - floor;
    lid.depth = crown - depth;
    let off = if rim.is_some() { 1e-3 } else { 2e-3 };
    (base.depth_off, lid.depth_off) = (off, off);
    Ok(ScanFit::of(&base, Some(&lid), true, false))
}

/// A half's depth short of the parting: near a guess walls may count to the wrong half, and are left out until the lines
/// have met.
fn clear_of(depth: f64, height: f64, rim: Option<Length>) -> f64 {
    if rim.is_some() {
        depth
    } else {
        depth - (PARTING_OFF * height).min(0.25 * depth)
    }
}

/// About where base and lid part; `None` where there is a base alone.
fn parting(samples: &[Sample], height: f64, rim: Option<Length>) -> Result<Option<f64>, FitError> {
    let Some(rim) = rim else {
        return kink(samples, height);
    };
    let stated = rim.si();
    if stated > 0.0 && stated <= height + 1e-3 {
        Ok((stated < 0.97 * height).then_some(stated))
    } else {
        Err(FitError::RimOutside {
            rim,
            height: Length::from_si(height),
        })
    }
}

fn sampled(mesh: &Mesh) -> Result<Vec<Sample>, FitError> {
    let samples = spread(mesh, SAMPLES);
    let area: f64 = mesh
        .corners()
        .map(|[a, b, c]| (b - a).cross(c - a).length() / 2.0)
        .filter(|area| area.is_finite())
        .sum();
    // A matchbox is smaller than any case; a wrong unit makes one of either kind.
    if samples.len() < 1000 || !(5e-3..100.0).contains(&area) {
        return Err(FitError::TooLittle {
            triangles: mesh.triangles.len(),
            area_cm2: area * 1e4,
        });
    }
    Ok(samples)
}

/// Puts the middle of the plan over the origin: what tilts and turns a little then moves no level.
fn centre(samples: &mut [Sample]) {
    let middle = |along: fn(&Sample) -> f64| {
        let mut values: Vec<f64> = samples.iter().map(along).collect();
        f64::midpoint(quantile(&mut values, 0.002), quantile(&mut values, 0.998))
    };
    let middle = Vec3::new(middle(|s| s.at.x), middle(|s| s.at.y), 0.0);
    for sample in samples {
        sample.at -= middle;
    }
}

fn raise(samples: &mut [Sample], level: f64) {
    for sample in samples {
        sample.at.z -= level;
    }
}

/// Heights become depths: what was up is down, seen from above all the same.
fn mirrored(samples: &[Sample]) -> Vec<Sample> {
    let flip = |v: Vec3| Vec3::new(v.x, v.y, -v.z);
    samples
        .iter()
        .map(|s| Sample {
            at: flip(s.at),
            normal: flip(s.normal),
            from: s.from,
        })
        .collect()
}

fn turn_over(samples: &mut [Sample]) {
    let turn = |v: Vec3| Vec3::new(v.x, -v.y, -v.z);
    for sample in samples {
        *sample = Sample {
            at: turn(sample.at),
            normal: turn(sample.normal),
            from: sample.from,
        };
    }
}

/// The lowest and the highest level: of the level surface where there is much of it, else the surface's end.
fn ends(samples: &[Sample]) -> (f64, f64) {
    const BIN: f64 = 1e-3;
    let mut all: Vec<f64> = samples.iter().map(|s| s.at.z).collect();
    let (low, high) = (quantile(&mut all, 0.0005), quantile(&mut all, 0.9995));
    let bins = ((high - low) / BIN) as usize + 1;
    let mut level = vec![0_usize; bins.min(100_000)];
    for sample in samples.iter().filter(|s| s.normal.z.abs() > 0.9) {
        let bin = (sample.at.z - low) / BIN;
        if bin >= 0.0
            && let Some(count) = level.get_mut(bin as usize)
        {
            *count += 1;
        }
    }
    let flat: usize = level.iter().sum();
    // Three bins together hold a floor that noise has spread.
    let around = |k: usize| -> usize { level[k.saturating_sub(1)..(k + 2).min(level.len())].iter().sum() };
    let is_floor = |k: usize| around(k) * 8 > flat;
    let of = |k: usize| {
        let centre = low + (k as f64 + 0.5) * BIN;
        let mut near: Vec<f64> = samples
            .iter()
            .filter(|s| s.normal.z.abs() > 0.9 && (s.at.z - centre).abs() < 2.5 * BIN)
            .map(|s| s.at.z)
            .collect();
        quantile(&mut near, 0.5)
    };
    // A ledge in the walls of an open half is level too, but is neither its end nor most of what is level.
    let most = (0..level.len()).map(around).max().unwrap_or(0);
    let is_end = |k: &usize, end: f64| {
        let off = (low + (*k as f64 + 0.5) * BIN - end).abs();
        is_floor(*k) && (off < LEVEL_OFF || around(*k) * 2 > most)
    };
    let bottom = (0..level.len()).find(|k| is_end(k, low)).map_or(low, of);
    let top = (0..level.len()).rev().find(|k| is_end(k, high)).map_or(high, of);
    // One level only: the other end is the surface's.
    if top - bottom < 0.2 * (high - low) {
        if bottom - low < high - top {
            (bottom, high)
        } else {
            (low, top)
        }
    } else {
        (bottom, top)
    }
}

/// How far the outermost matter reaches out in a slice, over all four walls.
fn reach(samples: &[Sample], from: f64, to: f64) -> Option<f64> {
    let mut lists: [Vec<f64>; 4] = Default::default();
    for s in samples {
        if s.at.z >= from && s.at.z < to && s.normal.z.abs() < 0.5 {
            for (list, value) in lists.iter_mut().zip([-s.at.x, s.at.x, -s.at.y, s.at.y]) {
                list.push(value);
            }
        }
    }
    (lists[0].len() >= 60).then(|| lists.iter_mut().map(|list| quantile(list, 0.97)).sum())
}

/// By how much the plan is wider near the high end than near the low one.
fn widens(samples: &[Sample], low: f64, high: f64) -> f64 {
    let at = |share: f64| low + (high - low) * share;
    let below = reach(samples, at(0.2), at(0.4));
    let above = reach(samples, at(0.6), at(0.8));
    below.zip(above).map_or(0.0, |(below, above)| above - below)
}

/// The height at which straight pieces of the walls stop widening and narrow from there; `None` where none do.
fn widest(samples: &[Sample], height: f64) -> Option<f64> {
    let pieces = pieces(&slices(samples, 1e-3, height - 1e-3));
    pieces
        .windows(2)
        .filter(|pair| {
            let (below, above) = (&pair[0], &pair[1]);
            let narrows = above.reach(above.to) - above.reach(above.from);
            let long = above.to - above.from;
            // By half a degree a side or more, four sides together.
            narrows < -0.02 * long && long > 0.04 * height && below.lean.iter().sum::<f64>() > -0.02
        })
        .map(|pair| (pair[1].from, pair[1].reach(pair[1].from)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(at, _)| at)
}

/// The height at which the plan is widest, where it narrows again above; `None` when it never narrows.
fn kink(samples: &[Sample], height: f64) -> Result<Option<f64>, FitError> {
    if let Some(at) = widest(samples, height) {
        return Ok(Some(at));
    }
    let count = (height / (2.0 * SLICE)) as usize;
    let line: Vec<(f64, f64)> = (0..count)
        .filter_map(|k| {
            let z = (k as f64 + 0.5) * 2.0 * SLICE;
            (z > 0.06 * height && z < 0.96 * height)
                .then(|| Some((z, reach(samples, z - SLICE, z + SLICE)?)))
                .flatten()
        })
        .collect();
    if line.len() < 12 {
        return Err(FitError::NoWalls);
    }
    // Two straight pieces: the break with the least squared misfit.
    let misfit = |part: &[(f64, f64)]| {
        let n = part.len() as f64;
        let (sx, sy) = part.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0, y + p.1));
        let (mx, my) = (sx / n, sy / n);
        let (xx, xy, yy) = part.iter().fold((0.0, 0.0, 0.0), |(xx, xy, yy), p| {
            let (dx, dy) = (p.0 - mx, p.1 - my);
            (xx + dx * dx, xy + dx * dy, yy + dy * dy)
        });
        let slope = if xx > 0.0 { xy / xx } else { 0.0 };
        (slope, (yy - slope * xy).max(0.0))
    };
    let whole = misfit(&line);
    let best = (4..line.len() - 4)
        .map(|k| {
            let (below, above) = (misfit(&line[..k]), misfit(&line[k..]));
            (
                below.1 + above.1,
                f64::midpoint(line[k - 1].0, line[k].0),
                below.0,
                above.0,
            )
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        // Narrows above by half a degree a side or more, four sides together.
        Some((_, at, _, above)) if above < -0.02 => Ok(Some(at)),
        // An end at the top that is level all over would be a crown: then the parting is somewhere.
        _ if whole.0.abs() < 0.02 && has_crown(samples, height) => Err(FitError::NoParting),
        _ => Ok(None),
    }
}

/// Whether much of the surface lies level at the high end, inside the plan.
fn has_crown(samples: &[Sample], height: f64) -> bool {
    let at_top = samples
        .iter()
        .filter(|s| s.normal.z.abs() > 0.9 && (s.at.z - height).abs() < 3e-3)
        .count();
    at_top * 12 > samples.len()
}

/// The height at which the walls of both halves meet, each wall weighed by how sharply it does.
fn meet(base: &FittedWalls, lid: &FittedWalls, height: f64) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for wall in 0..4 {
        let sign = if wall % 2 == 0 { -1.0 } else { 1.0 };
        let (below, above) = (base.walls.last().lean[wall], lid.walls.last().lean[wall]);
        let sharp = below + above;
        if sharp > 0.01 {
            let (foot, head) = (
                sign * base.walls.last().sides(0.0)[wall],
                sign * lid.walls.last().sides(0.0)[wall],
            );
            // foot + below z = head + above (height - z)
            sum += sharp * (head + above * height - foot);
            weight += sharp * sharp;
        }
    }
    (weight > 0.0).then(|| sum / weight)
}

/// Where an open half ends: at the lid that mending put over the opening, else at the walls' upper edge.
fn edge(samples: &[Sample], height: f64) -> f64 {
    let mut over: Vec<f64> = samples
        .iter()
        .filter(|s| s.normal.z.abs() > 0.9 && s.at.z > 0.85 * height)
        .map(|s| s.at.z)
        .collect();
    if over.len() * 8 > samples.len() {
        return quantile(&mut over, 0.5);
    }
    let middle = |along: fn(&Sample) -> f64| {
        let mut values: Vec<f64> = samples.iter().map(along).collect();
        f64::midpoint(quantile(&mut values, 0.002), quantile(&mut values, 0.998))
    };
    let (x, y) = (middle(|s| s.at.x), middle(|s| s.at.y));
    // The highest sample in each of many directions from the middle: the middle one of them.
    let mut highest = vec![f64::NEG_INFINITY; SECTORS];
    for s in samples.iter().filter(|s| s.normal.z.abs() < 0.5) {
        let turn = (s.at.y - y).atan2(s.at.x - x) / (2.0 * std::f64::consts::PI) + 0.5;
        let sector = ((turn * SECTORS as f64) as usize).min(SECTORS - 1);
        highest[sector] = highest[sector].max(s.at.z);
    }
    highest.retain(|z| z.is_finite());
    if highest.is_empty() {
        height
    } else {
        quantile(&mut highest, 0.5)
    }
}

/// How far an open half reaches: as stated, else to its edge.
fn open(samples: &[Sample], height: f64, stated: Option<Length>) -> Depth {
    match stated {
        Some(rim) => Depth::Known(rim.si()),
        None => Depth::Edge(edge(samples, height)),
    }
}

/// Fits once more from walls of the right form; from nothing where they do not fit.
fn again(start: Walls, samples: &[Sample], depth: f64) -> Result<FittedWalls, FitError> {
    refit(start, samples, depth).map_or_else(|| fit_half(samples, depth), Ok)
}

/// How far a half reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Depth {
    /// To a height that is known.
    Known(f64),
    /// To the edge of its walls, about here.
    Edge(f64),
}

/// Fits one half.
fn half(
    side: HalfSide,
    samples: &[Sample],
    depth: Depth,
    start: Option<Walls>,
) -> Result<FoundHalf, FitError> {
    let (Depth::Known(about) | Depth::Edge(about)) = depth;
    let mut fitted = match start {
        Some(start) => again(start, samples, about)?,
        None => fit_half(samples, about)?,
    };
    let mut own: Vec<Sample> = samples.iter().map(|s| s.posed(&fitted.walls.motion())).collect();
    let mut level = fitted.walls.pose[3];
    let mut depth_found = about - level;
    if matches!(depth, Depth::Edge(_)) {
        // Upright now: the edge is where it is, and what lies near it counts.
        depth_found = edge(&own, about);
        let start = Walls {
            pose: [0.0; 4],
            ..fitted.walls
        };
        fitted = again(start, &own, depth_found)?;
        own = own.iter().map(|s| s.posed(&fitted.walls.motion())).collect();
        level += fitted.walls.pose[3];
        depth_found -= fitted.walls.pose[3];
    }
    fitted.walls.pose = [0.0, 0.0, 0.0, level];
    let walls = fitted.walls.clone();
    let depth = depth_found;
    let beyond = STANDS_IN.max(4.5 * fitted.spread);
    let inside: Vec<Sample> = own
        .iter()
        .filter(|s| {
            let inside = walls.inside(s.at);
            // At the rim lies what mending put over an opening, and says nothing.
            inside > beyond
                && s.at.z < depth - RIM_LEFT_OUT
                && !(inside < 3.0 * beyond && walls.is_at_edge(s.at))
        })
        .copied()
        .collect();
    let (stands, odd) = stands(&inside, &walls, depth, beyond);
    let residual = HalfResidual::of(side, &own, &walls, depth, &stands, beyond);
    Ok(FoundHalf {
        side,
        fitted,
        depth,
        depth_off: 1e-3,
        stands,
        odd,
        residual,
        motion: Motion::of(&own),
    })
}

/// Part of a cover over the opening, as mending a mesh leaves it.
fn is_cover(sample: &Sample, depth: f64) -> bool {
    sample.normal.z.abs() > 0.7 && sample.at.z > depth - 3e-3
}
