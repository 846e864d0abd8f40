//! The shell as surveyed.

use super::parts::{FindingResult, LengthResult, MassResult, SourceResult, xy};
use caddis_basis::Angle;
use caddis_geometry::Vec2;
use caddis_survey::{Fitting, HalfSide, Intrusion, Opening, OutlineShape, Shell, ShellHalf};
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
    /// The longest stretches of the rim that nothing holds.
    pub unlocked_spans: Vec<SpanResult>,
    /// Which sample was measured.
    pub sample: String,
    /// Its mould revision.
    pub mould_revision: String,
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

/// The longest stretch of the rim between two places that hold the lid down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpanResult {
    /// What holds: latches, or padlock points.
    pub held_by: String,
    /// Its length along the rim.
    pub length_m: f64,
    /// Its middle in plan.
    pub middle_m: [f64; 2],
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
    /// floor (or crown), a wall (left, right, front, back) or a corner (left-front …).
    pub attached_to: String,
    /// Draft of its own sides.
    pub draft_deg: f64,
    /// Radius at its foot.
    pub fillet_m: f64,
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
    /// closing, moving, sealing, stacking or marking.
    pub group: String,
    /// How many.
    pub count: u32,
    /// good, worn, damaged, missing or not checked.
    pub state: String,
    /// Whether it wears out; absent when nobody said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is_wear_part: Option<bool>,
    /// Whether it can be replaced in the field; absent when nobody said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is_field_replaceable: Option<bool>,
    /// Middle of each, case coordinates.
    pub places_m: Vec<[f64; 3]>,
    /// Height of a handle's grip over the ground.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grip_height: Option<LengthResult>,
    /// Where photos show it: "front.jpg 3".
    pub callouts: Vec<String>,
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
                    cause: cause.to_string(),
                    volume_m3: volume.si(),
                })
                .collect(),
            base: half(shell, &shell.base),
            lid: half(shell, &shell.lid),
            fittings: shell.fittings.iter().map(fitting).collect(),
            unlocked_spans: shell
                .unlocked_spans()
                .into_iter()
                .map(|span| SpanResult {
                    held_by: span.held_by.to_string(),
                    length_m: span.length.si(),
                    middle_m: xy(span.middle),
                })
                .collect(),
            sample: shell.record.sample.clone(),
            mould_revision: shell.record.mould_revision.clone(),
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
        wall_m: half.wall.value.si(),
        rim: opening(&half.rim),
        floor: opening(&half.floor),
        drafts_deg: shell.drafts(half.side).map(Angle::as_degrees),
        usable_volume_m3: shell.usable_volume(half.side).si(),
        intrusions: half
            .intrusions
            .iter()
            .map(|intrusion| {
                let (centre, size, is_circle) = plan(half, &intrusion.outline, intrusion);
                IntrusionResult {
                    name: intrusion.name.clone(),
                    kind: intrusion.kind.words().to_owned(),
                    centre_m: xy(centre),
                    size_m: size,
                    is_circle,
                    attached_to: intrusion.outline.attached_to().to_owned(),
                    draft_deg: intrusion.draft.value.as_degrees(),
                    fillet_m: intrusion.fillet.value.si(),
                    from_m: intrusion.from.value.si(),
                    to: (&intrusion.to).into(),
                    removable: intrusion.removable,
                    removed: intrusion.removed,
                }
            })
            .collect(),
    }
}

/// Centre and size of an intrusion's root, and whether it is a circle; what reaches behind the walls is left out.
fn plan(half: &ShellHalf, outline: &OutlineShape, intrusion: &Intrusion) -> (Vec2, [f64; 2], bool) {
    match outline {
        OutlineShape::Rectangle {
            centre,
            length,
            width,
            ..
        } => (centre.point(), [length.value.si(), width.value.si()], false),
        OutlineShape::Circle { centre, radius } => (centre.point(), [radius.value.si() * 2.0; 2], true),
        OutlineShape::Polygon { .. } | OutlineShape::OnWall { .. } | OutlineShape::InCorner { .. } => {
            let region = intrusion.root_region(half).intersection(&half.rim_region());
            region.bounds().map_or((Vec2::ZERO, [0.0; 2], false), |b| {
                (b.centre(), [b.size().x, b.size().y], false)
            })
        }
    }
}

fn fitting(fitting: &Fitting) -> FittingResult {
    FittingResult {
        name: fitting.name.clone(),
        group: fitting.group.words().to_owned(),
        count: fitting.count,
        state: fitting.state.words().to_owned(),
        is_wear_part: fitting.is_wear_part,
        is_field_replaceable: fitting.is_field_replaceable,
        places_m: fitting
            .places
            .iter()
            .map(|place| place.each_ref().map(|at| at.value.si()))
            .collect(),
        grip_height: fitting.grip_height.as_ref().map(Into::into),
        callouts: fitting
            .callouts
            .iter()
            .map(|callout| format!("{} {}", callout.photo, callout.number))
            .collect(),
        note: fitting.note.clone(),
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
