//! Balance and order, once everything fits: never at the price of a demand, and of spare no more than is said.

use super::state::{Pose, State};
use crate::engine::ROUNDING;
use caddis_geometry::Vec2;

/// Pieces whose middles are this close to one line are brought onto it, metres.
const NEAR: f64 = 0.006;
/// The grid positions are rounded to, metres.
const GRID: f64 = 1e-3;
/// Exchanges with making room, and tries for each.
const SWAPS: usize = 6;
const TRIES: usize = 20;
/// Rounds of shifting a layout that lies out of balance.
const LONG_WAY: usize = 24;
/// A centre of mass this close to the balance point is balanced, metres.
const BALANCED: f64 = 0.01;

/// Swaps and shifts pieces so that the centre of mass comes nearer the balance point, keeping so much spare.
pub(crate) fn balance(state: &mut State, floor: f64) {
    let floor = floor - ROUNDING;
    for _ in 0..state.len() {
        if state.is_spent() || state.offset().length() <= BALANCED || !best_swap(state, floor) {
            break;
        }
    }
    for _ in 0..SWAPS {
        if state.is_spent() || state.offset().length() <= BALANCED || !relaxed_swap(state, floor) {
            break;
        }
    }
    let mut least = f64::INFINITY;
    for round in 0..LONG_WAY {
        let off = state.offset();
        // Four rounds for what is balanced already, more only for what gets nearer to it.
        if state.is_spent()
            || off.length() <= BALANCED
            || round >= 4 && (state.unbalanced() <= 0.0 || off.length() > least - 1e-3)
        {
            return;
        }
        least = off.length();
        for piece in 0..state.len() {
            if !state.movable[piece] || state.is_spent() {
                continue;
            }
            let way = -state.offset().unit();
            let pose = state.poses[piece];
            let room = state.own_spare(piece, &pose);
            // A piece gives half of what it has more than the tightest one.
            let keep = floor.max(f64::midpoint(floor, room));
            let mut step = if state.unbalanced() > 0.0 { 0.064 } else { 0.016 };
            while step > 4e-4 {
                let next = Pose {
                    slot: pose.slot,
                    at: pose.at + way * step,
                };
                if state.own_spare(piece, &next) >= keep && state.keeps_wishes(piece, next) {
                    let before = state.offset().length();
                    state.poses[piece] = next;
                    if state.offset().length() > before {
                        state.poses[piece] = pose;
                    }
                    break;
                }
                step *= 0.5;
            }
        }
    }
}

/// Makes an exchange that helps and whose neighbours can make room for it; false when none does.
fn relaxed_swap(state: &mut State, floor: f64) -> bool {
    let now = state.offset().length();
    let mut promising: Vec<(f64, usize, usize)> = Vec::new();
    for a in 0..state.len() {
        for b in a + 1..state.len() {
            let (pose_a, pose_b) = (state.poses[a], state.poses[b]);
            let free = state.movable[a] && state.movable[b];
            if !free || state.slot_of(a, &pose_a).tier != state.slot_of(b, &pose_b).tier {
                continue;
            }
            (state.poses[a].at, state.poses[b].at) = (pose_b.at, pose_a.at);
            let then = state.offset().length();
            (state.poses[a], state.poses[b]) = (pose_a, pose_b);
            if then < now - 2e-3 {
                promising.push((then, a, b));
            }
        }
    }
    promising.sort_by(|x, y| x.0.total_cmp(&y.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    for (_, a, b) in promising.into_iter().take(TRIES) {
        if state.is_spent() {
            break;
        }
        let mut tried = state.clone();
        (tried.poses[a].at, tried.poses[b].at) = (state.poses[b].at, state.poses[a].at);
        let asked = floor.max(0.0);
        let fits = tried.relax(asked + 1e-5, 80) || tried.is_feasible(asked);
        state.steps = tried.steps;
        let as_wished = tried.unfulfilled() <= state.unfulfilled() + ROUNDING;
        if fits && as_wished && tried.offset().length() < now - 1e-3 && tried.spare() >= floor {
            *state = tried;
            return true;
        }
    }
    false
}

/// Makes the exchange of two pieces that helps most; false when none helps by a millimetre.
fn best_swap(state: &mut State, floor: f64) -> bool {
    let now = state.offset().length();
    let wished = state.unfulfilled() + ROUNDING;
    let mut best: Option<(f64, usize, Pose, usize, Pose)> = None;
    for a in 0..state.len() {
        for b in a + 1..state.len() {
            if !state.movable[a] || !state.movable[b] || state.is_spent() {
                continue;
            }
            let (pose_a, pose_b) = (state.poses[a], state.poses[b]);
            if state.slot_of(a, &pose_a).tier != state.slot_of(b, &pose_b).tier {
                continue;
            }
            let next_a = Pose {
                slot: pose_a.slot,
                at: pose_b.at,
            };
            let next_b = Pose {
                slot: pose_b.slot,
                at: pose_a.at,
            };
            (state.poses[a], state.poses[b]) = (next_a, next_b);
            let then = state.offset().length();
            let helps = then < best.as_ref().map_or(now - 1e-3, |found| found.0);
            let as_wished = state.unfulfilled() <= wished;
            if helps
                && as_wished
                && state.own_spare(a, &next_a) >= floor
                && state.own_spare(b, &next_b) >= floor
            {
                best = Some((then, a, next_a, b, next_b));
            }
            (state.poses[a], state.poses[b]) = (pose_a, pose_b);
        }
    }
    let Some((_, a, pose_a, b, pose_b)) = best else {
        return false;
    };
    (state.poses[a], state.poses[b]) = (pose_a, pose_b);
    true
}

/// Same turn for equal pieces, rows and columns on common lines, whole millimetres.
pub(crate) fn tidy(state: &mut State) {
    let price = state.room.problem.weights.order;
    if state.is_spent() {
        return;
    }
    let floor = (state.spare() - price).max(0.0) - ROUNDING;
    same_turn(state, floor);
    for across in [false, true] {
        lines(state, floor, across);
    }
    for piece in 0..state.len() {
        if !state.movable[piece] || state.is_spent() {
            continue;
        }
        let pose = state.poses[piece];
        let whole = |v: f64| (v / GRID).round() * GRID;
        for at in [
            Vec2::new(whole(pose.at.x), whole(pose.at.y)),
            Vec2::new(whole(pose.at.x), pose.at.y),
            Vec2::new(pose.at.x, whole(pose.at.y)),
        ] {
            let next = Pose { slot: pose.slot, at };
            if state.own_spare(piece, &next) >= floor && state.keeps_wishes(piece, next) {
                state.poses[piece] = next;
                break;
            }
        }
    }
}

/// Turns pieces as the first of their kind in the same tier lies, where that costs no more.
fn same_turn(state: &mut State, floor: f64) {
    for piece in 1..state.len() {
        let kind = state.room.problem.pieces[piece].kind;
        let pose = state.poses[piece];
        let here = state.slot_of(piece, &pose);
        let model = (0..piece).find(|&other| {
            state.room.problem.pieces[other].kind == kind
                && state.slot_of(other, &state.poses[other]).tier == here.tier
        });
        let (Some(model), true) = (model, state.movable[piece] && !state.is_spent()) else {
            continue;
        };
        let wanted = state.slot_of(model, &state.poses[model]);
        if wanted.orientation == here.orientation || wanted.cost > here.cost + ROUNDING {
            continue;
        }
        let slot = state.usable[piece].iter().copied().find(|&slot| {
            let way = &state.room.slots[piece][slot];
            way.orientation == wanted.orientation && way.tier == wanted.tier && way.form == wanted.form
        });
        if let Some(slot) = slot {
            let next = Pose { slot, at: pose.at };
            if state.own_spare(piece, &next) >= floor && state.keeps_wishes(piece, next) {
                state.poses[piece] = next;
            }
        }
    }
}

/// Brings middles that nearly share a line onto it, equal pieces first.
fn lines(state: &mut State, floor: f64, across: bool) {
    let coordinate = |p: Vec2| if across { p.x } else { p.y };
    for equal_only in [true, false] {
        let mut order: Vec<usize> = (0..state.len()).collect();
        order.sort_by(|&a, &b| {
            coordinate(state.poses[a].at)
                .total_cmp(&coordinate(state.poses[b].at))
                .then(a.cmp(&b))
        });
        for first in 0..order.len() {
            let leader = order[first];
            let line = coordinate(state.poses[leader].at);
            let tier = state.slot_of(leader, &state.poses[leader]).tier;
            let group: Vec<usize> = order[first..]
                .iter()
                .copied()
                .filter(|&piece| {
                    let pose = state.poses[piece];
                    (coordinate(pose.at) - line).abs() <= NEAR
                        && state.slot_of(piece, &pose).tier == tier
                        && (!equal_only
                            || state.room.problem.pieces[piece].kind
                                == state.room.problem.pieces[leader].kind)
                })
                .collect();
            if group.len() < 2 {
                continue;
            }
            let pinned = group.iter().copied().find(|&piece| !state.movable[piece]);
            let mean = group.iter().map(|&p| coordinate(state.poses[p].at)).sum::<f64>() / group.len() as f64;
            let target = pinned.map_or((mean / GRID).round() * GRID, |p| coordinate(state.poses[p].at));
            for piece in group {
                if !state.movable[piece] || state.is_spent() {
                    continue;
                }
                let pose = state.poses[piece];
                let at = if across {
                    Vec2::new(target, pose.at.y)
                } else {
                    Vec2::new(pose.at.x, target)
                };
                let next = Pose { slot: pose.slot, at };
                if state.own_spare(piece, &next) >= floor && state.keeps_wishes(piece, next) {
                    state.poses[piece] = next;
                }
            }
        }
    }
}
