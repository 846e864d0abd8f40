//! `result.json`: everything a reader of a finished job needs, in SI with the unit in the key.
//!
//! Each stage has its section, which its command also prints alone. Positions are metres in case axes.

mod contents;
mod falls;
mod interior;
mod parts;
mod release;
mod selection;
mod shop;
mod spread;
mod survey;
mod verification;
mod vibration;

pub use contents::ContentsSection;
pub use interior::InteriorSection;
pub use parts::{FindingResult, RegionResult};
pub use release::ReleaseSection;
pub use selection::{CandidateResult, FiguresResult, SelectionSection, SplitItemResult};
pub use shop::{BillSection, ShopSection};
pub use survey::SurveySection;
pub use verification::VerificationSection;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What stands above the sections.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ResultHead {
    /// Version of Caddis.
    pub version: String,
    /// Date of the papers, ISO.
    pub date: String,
    /// Job id.
    pub job: String,
    /// Title.
    pub title: String,
    /// Customer.
    pub customer: String,
}

/// `result.json`. A stage that did not run has no section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ResultFile {
    /// Schema number.
    pub schema: u32,
    /// Version, date, job.
    pub head: ResultHead,
    /// The shell.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub survey: Option<SurveySection>,
    /// Every shell tried, where the job left the choice open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub selection: Option<SelectionSection>,
    /// Equipment, foams, journey.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contents: Option<ContentsSection>,
    /// Where everything lies, cavities, blocks, layers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interior: Option<InteriorSection>,
    /// Verdicts and findings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verification: Option<VerificationSection>,
    /// Released or blocked, and what was conceded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub release: Option<ReleaseSection>,
    /// Parts, nests, bill.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shop: Option<ShopSection>,
}

impl ResultFile {
    /// A result without sections.
    pub fn new(head: ResultHead) -> Self {
        Self {
            schema: crate::document::SCHEMA,
            head,
            survey: None,
            selection: None,
            contents: None,
            interior: None,
            verification: None,
            release: None,
            shop: None,
        }
    }

    /// Pretty JSON with a final newline.
    ///
    /// # Errors
    /// As [`to_json`].
    pub fn to_json(&self) -> Result<String, String> {
        to_json(self)
    }
}

/// Any section or file as pretty JSON with a final newline: keys in the order of the types, numbers as the shortest
/// text that reads back the same.
///
/// # Errors
/// A number that is not finite where one is due: JSON cannot hold it.
pub fn to_json<T: Serialize>(value: &T) -> Result<String, String> {
    parts::refuse_not_finite(value)?;
    let mut text = serde_json::to_string_pretty(value).map_err(|error| error.to_string())?;
    text.push('\n');
    Ok(text)
}
