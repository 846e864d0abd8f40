//! What a job asks of its foam beside cavities: how trays are lifted and pieces pushed out, where cables run, where a label lies,
//! how the foam is kept in, which colours its layers have.

use crate::{Block, BlockKind};
use caddis_basis::{InstanceId, Length, Pressure};

/// How people take a tray out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TrayLift {
    /// Nothing is said: by its edges.
    #[default]
    ByEdges,
    /// A hole for the fingers of a hand at each of two ends.
    Holes,
    /// A pull strap at each of two ends.
    Straps,
}

/// What keeps foam in a half of the case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HeldBy {
    /// Its squeeze against the walls alone.
    #[default]
    Squeeze,
    /// Adhesive to the shell.
    Adhesive,
    /// A board glued to it and fixed in the lid; of the lid pad alone.
    Board,
}

/// A cable channel that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelWish {
    /// The pieces whose cavities it joins.
    pub between: (InstanceId, InstanceId),
    /// Width.
    pub width: Length,
    /// Depth below the tier's top.
    pub depth: Length,
}

/// A recess for a label in the uppermost foam under the lid pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelWish {
    /// Side along the opening.
    pub length: Length,
    /// The other side.
    pub width: Length,
    /// Depth.
    pub depth: Length,
}

/// A colour of foam.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayerColour {
    /// Its name on the shop's stock.
    pub name: String,
    /// As pictures show it: red, green, blue.
    pub shade: [u8; 3],
}

/// Two colours, so that a missing piece shows at a glance.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayerColours {
    /// Of each block's uppermost layer.
    pub top: LayerColour,
    /// Of the layers below, in which cavities have their floors.
    pub floors: LayerColour,
}

/// A board that foam is glued to: behind the lid pad, or in a tray.
#[derive(Debug, Clone, PartialEq)]
pub struct BackBoard {
    /// Thickness: the room for foam is so much less high.
    pub thickness: Length,
    /// Mass of a square metre, kilograms.
    pub mass_per_area: f64,
    /// Its modulus in bending, where the shop states one.
    pub modulus: Option<Pressure>,
}

/// What a job asks of its foam beside cavities; nothing unless it says so.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Furnishing {
    /// How people take a tray out.
    pub tray_lift: TrayLift,
    /// Pieces in trays without a finger notch get a hole to push them out by.
    pub push_out_holes: bool,
    /// The board in a tray, between the foam that bears what lies in it and the foam that covers what lies below it; none where `None`.
    pub tray_board: Option<BackBoard>,
    /// Cable channels.
    pub channels: Vec<ChannelWish>,
    /// The label's recess.
    pub label: Option<LabelWish>,
    /// What keeps the base block in.
    pub base_held_by: HeldBy,
    /// What keeps the lid pad in.
    pub lid_held_by: HeldBy,
    /// The board behind the lid pad, where one holds it.
    pub board: Option<BackBoard>,
    /// Edges of layers are bevelled to follow the walls; else they are square and the block steps from layer to layer.
    pub bevelled_edges: bool,
    /// Colours of the layers of base block and trays; any where `None`.
    pub colours: Option<LayerColours>,
}

impl Furnishing {
    /// The colour that a block's layer is to have, layers counted from its bottom; `None` where any will do.
    pub fn colour_of(&self, block: &Block, layer: usize) -> Option<&LayerColour> {
        let colours = self.colours.as_ref()?;
        match block.kind {
            BlockKind::LidPad => None,
            BlockKind::Base | BlockKind::Tray(_) if layer + 1 == block.layers.len() => Some(&colours.top),
            BlockKind::Base | BlockKind::Tray(_) => Some(&colours.floors),
        }
    }
}
