//! Which form explains the walls of a half: plain, stepped, domed, or stepped and domed.

use super::FitError;
use super::breaks::{Piece, pieces, slices};
use super::sample::Sample;
use super::walls::{End, FittedWalls, Segment, Walls, fit_form, fit_walls, used};
use caddis_geometry::Vec3;

/// Samples with which forms are compared, and with which the chosen one is fitted.
const TRIED: usize = 4_000;
const FITTED: usize = 16_000;
/// Residuals count up to this, metres.
const MISS: f64 = 1.5e-3;
/// Share of the surface that one more number must explain.
const NUMBER_COST: f64 = 4e-4;
/// Share of the surface that a dome must explain beyond what a fillet does: the curves are alike.
const DOME_COST: f64 = 4e-3;
/// A dome is wider than high by at least this.
const SHALLOW: f64 = 1.3;
/// A jump of less at every wall is no ledge, metres.
const LEAST_LEDGE: f64 = 1e-3;
/// A stretch is at least so long, metres: an edge that tessellation and noise have blunted is no longer.
const LEAST_STRETCH: f64 = 7e-3;
/// A stretch that moves no wall by more is none, metres.
const LEAST_EFFECT: f64 = 0.7e-3;
/// The outermost matter off the plain walls by more than this calls for another form, metres.
const OFF_PLAIN: f64 = 0.8e-3;
/// Slices that must be off.
const LEAST_SLICES: usize = 3;
/// Slanted surface that is not explained calls for a dome when it is more than this share.
const SLANTED: f64 = 0.004;

/// Fits a half in the form that explains it best; plain walls over a fillet where no other does clearly better.
///
/// # Errors
/// Walls that cannot be told from what stands in front of them.
pub(super) fn fit_half(samples: &[Sample], depth: f64) -> Result<FittedWalls, FitError> {
    let plain = fit_walls(samples, depth)?;
    let motion = plain.walls.motion();
    let own: Vec<Sample> = samples.iter().map(|s| s.posed(&motion)).collect();
    let depth = depth - plain.walls.pose[3];
    let slices = slices(&own, 1e-3, depth - 3e-3);
    let pieces = pieces(&slices);
    let tried = used(&own, depth, TRIED);
    let centred = Walls {
        pose: [0.0; 4],
        ..plain.walls.clone()
    };
    let is_off = |wall: usize, slice: &super::breaks::Slice| {
        let sign = if wall.is_multiple_of(2) { -1.0 } else { 1.0 };
        let below_fillet = match centred.end {
            // Where the fillet is flatter than 45 degrees a slice says nothing.
            End::Fillet(f) if slice.z < 0.3 * f => return false,
            End::Fillet(f) if slice.z < f => f - (f * f - (f - slice.z).powi(2)).max(0.0).sqrt(),
            _ => 0.0,
        };
        let expected = sign * centred.last().sides(slice.z)[wall] - below_fillet;
        slice.out[wall].is_some_and(|out| (out - expected).abs() > OFF_PLAIN)
    };
    let walls_off = (0..4)
        .filter(|&wall| slices.iter().filter(|slice| is_off(wall, slice)).count() >= LEAST_SLICES)
        .count();
    let slanted = tried
        .iter()
        .filter(|s| {
            let steep = s.normal.z.abs();
            steep > 0.25 && steep < 0.985 && centred.inside(s.at).abs() > MISS
        })
        .count();
    if walls_off < 2 && (slanted as f64) < SLANTED * tried.len() as f64 {
        return Ok(plain);
    }
    let cost = |walls: &Walls| {
        let motion = walls.motion();
        let sum: f64 = tried
            .iter()
            .map(|s| (walls.inside(motion.apply(s.at)) / MISS).powi(2).min(1.0))
            .sum();
        let dome = if walls.flat().is_some() { DOME_COST } else { 0.0 };
        sum / tried.len().max(1) as f64 + NUMBER_COST * walls.numbers().len() as f64 + dome
    };
    let mut best: Option<(f64, Walls)> = None;
    for start in starts(&pieces, &centred, depth)
        .into_iter()
        .map(|start| pruned(start, depth))
    {
        let Ok(found) = fit_form(&start, &tried, depth, TRIED, &[4e-3, 2e-3, 1.5e-3]) else {
            continue;
        };
        let cost = cost(&found.walls);
        if is_sound(&found.walls, depth) && best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, found.walls));
        }
    }
    let Some((least, form)) = best else {
        return Ok(plain);
    };
    if least >= cost(&centred) {
        return Ok(plain);
    }
    // From the samples as they came: two small poses one after the other are a start, not an answer.
    let (first, second) = (plain.walls.pose, form.pose);
    let start = Walls {
        pose: [0, 1, 2, 3].map(|k| first[k] + second[k]),
        ..pruned(form, depth)
    };
    Ok(refit(start, samples, depth + first[3]).unwrap_or(plain))
}

/// Fits walls of a form that is known, and drops what of it changes nothing after all; `None` where it does not fit.
pub(super) fn refit(start: Walls, samples: &[Sample], depth: f64) -> Option<FittedWalls> {
    let mut start = start;
    for _ in 0..3 {
        let found = fit_form(
            &start,
            samples,
            depth,
            FITTED,
            &[8e-3, 4e-3, 2e-3, 1.5e-3, 1.5e-3],
        )
        .ok()?;
        let height = depth - found.walls.pose[3];
        if !is_sound(&found.walls, height) {
            return None;
        }
        let pruned = pruned(found.walls.clone(), height);
        if pruned == found.walls {
            return Some(found);
        }
        start = pruned;
    }
    None
}

/// Forms to try: the lowest pieces stand for a fillet or a dome, the others for the walls.
fn starts(pieces: &[Piece], plain: &Walls, depth: f64) -> Vec<Walls> {
    let mut starts = Vec::new();
    for lowest in 0..pieces.len() {
        let segments = segments(&pieces[lowest..], plain);
        let spring = if lowest == 0 { 0.0 } else { pieces[lowest].from };
        if spring > 0.7 * depth {
            break;
        }
        if segments.len() > 1 {
            starts.push(Walls {
                pose: [0.0; 4],
                segments: segments.clone(),
                end: End::Fillet(spring.max(2e-3)),
            });
        }
        if lowest > 0 {
            let floor = segments[0].sides(spring);
            // A third up the ellipse the walls are this share of its arm further in than at its end.
            let third = pieces[0].from + (spring - pieces[0].from) / 3.0;
            let share = 1.0 - (1.0 - (1.0 - third / spring).powi(2)).max(0.0).sqrt();
            let at = pieces[..lowest]
                .iter()
                .find(|piece| piece.to >= third)
                .unwrap_or(&pieces[0]);
            let arm = |wall: usize| {
                let sign = if wall.is_multiple_of(2) { -1.0 } else { 1.0 };
                ((sign * floor[wall] - at.at(wall, third)) / share).max(spring)
            };
            let most = |a: usize, b: usize| 0.45 * (floor[b] - floor[a]);
            let radius = segments[0].radius;
            starts.push(Walls {
                pose: [0.0; 4],
                end: End::Dome {
                    rise: spring,
                    flat: [
                        floor[0] + arm(0).min(most(0, 1)),
                        floor[1] - arm(1).min(most(0, 1)),
                        floor[2] + arm(2).min(most(2, 3)),
                        floor[3] - arm(3).min(most(2, 3)),
                    ],
                    radius: radius * 0.7,
                },
                segments,
            });
        }
    }
    starts
}

/// The walls of pieces; corner radii are the plain walls'.
fn segments(pieces: &[Piece], plain: &Walls) -> Vec<Segment> {
    let plain = plain.last();
    let mut segments: Vec<Segment> = Vec::with_capacity(pieces.len());
    for (index, piece) in pieces.iter().enumerate() {
        let from = if index == 0 { 0.0 } else { piece.from };
        let sides = [0, 1, 2, 3].map(|wall| {
            let out = piece.at(wall, from);
            if wall.is_multiple_of(2) { -out } else { out }
        });
        let is_ledge = index > 0
            && (0..4).any(|wall| {
                let last = &pieces[index - 1];
                (piece.at(wall, piece.from) - last.at(wall, piece.from)).abs() > LEAST_LEDGE
            });
        segments.push(Segment {
            from,
            is_ledge,
            foot: sides,
            lean: piece.lean.map(|lean| lean.clamp(-0.05, 2.0)),
            radius: (plain.radius + plain.growth * (from - plain.from)).max(1e-3),
            growth: plain.growth.max(0.0),
        });
    }
    segments
}

/// The same without stretches that change nothing: a ledge on which nothing steps becomes a change of draft, and a change of
/// draft that moves no wall by more than the scan shows is none.
fn pruned(mut walls: Walls, depth: f64) -> Walls {
    // What lies between two edges that are close together is what tessellation and noise make of one.
    while let Some(index) = (1..walls.segments.len()).find(|&k| {
        let end = walls.segments.get(k + 1).map_or(depth, |next| next.from);
        end - walls.segments[k].from < LEAST_STRETCH
    }) {
        let from = walls.segments[index].from;
        walls.segments.remove(index);
        if let Some(next) = walls.segments.get_mut(index) {
            let middle = f64::midpoint(from, next.from);
            next.foot = next.sides(middle);
            next.is_ledge = true;
            next.from = middle;
        }
    }
    if let Some(second) = walls.segments.get(1)
        && second.from - springs(&walls) < LEAST_STRETCH
    {
        let second = *second;
        let mut first = second;
        first.foot = second.sides(0.0);
        (first.from, first.is_ledge) = (0.0, false);
        walls.segments.splice(0..2, [first]);
    }
    while let Some((least, index)) = (1..walls.segments.len())
        .map(|k| (effect(&walls, k, depth), k))
        .min_by(|a, b| a.0.total_cmp(&b.0))
    {
        if least >= LEAST_EFFECT {
            break;
        }
        walls.segments.remove(index);
    }
    for k in 1..walls.segments.len() {
        if jump(&walls, k) < LEAST_LEDGE {
            walls.segments[k].is_ledge = false;
        }
    }
    walls
}

/// Where the walls themselves begin to show: above the fillet or the dome.
fn springs(walls: &Walls) -> f64 {
    match walls.end {
        End::Fillet(height) | End::Dome { rise: height, .. } => height,
    }
}

/// By how much the walls jump where a stretch starts.
fn jump(walls: &Walls, k: usize) -> f64 {
    let at = walls.segments[k].from;
    let (below, above) = (walls.segments[k - 1].sides(at), walls.segments[k].sides(at));
    (0..4)
        .map(|wall| (above[wall] - below[wall]).abs())
        .fold(0.0, f64::max)
}

/// How far a wall would lie off at most if a stretch were one with the one below.
fn effect(walls: &Walls, k: usize, depth: f64) -> f64 {
    let segments = &walls.segments;
    let (below, own) = (&segments[k - 1], &segments[k]);
    let end = segments.get(k + 1).map_or(depth, |next| next.from);
    let start = if k == 1 { springs(walls) } else { below.from };
    let stretch = (own.from - start).min(end - own.from).max(0.0);
    let bend = (0..4)
        .map(|wall| (own.lean[wall] - below.lean[wall]).abs())
        .fold(0.0, f64::max);
    // A bend between two long stretches is off by half of what it turns the shorter by; a jump by half of itself.
    (bend * stretch / 2.0).max(jump(walls, k) / 2.0)
}

/// Whether the stretches follow one another inside the half, and the dome is one.
fn is_sound(walls: &Walls, depth: f64) -> bool {
    let mut last = walls.spring();
    let is_rising = walls.segments[1..].iter().all(|segment| {
        let is_after = segment.from > last + LEAST_STRETCH;
        last = segment.from;
        is_after
    });
    let is_dome = walls.flat().is_none_or(|flat| {
        let rise = walls.spring();
        let floor = walls.segments[0].at(rise);
        // What is about as wide as high is a fillet, and what is steeper a wall.
        let arm = floor.half - flat.half;
        flat.half.x > 5e-3 && flat.half.y > 5e-3 && floor.holds(&flat) && arm.x.min(arm.y) > SHALLOW * rise
    });
    let is_inside = walls.inside(Vec3::new(
        walls.at(depth).centre.x,
        walls.at(depth).centre.y,
        depth * 0.9,
    )) > 0.0;
    is_rising && last < depth - 2e-3 && is_dome && is_inside
}
