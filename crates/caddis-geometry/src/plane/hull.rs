//! Convex hulls.

use super::contour::Contour;
use super::flatten::default_chord;
use super::region::{Region, Shape};
use crate::{Side, Vec2};

/// The convex hull, counter-clockwise, without collinear points; fewer than three points where there is none.
///
/// # Source
/// A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing Letters 9
/// (1979): the monotone chain.
pub fn convex_hull(mut points: Vec<Vec2>) -> Vec<Vec2> {
    points.sort_by(|l, r| l.x.total_cmp(&r.x).then(l.y.total_cmp(&r.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = Vec2>| {
        let mut chain: Vec<Vec2> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..] {
                if (b - a).cross(p - b) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

impl Region {
    /// The convex hull as a polygon region (arcs flattened Outer).
    #[must_use]
    pub fn convex_hull(&self) -> Self {
        let points = self
            .shapes
            .iter()
            .flat_map(|s| s.outer.flattened(default_chord(), Side::Outer))
            .collect();
        let hull = convex_hull(points);
        if hull.len() < 3 {
            return Self::empty();
        }
        Self {
            shapes: vec![Shape {
                outer: Contour::polygon(hull),
                holes: Vec::new(),
            }],
        }
    }
}
