//! What papers of the specimen are printed from.

use super::specimen::specimen;
use caddis_documents::{PaperInput, Words};
use caddis_shop::Shop;

/// The specimen at a shop, without a release, in English.
pub(crate) fn input(shop: &Shop) -> PaperInput<'_> {
    let s = specimen();
    PaperInput {
        brief: &s.brief,
        interior: &s.interior,
        verification: &s.verification,
        release: None,
        shop,
        set: &s.set,
        pictures: &s.pictures,
        words: Words::english(),
        date: "2026-11-25",
        revision: "A",
        version: "0.1.0",
    }
}
