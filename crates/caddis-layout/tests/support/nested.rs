//! Counts of nestings, for the tests.

use caddis_layout::{Nesting, SheetPart};

/// Every copy asked for is either placed or told as left over.
pub(crate) fn assert_all_told(nesting: &Nesting, parts: &[SheetPart]) {
    for (index, asked) in parts.iter().enumerate() {
        let placed = nesting
            .sheets
            .iter()
            .flat_map(|sheet| &sheet.parts)
            .filter(|part| part.part == index)
            .count();
        let left: u32 = nesting
            .unplaced
            .iter()
            .filter(|unplaced| unplaced.part == index)
            .map(|unplaced| unplaced.copies)
            .sum();
        assert_eq!(placed as u32 + left, asked.quantity, "part {index}");
    }
}
