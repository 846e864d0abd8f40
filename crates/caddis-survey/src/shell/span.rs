//! The longest stretch of the rim that nothing holds down.

use super::{FittingGroup, Shell, Wall};
use caddis_basis::{Length, Said, said};
use caddis_geometry::Vec2;

/// The longest stretch of the rim between two places that hold the lid. It says where a lid can be pried or gape first,
/// and nothing about what it takes to force it.
#[derive(Debug, Clone, PartialEq)]
pub struct UnlockedSpan {
    /// "latches" or "padlock points".
    pub held_by: Said,
    /// Along the rim's rectangle.
    pub length: Length,
    /// Its middle.
    pub middle: Vec2,
}

impl Shell {
    /// The longest stretch between latches, and the longest between padlock points, of those whose places are surveyed. A
    /// hinge that is surveyed holds its whole wall.
    ///
    /// # Accuracy
    /// Along the rectangle of the base opening, corner radii left out: up to 0.43 of a corner's radius too long.
    ///
    /// # Source
    /// Largest gap between places along a closed line; derived.
    pub fn unlocked_spans(&self) -> Vec<UnlockedSpan> {
        [(said!("latches"), "latch"), (said!("padlock points"), "padlock")]
            .into_iter()
            .filter_map(|(held_by, word)| self.longest_span(held_by, word))
            .collect()
    }

    fn longest_span(&self, held_by: Said, word: &str) -> Option<UnlockedSpan> {
        let rim = &self.base.rim;
        let (length, width) = (rim.length.value.si(), rim.width.value.si());
        let around = 2.0 * (length + width);
        let mut held: Vec<(f64, f64)> = self
            .fittings
            .iter()
            .filter(|fitting| fitting.group == FittingGroup::Closing && fitting.is_called(word))
            .flat_map(|fitting| &fitting.places)
            .map(|place| {
                let at = along_rim(Vec2::new(place[0].value.si(), place[1].value.si()), length, width);
                (at, at)
            })
            .collect();
        if held.is_empty() || !around.is_finite() || around <= 0.0 {
            return None;
        }
        if let Some(hinge) = &self.hinge {
            // Counter-clockwise from the left front corner: front, right, back, left.
            held.push(match hinge.wall {
                Wall::Front => (0.0, length),
                Wall::Right => (length, length + width),
                Wall::Back => (length + width, 2.0 * length + width),
                Wall::Left => (2.0 * length + width, around),
            });
        }
        held.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best = (f64::NEG_INFINITY, 0.0);
        let mut reach = held.last().map_or(0.0, |last| last.1) - around;
        for (start, end) in held {
            let gap = start - reach;
            if gap > best.0 {
                best = (gap, f64::midpoint(start, reach));
            }
            reach = reach.max(end);
        }
        Some(UnlockedSpan {
            held_by,
            length: Length::from_si(best.0.max(0.0)),
            middle: on_rim(best.1.rem_euclid(around), length, width),
        })
    }
}

/// Distance along the rim's rectangle, counter-clockwise from the left front corner, of the rim's point nearest to `p`.
fn along_rim(p: Vec2, length: f64, width: f64) -> f64 {
    let (x, y) = (
        (p.x + length / 2.0).clamp(0.0, length),
        (p.y + width / 2.0).clamp(0.0, width),
    );
    let gaps = [
        (p.y + width / 2.0).abs(),
        (p.x - length / 2.0).abs(),
        (p.y - width / 2.0).abs(),
        (p.x + length / 2.0).abs(),
    ];
    let nearest = (0..4).min_by(|&a, &b| gaps[a].total_cmp(&gaps[b]));
    match nearest {
        Some(0) => x,
        Some(1) => length + y,
        Some(2) => length + width + (length - x),
        _ => 2.0 * length + width + (width - y),
    }
}

/// The point at a distance along the rim's rectangle.
fn on_rim(at: f64, length: f64, width: f64) -> Vec2 {
    let half = Vec2::new(length, width) / 2.0;
    if at <= length {
        Vec2::new(at - half.x, -half.y)
    } else if at <= length + width {
        Vec2::new(half.x, at - length - half.y)
    } else if at <= 2.0 * length + width {
        Vec2::new(half.x - (at - length - width), half.y)
    } else {
        Vec2::new(-half.x, half.y - (at - 2.0 * length - width))
    }
}
