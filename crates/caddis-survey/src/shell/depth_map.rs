//! Clear depth over the plan, and its contours.

use super::Shell;
use super::profile::Profile;
use caddis_basis::Length;
use caddis_geometry::Vec2;
use std::collections::BTreeMap;

/// Nodes of a map along its longer side, at most.
const MOST_NODES: f64 = 2000.0;

/// Which room is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoomOf {
    /// The base alone, up to the rim plane.
    Base,
    /// The closed case, up to the lid's matter.
    Closed,
}

/// Clear depth at the nodes of a grid over the opening of the base.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthMap {
    /// Of which room.
    pub of: RoomOf,
    /// The node at the left front.
    pub low: Vec2,
    /// From node to node.
    pub cell: f64,
    /// Nodes along x.
    pub columns: usize,
    /// Nodes along y.
    pub rows: usize,
    /// Clear depths, row by row from the front; zero outside the room.
    pub depths: Vec<Length>,
}

/// One end of a contour's piece: the grid edge it crosses, by its lower node and whether it runs along y.
type Edge = (usize, bool);

impl Shell {
    /// Clear depth over every point of the opening: in the base from its highest matter to the rim plane, closed from
    /// there to the lowest matter of the lid.
    ///
    /// # Units
    /// `cell` apart, but never more than 2000 nodes along a side.
    ///
    /// # Accuracy
    /// At the nodes exact for the surveyed dimensions, to rounding.
    pub fn depth_map(&self, of: RoomOf, cell: Length) -> DepthMap {
        let (base, lid) = (Profile::nominal(&self.base), Profile::nominal(&self.lid));
        let (rim, crown) = (self.rim_height().si(), self.crown_height().si());
        let size = base.rim.half * 2.0;
        let cell = cell.si().max(size.x.max(size.y) / MOST_NODES).max(1e-6);
        // Whole cells, centred, with a node beyond every wall.
        let count = |side: f64| (side / cell).ceil() as usize + 3;
        let (columns, rows) = (count(size.x), count(size.y));
        let low = base.rim.centre - Vec2::new((columns - 1) as f64, (rows - 1) as f64) * (cell / 2.0);
        let depths = (0..rows * columns)
            .map(|k| {
                let p = low + Vec2::new((k % columns) as f64, (k / columns) as f64) * cell;
                let depth = match (of, base.matter_over(p)) {
                    (_, None) => 0.0,
                    (RoomOf::Base, Some(floor)) => rim - floor,
                    (RoomOf::Closed, Some(floor)) => {
                        lid.matter_over(p).map_or(0.0, |matter| crown - matter - floor)
                    }
                };
                Length::from_si(depth.max(0.0))
            })
            .collect();
        DepthMap {
            of,
            low,
            cell,
            columns,
            rows,
            depths,
        }
    }
}

impl DepthMap {
    /// The greatest depth.
    pub fn deepest(&self) -> Length {
        self.depths.iter().copied().fold(Length::ZERO, Length::max)
    }

    /// The volume under the map: every node stands for one cell.
    ///
    /// # Accuracy
    /// Walls and steep sides are sampled: of a usual case within one part in two hundred at 2 mm.
    pub fn volume(&self) -> caddis_basis::Volume {
        let sum: f64 = self.depths.iter().map(|depth| depth.si()).sum();
        caddis_basis::Volume::from_si(sum * self.cell * self.cell)
    }

    /// Share of the plan in which the depth is at least `depth`, as an area, square metres.
    pub fn area_at_least(&self, depth: Length) -> f64 {
        let nodes = self
            .depths
            .iter()
            .filter(|d| **d >= depth && d.si() > 0.0)
            .count();
        nodes as f64 * self.cell * self.cell
    }

    /// Lines of one depth, closed (the first point is not repeated).
    ///
    /// # Accuracy
    /// Within one cell where the depth jumps, better where it slopes.
    ///
    /// # Source
    /// Marching squares with linear interpolation; saddles are decided by the mean of the four corners; derived.
    pub fn contour(&self, depth: Length) -> Vec<Vec<Vec2>> {
        let level = depth.si();
        let at = |node: usize| self.depths[node].si() - level;
        let is_in = |node: usize| at(node) >= 0.0;
        // Each crossed edge starts one piece and ends one: the deeper side lies to its left.
        let mut next: BTreeMap<Edge, Edge> = BTreeMap::new();
        for row in 0..self.rows.saturating_sub(1) {
            for column in 0..self.columns.saturating_sub(1) {
                let a = row * self.columns + column;
                let (b, c, d) = (a + 1, a + self.columns + 1, a + self.columns);
                // Corners counter-clockwise, and the edge from each to the next.
                let corners = [a, b, c, d];
                let edges: [Edge; 4] = [(a, false), (b, true), (d, false), (a, true)];
                let inside = corners.map(is_in);
                let leaves: Vec<usize> = (0..4).filter(|&k| inside[k] && !inside[(k + 1) % 4]).collect();
                let enters: Vec<usize> = (0..4).filter(|&k| !inside[k] && inside[(k + 1) % 4]).collect();
                match (leaves.as_slice(), enters.as_slice()) {
                    ([leave], [enter]) => {
                        next.insert(edges[*leave], edges[*enter]);
                    }
                    ([l0, l1], [e0, e1]) => {
                        // Two deep corners opposite: joined when the middle is deep too.
                        let is_joined = corners.iter().map(|&n| at(n)).sum::<f64>() >= 0.0;
                        // Leaving edge k ends the deep corner k; the entering edge before it is k - 1, after it k + 1.
                        let before = |k: usize| if (*e0 + 1) % 4 == k { *e0 } else { *e1 };
                        let after = |k: usize| if (k + 1) % 4 == *e0 { *e0 } else { *e1 };
                        for &leave in [l0, l1] {
                            let enter = if is_joined { after(leave) } else { before(leave) };
                            next.insert(edges[leave], edges[enter]);
                        }
                    }
                    _ => {}
                }
            }
        }
        let mut lines = Vec::new();
        while let Some((&start, _)) = next.first_key_value() {
            let mut line = Vec::new();
            let mut edge = start;
            while let Some(to) = next.remove(&edge) {
                line.push(self.crossing(edge, level));
                edge = to;
            }
            lines.push(line);
        }
        lines
    }

    /// Where a level crosses a grid edge.
    fn crossing(&self, (node, is_along_y): Edge, level: f64) -> Vec2 {
        let other = node + if is_along_y { self.columns } else { 1 };
        let (a, b) = (self.depths[node].si(), self.depths[other].si());
        self.node(node).lerp(self.node(other), (level - a) / (b - a))
    }

    /// The place of a node.
    pub fn node(&self, node: usize) -> Vec2 {
        self.low + Vec2::new((node % self.columns) as f64, (node / self.columns) as f64) * self.cell
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{any_shell, shell};
    use super::*;
    use crate::HalfSide;
    use proptest::prelude::*;

    fn area(line: &[Vec2]) -> f64 {
        (0..line.len())
            .map(|k| line[k].cross(line[(k + 1) % line.len()]))
            .sum::<f64>()
            / 2.0
    }

    #[test]
    fn the_map_is_the_clear_depth_and_its_volume_the_usable_volume() {
        let shell = shell();
        let map = shell.depth_map(RoomOf::Base, Length::mm(2.0));
        for node in (0..map.depths.len()).step_by(977) {
            assert_eq!(map.depths[node], shell.base_depth_at(map.node(node)));
        }
        let usable = shell.usable_volume(HalfSide::Base);
        assert!((map.volume() / usable - 1.0).abs() < 0.005, "{}", map.volume());
        let closed = shell.depth_map(RoomOf::Closed, Length::mm(2.0));
        let both = usable + shell.usable_volume(HalfSide::Lid);
        assert!(
            (closed.volume() / both - 1.0).abs() < 0.005,
            "{}",
            closed.volume()
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(16))]

        #[test]
        fn contours_are_closed_and_enclose_the_area_at_least_so_deep(shell in any_shell(), share in 0.05..0.95_f64) {
            let map = shell.depth_map(RoomOf::Base, Length::mm(4.0));
            let level = map.deepest() * share;
            let lines = map.contour(level);
            let enclosed: f64 = lines.iter().map(|line| area(line)).sum();
            let around: f64 = lines
                .iter()
                .map(|line| (0..line.len()).map(|k| line[k].distance(line[(k + 1) % line.len()])).sum::<f64>())
                .sum();
            // Nodes inside, one cell each: off by no more than half a cell along the line.
            let counted = map.area_at_least(level);
            prop_assert!((enclosed - counted).abs() <= around * map.cell * 0.75, "{} {}", enclosed, counted);
            for line in &lines {
                for k in 0..line.len() {
                    prop_assert!(line[k].distance(line[(k + 1) % line.len()]) <= map.cell * 1.5);
                }
            }
        }

        #[test]
        fn deeper_contours_lie_within_shallower_ones(shell in any_shell(), a in 0.05..0.95_f64, b in 0.05..0.95_f64) {
            let map = shell.depth_map(RoomOf::Closed, Length::mm(6.0));
            let (low, high) = (a.min(b), a.max(b));
            prop_assert!(map.area_at_least(map.deepest() * high) <= map.area_at_least(map.deepest() * low));
        }
    }
}
