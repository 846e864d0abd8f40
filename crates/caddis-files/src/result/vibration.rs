//! Every piece under vibration.

use super::parts::SourceResult;
use caddis_basis::Acceleration;
use caddis_design::VibrationVerdict;
use caddis_protection::response::DamageJudgement;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One piece under vibration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VibrationResult {
    /// Which piece.
    pub instance: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// In words.
    pub sentence: String,
    /// Static stress on the foam under it.
    pub static_stress_pa: f64,
    /// Mean thickness of that foam.
    pub thickness_m: f64,
    /// Natural frequency on it, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub natural_frequency_hz: Option<f64>,
    /// Fraction of critical damping, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub damping: Option<f64>,
    /// Every leg that states a spectrum.
    pub legs: Vec<LegResponseResult>,
    /// The fall against the item's damage boundary.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shock: Option<DamageBoundaryResult>,
    /// What months and miles do to the foam under it.
    pub settling: String,
}

/// One piece on one leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LegResponseResult {
    /// Which leg, from 1.
    pub leg: usize,
    /// Its label.
    pub label: String,
    /// The spectrum's title.
    pub spectrum: String,
    /// The spectrum's source.
    pub source: SourceResult,
    /// Time under way.
    pub duration_s: f64,
    /// Level of the vehicle's floor, rms.
    pub input_g: f64,
    /// Level that reaches the piece, rms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub response_g: Option<f64>,
    /// Miles' estimate of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub miles_g: Option<f64>,
    /// Root mean square of the cushion's deflection.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deflection_m: Option<f64>,
    /// Least and most level over the cushions usual in the trade, where the piece's own is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub usual_g: Option<[f64; 2]>,
    /// The piece's own resonances.
    pub resonances: Vec<ResonanceResult>,
}

/// One resonance on one leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ResonanceResult {
    /// Its frequency.
    pub frequency_hz: f64,
    /// Amplification there.
    pub amplification: f64,
    /// What it stands, if stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_g: Option<f64>,
    /// What the cushion makes of vibration there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cushion_passes: Option<f64>,
    /// Three times the level of the part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub three_sigma_g: Option<f64>,
    /// Time past the limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_risk_s: Option<f64>,
}

/// The fall against the damage boundary.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DamageBoundaryResult {
    /// Critical velocity change.
    pub critical_velocity_change_m_s: f64,
    /// Critical acceleration.
    pub critical_acceleration_g: f64,
    /// Velocity change of the fall without and with full rebound.
    pub velocity_change_m_s: [f64; 2],
    /// too-short, too-gentle, damage; left out where no peak is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub judgement: Option<String>,
    /// In words.
    pub sentence: String,
}

impl VibrationResult {
    pub(super) fn of(verdict: &VibrationVerdict) -> Self {
        Self {
            instance: verdict.instance.to_string(),
            verdict: verdict.verdict.words().to_owned(),
            sentence: verdict.sentence.to_string(),
            static_stress_pa: verdict.static_stress.si(),
            thickness_m: verdict.thickness.si(),
            natural_frequency_hz: verdict.oscillator.map(|o| o.natural.si()),
            damping: verdict.oscillator.map(|o| o.damping),
            legs: verdict
                .legs
                .iter()
                .map(|leg| LegResponseResult {
                    leg: leg.leg + 1,
                    label: leg.label.clone(),
                    spectrum: leg.spectrum.title.to_string(),
                    source: (&leg.spectrum.source).into(),
                    duration_s: leg.duration.si(),
                    input_g: leg.input.as_g(),
                    response_g: leg.response.map(|r| r.level.as_g()),
                    miles_g: leg.response.map(|r| r.miles.as_g()),
                    deflection_m: leg.response.map(|r| r.deflection.si()),
                    usual_g: leg.usual.map(|(least, most)| [least.as_g(), most.as_g()]),
                    resonances: leg
                        .resonances
                        .iter()
                        .map(|seen| ResonanceResult {
                            frequency_hz: seen.resonance.frequency.si(),
                            amplification: seen.resonance.amplification,
                            limit_g: seen.resonance.limit.map(Acceleration::as_g),
                            cushion_passes: seen.exposure.map(|e| e.cushion_passes),
                            three_sigma_g: seen.exposure.map(|e| e.design_peak().as_g()),
                            at_risk_s: seen
                                .exposure
                                .and_then(|e| e.at_risk)
                                .map(caddis_basis::Duration::si),
                        })
                        .collect(),
                })
                .collect(),
            shock: verdict.shock.as_ref().map(|shock| DamageBoundaryResult {
                critical_velocity_change_m_s: shock.boundary.velocity_change.si(),
                critical_acceleration_g: shock.boundary.acceleration.as_g(),
                velocity_change_m_s: [shock.velocity_change.0.si(), shock.velocity_change.1.si()],
                judgement: shock.judgement.map(|judgement| {
                    match judgement {
                        DamageJudgement::TooShort => "too-short",
                        DamageJudgement::TooGentle => "too-gentle",
                        DamageJudgement::Damage => "damage",
                    }
                    .to_owned()
                }),
                sentence: shock.sentence.to_string(),
            }),
            settling: verdict.settling.to_string(),
        }
    }
}
