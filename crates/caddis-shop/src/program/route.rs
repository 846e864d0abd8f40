//! The order of cuts and the moves between them.

use super::cuts::{Cut, PartCuts};
use super::path::{Move, ToolPath, Way};
use caddis_geometry::{Contour, Region, Vec2, Vec3};

/// An arc that rises less than this over its chord is cut straight, metres.
const STRAIGHT: f64 = 5e-7;
/// Arcs of a greater radius are cut as short straight moves, metres: their centres would lose figures.
const MOST_RADIUS: f64 = 10.0;
/// Moves shorter than this are joined to the next, metres.
const LEAST_MOVE: f64 = 1e-5;

/// Strokes no farther apart than this are reached at feed and approach height: rising and coming down takes longer, metres.
const HOP: f64 = 0.02;

/// Feeds and heights of a program.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Settings {
    pub(crate) feed: f64,
    pub(crate) plunge: f64,
    pub(crate) safe: f64,
    /// Where a plunge begins.
    pub(crate) approach: f64,
    /// Longest move from ring to ring at depth.
    pub(crate) link: f64,
}

/// All parts of a sheet, nearest first from the sheet's corner; in each part pockets, then holes, then the outline, so that
/// nothing is cut in a part that already came loose. Holes are taken nearest first.
pub(crate) fn route(mut parts: Vec<PartCuts>, settings: &Settings) -> ToolPath {
    let mut router = Router {
        path: ToolPath {
            start: Vec3::new(0.0, 0.0, settings.safe),
            moves: Vec::new(),
        },
        settings,
    };
    while !parts.is_empty() {
        let here = router.path.end().plan();
        let nearest = nearest(parts.iter().map(|part| part_distance(part, here)));
        let part = parts.remove(nearest);
        for pocket in &part.pockets {
            router.cut(pocket);
        }
        router.all(part.through);
        router.all(part.outline);
    }
    router.rise();
    router.path
}

/// Open strokes at one depth, nearest first, each from its nearer end; where the next begins at the last one's end the tool stays
/// down.
pub(crate) fn strokes(mut lines: Vec<Vec<Vec2>>, depth: f64, settings: &Settings) -> ToolPath {
    let mut router = Router {
        path: ToolPath {
            start: Vec3::new(0.0, 0.0, settings.safe),
            moves: Vec::new(),
        },
        settings,
    };
    let ends = |line: &[Vec2]| line.first().copied().zip(line.last().copied());
    while !lines.is_empty() {
        let here = router.path.end().plan();
        let next =
            nearest(lines.iter().map(|line| {
                ends(line).map_or(f64::INFINITY, |(a, b)| a.distance(here).min(b.distance(here)))
            }));
        let mut line = lines.remove(next);
        let Some((first, last)) = ends(&line) else {
            continue;
        };
        if last.distance(here) < first.distance(here) {
            line.reverse();
        }
        router.open(&line, -depth);
    }
    router.rise();
    router.path
}

/// Index of the least distance; the first of equals.
fn nearest(distances: impl Iterator<Item = f64>) -> usize {
    distances
        .enumerate()
        .fold(
            (0, f64::INFINITY),
            |best, (i, d)| if d < best.1 { (i, d) } else { best },
        )
        .0
}

fn part_distance(part: &PartCuts, from: Vec2) -> f64 {
    part.outline
        .iter()
        .map(|cut| distance(cut, from))
        .fold(f64::INFINITY, f64::min)
}

fn distance(cut: &Cut, from: Vec2) -> f64 {
    cut.rings.first().map_or(f64::INFINITY, |ring| {
        ring.vertices
            .iter()
            .map(|v| v.at.distance(from))
            .fold(f64::INFINITY, f64::min)
    })
}

struct Router<'a> {
    path: ToolPath,
    settings: &'a Settings,
}

impl Router<'_> {
    fn all(&mut self, mut cuts: Vec<Cut>) {
        while !cuts.is_empty() {
            let here = self.path.end().plan();
            let nearest = nearest(cuts.iter().map(|cut| distance(cut, here)));
            let cut = cuts.remove(nearest);
            self.cut(&cut);
        }
    }

    fn cut(&mut self, cut: &Cut) {
        for level in &cut.levels {
            for ring in &cut.rings {
                self.ring(ring, -level, &cut.room);
            }
        }
    }

    fn go(&mut self, way: Way, to: Vec3) {
        if self.path.end() != to {
            self.path.moves.push(Move { way, to });
        }
    }

    fn line(&mut self, to: Vec3) {
        let feed = self.settings.feed;
        self.go(Way::Line { feed }, to);
    }

    fn rise(&mut self) {
        let here = self.path.end().plan();
        let safe = self.settings.safe;
        self.go(Way::Rapid, here.at_height(safe));
    }

    /// To above a place, at safe height, and down to where the plunge begins.
    fn approach(&mut self, to: Vec2) {
        self.rise();
        let Settings { safe, approach, .. } = *self.settings;
        self.go(Way::Rapid, to.at_height(safe));
        self.go(Way::Rapid, to.at_height(approach));
    }

    /// Cuts a closed path at height `z`, from its corner nearest to the cutter.
    fn ring(&mut self, ring: &Contour, z: f64, room: &Region) {
        let here = self.path.end();
        let first = nearest(ring.vertices.iter().map(|v| v.at.distance(here.plan())));
        let Some(start) = ring.vertices.get(first).map(|v| v.at) else {
            return;
        };
        let apart = start.distance(here.plan());
        if here.z < 0.0 && apart < 1e-9 {
            // On the path already: straight down.
        } else if here.z < 0.0 && (here.z - z).abs() < 1e-12 && self.may_link(here.plan(), start, room) {
            self.line(start.at_height(z));
        } else {
            self.approach(start);
        }
        let feed = self.settings.plunge;
        self.go(Way::Line { feed }, start.at_height(z));
        let n = ring.vertices.len();
        for i in 0..n {
            let from = ring.vertices[(first + i) % n];
            let to = ring.vertices[(first + i + 1) % n].at;
            // Crumbs are joined to a straight edge that follows; the path closes where it began.
            let follows = ring.vertices[(first + i + 1) % n];
            let crumb = to.distance(self.path.end().plan()) < LEAST_MOVE;
            if i + 1 < n && crumb && follows.bulge == 0.0 {
                continue;
            }
            let begun = self.path.end().plan();
            let bulge = if begun == from.at { from.bulge } else { 0.0 };
            self.edge(begun, to, bulge, z);
        }
    }

    /// Cuts a polyline at height `z` from its first point.
    fn open(&mut self, line: &[Vec2], z: f64) {
        let Some(first) = line.first() else {
            return;
        };
        let here = self.path.end();
        let apart = first.distance(here.plan());
        if here.z > 0.0 || apart > 1e-9 {
            let low = self.settings.approach;
            if here.z < 0.0 && apart <= HOP && low < self.settings.safe {
                self.line(here.plan().at_height(low));
                self.line(first.at_height(low));
            } else {
                self.approach(*first);
            }
            let feed = self.settings.plunge;
            self.go(Way::Line { feed }, first.at_height(z));
        }
        for point in &line[1..] {
            self.line(point.at_height(z));
        }
    }

    /// Whether the cutter may go straight from `a` to `b` at depth without leaving the pocket.
    fn may_link(&self, a: Vec2, b: Vec2, room: &Region) -> bool {
        a.distance(b) <= self.settings.link
            && !room.is_empty()
            && (1..8).all(|i| room.signed_distance(a.lerp(b, f64::from(i) / 8.0)) <= 1e-6)
    }

    fn edge(&mut self, a: Vec2, b: Vec2, bulge: f64, z: f64) {
        let chord = a.distance(b);
        let rise = bulge.abs() * chord / 2.0;
        let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        if rise < STRAIGHT || chord < LEAST_MOVE && bulge.abs() <= 1.0 {
            self.line(b.at_height(z));
            return;
        }
        let centre = a.lerp(b, 0.5) + (b - a).perpendicular() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        let angle = 4.0 * bulge.atan();
        let pieces = if radius > MOST_RADIUS {
            (rise / STRAIGHT).sqrt().ceil().max(2.0)
        } else if angle.abs() > std::f64::consts::PI + 1e-9 {
            2.0
        } else {
            1.0
        };
        let feed = self.settings.feed;
        for i in 1..=pieces as usize {
            let to = if i as f64 == pieces {
                b
            } else {
                centre + (a - centre).rotated(angle * i as f64 / pieces)
            };
            let way = if radius > MOST_RADIUS {
                Way::Line { feed }
            } else {
                Way::Arc {
                    feed,
                    centre,
                    left: bulge > 0.0,
                }
            };
            self.go(way, to.at_height(z));
        }
    }
}
