//! A first packing to start from: largest first, as far back as samples find room.

use super::rack::Rack;
use super::state::{Board, Pose, Scene, State};
use crate::random::Random;
use caddis_geometry::Vec2;

/// Samples per copy and turn.
const SAMPLES: usize = 600;
/// With more kinds than these only one turn of each is tried: every pair of turns asked for costs a field.
const MANY: usize = 30;
/// Along the strip counts so much more than across.
const ALONG: f64 = 10.0;

/// Every copy placed clear of the others on one board that is as long as it takes; `None` if one is wider than the strip.
pub(super) fn filled(scene: &Scene, random: &mut Random) -> Option<State> {
    let kinds = &scene.forms.kinds;
    let size = |copy: usize| {
        let kind = &kinds[scene.kind_of[copy]];
        kind.hull_area * kind.diameter
    };
    let mut order: Vec<usize> = (0..scene.kind_of.len()).collect();
    order.sort_by(|&a, &b| size(b).total_cmp(&size(a)).then(a.cmp(&b)));
    let board = Board {
        low: Vec2::ZERO,
        high: Vec2::new(0.0, 1.0),
        obstacles: Vec::new(),
    };
    // Copies not yet placed wait on a board of their own.
    let waiting = Pose {
        at: Vec2::ZERO,
        turn: 0,
        board: 1,
    };
    let mut state = State::new(vec![board.clone(), board], vec![waiting; order.len()]);
    let mut rack = Rack::default();
    for &copy in &order {
        let kind = scene.kind_of[copy];
        let own = &kinds[kind];
        let used = state.used_length(scene, 0);
        let mut best: Option<(f64, Pose)> = None;
        let mut turns = own.turns.clone();
        if kinds.len() > MANY {
            turns.retain(|&turn| own.bounds[turn as usize].size().y <= 1.0 + 1e-9);
            random.shuffle(&mut turns);
            turns.truncate(1);
        }
        for turn in turns {
            let bounds = own.bounds[turn as usize];
            state.rack(scene, copy, turn, 0, &mut rack);
            // At the end of what is used there is always room.
            state.boards[0].high.x = used + 1.01 * bounds.size().x;
            let Some((low, high)) = scene.span(&state.boards[0], kind, turn) else {
                continue;
            };
            let score = |at: Vec2| ALONG * (at.x + bounds.max.x) + at.y;
            for sample in 0..=SAMPLES {
                let at = if sample == SAMPLES {
                    Vec2::new(high.x, low.y)
                } else {
                    let x = low.x + (high.x - low.x) * random.unit();
                    Vec2::new(x, low.y + (high.y - low.y) * random.unit())
                };
                if best.is_some_and(|best| best.0 <= score(at)) {
                    continue;
                }
                state.steps += 1;
                if rack.price(scene, at, 0.0) <= 0.0 {
                    let at = slid(scene, &rack, at, low, own.narrow);
                    if best.is_none_or(|best| score(at) < best.0) {
                        best = Some((score(at), Pose { at, turn, board: 0 }));
                    }
                }
            }
        }
        state.poses[copy] = best?.1;
    }
    state.boards.truncate(1);
    state.boards[0].high.x = state.used_length(scene, 0);
    state.measure(scene);
    Some(state)
}

/// Steps back along the strip and across it as far as it stays clear.
pub(super) fn slid(scene: &Scene, rack: &Rack, mut at: Vec2, low: Vec2, narrow: f64) -> Vec2 {
    let mut step = 0.5 * narrow;
    while step > 2e-3 * narrow {
        let moved = [Vec2::new(-step, 0.0), Vec2::new(0.0, -step)]
            .into_iter()
            .find_map(|way| {
                let to = (at + way).max(low);
                (to != at && rack.price(scene, to, 0.0) <= 0.0).then_some(to)
            });
        match moved {
            Some(to) => at = to,
            None => step *= 0.5,
        }
    }
    at
}
