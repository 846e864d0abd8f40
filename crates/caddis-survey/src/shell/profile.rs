//! A half as numbers: rounded rectangles that run linearly from floor to rim.
//!
//! Heights here are measured from the floor of the base or the crown of the lid towards the rim, in metres.

use super::{OutlineShape, ShellHalf};
use caddis_basis::{Length, Measured};
use caddis_geometry::{Region, Vec2};
use std::f64::consts::PI;

/// A rectangle with quarter-circle corners. A circle is one whose half-sides equal its radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rounded {
    pub(super) centre: Vec2,
    /// Half of each side.
    pub(super) half: Vec2,
    pub(super) radius: f64,
}

impl Rounded {
    /// Holds the radius to half the shorter side.
    pub(super) fn new(centre: Vec2, half: Vec2, radius: f64) -> Self {
        let half = Vec2::new(half.x.max(0.0), half.y.max(0.0));
        Self {
            centre,
            half,
            radius: radius.clamp(0.0, half.x.min(half.y)),
        }
    }

    /// Distance to the boundary, negative inside.
    ///
    /// # Source
    /// The exact distance to a rectangle with offset corners; derived.
    pub(super) fn signed_distance(&self, p: Vec2) -> f64 {
        let q = Vec2::new(
            (p.x - self.centre.x).abs() - self.half.x + self.radius,
            (p.y - self.centre.y).abs() - self.half.y + self.radius,
        );
        q.max(Vec2::ZERO).length() + q.x.max(q.y).min(0.0) - self.radius
    }

    /// Every point deeper than `by` inside; `None` when nothing of area is left.
    pub(super) fn inset(&self, by: f64) -> Option<Self> {
        let half = self.half - Vec2::new(by, by);
        (half.x > 0.0 && half.y > 0.0).then(|| Self::new(self.centre, half, (self.radius - by).max(0.0)))
    }

    /// The region, arcs kept.
    pub(super) fn region(&self) -> Region {
        if self.half.x <= 0.0 || self.half.y <= 0.0 {
            Region::empty()
        } else if self.half.x == self.radius && self.half.y == self.radius {
            Region::circle(self.centre, self.radius)
        } else {
            Region::rounded_rectangle(self.centre - self.half, self.centre + self.half, self.radius)
        }
    }

    /// Area.
    pub(super) fn area(&self) -> f64 {
        4.0 * self.half.x * self.half.y - (4.0 - PI) * self.radius * self.radius
    }

    /// A convex polygon, counter-clockwise, of exactly the same area: corner arcs become `steps` chords each (at least
    /// three), whose inner corners are moved out so far that each quarter disc keeps its area.
    ///
    /// # Source
    /// With n chords of angle d: (n - 2) / 2 q² sin d + r q sin d = pi r² / 4 for the inner corners' radius q; derived.
    pub(super) fn polygon(&self, steps: u32) -> Vec<Vec2> {
        if self.half.x <= 0.0 || self.half.y <= 0.0 {
            return Vec::new();
        }
        let (r, steps) = (self.radius, steps.max(3));
        let corner = self.half - Vec2::new(r, r);
        let step = PI / 2.0 / f64::from(steps);
        let square = f64::from(steps - 2) / 2.0 * step.sin();
        let linear = r * step.sin();
        let moved = ((linear * linear + square * PI * r * r).sqrt() - linear) / (2.0 * square);
        let mut points = Vec::with_capacity(4 * steps as usize + 4);
        for (quadrant, (sx, sy)) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .into_iter()
            .enumerate()
        {
            let centre = self.centre + Vec2::new(sx * corner.x, sy * corner.y);
            if r <= 0.0 {
                points.push(centre);
                continue;
            }
            for k in 0..=steps {
                let angle = PI / 2.0 * quadrant as f64 + step * f64::from(k);
                let reach = if k == 0 || k == steps { r } else { moved };
                points.push(centre + Vec2::new(reach * angle.cos(), reach * angle.sin()));
            }
        }
        points
    }

    /// Whether the bounding rectangles overlap by more than a touch.
    pub(super) fn overlaps_box_of(&self, other: &Self) -> bool {
        let gap = self.centre - other.centre;
        let reach = self.half + other.half;
        gap.x.abs() < reach.x && gap.y.abs() < reach.y
    }

    /// Whether two outlines have room in common.
    pub(super) fn meets(&self, other: &Self) -> bool {
        if !self.overlaps_box_of(other) {
            return false;
        }
        // Two convex shapes: walk to the point of one nearest to the other and back. Alternating projections end in the
        // common part if there is one.
        let mut p = self.centre;
        for _ in 0..200 {
            let q = other.nearest(p);
            p = self.nearest(q);
            if p.distance(q) < 1e-9 {
                return true;
            }
        }
        false
    }

    /// The nearest point of the filled shape.
    fn nearest(&self, p: Vec2) -> Vec2 {
        if self.signed_distance(p) <= 0.0 {
            return p;
        }
        let arm = self.half - Vec2::new(self.radius, self.radius);
        let core = self.centre
            + Vec2::new(
                (p.x - self.centre.x).clamp(-arm.x, arm.x),
                (p.y - self.centre.y).clamp(-arm.y, arm.y),
            );
        core + (p - core).unit() * self.radius
    }

    /// Whether `other` lies wholly inside: its corner arcs' farthest points do, and both are convex.
    pub(super) fn holds(&self, other: &Self) -> bool {
        other
            .corner_points()
            .iter()
            .all(|&p| self.signed_distance(p) <= 1e-12)
    }

    /// Points on the boundary of the corners, closely enough spaced to judge containment of convex shapes.
    fn corner_points(&self) -> Vec<Vec2> {
        let corner = self.half - Vec2::new(self.radius, self.radius);
        let mut points = Vec::with_capacity(4 * 17);
        for (sx, sy) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
            for k in 0..=16 {
                let (sin, cos) = (PI / 32.0 * f64::from(k)).sin_cos();
                points.push(
                    self.centre
                        + Vec2::new(
                            sx * (corner.x + self.radius * cos),
                            sy * (corner.y + self.radius * sin),
                        ),
                );
            }
        }
        points
    }
}

/// An intrusion by numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Body {
    /// At `from`, its widest.
    root: Rounded,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Tangent of its draft.
    taper: f64,
    /// Which of the half's intrusions.
    pub(super) index: usize,
}

impl Body {
    /// Its section at a height inside `from..to`; `None` where its draft has closed it.
    pub(super) fn outline_at(&self, h: f64) -> Option<Rounded> {
        self.root.inset(self.taper * (h - self.from).max(0.0))
    }

    /// Height of its top over a plan point; `None` beside it.
    pub(super) fn top_over(&self, p: Vec2) -> Option<f64> {
        let distance = self.root.signed_distance(p);
        if distance > 0.0 {
            None
        } else if self.taper > 0.0 {
            Some(self.to.min(self.from - distance / self.taper))
        } else {
            Some(self.to)
        }
    }

    /// Heights at which it starts and ends, its draft regarded.
    pub(super) fn reach(&self) -> (f64, f64) {
        let closes = if self.taper > 0.0 {
            self.from + self.root.half.x.min(self.root.half.y) / self.taper
        } else {
            f64::INFINITY
        };
        (self.from, self.to.min(closes))
    }

    /// Its widest section.
    pub(super) fn root(&self) -> &Rounded {
        &self.root
    }

    /// How much each side has moved in between its ends.
    pub(super) fn drawn_in(&self) -> f64 {
        let (from, to) = self.reach();
        self.taper * (to - from).max(0.0)
    }
}

/// A half by numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Profile {
    pub(super) rim: Rounded,
    pub(super) floor: Rounded,
    pub(super) depth: f64,
    pub(super) fillet: f64,
    /// Intrusions that are there, in the survey's order.
    pub(super) bodies: Vec<Body>,
}

impl Profile {
    /// Every dimension at its value.
    pub(super) fn nominal(half: &ShellHalf) -> Self {
        Self::build(half, |size| size.value, |take| take.value)
    }

    /// Sizes of the room at their least, what takes room at its most. The depth is at its most, because that brings a
    /// given height closer to the floor; [`super::Shell::least_section`] ends the room at the least depth.
    pub(super) fn least(half: &ShellHalf) -> Self {
        Self::build(half, Measured::least, Measured::most)
    }

    fn build(
        half: &ShellHalf,
        room: impl Fn(&Measured<Length>) -> Length,
        taken: impl Fn(&Measured<Length>) -> Length,
    ) -> Self {
        let opening = |o: &super::Opening| {
            Rounded::new(
                o.centre,
                Vec2::new(room(&o.length).si() / 2.0, room(&o.width).si() / 2.0),
                taken(&o.corner_radius).si(),
            )
        };
        let (rim, floor) = (opening(&half.rim), opening(&half.floor));
        let depth = taken(&half.depth).si();
        let fillet = taken(&half.fillet)
            .si()
            .clamp(0.0, depth.min(floor.half.x).min(floor.half.y).max(0.0));
        let bodies = half
            .intrusions
            .iter()
            .enumerate()
            .filter(|(_, intrusion)| !intrusion.removed)
            .map(|(index, intrusion)| {
                let root = match &intrusion.outline {
                    OutlineShape::Rectangle {
                        centre,
                        length,
                        width,
                        corner_radius,
                    } => Rounded::new(
                        *centre,
                        Vec2::new(length.si() / 2.0, width.si() / 2.0),
                        corner_radius.si(),
                    ),
                    OutlineShape::Circle { centre, radius } => {
                        Rounded::new(*centre, Vec2::new(radius.si(), radius.si()), radius.si())
                    }
                };
                Body {
                    root,
                    from: intrusion.from.si(),
                    to: taken(&intrusion.to).si().min(depth),
                    taper: intrusion.draft.si().tan().max(0.0),
                    index,
                }
            })
            .collect();
        Self {
            rim,
            floor,
            depth,
            fillet,
            bodies,
        }
    }

    /// The walls alone at a height: straight from floor to rim. Radii are held to their half-side at both ends, so that
    /// what lies between is linear too and never exceeds its own half-side.
    pub(super) fn walls_at(&self, h: f64) -> Rounded {
        let t = if self.depth > 0.0 {
            (h / self.depth).clamp(0.0, 1.0)
        } else {
            1.0
        };
        Rounded::new(
            self.floor.centre.lerp(self.rim.centre, t),
            self.floor.half.lerp(self.rim.half, t),
            self.floor.radius + (self.rim.radius - self.floor.radius) * t,
        )
    }

    /// How far the fillet stands in from the wall at a height: r - sqrt(r² - (r - h)²) below r.
    ///
    /// # Accuracy
    /// A fillet tangent to a drafted wall takes a little less, so this errs towards less room.
    ///
    /// # Source
    /// Circle of radius r that touches the floor and an upright wall; derived.
    pub(super) fn fillet_inset(&self, h: f64) -> f64 {
        let r = self.fillet;
        if h >= r {
            0.0
        } else {
            let up = r - h.max(0.0);
            r - (r * r - up * up).max(0.0).sqrt()
        }
    }

    /// Walls and fillet at a height; `None` when nothing is left.
    pub(super) fn free_at(&self, h: f64) -> Option<Rounded> {
        self.walls_at(h).inset(self.fillet_inset(h))
    }

    /// Height of wall or fillet over a plan point: the least height from which the point is free of both.
    ///
    /// # Accuracy
    /// Bisection of an exact, falling condition to the last bit.
    pub(super) fn wall_over(&self, p: Vec2) -> f64 {
        let inside = |h: f64| self.walls_at(h).signed_distance(p) + self.fillet_inset(h) <= 0.0;
        if inside(0.0) {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, self.depth);
        for _ in 0..64 {
            let middle = f64::midpoint(low, high);
            if middle <= low || middle >= high {
                break;
            }
            if inside(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// Height of the highest matter over a plan point; `None` outside the rim opening.
    pub(super) fn matter_over(&self, p: Vec2) -> Option<f64> {
        let out = self.rim.signed_distance(p);
        if out.is_nan() || out > 1e-12 {
            return None;
        }
        let tops = self.bodies.iter().filter_map(|body| body.top_over(p));
        Some(tops.fold(self.wall_over(p), f64::max))
    }
}
