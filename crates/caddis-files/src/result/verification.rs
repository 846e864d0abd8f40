//! Verdicts and findings.

use super::falls::{HeldFromResult, SequenceResult, ShockResult};
use super::parts::{FindingResult, MarginResult, SourceResult};
use super::spread::SpreadResult;
use super::vibration::VibrationResult;
use caddis_basis::{Acceleration, Length, Verdict};
use caddis_design::{AfterCreep, DirectionVerdict, FallVerdict, Falls, Verification};
use caddis_geometry::Vec3;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What verification says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerificationSection {
    /// Drop height used.
    pub drop_height_m: f64,
    /// Gross mass.
    pub gross_mass_kg: f64,
    /// Its worst-case half-width.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross_mass_plus_minus_kg: Option<f64>,
    /// What the simulated falls assume.
    pub fall_assumptions: Vec<String>,
    /// The journey's test drops one after the other, where a foam has data of later impacts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sequence: Option<SequenceResult>,
    /// What the gross mass is made of.
    pub masses: Vec<MassLine>,
    /// Every piece.
    pub items: Vec<ItemVerdictResult>,
    /// Every piece under vibration, soft goods left out.
    pub vibration: Vec<VibrationResult>,
    /// How far peaks scatter; left out where it could not be simulated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<SpreadResult>,
    /// The case as a whole.
    pub case: Vec<CaseVerdictResult>,
    /// Every rule that concerns a leg, on every leg.
    pub legs: Vec<LegVerdictResult>,
    /// All findings, worst first.
    pub findings: Vec<FindingResult>,
}

/// One part of the gross mass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MassLine {
    /// What.
    pub what: String,
    /// How much.
    pub mass_kg: f64,
}

/// One piece of equipment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemVerdictResult {
    /// Which piece.
    pub instance: String,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// The worst peak over the six directions, in standard gravities.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_to_g: Option<f64>,
    /// In words.
    pub sentence: String,
    /// Six flat falls; none for soft goods.
    pub directions: Vec<DirectionResult>,
    /// Simulated falls in every direction; left out for soft goods.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub falls: Option<FallsResult>,
}

/// One piece in every simulated fall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FallsResult {
    /// holds, indicative, fails, not known: the verdict on the worst fall.
    pub verdict: String,
    /// The worst fall of all.
    pub worst: FallResult,
    /// What the piece sees in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shock: Option<ShockResult>,
    /// From what height it is held to which acceleration.
    pub held_from: Vec<HeldFromResult>,
    /// The worst fall of each landing.
    pub worst_of_each: Vec<FallResult>,
    /// Every direction, the shell stopping dead.
    pub map: Vec<FallPoint>,
}

/// One simulated fall of one piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FallResult {
    /// How the case lands, in words.
    pub landing: String,
    /// Unit direction of the fall, case axes.
    pub direction: [f64; 3],
    /// The direction in words.
    pub words: String,
    /// Peak acceleration of the centre of mass; left out where foam is crushed past its law or the piece strikes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_g: Option<f64>,
    /// Largest strain of its foam.
    pub strain: f64,
    /// Whether it strikes the shell or a neighbour where no foam lies between.
    pub strikes: bool,
}

/// One direction of the map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FallPoint {
    /// Unit direction of the fall, case axes, to a millionth.
    pub direction: [f64; 3],
    /// Peak acceleration to a hundredth; left out where foam is crushed past its law or the piece strikes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_g: Option<f64>,
}

/// One direction of fall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DirectionResult {
    /// down, up, left, right, front, back.
    pub direction: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// Bearing area.
    pub area_m2: f64,
    /// Foam along the fall, area-weighted mean.
    pub thickness_m: f64,
    /// The thinnest patch that bears.
    pub least_thickness_m: f64,
    /// Mass carried.
    pub carried_kg: f64,
    /// Pieces that lean on it.
    pub carries: Vec<String>,
    /// Static stress.
    pub static_stress_pa: f64,
    /// Peak acceleration; left out where the foam bottoms or nothing supports it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_g: Option<f64>,
    /// Fragility, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_g: Option<f64>,
    /// Greatest deflection.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deflection_m: Option<f64>,
    /// Largest strain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strain: Option<f64>,
    /// 1 - strain / greatest strain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bottoming_margin: Option<f64>,
    /// Static stress against the creep limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub creep: Option<MarginResult>,
    /// The peak once the foam has settled by a tenth, where the case is stored packed for long; absent too where it then
    /// bottoms or was not measured so thin: a finding `thin-after-creep` says which.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_after_creep_g: Option<f64>,
    /// The peak of its own foam under what it carries; `peak_g` is that of a piece it leans on where that is higher.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_peak_g: Option<f64>,
    /// That piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
    /// What lies outside the law's range.
    pub out_of_range: Vec<String>,
}

/// One check of the case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseVerdictResult {
    /// Kebab-case code.
    pub code: String,
    /// Name.
    pub name: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// Found against limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<MarginResult>,
    /// One sentence.
    pub sentence: String,
    /// The rule's source.
    pub source: SourceResult,
}

/// One rule on one leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LegVerdictResult {
    /// Which leg, from 1.
    pub leg: usize,
    /// Its label.
    pub label: String,
    /// The rule.
    pub rule: String,
    /// Where.
    pub place: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// Found against limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<MarginResult>,
    /// One sentence.
    pub sentence: String,
    /// The rule's source.
    pub source: SourceResult,
}

impl VerificationSection {
    /// The section of a verification.
    pub fn of(verification: &Verification) -> Self {
        let gross = &verification.parcel.gross_mass;
        Self {
            drop_height_m: verification.drop_height.si(),
            gross_mass_kg: gross.value.si(),
            gross_mass_plus_minus_kg: gross.plus_minus.map(caddis_basis::Mass::si),
            fall_assumptions: verification
                .fall_assumptions
                .iter()
                .map(ToString::to_string)
                .collect(),
            sequence: verification.sequence.as_ref().map(Into::into),
            masses: verification
                .masses
                .iter()
                .map(|(what, mass)| MassLine {
                    what: what.to_string(),
                    mass_kg: mass.si(),
                })
                .collect(),
            items: verification
                .items
                .iter()
                .map(|item| ItemVerdictResult {
                    instance: item.instance.to_string(),
                    number: item.number,
                    name: item.name.clone(),
                    verdict: word(item.verdict),
                    held_to_g: item.held_to.map(Acceleration::as_g),
                    sentence: item.sentence.to_string(),
                    directions: item.directions.iter().map(direction).collect(),
                    falls: item.falls.as_ref().map(falls),
                })
                .collect(),
            vibration: verification.vibration.iter().map(VibrationResult::of).collect(),
            spread: verification.spread.as_ref().map(SpreadResult::of),
            case: verification
                .case
                .iter()
                .map(|check| CaseVerdictResult {
                    code: check.code.to_owned(),
                    name: check.name.to_string(),
                    verdict: word(check.verdict),
                    margin: check.margin.as_ref().map(Into::into),
                    sentence: check.sentence.to_string(),
                    source: (&check.source).into(),
                })
                .collect(),
            legs: verification
                .legs
                .iter()
                .filter(|leg| leg.applies)
                .map(|leg| LegVerdictResult {
                    leg: leg.leg + 1,
                    label: leg.leg_label.clone(),
                    rule: leg.rule.to_owned(),
                    place: leg.place.to_string(),
                    verdict: word(leg.verdict),
                    margin: leg.margin.as_ref().map(Into::into),
                    sentence: leg.sentence.to_string(),
                    source: (&leg.source).into(),
                })
                .collect(),
            findings: verification.findings.iter().map(Into::into).collect(),
        }
    }
}

fn word(verdict: Verdict) -> String {
    verdict.words().to_owned()
}

fn direction(direction: &DirectionVerdict) -> DirectionResult {
    DirectionResult {
        direction: direction.direction.as_str().to_owned(),
        verdict: word(direction.verdict),
        area_m2: direction.area.si(),
        thickness_m: direction.thickness.si(),
        least_thickness_m: direction.least_thickness.si(),
        carried_kg: direction.carried.si(),
        carries: direction.carries.iter().map(ToString::to_string).collect(),
        static_stress_pa: direction.static_stress.si(),
        peak_g: direction.peak.map(Acceleration::as_g),
        limit_g: direction.limit.map(Acceleration::as_g),
        deflection_m: direction.deflection.map(Length::si),
        strain: direction.strain,
        bottoming_margin: direction.bottoming_margin,
        creep: direction.creep.as_ref().map(Into::into),
        peak_after_creep_g: match direction.after_creep {
            Some(AfterCreep::Peak(peak)) => Some(peak.as_g()),
            Some(AfterCreep::Bottoms | AfterCreep::NotKnown) | None => None,
        },
        own_peak_g: direction.own_peak.map(Acceleration::as_g),
        with: direction.with.as_ref().map(ToString::to_string),
        out_of_range: direction
            .out_of_range
            .iter()
            .map(|left| left.sentence().to_string())
            .collect(),
    }
}

/// A unit vector's parts to a millionth: more digits say nothing and fill the file.
fn axes(v: Vec3) -> [f64; 3] {
    [v.x, v.y, v.z].map(|part| (part * 1e6).round() / 1e6)
}

fn falls(falls: &Falls) -> FallsResult {
    FallsResult {
        verdict: word(falls.verdict),
        worst: fall(&falls.worst),
        shock: falls.shock.as_ref().map(Into::into),
        held_from: falls.held_from.iter().map(Into::into).collect(),
        worst_of_each: falls.worst_of_each.iter().map(fall).collect(),
        map: falls
            .map
            .iter()
            .map(|(direction, peak)| FallPoint {
                direction: axes(*direction),
                peak_g: peak.map(|peak| (peak.as_g() * 100.0).round() / 100.0),
            })
            .collect(),
    }
}

fn fall(fall: &FallVerdict) -> FallResult {
    FallResult {
        landing: fall.landing.as_str().to_owned(),
        direction: axes(fall.direction),
        words: fall.words.to_string(),
        peak_g: fall.peak.map(Acceleration::as_g),
        strain: fall.strain,
        strikes: fall.strikes,
    }
}
