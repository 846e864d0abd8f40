//! Convex parts and the translations at which two of them come too close.

use crate::Sides;
use caddis_geometry::Vec2;

/// A convex polygon, counter-clockwise, with what every pair it is part of asks of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Convex {
    pub(crate) points: Vec<Vec2>,
    /// Its reach along the axes.
    along: [f64; 4],
    /// Its other edge normals, each once, with its reach.
    oblique: Vec<(Vec2, f64)>,
}

/// Unit vectors closer than this are one: less than half a microradian.
fn is_one(a: Vec2, b: Vec2) -> bool {
    a.dot(b) >= 1.0 - 1e-13
}

impl Convex {
    pub(crate) fn new(points: Vec<Vec2>) -> Self {
        let mut it = Self {
            points,
            along: [0.0; 4],
            oblique: Vec::new(),
        };
        it.along = AXES.map(|axis| it.support(axis));
        let mut known: Vec<(Vec2, f64)> = Vec::new();
        for n in it.normals() {
            let is_new = !AXES
                .iter()
                .chain(known.iter().map(|(n, _)| n))
                .any(|k| is_one(*k, n));
            if n.length() > 0.5 && is_new {
                known.push((n, it.support(n)));
            }
        }
        it.oblique = known;
        it
    }

    /// How far it reaches along `n`.
    pub(crate) fn support(&self, n: Vec2) -> f64 {
        self.points
            .iter()
            .map(|p| n.dot(*p))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    fn normals(&self) -> impl Iterator<Item = Vec2> + '_ {
        let count = self.points.len();
        (0..count).map(move |i| {
            -(self.points[(i + 1) % count] - self.points[i])
                .unit()
                .perpendicular()
        })
    }

    /// Whether `other` lies wholly inside.
    pub(crate) fn holds(&self, other: &Self) -> bool {
        self.normals()
            .all(|n| other.support(n) <= self.support(n) + 1e-12)
    }
}

/// How far the box of per-side distances reaches along `n`.
pub(crate) fn box_reach(sides: &Sides, n: Vec2) -> f64 {
    let along = if n.x > 0.0 { sides.right } else { sides.left };
    let across = if n.y > 0.0 { sides.back } else { sides.front };
    along * n.x.abs() + across * n.y.abs()
}

/// What two shapes ask of each other.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Demand {
    /// Box around the first that must not meet the second.
    pub(crate) first: Sides,
    /// Box around the second that must not meet the first.
    pub(crate) second: Sides,
    /// Round distance on top, metres.
    pub(crate) round: f64,
    /// Whether the demand grows with the common extra clearance.
    pub(crate) grows: bool,
}

/// One direction in which a pair of parts can be apart.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Face {
    normal: Vec2,
    /// Reach of both bodies plus the first's keep-out.
    first: f64,
    /// Reach of both bodies plus the second's keep-out.
    second: f64,
    /// Growth of the reach per metre of common extra clearance.
    growth: f64,
}

/// Signed separation with the direction from the first to the second shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Separation {
    pub(crate) distance: f64,
    pub(crate) normal: Vec2,
}

/// All shifts of a second shape against a first at which a keep-out of one meets the body of the other: a union of
/// convex sets, one per pair of convex parts.
///
/// # Source
/// Convex bodies are apart exactly if an edge normal of one of them parts them (separating axis theorem); the
/// keep-out box adds its two axes to the edge normals of its body.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct NoGo {
    pairs: Vec<Vec<Face>>,
    min: Vec2,
    max: Vec2,
}

const AXES: [Vec2; 4] = [
    Vec2::new(1.0, 0.0),
    Vec2::new(-1.0, 0.0),
    Vec2::new(0.0, 1.0),
    Vec2::new(0.0, -1.0),
];

impl NoGo {
    pub(crate) fn new(first: &[Convex], second: &[Convex], demand: &Demand) -> Self {
        let mut no_go = Self {
            pairs: Vec::with_capacity(first.len() * second.len()),
            min: Vec2::new(f64::INFINITY, f64::INFINITY),
            max: Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        };
        for a in first {
            for b in second {
                no_go.add(a, b, demand);
            }
        }
        no_go
    }

    /// Joins another set of forbidden shifts.
    pub(crate) fn join(&mut self, other: Self) {
        if self.pairs.is_empty() {
            *self = other;
            return;
        }
        self.min = self.min.min(other.min);
        self.max = self.max.max(other.max);
        self.pairs.extend(other.pairs);
    }

    /// How many faces it holds, for budgets.
    pub(crate) fn faces(&self) -> usize {
        self.pairs.iter().map(Vec::len).sum()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.pairs.is_empty()
    }

    fn add(&mut self, a: &Convex, b: &Convex, demand: &Demand) {
        let face = |n: Vec2, bodies: f64| {
            let bodies = bodies + demand.round;
            Face {
                normal: n,
                first: bodies + box_reach(&demand.first, n),
                second: bodies + box_reach(&demand.second, -n),
                growth: if demand.grows { n.x.abs() + n.y.abs() } else { 0.0 },
            }
        };
        let mut faces = Vec::with_capacity(4 + a.oblique.len() + b.oblique.len());
        // The axes stand in opposite pairs.
        faces.extend((0..4).map(|i| face(AXES[i], a.along[i] + b.along[i ^ 1])));
        faces.extend(a.oblique.iter().map(|&(n, reach)| face(n, reach + b.support(-n))));
        let others = b.oblique.iter().map(|&(n, reach)| (-n, reach));
        let others = others.filter(|(n, _)| !a.oblique.iter().any(|(known, _)| is_one(*known, *n)));
        faces.extend(others.map(|(n, reach)| face(n, a.support(n) + reach)));
        let reach = |i: usize| faces[i].first.max(faces[i].second);
        self.max = self.max.max(Vec2::new(reach(0), reach(2)));
        self.min = self.min.min(Vec2::new(-reach(1), -reach(3)));
        self.pairs.push(faces);
    }

    /// Depth by which the second shape, shifted by `d` from the first, breaks the demand with `extra` clearance on
    /// every side; 0 when it is kept.
    pub(crate) fn overlap(&self, d: Vec2, extra: f64) -> f64 {
        if d.x >= self.max.x + extra
            || d.x <= self.min.x - extra
            || d.y >= self.max.y + extra
            || d.y <= self.min.y - extra
        {
            return 0.0;
        }
        let mut deepest: f64 = 0.0;
        for faces in &self.pairs {
            let (mut first, mut second) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
            for face in faces {
                let along = face.normal.dot(d) - face.growth * extra;
                first = first.max(along - face.first);
                second = second.max(along - face.second);
                if first.min(second) >= -deepest {
                    break;
                }
            }
            deepest = deepest.max(-first.min(second));
        }
        deepest
    }

    /// Whether the second shape, shifted by `d`, breaks the demand by no more than `slack`: as [`NoGo::overlap`] tells, but
    /// looked for no further than needed.
    pub(crate) fn is_kept(&self, d: Vec2, slack: f64) -> bool {
        if d.x >= self.max.x || d.x <= self.min.x || d.y >= self.max.y || d.y <= self.min.y {
            return true;
        }
        self.pairs.iter().all(|faces| {
            let (mut first, mut second) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
            faces.iter().any(|face| {
                let along = face.normal.dot(d);
                first = first.max(along - face.first);
                second = second.max(along - face.second);
                first.min(second) >= -slack
            })
        })
    }

    /// The tightest pair of parts: never more than the true distance, and less only between facing corners.
    pub(crate) fn separation(&self, d: Vec2, extra: f64) -> Separation {
        let mut tightest = Separation {
            distance: f64::INFINITY,
            normal: Vec2::new(1.0, 0.0),
        };
        let none = Separation {
            distance: f64::NEG_INFINITY,
            normal: Vec2::new(1.0, 0.0),
        };
        for faces in &self.pairs {
            let (mut first, mut second) = (none, none);
            for face in faces {
                let along = face.normal.dot(d) - face.growth * extra;
                if along - face.first > first.distance {
                    first = Separation {
                        distance: along - face.first,
                        normal: face.normal,
                    };
                }
                if along - face.second > second.distance {
                    second = Separation {
                        distance: along - face.second,
                        normal: face.normal,
                    };
                }
            }
            let worse = if second.distance < first.distance {
                second
            } else {
                first
            };
            if worse.distance < tightest.distance {
                tightest = worse;
            }
        }
        tightest
    }

    /// By how much all growing demands could grow on every side; negative when broken.
    pub(crate) fn spare(&self, d: Vec2) -> f64 {
        let mut least = f64::INFINITY;
        for faces in &self.pairs {
            let (mut first, mut second) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
            for face in faces {
                let along = face.normal.dot(d);
                first = first.max(grown(along - face.first, face.growth));
                second = second.max(grown(along - face.second, face.growth));
            }
            least = least.min(first).min(second);
        }
        least
    }

    /// Lower bound of [`NoGo::separation`] from boxes alone.
    pub(crate) fn box_separation(&self, d: Vec2) -> f64 {
        (d.x - self.max.x)
            .max(self.min.x - d.x)
            .max(d.y - self.max.y)
            .max(self.min.y - d.y)
    }

    /// The box of forbidden shifts.
    pub(crate) fn bounds(&self) -> (Vec2, Vec2) {
        (self.min, self.max)
    }

    /// Corners of the forbidden sets: shifts at which two edges of each shape touch.
    pub(crate) fn corners(&self, out: &mut Vec<Vec2>) {
        for faces in &self.pairs {
            let mut planes: Vec<(Vec2, f64)> = faces
                .iter()
                .map(|face| (face.normal, face.first.max(face.second)))
                .collect();
            planes.sort_by(|a, b| turn_of(a.0).total_cmp(&turn_of(b.0)));
            out.extend(clipped(&planes));
        }
    }

    /// The box of each convex set.
    pub(crate) fn part_bounds(&self, out: &mut Vec<(Vec2, Vec2)>) {
        for faces in &self.pairs {
            let reach = |i: usize| faces[i].first.max(faces[i].second);
            out.push((Vec2::new(-reach(1), -reach(3)), Vec2::new(reach(0), reach(2))));
        }
    }

    /// How far the second shape, at shift `d`, can go along the unit vector `way` before it breaks the demand;
    /// infinite when nothing stops it, 0 when it touches.
    pub(crate) fn free_run(&self, d: Vec2, way: Vec2) -> f64 {
        let mut run = f64::INFINITY;
        'pairs: for faces in &self.pairs {
            // Inside the set while every face's depth is positive; depth changes linearly along the way.
            let (mut enter, mut leave) = (f64::NEG_INFINITY, f64::INFINITY);
            for face in faces {
                let depth = face.first.max(face.second) - face.normal.dot(d);
                let rate = face.normal.dot(way);
                if rate.abs() < 1e-12 {
                    if depth <= 1e-10 {
                        continue 'pairs;
                    }
                } else if rate < 0.0 {
                    enter = enter.max(depth / rate);
                } else {
                    leave = leave.min(depth / rate);
                }
                // It is entered later and left earlier by every further face: passed by, behind, or beyond another.
                if enter >= leave - 1e-10 || leave <= 1e-10 || enter >= run {
                    continue 'pairs;
                }
            }
            if enter < leave - 1e-10 && leave > 1e-10 {
                run = run.min(enter.max(0.0));
            }
        }
        run
    }
}

/// Rises with the direction of a unit vector from -2 to 2 as its angle does from a half turn to a half turn.
fn turn_of(n: Vec2) -> f64 {
    let along = 1.0 - n.x / (n.x.abs() + n.y.abs());
    along.copysign(n.y)
}

fn grown(room: f64, growth: f64) -> f64 {
    if growth > 0.0 {
        room / growth
    } else if room >= 0.0 {
        f64::INFINITY
    } else {
        room
    }
}

/// Corners of the convex set `n . p <= h`, counter-clockwise; empty when there is none.
pub(crate) fn clipped(planes: &[(Vec2, f64)]) -> Vec<Vec2> {
    const FAR: f64 = 1e3;
    let mut points = vec![
        Vec2::new(-FAR, -FAR),
        Vec2::new(FAR, -FAR),
        Vec2::new(FAR, FAR),
        Vec2::new(-FAR, FAR),
    ];
    for &(n, h) in planes {
        let mut kept = Vec::with_capacity(points.len() + 1);
        for i in 0..points.len() {
            let (p, q) = (points[i], points[(i + 1) % points.len()]);
            let (u, v) = (n.dot(p) - h, n.dot(q) - h);
            if u <= 1e-10 {
                kept.push(p);
            }
            if (u < -1e-10 && v > 1e-10) || (u > 1e-10 && v < -1e-10) {
                kept.push(p.lerp(q, u / (u - v)));
            }
        }
        points = kept;
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: f64, y: f64) -> Convex {
        Convex::new(vec![
            Vec2::new(-x, -y),
            Vec2::new(x, -y),
            Vec2::new(x, y),
            Vec2::new(-x, y),
        ])
    }

    #[test]
    fn the_larger_keep_out_counts() {
        let first = Sides {
            right: 0.02,
            ..Sides::default()
        };
        let second = Sides {
            left: 0.03,
            ..Sides::default()
        };
        let demand = Demand {
            first,
            second,
            round: 0.0,
            grows: true,
        };
        let no_go = NoGo::new(&[rectangle(0.1, 0.1)], &[rectangle(0.1, 0.1)], &demand);
        assert!((no_go.separation(Vec2::new(0.23, 0.0), 0.0).distance).abs() < 1e-12);
        assert!((no_go.separation(Vec2::new(-0.2, 0.0), 0.0).distance).abs() < 1e-12);
        assert!((no_go.spare(Vec2::new(0.25, 0.0)) - 0.02).abs() < 1e-12);
        assert!((no_go.overlap(Vec2::new(0.22, 0.0), 0.0) - 0.01).abs() < 1e-12);
        assert!((no_go.free_run(Vec2::new(0.5, 0.0), Vec2::new(-1.0, 0.0)) - 0.27).abs() < 1e-12);
    }

    #[test]
    fn kept_is_told_as_the_overlap_tells() {
        let shapes = [rectangle(0.4, 0.1), rectangle(0.2, 0.3)];
        let demand = Demand {
            first: Sides::default(),
            second: Sides::default(),
            round: 0.01,
            grows: false,
        };
        let no_go = NoGo::new(&shapes, &shapes[..1], &demand);
        let mut kept = 0;
        for i in -30..30_i32 {
            for j in -30..30_i32 {
                let d = Vec2::new(f64::from(i) * 0.02, f64::from(j) * 0.02);
                assert_eq!(no_go.is_kept(d, 1e-9), no_go.overlap(d, 0.0) <= 1e-9, "{d:?}");
                kept += i32::from(no_go.is_kept(d, 1e-9));
            }
        }
        assert!(kept > 500 && kept < 3500, "{kept}");
    }

    #[test]
    fn clipping_finds_emptiness() {
        let planes = [(Vec2::new(1.0, 0.0), 0.0), (Vec2::new(-1.0, 0.0), -0.1)];
        assert!(clipped(&planes).is_empty());
    }
}
