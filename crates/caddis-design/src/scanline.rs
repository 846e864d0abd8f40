//! Regions cut by lines parallel to the axes: exact intervals for the patches of a packed item.

use caddis_geometry::{Bounds2, Region, Side, Vec2, Vec3};

/// Which way a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Axis {
    /// Along x, at a fixed y.
    X,
    /// Along y, at a fixed x.
    Y,
}

impl Axis {
    /// The unit direction.
    pub(crate) fn direction(self) -> Vec3 {
        match self {
            Self::X => Vec3::new(1.0, 0.0, 0.0),
            Self::Y => Vec3::new(0.0, 1.0, 0.0),
        }
    }

    /// The point so far along the axis, across it in plan, and high.
    pub(crate) fn point(self, along: f64, across: f64, z: f64) -> Vec3 {
        match self {
            Self::X => Vec3::new(along, across, z),
            Self::Y => Vec3::new(across, along, z),
        }
    }
}

/// A region as straight edges (arcs followed within 0.01 mm), ready to be cut by lines.
#[derive(Debug, Clone)]
pub(crate) struct Flat {
    bounds: Option<Bounds2>,
    edges: Vec<(Vec2, Vec2)>,
}

impl Flat {
    /// Chord error of arcs, metres: a four-hundredth of the patch spacing, so that thicknesses are exact for this purpose.
    const CHORD: f64 = 1e-5;

    pub(crate) fn new(region: &Region) -> Self {
        let mut edges = Vec::new();
        for shape in &region.shapes {
            for contour in std::iter::once(&shape.outer).chain(&shape.holes) {
                let points = contour.flattened(Self::CHORD, Side::Inner);
                for (i, &from) in points.iter().enumerate() {
                    edges.push((from, points[(i + 1) % points.len()]));
                }
            }
        }
        Self {
            bounds: region.bounds(),
            edges,
        }
    }

    /// The box; `None` when empty.
    pub(crate) fn bounds(&self) -> Option<Bounds2> {
        self.bounds
    }

    /// Whether the point is inside (even-odd).
    pub(crate) fn contains(&self, p: Vec2) -> bool {
        let Some(bounds) = self.bounds else { return false };
        if p.x < bounds.min.x || p.x > bounds.max.x || p.y < bounds.min.y || p.y > bounds.max.y {
            return false;
        }
        self.edges
            .iter()
            .filter(|(a, b)| {
                (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
            })
            .count()
            % 2
            == 1
    }

    /// The intervals in which a line at `across` runs inside the region, rising.
    pub(crate) fn intervals(&self, axis: Axis, across: f64) -> Vec<(f64, f64)> {
        let Some(bounds) = self.bounds else {
            return Vec::new();
        };
        let (low, high) = match axis {
            Axis::X => (bounds.min.y, bounds.max.y),
            Axis::Y => (bounds.min.x, bounds.max.x),
        };
        if across < low || across > high {
            return Vec::new();
        }
        let mut crossings: Vec<f64> = self
            .edges
            .iter()
            .filter_map(|&(a, b)| {
                let ((along_a, across_a), (along_b, across_b)) = match axis {
                    Axis::X => ((a.x, a.y), (b.x, b.y)),
                    Axis::Y => ((a.y, a.x), (b.y, b.x)),
                };
                ((across_a > across) != (across_b > across))
                    .then(|| along_a + (across - across_a) / (across_b - across_a) * (along_b - along_a))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
    }
}

/// How many cells span an interval at about this spacing, and how wide each is.
pub(crate) fn cells(low: f64, high: f64, spacing: f64) -> (usize, f64) {
    let count = ((high - low) / spacing).ceil().clamp(1.0, 4096.0);
    (count as usize, (high - low) / count)
}

/// A piece of a plan silhouette: a point inside it and its area, m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PlanCell {
    pub(crate) point: Vec2,
    pub(crate) area: f64,
}

/// The silhouette of several regions in cells of about `spacing`: rows are sampled in their middle (at least 32 of them),
/// along a row lengths are exact, so that a tube's thin wall counts and a circle's area is met within a per mille or two.
pub(crate) fn plan_cells(flats: &[&Flat], spacing: f64) -> Vec<PlanCell> {
    const LEAST_ROWS: f64 = 32.0;
    let Some(bounds) = flats
        .iter()
        .filter_map(|flat| flat.bounds())
        .reduce(|a, b| a.joined(&b))
    else {
        return Vec::new();
    };
    let finest = |low: f64, high: f64| cells(low, high, spacing.min((high - low) / LEAST_ROWS).max(1e-6));
    let (columns, dx) = finest(bounds.min.x, bounds.max.x);
    let (rows, dy) = finest(bounds.min.y, bounds.max.y);
    let mut found = Vec::new();
    for row in 0..rows {
        let y = bounds.min.y + (row as f64 + 0.5) * dy;
        let covered = merged(flats.iter().flat_map(|flat| flat.intervals(Axis::X, y)).collect());
        for column in 0..columns {
            let (low, high) = (
                bounds.min.x + column as f64 * dx,
                bounds.min.x + (column + 1) as f64 * dx,
            );
            let parts = covered
                .iter()
                .map(|&(a, b)| (a.max(low), b.min(high)))
                .filter(|(a, b)| b > a);
            let length: f64 = parts.clone().map(|(a, b)| b - a).sum();
            let longest = parts.max_by(|l, r| (l.1 - l.0).total_cmp(&(r.1 - r.0)));
            if let Some((a, b)) = longest {
                found.push(PlanCell {
                    point: Vec2::new(f64::midpoint(a, b), y),
                    area: length * dy,
                });
            }
        }
    }
    found
}

/// `a` without `b`; both rising and disjoint.
pub(crate) fn without(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut left = Vec::new();
    for &(mut low, high) in a {
        for &(cut_low, cut_high) in b {
            if cut_high <= low || cut_low >= high {
                continue;
            }
            if cut_low > low {
                left.push((low, cut_low));
            }
            low = low.max(cut_high);
        }
        if low < high {
            left.push((low, high));
        }
    }
    left
}

/// Rising and disjoint, whatever came in.
pub(crate) fn merged(mut intervals: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    intervals.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut out: Vec<(f64, f64)> = Vec::with_capacity(intervals.len());
    for (low, high) in intervals {
        match out.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            _ => out.push((low, high)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_subtract() {
        let a = [(0.0, 10.0), (20.0, 30.0)];
        assert_eq!(
            without(&a, &[(2.0, 4.0), (8.0, 22.0)]),
            vec![(0.0, 2.0), (4.0, 8.0), (22.0, 30.0)]
        );
        assert_eq!(without(&a, &[]), a.to_vec());
        assert_eq!(without(&a, &[(-5.0, 50.0)]), vec![]);
        assert_eq!(merged(vec![(3.0, 4.0), (0.0, 1.0), (0.5, 3.5)]), vec![(0.0, 4.0)]);
    }

    #[test]
    fn plan_cells_meet_the_area_of_circles_and_thin_tubes() {
        let disc = Flat::new(&Region::circle(Vec2::new(0.1, 0.2), 0.021));
        let area = |flats: &[Flat]| {
            plan_cells(&flats.iter().collect::<Vec<_>>(), 0.004)
                .iter()
                .map(|cell| cell.area)
                .sum::<f64>()
        };
        let exact = std::f64::consts::PI * 0.021 * 0.021;
        assert!((area(std::slice::from_ref(&disc)) / exact - 1.0).abs() < 4e-3);
        let tube = Region::circle(Vec2::ZERO, 0.0025).difference(&Region::circle(Vec2::ZERO, 0.0022));
        let exact = tube.area();
        assert!((area(&[Flat::new(&tube)]) / exact - 1.0).abs() < 0.05);
        for cell in plan_cells(&[&Flat::new(&tube)], 0.004) {
            assert!(Flat::new(&tube).contains(cell.point));
        }
    }

    #[test]
    fn a_ring_is_cut_in_two_pieces() {
        let ring = Region::circle(Vec2::ZERO, 0.05).difference(&Region::circle(Vec2::ZERO, 0.02));
        let flat = Flat::new(&ring);
        let cut = flat.intervals(Axis::X, 0.0);
        assert_eq!(cut.len(), 2);
        assert!(
            (cut[0].0 + 0.05).abs() < 1e-4 && (cut[0].1 + 0.02).abs() < 1e-4,
            "{cut:?}"
        );
        assert!(flat.contains(Vec2::new(0.03, 0.0)) && !flat.contains(Vec2::ZERO));
    }
}
