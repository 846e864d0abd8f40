//! Arrange: the loop between foam and layout.

use crate::{Brief, Change, Interior};
use caddis_basis::{Outcome, Progress};

/// How hard to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ArrangeOptions {
    /// Seed.
    pub seed: u64,
    /// Step budget of the search.
    pub steps: u64,
    /// Search workers; never changes the result.
    pub workers: usize,
}

/// Finds an interior: cushions sized by law along the load path, every item placed, cavities, notches and layers.
pub fn arrange(brief: &Brief, options: &ArrangeOptions, progress: &dyn Progress) -> Outcome<Interior> {
    let _ = (brief, options, progress);
    todo!()
}

/// Applies changes to a brief's interior and keeps what it can. The brief given is the one after the changes.
pub fn rearrange(
    interior: &Interior,
    brief: &Brief,
    changes: &[Change],
    options: &ArrangeOptions,
    progress: &dyn Progress,
) -> Outcome<Interior> {
    let _ = (interior, brief, changes, options, progress);
    todo!()
}
