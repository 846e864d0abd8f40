//! What the cutter's tip does.

use caddis_geometry::{Vec2, Vec3};

/// How one move goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Way {
    /// Rapid, in the air.
    Rapid,
    /// Straight at a feed, metres per second.
    Line {
        /// Metres per second.
        feed: f64,
    },
    /// An arc in the plan at one height, of at most half a circle.
    Arc {
        /// Metres per second.
        feed: f64,
        /// Centre in the plan.
        centre: Vec2,
        /// Counter-clockwise seen from above.
        left: bool,
    },
}

/// One move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Move {
    pub(crate) way: Way,
    /// Where it ends, metres; z = 0 is the top of the sheet.
    pub(crate) to: Vec3,
}

/// All moves of a program, from the first position.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ToolPath {
    pub(crate) start: Vec3,
    pub(crate) moves: Vec<Move>,
}

impl ToolPath {
    /// Each move with where it starts.
    pub(crate) fn legs(&self) -> impl Iterator<Item = (Vec3, &Move)> {
        let starts = std::iter::once(self.start).chain(self.moves.iter().map(|step| step.to));
        starts.zip(&self.moves)
    }

    /// Where the last move ends.
    pub(crate) fn end(&self) -> Vec3 {
        self.moves.last().map_or(self.start, |step| step.to)
    }
}

/// Signed angle of an arc from `from` to `to` about `centre`, radians: positive to the left, a whole turn where they meet.
pub(crate) fn sweep(from: Vec2, to: Vec2, centre: Vec2, left: bool) -> f64 {
    let (a, b) = (from - centre, to - centre);
    let angle = a.cross(b).atan2(a.dot(b));
    let turn = std::f64::consts::TAU;
    match (left, angle) {
        (true, angle) if angle <= 1e-12 => angle + turn,
        (false, angle) if angle >= -1e-12 => angle - turn,
        (_, angle) => angle,
    }
}

/// Length of a move, metres.
pub(crate) fn length(from: Vec3, step: &Move) -> f64 {
    match step.way {
        Way::Arc { centre, left, .. } => {
            let angle = sweep(from.plan(), step.to.plan(), centre, left);
            angle.abs() * (from.plan() - centre).length()
        }
        Way::Rapid | Way::Line { .. } => from.distance(step.to),
    }
}

/// Directions at the start and the end of a move.
pub(crate) fn directions(from: Vec3, step: &Move) -> (Vec3, Vec3) {
    match step.way {
        Way::Arc { centre, left, .. } => {
            let tangent = |at: Vec2| {
                let turned = (at - centre).unit().perpendicular();
                (if left { turned } else { -turned }).at_height(0.0)
            };
            (tangent(from.plan()), tangent(step.to.plan()))
        }
        Way::Rapid | Way::Line { .. } => {
            let along = (step.to - from).unit();
            (along, along)
        }
    }
}
