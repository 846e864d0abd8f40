//! A first layout: one piece after the other, each where it fits best.

use super::state::{Pose, State};
use crate::engine::ROUNDING;
use crate::random::Random;
use caddis_geometry::Vec2;

/// Lines of the coarse grid over a zone, each way.
const GRID: usize = 9;
/// Positions tried per slot at most.
const POSITIONS: usize = 500;

/// Which corner the filling starts from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Filling {
    /// Sign of x and y of the corner, and how x weighs against y.
    pub(crate) towards: Vec2,
    /// Randomness of the order, 0 for strictly by size.
    pub(crate) noise: f64,
}

impl State<'_> {
    /// Places every movable piece anew, largest first.
    pub(crate) fn construct(&mut self, filling: Filling, random: &mut Random) {
        let mut order: Vec<(usize, f64)> = (0..self.len())
            .filter(|&piece| self.movable[piece])
            .map(|piece| {
                let size = self.least_size(piece);
                (piece, size * (1.0 + filling.noise * random.signed()))
            })
            .collect();
        order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let mut placed: Vec<bool> = self.movable.iter().map(|movable| !movable).collect();
        for (piece, _) in order {
            self.poses[piece] = self.best_pose(piece, &placed, filling, random);
            placed[piece] = true;
        }
    }

    /// Least plan box over its slots, keep-outs included.
    fn least_size(&self, piece: usize) -> f64 {
        self.usable[piece]
            .iter()
            .map(|&slot| {
                let form = self.room.slots[piece][slot].form;
                let web = self.room.demands(form).web;
                let size = self.room.forms[form].body.sweep().size();
                (size.x + f64::midpoint(web.left, web.right)) * (size.y + f64::midpoint(web.front, web.back))
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn best_pose(&mut self, piece: usize, placed: &[bool], filling: Filling, random: &mut Random) -> Pose {
        let mut best = self.poses[piece];
        let mut best_key = (f64::INFINITY, f64::INFINITY);
        let usable = self.usable;
        let mut positions = Vec::new();
        for &slot in &usable[piece] {
            self.positions(piece, slot, placed, random, &mut positions);
            let way = &self.room.slots[piece][slot];
            let half = self.room.forms[way.form].body.sweep().size() / 2.0;
            for &at in &positions {
                let pose = Pose { slot, at };
                // Distance of the far edges from the corner being filled: small pieces nestle, long ones lie along.
                let far = Vec2::new(
                    at.x * filling.towards.x.signum() - half.x,
                    at.y * filling.towards.y.signum() - half.y,
                );
                let score = way.cost - far.x * filling.towards.x.abs() - far.y * filling.towards.y.abs();
                if best_key.0 <= ROUNDING && score >= best_key.1 {
                    continue;
                }
                if self.is_spent() {
                    return best;
                }
                self.steps += 1;
                let mut missing = way.zone.overlap(at, 0.0);
                for (other, &is_placed) in placed.iter().enumerate() {
                    if missing > best_key.0 {
                        break;
                    }
                    if is_placed && other != piece {
                        missing += self.pair_overlap(piece, &pose, other, 0.0);
                    }
                }
                let missing = if missing <= ROUNDING { 0.0 } else { missing };
                if missing < best_key.0 || (missing == best_key.0 && score < best_key.1) {
                    best_key = (missing, score);
                    best = pose;
                }
            }
        }
        best
    }

    /// Contact positions and a coarse grid; a random choice of them when there are many.
    pub(crate) fn positions(
        &self,
        piece: usize,
        slot: usize,
        among: &[bool],
        random: &mut Random,
        out: &mut Vec<Vec2>,
    ) {
        out.clear();
        let zone = &self.room.slots[piece][slot].zone;
        let (xs, ys) = self.contact_lines(piece, slot, among);
        for &x in &xs {
            out.extend(ys.iter().map(|&y| Vec2::new(x, y)));
        }
        for i in 0..GRID {
            for j in 0..GRID {
                let part = |k: usize| (k as f64 + 0.5) / GRID as f64;
                out.push(Vec2::new(
                    zone.min.x + (zone.max.x - zone.min.x) * part(i),
                    zone.min.y + (zone.max.y - zone.min.y) * part(j),
                ));
            }
        }
        if out.len() > POSITIONS {
            random.shuffle(out);
            out.truncate(POSITIONS);
        }
        out.extend_from_slice(&zone.corners);
    }
}
