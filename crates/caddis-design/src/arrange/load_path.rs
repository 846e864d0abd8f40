//! The load path of a layout: who leans on whom in each direction of fall, before any foam is cut.
//!
//! Bodies count as the boxes of their bands (those that lie across the case as boxes of strips of them), sampled on a grid; verification
//! measures the same on the real shapes. A tray's board is a
//! body as well: stiff as it is, what leans on it presses all that lies beyond it, most where the foam is thinnest.

use crate::board::LEAST_COLUMN;
use crate::cushion::Load;
use crate::scanline::{Axis, Flat, cells};
use crate::{BackBoard, Brief, Direction};
use caddis_geometry::{Bounds2, Bounds3, Prism, Region, SectionStack, Vec2, Vec3};

/// Grid of the sampling, metres.
const SPACING: f64 = 0.006;
/// A share smaller than this is a graze: its mass counts, but it does not ride on the other's cushion.
const RIDES: f64 = 0.05;

/// One piece as the load path sees it.
pub(crate) struct Body {
    boxes: Vec<Bounds3>,
    bounds: Bounds3,
    /// kg.
    pub mass: f64,
    /// Least acceleration it stands, m/s², infinite when unknown.
    pub limit: f64,
    /// Of a board alone: where the room for foam ends below and above it, metres.
    spans: Option<(f64, f64)>,
}

impl Body {
    /// From its placed stack; `None` for a stack of nothing. What lies across the case fills little of its box.
    pub(crate) fn new(stack: &SectionStack, mass: f64, limit: f64, lies_across: bool) -> Option<Self> {
        let boxes: Vec<Bounds3> = stack
            .slabs
            .iter()
            .flat_map(|slab| {
                let plans = if lies_across {
                    strips(&slab.region)
                } else {
                    let shapes = slab.region.shapes.iter();
                    shapes.filter_map(|shape| shape.outer.bounds()).collect()
                };
                plans.into_iter().map(|plan| Bounds3 {
                    min: plan.min.at_height(slab.low),
                    max: plan.max.at_height(slab.high),
                })
            })
            .collect();
        let bounds = boxes.iter().copied().reduce(|a, b| Bounds3 {
            min: a.min.min(b.min),
            max: a.max.max(b.max),
        })?;
        Some(Self {
            boxes,
            bounds,
            mass,
            limit,
            spans: None,
        })
    }

    /// The board of a tray between two heights: it gives what leans on it to all that lies beyond it.
    pub(crate) fn board(
        brief: &Brief,
        board: &BackBoard,
        region: &Region,
        (low, high): (f64, f64),
    ) -> Option<Self> {
        let mass = board.mass_per_area * region.area();
        let stack = SectionStack {
            slabs: vec![Prism {
                region: region.clone(),
                low,
                high,
            }],
        };
        let body = Self::new(&stack, mass, f64::INFINITY, false)?;
        Some(Self {
            spans: Some((0.0, brief.crown().si())),
            ..body
        })
    }

    /// How stiffly a column of foam beyond it bears, 1/m: the thinner its foam, the stiffer. Columns under a piece bear alike.
    fn stiffness(&self, rising: bool, height: f64) -> f64 {
        let Some((low, high)) = self.spans else { return 1.0 };
        let room = if rising {
            high - self.bounds.max.z
        } else {
            self.bounds.min.z - low
        };
        1.0 / (room - height).max(LEAST_COLUMN)
    }
}

/// A plan as strips along x, each as long as the plan is in its middle.
fn strips(region: &Region) -> Vec<Bounds2> {
    let flat = Flat::new(region);
    let Some(bounds) = flat.bounds() else {
        return Vec::new();
    };
    let (count, width) = cells(bounds.min.y, bounds.max.y, SPACING);
    (0..count)
        .flat_map(|row| {
            let low = bounds.min.y + row as f64 * width;
            let runs = flat.intervals(Axis::X, low + width / 2.0);
            runs.into_iter().map(move |(from, to)| Bounds2 {
                min: Vec2::new(from, low),
                max: Vec2::new(to, low + width),
            })
        })
        .collect()
}

/// Axis along the fall, the two across it, and whether it falls towards larger coordinates.
fn axes(direction: Direction) -> ([usize; 3], bool) {
    match direction {
        Direction::Down => ([2, 0, 1], false),
        Direction::Up => ([2, 0, 1], true),
        Direction::Left => ([0, 1, 2], false),
        Direction::Right => ([0, 1, 2], true),
        Direction::Front => ([1, 0, 2], false),
        Direction::Back => ([1, 0, 2], true),
    }
}

fn pick(v: Vec3, axis: usize) -> f64 {
    [v.x, v.y, v.z][axis]
}

/// What leans on every piece in the six directions, in the order of the pieces and of [`Direction::ALL`].
pub(crate) fn loads(bodies: &[Body]) -> Vec<[Load; 6]> {
    let mut all = vec![[Load::NONE; 6]; bodies.len()];
    for (side, direction) in Direction::ALL.into_iter().enumerate() {
        for (piece, load) in side_loads(bodies, direction).into_iter().enumerate() {
            all[piece][side] = load;
        }
    }
    all
}

fn side_loads(bodies: &[Body], direction: Direction) -> Vec<Load> {
    let ([along, _, _], rising) = axes(direction);
    let sign = if rising { 1.0 } else { -1.0 };
    let reach = |i: usize| sign * pick(bodies[i].bounds.centre(), along);
    let mut order: Vec<usize> = (0..bodies.len()).collect();
    // From the last to be stopped to the first; ties by index.
    order.sort_by(|&a, &b| reach(a).total_cmp(&reach(b)).then(a.cmp(&b)));
    let mut rank = vec![0; bodies.len()];
    for (position, &piece) in order.iter().enumerate() {
        rank[piece] = position;
    }
    let mut loads = vec![Load::NONE; bodies.len()];
    for &piece in &order {
        let carried = bodies[piece].mass + loads[piece].leaning;
        let strictest = bodies[piece].limit.min(loads[piece].limit);
        for (other, share) in shares(bodies, piece, direction) {
            if rank[other] > rank[piece] {
                loads[other].leaning += carried * share;
                // A board is no item that stands so much: what leans on it is stopped by it as by the shell.
                if share > RIDES && bodies[other].spans.is_none() {
                    loads[other].limit = loads[other].limit.min(strictest);
                }
            }
        }
    }
    loads
}

/// Share of a piece's silhouette that each other piece stops.
fn shares(bodies: &[Body], piece: usize, direction: Direction) -> Vec<(usize, f64)> {
    let ([along, u, v], rising) = axes(direction);
    let sign = if rising { 1.0 } else { -1.0 };
    let bounds = bodies[piece].bounds;
    let size = bounds.size();
    let count = |axis: usize| (pick(size, axis) / SPACING).ceil().clamp(1.0, 256.0);
    let (rows, columns) = (count(u), count(v));
    // Only pieces whose shadow meets this one's can stop it.
    let near: Vec<usize> = (0..bodies.len())
        .filter(|&other| {
            other != piece
                && [u, v].into_iter().all(|axis| {
                    pick(bodies[other].bounds.min, axis) < pick(bounds.max, axis)
                        && pick(bounds.min, axis) < pick(bodies[other].bounds.max, axis)
                })
        })
        .collect();
    let mut hits = vec![0.0; bodies.len()];
    let mut total = 0.0;
    for row in 0..rows as u32 {
        for column in 0..columns as u32 {
            let at = |axis: usize, index: u32, of: f64| {
                pick(bounds.min, axis) + (f64::from(index) + 0.5) / of * pick(size, axis)
            };
            let (p, q) = (at(u, row, rows), at(v, column, columns));
            let face = |body: &Body, is_front: bool| {
                body.boxes
                    .iter()
                    .filter(|b| {
                        pick(b.min, u) <= p && p < pick(b.max, u) && pick(b.min, v) <= q && q < pick(b.max, v)
                    })
                    .map(|b| sign * pick(if rising == is_front { b.max } else { b.min }, along))
                    .collect::<Vec<f64>>()
            };
            let Some(front) = face(&bodies[piece], true).into_iter().reduce(f64::max) else {
                continue;
            };
            let stopped_by = near
                .iter()
                .filter_map(|&other| {
                    let back = face(&bodies[other], false)
                        .into_iter()
                        .filter(|back| *back > front - 1e-6)
                        .reduce(f64::min)?;
                    Some((back, other))
                })
                .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            // Beyond a board the foam is the thinner by what stands in it.
            let stands = match stopped_by {
                Some((_, other)) if bodies[piece].spans.is_some() => pick(bodies[other].bounds.size(), along),
                _ => 0.0,
            };
            let weight = bodies[piece].stiffness(rising, stands);
            total += weight;
            if let Some((_, other)) = stopped_by {
                hits[other] += weight;
            }
        }
    }
    hits.into_iter()
        .enumerate()
        .filter(|(_, hit)| *hit > 0.0)
        .map(|(other, hit)| (other, hit / total))
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_geometry::Placement2;

    fn cube(x: f64, y: f64, z: f64, mass: f64, limit: f64) -> Body {
        let half = Vec2::new(0.05, 0.05);
        let at = Vec2::new(x, y);
        let stack = SectionStack {
            slabs: vec![Prism {
                region: Region::rectangle(at - half, at + half),
                low: z,
                high: z + 0.1,
            }],
        };
        Body::new(&stack, mass, limit, false).unwrap()
    }

    #[test]
    fn the_last_wall_carries_the_row() {
        let row = [
            cube(-0.12, 0.0, 0.0, 1.0, 600.0),
            cube(0.0, 0.0, 0.0, 2.0, 400.0),
            cube(0.12, 0.0, 0.0, 4.0, 900.0),
        ];
        let found = loads(&row);
        let left = found
            .iter()
            .map(|l| (l[2].leaning, l[2].limit))
            .collect::<Vec<_>>();
        assert_eq!(left, [(6.0, 400.0), (4.0, 900.0), (0.0, f64::INFINITY)]);
        let right = found.iter().map(|l| l[3].leaning).collect::<Vec<_>>();
        assert_eq!(right, [0.0, 1.0, 3.0]);
        assert!(found.iter().all(|l| l[0] == Load::NONE && l[4] == Load::NONE));
    }

    #[test]
    fn half_a_shadow_is_half_the_mass() {
        let pair = [
            cube(0.0, 0.0, 0.0, 1.0, 600.0),
            cube(0.02, 0.05, 0.15, 2.0, 500.0),
        ];
        let found = loads(&pair);
        assert!(
            (found[0][0].leaning - 0.8).abs() < 0.05,
            "0.8 x 0.5 of 2 kg, found {}",
            found[0][0].leaning
        );
        assert_eq!(found[1][0], Load::NONE);
        assert!(
            (found[1][1].leaning - 0.4).abs() < 0.05,
            "{}",
            found[1][1].leaning
        );
    }

    #[test]
    fn what_lies_across_leans_on_what_lies_beside_it() {
        // A bar of 400 x 40 mm at 45 degrees in the middle, and a cube in the empty corner of its box beyond it.
        let bar = Region::rectangle(Vec2::new(-0.2, -0.02), Vec2::new(0.2, 0.02)).placed(&Placement2 {
            angle: std::f64::consts::FRAC_PI_4,
            shift: Vec2::ZERO,
        });
        let stack = SectionStack {
            slabs: vec![Prism {
                region: bar,
                low: 0.0,
                high: 0.1,
            }],
        };
        let pair = [
            Body::new(&stack, 1.0, 600.0, true).unwrap(),
            cube(0.12, -0.02, 0.0, 2.0, 500.0),
        ];
        let found = loads(&pair);
        // Falling to the right the bar leans on the cube over the part of its height in plan that the cube takes.
        let share = 0.1 / (0.44 * std::f64::consts::FRAC_1_SQRT_2);
        assert!(
            (found[1][3].leaning - share).abs() < 0.03,
            "{}",
            found[1][3].leaning
        );
        assert_eq!(found[1][2], Load::NONE);
        // Falling to the left the cube, all of it, leans on the bar.
        assert!(
            (found[0][2].leaning - 2.0).abs() < 1e-9,
            "{}",
            found[0][2].leaning
        );
    }
}
