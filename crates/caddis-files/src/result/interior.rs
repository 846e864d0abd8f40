//! The interior: places, cavities, notches, blocks and layers.

use super::parts::{RegionResult, xy, xyz};
use caddis_design::{BlockKind, Brief, CutTo, Interior, score, wishes};
use caddis_geometry::Prism;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The interior as geometry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InteriorSection {
    /// Least spare over all cushion demands.
    pub spare_m: f64,
    /// Rounds of the foam-and-layout loop.
    pub rounds: u32,
    /// Seed.
    pub seed: u64,
    /// Search steps used.
    pub steps: u64,
    /// What the arrangement was judged by beyond that everything fits with its cushions, in the order of worth.
    pub score: Vec<ScoreResult>,
    /// The wishes of the job and what became of them.
    pub wishes: Vec<WishResult>,
    /// Room kept uncut for later.
    pub spaces: Vec<SpaceResult>,
    /// Where every piece lies.
    pub places: Vec<PlaceResult>,
    /// Voids that hold the pieces.
    pub cavities: Vec<CavityResult>,
    /// Places for fingers.
    pub notches: Vec<NotchResult>,
    /// Push-out holes, lift holes, cable channels, the label's recess.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<FoamOpeningResult>,
    /// Foam blocks from bottom to top.
    pub blocks: Vec<BlockResult>,
}

/// One term of the score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScoreResult {
    /// What.
    pub name: String,
    /// How much of it there is.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Millimetres of equal worth for one of it; negative where less is better.
    pub weight: f64,
    /// Value times weight.
    pub points: f64,
}

/// A wish and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WishResult {
    /// What it concerns.
    pub place: String,
    /// In words.
    pub wish: String,
    /// Whether it is met.
    pub is_met: bool,
    /// What was found, and where it is not met, what was tried.
    pub sentence: String,
}

/// Room kept uncut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpaceResult {
    /// What for.
    pub name: String,
    /// Where.
    pub room: PrismResult,
}

/// Where one piece lies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlaceResult {
    /// `item/number`.
    pub instance: String,
    /// The item's id.
    pub item: String,
    /// Number on the packing plan.
    pub number: u32,
    /// Its name.
    pub name: String,
    /// Which of its own directions is up.
    pub up: String,
    /// Turn about the vertical in whole degrees, counter-clockwise from above.
    pub turn_deg: u16,
    /// Tier, 0 at the bottom.
    pub tier: usize,
    /// Lies in a pocket of the lid pad; then its tier is the one after those of the base.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub in_lid: bool,
    /// Least corner of its box.
    pub box_min_m: [f64; 3],
    /// Greatest corner of its box.
    pub box_max_m: [f64; 3],
    /// Centre of mass.
    pub centre_of_mass_m: [f64; 3],
}

/// A straight void.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PrismResult {
    /// Bottom.
    pub low_m: f64,
    /// Top.
    pub high_m: f64,
    /// Plan.
    pub outline: RegionResult,
}

impl From<&Prism> for PrismResult {
    fn from(prism: &Prism) -> Self {
        Self {
            low_m: prism.low,
            high_m: prism.high,
            outline: (&prism.region).into(),
        }
    }
}

/// A cavity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CavityResult {
    /// Id.
    pub id: String,
    /// Which piece it holds.
    pub instance: String,
    /// Nested steps from its floor up.
    pub steps: Vec<PrismResult>,
    /// Relief in the foam over the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<PrismResult>,
}

/// A finger notch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NotchResult {
    /// The cavity it serves.
    pub cavity: String,
    /// The void.
    pub void: PrismResult,
}

/// What is cut beside cavities and notches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FoamOpeningResult {
    /// `push-out hole`, `lift hole`, `cable channel`, `label recess`.
    pub kind: String,
    /// Whose: a piece, a tray, two pieces, the label.
    pub place: String,
    /// The void.
    pub void: PrismResult,
}

/// A block of foam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BlockResult {
    /// `base`, `tray 1`, `lid pad`.
    pub kind: String,
    /// Foam by library name.
    pub foam: String,
    /// Bottom in the closed case.
    pub low_m: f64,
    /// Top in the closed case.
    pub high_m: f64,
    /// Height before the lid squeezes it.
    pub free_height_m: f64,
    /// The board glued between two layers of a tray, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub board: Option<PrismResult>,
    /// Height up to which the layers of a lid pad are the cover of its pockets, where it has any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover_high_m: Option<f64>,
    /// Layers, lowest first.
    pub layers: Vec<LayerResult>,
}

/// A layer of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LayerResult {
    /// Id.
    pub id: String,
    /// Bottom in the closed case.
    pub low_m: f64,
    /// Top in the closed case.
    pub high_m: f64,
    /// Stock thickness.
    pub stock_m: f64,
    /// Which section of its own height the outline follows: bottom, middle or top.
    pub cut_to: String,
    /// Squeeze against the wall per side, tightest and loosest height.
    pub squeeze_m: [f64; 2],
    /// Net outline before cavities.
    pub outline: RegionResult,
}

impl InteriorSection {
    /// The section of an interior.
    pub fn of(interior: &Interior, brief: &Brief) -> Self {
        Self {
            spare_m: interior.spare,
            rounds: interior.rounds,
            seed: interior.seed,
            steps: interior.steps,
            score: score(interior, brief)
                .into_iter()
                .map(|term| ScoreResult {
                    name: term.name.to_string(),
                    value: term.value,
                    unit: term.unit.to_owned(),
                    weight: term.weight,
                    points: term.points(),
                })
                .collect(),
            wishes: wishes(interior, brief)
                .into_iter()
                .map(|verdict| WishResult {
                    place: verdict.place.to_string(),
                    wish: verdict.wish.to_string(),
                    is_met: verdict.is_met,
                    sentence: verdict.sentence.to_string(),
                })
                .collect(),
            spaces: interior
                .spaces
                .iter()
                .map(|space| SpaceResult {
                    name: space.name.clone(),
                    room: (&space.prism).into(),
                })
                .collect(),
            places: interior
                .places
                .iter()
                .map(|place| {
                    let bounds = place.body.bounds();
                    let centre = place.at.at_height(place.bottom);
                    PlaceResult {
                        instance: place.instance.to_string(),
                        item: place.instance.item.to_string(),
                        number: place.number,
                        name: brief
                            .items
                            .get(place.item)
                            .map_or_else(String::new, |item| item.name.clone()),
                        up: place.up.as_str().to_owned(),
                        turn_deg: place.turn.as_degrees(),
                        tier: place.tier,
                        in_lid: place.in_lid,
                        box_min_m: xyz(bounds.map_or(centre, |b| b.min)),
                        box_max_m: xyz(bounds.map_or(centre, |b| b.max)),
                        centre_of_mass_m: xyz(place.centre_of_mass),
                    }
                })
                .collect(),
            cavities: interior
                .cavities
                .iter()
                .map(|cavity| CavityResult {
                    id: cavity.id.to_string(),
                    instance: cavity.instance.to_string(),
                    steps: cavity.steps.iter().map(Into::into).collect(),
                    over: cavity.over.as_ref().map(Into::into),
                })
                .collect(),
            notches: interior
                .notches
                .iter()
                .map(|notch| NotchResult {
                    cavity: notch.cavity.to_string(),
                    void: (&notch.prism).into(),
                })
                .collect(),
            openings: interior
                .openings
                .iter()
                .map(|opening| FoamOpeningResult {
                    kind: opening.kind.as_str().to_owned(),
                    place: opening.place.clone(),
                    void: (&opening.prism).into(),
                })
                .collect(),
            blocks: interior
                .blocks
                .iter()
                .map(|block| BlockResult {
                    kind: block_word(block.kind),
                    foam: brief
                        .foams
                        .get(block.foam)
                        .map_or_else(String::new, |foam| foam.name.clone()),
                    low_m: block.low,
                    high_m: block.high,
                    free_height_m: block.free_height,
                    board: block.board.as_ref().map(Into::into),
                    cover_high_m: block.cover,
                    layers: block
                        .layers
                        .iter()
                        .map(|layer| LayerResult {
                            id: layer.id.to_string(),
                            low_m: layer.low,
                            high_m: layer.high,
                            stock_m: layer.stock.si(),
                            cut_to: cut_word(layer.cut_to).to_owned(),
                            squeeze_m: [layer.squeeze.0, layer.squeeze.1],
                            outline: (&layer.outline).into(),
                        })
                        .collect(),
                })
                .collect(),
        }
    }
}

/// `base`, `tray 1`, `lid pad`.
pub(crate) fn block_word(kind: BlockKind) -> String {
    match kind {
        BlockKind::Base => "base".to_owned(),
        BlockKind::Tray(number) => format!("tray {number}"),
        BlockKind::LidPad => "lid pad".to_owned(),
    }
}

/// `bottom`, `middle`, `top`.
pub(crate) fn cut_word(cut_to: CutTo) -> &'static str {
    match cut_to {
        CutTo::Bottom => "bottom",
        CutTo::Middle => "middle",
        CutTo::Top => "top",
    }
}

/// A plan placement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacementResult {
    /// Turn, counter-clockwise.
    pub angle_deg: f64,
    /// Shift after the turn.
    pub shift_m: [f64; 2],
}

impl From<&caddis_geometry::Placement2> for PlacementResult {
    fn from(placement: &caddis_geometry::Placement2) -> Self {
        Self {
            angle_deg: placement.angle.to_degrees(),
            shift_m: xy(placement.shift),
        }
    }
}
