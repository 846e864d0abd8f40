//! What one copy may meet at a turn on a board, set out so that many places are asked in a row.

use super::state::{Scene, State, shaped};
use caddis_geometry::Vec2;

/// Something the moved copy may meet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Meeting {
    low: Vec2,
    high: Vec2,
    at: Vec2,
    cos: f64,
    sin: f64,
    /// Weight and factor together.
    counts: f64,
    least: f64,
    field: u32,
}

/// Everything a copy may meet at one turn on one board.
#[derive(Debug, Clone, Default)]
pub(super) struct Rack {
    meetings: Vec<Meeting>,
    /// Those within the window.
    near: Vec<Meeting>,
    window: Option<(Vec2, Vec2)>,
}

impl State {
    /// Everything `copy` could meet on a board at a turn.
    pub(super) fn rack(&self, scene: &Scene, copy: usize, turn: u16, board: u16, rack: &mut Rack) {
        let count = self.poses.len();
        let kind = scene.kind_of[copy];
        let kinds = scene.forms.kinds.len();
        let mine = scene.forms.kinds[kind].bounds[turn as usize];
        let gap = Vec2::new(scene.forms.gap, scene.forms.gap);
        rack.meetings.clear();
        rack.window = None;
        let mut add = |their_kind: usize, their_turn: u16, at: Vec2, weight: f64| {
            let between = scene.forms.between((their_kind, their_turn), (kind, turn));
            let theirs = scene.forms.kinds[their_kind].bounds[their_turn as usize];
            rack.meetings.push(Meeting {
                low: at + theirs.min - mine.max - gap,
                high: at + theirs.max - mine.min + gap,
                at,
                cos: between.cos,
                sin: between.sin,
                counts: weight * scene.factor[their_kind * kinds + kind],
                least: scene.least[their_kind * kinds + kind],
                field: between.field as u32,
            });
        };
        for &other in &scene.order {
            let pose = &self.poses[other];
            if other != copy && pose.board == board {
                add(
                    scene.kind_of[other],
                    pose.turn,
                    pose.at,
                    self.weight[copy * count + other],
                );
            }
        }
        for obstacle in &self.boards[board as usize].obstacles {
            if obstacle.quality < scene.quality[kind] {
                add(obstacle.kind, 0, obstacle.at, self.wall_weight[copy]);
            }
        }
    }
}

impl Rack {
    /// Weighted loss at a place; anything above `bound` may be told for a place that is worse than that.
    #[inline]
    pub(super) fn price(&self, scene: &Scene, at: Vec2, bound: f64) -> f64 {
        price_of(&self.meetings, scene, at, bound)
    }

    /// As [`Rack::price`], for places near each other.
    #[inline]
    pub(super) fn price_near(&mut self, scene: &Scene, at: Vec2, reach: Vec2, bound: f64) -> f64 {
        let inside = self
            .window
            .is_some_and(|(low, high)| at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y);
        if !inside {
            let (low, high) = (at - reach, at + reach);
            self.window = Some((low, high));
            self.near.clear();
            self.near.extend(self.meetings.iter().filter(|meeting| {
                meeting.low.x < high.x
                    && meeting.high.x > low.x
                    && meeting.low.y < high.y
                    && meeting.high.y > low.y
            }));
        }
        price_of(&self.near, scene, at, bound)
    }
}

#[inline]
#[expect(
    clippy::needless_bitwise_bool,
    reason = "all four at once: which one fails cannot be foretold"
)]
fn price_of(meetings: &[Meeting], scene: &Scene, at: Vec2, bound: f64) -> f64 {
    let mut sum = 0.0;
    for meeting in meetings {
        if (at.x <= meeting.low.x)
            | (at.x >= meeting.high.x)
            | (at.y <= meeting.low.y)
            | (at.y >= meeting.high.y)
        {
            continue;
        }
        let shift = at - meeting.at;
        let d = Vec2::new(
            meeting.cos * shift.x + meeting.sin * shift.y,
            meeting.cos * shift.y - meeting.sin * shift.x,
        );
        let deep = scene.forms.field(meeting.field as usize).depth(d);
        if deep > 0.0 {
            sum += meeting.counts * shaped(f64::from(deep), meeting.least);
            if sum > bound {
                return sum;
            }
        }
    }
    sum
}
