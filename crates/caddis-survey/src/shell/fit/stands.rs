//! What stands in: matter inside the walls, told apart in plan and fitted one by one.

use super::sample::{Sample, quantile};
use super::solve::{Fitted, Fitting, fit};
use super::walls::Walls;
use crate::shell::clear::largest_rectangle;
use crate::shell::rounded::Rounded;
use crate::shell::{Corner, Wall};
use caddis_geometry::{Contour, Region, Side, Vec2, Vec3, convex_hull};
use std::collections::BTreeMap;

/// Cells in which matter is told apart, metres.
const CELL: f64 = 4e-3;
/// Fewer samples are no intrusion.
const LEAST_SAMPLES: usize = 14;
/// An outline that comes so near to a wall is attached to it, metres.
const AT_WALL: f64 = 7e-3;
/// A smaller fillet cannot be told from a blunt edge, metres.
const LEAST_FILLET: f64 = 2e-3;
/// What reaches so near to the rim plane goes on to it, metres.
const AT_RIM: f64 = 6e-3;
/// How far an attached outline reaches on behind its wall, metres.
const BEHIND: f64 = 0.5;
/// A form explains its samples when this share of them lies on it.
const EXPLAINED: f64 = 0.9;
/// Sizes with a larger standard deviation say nothing, metres.
const UNSURE: f64 = 2e-3;
/// Less than this share of what stands together is not taken for something of its own.
const LEFT_OVER: f64 = 0.15;
/// Nor are fewer samples.
const LEAST_ODD: usize = 40;
/// The outline of what has no form may stand off it by this, metres.
const SIMPLER: f64 = 1e-3;

/// The plan of what stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Form {
    Circle {
        centre: Vec2,
        radius: f64,
    },
    Rectangle(Rounded),
    OnWall {
        wall: Wall,
        along: f64,
        width: f64,
        face: f64,
        radius: f64,
    },
    InCorner {
        corner: Corner,
        face: Vec2,
        radius: f64,
    },
}

/// One intrusion found.
#[derive(Debug, Clone)]
pub(super) struct Stand {
    pub(super) form: Form,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) taper: f64,
    pub(super) fillet: f64,
    /// It goes on to the rim.
    pub(super) is_to_rim: bool,
    /// The largest standard deviation of its sizes.
    pub(super) deviation: f64,
    /// Share of its samples that lie on it.
    pub(super) explained: f64,
}

/// Matter of no form that is looked for: a convex outline around it.
#[derive(Debug, Clone)]
pub(super) struct Odd {
    pub(super) corners: Vec<Vec2>,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Form {
    fn root(self) -> Rounded {
        match self {
            Self::Circle { centre, radius } => Rounded::new(centre, Vec2::new(radius, radius), radius),
            Self::Rectangle(rounded) => rounded,
            Self::OnWall {
                wall,
                along,
                width,
                face,
                radius,
            } => {
                let normal = wall.normal();
                let behind = face + BEHIND * (normal.x + normal.y);
                let (middle, half) = (f64::midpoint(face, behind), (behind - face).abs() / 2.0);
                let (centre, half) = if normal.x == 0.0 {
                    (Vec2::new(along, middle), Vec2::new(width / 2.0, half))
                } else {
                    (Vec2::new(middle, along), Vec2::new(half, width / 2.0))
                };
                Rounded::new(centre, half, radius)
            }
            Self::InCorner { corner, face, radius } => {
                let (across_x, across_y) = corner.walls();
                let behind = face + (across_x.normal() + across_y.normal()) * BEHIND;
                let half = (behind - face) / 2.0;
                Rounded::new(
                    (face + behind) / 2.0,
                    Vec2::new(half.x.abs(), half.y.abs()),
                    radius,
                )
            }
        }
    }

    fn numbers(self) -> Vec<f64> {
        match self {
            Self::Circle { centre, radius } => vec![centre.x, centre.y, radius],
            Self::Rectangle(r) => vec![r.centre.x, r.centre.y, r.half.x, r.half.y, r.radius],
            Self::OnWall {
                along,
                width,
                face,
                radius,
                ..
            } => vec![along, width, face, radius],
            Self::InCorner { face, radius, .. } => vec![face.x, face.y, radius],
        }
    }

    fn with(self, x: &[f64]) -> Self {
        match self {
            Self::Circle { .. } => Self::Circle {
                centre: Vec2::new(x[0], x[1]),
                radius: x[2].max(1e-4),
            },
            Self::Rectangle(_) => Self::Rectangle(Rounded::new(
                Vec2::new(x[0], x[1]),
                Vec2::new(x[2].max(1e-4), x[3].max(1e-4)),
                x[4],
            )),
            Self::OnWall { wall, .. } => Self::OnWall {
                wall,
                along: x[0],
                width: x[1].max(1e-4),
                face: x[2],
                radius: x[3],
            },
            Self::InCorner { corner, .. } => Self::InCorner {
                corner,
                face: Vec2::new(x[0], x[1]),
                radius: x[2],
            },
        }
    }
}

impl Stand {
    /// Its samples lie on it, and they say where it is.
    fn is_sound(&self) -> bool {
        self.explained >= EXPLAINED && self.deviation < UNSURE
    }

    /// How far a point stands outside of it (negative: inside).
    pub(super) fn outside(&self, p: Vec3) -> f64 {
        outside(
            &self.form.root(),
            [self.taper, self.to, self.fillet],
            self.from,
            p,
        )
    }

    /// Its box in plan, cut at the walls.
    pub(super) fn bounds(&self, walls: &Walls) -> (Vec2, Vec2) {
        let (root, rim) = (self.form.root(), walls.at(self.from));
        (
            (root.centre - root.half).max(rim.centre - rim.half),
            (root.centre + root.half).min(rim.centre + rim.half),
        )
    }
}

fn outside(root: &Rounded, [taper, to, fillet]: [f64; 3], from: f64, p: Vec3) -> f64 {
    let up = (p.z - from).max(0.0);
    let foot = if up < fillet {
        let left = fillet - up;
        fillet - (fillet * fillet - left * left).max(0.0).sqrt()
    } else {
        0.0
    };
    let side = root.signed_distance(p.plan()) + taper * up - foot;
    let ends = if from > 0.0 {
        (from - p.z).max(p.z - to)
    } else {
        p.z - to
    };
    side.max(ends)
}

/// Finds every intrusion among samples that stand inside the walls by more than `beyond`: those that a form explains, and
/// outlines around what none does.
pub(super) fn stands(inside: &[Sample], walls: &Walls, depth: f64, beyond: f64) -> (Vec<Stand>, Vec<Odd>) {
    let mut found = Vec::new();
    let mut odd = Vec::new();
    for group in groups(inside) {
        if group.len() < LEAST_SAMPLES || is_noise(&group, walls, beyond) {
            continue;
        }
        let whole = best(&group, walls, depth, beyond);
        if let Some(stand) = whole.filter(Stand::is_sound) {
            found.push(stand);
            continue;
        }
        let all = group.len();
        // Several that touch: the largest rectangle of the mask first, then what it leaves.
        let mut rest = group;
        let mut parts = Vec::new();
        for _ in 0..8 {
            let Some((low, high)) = rectangle_of(&rest) else {
                break;
            };
            let margin = Vec2::new(CELL, CELL) * 1.5;
            let own: Vec<Sample> = rest
                .iter()
                .filter(|s| {
                    let p = s.at.plan();
                    p.x >= low.x - margin.x
                        && p.y >= low.y - margin.y
                        && p.x <= high.x + margin.x
                        && p.y <= high.y + margin.y
                })
                .copied()
                .collect();
            if own.len() < LEAST_SAMPLES || is_noise(&own, walls, beyond) {
                break;
            }
            let Some(stand) = best(&own, walls, depth, beyond).filter(Stand::is_sound) else {
                break;
            };
            let before = rest.len();
            // What lies on it or inside it is its own.
            rest.retain(|s| stand.outside(s.at) > beyond);
            if before - rest.len() < LEAST_SAMPLES {
                break;
            }
            parts.push(stand);
            if rest.len() < LEAST_SAMPLES {
                break;
            }
        }
        found.extend(parts);
        // Blunt edges of what was found are left over too.
        if (rest.len() as f64) < LEFT_OVER * all as f64 {
            continue;
        }
        odd.extend(
            groups(&rest)
                .into_iter()
                .filter(|group| group.len() >= LEAST_ODD && !is_noise(group, walls, beyond))
                .filter_map(|group| Odd::around(&group, depth, beyond)),
        );
    }
    (found, odd)
}

/// Noise of a wall lies on top of itself in plan, and stands in by little more than what counts.
fn is_noise(samples: &[Sample], walls: &Walls, beyond: f64) -> bool {
    let mut reach: Vec<f64> = samples.iter().map(|s| walls.inside(s.at)).collect();
    quantile(&mut reach, 0.9) < 1.5 * beyond
}

/// Where what the samples lie on begins (zero unless it has an underside with room below it) and ends.
fn heights(samples: &[Sample], depth: f64, beyond: f64) -> (f64, f64) {
    let mut values: Vec<f64> = samples.iter().map(|s| s.at.z).collect();
    let (low, high) = (quantile(&mut values, 0.004), quantile(&mut values, 0.996));
    let mut under: Vec<f64> = samples
        .iter()
        .filter(|s| s.normal.z.abs() > 0.8 && s.at.z < f64::midpoint(low, high))
        .map(|s| s.at.z)
        .collect();
    let from = if low > 3.0 * beyond && under.len() * 25 > samples.len() {
        quantile(&mut under, 0.5)
    } else {
        0.0
    };
    (from, if high > depth - AT_RIM { depth } else { high })
}

impl Odd {
    fn around(samples: &[Sample], depth: f64, beyond: f64) -> Option<Self> {
        let (from, to) = heights(samples, depth, beyond);
        let hull = convex_hull(samples.iter().map(|s| s.at.plan()).collect());
        if hull.len() < 3 || to <= from {
            return None;
        }
        let outline = Region::from_contours(&[Contour::polygon(hull)]).simplified(SIMPLER, Side::Outer);
        let corners = outline
            .shapes
            .first()?
            .outer
            .vertices
            .iter()
            .map(|v| v.at)
            .collect();
        Some(Self { corners, from, to })
    }
}

/// The form that explains the samples best.
fn best(samples: &[Sample], walls: &Walls, depth: f64, beyond: f64) -> Option<Stand> {
    let span = |along: fn(&Sample) -> f64| {
        let mut values: Vec<f64> = samples.iter().map(along).collect();
        (quantile(&mut values, 0.004), quantile(&mut values, 0.996))
    };
    let (x, y, z) = (span(|s| s.at.x), span(|s| s.at.y), span(|s| s.at.z));
    let (low, high) = (Vec2::new(x.0, y.0), Vec2::new(x.1, y.1));
    let middle = (low + high) / 2.0;
    let half = (high - low) / 2.0;
    if !(half.x > 0.0 && half.y > 0.0) {
        return None;
    }
    let (from, to) = heights(samples, depth, beyond);
    let is_to_rim = z.1 > depth - AT_RIM;
    let at = walls.at(from.max(z.0));
    let touches = [
        low.x - (at.centre.x - at.half.x) < AT_WALL + beyond,
        (at.centre.x + at.half.x) - high.x < AT_WALL + beyond,
        low.y - (at.centre.y - at.half.y) < AT_WALL + beyond,
        (at.centre.y + at.half.y) - high.y < AT_WALL + beyond,
    ];
    let round = half.x.min(half.y);
    let mut forms = vec![Form::Circle {
        centre: middle,
        radius: f64::midpoint(half.x, half.y),
    }];
    let touched: Vec<Wall> = Wall::ALL
        .into_iter()
        .zip(touches)
        .filter_map(|(wall, touches)| touches.then_some(wall))
        .collect();
    match touched.as_slice() {
        [] => forms.push(Form::Rectangle(Rounded::new(middle, half, round * 0.3))),
        [wall] => forms.push(on_wall(*wall, low, high, round * 0.3)),
        [_, _] => {
            if let Some(corner) = Corner::ALL.into_iter().find(|corner| {
                let (a, b) = corner.walls();
                touched.contains(&a) && touched.contains(&b)
            }) {
                let (a, b) = corner.walls();
                forms.push(Form::InCorner {
                    corner,
                    face: Vec2::new(
                        if a == Wall::Left { high.x } else { low.x },
                        if b == Wall::Front { high.y } else { low.y },
                    ),
                    radius: round * 0.3,
                });
            } else {
                // From wall to wall: a rib across.
                forms.push(Form::Rectangle(Rounded::new(middle, half, 0.0)));
            }
        }
        _ => forms.push(Form::Rectangle(Rounded::new(middle, half, 0.0))),
    }
    let mut best: Option<(f64, Stand)> = None;
    for form in forms {
        let (stand, cost) = fitted(form, samples, from, to, is_to_rim, beyond);
        // A circle has fewer numbers: it stays unless another is clearly better.
        if best.as_ref().is_none_or(|(least, _)| cost < least * 0.9) {
            best = Some((cost, stand));
        }
    }
    best.map(|(_, stand)| stand)
}

fn on_wall(wall: Wall, low: Vec2, high: Vec2, radius: f64) -> Form {
    let (face, a, b) = match wall {
        Wall::Left => (high.x, low.y, high.y),
        Wall::Right => (low.x, low.y, high.y),
        Wall::Front => (high.y, low.x, high.x),
        Wall::Back => (low.y, low.x, high.x),
    };
    Form::OnWall {
        wall,
        along: f64::midpoint(a, b),
        width: b - a,
        face,
        radius,
    }
}

/// Fits one form; also gives the mean of its residuals, held to `beyond` each.
fn fitted(form: Form, samples: &[Sample], from: f64, to: f64, is_to_rim: bool, beyond: f64) -> (Stand, f64) {
    let count = form.numbers().len();
    let mut start = form.numbers();
    start.extend([0.03, to, 1e-3]);
    let steps = vec![1e-5; count]
        .into_iter()
        .chain([1e-4, 1e-5, 1e-4])
        .collect::<Vec<_>>();
    let mut least = vec![f64::NEG_INFINITY; count + 3];
    least[count - 1] = 0.0;
    (least[count], least[count + 2]) = (0.0, 0.0);
    // The underside says nothing about the sides.
    let used: Vec<Sample> = samples
        .iter()
        .filter(|s| from <= 0.0 || s.at.z > from + beyond)
        .copied()
        .collect();
    let step = (used.len() / 4000).max(1);
    let used: Vec<Sample> = used.into_iter().step_by(step).collect();
    let fitting = Fitting {
        steps: &steps,
        least: &least,
        scales: &[8e-3, 4e-3, 2e-3, 1.5e-3],
        least_spread: 2e-5,
    };
    let Fitted {
        unknowns, deviations, ..
    } = fit(
        &start,
        &used,
        &fitting,
        |x| (form.with(x).root(), [x[count], x[count + 1], x[count + 2]]),
        |(root, numbers), s| outside(root, *numbers, from, s.at),
    );
    let stand = Stand {
        form: form.with(&unknowns),
        from,
        to: if is_to_rim { to } else { unknowns[count + 1] },
        taper: unknowns[count].min(1.0),
        fillet: if unknowns[count + 2] < LEAST_FILLET {
            0.0
        } else {
            unknowns[count + 2]
        },
        is_to_rim,
        deviation: deviations[..count - 1].iter().copied().fold(0.0, f64::max),
        explained: 0.0,
    };
    let off: Vec<f64> = samples.iter().map(|s| stand.outside(s.at).abs()).collect();
    let explained = off.iter().filter(|off| **off <= beyond).count() as f64 / off.len() as f64;
    let cost = off.iter().map(|off| off.min(2.0 * beyond)).sum::<f64>() / off.len() as f64;
    (Stand { explained, ..stand }, cost)
}

/// Samples in groups whose cells touch in plan, the largest first.
fn groups(samples: &[Sample]) -> Vec<Vec<Sample>> {
    let mut cells: BTreeMap<(i64, i64), Vec<Sample>> = BTreeMap::new();
    for sample in samples {
        cells.entry(cell_of(sample.at.plan())).or_default().push(*sample);
    }
    let mut groups = Vec::new();
    while let Some((&first, _)) = cells.first_key_value() {
        let mut group = Vec::new();
        let mut open = vec![first];
        while let Some((x, y)) = open.pop() {
            let Some(own) = cells.remove(&(x, y)) else {
                continue;
            };
            group.extend(own);
            for dx in -1..=1 {
                for dy in -1..=1 {
                    if cells.contains_key(&(x + dx, y + dy)) {
                        open.push((x + dx, y + dy));
                    }
                }
            }
        }
        groups.push(group);
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group.len()));
    groups
}

fn cell_of(p: Vec2) -> (i64, i64) {
    ((p.x / CELL).floor() as i64, (p.y / CELL).floor() as i64)
}

/// The largest rectangle of the cells that hold samples, gaps of one cell closed.
fn rectangle_of(samples: &[Sample]) -> Option<(Vec2, Vec2)> {
    let cells: Vec<(i64, i64)> = samples.iter().map(|s| cell_of(s.at.plan())).collect();
    let x0 = cells.iter().map(|c| c.0).min()? - 2;
    let y0 = cells.iter().map(|c| c.1).min()? - 2;
    let columns = usize::try_from(cells.iter().map(|c| c.0).max()? - x0 + 3).ok()?;
    let rows = usize::try_from(cells.iter().map(|c| c.1).max()? - y0 + 3).ok()?;
    if columns.saturating_mul(rows) > 4_000_000 {
        return None;
    }
    let mut is_in = vec![false; columns * rows];
    for (x, y) in cells {
        is_in[(y - y0) as usize * columns + (x - x0) as usize] = true;
    }
    let near = |mask: &[bool], wanted: bool| -> Vec<bool> {
        (0..mask.len())
            .map(|k| {
                let (x, y) = (k % columns, k / columns);
                let any = (x.saturating_sub(1)..=(x + 1).min(columns - 1)).any(|i| {
                    (y.saturating_sub(1)..=(y + 1).min(rows - 1)).any(|j| mask[j * columns + i] == wanted)
                });
                if any { wanted } else { mask[k] }
            })
            .collect()
    };
    let closed = near(&near(&is_in, true), false);
    let (low, high) = largest_rectangle(&closed, columns)?;
    let at = |(x, y): (usize, usize), more: f64| {
        Vec2::new(
            (x as f64 + x0 as f64 + more) * CELL,
            (y as f64 + y0 as f64 + more) * CELL,
        )
    };
    Some((at(low, 0.0), at(high, 1.0)))
}
