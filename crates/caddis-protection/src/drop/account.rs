//! What is kept account of while an item moves.

use super::course::Extremes;
use super::motion::{BODY, Motion, Posture};
use super::peak::Follow;
use super::step::Moment;
use caddis_basis::STANDARD_GRAVITY;
use caddis_geometry::Vec3;

/// What is followed of one item.
#[derive(Clone, Default)]
pub(super) struct Tally {
    pub centre: Follow,
    pub points: Vec<Follow>,
    pub strain: Follow,
    pub strain_best: f64,
    pub strain_state: Vec<f64>,
    pub extremes: Extremes,
}

/// An empty account of an item with this many watched points.
pub(super) fn tally(points: usize) -> Tally {
    Tally {
        points: vec![Follow::default(); points],
        extremes: Extremes {
            point_travels: vec![0.0; points],
            ..Extremes::default()
        },
        ..Tally::default()
    }
}

/// How samples are taken.
pub(super) struct Sampling {
    pub direction: Vec3,
    /// Whether the state of the largest strain is kept.
    pub keeps_states: bool,
    /// Whether tops are looked at again in small steps, or read by a parabola.
    pub looks_closer: bool,
}

/// Steps of a closer look.
pub(super) const CLOSER: u32 = 100;

/// One item at one moment.
pub(super) struct Sample {
    pub posture: Posture,
    /// G.
    pub centre: f64,
    /// Proper acceleration, m/s², and displacement of the watched points.
    pub points: Vec<(Vec3, f64)>,
}

pub(super) fn sample(motion: &Motion<'_>, i: usize, at: &Moment, points: &[Vec3]) -> Sample {
    let posture = Posture::read(&at.state[i * BODY..]);
    let acceleration = at.loads.force[i] / motion.packing.bodies[i].mass;
    let points = if points.is_empty() {
        Vec::new()
    } else {
        let spin = posture.turned(posture.spin);
        let twist = posture.turned(at.loads.twist[i]);
        points
            .iter()
            .map(|place| {
                let r = posture.turned(*place);
                let proper = acceleration + twist.cross(r) + spin.cross(spin.cross(r));
                (proper, (posture.x + posture.moved(*place)).length())
            })
            .collect()
    };
    Sample {
        posture,
        centre: acceleration.length() / STANDARD_GRAVITY,
        points,
    }
}

/// Takes a sample into an account; whether a top has just been passed.
pub(super) fn take(tally: &mut Tally, at: &Moment, body: usize, how: &Sampling, sample: &Sample) -> bool {
    let by_parabola = !how.looks_closer;
    let mut top = tally.centre.take(at.t, sample.centre, by_parabola);
    let strain = at.loads.strain[body];
    top |= tally.strain.take(at.t, strain, by_parabola);
    if how.keeps_states && strain > tally.strain_best {
        tally.strain_best = strain;
        tally.strain_state.clone_from(&at.state);
    }
    let extremes = &mut tally.extremes;
    for (k, (proper, travel)) in sample.points.iter().enumerate() {
        top |= tally.points[k].take(at.t, proper.length() / STANDARD_GRAVITY, by_parabola);
        extremes.point_travels[k] = extremes.point_travels[k].max(*travel);
    }
    extremes.travel = extremes.travel.max(sample.posture.x.length());
    extremes.travel_along = extremes.travel_along.max(sample.posture.x.dot(how.direction));
    extremes.rotation = extremes.rotation.max(sample.posture.angle());
    top
}

/// The tops and extremes of a closer look.
pub(super) fn merge(tally: &mut Tally, closer: &Tally) {
    tally.centre.merge(closer.centre.peak());
    tally.strain.merge(closer.strain.peak());
    for (own, other) in tally.points.iter_mut().zip(&closer.points) {
        own.merge(other.peak());
    }
    if closer.strain_best > tally.strain_best {
        tally.strain_best = closer.strain_best;
        tally.strain_state.clone_from(&closer.strain_state);
    }
    let (own, other) = (&mut tally.extremes, &closer.extremes);
    own.travel = own.travel.max(other.travel);
    own.travel_along = own.travel_along.max(other.travel_along);
    own.rotation = own.rotation.max(other.rotation);
    for (own, other) in own.point_travels.iter_mut().zip(&other.point_travels) {
        *own = own.max(*other);
    }
}

pub(super) fn finish(tally: Tally) -> Extremes {
    Extremes {
        centre: tally.centre.peak(),
        points: tally.points.iter().map(Follow::peak).collect(),
        strain: tally.strain.peak(),
        ..tally.extremes
    }
}

pub(super) fn most_strained(motion: &Motion<'_>, body: usize, tally: &Tally) -> Vec<usize> {
    if tally.strain_state.is_empty() {
        return Vec::new();
    }
    let strains: Vec<f64> = motion
        .packing
        .contacts
        .iter()
        .map(|contact| {
            if contact.body == body || contact.against == Some(body) {
                motion.strain(&tally.strain_state, contact)
            } else {
                f64::NEG_INFINITY
            }
        })
        .collect();
    let most = strains.iter().copied().fold(0.0, f64::max);
    (0..strains.len())
        .filter(|&i| most > 0.0 && strains[i] >= most * (1.0 - 1e-6))
        .collect()
}
