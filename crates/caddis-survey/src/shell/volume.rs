//! Usable volume, and where the nominal box loses it.

use super::profile::{Body, Profile, Root, Rounded};
use super::section::free;
use super::{HalfSide, Shell};
use caddis_basis::{Said, Volume, said};
use caddis_geometry::{Contour, Region, Shape, Vec2};
use std::f64::consts::FRAC_PI_2;

/// Chords per corner when an intrusion is cut by a wall or by another: equal-area, so that only the cut itself is rounded.
const STEPS: u32 = 32;
/// Above this many overlapping intrusions the plane's booleans take over from inclusion and exclusion.
const EXCLUSIONS: usize = 6;
/// Six-point Gauss-Legendre nodes and weights on [-1, 1].
///
/// # Source
/// Abramowitz and Stegun, Handbook of Mathematical Functions, table 25.4 (from memory; the tests check that degree 11
/// integrates exactly).
const GAUSS: [(f64, f64); 6] = [
    (-0.932_469_514_203_152, 0.171_324_492_379_170_3),
    (-0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (-0.238_619_186_083_196_9, 0.467_913_934_572_691),
    (0.238_619_186_083_196_9, 0.467_913_934_572_691),
    (0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (0.932_469_514_203_152, 0.171_324_492_379_170_3),
];

impl Shell {
    /// Usable volume of one half: the integral of the sections.
    ///
    /// # Accuracy
    /// One part in a million for walls, fillet and intrusions that stand free; about one part in a hundred thousand of an
    /// intrusion that ends in the wall.
    ///
    /// # Source
    /// Volume by sections; Gauss-Legendre quadrature between the heights where the section changes its law; derived.
    pub fn usable_volume(&self, side: HalfSide) -> Volume {
        let steps = half_steps(&Profile::nominal(self.half(side)));
        Volume::from_si(steps.last().map_or(0.0, |step| step.1))
    }

    /// Where the nominal box loses its volume: (cause, volume lost), summing to nominal minus usable of both halves.
    ///
    /// The nominal box is the stated one, else the rim openings times the depths. A negative loss is a gain (the measured
    /// openings may be larger than the nominal box).
    pub fn volume_ledger(&self) -> Vec<(Said, Volume)> {
        let mut ledger = Vec::new();
        let halves = [&self.base, &self.lid].map(|half| (half, half_steps(&Profile::nominal(half))));
        if let Some([length, width, height]) = self.nominal_inside {
            let opened: f64 = halves.iter().map(|(_, steps)| steps[0].1).sum();
            ledger.push((
                said!("nominal box against measured openings"),
                length * width * height - Volume::from_si(opened),
            ));
        }
        for (half, steps) in &halves {
            let name = half.side.said();
            for pair in steps.windows(2) {
                let cause = match pair[1].0 {
                    Cause::Opening => continue,
                    Cause::Draft => said!("{half} draft", half = name),
                    Cause::CornerRadii => said!("{half} corner radii", half = name),
                    Cause::Steps => said!("{half} steps and dome", half = name),
                    Cause::Fillet if half.side == HalfSide::Base => said!("base floor fillet"),
                    Cause::Fillet => said!("lid crown fillet"),
                    Cause::Intrusion(index) => Said::name(&half.intrusions[index].name),
                    Cause::Traced => said!("{half} traced sections", half = name),
                };
                ledger.push((cause, Volume::from_si(pair[0].1 - pair[1].1)));
            }
        }
        ledger
    }

    /// Volume of the nominal box: as stated, else the rim openings times the depths.
    pub fn nominal_volume(&self) -> Volume {
        self.nominal_inside.map_or_else(
            || {
                [&self.base, &self.lid]
                    .map(|half| half.rim.length.value * half.rim.width.value * half.depth.value)
                    .into_iter()
                    .sum()
            },
            |[length, width, height]| length * width * height,
        )
    }
}

/// Why the volume falls from one step to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Cause {
    Opening,
    Draft,
    Steps,
    CornerRadii,
    Fillet,
    Intrusion(usize),
    /// What traced sections take of the room that all before them leaves.
    Traced,
}

/// The volume left after each cause in turn; the first is the rim opening times the depth, the last the usable volume.
fn half_steps(profile: &Profile) -> Vec<(Cause, f64)> {
    let depth = profile.depth;
    let opening = 4.0 * profile.rim.half.x * profile.rim.half.y * depth;
    let straight = |h: f64| {
        let t = (h - profile.spring) / (depth - profile.spring);
        profile.floor.lerp(&profile.rim, t.clamp(0.0, 1.0))
    };
    let drafted = integral(&[0.0, profile.spring, depth], 0.0, &|h| {
        let walls = straight(h);
        4.0 * walls.half.x * walls.half.y
    });
    let mut breaks = profile.breaks();
    let rectangles = integral(&breaks, 0.0, &|h| {
        let walls = profile.walls_at(h);
        4.0 * walls.half.x * walls.half.y
    });
    let rounded = integral(&breaks, 0.0, &|h| profile.walls_at(h).area());
    breaks.push(profile.fillet);
    breaks.extend(radius_meets_inset(profile));
    let filleted = integral(&breaks, profile.fillet, &|h| {
        profile.free_at(h).map_or(0.0, |walls| walls.area())
    });
    let mut steps = vec![(Cause::Opening, opening), (Cause::Draft, drafted)];
    if profile.stations.len() > 2 {
        steps.push((Cause::Steps, rectangles));
    }
    // Without steps the two integrals are of the same sections.
    steps.push((Cause::CornerRadii, rounded));
    steps.push((Cause::Fillet, filleted));
    let mut left = filleted;
    for (k, body) in profile.bodies.iter().enumerate() {
        left -= taken_by(profile, body, &profile.bodies[..k]);
        steps.push((Cause::Intrusion(body.index), left));
    }
    if !profile.traces.is_empty() {
        steps.push((Cause::Traced, traced_volume(profile)));
    }
    steps
}

/// The integral of the sections themselves, by the plane's booleans.
fn traced_volume(profile: &Profile) -> f64 {
    let mut breaks = profile.breaks();
    breaks.push(profile.fillet);
    for body in &profile.bodies {
        let (from, to) = body.reach();
        breaks.extend([from, to, body.fillet_top()].map(|h| h.clamp(0.0, profile.depth)));
    }
    integral(&breaks, profile.fillet, &|h| free(profile, h, h).area())
}

/// Heights below the fillet's top where the corner radius equals the inset: there the corner turns sharp.
fn radius_meets_inset(profile: &Profile) -> Option<f64> {
    let sharp = |h: f64| profile.walls_at(h).radius < profile.fillet_inset(h);
    let (mut low, mut high) = (0.0, profile.fillet);
    if profile.fillet <= 0.0 || !sharp(low) || sharp(high) {
        return None;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if sharp(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

/// Room that a body takes between the walls and that no earlier body has taken.
fn taken_by(profile: &Profile, body: &Body, earlier: &[Body]) -> f64 {
    let (from, to) = body.reach();
    let (from, to) = (from.max(0.0), to.min(profile.depth));
    if to <= from {
        return 0.0;
    }
    let widest = body.widest();
    let near: Vec<&Body> = earlier
        .iter()
        .filter(|other| other.widest().overlaps_box_of(&widest))
        .collect();
    let mut breaks = profile.breaks();
    breaks.extend([from, to, profile.fillet, body.fillet_top()]);
    for other in &near {
        let (start, end) = other.reach();
        breaks.extend([start, end, other.fillet_top()]);
    }
    for height in &mut breaks {
        *height = height.clamp(from, to);
    }
    // Where the outline comes clear of a wall is not known beforehand: short pieces keep that kink's weight small.
    let pieces = ((to - from) / 0.01).ceil().clamp(1.0, 64.0) as u32;
    breaks.extend((1..pieces).map(|k| from + (to - from) * f64::from(k) / f64::from(pieces)));
    integral(&breaks, profile.fillet, &|h| {
        let (Some(outline), Some(walls)) = (body.outline_at(h), profile.free_at(h)) else {
            return 0.0;
        };
        let others: Vec<Root> = near
            .iter()
            .filter(|other| h >= other.from && h < other.to)
            .filter_map(|other| other.outline_at(h))
            .filter(|other| other.overlaps_box_of(&outline))
            .collect();
        let convex: Option<Vec<Rounded>> = others.iter().map(as_rounded).collect();
        let (Some(outline), Some(others)) = (as_rounded(&outline), convex) else {
            // Any other outline: the plane's booleans.
            let mut region = outline.region().intersection(&walls.region());
            if !others.is_empty() {
                let others: Vec<Region> = others.iter().map(Root::region).collect();
                region = region.difference(&Region::union_all(&others));
            }
            return region.area();
        };
        if others.is_empty() && walls.holds(&outline) {
            return outline.area();
        }
        let cut = clipped(&outline.polygon(STEPS), &walls.polygon(STEPS));
        let others: Vec<Vec<Vec2>> = others.iter().map(|other| other.polygon(STEPS)).collect();
        area_without(&cut, &others)
    })
}

fn as_rounded(root: &Root) -> Option<Rounded> {
    match root {
        Root::Rounded(rounded) => Some(*rounded),
        Root::Free(_) => None,
    }
}

/// Area of a convex polygon outside some convex others.
fn area_without(polygon: &[Vec2], others: &[Vec<Vec2>]) -> f64 {
    if others.len() > EXCLUSIONS {
        let region = |points: &[Vec2]| Region {
            shapes: vec![Shape {
                outer: Contour::polygon(points.iter().copied()),
                holes: Vec::new(),
            }],
        };
        let regions: Vec<Region> = others.iter().map(|other| region(other)).collect();
        return if polygon.len() < 3 {
            0.0
        } else {
            region(polygon).difference(&Region::union_all(&regions)).area()
        };
    }
    let mut area = polygon_area(polygon);
    for (k, other) in others.iter().enumerate() {
        let common = clipped(polygon, other);
        if common.len() >= 3 {
            area -= area_without(&common, &others[k + 1..]);
        }
    }
    area.max(0.0)
}

fn polygon_area(points: &[Vec2]) -> f64 {
    let Some(&origin) = points.first() else { return 0.0 };
    points
        .windows(2)
        .map(|pair| (pair[0] - origin).cross(pair[1] - origin))
        .sum::<f64>()
        / 2.0
}

/// What two convex counter-clockwise polygons have in common.
///
/// # Source
/// Sutherland and Hodgman, Reentrant polygon clipping, Communications of the ACM 17 (1974) (from memory).
fn clipped(polygon: &[Vec2], by: &[Vec2]) -> Vec<Vec2> {
    let mut points = polygon.to_vec();
    for (k, &a) in by.iter().enumerate() {
        let b = by[(k + 1) % by.len()];
        let side = |p: Vec2| (b - a).cross(p - a);
        if a == b || points.is_empty() {
            continue;
        }
        let mut kept = Vec::with_capacity(points.len() + 1);
        for (i, &p) in points.iter().enumerate() {
            let q = points[(i + 1) % points.len()];
            let (sp, sq) = (side(p), side(q));
            if sp >= 0.0 {
                kept.push(p);
            }
            if (sp > 0.0 && sq < 0.0) || (sp < 0.0 && sq > 0.0) {
                kept.push(p.lerp(q, sp / (sp - sq)));
            }
        }
        points = kept;
    }
    if by.len() < 3 { Vec::new() } else { points }
}

/// Integral over the pieces between the breaks. Below the fillet's radius r the variable is the angle of its arc,
/// h = r (1 - cos a), in which sections are smooth down to the floor.
fn integral(breaks: &[f64], fillet: f64, area: &dyn Fn(f64) -> f64) -> f64 {
    let mut breaks = breaks.to_vec();
    breaks.sort_by(f64::total_cmp);
    breaks.dedup();
    let mut total = 0.0;
    for pair in breaks.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        if high <= fillet {
            let angle = |h: f64| (1.0 - h / fillet).clamp(-1.0, 1.0).acos();
            let (start, end) = (angle(low), angle(high).min(FRAC_PI_2));
            // Two halves: six points then follow the arc to rounding.
            for (a, b) in [
                (start, f64::midpoint(start, end)),
                (f64::midpoint(start, end), end),
            ] {
                for (node, weight) in GAUSS {
                    let a = f64::midpoint(a, b) + (b - a) / 2.0 * node;
                    total += weight * area(fillet * (1.0 - a.cos())) * fillet * a.sin() * (end - start) / 4.0;
                }
            }
        } else {
            for (node, weight) in GAUSS {
                let h = f64::midpoint(low, high) + (high - low) / 2.0 * node;
                total += weight * area(h) * (high - low) / 2.0;
            }
        }
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_points_integrate_degree_eleven() {
        for degree in 0..=11 {
            let got = integral(&[0.0, 1.0], 0.0, &|h| h.powi(degree));
            assert!(
                (got - 1.0 / f64::from(degree + 1)).abs() < 1e-14,
                "{degree}: {got}"
            );
        }
    }

    #[test]
    fn a_polygon_keeps_its_area() {
        let shape = Rounded::new(Vec2::new(0.1, -0.2), Vec2::new(0.3, 0.2), 0.05);
        assert!((polygon_area(&shape.polygon(STEPS)) - shape.area()).abs() < 1e-15);
    }

    #[test]
    fn clipping_two_squares_leaves_their_overlap() {
        let a = Rounded::new(Vec2::ZERO, Vec2::new(1.0, 1.0), 0.0);
        let b = Rounded::new(Vec2::new(1.5, 0.5), Vec2::new(1.0, 1.0), 0.0);
        let common = clipped(&a.polygon(1), &b.polygon(1));
        assert!((polygon_area(&common) - 0.5 * 1.5).abs() < 1e-15);
        let left = area_without(&a.polygon(1), &[b.polygon(1), b.polygon(1)]);
        assert!(
            (left - 3.25).abs() < 1e-15,
            "the same obstacle twice counts once: {left}"
        );
    }
}
