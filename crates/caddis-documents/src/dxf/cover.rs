//! What a filled area leaves of the lines below it: paper is painted over, a drawing file is not.

use super::corners;
use crate::sheet::Outline;
use caddis_geometry::Vec2;
use caddis_shop::DxfShape;
use std::f64::consts::TAU;

/// How far chords may leave the area's arcs, mm.
const CHORD: f64 = 0.02;
/// Lines this near the area's boundary lie on it and stay, mm.
const EDGE: f64 = 0.05;

/// A filled area, by the even-odd rule.
pub(super) struct Cover {
    edges: Vec<(Vec2, Vec2)>,
    low: Vec2,
    high: Vec2,
}

impl Cover {
    /// The area of some outlines; `None` where it has no inside.
    pub(super) fn of(outlines: &[Outline]) -> Option<Self> {
        let mut edges = Vec::new();
        for outline in outlines {
            let (vertices, _) = corners(outline);
            let n = vertices.len();
            if n < 2 {
                continue;
            }
            for i in 0..n {
                let (a, b) = (vertices[i], vertices[(i + 1) % n]);
                let edge = Edge::new(a, b);
                let mut from = edge.a;
                let steps = edge.steps();
                for k in 1..=steps {
                    let to = edge.at(k as f64 / steps as f64);
                    edges.push((from, to));
                    from = to;
                }
            }
        }
        let (first, _) = *edges.first()?;
        let (low, high) = edges
            .iter()
            .fold((first, first), |(low, high), (a, _)| (low.min(*a), high.max(*a)));
        (high.x - low.x > EDGE && high.y - low.y > EDGE).then_some(Self { edges, low, high })
    }

    fn meets(&self, low: Vec2, high: Vec2) -> bool {
        low.x <= self.high.x && high.x >= self.low.x && low.y <= self.high.y && high.y >= self.low.y
    }

    /// Whether the boxes of both meet.
    pub(super) fn may_cover(&self, shape: &DxfShape) -> bool {
        match shape {
            DxfShape::Polyline { vertices, is_closed } => edges_of(vertices, *is_closed)
                .map(|edge| edge.bounds())
                .any(|(low, high)| self.meets(low, high)),
            DxfShape::Filled { .. } | DxfShape::Text { .. } => false,
        }
    }

    /// What is left of a line.
    pub(super) fn rest_of(&self, shape: DxfShape) -> Vec<DxfShape> {
        let DxfShape::Polyline { vertices, is_closed } = &shape else {
            return vec![shape];
        };
        let mut runs: Vec<Vec<(f64, f64, f64)>> = Vec::new();
        // Whether the run at hand goes on to the next edge.
        let mut is_open = false;
        let mut is_whole = true;
        for edge in edges_of(vertices, *is_closed) {
            let pieces = self.kept(&edge);
            is_whole &= pieces == [(0.0, 1.0)];
            for &(from, to) in &pieces {
                let start = edge.at(from);
                if !(is_open && from == 0.0) {
                    runs.push(vec![(start.x, start.y, 0.0)]);
                }
                if let Some(run) = runs.last_mut() {
                    if let Some(last) = run.last_mut() {
                        last.2 = edge.bulge_of(to - from);
                    }
                    let end = edge.at(to);
                    run.push((end.x, end.y, 0.0));
                }
                is_open = to == 1.0;
            }
            is_open &= !pieces.is_empty();
        }
        if is_whole {
            return vec![shape];
        }
        // A closed line's last run goes on into its first.
        if *is_closed && is_open && runs.len() > 1 {
            let starts = (vertices[0].0, vertices[0].1);
            if (runs[0][0].0, runs[0][0].1) == starts {
                let first = runs.remove(0);
                if let Some(last) = runs.last_mut() {
                    last.pop();
                    last.extend(first);
                }
            }
        }
        runs.into_iter()
            .map(|vertices| DxfShape::Polyline {
                vertices,
                is_closed: false,
            })
            .collect()
    }

    /// The stretches of an edge that are not covered.
    fn kept(&self, edge: &Edge) -> Vec<(f64, f64)> {
        let (low, high) = edge.bounds();
        if !self.meets(low, high) {
            return vec![(0.0, 1.0)];
        }
        let mut cuts = vec![0.0, 1.0];
        for &(p, q) in &self.edges {
            if p.x.max(q.x) >= low.x
                && p.x.min(q.x) <= high.x
                && p.y.max(q.y) >= low.y
                && p.y.min(q.y) <= high.y
            {
                edge.crossings(p, q, &mut cuts);
            }
        }
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|b, a| *b - *a < 1e-9);
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for pair in cuts.windows(2) {
            if self.holds(edge.at(f64::midpoint(pair[0], pair[1]))) {
                continue;
            }
            match kept.last_mut() {
                Some(last) if last.1 == pair[0] => last.1 = pair[1],
                _ => kept.push((pair[0], pair[1])),
            }
        }
        // Ends as they were, so that whole edges are known by them.
        if let Some(last) = kept.last_mut()
            && last.1 > 1.0 - 1e-9
        {
            last.1 = 1.0;
        }
        kept
    }

    /// Whether a point lies well inside.
    fn holds(&self, p: Vec2) -> bool {
        let mut is_inside = false;
        for &(a, b) in &self.edges {
            if (a.y <= p.y) != (b.y <= p.y) && a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) > p.x {
                is_inside = !is_inside;
            }
        }
        is_inside
            && self.edges.iter().all(|&(a, b)| {
                let along = b - a;
                let share = ((p - a).dot(along) / along.dot(along).max(1e-30)).clamp(0.0, 1.0);
                p.distance(a + along * share) > EDGE
            })
    }
}

fn edges_of(vertices: &[(f64, f64, f64)], is_closed: bool) -> impl Iterator<Item = Edge> {
    let n = vertices.len();
    let count = if is_closed { n } else { n.saturating_sub(1) };
    (0..count).map(move |i| Edge::new(vertices[i], vertices[(i + 1) % n]))
}

/// A line or an arc from `a` to `b`.
struct Edge {
    a: Vec2,
    b: Vec2,
    /// Tangent of a quarter of the arc's angle; nought of a line.
    bulge: f64,
    centre: Vec2,
}

impl Edge {
    fn new(a: (f64, f64, f64), b: (f64, f64, f64)) -> Self {
        let (from, to, bulge) = (Vec2::new(a.0, a.1), Vec2::new(b.0, b.1), a.2);
        let chord = to - from;
        let off = if bulge == 0.0 {
            0.0
        } else {
            (1.0 - bulge * bulge) / (4.0 * bulge)
        };
        Self {
            a: from,
            b: to,
            bulge,
            centre: (from + to) / 2.0 + Vec2::new(-chord.y, chord.x) * off,
        }
    }

    fn angle(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    fn radius(&self) -> f64 {
        self.a.distance(self.centre)
    }

    fn at(&self, share: f64) -> Vec2 {
        if share == 0.0 {
            self.a
        } else if share == 1.0 {
            self.b
        } else if self.bulge == 0.0 {
            self.a.lerp(self.b, share)
        } else {
            self.centre + (self.a - self.centre).rotated(self.angle() * share)
        }
    }

    /// The bulge of a part of it.
    fn bulge_of(&self, share: f64) -> f64 {
        if share == 1.0 {
            self.bulge
        } else {
            (self.angle() * share / 4.0).tan()
        }
    }

    /// How many chords follow it within [`CHORD`].
    fn steps(&self) -> usize {
        if self.bulge == 0.0 {
            return 1;
        }
        let radius = self.radius().max(CHORD);
        let most = 2.0 * (1.0 - CHORD / radius).acos();
        ((self.angle().abs() / most).ceil() as usize).clamp(1, 720)
    }

    fn bounds(&self) -> (Vec2, Vec2) {
        let (low, high) = (self.a.min(self.b), self.a.max(self.b));
        if self.bulge == 0.0 {
            return (low, high);
        }
        let reach = Vec2::new(self.radius(), self.radius());
        (low.min(self.centre - reach), high.max(self.centre + reach))
    }

    /// Adds where it crosses the line `p q`, as shares of itself.
    fn crossings(&self, p: Vec2, q: Vec2, cuts: &mut Vec<f64>) {
        let way = q - p;
        if self.bulge == 0.0 {
            let own = self.b - self.a;
            let across = own.cross(way);
            if across == 0.0 {
                return;
            }
            let share = (p - self.a).cross(way) / across;
            let other = (p - self.a).cross(own) / across;
            if share > 0.0 && share < 1.0 && (0.0..=1.0).contains(&other) {
                cuts.push(share);
            }
            return;
        }
        let from = p - self.centre;
        let (a, half_b, c) = (
            way.dot(way),
            from.dot(way),
            from.dot(from) - self.radius() * self.radius(),
        );
        let root = half_b * half_b - a * c;
        if a == 0.0 || root <= 0.0 {
            return;
        }
        for sign in [-1.0, 1.0] {
            let other = (-half_b + sign * root.sqrt()) / a;
            if !(0.0..=1.0).contains(&other) {
                continue;
            }
            let at = from + way * other;
            let start = self.a - self.centre;
            let turn = start.cross(at).atan2(start.dot(at));
            let turn = if self.bulge > 0.0 {
                turn.rem_euclid(TAU)
            } else {
                -((-turn).rem_euclid(TAU))
            };
            let share = turn / self.angle();
            if share > 0.0 && share < 1.0 {
                cuts.push(share);
            }
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::sheet::{Fill, Mark, Sheet};

    fn disc(radius: f64) -> Cover {
        let mut sheet = Sheet::blank("", 10.0, 10.0);
        sheet.circle(Vec2::new(5.0, 5.0), radius, None, Some(Fill { colour: [255; 3] }));
        let Some(Mark::Path { outlines, .. }) = sheet.marks.first() else {
            panic!("no circle")
        };
        Cover::of(outlines).unwrap()
    }

    fn length(shapes: &[DxfShape]) -> f64 {
        shapes
            .iter()
            .map(|shape| match shape {
                DxfShape::Polyline { vertices, is_closed } => edges_of(vertices, *is_closed)
                    .map(|edge| {
                        if edge.bulge == 0.0 {
                            edge.a.distance(edge.b)
                        } else {
                            edge.radius() * edge.angle().abs()
                        }
                    })
                    .sum(),
                _ => 0.0,
            })
            .sum()
    }

    fn line(vertices: Vec<(f64, f64, f64)>, is_closed: bool) -> DxfShape {
        DxfShape::Polyline { vertices, is_closed }
    }

    #[test]
    fn a_line_across_a_disc_loses_what_the_disc_covers() {
        let rest = disc(2.0).rest_of(line(vec![(0.0, 5.0, 0.0), (10.0, 5.0, 0.0)], false));
        assert_eq!(rest.len(), 2);
        assert!((length(&rest) - 6.0).abs() < 0.05, "{rest:?}");
        // One that ends inside, as a balloon's leader does.
        let rest = disc(2.0).rest_of(line(
            vec![(0.0, 0.0, 0.0), (0.0, 5.0, 0.0), (5.0, 5.0, 0.0)],
            false,
        ));
        assert_eq!(rest.len(), 1);
        assert!((length(&rest) - 8.0).abs() < 0.05, "{rest:?}");
    }

    #[test]
    fn a_ring_around_a_point_of_a_disc_loses_the_arc_inside() {
        // A circle of the disc's own radius through its middle: a third of it lies inside.
        let ring = line(vec![(3.0, 5.0, 1.0), (7.0, 5.0, 1.0)], true);
        let whole = length(std::slice::from_ref(&ring));
        let shifted = line(vec![(5.0, 5.0, 1.0), (9.0, 5.0, 1.0)], true);
        let rest = disc(2.0).rest_of(shifted);
        assert_eq!(rest.len(), 1, "{rest:?}");
        assert!(
            (length(&rest) - whole * 2.0 / 3.0).abs() < 0.1,
            "{}",
            length(&rest)
        );
    }

    #[test]
    fn the_border_of_an_area_stays_and_so_does_what_lies_beside_it() {
        let ring = line(vec![(3.0, 5.0, 1.0), (7.0, 5.0, 1.0)], true);
        assert_eq!(disc(2.0).rest_of(ring.clone()), vec![ring]);
        let beside = line(vec![(0.0, 0.0, 0.0), (10.0, 0.0, 0.0)], false);
        assert_eq!(disc(2.0).rest_of(beside.clone()), vec![beside]);
        let inside = line(vec![(4.5, 5.0, 0.0), (5.5, 5.0, 0.0)], false);
        assert_eq!(disc(2.0).rest_of(inside), vec![]);
    }
}
