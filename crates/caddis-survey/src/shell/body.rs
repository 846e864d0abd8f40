//! An intrusion by numbers: an outline that runs from its root towards the rim.

use super::rounded::Rounded;
use super::{Intrusion, OutlineShape, Position, ShellHalf};
use caddis_basis::{Length, Measured};
use caddis_geometry::{Bounds2, Contour, Region, Shape, Side, Vec2, Vertex};
use std::f64::consts::PI;

/// How far an outline that is attached to a wall or corner reaches on behind it, metres: past every wall.
const BEHIND: f64 = 0.5;

/// An outline in plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Root {
    /// A rounded rectangle or a circle.
    Rounded(Rounded),
    /// Any other.
    Free(Region),
}

/// An intrusion by numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Body {
    /// At `from`, its widest but for the fillet.
    root: Root,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Tangent of its draft.
    taper: f64,
    /// Radius at its foot.
    fillet: f64,
    /// Which of the half's intrusions.
    pub(super) index: usize,
}

impl Root {
    /// As measured.
    pub(super) fn nominal(outline: &OutlineShape, half: &ShellHalf) -> Self {
        Self::build(outline, half, false)
    }

    /// At its largest within the stated ±.
    pub(super) fn most(outline: &OutlineShape, half: &ShellHalf) -> Self {
        Self::build(outline, half, true)
    }

    fn build(outline: &OutlineShape, half: &ShellHalf, is_most: bool) -> Self {
        let most = |size: &Measured<Length>| if is_most { size.most() } else { size.value }.si();
        let least = |size: &Measured<Length>| if is_most { size.least() } else { size.value }.si();
        let band = |size: &Measured<Length>| {
            if is_most {
                size.plus_minus.map_or(0.0, Length::si)
            } else {
                0.0
            }
        };
        let off = |p: &Position| Vec2::new(band(&p.x), band(&p.y));
        match outline {
            OutlineShape::Rectangle {
                centre,
                length,
                width,
                corner_radius,
            } => Self::Rounded(Rounded::new(
                centre.point(),
                Vec2::new(most(length), most(width)) / 2.0 + off(centre),
                least(corner_radius),
            )),
            OutlineShape::Circle { centre, radius } => {
                let off = off(centre);
                let radius = most(radius) + off.x.max(off.y);
                Self::Rounded(Rounded::new(centre.point(), Vec2::new(radius, radius), radius))
            }
            OutlineShape::Polygon {
                points,
                corner_radius,
            } => {
                let region = rounded_polygon(points.iter().map(Position::point), least(corner_radius));
                let off = points.iter().map(|p| off(p).length()).fold(0.0_f64, f64::max);
                Self::Free(if off > 0.0 {
                    region.offset(off, Side::Outer)
                } else {
                    region
                })
            }
            OutlineShape::OnWall {
                wall,
                along,
                width,
                stands_in,
                corner_radius,
            } => {
                let normal = wall.normal();
                let foot = wall.foot(&half.floor);
                // From the free face outwards, past the wall.
                let face = foot - most(stands_in) * (normal.x + normal.y);
                let behind = foot + BEHIND * (normal.x + normal.y);
                let reach = most(width) / 2.0 + band(along);
                let (low, high) = (face.min(behind), face.max(behind));
                let middle = along.value.si();
                let (min, max) = if normal.x == 0.0 {
                    (Vec2::new(middle - reach, low), Vec2::new(middle + reach, high))
                } else {
                    (Vec2::new(low, middle - reach), Vec2::new(high, middle + reach))
                };
                Self::Rounded(Rounded::new(
                    (min + max) / 2.0,
                    (max - min) / 2.0,
                    least(corner_radius),
                ))
            }
            OutlineShape::InCorner {
                corner,
                length,
                width,
                corner_radius,
            } => {
                let (across_x, across_y) = corner.walls();
                let stretch = |wall: super::Wall, size: f64| {
                    let sign = wall.normal().x + wall.normal().y;
                    let foot = wall.foot(&half.floor);
                    let (a, b) = (foot - size * sign, foot + BEHIND * sign);
                    (a.min(b), a.max(b))
                };
                let (x0, x1) = stretch(across_x, most(length));
                let (y0, y1) = stretch(across_y, most(width));
                let (min, max) = (Vec2::new(x0, y0), Vec2::new(x1, y1));
                Self::Rounded(Rounded::new(
                    (min + max) / 2.0,
                    (max - min) / 2.0,
                    least(corner_radius),
                ))
            }
        }
    }

    /// Distance to the boundary, negative inside.
    pub(super) fn signed_distance(&self, p: Vec2) -> f64 {
        match self {
            Self::Rounded(rounded) => rounded.signed_distance(p),
            Self::Free(region) => region.signed_distance(p),
        }
    }

    /// Every point deeper than `by` inside, or within `-by` of it; `None` when nothing is left. Outer for any outline.
    pub(super) fn inset(&self, by: f64) -> Option<Self> {
        match self {
            Self::Rounded(rounded) => rounded.inset(by).map(Self::Rounded),
            Self::Free(region) => {
                let left = region.offset(-by, Side::Outer);
                (!left.is_empty()).then_some(Self::Free(left))
            }
        }
    }

    /// The region, arcs kept.
    pub(super) fn region(&self) -> Region {
        match self {
            Self::Rounded(rounded) => rounded.region(),
            Self::Free(region) => region.clone(),
        }
    }

    /// Area.
    pub(super) fn area(&self) -> f64 {
        match self {
            Self::Rounded(rounded) => rounded.area(),
            Self::Free(region) => region.area(),
        }
    }

    /// The bounding rectangle; `None` when empty.
    pub(super) fn bounds(&self) -> Option<Bounds2> {
        match self {
            Self::Rounded(rounded) => Some(Bounds2 {
                min: rounded.centre - rounded.half,
                max: rounded.centre + rounded.half,
            }),
            Self::Free(region) => region.bounds(),
        }
    }

    /// Whether the bounding rectangles overlap by more than a touch.
    pub(super) fn overlaps_box_of(&self, other: &Self) -> bool {
        let (Some(a), Some(b)) = (self.bounds(), other.bounds()) else {
            return false;
        };
        a.min.x < b.max.x && b.min.x < a.max.x && a.min.y < b.max.y && b.min.y < a.max.y
    }

    /// Whether two outlines have room in common.
    pub(super) fn meets(&self, other: &Self) -> bool {
        if !self.overlaps_box_of(other) {
            return false;
        }
        match (self, other) {
            (Self::Rounded(a), Self::Rounded(b)) => a.meets(b),
            _ => self.region().distance(&other.region()) <= 1e-9,
        }
    }

    /// Half of its least width: how far it can be drawn in before nothing is left.
    fn half_width(&self) -> f64 {
        match self {
            Self::Rounded(rounded) => rounded.half.x.min(rounded.half.y),
            // The largest inscribed circle has no closed form; half the box's shorter side is never less than its radius.
            Self::Free(_) => self.bounds().map_or(0.0, |b| b.size().x.min(b.size().y) / 2.0),
        }
    }
}

impl Body {
    /// Everything as measured.
    pub(super) fn nominal(intrusion: &Intrusion, half: &ShellHalf, index: usize, depth: f64) -> Self {
        Self {
            root: Root::nominal(&intrusion.outline, half),
            from: intrusion.from.value.si(),
            to: intrusion.to.value.si().min(depth),
            taper: intrusion.draft.value.si().tan().max(0.0),
            fillet: intrusion.fillet.value.si().max(0.0),
            index,
        }
    }

    /// Everything at its largest.
    pub(super) fn most(intrusion: &Intrusion, half: &ShellHalf, index: usize, depth: f64) -> Self {
        Self {
            root: Root::most(&intrusion.outline, half),
            from: intrusion.from.least().si().max(0.0),
            to: intrusion.to.most().si().min(depth),
            taper: intrusion.draft.least().si().max(0.0).tan().max(0.0),
            fillet: intrusion.fillet.most().si().max(0.0),
            index,
        }
    }

    /// How far its side has moved in at a height over floor or crown: outwards in the fillet at its foot.
    fn drawn_in_at(&self, h: f64) -> f64 {
        let up = (h - self.from).max(0.0);
        let foot = if up < self.fillet {
            let left = self.fillet - up;
            self.fillet - (self.fillet * self.fillet - left * left).max(0.0).sqrt()
        } else {
            0.0
        };
        self.taper * up - foot
    }

    /// Its section at a height inside `from..to`; `None` where its draft has closed it.
    pub(super) fn outline_at(&self, h: f64) -> Option<Root> {
        let by = self.drawn_in_at(h);
        if by == 0.0 {
            return Some(self.root.clone());
        }
        self.root.inset(by)
    }

    /// Height of its top over a plan point; `None` beside it.
    pub(super) fn top_over(&self, p: Vec2) -> Option<f64> {
        let distance = self.root.signed_distance(p);
        let (from, to) = (self.from, self.to);
        if self.fillet <= 0.0 {
            return if distance > 0.0 {
                None
            } else if self.taper > 0.0 {
                Some(to.min(from - distance / self.taper))
            } else {
                Some(to)
            };
        }
        let holds = |h: f64| distance <= -self.drawn_in_at(h);
        if !holds(from) {
            return None;
        }
        if holds(to) {
            return Some(to);
        }
        let (mut low, mut high) = (from, to);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if holds(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(low)
    }

    /// Heights at which it starts and ends, its draft regarded.
    pub(super) fn reach(&self) -> (f64, f64) {
        let closes = if self.taper > 0.0 {
            self.from + self.root.half_width() / self.taper
        } else {
            f64::INFINITY
        };
        (self.from, self.to.min(closes))
    }

    /// Its widest section, its fillet regarded.
    pub(super) fn widest(&self) -> Root {
        self.outline_at(self.from).unwrap_or_else(|| self.root.clone())
    }

    /// How much each side moves in between its ends.
    pub(super) fn drawn_in(&self) -> f64 {
        let (from, to) = self.reach();
        self.taper * (to - from).max(0.0) + self.fillet.min((to - from).max(0.0))
    }

    /// Where its fillet ends.
    pub(super) fn fillet_top(&self) -> f64 {
        (self.from + self.fillet).min(self.to)
    }
}

/// A polygon with every corner rounded by `radius`, as far as its sides have room for it.
fn rounded_polygon(points: impl Iterator<Item = Vec2>, radius: f64) -> Region {
    let mut points: Vec<Vec2> = points.collect();
    points.dedup();
    if points.len() < 3 || points.iter().any(|p| !p.is_finite()) {
        return Region::empty();
    }
    let turn: f64 = (0..points.len())
        .map(|k| points[k].cross(points[(k + 1) % points.len()]))
        .sum();
    if turn < 0.0 {
        points.reverse();
    }
    let count = points.len();
    let mut vertices = Vec::with_capacity(2 * count);
    for k in 0..count {
        let (a, b, c) = (
            points[(k + count - 1) % count],
            points[k],
            points[(k + 1) % count],
        );
        let (back, on) = ((a - b).unit(), (c - b).unit());
        let inner = back.dot(on).clamp(-1.0, 1.0).acos();
        // Tangent length for the radius, at most half of either side.
        let room = (a - b).length().min((c - b).length()) / 2.0;
        let tangent = (radius / (inner / 2.0).tan()).min(room);
        if radius <= 0.0 || !tangent.is_finite() || tangent < 1e-9 || (PI - inner) < 1e-9 {
            vertices.push(Vertex { at: b, bulge: 0.0 });
            continue;
        }
        let sweep = PI - inner;
        let sign = if (b - a).cross(c - b) >= 0.0 { 1.0 } else { -1.0 };
        vertices.push(Vertex {
            at: b + back * tangent,
            bulge: sign * (sweep / 4.0).tan(),
        });
        vertices.push(Vertex {
            at: b + on * tangent,
            bulge: 0.0,
        });
    }
    Region {
        shapes: vec![Shape {
            outer: Contour { vertices },
            holes: Vec::new(),
        }],
    }
}
