//! One entity of a drawing as a line of straight and round edges.

use super::pairs::Pair;
use crate::outline::curve::{Spline, sampled};
use caddis_geometry::{Vec2, Vertex};
use std::f64::consts::TAU;

/// An entity as written: its kind and its pairs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Record<'a> {
    pub(super) kind: &'a str,
    pairs: &'a [Pair],
}

/// Splits the pairs at each code 0.
pub(super) fn records(pairs: &[Pair]) -> Vec<Record<'_>> {
    let starts: Vec<usize> = (0..pairs.len()).filter(|&k| pairs[k].code == 0).collect();
    starts
        .iter()
        .enumerate()
        .map(|(k, &start)| {
            let end = starts.get(k + 1).copied().unwrap_or(pairs.len());
            Record {
                kind: pairs[start].text(),
                pairs: &pairs[start + 1..end],
            }
        })
        .collect()
}

impl<'a> Record<'a> {
    fn pair(&self, code: i32) -> Option<&'a Pair> {
        self.pairs.iter().find(|pair| pair.code == code)
    }

    pub(super) fn text(&self, code: i32) -> &'a str {
        self.pair(code).map_or("", Pair::text)
    }

    pub(super) fn real(&self, code: i32) -> Option<f64> {
        self.pair(code).map(Pair::real)
    }

    pub(super) fn whole(&self, code: i32) -> i64 {
        self.pair(code).map_or(0, Pair::whole)
    }

    /// x at a code, y ten above it.
    pub(super) fn point(&self, code: i32) -> Vec2 {
        Vec2::new(
            self.real(code).unwrap_or(0.0),
            self.real(code + 10).unwrap_or(0.0),
        )
    }

    /// 1 where its own plane is the drawing's, -1 where it is seen from below (its x then runs the other way), `None` elsewhere.
    ///
    /// # Source
    /// DXF reference, "Arbitrary axis algorithm", for the two directions of z.
    pub(super) fn in_plan(&self) -> Option<f64> {
        let (x, y, z) = (
            self.real(210).unwrap_or(0.0),
            self.real(220).unwrap_or(0.0),
            self.real(230).unwrap_or(1.0),
        );
        (x.abs() < 1e-9 && y.abs() < 1e-9 && z.abs() > 0.5).then(|| z.signum())
    }

    /// Repeated points: each x starts one, what follows up to the next belongs to it.
    fn points(&self) -> Vec<Vertex> {
        let mut points: Vec<Vertex> = Vec::new();
        for pair in self.pairs {
            match (pair.code, points.last_mut()) {
                (10, _) => points.push(Vertex {
                    at: Vec2::new(pair.real(), 0.0),
                    bulge: 0.0,
                }),
                (20, Some(last)) => last.at.y = pair.real(),
                (42, Some(last)) => last.bulge = pair.real(),
                _ => {}
            }
        }
        points
    }
}

/// What an entity is here.
pub(super) enum Found {
    Line {
        vertices: Vec<Vertex>,
        is_closed: bool,
    },
    /// Nothing to see, and nothing to say.
    Nothing,
    /// No line.
    Other(String),
}

pub(super) fn read_entity(record: &Record<'_>, followers: &[Record<'_>], chord: f64) -> Found {
    // Lines and splines stand in the drawing's own axes whatever their plane; a spline's is often left at zero.
    let mirror = match record.kind {
        "LINE" | "SPLINE" => 1.0,
        _ => match record.in_plan() {
            Some(mirror) => mirror,
            None => return Found::Other(format!("{} out of plan", record.kind)),
        },
    };
    let open = |vertices: Vec<Vertex>| Found::Line {
        vertices,
        is_closed: false,
    };
    match record.kind {
        "LINE" => open(straight([record.point(10), record.point(11)])),
        "CIRCLE" => {
            let radius = record.real(40).unwrap_or(0.0);
            if radius.is_nan() || radius <= 0.0 {
                return Found::Other("CIRCLE without a radius".to_owned());
            }
            mirrored(circle(record.point(10), radius), true, mirror)
        }
        "ARC" => {
            let (start, end) = (
                record.real(50).unwrap_or(0.0).to_radians(),
                record.real(51).unwrap_or(360.0).to_radians(),
            );
            let radius = record.real(40).unwrap_or(0.0);
            let sweep = (end - start).rem_euclid(TAU);
            let sweep = if sweep < 1e-12 { TAU } else { sweep };
            mirrored(arc(record.point(10), radius, start, sweep), false, mirror)
        }
        "ELLIPSE" => ellipse(record, mirror, chord),
        "LWPOLYLINE" => mirrored(record.points(), record.whole(70) & 1 != 0, mirror),
        "POLYLINE" => {
            // 16: a mesh of points; 64: a polyface.
            if record.whole(70) & (16 | 64) != 0 {
                return Found::Other("POLYLINE mesh".to_owned());
            }
            let vertices = followers
                .iter()
                // 16: a control point of the curve, not on it.
                .filter(|vertex| vertex.kind == "VERTEX" && vertex.whole(70) & 16 == 0)
                .map(|vertex| Vertex {
                    at: vertex.point(10),
                    bulge: vertex.real(42).unwrap_or(0.0),
                })
                .collect();
            mirrored(vertices, record.whole(70) & 1 != 0, mirror)
        }
        "SPLINE" => spline(record, chord),
        "VERTEX" | "SEQEND" | "ATTRIB" | "ENDBLK" | "VIEWPORT" => Found::Nothing,
        other => Found::Other(other.chars().take(30).collect()),
    }
}

fn mirrored(vertices: Vec<Vertex>, is_closed: bool, mirror: f64) -> Found {
    Found::Line {
        vertices: vertices
            .into_iter()
            .map(|v| Vertex {
                at: Vec2::new(v.at.x * mirror, v.at.y),
                bulge: v.bulge * mirror,
            })
            .collect(),
        is_closed,
    }
}

fn straight(points: impl IntoIterator<Item = Vec2>) -> Vec<Vertex> {
    points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect()
}

fn circle(centre: Vec2, radius: f64) -> Vec<Vertex> {
    [-radius, radius]
        .map(|x| Vertex {
            at: centre + Vec2::new(x, 0.0),
            bulge: 1.0,
        })
        .to_vec()
}

/// An arc in pieces of at most a third of a turn.
fn arc(centre: Vec2, radius: f64, start: f64, sweep: f64) -> Vec<Vertex> {
    let pieces = (sweep / (TAU / 3.0)).ceil().clamp(1.0, 4.0);
    let bulge = (sweep / pieces / 4.0).tan();
    (0..=pieces as usize)
        .map(|k| Vertex {
            at: centre + Vec2::new(radius, 0.0).rotated(start + sweep * k as f64 / pieces),
            bulge,
        })
        .collect()
}

/// Its points are in the drawing's own axes; only its sense follows its plane.
fn ellipse(record: &Record<'_>, mirror: f64, chord: f64) -> Found {
    let (centre, major) = (record.point(10), record.point(11));
    let minor = major.perpendicular() * (record.real(40).unwrap_or(1.0) * mirror);
    let (start, end) = (record.real(41).unwrap_or(0.0), record.real(42).unwrap_or(TAU));
    if ![start, end].iter().all(|t| t.is_finite()) || major == Vec2::ZERO {
        return Found::Other("ELLIPSE without a size".to_owned());
    }
    let sweep = (end - start).rem_euclid(TAU);
    let is_whole = sweep < 1e-9 || TAU - sweep < 1e-9;
    let sweep = if is_whole { TAU } else { sweep };
    let curve = |t: f64| centre + major * t.cos() + minor * t.sin();
    let mut points = vec![curve(start)];
    for quarter in 0..4 {
        let at = |k: i32| start + sweep * f64::from(k) / 4.0;
        sampled(&curve, at(quarter), at(quarter + 1), chord, &mut points);
    }
    if is_whole {
        points.pop();
    }
    Found::Line {
        vertices: straight(points),
        is_closed: is_whole,
    }
}

fn spline(record: &Record<'_>, chord: f64) -> Found {
    let all = |code: i32| {
        record
            .pairs
            .iter()
            .filter(move |pair| pair.code == code)
            .map(Pair::real)
    };
    let weights: Vec<f64> = all(41).collect();
    let points: Vec<(Vec2, f64)> = all(10)
        .zip(all(20))
        .enumerate()
        .map(|(k, (x, y))| (Vec2::new(x, y), weights.get(k).copied().unwrap_or(1.0)))
        .collect();
    if points.is_empty() {
        return Found::Other("SPLINE without control points".to_owned());
    }
    let spline = Spline {
        degree: usize::try_from(record.whole(71)).unwrap_or(0),
        knots: all(40).collect(),
        points,
    };
    if !spline.is_sound() {
        return Found::Other("SPLINE whose knots do not fit its points".to_owned());
    }
    Found::Line {
        vertices: straight(spline.polyline(chord)),
        is_closed: false,
    }
}

/// The line with its arcs as chords on them, for placements that make no arcs of arcs.
pub(super) fn straightened(vertices: &[Vertex], is_closed: bool, chord: f64) -> Vec<Vertex> {
    let n = vertices.len();
    let mut points = Vec::new();
    for (k, v) in vertices.iter().enumerate() {
        points.push(v.at);
        let next = vertices[(k + 1) % n].at;
        if v.bulge == 0.0 || (!is_closed && k + 1 == n) {
            continue;
        }
        // The circle through both ends: its centre lies beside the chord's middle by (1 - b²) / 4b chords.
        let along = next - v.at;
        let centre =
            v.at + along * 0.5 + along.perpendicular() * ((1.0 - v.bulge * v.bulge) / (4.0 * v.bulge));
        let (from, sweep) = (v.at - centre, 4.0 * v.bulge.atan());
        sampled(
            &|t| centre + from.rotated(sweep * t),
            0.0,
            1.0,
            chord,
            &mut points,
        );
        points.pop();
    }
    straight(points)
}
