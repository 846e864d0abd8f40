//! Shapes, their turns, and the fields between them, made when first asked for.

use super::field::Field;
use crate::engine::{Convex, close_convex_parts};
use caddis_geometry::{Bounds2, Region as Plan, Side, Vec2, convex_hull};
use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::OnceLock;

/// Outlines of more corners than this are made simpler, growing by at most [`GROWTH`] of their area.
const CORNERS: usize = 12;
const GROWTH: f64 = 1e-3;
/// Cells along the longer side of a field where there are few kinds, and where there are many and so many more fields.
const FINE: usize = 40;
const COARSE: usize = 24;
const FEW: usize = 30;
/// The same for the field of a wall, which goes all round a sheet.
const WALL: usize = 64;
/// Turns closer than this are one, radians.
const SAME_TURN: f64 = 1e-9;

/// A turn with its sine and cosine; quarter turns are exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Turn {
    pub(super) angle: f64,
    pub(super) cos: f64,
    pub(super) sin: f64,
}

impl Turn {
    fn new(angle: f64) -> Self {
        let quarters = (angle / FRAC_PI_2).round();
        let (sin, cos) = if (angle - quarters * FRAC_PI_2).abs() < SAME_TURN {
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][quarters.rem_euclid(4.0) as usize]
        } else {
            angle.sin_cos()
        };
        Self { angle, cos, sin }
    }

    pub(super) fn apply(self, p: Vec2) -> Vec2 {
        Vec2::new(self.cos * p.x - self.sin * p.y, self.sin * p.x + self.cos * p.y)
    }
}

/// A shape that is placed so many times, or stands in the way.
#[derive(Debug)]
pub(super) struct Kind {
    /// About its own middle.
    parts: Vec<Convex>,
    /// From the frame given to the frame about the middle.
    pub(super) middle: Vec2,
    pub(super) area: f64,
    /// Convex hull about its middle, counter-clockwise.
    hull: Vec<Vec2>,
    pub(super) hull_area: f64,
    pub(super) diameter: f64,
    /// Shorter side of its box, unturned.
    pub(super) narrow: f64,
    /// Allowed turns, as indices into the common ones.
    pub(super) turns: Vec<u16>,
    /// Box at every common turn.
    pub(super) bounds: Vec<Bounds2>,
}

/// All kinds with their fields.
#[derive(Debug)]
pub(super) struct Forms {
    pub(super) kinds: Vec<Kind>,
    pub(super) turns: Vec<Turn>,
    /// Which difference two turns make, by first and second.
    differences: Vec<u16>,
    /// The differences themselves.
    apart: Vec<Turn>,
    /// So many of the kinds move, the others are walls.
    pub(super) movable: usize,
    /// Kept between any two that move.
    pub(super) gap: f64,
    cells: usize,
    fields: Vec<OnceLock<Field>>,
}

/// Where to look up how deep a moved shape lies in another: which field, and the turn into its frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Between {
    pub(super) field: usize,
    pub(super) cos: f64,
    pub(super) sin: f64,
}

impl Forms {
    /// Outlines with the turns they may take; `gap` is kept between any two of the first `movable`, the others are walls.
    pub(super) fn new(outlines: &[(Plan, Vec<f64>)], movable: usize, gap: f64) -> Self {
        let mut angles: Vec<f64> = outlines
            .iter()
            .flat_map(|outline| outline.1.iter().map(|angle| angle.rem_euclid(TAU)))
            .map(|angle| if TAU - angle < SAME_TURN { 0.0 } else { angle })
            .collect();
        let nearest = |angles: &[f64], angle: f64| {
            let angle = angle.rem_euclid(TAU);
            let off = |k: usize| {
                let off = (angles[k] - angle).abs();
                off.min(TAU - off)
            };
            (0..angles.len())
                .min_by(|&a, &b| off(a).total_cmp(&off(b)))
                .unwrap_or(0) as u16
        };
        let unique = |angles: &mut Vec<f64>| {
            angles.sort_by(f64::total_cmp);
            angles.dedup_by(|a, b| (*a - *b).abs() < SAME_TURN);
        };
        angles.push(0.0);
        unique(&mut angles);
        let mut apart: Vec<f64> = angles
            .iter()
            .flat_map(|a| angles.iter().map(move |b| (b - a).rem_euclid(TAU)))
            .map(|angle| if TAU - angle < SAME_TURN { 0.0 } else { angle })
            .collect();
        unique(&mut apart);
        let differences = angles
            .iter()
            .flat_map(|a| angles.iter().map(|b| nearest(&apart, b - a)).collect::<Vec<_>>())
            .collect();
        let turns: Vec<Turn> = angles.iter().map(|&angle| Turn::new(angle)).collect();
        let kinds: Vec<Kind> = outlines
            .iter()
            .map(|(outline, allowed)| {
                let mut own: Vec<u16> = allowed.iter().map(|&angle| nearest(&angles, angle)).collect();
                own.sort_unstable();
                own.dedup();
                if own.is_empty() {
                    own.push(nearest(&angles, 0.0));
                }
                Kind::new(outline, own, &turns)
            })
            .collect();
        let count = kinds.len();
        let mut fields = Vec::new();
        fields.resize_with(count * count * apart.len(), OnceLock::new);
        Self {
            kinds,
            turns,
            differences,
            apart: apart.into_iter().map(Turn::new).collect(),
            movable,
            gap,
            cells: if movable > FEW { COARSE } else { FINE },
            fields,
        }
    }

    /// The allowed turn of a kind that is nearest an angle.
    pub(super) fn nearest_turn(&self, kind: usize, angle: f64) -> u16 {
        let off = |turn: u16| {
            let off = (self.turns[turn as usize].angle - angle).rem_euclid(TAU);
            off.min(TAU - off)
        };
        let turns = self.kinds[kind].turns.iter().copied();
        turns.min_by(|&a, &b| off(a).total_cmp(&off(b))).unwrap_or(0)
    }

    /// How to look up a `moved` kind at a turn against a `fixed` kind at a turn.
    pub(super) fn between(&self, fixed: (usize, u16), moved: (usize, u16)) -> Between {
        // The field of the lower kind first; seen from the other one, the shift changes its sign.
        let (first, second, sign) = if fixed.0 <= moved.0 {
            (fixed, moved, 1.0)
        } else {
            (moved, fixed, -1.0)
        };
        let difference = self.differences[first.1 as usize * self.turns.len() + second.1 as usize];
        let turn = self.turns[first.1 as usize];
        Between {
            field: (first.0 * self.kinds.len() + second.0) * self.apart.len() + difference as usize,
            cos: sign * turn.cos,
            sin: sign * turn.sin,
        }
    }

    pub(super) fn field(&self, index: usize) -> &Field {
        self.fields[index].get_or_init(|| {
            let turn = self.apart[index % self.apart.len()];
            let pair = index / self.apart.len();
            let first = &self.kinds[pair / self.kinds.len()];
            let second: Vec<Convex> = self.kinds[pair % self.kinds.len()]
                .parts
                .iter()
                .map(|part| Convex::new(part.points.iter().map(|&p| turn.apply(p)).collect()))
                .collect();
            let (gap, cells) = if pair % self.kinds.len() < self.movable {
                (self.gap, self.cells)
            } else {
                (0.0, WALL)
            };
            Field::new(&first.parts, &second, gap, cells)
        })
    }

    /// How deep a moved shape lies in a fixed one, `shift` being its middle less the other's.
    #[inline]
    pub(super) fn depth(&self, between: Between, shift: Vec2) -> f32 {
        let d = Vec2::new(
            between.cos * shift.x + between.sin * shift.y,
            between.cos * shift.y - between.sin * shift.x,
        );
        self.field(between.field).depth(d)
    }
}

impl Kind {
    fn new(outline: &Plan, own: Vec<u16>, turns: &[Turn]) -> Self {
        let area = outline.area();
        let close = simpler(outline);
        let size = outline.bounds().map_or(1.0, |bounds| bounds.size().length());
        let mut parts = close_convex_parts(&close, size * 1e-5);
        let points = || parts.iter().flat_map(|part| part.points.iter().copied());
        let box_of = |turn: Turn| {
            let (mut min, mut max) = (Vec2::new(f64::MAX, f64::MAX), Vec2::new(f64::MIN, f64::MIN));
            for p in parts.iter().flat_map(|part| part.points.iter()) {
                let p = turn.apply(*p);
                (min, max) = (min.min(p), max.max(p));
            }
            Bounds2 { min, max }
        };
        let middle = if parts.is_empty() {
            Vec2::ZERO
        } else {
            box_of(Turn::new(0.0)).centre()
        };
        let hull = convex_hull(points().collect());
        let hull_area = crate::engine::signed_area(&hull).abs();
        let diameter = hull
            .iter()
            .flat_map(|a| hull.iter().map(move |b| a.distance(*b)))
            .fold(0.0, f64::max);
        for part in &mut parts {
            for p in &mut part.points {
                *p -= middle;
            }
        }
        let mut kind = Self {
            parts,
            middle,
            area,
            hull: hull.into_iter().map(|p| p - middle).collect(),
            hull_area,
            diameter,
            narrow: 0.0,
            turns: own,
            bounds: Vec::new(),
        };
        kind.bounds = turns.iter().map(|&turn| kind.bounds_at(turn)).collect();
        let size = kind.bounds[0].size();
        kind.narrow = size.x.min(size.y);
        kind
    }

    /// Whether a point lies within its convex hull at a turn, the point seen from its middle.
    pub(super) fn surrounds(&self, turn: Turn, at: Vec2) -> bool {
        let p = Vec2::new(
            turn.cos * at.x + turn.sin * at.y,
            turn.cos * at.y - turn.sin * at.x,
        );
        let next = self.hull.iter().cycle().skip(1);
        let mut edges = self.hull.iter().zip(next);
        edges.all(|(a, b)| (*b - *a).cross(p - *a) >= 0.0)
    }

    fn bounds_at(&self, turn: Turn) -> Bounds2 {
        let (mut min, mut max) = (Vec2::new(f64::MAX, f64::MAX), Vec2::new(f64::MIN, f64::MIN));
        for p in self.parts.iter().flat_map(|part| part.points.iter()) {
            let p = turn.apply(*p);
            (min, max) = (min.min(p), max.max(p));
        }
        Bounds2 { min, max }
    }

    /// Its least length along a strip of that width, over the turns at which it fits across; infinite if there is none.
    pub(super) fn shortest_within(&self, width: f64) -> f64 {
        self.turns
            .iter()
            .map(|&turn| self.bounds[turn as usize].size())
            .filter(|size| size.y <= width * (1.0 + 1e-9))
            .map(|size| size.x)
            .fold(f64::INFINITY, f64::min)
    }
}

/// Fewer corners where an outline has many, never less than it.
fn simpler(outline: &Plan) -> Plan {
    let corners: usize = outline.contours().map(|contour| contour.vertices.len()).sum();
    let area = outline.area();
    if corners <= CORNERS {
        return outline.clone();
    }
    let size = area.sqrt();
    for tolerance in [8e-3, 4e-3, 2e-3, 1e-3, 5e-4, 2.5e-4, 1.2e-4, 6e-5] {
        let found = outline.simplified(tolerance * size, Side::Outer);
        if found.area() <= area * (1.0 + GROWTH) {
            return found;
        }
    }
    outline.clone()
}
