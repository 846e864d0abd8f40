//! Primitives after quarter turns: boxes, and cylinders that stand or lie.

use super::{Item, ItemShape, Part, Primitive};
use caddis_geometry::{Bounds3, Mesh, Pose, Region, Vec2, Vec3};
use std::f64::consts::PI;

/// Chords around a cylinder in pictures and meshes.
const AROUND: u32 = 64;

/// Which axis a cylinder has come to lie along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    X,
    Y,
    Z,
}

/// A primitive turned by quarter turns and moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PosedSolid {
    pub(super) bounds: Bounds3,
    /// A cylinder's axis; `None` for a box.
    pub(super) axis: Option<Axis>,
}

impl PosedSolid {
    /// Of a primitive; the pose's rotation is made of quarter turns, so boxes stay boxes.
    fn new(solid: &Primitive, pose: &Pose) -> Self {
        let (half, height, is_round) = match solid {
            Primitive::Cuboid {
                length,
                width,
                height,
            } => (Vec2::new(length.si() / 2.0, width.si() / 2.0), height.si(), false),
            Primitive::Cylinder { diameter, height } => {
                let radius = diameter.si() / 2.0;
                (Vec2::new(radius, radius), height.si(), true)
            }
        };
        let a = pose.apply(Vec3::new(-half.x, -half.y, 0.0));
        let b = pose.apply(Vec3::new(half.x, half.y, height));
        let bounds = Bounds3 {
            min: a.min(b),
            max: a.max(b),
        };
        let up = pose.turn(Vec3::new(0.0, 0.0, 1.0));
        let axis = is_round.then_some(if up.z.abs() > 0.5 {
            Axis::Z
        } else if up.x.abs() > 0.5 {
            Axis::X
        } else {
            Axis::Y
        });
        Self { bounds, axis }
    }

    /// Whether its section changes with height.
    pub(super) fn is_lying(&self) -> bool {
        matches!(self.axis, Some(Axis::X | Axis::Y))
    }

    /// Radius of a cylinder about its axis.
    fn radius(&self) -> f64 {
        let size = self.bounds.size();
        match self.axis {
            Some(Axis::Z) => size.x / 2.0,
            _ => size.z / 2.0,
        }
    }

    /// Its widest section between two heights (Outer); `None` where it is not.
    ///
    /// # Source
    /// Chord of a circle: half-width sqrt(r² - d²) at distance d from the axis.
    pub(super) fn widest(&self, low: f64, high: f64) -> Option<Region> {
        let (min, max) = (self.bounds.min, self.bounds.max);
        if high <= min.z || low >= max.z {
            return None;
        }
        let rectangle = |half_width: f64| {
            let centre = self.bounds.centre();
            match self.axis {
                Some(Axis::X) => Region::rectangle(
                    Vec2::new(min.x, centre.y - half_width),
                    Vec2::new(max.x, centre.y + half_width),
                ),
                _ => Region::rectangle(
                    Vec2::new(centre.x - half_width, min.y),
                    Vec2::new(centre.x + half_width, max.y),
                ),
            }
        };
        Some(match self.axis {
            None => Region::rectangle(min.plan(), max.plan()),
            Some(Axis::Z) => Region::circle(self.bounds.centre().plan(), self.radius()),
            Some(Axis::X | Axis::Y) => {
                let (r, middle) = (self.radius(), self.bounds.centre().z);
                let off = (low - middle).max(middle - high).max(0.0);
                let half_width = ((r - off) * (r + off)).max(0.0).sqrt();
                if half_width <= 0.0 {
                    return None;
                }
                rectangle(half_width)
            }
        })
    }

    /// Volume.
    pub(super) fn volume(&self) -> f64 {
        let size = self.bounds.size();
        let r = self.radius();
        match self.axis {
            None => size.x * size.y * size.z,
            Some(Axis::X) => PI * r * r * size.x,
            Some(Axis::Y) => PI * r * r * size.y,
            Some(Axis::Z) => PI * r * r * size.z,
        }
    }

    /// Principal moments about its centre over its volume, m²: along x, y, z.
    ///
    /// # Source
    /// Box: (b² + c²) / 12. Cylinder: r² / 2 about the axis, (3 r² + h²) / 12 across. Any text on mechanics; derived.
    pub(super) fn gyration(&self) -> Vec3 {
        let size = self.bounds.size();
        let Some(axis) = self.axis else {
            let square = Vec3::new(size.x * size.x, size.y * size.y, size.z * size.z);
            return Vec3::new(square.y + square.z, square.x + square.z, square.x + square.y) / 12.0;
        };
        let r2 = self.radius() * self.radius();
        let (about, across) = (r2 / 2.0, |h: f64| (3.0 * r2 + h * h) / 12.0);
        match axis {
            Axis::X => Vec3::new(about, across(size.x), across(size.x)),
            Axis::Y => Vec3::new(across(size.y), about, across(size.y)),
            Axis::Z => Vec3::new(across(size.z), across(size.z), about),
        }
    }
}

/// Where a part lies in its item.
fn part_pose(part: &Part) -> Pose {
    part.up.pose().then(&Pose::translation(part.at))
}

/// The item's primitives under a pose of quarter turns; `None` for a mesh.
pub(super) fn posed_solids(item: &Item, pose: &Pose) -> Option<Vec<PosedSolid>> {
    match &item.shape {
        ItemShape::Primitive(solid) => Some(vec![PosedSolid::new(solid, pose)]),
        ItemShape::Compound(parts) => Some(
            parts
                .iter()
                .map(|part| PosedSolid::new(&part.solid, &part_pose(part).then(pose)))
                .collect(),
        ),
        ItemShape::Mesh { .. } => None,
    }
}

/// The box around solids; `None` without solids.
pub(super) fn bounds_of(solids: &[PosedSolid]) -> Option<Bounds3> {
    Bounds3::around(
        solids
            .iter()
            .flat_map(|solid| [solid.bounds.min, solid.bounds.max]),
    )
}

fn primitive_mesh(solid: &Primitive) -> Mesh {
    match solid {
        Primitive::Cuboid {
            length,
            width,
            height,
        } => {
            let (x, y) = (length.si() / 2.0, width.si() / 2.0);
            Mesh::cuboid(Vec3::new(-x, -y, 0.0), Vec3::new(x, y, height.si()))
        }
        Primitive::Cylinder { diameter, height } => {
            let (r, h) = (diameter.si() / 2.0, height.si());
            let profile = [(0.0, 0.0), (r, 0.0), (r, h), (0.0, h)].map(|(r, z)| Vec2::new(r, z));
            Mesh::revolved(&profile, AROUND)
        }
    }
}

impl Item {
    /// A mesh of it in its own frame, for pictures and the scene. Parts of a compound are not merged.
    ///
    /// # Accuracy
    /// Cylinders have 64 chords.
    pub fn mesh(&self) -> Mesh {
        match &self.shape {
            ItemShape::Primitive(solid) => primitive_mesh(solid),
            ItemShape::Compound(parts) => {
                let mut whole = Mesh::default();
                for part in parts {
                    whole.append(&primitive_mesh(&part.solid).posed(&part_pose(part)));
                }
                whole
            }
            ItemShape::Mesh { mesh, .. } => mesh.clone(),
        }
    }

    /// The box around it in its own frame; `None` when it has no extent at all.
    pub fn bounds(&self) -> Option<Bounds3> {
        match &self.shape {
            ItemShape::Mesh { mesh, .. } => mesh.bounds(),
            _ => posed_solids(self, &Pose::IDENTITY).and_then(|solids| bounds_of(&solids)),
        }
    }
}
