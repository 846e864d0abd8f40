//! Shares the slack of a feasible layout: first raises the least spare, then centres every piece in what is left.

use super::separate::Lane;
use super::state::{Pose, State};
use crate::engine::{ROUNDING, SPARE_CAP};
use crate::random::Random;
use caddis_geometry::Vec2;

/// First and least rise of the common clearance, metres.
const RISES: (f64, f64) = (0.004, 1e-4);
/// Relaxing aims this much higher than asked, so that it arrives.
const AIM: f64 = 2e-5;
/// Sweeps of centring.
const SWEEPS: usize = 8;

/// Moves pieces to cheaper slots where one is free.
pub(crate) fn prefer(state: &mut State, random: &mut Random) {
    let everyone = vec![true; state.len()];
    let mut positions = Vec::new();
    for piece in 0..state.len() {
        let now = state.slot_of(piece, &state.poses[piece]).cost;
        if !state.movable[piece] {
            continue;
        }
        let usable = state.usable;
        let mut cheaper: Vec<(f64, usize)> = usable[piece]
            .iter()
            .map(|&slot| (state.room.slots[piece][slot].cost, slot))
            .filter(|(cost, _)| *cost < now - ROUNDING)
            .collect();
        cheaper.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        'slots: for (_, slot) in cheaper {
            state.positions(piece, slot, &everyone, random, &mut positions);
            for &at in &positions {
                let pose = Pose { slot, at };
                if state.is_spent() {
                    return;
                }
                if state.own_overlap(piece, &pose, 0.0, ROUNDING) <= ROUNDING {
                    state.poses[piece] = pose;
                    break 'slots;
                }
            }
        }
    }
}

/// Raises the clearance all demands have to spare, within `steps` more evaluations.
pub(crate) fn spread(state: &mut State, random: &mut Random, steps: u64) {
    let end = state.steps + steps;
    let mut least = state.spare().max(0.0);
    let (wished, leaning) = (state.short() + ROUNDING, state.unbalanced() + ROUNDING);
    let mut rise = RISES.0;
    while rise >= RISES.1 && least < SPARE_CAP && state.steps < end && !state.is_spent() {
        let asked = (least + rise).min(SPARE_CAP);
        let mut tried = state.clone();
        let mut kept = tried.relax(asked + AIM, 120) || tried.is_feasible(asked);
        if !kept && rise >= 5e-4 {
            let mut lane = Lane::new(tried, random.clone(), asked);
            lane.repairs_only = true;
            lane.run((end.saturating_sub(state.steps) / 6).min(40_000));
            kept = lane.is_feasible();
            *random = lane.random;
            tried = lane.state;
            if kept {
                tried.poses = lane.best;
            }
        }
        state.steps = tried.steps;
        let kept = kept && tried.short() <= wished && tried.unbalanced() <= leaning;
        let reached = if kept { tried.spare() } else { 0.0 };
        if kept && reached > least {
            state.poses = tried.poses;
            least = reached;
            if least + rise < SPARE_CAP {
                rise *= 1.3;
            }
        } else {
            rise *= 0.5;
        }
    }
}

/// Centres each piece between its neighbours; the least spare of the layout never falls.
pub(crate) fn centre(state: &mut State) {
    for _ in 0..SWEEPS {
        let mut moved = false;
        for piece in 0..state.len() {
            if !state.movable[piece] {
                continue;
            }
            let mut pose = state.poses[piece];
            let mut least = state.own_spare(piece, &pose);
            let mut step = 0.004;
            while step > 1e-4 && !state.is_spent() {
                let mut better = false;
                for way in [
                    Vec2::new(1.0, 0.0),
                    Vec2::new(-1.0, 0.0),
                    Vec2::new(0.0, 1.0),
                    Vec2::new(0.0, -1.0),
                    Vec2::new(0.7, 0.7),
                    Vec2::new(-0.7, 0.7),
                    Vec2::new(0.7, -0.7),
                    Vec2::new(-0.7, -0.7),
                ] {
                    let next = Pose {
                        slot: pose.slot,
                        at: pose.at + way * step,
                    };
                    let spare = state.own_spare(piece, &next);
                    if spare > least + 1e-7 && state.keeps_wishes(piece, next) {
                        (least, pose) = (spare, next);
                        better = true;
                        moved = true;
                    }
                }
                if !better {
                    step *= 0.5;
                }
            }
            state.poses[piece] = pose;
        }
        if !moved {
            break;
        }
    }
}
