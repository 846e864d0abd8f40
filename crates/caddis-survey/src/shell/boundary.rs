//! How far an upright rectangle keeps off the boundary of any outline.

use caddis_geometry::{Region, Side, Vec2};

/// Arcs give way to chords that lie within this, on the severe side, metres.
const CHORD: f64 = 2e-5;

/// An outline as straight edges.
pub(super) struct Boundary {
    region: Region,
    edges: Vec<[Vec2; 2]>,
}

impl Boundary {
    /// Of room that something is to lie in.
    pub(super) fn of_room(region: Region) -> Self {
        Self::new(region, Side::Inner)
    }

    /// Of matter that something is to keep off.
    pub(super) fn of_matter(region: Region) -> Self {
        Self::new(region, Side::Outer)
    }

    fn new(region: Region, side: Side) -> Self {
        let edges = region
            .contours()
            .flat_map(|contour| {
                let points = contour.flattened(CHORD, side);
                let next: Vec<Vec2> = points.iter().skip(1).chain(points.first()).copied().collect();
                points.into_iter().zip(next).map(|(a, b)| [a, b])
            })
            .collect();
        Self { region, edges }
    }

    /// How far a rectangle about `at` keeps inside; negative when it does not. Where it does, no step of `at` changes it by
    /// more than the step, and where it does not, no step shorter than what is missing mends it.
    pub(super) fn inside(&self, half: Vec2, at: Vec2) -> f64 {
        let gap = self.gap(half, at);
        if gap < 0.0 {
            return gap;
        }
        gap.min(-self.region.signed_distance(at))
    }

    /// The same of a rectangle that is to keep outside.
    pub(super) fn outside(&self, half: Vec2, at: Vec2) -> f64 {
        let gap = self.gap(half, at);
        if gap < 0.0 {
            return gap;
        }
        gap.min(self.region.signed_distance(at))
    }

    /// The least distance of an edge from the rectangle; the deepest that one reaches into it, negative.
    ///
    /// # Source
    /// An edge grown by the rectangle is a convex hexagon about its middle: its sides are the axes and the edge's normal
    /// (separating axes); derived.
    fn gap(&self, half: Vec2, at: Vec2) -> f64 {
        self.edges.iter().fold(f64::INFINITY, |least, edge| {
            let [a, b] = edge.map(|p| p - at);
            let normal = Vec2::new(a.y - b.y, b.x - a.x).unit();
            let apart_x = a.x.min(b.x).max(-(a.x.max(b.x))) - half.x;
            let apart_y = a.y.min(b.y).max(-(a.y.max(b.y))) - half.y;
            let apart = normal.dot(a).abs() - normal.x.abs() * half.x - normal.y.abs() * half.y;
            let bound = apart_x.max(apart_y).max(apart);
            if bound <= 0.0 {
                return least.min(bound);
            }
            if bound >= least {
                return least;
            }
            let off_box =
                |p: Vec2| Vec2::new((p.x.abs() - half.x).max(0.0), (p.y.abs() - half.y).max(0.0)).length();
            let along = b - a;
            let off_edge = |p: Vec2| {
                let t = (p - a).dot(along) / along.dot(along).max(f64::MIN_POSITIVE);
                (p - a - along * t.clamp(0.0, 1.0)).length()
            };
            [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
                .into_iter()
                .map(|(x, y)| off_edge(Vec2::new(x * half.x, y * half.y)))
                .chain([off_box(a), off_box(b)])
                .fold(least, f64::min)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rectangle(half: Vec2, at: Vec2) -> Region {
        Region::rectangle(at - half, at + half)
    }

    #[test]
    fn a_rectangle_in_a_round_room_touches_with_its_corners() {
        let room = Boundary::of_room(Region::circle(Vec2::ZERO, 0.1));
        let gap = room.inside(Vec2::new(0.06, 0.02), Vec2::ZERO);
        assert!((gap - (0.1 - 0.06_f64.hypot(0.02))).abs() < CHORD, "{gap}");
        assert!(room.inside(Vec2::new(0.01, 0.01), Vec2::new(0.3, 0.0)) < -0.19);
        assert!(room.outside(Vec2::new(0.01, 0.01), Vec2::new(0.3, 0.0)) > 0.18);
    }

    proptest! {
        #[test]
        fn it_agrees_with_the_plane_and_never_outruns_a_step(
            points in proptest::collection::vec((-0.2..0.2_f64, -0.2..0.2_f64), 3..8),
            half in (0.002..0.05_f64, 0.002..0.05_f64),
            at in (-0.2..0.2_f64, -0.2..0.2_f64),
            step in (-0.02..0.02_f64, -0.02..0.02_f64),
        ) {
            let hull = caddis_geometry::convex_hull(points.iter().map(|&(x, y)| Vec2::new(x, y)).collect());
            let region = Region::from_contours(&[caddis_geometry::Contour::polygon(hull)]);
            prop_assume!(region.area() > 1e-4);
            let (half, at) = (Vec2::new(half.0, half.1), Vec2::new(at.0, at.1));
            let (room, matter) = (Boundary::of_room(region.clone()), Boundary::of_matter(region.clone()));
            let block = rectangle(half, at);
            let inside = room.inside(half, at);
            let exact = block.room_inside(&region);
            prop_assert!(if exact > 0.0 { (inside - exact).abs() < 1e-7 } else { inside < 1e-7 }, "{inside} {exact}");
            let outside = matter.outside(half, at);
            let exact = block.distance(&region);
            prop_assert!(if exact > 0.0 { (outside - exact).abs() < 1e-7 } else { outside < 1e-7 }, "{outside} {exact}");
            let step = Vec2::new(step.0, step.1);
            let (moved_in, moved_out) = (room.inside(half, at + step), matter.outside(half, at + step));
            if moved_in >= 0.0 {
                prop_assert!(moved_in - inside <= step.length() + 1e-9);
            }
            if moved_out >= 0.0 {
                prop_assert!(moved_out - outside <= step.length() + 1e-9);
            }
        }
    }
}
