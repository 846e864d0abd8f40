//! One step of the integration: Dormand and Prince's pair of orders 5 and 4.

use super::motion::{BODY, Loads, Motion};
use caddis_geometry::Vec3;

/// Stage weights.
///
/// # Source
/// J. R. Dormand and P. J. Prince, A family of embedded Runge-Kutta formulae, Journal of Computational and Applied
/// Mathematics 6 (1980), 19-26 (coefficients from memory; checked here: rows sum to the nodes, order five observed).
const STAGES: [&[f64]; 6] = [
    &[1.0 / 5.0],
    &[3.0 / 40.0, 9.0 / 40.0],
    &[44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0],
    &[
        19372.0 / 6561.0,
        -25360.0 / 2187.0,
        64448.0 / 6561.0,
        -212.0 / 729.0,
    ],
    &[
        9017.0 / 3168.0,
        -355.0 / 33.0,
        46732.0 / 5247.0,
        49.0 / 176.0,
        -5103.0 / 18656.0,
    ],
    &[
        35.0 / 384.0,
        0.0,
        500.0 / 1113.0,
        125.0 / 192.0,
        -2187.0 / 6784.0,
        11.0 / 84.0,
    ],
];
/// Fifth order minus fourth.
const ERROR: [f64; 7] = [
    71.0 / 57600.0,
    0.0,
    -71.0 / 16695.0,
    71.0 / 1920.0,
    -17253.0 / 339_200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];

/// A moment of the simulation: state, its derivative and the forces there.
#[derive(Debug, Clone, Default)]
pub(super) struct Moment {
    pub t: f64,
    pub state: Vec<f64>,
    pub rate: Vec<f64>,
    pub loads: Loads,
}

impl Moment {
    /// The moment of a state.
    pub(super) fn at(motion: &Motion<'_>, t: f64, state: Vec<f64>) -> Self {
        let mut rate = vec![0.0; state.len()];
        let mut loads = Loads::default();
        motion.derive(&state, &mut loads, &mut rate);
        Self {
            t,
            state,
            rate,
            loads,
        }
    }
}

/// Room for the stages and the scales of the error.
#[derive(Debug, Clone)]
pub(super) struct Stepper {
    stages: [Vec<f64>; 6],
    scales: Vec<f64>,
}

/// Travel that counts as one unit of error, m: errors are tolerance times this.
const TRAVEL: f64 = 0.01;

impl Stepper {
    pub(super) fn new(motion: &Motion<'_>, speed: f64) -> Self {
        let mut scales = vec![TRAVEL; motion.len()];
        for (i, body) in motion.packing.bodies.iter().enumerate() {
            let at = i * BODY;
            scales[at + 3..at + 6].fill(speed);
            scales[at + 6..at + 10].fill(TRAVEL / body.radius);
            scales[at + 10..at + 13].fill(speed / body.radius);
        }
        if let Some(last) = scales.last_mut() {
            *last = speed;
        }
        Self {
            stages: std::array::from_fn(|_| vec![0.0; motion.len()]),
            scales,
        }
    }

    /// Takes a step of `h` from `from` into `to`; returns the error in units of the scales (not a number if the motion
    /// left the numbers).
    pub(super) fn step(&mut self, motion: &Motion<'_>, from: &Moment, h: f64, to: &mut Moment) -> f64 {
        let size = from.state.len();
        to.state.resize(size, 0.0);
        to.rate.resize(size, 0.0);
        for (stage, weights) in STAGES.iter().enumerate() {
            for i in 0..size {
                let mut sum = weights[0] * from.rate[i];
                for (k, weight) in weights.iter().enumerate().skip(1) {
                    sum += weight * self.stages[k - 1][i];
                }
                to.state[i] = from.state[i] + h * sum;
            }
            if stage == 5 {
                normalise(motion, &mut to.state);
                motion.derive(&to.state, &mut to.loads, &mut to.rate);
            } else {
                motion.derive(&to.state, &mut to.loads, &mut self.stages[stage]);
            }
        }
        to.t = from.t + h;
        let mut worst = 0.0_f64;
        for i in 0..size {
            let mut error = ERROR[0] * from.rate[i] + ERROR[6] * to.rate[i];
            for (k, stage) in self.stages.iter().enumerate().take(5) {
                error += ERROR[k + 1] * stage[i];
            }
            let share = (h * error / self.scales[i]).abs();
            if share.is_nan() {
                return f64::NAN;
            }
            worst = worst.max(share);
        }
        worst
    }
}

fn normalise(motion: &Motion<'_>, state: &mut [f64]) {
    for i in 0..motion.packing.bodies.len() {
        let q = &mut state[i * BODY + 6..i * BODY + 10];
        let length = (q.iter().map(|q| q * q).sum::<f64>()).sqrt();
        if length > 0.0 {
            for q in q.iter_mut() {
                *q /= length;
            }
        }
    }
}

/// A state at rest pose with given velocities and spins.
pub(super) fn start(velocities: &[(Vec3, Vec3)], shell: f64) -> Vec<f64> {
    let mut state = Vec::with_capacity(velocities.len() * BODY + 2);
    for (v, w) in velocities {
        state.extend([0.0, 0.0, 0.0, v.x, v.y, v.z, 1.0, 0.0, 0.0, 0.0, w.x, w.y, w.z]);
    }
    state.extend([0.0, shell]);
    state
}
