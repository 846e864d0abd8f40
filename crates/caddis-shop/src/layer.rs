//! One foam layer as a part to cut.

use crate::Engraving;
use caddis_basis::{LayerId, Length, Said, Volume, said};
use caddis_design::{BlockKind, CutTo};
use caddis_geometry::{Region, Vec2};

/// A blind pocket. A layer's pockets are nested: at any depth the foam that goes is the union of the pockets at least that
/// deep, so a stepped cavity is a wide shallow pocket around a narrow deep one, and no contour is given twice.
#[derive(Debug, Clone, PartialEq)]
pub struct Pocket {
    /// Plan (net), in the part's own frame.
    pub region: Region,
    /// Depth below the cut face, at the heights the layer has in the closed case; what is left below is floor.
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
    /// Of the cover that closes the pockets of a lid pad: a part of its own, fastened and taken off.
    pub is_cover: bool,
    /// n of N within the block.
    pub number: u32,
    /// N.
    pub of: u32,
    /// Foam id in the library, and its title.
    pub foam: String,
    /// Title of the foam, after its colour where one is asked for.
    pub foam_title: String,
    /// The colour its stock must have; any where `None`.
    pub colour: Option<String>,
    /// Stock thickness.
    pub stock: Length,
    /// Which section its outline follows.
    pub cut_to: CutTo,
    /// Its edge follows the wall instead of standing square.
    pub bevelled: bool,
    /// Outline (net).
    pub outline: Region,
    /// Cut through.
    pub through: Vec<Region>,
    /// Slits by which a hot wire enters the through cuts, from end to end in metres; none for other processes.
    pub slits: Vec<[Vec2; 2]>,
    /// Names on its face; none where the shop engraves none.
    pub engravings: Vec<Engraving>,
    /// Strokes of the mark on the face that is up while cutting, metres; `None` where no place holds them, and until it is
    /// made.
    pub mark: Option<Vec<Vec<Vec2>>>,
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

impl LayerPart {
    /// The face that is up while cutting, in words.
    pub fn face_up_said(&self) -> Said {
        if self.face_up == "underside" {
            said!("underside")
        } else {
            said!("top")
        }
    }

    /// Area the pockets hold at each depth, rising: (depth of the floor, depth of the step above, area), metres.
    pub(crate) fn pocket_steps(&self) -> Vec<(f64, f64, f64)> {
        let mut above = 0.0;
        let mut steps = Vec::new();
        for (i, pocket) in self.pockets.iter().enumerate() {
            let reaching = Region::union_all(self.pockets[i..].iter().map(|p| &p.region));
            steps.push((pocket.depth.si(), above, reaching.area()));
            above = pocket.depth.si();
        }
        steps
    }

    /// Foam left of the part when it is `height` high.
    ///
    /// # Accuracy
    /// Exact for the regions as they stand, every piece being a prism.
    pub fn foam_volume(&self, height: Length) -> Volume {
        let through: f64 = self.through.iter().map(Region::area).sum();
        let pockets: f64 = self
            .pocket_steps()
            .iter()
            .map(|(floor, above, area)| area * (floor - above))
            .sum();
        Volume::from_si((self.outline.area() - through) * height.si() - pockets)
    }

    /// The same part seen from below: x turned round. Adhesive keeps case axes.
    #[must_use]
    pub(crate) fn mirrored_as_cut(mut self) -> Self {
        self.outline = self.outline.mirrored_x();
        for region in &mut self.through {
            *region = region.mirrored_x();
        }
        for pocket in &mut self.pockets {
            pocket.region = pocket.region.mirrored_x();
        }
        for slit in &mut self.slits {
            *slit = slit.map(|end| Vec2::new(-end.x, end.y));
        }
        self.mirrored = true;
        self
    }
}
