//! What an item sees in its worst fall, to what it is held from where, and what a sequence of drops does.

use super::parts::SourceResult;
use caddis_basis::{Acceleration, Length};
use caddis_design::{DropSequence, HeldFrom, Shock};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a piece sees in its worst fall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShockResult {
    /// Velocity change of the first pulse.
    pub velocity_change_m_s: f64,
    /// Its length.
    pub duration_s: f64,
    /// The laboratory filter of the filtered peaks.
    pub filter: String,
    /// Time from one sample to the next; the first is at the impact.
    pub step_s: f64,
    /// The centre of mass, then the named points.
    pub points: Vec<ShockPoint>,
    /// Natural frequencies of the shock response spectrum.
    pub spectrum_hz: Vec<f64>,
    /// Largest response of the centre of mass at each, to a hundredth.
    pub spectrum_g: Vec<f64>,
    /// Share of critical damping of the spectrum.
    pub spectrum_damping: f64,
}

/// Acceleration of one point in the worst fall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShockPoint {
    /// Its name.
    pub name: String,
    /// Peak of the whole vector, unfiltered.
    pub peak_g: f64,
    /// Peak of the component along the fall, filtered.
    pub filtered_g: f64,
    /// Component against the fall, unfiltered, to a hundredth.
    pub history_g: Vec<f64>,
}

/// The height from which a piece is held to an acceleration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HeldFromResult {
    /// The acceleration.
    pub limit_g: f64,
    /// The height; left out where the lowest looked at exceeds it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Whether it still holds from the greatest height looked at.
    pub is_beyond: bool,
    /// The lowest height looked at.
    pub lowest_m: f64,
}

/// Test drops one after the other on foam that remembers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SequenceResult {
    /// Whose sequence.
    pub schedule: String,
    /// Whose, with edition and day.
    pub source: SourceResult,
    /// What is assumed.
    pub assumptions: Vec<String>,
    /// Height of every drop.
    pub height_m: f64,
    /// How the case lands, in order.
    pub drops: Vec<String>,
    /// Every hard piece.
    pub items: Vec<SequenceItem>,
}

/// One piece in a sequence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SequenceItem {
    /// Which piece.
    pub instance: String,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// holds, indicative, fails, not known.
    pub verdict: String,
    /// In words.
    pub sentence: String,
    /// Peak of each drop, to a hundredth; null where its foam bottoms or it strikes.
    pub peaks_g: Vec<Option<f64>>,
    /// Share of its foam worn in each drop, to a thousandth.
    pub worn: Vec<f64>,
}

/// More digits say nothing and fill the file.
fn hundredth(value: Acceleration) -> f64 {
    (value.as_g() * 100.0).round() / 100.0
}

impl From<&Shock> for ShockResult {
    fn from(shock: &Shock) -> Self {
        Self {
            velocity_change_m_s: shock.velocity_change.si(),
            duration_s: shock.duration.si(),
            filter: shock.filter.to_string(),
            step_s: shock.step.si(),
            points: shock
                .traces
                .iter()
                .map(|trace| ShockPoint {
                    name: trace.name.to_string(),
                    peak_g: trace.peak.as_g(),
                    filtered_g: trace.filtered.as_g(),
                    history_g: trace.along.iter().map(|a| hundredth(*a)).collect(),
                })
                .collect(),
            spectrum_hz: shock
                .spectrum
                .points
                .iter()
                .map(|point| (point.frequency.si() * 1000.0).round() / 1000.0)
                .collect(),
            spectrum_g: shock
                .spectrum
                .points
                .iter()
                .map(|point| hundredth(point.maximax()))
                .collect(),
            spectrum_damping: shock.spectrum.damping,
        }
    }
}

impl From<&HeldFrom> for HeldFromResult {
    fn from(held: &HeldFrom) -> Self {
        Self {
            limit_g: held.limit.as_g(),
            height_m: held.height.map(Length::si),
            is_beyond: held.is_beyond,
            lowest_m: held.lowest.si(),
        }
    }
}

impl From<&DropSequence> for SequenceResult {
    fn from(sequence: &DropSequence) -> Self {
        Self {
            schedule: sequence.schedule.to_string(),
            source: (&sequence.source).into(),
            assumptions: sequence.assumptions.iter().map(ToString::to_string).collect(),
            height_m: sequence.height.si(),
            drops: sequence.drops.iter().map(ToString::to_string).collect(),
            items: sequence
                .items
                .iter()
                .map(|item| SequenceItem {
                    instance: item.instance.to_string(),
                    number: item.number,
                    name: item.name.clone(),
                    verdict: item.verdict.words().to_owned(),
                    sentence: item.sentence.to_string(),
                    peaks_g: item.peaks.iter().map(|peak| peak.map(hundredth)).collect(),
                    worn: item
                        .worn
                        .iter()
                        .map(|share| (share * 1000.0).round() / 1000.0)
                        .collect(),
                })
                .collect(),
        }
    }
}
