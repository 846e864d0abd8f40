//! Concessions and release.

use crate::{Signer, Verification};
use caddis_basis::{Domain, Finding, Margin, Said, said};

/// A failing finding signed for.
#[derive(Debug, Clone, PartialEq)]
pub struct Concession {
    /// The finding's code.
    pub code: String,
    /// The finding's place.
    pub place: String,
    /// The margin at signing; a worse one voids the concession.
    pub margin: Option<Margin>,
    /// Who signs.
    pub signer: Signer,
    /// Why.
    pub reason: String,
    /// ISO date.
    pub date: String,
}

/// The right to cut. Made only by [`release`].
#[derive(Debug, Clone, PartialEq)]
pub struct Release {
    conceded: Vec<(Finding, Concession)>,
}

impl Release {
    /// What was conceded.
    pub fn conceded(&self) -> &[(Finding, Concession)] {
        &self.conceded
    }
}

/// Why there is no release.
#[derive(Debug, Clone, PartialEq)]
pub struct Blocked {
    /// Failing findings nobody signed for.
    pub open: Vec<Finding>,
    /// Concessions that do not count, each with the reason.
    pub void: Vec<(Concession, Said)>,
}

/// Releases a verified design when every failing finding is conceded.
///
/// # Errors
/// What blocks.
pub fn release(verification: &Verification, concessions: &[Concession]) -> Result<Release, Blocked> {
    let mut conceded = Vec::new();
    let mut open = Vec::new();
    let mut void = Vec::new();
    for finding in caddis_basis::failing(&verification.findings) {
        let mut signed = None;
        for concession in concessions
            .iter()
            .filter(|c| c.code == finding.code && c.place == finding.place)
        {
            match refusal(finding, concession) {
                None => signed = Some(concession.clone()),
                Some(reason) => void.push((concession.clone(), reason)),
            }
        }
        match signed {
            Some(concession) => conceded.push((finding.clone(), concession)),
            None => open.push(finding.clone()),
        }
    }
    for concession in concessions {
        if !verification
            .findings
            .iter()
            .any(|f| f.code == concession.code && f.place == concession.place)
        {
            void.push((concession.clone(), said!("there is no such finding any more")));
        }
    }
    if open.is_empty() {
        Ok(Release { conceded })
    } else {
        Err(Blocked { open, void })
    }
}

/// Why this concession does not cover this finding.
fn refusal(finding: &Finding, concession: &Concession) -> Option<Said> {
    if concession.signer.name.trim().is_empty() || concession.reason.trim().is_empty() {
        return Some(said!("it carries no name or no reason"));
    }
    if finding.domain == Domain::Protection && !concession.signer.is_customer {
        return Some(said!("a concession on protection needs the customer's name"));
    }
    match (&finding.margin, &concession.margin) {
        (Some(now), Some(signed)) if now.is_worse_than(signed) => Some(said!(
            "the margin is worse than the one signed ({now}; signed at {signed})",
            now = now.said(),
            signed = signed.said()
        )),
        (Some(now), None) => Some(said!(
            "it does not state the margin it was signed at; it is now {now}",
            now = now.said()
        )),
        _ => None,
    }
}
