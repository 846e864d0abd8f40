//! The shell as surveyed.

use super::parts::{FindingResult, LengthResult, MassResult, SourceResult, xy};
use caddis_basis::Angle;
use caddis_survey::{HalfSide, IntrusionKind, Opening, OutlineShape, Shell, ShellHalf};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The survey of the shell and what follows from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveySection {
    /// Id in the library.
    pub shell: String,
    /// Title.
    pub title: String,
    /// Length, width, height outside, closed.
    pub outside: [LengthResult; 3],
    /// Mass without interior.
    pub empty_mass: MassResult,
    /// The nominal inside box, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nominal_inside_m: Option<[f64; 3]>,
    /// Volume of the nominal box.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nominal_volume_m3: Option<f64>,
    /// Usable volume of both halves: after draft, radii and intrusions.
    pub usable_volume_m3: f64,
    /// Where the nominal box loses its volume.
    pub volume_ledger: Vec<VolumeLoss>,
    /// The base.
    pub base: HalfResult,
    /// The lid.
    pub lid: HalfResult,
    /// Fittings.
    pub fittings: Vec<FittingResult>,
    /// Which sample was measured.
    pub sample: String,
    /// Who measured.
    pub measured_by: String,
    /// When, ISO.
    pub measured_on: String,
    /// Default source of its dimensions.
    pub source: SourceResult,
    /// What the survey says against itself.
    pub findings: Vec<FindingResult>,
}

/// One cause of lost volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VolumeLoss {
    /// What takes it.
    pub cause: String,
    /// How much; negative where the shell is larger than its nominal box.
    pub volume_m3: f64,
}

/// One half.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HalfResult {
    /// From rim plane to floor or crown.
    pub depth: LengthResult,
    /// Radius between floor or crown and walls.
    pub fillet: LengthResult,
    /// Wall thickness.
    pub wall_m: f64,
    /// At the rim plane.
    pub rim: OpeningResult,
    /// At the floor or crown.
    pub floor: OpeningResult,
    /// Draft of the walls at -x, +x, -y, +y.
    pub drafts_deg: [f64; 4],
    /// Usable volume.
    pub usable_volume_m3: f64,
    /// What stands in.
    pub intrusions: Vec<IntrusionResult>,
}

/// A rounded rectangle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OpeningResult {
    /// Along x.
    pub length: LengthResult,
    /// Along y.
    pub width: LengthResult,
    /// Plan radius of the corners.
    pub corner_radius: LengthResult,
    /// Centre.
    pub centre_m: [f64; 2],
}

/// Moulded matter in the room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IntrusionResult {
    /// Name.
    pub name: String,
    /// wheel-housing, pull-handle-housing, rib, boss or other.
    pub kind: String,
    /// Centre of its root in plan.
    pub centre_m: [f64; 2],
    /// Size of its root along x and y.
    pub size_m: [f64; 2],
    /// Whether the root is a circle.
    pub is_circle: bool,
    /// Starts this far from floor or crown.
    pub from_m: f64,
    /// Reaches this far from floor or crown.
    pub to: LengthResult,
    /// May be taken off.
    pub removable: bool,
    /// Has been taken off for this job.
    pub removed: bool,
}

/// Something fitted to the shell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FittingResult {
    /// What.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Remarks.
    pub note: String,
}

impl SurveySection {
    /// The section of a shell.
    pub fn of(shell: &Shell) -> Self {
        Self {
            shell: shell.name.clone(),
            title: shell.title.clone(),
            outside: shell.outside.each_ref().map(Into::into),
            empty_mass: (&shell.empty_mass).into(),
            nominal_inside_m: shell
                .nominal_inside
                .map(|sides| sides.map(caddis_basis::Length::si)),
            nominal_volume_m3: shell
                .nominal_inside
                .map(|[length, width, height]| (length * width * height).si()),
            usable_volume_m3: (shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid)).si(),
            volume_ledger: shell
                .volume_ledger()
                .into_iter()
                .map(|(cause, volume)| VolumeLoss {
                    cause,
                    volume_m3: volume.si(),
                })
                .collect(),
            base: half(shell, &shell.base),
            lid: half(shell, &shell.lid),
            fittings: shell
                .fittings
                .iter()
                .map(|fitting| FittingResult {
                    name: fitting.name.clone(),
                    count: fitting.count,
                    note: fitting.note.clone(),
                })
                .collect(),
            sample: shell.record.sample.clone(),
            measured_by: shell.record.measured_by.clone(),
            measured_on: shell.record.measured_on.clone(),
            source: (&shell.source).into(),
            findings: shell.check().iter().map(Into::into).collect(),
        }
    }
}

fn half(shell: &Shell, half: &ShellHalf) -> HalfResult {
    HalfResult {
        depth: (&half.depth).into(),
        fillet: (&half.fillet).into(),
        wall_m: half.wall.si(),
        rim: opening(&half.rim),
        floor: opening(&half.floor),
        drafts_deg: shell.drafts(half.side).map(Angle::as_degrees),
        usable_volume_m3: shell.usable_volume(half.side).si(),
        intrusions: half
            .intrusions
            .iter()
            .map(|intrusion| {
                let (centre, size, is_circle) = match &intrusion.outline {
                    OutlineShape::Rectangle {
                        centre,
                        length,
                        width,
                        ..
                    } => (*centre, [length.si(), width.si()], false),
                    OutlineShape::Circle { centre, radius } => (*centre, [radius.si() * 2.0; 2], true),
                };
                IntrusionResult {
                    name: intrusion.name.clone(),
                    kind: match intrusion.kind {
                        IntrusionKind::WheelHousing => "wheel-housing",
                        IntrusionKind::PullHandleHousing => "pull-handle-housing",
                        IntrusionKind::Rib => "rib",
                        IntrusionKind::Boss => "boss",
                        IntrusionKind::Other => "other",
                    }
                    .to_owned(),
                    centre_m: xy(centre),
                    size_m: size,
                    is_circle,
                    from_m: intrusion.from.si(),
                    to: (&intrusion.to).into(),
                    removable: intrusion.removable,
                    removed: intrusion.removed,
                }
            })
            .collect(),
    }
}

fn opening(opening: &Opening) -> OpeningResult {
    OpeningResult {
        length: (&opening.length).into(),
        width: (&opening.width).into(),
        corner_radius: (&opening.corner_radius).into(),
        centre_m: xy(opening.centre),
    }
}
