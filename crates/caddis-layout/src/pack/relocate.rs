//! One copy looks for a better place: scattered samples, then descents from the best of them.

use super::rack::Rack;
use super::state::{Pose, Scene, State};
use crate::random::Random;
use caddis_geometry::Vec2;

/// How many samples and where from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Around the present place.
    pub(super) local: usize,
    /// Anywhere.
    pub(super) anywhere: usize,
    /// Best samples that are descended from.
    pub(super) descents: usize,
}

#[derive(Debug, Clone, Copy)]
struct Found {
    pose: Pose,
    price: f64,
}

/// A part more than so many times as long as wide is a bar: along its length it steps by a share of that, or it would not slide.
const BAR: f64 = 8.0;

/// Memory that is used again and again.
#[derive(Debug, Clone, Default)]
pub(super) struct Scratch {
    racks: Vec<((u16, u16), Rack)>,
    used: usize,
    best: Vec<Found>,
}

impl Scratch {
    fn rack(&mut self, scene: &Scene, state: &State, copy: usize, turn: u16, board: u16) -> usize {
        if let Some(index) = self.racks[..self.used]
            .iter()
            .position(|rack| rack.0 == (turn, board))
        {
            return index;
        }
        if self.used == self.racks.len() {
            self.racks.push(((0, 0), Rack::default()));
        }
        let index = self.used;
        self.used += 1;
        self.racks[index].0 = (turn, board);
        state.rack(scene, copy, turn, board, &mut self.racks[index].1);
        index
    }

    /// Keeps a find if it is among the best and unlike them.
    fn keep(&mut self, found: Found, most: usize, near: f64) {
        let alike = self.best.iter().position(|kept| {
            kept.pose.turn == found.pose.turn
                && kept.pose.board == found.pose.board
                && (kept.pose.at - found.pose.at).length() < near
        });
        if let Some(index) = alike {
            if found.price >= self.best[index].price {
                return;
            }
            self.best.remove(index);
        }
        let place = self.best.partition_point(|kept| kept.price <= found.price);
        self.best.insert(place, found);
        self.best.truncate(most);
    }

    fn bound(&self, most: usize) -> f64 {
        if self.best.len() < most {
            f64::INFINITY
        } else {
            self.best[most - 1].price
        }
    }
}

/// Moves a copy to the best place found, which is never worse than where it was.
pub(super) fn relocate(
    scene: &Scene,
    state: &mut State,
    copy: usize,
    effort: Effort,
    random: &mut Random,
    scratch: &mut Scratch,
) {
    let kind = scene.kind_of[copy];
    let own = &scene.forms.kinds[kind];
    let narrow = own.narrow;
    let near = 0.05 * narrow;
    let now = state.poses[copy];
    let price = state.price(copy);
    let most = effort.descents;
    scratch.used = 0;
    scratch.best.clear();
    scratch.best.push(Found { pose: now, price });
    let reach = own.bounds[now.turn as usize].size() * 0.5;
    for sample in 0..effort.local + effort.anywhere {
        let turn = own.turns[random.below(own.turns.len())];
        let board = if sample < effort.local || state.boards.len() == 1 {
            now.board
        } else {
            random.below(state.boards.len()) as u16
        };
        let Some((mut low, mut high)) = scene.span(&state.boards[board as usize], kind, turn) else {
            continue;
        };
        if sample < effort.local {
            low = low.max((now.at - reach).min(high));
            high = high.min((now.at + reach).max(low));
        }
        let at = Vec2::new(
            low.x + (high.x - low.x) * random.unit(),
            low.y + (high.y - low.y) * random.unit(),
        );
        let rack = scratch.rack(scene, state, copy, turn, board);
        state.steps += 1;
        let price = scratch.racks[rack].1.price(scene, at, scratch.bound(most));
        let found = Found {
            pose: Pose { at, turn, board },
            price,
        };
        scratch.keep(found, most, near);
    }
    for index in 0..scratch.best.len() {
        let found = scratch.best[index];
        scratch.best[index] = descend(scene, state, copy, found, (0.25, 0.02), random, scratch);
    }
    let Some(best) = scratch
        .best
        .iter()
        .copied()
        .reduce(|a, b| if b.price < a.price { b } else { a })
    else {
        return;
    };
    let fine = if best.price > 0.0 {
        descend(scene, state, copy, best, (0.01, 0.001), random, scratch)
    } else {
        best
    };
    if fine.pose != now && fine.price <= price {
        state.poses[copy] = fine.pose;
        state.measure_one(scene, copy);
    }
}

/// Steps to either side along random axes, shorter after every failure.
fn descend(
    scene: &Scene,
    state: &mut State,
    copy: usize,
    mut found: Found,
    steps: (f64, f64),
    random: &mut Random,
    scratch: &mut Scratch,
) -> Found {
    let kind = scene.kind_of[copy];
    let narrow = scene.forms.kinds[kind].narrow;
    let Pose { turn, board, .. } = found.pose;
    let Some((low, high)) = scene.span(&state.boards[board as usize], kind, turn) else {
        return found;
    };
    let rack = scratch.rack(scene, state, copy, turn, board);
    let rack = &mut scratch.racks[rack].1;
    let size = scene.forms.kinds[kind].bounds[turn as usize].size();
    let first = (size / BAR).max(Vec2::new(narrow, narrow)) * steps.0;
    let (mut sx, mut sy) = (first.x, first.y);
    let least = steps.1 * narrow;
    let reach = first * 2.0;
    let mut axis = random.below(4);
    while found.price > 0.0 && (sx > least || sy > least) {
        let way = match axis {
            0 => Vec2::new(sx, 0.0),
            1 => Vec2::new(0.0, sy),
            2 => Vec2::new(sx, sy),
            _ => Vec2::new(sx, -sy),
        };
        let mut better = false;
        for at in [found.pose.at + way, found.pose.at - way] {
            let at = at.max(low).min(high);
            if at == found.pose.at {
                continue;
            }
            state.steps += 1;
            let price = rack.price_near(scene, at, reach, found.price);
            if price < found.price {
                found.price = price;
                found.pose.at = at;
                better = true;
                break;
            }
        }
        let change: f64 = if better { 1.1 } else { 0.5 };
        match axis {
            0 => sx *= change,
            1 => sy *= change,
            _ => {
                sx *= change.sqrt();
                sy *= change.sqrt();
            }
        }
        if !better {
            axis = random.below(4);
        }
    }
    found
}
