//! Verification: every check, every verdict.

use crate::{Brief, Interior, Verification};
use caddis_basis::Progress;

/// Which checks to run and how finely.
#[derive(Debug, Clone, PartialEq)]
pub struct Checks {
    /// Grid of the patches, metres.
    pub spacing: f64,
}

impl Default for Checks {
    fn default() -> Self {
        Self { spacing: 0.004 }
    }
}

/// Verifies the interior against the brief.
pub fn verify(interior: &Interior, brief: &Brief, checks: &Checks, progress: &dyn Progress) -> Verification {
    let _ = (interior, brief, checks, progress);
    todo!()
}
