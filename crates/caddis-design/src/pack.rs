//! From the interior to what the physics sees: patches of foam on every item in six directions, and what stops them.
//!
//! A patch is a cell of the item's silhouette in the direction of fall. Behind it a ray runs to the next piece or the
//! shell; the foam it crosses is the patch's thickness, everything else its gap. Finger notches, cavities of other
//! pieces, voids over housings and the play in the item's own cavity are thereby left out, at the depth where they are.

use crate::faces::is_before;
use crate::scanline::{Axis, Flat, cells, merged, plan_cells, without};
use crate::{Brief, Interior, Place};
use caddis_basis::{InstanceId, Manner, Part, Said, Sayable, in_order};
use caddis_geometry::{Prism, Vec2, Vec3};
use caddis_protection::{Impact, PackedBody, Patch};

/// The six directions of fall, in case axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Onto the base floor (-z).
    Down,
    /// Onto the lid (+z).
    Up,
    /// Towards -x.
    Left,
    /// Towards +x.
    Right,
    /// Towards -y.
    Front,
    /// Towards +y.
    Back,
}

impl Direction {
    /// All six, in the order they print.
    pub const ALL: [Self; 6] = [
        Self::Down,
        Self::Up,
        Self::Left,
        Self::Right,
        Self::Front,
        Self::Back,
    ];

    /// The unit vector of the fall.
    pub fn vector(self) -> Vec3 {
        match self {
            Self::Down => Vec3::new(0.0, 0.0, -1.0),
            Self::Up => Vec3::new(0.0, 0.0, 1.0),
            Self::Left => Vec3::new(-1.0, 0.0, 0.0),
            Self::Right => Vec3::new(1.0, 0.0, 0.0),
            Self::Front => Vec3::new(0.0, -1.0, 0.0),
            Self::Back => Vec3::new(0.0, 1.0, 0.0),
        }
    }

    /// The word on papers.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Down => "down",
            Self::Up => "up",
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }
}

impl Sayable for Direction {
    fn part(&self, _: Manner) -> Part {
        Part::Said(Said::one_of("direction", self.as_str()))
    }
}

/// What stops the foam behind a patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Support {
    /// The shell.
    Shell,
    /// Another piece (index into the interior's places).
    Piece(usize),
    /// The board of a tray: stiff, it stops the foam before it and passes on what leans on it.
    Board,
    /// No foam at all lies behind: it bears nothing.
    Void,
}

/// A patch with what stops it.
#[derive(Debug, Clone, PartialEq)]
pub struct PackedPatch {
    /// The patch; `thickness` counts foam only; `law` is 0 for the base foam, 1 for the lid foam, and from 2 on the two one
    /// behind the other by the shares in [`Packed::mixes`].
    pub patch: Patch,
    /// What stops it.
    pub support: Support,
}

/// One packed item.
#[derive(Debug, Clone, PartialEq)]
pub struct Packed {
    /// Which piece.
    pub instance: InstanceId,
    /// Patches by direction, in the order of [`Direction::ALL`].
    pub sides: [Vec<PackedPatch>; 6],
    /// The rigid body for the simulated drop: the item alone, its bearing patches, laws of a first impact: base, lid, then
    /// the two in series by [`Packed::mixes`].
    pub body: PackedBody,
    /// The lid foam's share of the thickness, for each law from 2 on.
    pub mixes: Vec<f64>,
}

/// Foam thinner than this bears nothing, metres.
const LEAST_FOAM: f64 = 5e-4;
/// Patches are no taller than this, metres, so that drafted walls are followed.
const GREATEST_BAND: f64 = 0.01;

/// Samples every item's silhouette in the six directions on a grid of about `spacing` metres.
///
/// # Accuracy
/// Thicknesses are exact for the shapes as they are (0.01 mm on arcs); areas are counted in cells of `spacing`.
pub fn pack(interior: &Interior, brief: &Brief, spacing: f64) -> Vec<Packed> {
    pack_on(interior, brief, spacing, 1)
}

/// As [`pack`], on so many threads; the same whatever their number.
pub(crate) fn pack_on(interior: &Interior, brief: &Brief, spacing: f64, threads: usize) -> Vec<Packed> {
    let scene = Scene::new(interior, brief);
    in_order(interior.places.len(), threads, |index| {
        packed(&scene, interior, brief, index, spacing)
    })
}

fn packed(scene: &Scene, interior: &Interior, brief: &Brief, index: usize, spacing: f64) -> Packed {
    let place = &interior.places[index];
    let item = &brief.items[place.item];
    let mut sides: [Vec<PackedPatch>; 6] = Default::default();
    scene.vertical(index, spacing, &mut sides);
    scene.sideways(index, Axis::X, spacing, &mut sides);
    scene.sideways(index, Axis::Y, spacing, &mut sides);
    let mixes = crate::mix::renumber(sides.iter_mut().flatten().map(|p| &mut p.patch.law));
    let patches = sides
        .iter()
        .flatten()
        .filter(|p| p.support != Support::Void)
        .map(|p| p.patch)
        .collect::<Vec<_>>();
    let own = item.inertia();
    let inertia = turned_tensor(place, own);
    Packed {
        instance: place.instance.clone(),
        sides,
        body: PackedBody {
            mass: item.mass.value.si(),
            centre: place.centre_of_mass,
            inertia,
            laws: crate::mix::laws(brief, &mixes, Impact::First),
            patches,
        },
        mixes,
    }
}

/// R I R^T.
fn turned_tensor(place: &Place, own: [Vec3; 3]) -> [Vec3; 3] {
    let columns = own.map(|row| place.pose.turn(row)); // rows of I R^T, since I is symmetric
    let column = |pick: fn(Vec3) -> f64| {
        place
            .pose
            .turn(Vec3::new(pick(columns[0]), pick(columns[1]), pick(columns[2])))
    };
    let (a, b, c) = (column(|v| v.x), column(|v| v.y), column(|v| v.z));
    [
        Vec3::new(a.x, b.x, c.x),
        Vec3::new(a.y, b.y, c.y),
        Vec3::new(a.z, b.z, c.z),
    ]
}

/// A flat region between two heights.
struct FlatSlab {
    low: f64,
    high: f64,
    flat: Flat,
}

impl FlatSlab {
    fn is_open_at(&self, z: f64) -> bool {
        self.low <= z && z < self.high
    }
}

/// Everything a ray can meet, flattened once.
pub(crate) struct Scene<'a> {
    brief: &'a Brief,
    /// Bodies by place.
    bodies: Vec<Vec<FlatSlab>>,
    /// Room kept clear, by place.
    clear: Vec<&'a [Prism]>,
    /// Boards in trays.
    boards: Vec<FlatSlab>,
    /// Voids: cavities and notches.
    voids: Vec<FlatSlab>,
    /// Foam layers: law index and slab.
    layers: Vec<(usize, FlatSlab)>,
    /// All heights where anything changes, rising.
    heights: Vec<f64>,
}

impl<'a> Scene<'a> {
    pub(crate) fn new(interior: &'a Interior, brief: &'a Brief) -> Self {
        let slab = |low, high, region| FlatSlab {
            low,
            high,
            flat: Flat::new(region),
        };
        let bodies: Vec<Vec<FlatSlab>> = interior
            .places
            .iter()
            .map(|place| {
                place
                    .body
                    .slabs
                    .iter()
                    .map(|s| slab(s.low, s.high, &s.region))
                    .collect()
            })
            .collect();
        let voids: Vec<FlatSlab> = interior
            .voids()
            .map(|prism| slab(prism.low, prism.high, &prism.region))
            .collect();
        let layers: Vec<(usize, FlatSlab)> = interior
            .blocks
            .iter()
            .flat_map(|block| {
                let law = usize::from(block.kind == crate::BlockKind::LidPad);
                block.layers.iter().map(move |layer| (law, layer))
            })
            .map(|(law, layer)| (law, slab(layer.low, layer.high, &layer.outline)))
            .collect();
        let mut heights: Vec<f64> = bodies
            .iter()
            .flatten()
            .chain(&voids)
            .chain(layers.iter().map(|(_, layer)| layer))
            .flat_map(|slab| [slab.low, slab.high])
            .collect();
        let clear: Vec<&[Prism]> = interior
            .places
            .iter()
            .map(|place| place.clear.as_slice())
            .collect();
        heights.extend(
            clear
                .iter()
                .flat_map(|rooms| rooms.iter())
                .flat_map(|room| [room.low, room.high]),
        );
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| (*a - *b).abs() < 1e-7);
        let boards = interior.blocks.iter().filter_map(|block| block.board.as_ref());
        Self {
            brief,
            bodies,
            clear,
            boards: boards.map(|b| slab(b.low, b.high, &b.region)).collect(),
            voids,
            layers,
            heights,
        }
    }

    /// Down and up: one column per cell of the plan silhouette.
    fn vertical(&self, index: usize, spacing: f64, sides: &mut [Vec<PackedPatch>; 6]) {
        let silhouette: Vec<_> = self.bodies[index].iter().map(|slab| &slab.flat).collect();
        for cell in plan_cells(&silhouette, spacing) {
            let p = cell.point;
            let inside: Vec<&FlatSlab> = self.bodies[index].iter().filter(|s| s.flat.contains(p)).collect();
            let (Some(lowest), Some(highest)) = (inside.first(), inside.last()) else {
                continue;
            };
            let [down, up] = self.column(p, (lowest.low, highest.high), Support::Piece(index));
            for (side, hit, z, direction) in [
                (0, down, lowest.low, Direction::Down),
                (1, up, highest.high, Direction::Up),
            ] {
                sides[side].push(hit.patch(p.at_height(z), direction, cell.area, self.clear[index]));
            }
        }
    }

    /// What a vertical line meets below and above what stands between two heights, itself left out.
    fn column(&self, p: Vec2, (low, high): (f64, f64), itself: Support) -> [Hit; 2] {
        let pieces = self
            .bodies
            .iter()
            .enumerate()
            .flat_map(|(other, slabs)| slabs.iter().map(move |s| (Support::Piece(other), s)));
        let boards = self.boards.iter().map(|board| (Support::Board, board));
        let others: Vec<(f64, f64, Support)> = pieces
            .chain(boards)
            .filter(|(other, s)| *other != itself && s.flat.contains(p))
            .map(|(other, s)| (s.low, s.high, other))
            .collect();
        let voids = merged(
            self.voids
                .iter()
                .filter(|s| s.flat.contains(p))
                .map(|s| (s.low, s.high))
                .collect(),
        );
        let layers: Vec<(f64, f64, usize)> = self
            .layers
            .iter()
            .filter(|(_, s)| s.flat.contains(p))
            .map(|(law, s)| (s.low, s.high, *law))
            .collect();
        let floor = self.brief.shell.floor_height(p).unwrap_or(low);
        let crown = self.brief.shell.crown_height_at(p).unwrap_or(high);
        let crown = crown.min(self.brief.crown().si());
        let ray = Ray {
            voids: &voids,
            layers: &layers,
            others: &others,
        };
        [ray.walk(low, floor, false), ray.walk(high, crown, true)]
    }

    /// Foam below and above a board, on a grid.
    pub(crate) fn about_board(&self, board: &Prism, spacing: f64) -> [Vec<PackedPatch>; 2] {
        let flat = Flat::new(&board.region);
        let mut sides: [Vec<PackedPatch>; 2] = Default::default();
        for cell in plan_cells(&[&flat], spacing) {
            let ends = [(board.low, Direction::Down), (board.high, Direction::Up)];
            let hits = self.column(cell.point, (board.low, board.high), Support::Board);
            for ((side, hit), (z, direction)) in sides.iter_mut().zip(hits).zip(ends) {
                side.push(hit.patch(cell.point.at_height(z), direction, cell.area, &[]));
            }
        }
        sides
    }

    /// Along x (left, right) or y (front, back): one ray per cell of the side silhouette.
    fn sideways(&self, index: usize, axis: Axis, spacing: f64, sides: &mut [Vec<PackedPatch>; 6]) {
        let (minus, plus) = match axis {
            Axis::X => ((2, Direction::Left), (3, Direction::Right)),
            Axis::Y => ((4, Direction::Front), (5, Direction::Back)),
        };
        for body in &self.bodies[index] {
            let Some(bounds) = body.flat.bounds() else {
                continue;
            };
            let (from, to) = match axis {
                Axis::X => (bounds.min.y, bounds.max.y),
                Axis::Y => (bounds.min.x, bounds.max.x),
            };
            let (rows, across_step) = cells(from, to, spacing);
            for (low, high) in self.bands(body.low, body.high) {
                let z = f64::midpoint(low, high);
                let shell = Flat::new(&self.brief.shell.section(z));
                let voids: Vec<&Flat> = self
                    .voids
                    .iter()
                    .filter(|s| s.is_open_at(z))
                    .map(|s| &s.flat)
                    .collect();
                let layers: Vec<(usize, &Flat)> = self
                    .layers
                    .iter()
                    .filter(|(_, s)| s.is_open_at(z))
                    .map(|(law, s)| (*law, &s.flat))
                    .collect();
                let others: Vec<(usize, &Flat)> = self
                    .bodies
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != index)
                    .flat_map(|(other, slabs)| slabs.iter().map(move |s| (other, s)))
                    .filter(|(_, s)| s.is_open_at(z))
                    .map(|(other, s)| (other, &s.flat))
                    .collect();
                for row in 0..rows {
                    let across = from + (row as f64 + 0.5) * across_step;
                    let own = body.flat.intervals(axis, across);
                    let (Some(first), Some(last)) = (own.first(), own.last()) else {
                        continue;
                    };
                    let voids = merged(
                        voids
                            .iter()
                            .flat_map(|flat| flat.intervals(axis, across))
                            .collect(),
                    );
                    let layers: Vec<(f64, f64, usize)> = layers
                        .iter()
                        .flat_map(|(law, flat)| {
                            flat.intervals(axis, across)
                                .into_iter()
                                .map(move |(l, h)| (l, h, *law))
                        })
                        .collect();
                    let others: Vec<(f64, f64, Support)> = others
                        .iter()
                        .flat_map(|(other, flat)| {
                            flat.intervals(axis, across)
                                .into_iter()
                                .map(move |(l, h)| (l, h, Support::Piece(*other)))
                        })
                        .collect();
                    let walls = shell.intervals(axis, across);
                    let middle = f64::midpoint(first.0, last.1);
                    let (wall_low, wall_high) = walls
                        .iter()
                        .copied()
                        .find(|(l, h)| *l <= middle && middle <= *h)
                        .unwrap_or((first.0, last.1));
                    let ray = Ray {
                        voids: &voids,
                        layers: &layers,
                        others: &others,
                    };
                    let area = (high - low) * across_step;
                    let point = |along: f64| axis.point(along, across, z);
                    sides[minus.0].push(ray.walk(first.0, wall_low, false).patch(
                        point(first.0),
                        minus.1,
                        area,
                        self.clear[index],
                    ));
                    sides[plus.0].push(ray.walk(last.1, wall_high, true).patch(
                        point(last.1),
                        plus.1,
                        area,
                        self.clear[index],
                    ));
                }
            }
        }
    }

    /// The interval cut where anything changes and into bands no taller than [`GREATEST_BAND`].
    fn bands(&self, low: f64, high: f64) -> Vec<(f64, f64)> {
        let mut cuts = vec![low];
        cuts.extend(
            self.heights
                .iter()
                .copied()
                .filter(|z| *z > low + 1e-7 && *z < high - 1e-7),
        );
        cuts.push(high);
        cuts.windows(2)
            .flat_map(|pair| {
                let count = ((pair[1] - pair[0]) / GREATEST_BAND).ceil().max(1.0);
                let step = (pair[1] - pair[0]) / count;
                let low = pair[0];
                (0..count as usize).map(move |i| (low + i as f64 * step, low + (i + 1) as f64 * step))
            })
            .collect()
    }
}

/// What lies along one line: intervals with, for layers, the law and, for others, what they are.
struct Ray<'a> {
    voids: &'a [(f64, f64)],
    layers: &'a [(f64, f64, usize)],
    others: &'a [(f64, f64, Support)],
}

/// What a ray met.
struct Hit {
    thickness: f64,
    gap: f64,
    law: usize,
    support: Support,
}

impl Ray<'_> {
    /// From the item's surface at `start` to the shell at `end`, rising or falling.
    fn walk(&self, start: f64, end: f64, rising: bool) -> Hit {
        let nearest = self
            .others
            .iter()
            .filter_map(|&(low, high, other)| {
                let face = if rising { low } else { high };
                let lies_ahead = if rising { high > start } else { low < start };
                lies_ahead.then_some((if rising { face - start } else { start - face }, other))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let to_shell = if rising { end - start } else { start - end }.max(0.0);
        let (reach, support) = match nearest {
            Some((distance, other)) if distance < to_shell => (distance.max(0.0), other),
            _ => (to_shell, Support::Shell),
        };
        let (low, high) = if rising {
            (start, start + reach)
        } else {
            (start - reach, start)
        };
        let mut foam = [0.0; 2];
        for &(layer_low, layer_high, law) in self.layers {
            let inside = (layer_low.max(low), layer_high.min(high));
            if inside.0 < inside.1 {
                foam[law] += without(&[inside], self.voids)
                    .iter()
                    .map(|(l, h)| h - l)
                    .sum::<f64>();
            }
        }
        let thickness = foam[0] + foam[1];
        Hit {
            thickness,
            gap: (reach - thickness).max(0.0),
            law: crate::mix::index_of(foam[0], foam[1]),
            support: if thickness < LEAST_FOAM {
                Support::Void
            } else {
                support
            },
        }
    }
}

impl Hit {
    /// What stands before room its own piece keeps clear bears nothing: there is a cable, a connector, or what must not be
    /// touched.
    fn patch(self, point: Vec3, direction: Direction, area: f64, clear: &[Prism]) -> PackedPatch {
        PackedPatch {
            patch: Patch {
                point,
                direction: direction.vector(),
                area,
                thickness: self.thickness,
                gap: self.gap,
                law: self.law,
            },
            support: if is_before(clear, point, direction.vector()) {
                Support::Void
            } else {
                self.support
            },
        }
    }
}
