//! The outlines of many regions as one plan: stretches of line and arc that meet at their ends only.

use crate::plane::Edge;
use crate::{Bounds2, Region, Vec2};
use std::collections::BTreeMap;

/// Points nearer than this, metres, are one: far below what foam is cut to, far above the nanometres of a boolean's grid.
pub(super) const NEAR: f64 = 1e-6;
/// Rounds of cutting after which outlines that still cross are given up.
const ROUNDS: usize = 8;

/// A line or arc between two points of a plan.
#[derive(Debug, Clone)]
pub(super) struct Stretch {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) bulge: f64,
    /// Regions it bounds, each with how often more it lies to the left than to the right: an outline that runs to and fro in one
    /// place bounds nothing there, one that does so and goes on bounds once.
    pub(super) owners: Vec<(u32, i32)>,
}

/// The plan of some regions.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) points: Vec<Vec2>,
    pub(super) stretches: Vec<Stretch>,
}

/// Points, those that are near each other taken as one.
#[derive(Debug, Default)]
struct Points {
    all: Vec<Vec2>,
    cells: BTreeMap<(i64, i64), Vec<u32>>,
}

impl Points {
    fn near(&mut self, p: Vec2) -> u32 {
        let cell = |v: f64| (v / (4.0 * NEAR)).floor() as i64;
        let (x, y) = (cell(p.x), cell(p.y));
        let mut best: Option<(f64, u32)> = None;
        for key in (x - 1..=x + 1).flat_map(|i| (y - 1..=y + 1).map(move |j| (i, j))) {
            for &index in self.cells.get(&key).into_iter().flatten() {
                let distance = self.all[index as usize].distance(p);
                if distance < NEAR && best.is_none_or(|(least, _)| distance < least) {
                    best = Some((distance, index));
                }
            }
        }
        best.map_or_else(
            || {
                let index = self.all.len() as u32;
                self.all.push(p);
                self.cells.entry((x, y)).or_default().push(index);
                index
            },
            |(_, index)| index,
        )
    }
}

impl Plan {
    /// The plan of the regions' outlines; `None` where cutting them at each other does not come to an end.
    pub(super) fn of(regions: &[&Region]) -> Option<Self> {
        let mut points = Points::default();
        let mut stretches = Vec::new();
        for (owner, region) in (0..).zip(regions) {
            for contour in region.contours() {
                let n = contour.vertices.len();
                for (i, vertex) in contour.vertices.iter().enumerate() {
                    stretches.push(Stretch {
                        from: points.near(vertex.at),
                        to: points.near(contour.vertices[(i + 1) % n].at),
                        bulge: vertex.bulge,
                        owners: vec![(owner, 1)],
                    });
                }
            }
        }
        for _ in 0..ROUNDS {
            stretches = merged(stretches, &points.all);
            let cuts = cuts(&stretches, &mut points);
            if cuts.iter().all(Vec::is_empty) {
                return Some(Self {
                    points: points.all,
                    stretches,
                });
            }
            stretches = stretches
                .iter()
                .zip(cuts)
                .flat_map(|(stretch, cuts)| divided(stretch, cuts))
                .collect();
        }
        None
    }

    pub(super) fn edge(&self, stretch: &Stretch) -> Edge {
        edge(stretch, &self.points)
    }
}

fn edge(stretch: &Stretch, points: &[Vec2]) -> Edge {
    Edge::new(
        points[stretch.from as usize],
        points[stretch.to as usize],
        stretch.bulge,
    )
}

/// Stretches that run alike as one, with the owners of all; those without length are dropped.
fn merged(stretches: Vec<Stretch>, points: &[Vec2]) -> Vec<Stretch> {
    let mut between: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
    let mut kept: Vec<(Vec2, Stretch)> = Vec::new();
    for stretch in stretches {
        if stretch.from == stretch.to {
            continue;
        }
        let middle = edge(&stretch, points).at(0.5);
        let ends = (stretch.from.min(stretch.to), stretch.from.max(stretch.to));
        let alike = between.entry(ends).or_default();
        if let Some(&same) = alike
            .iter()
            .find(|&&other| kept[other].0.distance(middle) < 2.0 * NEAR)
        {
            let same = &mut kept[same].1;
            let is_along = same.from == stretch.from;
            for (owner, times) in stretch.owners {
                let times = if is_along { times } else { -times };
                match same.owners.iter_mut().find(|(known, _)| *known == owner) {
                    Some((_, sum)) => *sum += times,
                    None => same.owners.push((owner, times)),
                }
            }
        } else {
            alike.push(kept.len());
            kept.push((middle, stretch));
        }
    }
    kept.into_iter().map(|(_, stretch)| stretch).collect()
}

/// Where each stretch is to be cut: how far along, and the point.
fn cuts(stretches: &[Stretch], points: &mut Points) -> Vec<Vec<(f64, u32)>> {
    let edges: Vec<(Bounds2, Edge)> = stretches
        .iter()
        .map(|stretch| {
            let edge = edge(stretch, &points.all);
            (edge.bounds().grown(NEAR), edge)
        })
        .collect();
    let mut order: Vec<usize> = (0..edges.len()).collect();
    order.sort_by(|&l, &r| edges[l].0.min.x.total_cmp(&edges[r].0.min.x));
    let mut cuts: Vec<Vec<(f64, u32)>> = vec![Vec::new(); stretches.len()];
    let mut active: Vec<usize> = Vec::new();
    for i in order {
        active.retain(|&j| edges[j].0.max.x >= edges[i].0.min.x);
        for &j in &active {
            if edges[i].0.meets(&edges[j].0) {
                cut_pair((i, j), stretches, &edges, points, &mut cuts);
            }
        }
        active.push(i);
    }
    cuts
}

fn cut_pair(
    (i, j): (usize, usize),
    stretches: &[Stretch],
    edges: &[(Bounds2, Edge)],
    points: &mut Points,
    cuts: &mut [Vec<(f64, u32)>],
) {
    let mut cut = |k: usize, point: u32, at: Vec2| {
        let (stretch, edge) = (&stretches[k], &edges[k].1);
        if point == stretch.from || point == stretch.to {
            return;
        }
        let along = edge.parameter(at);
        if along > 0.0 && along < 1.0 {
            cuts[k].push((along, point));
        }
    };
    let mut touching = 0;
    for (one, other) in [(i, j), (j, i)] {
        for point in [stretches[other].from, stretches[other].to] {
            let at = points.all[point as usize];
            if edges[one].1.distance_to(at) < NEAR {
                touching += 1;
                cut(one, point, at);
            }
        }
    }
    // Stretches that run along each other are cut at their ends alone.
    if touching > 2 || runs_alike(&edges[i].1, &edges[j].1) {
        return;
    }
    for at in edges[i].1.meetings(&edges[j].1) {
        let point = points.near(at);
        cut(i, point, at);
        cut(j, point, at);
    }
}

/// Two arcs of one circle.
fn runs_alike(one: &Edge, other: &Edge) -> bool {
    match (one, other) {
        (Edge::Arc(one), Edge::Arc(other)) => {
            one.centre.distance(other.centre) + (one.radius - other.radius).abs() < 2.0 * NEAR
        }
        _ => false,
    }
}

/// The parts of a stretch between its cuts.
///
/// # Source
/// Bulge b = tan(sweep / 4), so a share t of the arc has tan(t atan b). Derived.
fn divided(stretch: &Stretch, mut cuts: Vec<(f64, u32)>) -> Vec<Stretch> {
    cuts.sort_by(|l, r| l.0.total_cmp(&r.0).then(l.1.cmp(&r.1)));
    cuts.dedup_by_key(|cut| cut.1);
    let mut from = (0.0, stretch.from);
    cuts.into_iter()
        .chain([(1.0, stretch.to)])
        .map(|to| {
            let bulge = if stretch.bulge == 0.0 {
                0.0
            } else {
                (stretch.bulge.atan() * (to.0 - from.0)).tan()
            };
            let part = Stretch {
                from: from.1,
                to: to.1,
                bulge,
                owners: stretch.owners.clone(),
            };
            from = to;
            part
        })
        .collect()
}
