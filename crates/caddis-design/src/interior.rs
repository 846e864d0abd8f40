//! The interior as geometry: the thing verified, and the thing made.
//!
//! Case coordinates, metres: z = 0 at the base floor, lid on top.

use caddis_basis::{CavityId, InstanceId, LayerId, Length, Said};
use caddis_geometry::{Pose, Prism, Region, SectionStack, Vec2, Vec3};
use caddis_survey::{Turn, Up};

use crate::{Brief, KeptSpace};

/// Where one piece of equipment lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Which piece.
    pub instance: InstanceId,
    /// Index into the brief's items.
    pub item: usize,
    /// Number on the packing plan, from 1, in plan reading order.
    pub number: u32,
    /// Which way up.
    pub up: Up,
    /// Turn about the vertical.
    pub turn: Turn,
    /// Plan position of the centre of its box.
    pub at: Vec2,
    /// Height of its lowest point.
    pub bottom: f64,
    /// From the item's own frame into the case.
    pub pose: Pose,
    /// Outer body in case coordinates (nominal size).
    pub body: SectionStack,
    /// Room beside it that foam keeps out of, in case coordinates.
    pub clear: Vec<Prism>,
    /// Centre of mass in case coordinates.
    pub centre_of_mass: Vec3,
    /// Tier it hangs in, 0 at the bottom; the lid comes after every tier of the base.
    pub tier: usize,
    /// Lies in a pocket of the lid pad, over its cover.
    pub in_lid: bool,
}

/// The void that holds one piece and lets it out upward; downward, where the piece lies in the lid.
#[derive(Debug, Clone, PartialEq)]
pub struct Cavity {
    /// Survives a re-solve: the instance's id.
    pub id: CavityId,
    /// Which piece.
    pub instance: InstanceId,
    /// Nested prisms from floor to the tier's top, clearance included; plan grows upward. In the lid one prism, from the top of the cover
    /// to the piece's own top, after a relief in the cover's underside where there is one.
    pub steps: Vec<Prism>,
    /// Relief in the foam over the piece, where a lid pad, or the foam under a tray's board, that bore it in full would be too stiff.
    pub over: Option<Prism>,
}

/// A place for fingers beside a cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct Notch {
    /// The cavity it serves.
    pub cavity: CavityId,
    /// The void.
    pub prism: Prism,
}

/// What an opening is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OpeningKind {
    /// Pushes a piece out of a tray from below.
    PushOut,
    /// Takes the fingers of a hand that lifts a tray.
    Lift,
    /// Lets a cable run from one cavity to another.
    Channel,
    /// Holds a label flush with the foam.
    Label,
}

impl OpeningKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::PushOut, Self::Lift, Self::Channel, Self::Label];

    /// The word on papers.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::PushOut => "push-out hole",
            Self::Lift => "lift hole",
            Self::Channel => "cable channel",
            Self::Label => "label recess",
        }
    }
}

/// What is cut beside cavities and finger notches.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// What for.
    pub kind: OpeningKind,
    /// Whose: a piece, a tray, two pieces, the label.
    pub place: String,
    /// The void.
    pub prism: Prism,
}

/// What a block is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BlockKind {
    /// Stands on the base floor.
    Base,
    /// Lifts out; counted from 1 upward.
    Tray(u32),
    /// Sits in the lid.
    LidPad,
}

/// To which section of its own height a layer's outline is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CutTo {
    /// To the section at its bottom.
    Bottom,
    /// To the section at mid-height.
    Middle,
    /// To the section at its top.
    Top,
}

/// One foam layer of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlan {
    /// `B1`, `T1-2`, `L1`: block letter and number from the bottom.
    pub id: LayerId,
    /// Bottom in the closed case.
    pub low: f64,
    /// Top in the closed case.
    pub high: f64,
    /// Stock thickness it is cut from.
    pub stock: Length,
    /// Which section the outline follows.
    pub cut_to: CutTo,
    /// Net outline: the section, less intrusions that reach into the layer (Outer), plus the wall squeeze. Arcs are arcs.
    pub outline: Region,
    /// Squeeze against the wall per side at its tightest and loosest height, metres (positive squeezes).
    pub squeeze: (f64, f64),
}

/// A block of foam glued or stacked from layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// What it is.
    pub kind: BlockKind,
    /// Index into the brief's foams.
    pub foam: usize,
    /// Bottom in the closed case.
    pub low: f64,
    /// Top in the closed case.
    pub high: f64,
    /// Layers from bottom to top (for the lid pad too: lowest first).
    pub layers: Vec<LayerPlan>,
    /// Free height of the stack before the lid squeezes it, a board in it included.
    pub free_height: f64,
    /// The board glued between two of its layers, with the holes that openings cut in it; of trays alone.
    pub board: Option<Prism>,
    /// Height up to which the layers of a lid pad are its cover: a part of its own that closes the pockets over it from below.
    pub cover: Option<f64>,
}

impl Block {
    /// Where the foam begins that bears what lies in it, or the pockets do: over its board or its cover, where it has one.
    pub fn floor(&self) -> f64 {
        let board = self.board.as_ref().map(|board| board.high);
        board.or(self.cover).unwrap_or(self.low)
    }

    /// Whether a layer of a lid pad is of its cover.
    pub fn is_of_cover(&self, layer: &LayerPlan) -> bool {
        self.cover.is_some_and(|cover| layer.high <= cover + 1e-9)
    }

    /// Whether a layer lies under its board: it covers what is below, and is cut from its underside as a lid pad is.
    pub fn is_under_board(&self, layer: &LayerPlan) -> bool {
        let board = self.board.as_ref();
        board.is_some_and(|board| layer.high <= board.low + 1e-9)
    }
}

/// The interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Interior {
    /// Blocks from bottom to top.
    pub blocks: Vec<Block>,
    /// Where everything lies, in the order of the brief's items and their numbers.
    pub places: Vec<Place>,
    /// One per place, same order. Soft goods have one too.
    pub cavities: Vec<Cavity>,
    /// Finger notches.
    pub notches: Vec<Notch>,
    /// Push-out holes, lift holes, cable channels, the label's recess.
    pub openings: Vec<Opening>,
    /// Room kept for later: foam without a cavity.
    pub spaces: Vec<KeptSpace>,
    /// Why what is to be reached first does not all lie on top, as tried; `None` where it does.
    pub not_on_top: Option<Said>,
    /// Least spare over all cushion demands, metres.
    pub spare: f64,
    /// Rounds of the foam-and-layout loop.
    pub rounds: u32,
    /// Seed used.
    pub seed: u64,
    /// Search steps used over all rounds.
    pub steps: u64,
}

impl Interior {
    /// The foam that is left of a layer at height `z`: outline minus every cavity and notch that is open there.
    pub fn foam_at(&self, block: &Block, layer: &LayerPlan, z: f64) -> Region {
        let _ = block;
        let voids: Vec<Region> = self.voids_at(z).cloned().collect();
        layer.outline.difference(&Region::union_all(&voids))
    }

    /// Volume of foam in a block after every cavity and notch is cut, m³: exact, since everything is a prism.
    pub fn foam_volume(&self, block: &Block) -> f64 {
        let mut volume = 0.0;
        for layer in &block.layers {
            let heights = self.heights_within(layer.low, layer.high);
            for pair in heights.windows(2) {
                let z = f64::midpoint(pair[0], pair[1]);
                volume += self.foam_at(block, layer, z).area() * (pair[1] - pair[0]);
            }
        }
        volume
    }

    /// The board behind the lid pad, cut to the outline of the pad's uppermost layer; `None` where none holds it.
    pub fn back_board(&self, brief: &Brief) -> Option<Prism> {
        let board = brief.furnishing.board.as_ref()?;
        let pad = self
            .blocks
            .iter()
            .rfind(|block| block.kind == BlockKind::LidPad)?;
        Some(Prism {
            region: pad.layers.last()?.outline.clone(),
            low: pad.high,
            high: pad.high + board.thickness.si(),
        })
    }

    /// The board in a tray, where a tray has one.
    pub fn tray_board(&self) -> Option<&Prism> {
        self.blocks.iter().find_map(|block| block.board.as_ref())
    }

    /// The block that the pieces of a tier lie in.
    pub fn block_of(&self, place: &Place) -> Option<&Block> {
        block_of(&self.blocks, place)
    }

    /// The cover of the lid's pockets: where it begins and ends.
    pub fn lid_cover(&self) -> Option<(f64, f64)> {
        self.blocks
            .iter()
            .find_map(|block| Some((block.low, block.cover?)))
    }

    /// The openings that are open at height `z`.
    pub fn openings_at(&self, z: f64) -> impl Iterator<Item = &Opening> {
        self.openings
            .iter()
            .filter(move |opening| opening.prism.low <= z && z < opening.prism.high)
    }

    /// Heights between `low` and `high` at which a void begins or ends, with both ends, rising.
    pub fn heights_within(&self, low: f64, high: f64) -> Vec<f64> {
        let mut heights = vec![low, high];
        for prism in self.voids() {
            heights.extend(
                [prism.low, prism.high]
                    .into_iter()
                    .filter(|z| *z > low + 1e-9 && *z < high - 1e-9),
            );
        }
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        heights
    }

    /// Everything that is cut out of the blocks: cavities with their reliefs, notches and openings.
    pub fn voids(&self) -> impl Iterator<Item = &Prism> {
        self.cavities
            .iter()
            .flat_map(|cavity| cavity.steps.iter().chain(&cavity.over))
            .chain(self.notches.iter().map(|notch| &notch.prism))
            .chain(self.openings.iter().map(|opening| &opening.prism))
    }

    /// The voids open at height `z`.
    pub fn voids_at(&self, z: f64) -> impl Iterator<Item = &Region> {
        self.voids()
            .filter(move |prism| prism.low <= z && z < prism.high)
            .map(|prism| &prism.region)
    }
}

/// The block that a piece lies in: the lid pad, or the block of its tier.
pub(crate) fn block_of<'a>(blocks: &'a [Block], place: &Place) -> Option<&'a Block> {
    let is_lid = |block: &&Block| block.kind == BlockKind::LidPad;
    if place.in_lid {
        blocks.iter().find(is_lid)
    } else {
        blocks.iter().filter(|block| !is_lid(block)).nth(place.tier)
    }
}
