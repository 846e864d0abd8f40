//! The exact boundary of solids that are prisms: level faces, upright walls, flat or round.

mod build;
mod mesh;
mod plan;
#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests;

use crate::plane::Edge;
use crate::{Prism, Vec2, Vec3};

/// A straight line, or an arc at one height, between two corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundaryEdge {
    /// Corner it starts at.
    pub from: u32,
    /// Corner it ends at.
    pub to: u32,
    /// As in [`crate::Vertex`], seen from above; 0 for a straight edge.
    pub bulge: f64,
}

/// What a face lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Surface {
    /// A level plane; its outside is above it or below it.
    Level {
        /// Outside above.
        up: bool,
    },
    /// An upright plane.
    Flat {
        /// A point on it.
        at: Vec3,
        /// Towards the outside.
        normal: Vec2,
    },
    /// An upright cylinder.
    Round {
        /// Its axis in plan.
        centre: Vec2,
        /// Its radius.
        radius: f64,
        /// Outside away from the axis.
        outward: bool,
    },
}

/// A face.
#[derive(Debug, Clone, PartialEq)]
pub struct BoundaryFace {
    /// What it lies on.
    pub surface: Surface,
    /// Its loops, the outer first, counter-clockwise seen from outside: edges in order, and whether each is run forward.
    pub loops: Vec<Vec<(u32, bool)>>,
}

/// One connected solid: indices of faces.
#[derive(Debug, Clone, PartialEq)]
pub struct BoundaryPiece {
    /// The closed skin around it.
    pub outer: Vec<u32>,
    /// Closed skins around voids inside it.
    pub voids: Vec<Vec<u32>>,
}

/// The boundary of solids made of prisms: every edge is run once forward and once backward.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Boundary {
    /// Corners, metres.
    pub corners: Vec<Vec3>,
    /// Edges.
    pub edges: Vec<BoundaryEdge>,
    /// Faces.
    pub faces: Vec<BoundaryFace>,
    /// Connected solids.
    pub pieces: Vec<BoundaryPiece>,
}

/// Why prisms have no boundary that could be found.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BoundaryError {
    /// Outlines that nearly touch cannot be told apart.
    #[error("outlines that nearly touch cannot be told apart")]
    Unsettled,
    /// The faces found do not close.
    #[error("{edges} edges stay open")]
    Open {
        /// How many edges are not run once each way.
        edges: usize,
    },
}

impl Boundary {
    /// The boundary of the union of `added` without the union of `removed`.
    ///
    /// # Accuracy
    /// Arcs stay arcs. Points within a micrometre of each other are one, heights within a tenth of that.
    ///
    /// # Errors
    /// Outlines that come so near each other that no closed skin is found.
    pub fn of(added: &[Prism], removed: &[Prism]) -> Result<Self, BoundaryError> {
        build::boundary(added, removed)
    }

    /// The edge in plan, as it is run.
    fn plan_edge(&self, (edge, forward): (u32, bool)) -> Edge {
        let edge = self.edges[edge as usize];
        let at = |corner: u32| self.corners[corner as usize].plan();
        if forward {
            Edge::new(at(edge.from), at(edge.to), edge.bulge)
        } else {
            Edge::new(at(edge.to), at(edge.from), -edge.bulge)
        }
    }

    /// Volume inside faces that close, m³, arcs exactly.
    ///
    /// # Source
    /// Divergence theorem on the field (0, 0, z): the walls, being upright, give nothing.
    pub fn volume_within(&self, faces: &[u32]) -> f64 {
        faces
            .iter()
            .map(|&face| {
                let face = &self.faces[face as usize];
                let Surface::Level { .. } = face.surface else {
                    return 0.0;
                };
                let height = face.loops.first().and_then(|l| l.first()).map_or(0.0, |&(e, _)| {
                    self.corners[self.edges[e as usize].from as usize].z
                });
                // Loops below run clockwise seen from above, so the sign of the normal is in the area already.
                let area: f64 = face.loops.iter().map(|l| self.loop_area(l)).sum();
                area * height
            })
            .sum()
    }

    /// Volume of all pieces, m³.
    pub fn volume(&self) -> f64 {
        let piece = |piece: &BoundaryPiece| {
            let voids = piece.voids.iter().map(|faces| self.volume_within(faces));
            self.volume_within(&piece.outer) + voids.sum::<f64>()
        };
        self.pieces.iter().map(piece).sum()
    }

    fn loop_area(&self, run: &[(u32, bool)]) -> f64 {
        let Some(origin) = run.first().map(|&step| self.plan_edge(step).start()) else {
            return 0.0;
        };
        run.iter()
            .map(|&step| {
                let edge = self.plan_edge(step);
                (edge.start() - origin).cross(edge.end() - origin) / 2.0 + edge.segment_area()
            })
            .sum()
    }
}
