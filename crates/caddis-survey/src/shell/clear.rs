//! The largest clear block and cylinder of every height.

use super::Shell;
use super::depth_map::{DepthMap, RoomOf};
use super::goes_in::{Closed, Footprint};
use caddis_basis::Length;
use caddis_geometry::{Bounds2, Vec2};

/// Grid on which blocks are looked for, before their sides are moved out to the last tenth of a millimetre, metres.
const CELL: f64 = 3e-3;
/// Levels that are tried besides the floor and the tops of what stands in, metres.
const LEVEL: f64 = 15e-3;
/// Sides are moved out to this, metres.
const PRECISION: f64 = 1e-4;

/// The largest block and the largest upright cylinder of one height that go in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearSize {
    /// Their height.
    pub height: Length,
    /// The block with the largest plan, sides along the walls.
    pub block: Option<ClearBlock>,
    /// The upright cylinder of the largest diameter.
    pub cylinder: Option<ClearCylinder>,
}

/// A block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearBlock {
    /// Along x.
    pub length: Length,
    /// Along y.
    pub width: Length,
    /// Its middle in plan.
    pub centre: Vec2,
    /// Its underside over the floor.
    pub bottom: Length,
}

/// An upright cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearCylinder {
    /// Across.
    pub diameter: Length,
    /// Its axis in plan.
    pub centre: Vec2,
    /// Its underside over the floor.
    pub bottom: Length,
}

impl ClearBlock {
    fn area(&self) -> f64 {
        self.length.si() * self.width.si()
    }
}

impl Shell {
    /// For every height the largest clear block and upright cylinder, as measured: the curve of what fits. Heights that
    /// are not above zero and those above the room have none.
    ///
    /// # Accuracy
    /// What is named goes in, as [`Shell::goes_in`] judges it. A larger block may exist by up to 6 mm a side (the grid
    /// on which its place is looked for), a larger cylinder by 0.2 mm; levels are the floor, the tops of all intrusions,
    /// the level just under the ceiling, and every 15 mm.
    ///
    /// # Source
    /// Largest rectangle under a histogram, row by row, with a stack; branch and bound for the circle; derived.
    pub fn clear_sizes(&self, of: RoomOf, heights: &[Length]) -> Vec<ClearSize> {
        let room = Closed::measured(self, of);
        let floor = self.depth_map(RoomOf::Base, Length::from_si(CELL));
        let closed = self.depth_map(of, Length::from_si(CELL));
        let rim = self.rim_height().si();
        // Matter below and above every node.
        let nodes: Vec<(f64, f64)> = floor
            .depths
            .iter()
            .zip(&closed.depths)
            .map(|(base, clear)| {
                let low = rim - base.si();
                if clear.si() > 0.0 {
                    (low, low + clear.si())
                } else {
                    (f64::INFINITY, f64::NEG_INFINITY)
                }
            })
            .collect();
        let mut sizes: Vec<ClearSize> = heights
            .iter()
            .map(|&height| room.largest(height, &floor, &nodes))
            .collect();
        // What holds a higher one holds a lower one too.
        let mut order: Vec<usize> = (0..sizes.len()).collect();
        order.sort_by(|&a, &b| heights[b].si().total_cmp(&heights[a].si()));
        let (mut block, mut cylinder) = (None::<ClearBlock>, None::<ClearCylinder>);
        for index in order {
            let size = &mut sizes[index];
            if size.height.si() <= 0.0 {
                continue;
            }
            if block.is_some_and(|b| size.block.is_none_or(|own| own.area() < b.area())) {
                size.block = block;
            }
            if cylinder.is_some_and(|c| size.cylinder.is_none_or(|own| own.diameter < c.diameter)) {
                size.cylinder = cylinder;
            }
            (block, cylinder) = (size.block, size.cylinder);
        }
        sizes
    }
}

impl Closed {
    fn largest(&self, height: Length, grid: &DepthMap, nodes: &[(f64, f64)]) -> ClearSize {
        let tall = height.si();
        let mut size = ClearSize {
            height,
            block: None,
            cylinder: None,
        };
        if tall.is_nan() || tall <= 0.0 {
            return size;
        }
        for bottom in self.levels(tall, LEVEL) {
            let is_free: Vec<bool> = nodes
                .iter()
                .map(|&(low, high)| low <= bottom + 1e-9 && high >= bottom + tall - 1e-9)
                .collect();
            let room = |half: Vec2| self.beside(Footprint { half, radius: 0.0 }, bottom, bottom + tall);
            let widest = size.block.map_or(0.0, |block| block.area());
            if let Some(found) = rectangle(&is_free, grid.columns)
                .filter(|found| found.cells() as f64 * grid.cell * grid.cell > widest * 0.9)
                .and_then(|found| {
                    let low = grid.node(found.low.1 * grid.columns + found.low.0);
                    let high = grid.node(found.high.1 * grid.columns + found.high.0);
                    stretched(low, high, |low, high| {
                        room((high - low) / 2.0)((low + high) / 2.0) >= 0.0
                    })
                })
            {
                let sides = found.size();
                let block = ClearBlock {
                    length: Length::from_si(sides.x),
                    width: Length::from_si(sides.y),
                    centre: found.centre(),
                    bottom: Length::from_si(bottom),
                };
                if block.area() > widest {
                    size.block = Some(block);
                }
            }
            let at_least = size.cylinder.map_or(0.0, |round| round.diameter.si() / 2.0);
            if let Some((centre, radius)) = roomiest(&self.bounds(), at_least, &room(Vec2::ZERO)) {
                size.cylinder = Some(ClearCylinder {
                    diameter: Length::from_si(2.0 * radius),
                    centre,
                    bottom: Length::from_si(bottom),
                });
            }
        }
        size
    }
}

/// The place with the most room, if that is more than `at_least`.
fn roomiest(bounds: &Bounds2, at_least: f64, room: &impl Fn(Vec2) -> f64) -> Option<(Vec2, f64)> {
    let mut best = None;
    let mut most = at_least;
    let mut cells = vec![(bounds.centre(), bounds.size() / 2.0)];
    while let Some((centre, half)) = cells.pop() {
        let here = room(centre);
        if here > most {
            most = here;
            best = Some((centre, here));
        }
        if here + half.length() <= most + PRECISION {
            continue;
        }
        let (step, half) = if half.x >= half.y {
            (Vec2::new(half.x / 2.0, 0.0), Vec2::new(half.x / 2.0, half.y))
        } else {
            (Vec2::new(0.0, half.y / 2.0), Vec2::new(half.x, half.y / 2.0))
        };
        cells.push((centre + step, half));
        cells.push((centre - step, half));
    }
    best
}

/// Nodes of a grid, both ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Nodes {
    low: (usize, usize),
    high: (usize, usize),
}

impl Nodes {
    fn cells(self) -> usize {
        (self.high.0 - self.low.0) * (self.high.1 - self.low.1)
    }
}

/// The nodes at the lower and the upper corner of the rectangle that spans the most cells.
pub(super) fn largest_rectangle(
    is_free: &[bool],
    columns: usize,
) -> Option<((usize, usize), (usize, usize))> {
    rectangle(is_free, columns).map(|found| (found.low, found.high))
}

/// The rectangle of free nodes that spans the most cells.
fn rectangle(is_free: &[bool], columns: usize) -> Option<Nodes> {
    let mut best: Option<Nodes> = None;
    let mut run = vec![0_usize; columns];
    for (row, nodes) in is_free.chunks(columns).enumerate() {
        for (run, free) in run.iter_mut().zip(nodes) {
            *run = if *free { *run + 1 } else { 0 };
        }
        // Columns that start a rectangle, by rising height.
        let mut open: Vec<(usize, usize)> = Vec::new();
        for column in 0..=columns {
            let height = run.get(column).copied().unwrap_or(0);
            let mut start = column;
            while let Some(&(from, tall)) = open.last().filter(|last| last.1 >= height) {
                open.pop();
                start = from;
                if tall >= 2 && column - from >= 2 {
                    let found = Nodes {
                        low: (from, row + 1 - tall),
                        high: (column - 1, row),
                    };
                    if best.is_none_or(|best| found.cells() > best.cells()) {
                        best = Some(found);
                    }
                }
            }
            if height > 0 {
                open.push((start, height));
            }
        }
    }
    best
}

/// Draws a rectangle in until it is free, then moves its sides out as far as they stay free, one after the other, twice.
fn stretched(low: Vec2, high: Vec2, is_free: impl Fn(Vec2, Vec2) -> bool) -> Option<Bounds2> {
    let (mut low, mut high) = (low, high);
    let step = Vec2::new(CELL, CELL) / 4.0;
    for _ in 0..12 {
        if is_free(low, high) {
            break;
        }
        (low, high) = (low + step, high - step);
    }
    if !(low.x < high.x && low.y < high.y && is_free(low, high)) {
        return None;
    }
    let moved = |low: Vec2, high: Vec2, side: usize, by: f64| match side {
        0 => (low - Vec2::new(by, 0.0), high),
        1 => (low, high + Vec2::new(by, 0.0)),
        2 => (low - Vec2::new(0.0, by), high),
        _ => (low, high + Vec2::new(0.0, by)),
    };
    for _ in 0..2 {
        for side in 0..4 {
            let (mut near, mut far) = (0.0, 2.0 * CELL);
            while far - near > PRECISION {
                let by = f64::midpoint(near, far);
                let (low, high) = moved(low, high, side, by);
                if is_free(low, high) {
                    near = by;
                } else {
                    far = by;
                }
            }
            (low, high) = moved(low, high, side, near);
        }
    }
    Some(Bounds2 { min: low, max: high })
}

#[cfg(test)]
mod tests {
    use super::super::Solid;
    use super::super::tests::{any_shell, shell};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_largest_rectangle_of_a_mask_is_found() {
        // A plus: the bar across is longer than the bar along is high.
        let mask: Vec<bool> = (0..7 * 9)
            .map(|k| (k / 9 == 3 || k / 9 == 4) || (k % 9 == 4 || k % 9 == 5))
            .collect();
        let found = rectangle(&mask, 9);
        assert_eq!(
            found,
            Some(Nodes {
                low: (0, 3),
                high: (8, 4)
            })
        );
        assert_eq!(rectangle(&[false; 30], 5), None);
    }

    #[test]
    fn a_bare_box_is_filled_by_its_block() {
        let mut shell = shell();
        for half in [&mut shell.base, &mut shell.lid] {
            half.intrusions.clear();
            half.fillet.value = Length::ZERO;
            half.rim.corner_radius.value = Length::ZERO;
            half.floor = half.rim.clone();
        }
        let sizes = shell.clear_sizes(
            RoomOf::Closed,
            &[Length::mm(100.0), Length::mm(315.0), Length::mm(316.0)],
        );
        for size in &sizes[..2] {
            let block = size
                .block
                .unwrap_or_else(|| panic!("no block at {}", size.height));
            assert!((block.length.as_mm() - 640.0).abs() < 0.3, "{block:?}");
            assert!((block.width.as_mm() - 400.0).abs() < 0.3, "{block:?}");
            let round = size
                .cylinder
                .unwrap_or_else(|| panic!("no cylinder at {}", size.height));
            assert!((round.diameter.as_mm() - 400.0).abs() < 0.3, "{round:?}");
        }
        assert_eq!((sizes[2].block, sizes[2].cylinder), (None, None));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(6))]

        #[test]
        fn what_is_named_goes_in_and_only_shrinks_with_height(shell in any_shell(), a in 0.1..0.9_f64, b in 0.1..0.9_f64) {
            let crown = shell.crown_height();
            let heights = [crown * a.min(b), crown * a.max(b)];
            let sizes = shell.clear_sizes(RoomOf::Closed, &heights);
            for size in &sizes {
                if let Some(block) = size.block {
                    // A hair less, for the search that asks again is exact to 0.05 mm.
                    let less = Length::mm(0.2);
                    let solid = Solid::Block([block.length - less, block.width - less, size.height]);
                    prop_assert!(shell.goes_in(&solid).measured.is_some(), "{:?}", size);
                }
                if let Some(round) = size.cylinder {
                    let solid = Solid::Cylinder { diameter: round.diameter - Length::mm(0.3), length: size.height };
                    prop_assert!(shell.goes_in(&solid).measured.is_some(), "{:?}", size);
                }
            }
            let area = |size: &ClearSize| size.block.map_or(0.0, |block| block.area());
            prop_assert!(area(&sizes[0]) >= area(&sizes[1]));
        }

        #[test]
        fn a_quarter_turn_changes_nothing_but_the_axes(shell in any_shell(), share in 0.1..0.9_f64) {
            let turned = super::super::tests::turned(&shell);
            let heights = [shell.crown_height() * share];
            let (here, there) = (shell.clear_sizes(RoomOf::Closed, &heights), turned.clear_sizes(RoomOf::Closed, &heights));
            let area = |size: &ClearSize| size.block.map_or(0.0, |block| block.area());
            // Both are within two cells a side of the largest.
            let slack = 2.0 * CELL * 2.0 * (shell.base.rim.length.value + shell.base.rim.width.value).si();
            prop_assert!((area(&here[0]) - area(&there[0])).abs() <= slack);
            let round = |size: &ClearSize| size.cylinder.map_or(0.0, |round| round.diameter.as_mm());
            prop_assert!((round(&here[0]) - round(&there[0])).abs() < 0.5);
            let volume = |s: &Shell| s.depth_map(RoomOf::Base, Length::mm(3.0)).volume();
            prop_assert!((volume(&shell) / volume(&turned) - 1.0).abs() < 1e-3);
            let lost = |s: &Shell| s.volume_ledger().into_iter().map(|(_, v)| v).sum::<caddis_basis::Volume>().as_litres();
            prop_assert!((lost(&shell) - lost(&turned)).abs() < 1e-3);
        }
    }
}
