//! One foam layer as a part to cut.

use caddis_basis::{LayerId, Length};
use caddis_design::{BlockKind, CutTo};
use caddis_geometry::Region;

/// A blind pocket.
#[derive(Debug, Clone, PartialEq)]
pub struct Pocket {
    /// Plan (net), in the part's own frame.
    pub region: Region,
    /// Depth below the cut face.
    pub depth: Length,
}

/// Adhesive between this layer and the one below it in the same block.
#[derive(Debug, Clone, PartialEq)]
pub struct Glue {
    /// Where adhesive goes: both faces' foam, less every cavity footprint held back from its edge. Part frame of the lower
    /// face (case axes).
    pub region: Region,
    /// The layer below.
    pub below: LayerId,
}

/// A layer as the shop cuts it. Net size; part frame = case axes in plan seen from above, except lid layers, which are
/// mirrored as cut (seen from the face that is cut).
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPart {
    /// `B1`, `T1-2`, `L1`.
    pub id: LayerId,
    /// Its block.
    pub block: BlockKind,
    /// n of N within the block.
    pub number: u32,
    /// N.
    pub of: u32,
    /// Foam id in the library, and its title.
    pub foam: String,
    /// Title of the foam.
    pub foam_title: String,
    /// Stock thickness.
    pub stock: Length,
    /// Which section its outline follows.
    pub cut_to: CutTo,
    /// Outline (net).
    pub outline: Region,
    /// Cut through.
    pub through: Vec<Region>,
    /// Blind pockets from the face that is up while cutting, deepest last.
    pub pockets: Vec<Pocket>,
    /// "top" or "underside": the face that is up while cutting, as installed.
    pub face_up: &'static str,
    /// True when the geometry is mirrored because the layer is cut from its underside (lid layers).
    pub mirrored: bool,
    /// Direction of the hinge in the part frame: +1 towards +y, -1 towards -y.
    pub hinge: i8,
    /// Adhesive to the layer below; `None` for a block's lowest layer.
    pub glue: Option<Glue>,
    /// Length of all cuts, pockets' clearing passes not counted.
    pub cut_length: Length,
}
