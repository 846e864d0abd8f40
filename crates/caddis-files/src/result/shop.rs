//! Parts, nests and bill.

use super::interior::{PlacementResult, block_word, cut_word};
use super::parts::{FindingResult, MoneyResult, RegionResult};
use caddis_shop::{Bill, LayerPart, Shop, ShopSet};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What the shop makes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShopSection {
    /// The shop's name.
    pub shop: String,
    /// The process, with its tolerance class.
    pub process: String,
    /// The tolerance class.
    pub tolerance: String,
    /// Parts, block by block from the bottom.
    pub parts: Vec<PartResult>,
    /// Sheets and what is cut from them.
    pub nests: Vec<NestResult>,
    /// Bill and cost.
    pub bill: BillSection,
    /// Foam of the parts less foam of the interior; should be nought.
    pub volume_difference_m3: f64,
    /// Shop findings.
    pub findings: Vec<FindingResult>,
}

/// A layer as cut, net size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PartResult {
    /// Part mark.
    pub id: String,
    /// Its block.
    pub block: String,
    /// Layer n …
    pub number: u32,
    /// … of N.
    pub of: u32,
    /// Foam by library name.
    pub foam: String,
    /// The colour asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Stock thickness.
    pub stock_m: f64,
    /// Which section the outline follows.
    pub cut_to: String,
    /// Whether its edge is bevelled as the wall runs.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bevelled: bool,
    /// Which face is up while cutting.
    pub face_up: String,
    /// Whether the geometry is mirrored as cut.
    pub mirrored: bool,
    /// Length of all cuts.
    pub cut_length_m: f64,
    /// Net outline.
    pub outline: RegionResult,
    /// Cut through.
    pub through: Vec<RegionResult>,
    /// Blind pockets.
    pub pockets: Vec<PocketResult>,
    /// Adhesive area to the layer below; left out for the lowest layer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub glue_area_m2: Option<f64>,
}

/// A blind pocket.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PocketResult {
    /// Depth below the cut face.
    pub depth_m: f64,
    /// Plan.
    pub outline: RegionResult,
}

/// One sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NestResult {
    /// The stock's name.
    pub stock: String,
    /// Thickness.
    pub thickness_m: f64,
    /// Sheet length and width.
    pub sheet_m: [f64; 2],
    /// Which sheet of that stock, from 1.
    pub number: u32,
    /// Net part area over sheet area.
    pub foam_yield: f64,
    /// Length of all cuts.
    pub cut_length_m: f64,
    /// What is left and kept, from its lower left to its upper right corner on the sheet, the largest first; results of
    /// former times do not say.
    #[serde(default)]
    pub kept_m: Vec<[[f64; 2]; 2]>,
    /// The parts.
    pub parts: Vec<NestedPartResult>,
}

/// A part on a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NestedPartResult {
    /// Part mark.
    pub id: String,
    /// From the part's frame to the sheet's lower left corner.
    pub placement: PlacementResult,
}

/// Bill and cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BillSection {
    /// Material.
    pub lines: Vec<BillLineResult>,
    /// Cost in the order it adds up.
    pub costs: Vec<CostLineResult>,
    /// What it costs the shop.
    pub cost: MoneyResult,
    /// What the customer pays for the interior.
    pub price: MoneyResult,
    /// Net foam over bought foam.
    pub foam_yield: f64,
}

/// One line of material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BillLineResult {
    /// Position.
    pub position: u32,
    /// What.
    pub description: String,
    /// How much.
    pub quantity: f64,
    /// Of what unit.
    pub unit: String,
    /// Price of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_price: Option<MoneyResult>,
    /// The line's total.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub total: Option<MoneyResult>,
}

/// One line of cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CostLineResult {
    /// What.
    pub name: String,
    /// How it was computed.
    pub basis: String,
    /// How much.
    pub amount: MoneyResult,
}

impl BillSection {
    /// The section of a bill.
    pub fn of(bill: &Bill) -> Self {
        Self {
            lines: bill
                .lines
                .iter()
                .map(|line| BillLineResult {
                    position: line.position,
                    description: line.description.to_string(),
                    quantity: line.quantity,
                    unit: line.unit.to_string(),
                    unit_price: line.unit_price.map(Into::into),
                    total: line.total.map(Into::into),
                })
                .collect(),
            costs: bill
                .costs
                .iter()
                .map(|line| CostLineResult {
                    name: line.name.to_string(),
                    basis: line.basis.to_string(),
                    amount: line.amount.into(),
                })
                .collect(),
            cost: bill.cost.into(),
            price: bill.price.into(),
            foam_yield: bill.foam_yield,
        }
    }
}

impl ShopSection {
    /// The section of a set.
    pub fn of(set: &ShopSet, shop: &Shop) -> Self {
        Self {
            shop: shop.name.clone(),
            process: shop.process.name.clone(),
            tolerance: shop.process.tolerance.clone(),
            parts: set.layers.iter().map(part).collect(),
            nests: set
                .nests
                .iter()
                .map(|nest| {
                    let stock = shop.stock.get(nest.stock);
                    NestResult {
                        stock: stock.map_or_else(String::new, |stock| stock.name.clone()),
                        thickness_m: stock.map_or(0.0, |stock| stock.thickness.si()),
                        sheet_m: stock.map_or([0.0; 2], |stock| [stock.length.si(), stock.width.si()]),
                        number: nest.number,
                        foam_yield: nest.foam_yield,
                        cut_length_m: nest.cut_length.si(),
                        kept_m: nest
                            .kept
                            .iter()
                            .map(|kept| [kept.min, kept.max].map(|at| [at.x, at.y]))
                            .collect(),
                        parts: nest
                            .parts
                            .iter()
                            .map(|part| NestedPartResult {
                                id: part.layer.to_string(),
                                placement: (&part.placement).into(),
                            })
                            .collect(),
                    }
                })
                .collect(),
            bill: BillSection::of(&set.bill),
            volume_difference_m3: set.volume_difference.si(),
            findings: set.findings.iter().map(Into::into).collect(),
        }
    }
}

fn part(part: &LayerPart) -> PartResult {
    PartResult {
        id: part.id.to_string(),
        block: block_word(part.block),
        number: part.number,
        of: part.of,
        foam: part.foam.clone(),
        colour: part.colour.clone(),
        stock_m: part.stock.si(),
        cut_to: cut_word(part.cut_to).to_owned(),
        bevelled: part.bevelled,
        face_up: part.face_up.to_owned(),
        mirrored: part.mirrored,
        cut_length_m: part.cut_length.si(),
        outline: (&part.outline).into(),
        through: part.through.iter().map(Into::into).collect(),
        pockets: part
            .pockets
            .iter()
            .map(|pocket| PocketResult {
                depth_m: pocket.depth.si(),
                outline: (&pocket.region).into(),
            })
            .collect(),
        glue_area_m2: part.glue.as_ref().map(|glue| glue.region.area()),
    }
}
