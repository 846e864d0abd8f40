//! Equipment, foams and handling.

use super::parts::{FindingResult, LengthResult, MassResult, SourceResult};
use caddis_basis::Acceleration;
use caddis_design::Brief;
use caddis_protection::{Foam, LawKind};
use caddis_survey::{Fragility, Item, ItemShape, MeshReport, Primitive, Up};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What is packed, in what foam, for which handling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ContentsSection {
    /// Kinds of equipment in the order of the job.
    pub items: Vec<ItemResult>,
    /// Mass of all equipment.
    pub equipment_mass_kg: f64,
    /// Pieces of equipment.
    pub pieces: u32,
    /// Mass of papers and the like.
    pub sundries: MassResult,
    /// Foams of the job.
    pub foams: Vec<FoamResult>,
    /// Index of the base's foam in `foams`.
    pub base_foam: usize,
    /// Index of the lid pad's foam in `foams`.
    pub lid_foam: usize,
    /// The drop the design must hold.
    pub drop_height: LengthResult,
    /// Stored packed for longer than a month.
    pub stored_long: bool,
    /// Legs of the journey: kind and label.
    pub legs: Vec<LegResult>,
    /// What the entries say against themselves.
    pub findings: Vec<FindingResult>,
}

/// One kind of equipment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemResult {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// box, cylinder, compound or mesh.
    pub shape: String,
    /// The mesh file and what was read from it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mesh: Option<MeshResult>,
    /// Outside box in its own frame, metres.
    pub size_m: [f64; 3],
    /// Half-width on every outside dimension.
    pub size_tolerance_m: f64,
    /// Solid volume.
    pub volume_m3: f64,
    /// Mass of one.
    pub mass: MassResult,
    /// known, unknown or none.
    pub fragility: String,
    /// The fragility when known, in standard gravities.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fragility_g: Option<f64>,
    /// Where the fragility comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fragility_source: Option<SourceResult>,
    /// Soft goods: least volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soft_volume_m3: Option<f64>,
    /// Soft goods: least bend radius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_bend_radius_m: Option<f64>,
    /// Ways up it may lie.
    pub ways_up: Vec<String>,
    /// May be turned about the vertical.
    pub may_turn: bool,
    /// Faces that carry no load.
    pub no_load: Vec<String>,
    /// Room that foam keeps out of, by what it is for.
    pub keep_clear: Vec<String>,
    /// Faces by which fingers may take it; empty where any will do.
    pub grips: Vec<String>,
    /// Wanted in the upper tier.
    pub reach_first: bool,
    /// May lie in a pocket of the lid pad.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub may_lie_in_lid: bool,
    /// Remarks.
    pub note: String,
    /// Where its data come from.
    pub source: SourceResult,
}

/// What a mesh file was found to hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeshResult {
    /// Path in the job's folder.
    pub file: String,
    /// The format, by its content.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub format: Option<String>,
    /// Triangles after welding.
    pub triangles: usize,
    /// Whether it is a closed solid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is_closed: Option<bool>,
    /// Connected bodies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bodies: Option<usize>,
    /// What was mended.
    pub repairs: Vec<String>,
}

/// A foam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FoamResult {
    /// Id in the library.
    pub name: String,
    /// Title.
    pub title: String,
    /// Base material.
    pub material: String,
    /// Bulk density.
    pub density_kg_m3: f64,
    /// stress-energy, closed-cell-gas or table.
    pub law: String,
    /// Whether impact data back the law.
    pub is_measured_dynamic: bool,
    /// Where the law comes from.
    pub law_source: SourceResult,
    /// Where the entry comes from.
    pub source: SourceResult,
}

/// A leg of the journey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LegResult {
    /// How it is travelled.
    pub kind: String,
    /// What it is called.
    pub label: String,
}

impl ContentsSection {
    /// The section of a brief and of what was read from its mesh files, by item id.
    pub fn of(brief: &Brief, meshes: &BTreeMap<String, MeshReport>) -> Self {
        Self {
            items: brief.items.iter().map(|item| of_item(item, meshes)).collect(),
            equipment_mass_kg: brief
                .items
                .iter()
                .map(|item| item.mass.value.si() * f64::from(item.quantity))
                .sum(),
            pieces: brief.items.iter().map(|item| item.quantity).sum(),
            sundries: (&brief.sundries).into(),
            foams: brief.foams.iter().map(of_foam).collect(),
            base_foam: brief.base_foam,
            lid_foam: brief.lid_foam,
            drop_height: (&brief.handling.drop_height).into(),
            stored_long: brief.handling.stored_long,
            legs: brief
                .journey
                .legs
                .iter()
                .map(|leg| LegResult {
                    kind: leg.kind.words().to_owned(),
                    label: leg.label.clone(),
                })
                .collect(),
            findings: brief
                .items
                .iter()
                .flat_map(Item::check)
                .map(|finding| (&finding).into())
                .collect(),
        }
    }
}

fn of_item(item: &Item, meshes: &BTreeMap<String, MeshReport>) -> ItemResult {
    let shape = match &item.shape {
        ItemShape::Primitive(Primitive::Cuboid { .. }) => "box",
        ItemShape::Primitive(Primitive::Cylinder { .. }) => "cylinder",
        ItemShape::Compound(_) => "compound",
        ItemShape::Mesh { .. } => "mesh",
    };
    let mesh = match &item.shape {
        ItemShape::Mesh { mesh, file, .. } => {
            let report = meshes.get(item.id.as_str());
            Some(MeshResult {
                file: file.clone(),
                format: report.map(|report| report.format.to_string()),
                triangles: mesh.triangles.len(),
                is_closed: report.map(|report| report.is_closed),
                bodies: report.map(|report| report.bodies),
                repairs: report.map(|report| report.repairs.clone()).unwrap_or_default(),
            })
        }
        _ => None,
    };
    let size = item
        .mesh()
        .bounds()
        .map_or([0.0; 3], |bounds| super::parts::xyz(bounds.size()));
    let known = match &item.fragility {
        Fragility::Known(known) => Some(known),
        Fragility::Unknown | Fragility::None => None,
    };
    ItemResult {
        id: item.id.to_string(),
        name: item.name.clone(),
        quantity: item.quantity,
        shape: shape.to_owned(),
        mesh,
        size_m: size,
        size_tolerance_m: item.size_tolerance.si(),
        volume_m3: item.volume().si(),
        mass: (&item.mass).into(),
        fragility: match item.fragility {
            Fragility::Known(_) => "known",
            Fragility::Unknown => "unknown",
            Fragility::None => "none",
        }
        .to_owned(),
        fragility_g: known.map(|known| Acceleration::as_g(known.value)),
        fragility_source: known.and_then(|known| known.source.as_ref()).map(Into::into),
        soft_volume_m3: item.softness.as_ref().map(|soft| soft.volume.si()),
        least_bend_radius_m: item
            .softness
            .as_ref()
            .and_then(|soft| soft.least_bend_radius)
            .map(caddis_basis::Length::si),
        ways_up: words(&item.ways_up),
        may_turn: item.may_turn,
        no_load: words(&item.no_load),
        keep_clear: item.keep_clear.iter().map(|room| room.name.clone()).collect(),
        grips: words(&item.grips),
        reach_first: item.reach_first,
        may_lie_in_lid: item.may_lie_in_lid,
        note: item.note.clone(),
        source: (&item.source).into(),
    }
}

fn words(ways: &[Up]) -> Vec<String> {
    ways.iter().map(|up| up.as_str().to_owned()).collect()
}

fn of_foam(foam: &Foam) -> FoamResult {
    FoamResult {
        name: foam.name.clone(),
        title: foam.title.clone(),
        material: foam.material.clone(),
        density_kg_m3: foam.density.si(),
        law: match foam.law.kind {
            LawKind::StressEnergy { .. } => "stress-energy",
            LawKind::ClosedCellGas { .. } => "closed-cell-gas",
            LawKind::Table(_) => "table",
            LawKind::Spring(_) => "spring",
            LawKind::CushionCurves(_) => "cushion-curves",
        }
        .to_owned(),
        is_measured_dynamic: foam.law.is_measured_dynamic,
        law_source: (&foam.law.source).into(),
        source: (&foam.source).into(),
    }
}
