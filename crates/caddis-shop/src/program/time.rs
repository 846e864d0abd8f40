//! How long a tool path takes with acceleration and corner speed.

use super::path::{ToolPath, Way, directions, length};

/// What limits the axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits {
    /// Acceleration, m/s².
    pub(crate) acceleration: f64,
    /// How far a corner may be rounded at speed, metres.
    pub(crate) corner_deviation: f64,
    /// Speed of rapid moves, m/s.
    pub(crate) rapid: f64,
}

/// Seconds a straight move of `length` takes at `speed` with acceleration `a`, entered at `entry` and left at `exit`.
///
/// # Source
/// Trapezoidal speed profile: if (2v² - v0² - v1²) / 2a <= L the move cruises, t = (2v - v0 - v1)/a + rest/v; else it peaks at
/// v = sqrt(a L + (v0² + v1²)/2). Elementary kinematics (constant acceleration).
pub(crate) fn move_time(length: f64, speed: f64, a: f64, entry: f64, exit: f64) -> f64 {
    if length <= 0.0 {
        return 0.0;
    }
    let ramps = (2.0 * speed * speed - entry * entry - exit * exit) / (2.0 * a);
    if ramps <= length {
        (2.0 * speed - entry - exit) / a + (length - ramps) / speed
    } else {
        let peak = (a * length + f64::midpoint(entry * entry, exit * exit)).sqrt();
        (2.0 * peak - entry - exit) / a
    }
}

/// Greatest speed through a corner with the cosine `cosine` between the directions before and after.
///
/// # Source
/// Junction deviation of the open motion planners: v² = a d s / (1 - s), s = sin(θ/2) with θ the angle enclosed at the corner,
/// s = sqrt((1 + cosine)/2) for the cosine between directions. Read in the source of such a planner (reference
/// shop.md, section 7).
pub(crate) fn corner_speed(cosine: f64, limits: &Limits) -> f64 {
    let s = f64::midpoint(1.0, cosine.clamp(-1.0, 1.0)).sqrt();
    if s >= 1.0 - 1e-12 {
        f64::INFINITY
    } else {
        (limits.acceleration * limits.corner_deviation * s / (1.0 - s)).sqrt()
    }
}

/// Seconds the whole path takes, from rest to rest; dwells not counted.
///
/// # Accuracy
/// The controller's own planner may look ahead less or smooth more; a real machine is checked with a stopwatch once.
pub(crate) fn path_time(path: &ToolPath, limits: &Limits) -> f64 {
    let a = limits.acceleration;
    let legs: Vec<_> = path
        .legs()
        .map(|(from, step)| {
            let speed = match step.way {
                Way::Rapid => limits.rapid,
                Way::Line { feed } => feed,
                // Source: centripetal acceleration v²/r <= a.
                Way::Arc { feed, centre, .. } => feed.min((a * (from.plan() - centre).length()).sqrt()),
            };
            (length(from, step), speed, directions(from, step))
        })
        .filter(|leg| leg.0 > 0.0)
        .collect();
    let Some(last) = legs.len().checked_sub(1) else {
        return 0.0;
    };
    // Speeds where moves meet: the corner's, then what can still be braked, then what can be reached.
    let mut meeting = vec![0.0; legs.len() + 1];
    for (i, pair) in legs.windows(2).enumerate() {
        let corner = corner_speed(pair[0].2.1.dot(pair[1].2.0), limits);
        meeting[i + 1] = corner.min(pair[0].1).min(pair[1].1);
    }
    for i in (0..=last).rev() {
        let reach: f64 = meeting[i + 1] * meeting[i + 1] + 2.0 * a * legs[i].0;
        meeting[i] = f64::min(meeting[i], reach.sqrt());
    }
    let mut total = 0.0;
    for (i, (length, speed, _)) in legs.iter().enumerate() {
        let reach: f64 = meeting[i] * meeting[i] + 2.0 * a * length;
        meeting[i + 1] = f64::min(meeting[i + 1], reach.sqrt());
        total += move_time(*length, *speed, a, meeting[i], meeting[i + 1]);
    }
    total
}

#[cfg(test)]
mod tests {
    use super::super::path::Move;
    use super::*;
    use caddis_geometry::{Vec2, Vec3};
    use proptest::prelude::*;

    const LIMITS: Limits = Limits {
        acceleration: 0.5,
        corner_deviation: 1e-5,
        rapid: 0.2,
    };

    fn close(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found} instead of {wanted}");
    }

    /// Closed-form values of the shop reference, section 7 (run there).
    #[test]
    fn straight_moves_from_rest_to_rest() {
        close(move_time(0.3, 0.1, 0.5, 0.0, 0.0), 3.2, 1e-12);
        close(move_time(0.02, 0.1, 0.5, 0.0, 0.0), 0.4, 1e-12);
        close(move_time(0.01, 0.1, 0.5, 0.0, 0.0), 0.282_843, 1e-6);
        close(move_time(1.0, 0.2, 1.0, 0.0, 0.0), 5.2, 1e-12);
    }

    /// Corner speeds of the shop reference, section 7, mm/min at 0.5 m/s² and 0.01 mm.
    #[test]
    fn corners() {
        for (turn, speed) in [
            (10.0_f64, 2170.8),
            (30.0, 714.3),
            (45.0, 467.4),
            (60.0, 341.1),
            (90.0, 208.46),
            (120.0, 134.2),
            (170.0, 41.5),
        ] {
            close(
                corner_speed(turn.to_radians().cos(), &LIMITS) * 60_000.0,
                speed,
                0.05,
            );
        }
        close(corner_speed(-1.0, &LIMITS), 0.0, 1e-12);
    }

    fn square(feed: f64) -> ToolPath {
        let corner = |x: f64, y: f64| Move {
            way: Way::Line { feed },
            to: Vec3::new(x, y, 0.0),
        };
        ToolPath {
            start: Vec3::ZERO,
            moves: vec![
                corner(0.1, 0.0),
                corner(0.1, 0.1),
                corner(0.0, 0.1),
                corner(0.0, 0.0),
            ],
        }
    }

    /// A square of 100 mm at 3000 mm/min: 8.35976 s (shop reference, section 7).
    #[test]
    fn a_square() {
        close(path_time(&square(0.05), &LIMITS), 8.359_76, 5e-6);
    }

    #[test]
    fn small_circles_are_slow() {
        let arc = |x: f64| Move {
            way: Way::Arc {
                feed: 0.2,
                centre: Vec2::ZERO,
                left: true,
            },
            to: Vec3::new(x, 0.0, 0.0),
        };
        let circle = ToolPath {
            start: Vec3::new(0.005, 0.0, 0.0),
            moves: vec![arc(-0.005), arc(0.005)],
        };
        // 0.5 m/s² on 5 mm allows 3000 mm/min; a circumference at that speed with one ramp up and one down.
        let length = std::f64::consts::TAU * 0.005;
        close(
            path_time(&circle, &LIMITS),
            move_time(length, 0.05, 0.5, 0.0, 0.0),
            1e-9,
        );
    }

    proptest! {
        #[test]
        fn never_faster_than_the_feed_nor_slower_than_stopping_at_every_corner(feed in 0.01_f64..0.4) {
            let found = path_time(&square(feed), &LIMITS);
            prop_assert!(found >= 0.4 / feed - 1e-9);
            prop_assert!(found <= 4.0 * move_time(0.1, feed, 0.5, 0.0, 0.0) + 1e-9);
        }

        #[test]
        fn a_cut_move_takes_as_long_as_a_whole_one(at in 0.1_f64..0.9, feed in 0.01_f64..0.4) {
            let line = |x: f64| Move { way: Way::Line { feed }, to: Vec3::new(x, 0.0, 0.0) };
            let whole = ToolPath { start: Vec3::ZERO, moves: vec![line(1.0)] };
            let cut = ToolPath { start: Vec3::ZERO, moves: vec![line(at), line(1.0)] };
            let difference = path_time(&whole, &LIMITS) - path_time(&cut, &LIMITS);
            prop_assert!(difference.abs() < 1e-9);
        }
    }
}
