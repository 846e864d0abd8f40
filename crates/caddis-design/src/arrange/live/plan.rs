//! Outlines as plain polygons: distances along the axes, reach, overlap.

use caddis_geometry::{Bounds2, Region, Side, Vec2};

/// How far an arc's chord may stand off it, metres.
const CHORD: f64 = 1e-4;

/// One of the four ways along the axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Toward {
    Left,
    Right,
    Front,
    Back,
}

impl Toward {
    pub(super) const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Front, Self::Back];

    pub(super) fn vector(self) -> Vec2 {
        match self {
            Self::Left => Vec2::new(-1.0, 0.0),
            Self::Right => Vec2::new(1.0, 0.0),
            Self::Front => Vec2::new(0.0, -1.0),
            Self::Back => Vec2::new(0.0, 1.0),
        }
    }

    /// Along this way, and to the left of it.
    fn seen(self, p: Vec2) -> (f64, f64) {
        let way = self.vector();
        (way.dot(p), way.perpendicular().dot(p))
    }
}

/// Closed rings of points.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plan {
    rings: Vec<Vec<Vec2>>,
    bounds: Option<Bounds2>,
}

impl Plan {
    /// Outer: arcs never cut in.
    pub(super) fn of(region: &Region) -> Self {
        let rings = region
            .contours()
            .map(|contour| contour.flattened(CHORD, Side::Outer))
            .collect();
        Self {
            rings,
            bounds: region.bounds(),
        }
    }

    pub(super) fn moved(&self, by: Vec2) -> Self {
        Self {
            rings: self
                .rings
                .iter()
                .map(|ring| ring.iter().map(|p| *p + by).collect())
                .collect(),
            bounds: self.bounds.map(|bounds| Bounds2 {
                min: bounds.min + by,
                max: bounds.max + by,
            }),
        }
    }

    pub(super) fn points(&self) -> impl Iterator<Item = Vec2> + '_ {
        self.rings.iter().flatten().copied()
    }

    fn edges(&self) -> impl Iterator<Item = (Vec2, Vec2)> + '_ {
        self.rings.iter().flat_map(|ring| {
            ring.iter()
                .copied()
                .zip(ring.iter().copied().cycle().skip(1))
                .take(ring.len())
        })
    }

    /// How far it reaches that way.
    pub(super) fn reach(&self, way: Vec2) -> f64 {
        self.points()
            .map(|p| way.dot(p))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far this may go that way until it meets the other; infinite where it passes by. Zero where they overlap already.
    pub(super) fn room(&self, other: &Self, toward: Toward) -> f64 {
        let (Some(mine), Some(its)) = (self.bounds, other.bounds) else {
            return f64::INFINITY;
        };
        let span = |bounds: Bounds2| {
            let (a, b) = (toward.seen(bounds.min), toward.seen(bounds.max));
            (a.0.max(b.0), a.1.min(b.1), a.1.max(b.1), a.0.min(b.0))
        };
        let (mine, its) = (span(mine), span(its));
        if its.2 <= mine.1 || mine.2 <= its.1 || its.0 <= mine.3 {
            return f64::INFINITY;
        }
        let mut least = f64::INFINITY;
        for p in self.points() {
            least = least.min(ray(toward.seen(p), other, toward, 1.0));
        }
        for p in other.points() {
            least = least.min(ray(toward.seen(p), self, toward, -1.0));
        }
        least
    }

    /// Whether the two share more than a touch: an edge crosses an edge, or one holds a point of the other.
    pub(super) fn meets(&self, other: &Self) -> bool {
        let (Some(mine), Some(its)) = (self.bounds, other.bounds) else {
            return false;
        };
        mine.meets(&its)
            && (self.edges().any(|(a, b)| {
                other.edges().any(|(c, d)| {
                    let (u, v) = (b - a, d - c);
                    u.cross(c - a) * u.cross(d - a) < 0.0 && v.cross(a - c) * v.cross(b - c) < 0.0
                })
            }) || self.points().any(|p| other.holds(p))
                || other.points().any(|p| self.holds(p)))
    }

    fn holds(&self, p: Vec2) -> bool {
        self.edges()
            .filter(|(a, b)| (a.y > p.y) != (b.y > p.y))
            .filter(|(a, b)| p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
            .count()
            % 2
            == 1
    }
}

/// How far a point may go along (`sign` 1) or against (-1) a way until it meets an edge.
fn ray((along, across): (f64, f64), plan: &Plan, toward: Toward, sign: f64) -> f64 {
    plan.edges()
        .filter_map(|(a, b)| {
            let (a, b) = (toward.seen(a), toward.seen(b));
            if (a.1 > across) == (b.1 > across) {
                return None;
            }
            let hit = a.0 + (across - a.1) / (b.1 - a.1) * (b.0 - a.0);
            let gone = (hit - along) * sign;
            (gone >= -1e-9).then_some(gone.max(0.0))
        })
        .fold(f64::INFINITY, f64::min)
}
