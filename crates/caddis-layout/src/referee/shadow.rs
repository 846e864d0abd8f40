//! What a body covers in plan, and how deep another reaches into it or into the foam around it.

use crate::Sides;
use caddis_geometry::{Bounds2, Region as Plan, Vec2};

/// A plan with what is asked of it again and again.
pub(super) struct Shadow {
    pub(super) plan: Plan,
    pub(super) bounds: Option<Bounds2>,
    /// Corners of its convex hull, once asked for.
    hull: Option<Vec<Vec2>>,
    /// Grown by the sides last asked for.
    grown: Vec<(Sides, Plan)>,
}

impl Shadow {
    pub(super) fn new(plan: Plan) -> Self {
        Self {
            bounds: plan.bounds(),
            plan,
            hull: None,
            grown: Vec::new(),
        }
    }

    fn hull(&mut self) -> &[Vec2] {
        self.hull.get_or_insert_with(|| {
            let hull = self.plan.convex_hull();
            let vertices = hull.shapes.iter().flat_map(|shape| &shape.outer.vertices);
            vertices.map(|vertex| vertex.at).collect()
        })
    }

    /// How deep another shadow reaches into this one grown by the sides: 0 when they are apart or touch, else the width of what
    /// both hold.
    pub(super) fn entered(&mut self, sides: &Sides, other: &mut Self, slack: f64) -> f64 {
        if self.is_parted(sides, other, slack) {
            return 0.0;
        }
        let known = self.grown.iter().position(|(by, _)| by == sides);
        let known = known.unwrap_or_else(|| {
            let grown = self
                .plan
                .grown_by_sides(sides.left, sides.right, sides.front, sides.back);
            self.grown.push((*sides, grown));
            self.grown.len() - 1
        });
        shared_width(&self.grown[known].1, &other.plan)
    }

    /// Whether a straight line parts the other from this one grown by the sides, so that what both hold is no wider than the slack.
    ///
    /// # Source
    /// Convex sets are apart exactly if an edge normal of one of them parts them (separating axis theorem); the box of the sides adds
    /// the axes. What two regions share lies in the strip by which they pass such a line: of a strip of width w the measure of
    /// [`shared_width`] is at most 2 w.
    fn is_parted(&mut self, sides: &Sides, other: &mut Self, slack: f64) -> bool {
        let (Some(mine), Some(its)) = (self.bounds, other.bounds) else {
            return true;
        };
        let between = [
            its.min.x - mine.max.x - sides.right,
            mine.min.x - its.max.x - sides.left,
            its.min.y - mine.max.y - sides.back,
            mine.min.y - its.max.y - sides.front,
        ];
        if between.into_iter().any(|gap| gap >= -slack) {
            return true;
        }
        let (mine, its) = (self.hull(), other.hull());
        let parts = |n: Vec2| {
            let least = its.iter().map(|p| n.dot(*p)).fold(f64::INFINITY, f64::min);
            let most = mine.iter().map(|p| n.dot(*p)).fold(f64::NEG_INFINITY, f64::max);
            least - most - reach(sides, n) >= -slack / 2.0
        };
        normals(mine).any(&parts) || normals(its).map(|n| -n).any(parts)
    }
}

/// Outward normals of a convex polygon's edges.
fn normals(hull: &[Vec2]) -> impl Iterator<Item = Vec2> + '_ {
    let following = hull.iter().cycle().skip(1);
    hull.iter()
        .zip(following)
        .map(|(a, b)| -(*b - *a).unit().perpendicular())
}

/// How far a box of sides reaches along a direction.
fn reach(sides: &Sides, n: Vec2) -> f64 {
    let along = if n.x > 0.0 { sides.right } else { sides.left };
    let across = if n.y > 0.0 { sides.back } else { sides.front };
    along * n.x.abs() + across * n.y.abs()
}

/// The width of what two plans both hold, 0 when nothing.
///
/// # Source
/// A sliver of width w and length l has area w l and boundary 2 (w + l), so 4 A / L is between 2 w (long) and w
/// (square); a box's shorter side bounds it from above.
fn shared_width(a: &Plan, b: &Plan) -> f64 {
    a.intersection(b)
        .shapes
        .into_iter()
        .map(|shape| {
            let shared = Plan { shapes: vec![shape] };
            let length = shared.boundary_length();
            let side = shared
                .bounds()
                .map_or(0.0, |bounds| bounds.size().x.min(bounds.size().y));
            if length > 0.0 {
                side.min(4.0 * shared.area() / length)
            } else {
                0.0
            }
        })
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn corner() -> Plan {
        let at = Vec2::new;
        Plan::rectangle(at(0.0, 0.0), at(0.2, 0.1)).difference(&Plan::rectangle(at(0.1, 0.05), at(0.2, 0.1)))
    }

    proptest! {
        /// What a line is said to part shares nothing when it is intersected all the same.
        #[test]
        fn what_a_line_parts_is_apart(x in -0.3..0.3f64, y in -0.3..0.3f64, round in any::<bool>(), left in 0.0..0.03f64, front in 0.0..0.03f64) {
            let sides = Sides { left, right: 0.01, front, back: 0.02 };
            let at = Vec2::new(x, y);
            let other = if round {
                Plan::circle(at, 0.04)
            } else {
                Plan::rectangle(at - Vec2::new(0.05, 0.02), at + Vec2::new(0.05, 0.02))
            };
            let (mut a, mut b) = (Shadow::new(corner()), Shadow::new(other));
            let shared = shared_width(&a.plan.grown_by_sides(sides.left, sides.right, sides.front, sides.back), &b.plan);
            let found = a.entered(&sides, &mut b, 1e-6);
            if a.is_parted(&sides, &mut b, 1e-6) {
                prop_assert!(shared <= 1e-6 && found == 0.0, "{shared}");
            } else {
                prop_assert_eq!(shared, found);
            }
        }
    }
}
