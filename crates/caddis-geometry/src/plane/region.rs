//! Regions: constructors, measures, booleans, motions.

use super::overlay::{Fill, Overlay, Rule, from_grid};
use super::{Bounds2, Contour, Placement2, Vertex};
use crate::{Side, Vec2};
use i_triangle::int::triangulator::IntTriangulator;

/// One connected piece of a region.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Counter-clockwise.
    pub outer: Contour,
    /// Clockwise, inside `outer`, disjoint.
    pub holes: Vec<Contour>,
}

/// A set of disjoint shapes. Deterministic order (by least corner of the outer boundary).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// The shapes.
    pub shapes: Vec<Shape>,
}

impl Shape {
    fn contours(&self) -> impl Iterator<Item = &Contour> {
        std::iter::once(&self.outer).chain(&self.holes)
    }
}

impl From<Shape> for Region {
    fn from(shape: Shape) -> Self {
        Self { shapes: vec![shape] }
    }
}

impl Region {
    /// Nothing.
    pub fn empty() -> Self {
        Self::default()
    }

    fn of(outer: Contour) -> Self {
        Self {
            shapes: vec![Shape {
                outer,
                holes: Vec::new(),
            }],
        }
    }

    /// An axis-aligned rectangle by opposite corners; empty when it has no area.
    pub fn rectangle(min: Vec2, max: Vec2) -> Self {
        let (min, max) = (min.min(max), min.max(max));
        let size = max - min;
        if !(size.x > 0.0 && size.y > 0.0) {
            return Self::empty();
        }
        Self::of(Contour::polygon([
            min,
            Vec2::new(max.x, min.y),
            max,
            Vec2::new(min.x, max.y),
        ]))
    }

    /// A rectangle with quarter-circle corners, arcs kept; the radius is held to half the shorter side.
    pub fn rounded_rectangle(min: Vec2, max: Vec2, radius: f64) -> Self {
        let (min, max) = (min.min(max), min.max(max));
        let size = max - min;
        if !(size.x > 0.0 && size.y > 0.0) {
            return Self::empty();
        }
        if radius.is_nan() || radius <= 1e-9 {
            return Self::rectangle(min, max);
        }
        let r = radius.min(size.x / 2.0).min(size.y / 2.0);
        let quarter = (std::f64::consts::PI / 8.0).tan();
        let corners = [
            (Vec2::new(min.x, min.y + r), Vec2::new(min.x + r, min.y)),
            (Vec2::new(max.x - r, min.y), Vec2::new(max.x, min.y + r)),
            (Vec2::new(max.x, max.y - r), Vec2::new(max.x - r, max.y)),
            (Vec2::new(min.x + r, max.y), Vec2::new(min.x, max.y - r)),
        ];
        let mut vertices: Vec<Vertex> = Vec::with_capacity(8);
        for (i, (from, to)) in corners.into_iter().enumerate() {
            vertices.push(Vertex {
                at: from,
                bulge: quarter,
            });
            // A side of no length has no edge of its own.
            if to.distance(corners[(i + 1) % 4].0) > 1e-12 {
                vertices.push(Vertex { at: to, bulge: 0.0 });
            }
        }
        Self::of(Contour { vertices })
    }

    /// A circle as two arcs.
    pub fn circle(centre: Vec2, radius: f64) -> Self {
        if radius.is_nan() || radius <= 0.0 {
            return Self::empty();
        }
        Self::of(Contour::circle(centre, radius, true))
    }

    /// A slot: all points within `radius` of the segment, arcs kept.
    pub fn slot(from: Vec2, to: Vec2, radius: f64) -> Self {
        let along = (to - from).unit();
        if along == Vec2::ZERO || radius.is_nan() || radius <= 0.0 {
            return Self::circle(from, radius);
        }
        let side = along.perpendicular() * radius;
        Self::of(Contour {
            vertices: vec![
                Vertex {
                    at: from - side,
                    bulge: 0.0,
                },
                Vertex {
                    at: to - side,
                    bulge: 1.0,
                },
                Vertex {
                    at: to + side,
                    bulge: 0.0,
                },
                Vertex {
                    at: from + side,
                    bulge: 1.0,
                },
            ],
        })
    }

    /// The region inside the contours by the even-odd rule, whatever their direction; self-crossings are resolved.
    pub fn from_contours(contours: &[Contour]) -> Self {
        let mut overlay = Overlay::new();
        for contour in contours {
            overlay.add_contour(contour, Side::Inner, false);
        }
        overlay.region(Rule::Union, Fill::EvenOdd)
    }

    /// Every boundary, outer ones and holes.
    pub fn contours(&self) -> impl Iterator<Item = &Contour> {
        self.shapes.iter().flat_map(Shape::contours)
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.shapes.is_empty()
    }

    /// Area, arcs exactly.
    pub fn area(&self) -> f64 {
        self.contours().map(Contour::signed_area).sum()
    }

    /// Length of all boundaries.
    pub fn boundary_length(&self) -> f64 {
        self.contours().map(Contour::length).sum()
    }

    /// Centre of area; `None` when empty.
    pub fn centroid(&self) -> Option<Vec2> {
        let (area, first) = self
            .contours()
            .map(Contour::moments)
            .fold((0.0, Vec2::ZERO), |sum, (area, first)| {
                (sum.0 + area, sum.1 + first)
            });
        (area > 0.0).then(|| first / area)
    }

    /// The tight box; `None` when empty.
    pub fn bounds(&self) -> Option<Bounds2> {
        self.shapes
            .iter()
            .filter_map(|s| s.outer.bounds())
            .reduce(|l, r| l.joined(&r))
    }

    fn combined(&self, other: &Self, rule: Rule, sides: (Side, Side)) -> Self {
        let mut overlay = Overlay::new();
        overlay.add_region(self, sides.0, false);
        overlay.add_region(other, sides.1, true);
        overlay.region(rule, Fill::Positive)
    }

    /// Union. Arcs are flattened within the default tolerance and recovered where they survive; beside a cut arc the
    /// result lies on the Outer side.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        match (self.is_empty(), other.is_empty()) {
            (_, true) => return self.clone(),
            (true, false) => return other.clone(),
            (false, false) if self == other => return self.clone(),
            (false, false) => {}
        }
        let mut overlay = Overlay::new();
        overlay.add_region(self, Side::Outer, false);
        overlay.add_region(other, Side::Outer, false);
        overlay.region(Rule::Union, Fill::Positive)
    }

    /// Union of many, by halves; as [`Region::union`]. Not in one pass: many outlines that nearly coincide, as the bands
    /// of a scanned piece do, cross each other in far more places than any two of them.
    pub fn union_all<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        fn halves(regions: &[&Region]) -> Region {
            match regions {
                [] => Region::empty(),
                [one] => (*one).clone(),
                many => {
                    let (left, right) = many.split_at(many.len() / 2);
                    halves(left).union(&halves(right))
                }
            }
        }
        halves(&regions.into_iter().collect::<Vec<_>>())
    }

    /// `self` without `other`; beside a cut arc the result lies on the Inner side.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        if self.is_apart(other) {
            return self.clone();
        }
        self.combined(other, Rule::Difference, (Side::Inner, Side::Outer))
    }

    /// What both hold; beside a cut arc the result lies on the Inner side.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        if self.is_apart(other) {
            return Self::empty();
        }
        self.combined(other, Rule::Intersection, (Side::Inner, Side::Inner))
    }

    fn is_apart(&self, other: &Self) -> bool {
        match (self.bounds(), other.bounds()) {
            (Some(mine), Some(theirs)) => !mine.meets(&theirs),
            _ => true,
        }
    }

    fn mapped(&self, map: impl Fn(&Contour) -> Contour) -> Self {
        let shapes = self.shapes.iter().map(|s| Shape {
            outer: map(&s.outer),
            holes: s.holes.iter().map(&map).collect(),
        });
        let mut region = Self {
            shapes: shapes.collect(),
        };
        region.sort();
        region
    }

    /// The region moved.
    #[must_use]
    pub fn placed(&self, placement: &Placement2) -> Self {
        let turned = placement.prepared();
        self.mapped(|c| Contour {
            vertices: c
                .vertices
                .iter()
                .map(|v| Vertex {
                    at: turned(v.at),
                    bulge: v.bulge,
                })
                .collect(),
        })
    }

    /// The mirror image in the y axis (x -> -x).
    #[must_use]
    pub fn mirrored_x(&self) -> Self {
        self.mapped(Contour::mirrored_x)
    }

    /// Shapes by least corner, holes likewise: one order for one region.
    pub(crate) fn sort(&mut self) {
        let key = |c: &Contour| c.bounds().map_or(Vec2::ZERO, |b| b.min);
        let by = |l: &Contour, r: &Contour| {
            let (a, b) = (key(l), key(r));
            a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))
        };
        if self.shapes.len() > 1 {
            self.shapes.sort_by(|l, r| by(&l.outer, &r.outer));
        }
        for shape in &mut self.shapes {
            if shape.holes.len() > 1 {
                shape.holes.sort_by(by);
            }
        }
    }

    /// The flattened region's rings on the grid and the triangles between their points (counter-clockwise).
    pub(crate) fn triangulated(&self) -> Triangulated {
        let mut overlay = Overlay::new();
        overlay.add_region(self, Side::Inner, false);
        let shapes = overlay.polygons(Rule::Union, Fill::Positive);
        let mut found = Triangulated::default();
        let mut triangulator = IntTriangulator::<i64, u32>::default();
        for shape in shapes {
            let mesh = triangulator.uncheck_triangulate_shape(&shape);
            found.triangles.extend(mesh.indices.chunks_exact(3).map(|t| {
                let [a, b, c] = [t[0], t[1], t[2]].map(|i| mesh.points[i as usize]);
                let (u, v) = (from_grid(b) - from_grid(a), from_grid(c) - from_grid(a));
                let key = |p: super::overlay::GridPoint| (p.x, p.y);
                if u.cross(v) < 0.0 {
                    [key(a), key(c), key(b)]
                } else {
                    [key(a), key(b), key(c)]
                }
            }));
            found.rings.extend(
                shape
                    .into_iter()
                    .map(|ring| ring.into_iter().map(|p| (p.x, p.y)).collect()),
            );
        }
        found
    }

    /// Triangles that fill the region (arcs flattened Inner), counter-clockwise, for drawing and meshing.
    pub fn triangles(&self) -> Vec<[Vec2; 3]> {
        self.triangulated()
            .triangles
            .into_iter()
            .map(|t| t.map(Triangulated::point))
            .collect()
    }
}

/// A region as rings and triangles on the grid.
#[derive(Debug, Default)]
pub(crate) struct Triangulated {
    /// Outer rings counter-clockwise, holes clockwise.
    pub(crate) rings: Vec<Vec<(i64, i64)>>,
    pub(crate) triangles: Vec<[(i64, i64); 3]>,
}

impl Triangulated {
    /// The point of a grid key, metres.
    pub(crate) fn point((x, y): (i64, i64)) -> Vec2 {
        from_grid(super::overlay::GridPoint::new(x, y))
    }
}
