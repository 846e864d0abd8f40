//! Containment and distances, exact with arcs.

use super::edge::Edge;
use super::{Bounds2, Contour, Region};
use crate::Vec2;

/// Points nearer to the boundary than this lie on it.
const ON_BOUNDARY: f64 = 1e-9;

/// Distance between two boxes, 0 when they meet.
fn gap(a: &Bounds2, b: &Bounds2) -> f64 {
    let apart = (a.min - b.max).max(b.min - a.max).max(Vec2::ZERO);
    apart.length()
}

fn point_box(p: Vec2) -> Bounds2 {
    Bounds2 { min: p, max: p }
}

impl Region {
    fn edges(&self) -> impl Iterator<Item = Edge> + '_ {
        self.contours().flat_map(Contour::edges)
    }

    fn boxed_edges(&self) -> Vec<(Bounds2, Edge)> {
        self.edges().map(|e| (e.bounds(), e)).collect()
    }

    /// By the even-odd rule along a ray; says nothing sure about points on the boundary.
    pub(crate) fn is_inside(&self, p: Vec2) -> bool {
        self.edges().map(|e| e.crossings(p)).sum::<u32>() % 2 == 1
    }

    fn boundary_distance(&self, p: Vec2) -> f64 {
        self.edges()
            .fold(f64::INFINITY, |least, e| least.min(e.distance_to(p)))
    }

    /// Whether the point lies inside or on the boundary.
    pub fn contains(&self, p: Vec2) -> bool {
        self.is_inside(p) || self.boundary_distance(p) <= ON_BOUNDARY
    }

    /// Distance from the point to the boundary, negative inside. Infinite when empty.
    pub fn signed_distance(&self, p: Vec2) -> f64 {
        let distance = self.boundary_distance(p);
        if self.is_inside(p) { -distance } else { distance }
    }

    /// Least distance between the boundaries; infinite when one is empty.
    fn boundary_gap(&self, other: &Self) -> f64 {
        let (Some(near), Some(far)) = (self.bounds(), other.bounds()) else {
            return f64::INFINITY;
        };
        let mut mine = self.boxed_edges();
        // Nearest edges first, so that most pairs are dismissed by their boxes.
        mine.sort_by(|l, r| gap(&l.0, &far).total_cmp(&gap(&r.0, &far)));
        let mut theirs = other.boxed_edges();
        theirs.sort_by(|l, r| gap(&l.0, &near).total_cmp(&gap(&r.0, &near)));
        let mut least = f64::INFINITY;
        for (bounds, edge) in &mine {
            if gap(bounds, &far) >= least {
                break;
            }
            for (their_bounds, their_edge) in &theirs {
                if gap(their_bounds, &near) >= least {
                    break;
                }
                if gap(bounds, their_bounds) < least {
                    least = least.min(edge.distance(their_edge));
                    if least == 0.0 {
                        return 0.0;
                    }
                }
            }
        }
        least
    }

    /// One point of each shape's outer boundary.
    fn witnesses(&self) -> impl Iterator<Item = Vec2> + '_ {
        self.shapes
            .iter()
            .filter_map(|s| s.outer.vertices.first())
            .map(|v| v.at)
    }

    /// Least distance between two regions; 0 when they touch or overlap; infinite when one is empty.
    pub fn distance(&self, other: &Self) -> f64 {
        let overlaps = |a: &Self, b: &Self| {
            b.bounds().is_some_and(|bounds| {
                a.witnesses()
                    .any(|p| bounds.meets(&point_box(p)) && b.is_inside(p))
            })
        };
        if overlaps(self, other) || overlaps(other, self) {
            return 0.0;
        }
        self.boundary_gap(other)
    }

    /// Least room between `self` and the boundary of `outer` when `self` lies inside it: negative when it sticks out.
    ///
    /// # Accuracy
    /// Exact when `self` lies inside. The sign is exact; how far it sticks out is the largest found at vertices and
    /// at seventeen points of each stretch of boundary outside. Infinite when `self` is empty, negative infinity when
    /// only `outer` is.
    pub fn room_inside(&self, outer: &Self) -> f64 {
        if self.is_empty() {
            return f64::INFINITY;
        }
        if outer.is_empty() {
            return f64::NEG_INFINITY;
        }
        let room = self.boundary_gap(outer);
        let lies_inside = self.witnesses().all(|p| outer.is_inside(p));
        // A hole of `outer` may lie inside `self` without their boundaries meeting.
        let holes = || outer.shapes.iter().flat_map(|s| s.holes.iter().chain([&s.outer]));
        if room > ON_BOUNDARY {
            let swallowed = holes().any(|c| c.vertices.first().is_some_and(|v| self.is_inside(v.at)));
            if lies_inside && !swallowed {
                return room;
            }
        }
        let out = farthest_outside(self, outer, true);
        if out > ON_BOUNDARY {
            return -out;
        }
        let swallowed = farthest_outside(outer, self, false);
        if swallowed > ON_BOUNDARY { -swallowed } else { 0.0 }
    }
}

/// The farthest that stretches of `moving`'s boundary lie outside (`outside`) or inside of `still`; 0 when none does.
fn farthest_outside(moving: &Region, still: &Region, outside: bool) -> f64 {
    const SAMPLES: u32 = 16;
    let walls = still.boxed_edges();
    let mut most: f64 = 0.0;
    for edge in moving.edges() {
        let bounds = edge.bounds().grown(ON_BOUNDARY);
        let mut cuts = vec![0.0, 1.0];
        for (wall_bounds, wall) in &walls {
            if !bounds.meets(wall_bounds) {
                continue;
            }
            cuts.extend(edge.meetings(wall).into_iter().map(|p| edge.parameter(p)));
            for p in [wall.start(), wall.end()] {
                if edge.distance_to(p) <= ON_BOUNDARY {
                    cuts.push(edge.parameter(p));
                }
            }
        }
        cuts.retain(|t| (0.0..=1.0).contains(t));
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2) {
            if (pair[1] - pair[0]) * edge.length() <= ON_BOUNDARY {
                continue;
            }
            let signed = |t: f64| {
                let depth = still.signed_distance(edge.at(t));
                if outside { depth } else { -depth }
            };
            let at = |k: u32| pair[0] + (pair[1] - pair[0]) * f64::from(k) / f64::from(SAMPLES);
            if signed(at(SAMPLES / 2)) > ON_BOUNDARY {
                most = (0..=SAMPLES).map(|k| signed(at(k))).fold(most, f64::max);
            }
        }
    }
    most
}
