//! Released, or what blocks it.

use super::parts::{FindingResult, MarginResult};
use caddis_design::{Blocked, Concession, Release};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Released, or what blocks it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReleaseSection {
    /// Whether cut files may be written.
    pub released: bool,
    /// Failing findings somebody signed for.
    pub conceded: Vec<ConcededResult>,
    /// Failing findings nobody signed for.
    pub open: Vec<FindingResult>,
    /// Concessions that do not count.
    pub void: Vec<VoidResult>,
}

/// A finding and its concession.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConcededResult {
    /// What fails.
    pub finding: FindingResult,
    /// Who signed for it.
    pub concession: ConcessionResult,
}

/// A concession.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConcessionResult {
    /// The finding's code.
    pub code: String,
    /// The finding's place.
    pub place: String,
    /// The margin at signing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<MarginResult>,
    /// Who signs.
    pub name: String,
    /// customer or shop.
    pub role: String,
    /// Why.
    pub reason: String,
    /// ISO date.
    pub date: String,
}

/// A concession that does not count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VoidResult {
    /// The concession.
    pub concession: ConcessionResult,
    /// Why it does not count.
    pub reason: String,
}

impl From<&Concession> for ConcessionResult {
    fn from(concession: &Concession) -> Self {
        Self {
            code: concession.code.clone(),
            place: concession.place.clone(),
            margin: concession.margin.as_ref().map(Into::into),
            name: concession.signer.name.clone(),
            role: if concession.signer.is_customer {
                "customer"
            } else {
                "shop"
            }
            .to_owned(),
            reason: concession.reason.clone(),
            date: concession.date.clone(),
        }
    }
}

impl ReleaseSection {
    /// The section of what release said.
    pub fn of(release: &Result<Release, Blocked>) -> Self {
        match release {
            Ok(release) => Self {
                released: true,
                conceded: release
                    .conceded()
                    .iter()
                    .map(|(finding, concession)| ConcededResult {
                        finding: finding.into(),
                        concession: concession.into(),
                    })
                    .collect(),
                open: Vec::new(),
                void: Vec::new(),
            },
            Err(blocked) => Self {
                released: false,
                conceded: Vec::new(),
                open: blocked.open.iter().map(Into::into).collect(),
                void: blocked
                    .void
                    .iter()
                    .map(|(concession, reason)| VoidResult {
                        concession: concession.into(),
                        reason: reason.to_string(),
                    })
                    .collect(),
            },
        }
    }
}
