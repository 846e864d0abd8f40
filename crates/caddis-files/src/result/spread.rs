//! The spread of peaks.

use caddis_basis::Acceleration;
use caddis_design::Spread;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How far peaks scatter under stated assumptions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpreadResult {
    /// What it assumes, in sentences.
    pub assumptions: Vec<String>,
    /// Every piece, soft goods left out.
    pub items: Vec<ItemSpreadResult>,
}

/// The spread of one piece's peak.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemSpreadResult {
    /// Which piece.
    pub instance: String,
    /// One fall in twenty is gentler.
    pub low_g: f64,
    /// Half of the falls are gentler.
    pub middle_g: f64,
    /// One fall in twenty is harder.
    pub high_g: f64,
    /// The hardest of the sample.
    pub most_g: f64,
    /// Foam was crushed past its law or something hard was struck in some fall: then `most_g` is not to be trusted.
    pub beyond_law: bool,
    /// Fragility, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_g: Option<f64>,
}

impl SpreadResult {
    pub(super) fn of(spread: &Spread) -> Self {
        // To a tenth: the sample is not better.
        let tenth = |peak: f64| (peak * 10.0).round() / 10.0;
        Self {
            assumptions: spread.assumptions.iter().map(ToString::to_string).collect(),
            items: spread
                .items
                .iter()
                .map(|item| ItemSpreadResult {
                    instance: item.instance.to_string(),
                    low_g: tenth(item.peaks.low),
                    middle_g: tenth(item.peaks.middle),
                    high_g: tenth(item.peaks.high),
                    most_g: tenth(item.peaks.most),
                    beyond_law: item.peaks.beyond_law,
                    limit_g: item.limit.map(Acceleration::as_g),
                })
                .collect(),
        }
    }
}
