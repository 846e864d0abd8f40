//! Irregular packing by overlap: everything is laid down at once, overlaps and all, and then pushed apart.
//!
//! [`field`] answers how deep two shapes lie in each other, [`forms`] keeps the shapes and their fields, [`state`] where
//! everything lies and how much each overlap counts, [`rack`] what a copy may meet, [`relocate`] moves one copy, [`separate`] all of them.

mod bits;
mod budget;
mod explore;
mod field;
mod fill;
mod forms;
mod rack;
mod relocate;
mod separate;
mod sheets;
mod shifts;
mod state;
mod strip;
mod trade;
mod verdict;

pub(crate) use sheets::{Figures, SheetQuestion, pack_sheets};
pub use strip::{StripError, StripOptions, StripPacking, StripPart, pack_strip};
pub use verdict::{StripViolation, strip_referee};
