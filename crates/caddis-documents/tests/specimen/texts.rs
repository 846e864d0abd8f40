//! The texts of a sheet.

use caddis_documents::{Mark, Text};

/// All texts, those of groups too.
pub(crate) fn texts(marks: &[Mark]) -> Vec<&Text> {
    marks
        .iter()
        .flat_map(|mark| match mark {
            Mark::Text(text) => vec![text],
            Mark::Group(_, marks) => texts(marks),
            Mark::Path { .. } => Vec::new(),
        })
        .collect()
}
