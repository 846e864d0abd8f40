//! How far a region reaches along a direction.

use super::edge::Edge;
use super::region::Region;
use crate::Vec2;

impl Region {
    /// The support function: the most that `n . p` comes to over the points of the region, for a unit vector `n`; arcs count
    /// exactly. `None` when empty.
    pub fn reach(&self, n: Vec2) -> Option<f64> {
        let edges = self.shapes.iter().flat_map(|shape| shape.outer.edges());
        let reaches = edges.map(|edge| {
            let ends = n.dot(edge.start()).max(n.dot(edge.end()));
            match edge {
                // A hollow arc bulges inward: its foremost points are its ends.
                Edge::Arc(arc) if arc.bulge > 0.0 && arc.spans(arc.centre + n * arc.radius) => {
                    ends.max(n.dot(arc.centre) + arc.radius)
                }
                _ => ends,
            }
        });
        reaches.reduce(f64::max)
    }
}
