//! From the interior to what the physics sees: patches of foam on every item in six directions, and who leans on whom.

use crate::{Brief, Interior};
use caddis_basis::InstanceId;
use caddis_geometry::Vec3;
use caddis_protection::{PackedBody, Patch};

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

/// What stops the foam behind a patch.
#[derive(Debug, Clone, PartialEq)]
pub enum Support {
    /// The shell.
    Shell,
    /// Another piece (index into the interior's places).
    Piece(usize),
    /// Nothing: a void (notch, open cavity) lies right behind.
    Void,
}

/// A patch with what stops it.
#[derive(Debug, Clone, PartialEq)]
pub struct PackedPatch {
    /// The patch; `thickness` counts foam only, `law` the foam that fills it.
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
    /// The rigid body for the simulated drop.
    pub body: PackedBody,
}

/// Samples every item's surface in the six directions on a grid of `spacing` metres and measures the foam behind each
/// patch to the next piece or the shell, at the depth where it is, leaving out voids.
pub fn pack(interior: &Interior, brief: &Brief, spacing: f64) -> Vec<Packed> {
    let _ = (interior, brief, spacing);
    todo!()
}
