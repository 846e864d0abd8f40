//! Lines end to end become closed outlines.

use super::Path;
use caddis_geometry::{Contour, Vec2, Vertex};
use std::collections::{BTreeMap, BTreeSet};

/// Ends this near are one point: rounding of exporters, metres.
const SAME: f64 = 2e-6;
/// Ends this near are meant to meet; said, metres.
const MEANT: f64 = 1e-4;

/// What the lines make.
#[derive(Debug, Default)]
pub(super) struct Chained {
    pub(super) loops: Vec<Contour>,
    /// Lines that belong to no loop, chained as far as they go.
    pub(super) open: usize,
    /// Of those, the narrowest distance between the two ends of one, metres.
    pub(super) widest_gap: f64,
    /// Gaps closed, and the widest of them, metres.
    pub(super) gaps: usize,
    pub(super) widest_closed: f64,
    /// Lines that stood twice.
    pub(super) doubles: usize,
}

/// Chains lines, in metres.
pub(super) fn chained<'a>(paths: impl Iterator<Item = &'a Path>) -> Chained {
    let mut found = Chained {
        widest_gap: f64::INFINITY,
        ..Chained::default()
    };
    let mut seen = BTreeSet::new();
    let mut open: Vec<Vec<Vertex>> = Vec::new();
    for path in paths {
        let mut vertices = path.vertices.clone();
        if !seen.insert(key_of(&vertices, path.is_closed)) {
            found.doubles += 1;
            continue;
        }
        let meets = vertices.len() > 2 && ends_meet(&vertices, SAME);
        if path.is_closed || meets {
            if meets {
                vertices.pop();
            }
            found.add(vertices);
        } else if vertices.len() > 1 {
            open.push(vertices);
        }
    }
    for reach in [SAME, MEANT] {
        open = found.join(open, reach);
    }
    found.open = open.len();
    for chain in &open {
        if chain.len() > 2 {
            found.widest_gap = found.widest_gap.min(gap(chain));
        }
    }
    found
}

fn gap(chain: &[Vertex]) -> f64 {
    match chain {
        [first, .., last] => first.at.distance(last.at),
        _ => f64::INFINITY,
    }
}

fn ends_meet(chain: &[Vertex], reach: f64) -> bool {
    gap(chain) <= reach
}

/// One key for a line and the same line drawn the other way; nanometres.
fn key_of(vertices: &[Vertex], is_closed: bool) -> (bool, Vec<[i64; 3]>) {
    let grid = |v: &Vertex| [v.at.x * 1e7, v.at.y * 1e7, v.bulge * 1e6].map(|value| value.round() as i64);
    let forward: Vec<_> = vertices.iter().map(grid).collect();
    if is_closed {
        return (true, forward);
    }
    let backward: Vec<_> = reversed(vertices).iter().map(grid).collect();
    (false, forward.min(backward))
}

fn reversed(vertices: &[Vertex]) -> Vec<Vertex> {
    let n = vertices.len();
    (0..n)
        .map(|k| Vertex {
            at: vertices[n - 1 - k].at,
            bulge: if k + 2 > n {
                0.0
            } else {
                -vertices[n - 2 - k].bulge
            },
        })
        .collect()
}

impl Chained {
    fn add(&mut self, vertices: Vec<Vertex>) {
        let is_area = vertices.len() > 2 || vertices.iter().any(|v| v.bulge != 0.0);
        if vertices.len() > 1 && is_area {
            self.loops.push(Contour { vertices });
        } else {
            self.open += 1;
        }
    }

    /// Chains what meets within `reach`; gives what stays open.
    fn join(&mut self, mut paths: Vec<Vec<Vertex>>, reach: f64) -> Vec<Vec<Vertex>> {
        let cell = |p: Vec2| ((p.x / reach).floor() as i64, (p.y / reach).floor() as i64);
        let mut ends: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for (index, path) in paths.iter().enumerate() {
            for vertex in [path.first(), path.last()].into_iter().flatten() {
                ends.entry(cell(vertex.at)).or_default().push(index);
            }
        }
        let mut is_used = vec![false; paths.len()];
        let mut left = Vec::new();
        for start in 0..paths.len() {
            if is_used[start] {
                continue;
            }
            is_used[start] = true;
            let mut chain = std::mem::take(&mut paths[start]);
            let mut is_closed = chain.len() > 2 && ends_meet(&chain, reach);
            for _end in 0..2 {
                while !is_closed {
                    let Some(last) = chain.last().map(|v| v.at) else {
                        break;
                    };
                    let (x, y) = cell(last);
                    let near = (-1..=1)
                        .flat_map(|dx| (-1..=1).map(move |dy| (x.saturating_add(dx), y.saturating_add(dy))))
                        .filter_map(|place| ends.get(&place))
                        .flatten()
                        .filter(|&&other| !is_used[other])
                        .flat_map(|&other| {
                            let path = &paths[other];
                            let distance =
                                |v: Option<&Vertex>| v.map_or(f64::INFINITY, |v| v.at.distance(last));
                            [
                                (distance(path.first()), other, false),
                                (distance(path.last()), other, true),
                            ]
                        })
                        .filter(|(distance, ..)| *distance <= reach)
                        .min_by(|l, r| l.0.total_cmp(&r.0).then(l.1.cmp(&r.1)).then(l.2.cmp(&r.2)));
                    let Some((distance, other, is_backward)) = near else {
                        break;
                    };
                    is_used[other] = true;
                    let mut next = std::mem::take(&mut paths[other]);
                    if is_backward {
                        next = reversed(&next);
                    }
                    self.count_gap(distance);
                    // The joint is the end of what is there; the bulge of what follows.
                    if let (Some(joint), Some(first)) = (chain.last_mut(), next.first()) {
                        joint.bulge = first.bulge;
                    }
                    chain.extend(next.into_iter().skip(1));
                    is_closed = chain.len() > 2 && ends_meet(&chain, reach);
                }
                if is_closed {
                    break;
                }
                // Nothing follows its end: go on from its start.
                chain = reversed(&chain);
            }
            if is_closed {
                self.count_gap(gap(&chain));
                chain.pop();
                self.add(chain);
            } else {
                left.push(chain);
            }
        }
        left
    }

    fn count_gap(&mut self, gap: f64) {
        if gap > SAME {
            self.gaps += 1;
            self.widest_closed = self.widest_closed.max(gap);
        }
    }
}
