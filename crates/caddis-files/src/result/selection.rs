//! Every shell tried for a packing list.

use super::parts::{FindingResult, MoneyResult};
use caddis_basis::{Length, Mass};
use caddis_design::{Brief, Figures, Selection, Standing};
use caddis_survey::Shell;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Every shell tried, the best first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SelectionSection {
    /// What it is ranked by: gross-mass, linear-size, chargeable-weight, price or spare-room.
    pub by: String,
    /// Shells tried.
    pub tried: usize,
    /// Shells that the outer bounds let pass.
    pub within_bounds: usize,
    /// Whether it was stopped before every shell was tried.
    pub is_stopped: bool,
    /// The shells: those that do, those not needed, the refused.
    pub candidates: Vec<CandidateResult>,
    /// The packing list over several cases, where one does not do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub split: Option<Vec<SplitCaseResult>>,
}

/// One shell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CandidateResult {
    /// From 1, for those that do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rank: Option<usize>,
    /// Name in the library.
    pub shell: String,
    /// Title.
    pub title: String,
    /// `arranged` (in full, verified), `laid-out` (a first layout), `not-needed` or `refused`.
    pub standing: String,
    /// Failing findings that no concession covers; only where it is arranged in full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open_findings: Option<usize>,
    /// Whether a first layout has the cushions that its load path asks for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is_settled: Option<bool>,
    /// What it measures: bounds where nothing is laid out.
    pub figures: FiguresResult,
    /// Why it does not do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<FindingResult>,
}

/// What a case measures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FiguresResult {
    /// Kilograms; shell and contents alone where nothing is laid out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross_mass_kg: Option<f64>,
    /// Outside length, width and height added, metres.
    pub linear_size_m: f64,
    /// Kilograms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chargeable_weight_kg: Option<f64>,
    /// Interior with its shell.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<MoneyResult>,
    /// Cubic metres of foam left in base and trays.
    pub spare_room_m3: f64,
    /// How much every cushion could still grow, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spare_m: Option<f64>,
    /// Trays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trays: Option<usize>,
}

impl From<&Figures> for FiguresResult {
    fn from(figures: &Figures) -> Self {
        Self {
            gross_mass_kg: figures.gross_mass.map(Mass::si),
            linear_size_m: figures.linear_size.si(),
            chargeable_weight_kg: figures.chargeable_weight.map(Mass::si),
            price: figures.price.map(Into::into),
            spare_room_m3: figures.spare_room.si(),
            spare_m: figures.spare.map(Length::si),
            trays: figures.trays,
        }
    }
}

/// One case of a split.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplitCaseResult {
    /// Name in the library.
    pub shell: String,
    /// What goes in.
    pub items: Vec<SplitItemResult>,
    /// What it measures.
    pub figures: FiguresResult,
}

/// What of an item goes into a case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplitItemResult {
    /// Item id.
    pub item: String,
    /// Name.
    pub name: String,
    /// How many.
    pub quantity: u32,
}

impl SelectionSection {
    /// The selection of a brief over shells.
    pub fn of(selection: &Selection, brief: &Brief, shells: &[Shell]) -> Self {
        let name = |index: usize| {
            shells
                .get(index)
                .map_or_else(String::new, |shell| shell.name.clone())
        };
        let candidates = selection
            .candidates
            .iter()
            .enumerate()
            .map(|(index, candidate)| {
                let (standing, open_findings, is_settled, reason) = match &candidate.standing {
                    Standing::Arranged { open, .. } => ("arranged", Some(*open), None, None),
                    Standing::LaidOut { is_settled } => ("laid-out", None, Some(*is_settled), None),
                    Standing::Passed => ("not-needed", None, None, None),
                    Standing::Refused(finding) => ("refused", None, None, Some(finding.as_ref().into())),
                };
                CandidateResult {
                    rank: candidate.standing.fits().then_some(index + 1),
                    shell: name(candidate.shell),
                    title: shells
                        .get(candidate.shell)
                        .map_or_else(String::new, |shell| shell.title.clone()),
                    standing: standing.to_owned(),
                    open_findings,
                    is_settled,
                    figures: (&candidate.figures).into(),
                    reason,
                }
            })
            .collect();
        let split = selection.split.as_ref().map(|split| {
            split
                .cases
                .iter()
                .map(|case| SplitCaseResult {
                    shell: name(case.shell),
                    items: case
                        .items
                        .iter()
                        .filter_map(|&(index, quantity)| {
                            let item = brief.items.get(index)?;
                            Some(SplitItemResult {
                                item: item.id.as_str().to_owned(),
                                name: item.name.clone(),
                                quantity,
                            })
                        })
                        .collect(),
                    figures: (&case.figures).into(),
                })
                .collect()
        });
        Self {
            by: selection.by.as_str().to_owned(),
            tried: selection.candidates.len(),
            within_bounds: selection.within_bounds,
            is_stopped: selection.is_stopped,
            candidates,
            split,
        }
    }

    /// One row a shell, comma separated, with a head (RFC 4180).
    ///
    /// # Errors
    /// The writer's words; a table in memory gives none.
    pub fn to_csv(&self) -> Result<String, String> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let words = |error: csv::Error| error.to_string();
        writer
            .write_record([
                "rank",
                "shell",
                "title",
                "standing",
                "gross_mass_kg",
                "linear_size_m",
                "chargeable_weight_kg",
                "price",
                "spare_room_m3",
                "spare_m",
                "trays",
                "open_findings",
                "reason",
                "missing",
                "unit",
            ])
            .map_err(words)?;
        let number = |value: Option<f64>| value.map_or_else(String::new, |value| format!("{value:.4}"));
        let count = |value: Option<usize>| value.map_or_else(String::new, |value| value.to_string());
        for candidate in &self.candidates {
            let figures = &candidate.figures;
            let margin = candidate
                .reason
                .as_ref()
                .and_then(|reason| reason.margin.as_ref());
            writer
                .write_record([
                    count(candidate.rank),
                    candidate.shell.clone(),
                    candidate.title.clone(),
                    candidate.standing.clone(),
                    number(figures.gross_mass_kg),
                    number(Some(figures.linear_size_m)),
                    number(figures.chargeable_weight_kg),
                    figures
                        .price
                        .as_ref()
                        .map_or_else(String::new, ToString::to_string),
                    number(Some(figures.spare_room_m3)),
                    number(figures.spare_m),
                    count(figures.trays),
                    count(candidate.open_findings),
                    candidate
                        .reason
                        .as_ref()
                        .map_or_else(String::new, |reason| reason.sentence.clone()),
                    number(margin.map(|margin| (margin.found - margin.limit).abs())),
                    margin.map_or_else(String::new, |margin| margin.unit.clone()),
                ])
                .map_err(words)?;
        }
        let bytes = writer.into_inner().map_err(|error| error.to_string())?;
        String::from_utf8(bytes).map_err(|error| error.to_string())
    }
}
