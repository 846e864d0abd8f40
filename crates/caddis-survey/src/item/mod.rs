//! Equipment: shape, mass, fragility, and how it may lie.

mod check;
mod class;
mod clear;
mod declared;
mod error;
mod mass;
mod pose;
mod resting;
mod soft;
mod solid;
mod turn;
mod wish;

pub use class::{FragilityClass, Requirement};
pub use clear::ClearRoom;
pub use declared::Declared;
pub use error::ItemError;
pub use resting::{RestingPose, resting_poses};
pub use turn::Turn;
pub use wish::FoamWish;

use caddis_basis::{Acceleration, ItemId, Length, Mass, Measured, Said, Source, Volume};
use caddis_geometry::{Bounds3, Mesh, Pose, Prism, SectionStack, Vec3};

/// Which way of the item's own frame points up when packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Up {
    /// +z of its own frame.
    PlusZ,
    /// -z.
    MinusZ,
    /// +x.
    PlusX,
    /// -x.
    MinusX,
    /// +y.
    PlusY,
    /// -y.
    MinusY,
}

impl Up {
    /// All six.
    pub const ALL: [Self; 6] = [
        Self::PlusZ,
        Self::MinusZ,
        Self::PlusX,
        Self::MinusX,
        Self::PlusY,
        Self::MinusY,
    ];

    /// As written in files: `+z`, `-z`, `+x`, ...
    pub fn as_str(self) -> &'static str {
        match self {
            Self::PlusZ => "+z",
            Self::MinusZ => "-z",
            Self::PlusX => "+x",
            Self::MinusX => "-x",
            Self::PlusY => "+y",
            Self::MinusY => "-y",
        }
    }

    /// From its written form.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|up| up.as_str() == text)
    }
}

/// A simple solid, centred on its own origin in plan, standing on z = 0 of its own frame.
#[derive(Debug, Clone, PartialEq)]
pub enum Primitive {
    /// A box.
    Cuboid {
        /// Along its x.
        length: Length,
        /// Along its y.
        width: Length,
        /// Along its z.
        height: Length,
    },
    /// A cylinder about its z.
    Cylinder {
        /// Diameter.
        diameter: Length,
        /// Along its z.
        height: Length,
    },
}

/// A primitive placed in a compound.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The solid.
    pub solid: Primitive,
    /// Where its origin lies in the item's frame.
    pub at: Vec3,
    /// Which of its own directions points to the item's +z.
    pub up: Up,
}

/// What an item looks like.
#[derive(Debug, Clone, PartialEq)]
pub enum ItemShape {
    /// One primitive.
    Primitive(Primitive),
    /// Several, overlapping allowed.
    Compound(Vec<Part>),
    /// A triangle mesh in metres, welded.
    Mesh {
        /// The triangles.
        mesh: Mesh,
        /// The file it came from, for papers.
        file: String,
        /// Why it may not be the whole piece, as its reader said.
        doubts: Vec<Said>,
    },
}

/// What shock it stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Fragility {
    /// Stated, with its source in the measured value.
    Known(Measured<Acceleration>),
    /// Nobody knows: the design gives the reverse answer.
    Unknown,
    /// Has none: soft goods.
    None,
}

/// Soft and loose goods: cable coils, straps, pouches, manuals. They have a volume, and a radius below which they must not
/// be bent, but no fragility: no fall is judged for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Softness {
    /// A cable coil's least bend radius, if it matters.
    pub least_bend_radius: Option<Length>,
    /// Least volume it can be pressed to.
    pub volume: Volume,
}

/// One kind of equipment on the packing list.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Id, unique in the job.
    pub id: ItemId,
    /// Name on papers.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// What it looks like.
    pub shape: ItemShape,
    /// Worst-case half-width on every outside dimension.
    pub size_tolerance: Length,
    /// Mass of one.
    pub mass: Measured<Mass>,
    /// Centre of mass in its own frame; `None` means the centre of volume.
    pub centre_of_mass: Option<Vec3>,
    /// What shock it stands.
    pub fragility: Fragility,
    /// Soft goods have this.
    pub softness: Option<Softness>,
    /// Allowed ways up, never empty.
    pub ways_up: Vec<Up>,
    /// May be turned about the vertical.
    pub may_turn: bool,
    /// Directions of its own frame that must carry no load in storage (face names as `Up`).
    pub no_load: Vec<Up>,
    /// Room beside it that foam keeps out of: cables, connectors, what must not be touched.
    pub keep_clear: Vec<ClearRoom>,
    /// Faces (names as `Up`) by which fingers may take it; empty where any will do.
    pub grips: Vec<Up>,
    /// Reach this first: upper tier.
    pub reach_first: bool,
    /// May lie in a pocket of the lid pad where that makes room.
    pub may_lie_in_lid: bool,
    /// What it asks of the foam that touches it.
    pub requires: Vec<Requirement>,
    /// What it asks of that foam by value.
    pub foam: FoamWish,
    /// Who signed for its fragility, where that is a class assumed and not a value stated.
    pub fragility_assumed_by: Option<String>,
    /// Points whose acceleration is followed in falls, in its own frame, each with its name.
    pub points: Vec<(String, Vec3)>,
    /// Remarks for whoever packs it.
    pub note: String,
    /// What papers for customs say of it.
    pub declared: Declared,
    /// Source of its data.
    pub source: Source,
}

/// An item turned the way it lies: plan centred on its bounding box, standing on z = 0.
#[derive(Debug, Clone, PartialEq)]
pub struct PosedItem {
    /// From the item's frame into this one.
    pub pose: Pose,
    /// Outer section stack, bands no thicker than asked, at nominal size.
    pub stack: SectionStack,
    /// Room it keeps clear of foam. Where it reaches below the item, the room and not the item stands on z = 0.
    pub clear: Vec<Prism>,
    /// Centre of mass.
    pub centre_of_mass: Vec3,
    /// Outer box.
    pub bounds: Bounds3,
}

#[cfg(test)]
mod tests;
