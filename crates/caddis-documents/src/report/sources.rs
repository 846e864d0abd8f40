//! The list of sources: each is numbered where it is first cited.

use caddis_basis::Source;
use serde_json::{Value, json};

/// Sources in the order they were first cited.
#[derive(Debug, Default)]
pub(crate) struct Sources(Vec<Source>);

impl Sources {
    /// `[3] from memory, unverified`: the number in the list and the certainty. A source without a citation says its
    /// certainty alone.
    pub(crate) fn cite(&mut self, source: &Source) -> String {
        if source.citation.is_empty() {
            return source.certainty.words().to_owned();
        }
        let known = self.0.iter().position(|known| known == source);
        let index = known.unwrap_or_else(|| {
            self.0.push(source.clone());
            self.0.len() - 1
        });
        format!("[{}] {}", index + 1, source.certainty.words())
    }

    /// As [`Sources::cite`] for a source that nobody may have stated.
    pub(crate) fn cite_some(&mut self, source: Option<&Source>) -> String {
        source.map_or_else(|| "not stated".to_owned(), |source| self.cite(source))
    }

    /// Rows of number, citation, certainty.
    pub(crate) fn rows(&self) -> Value {
        self.0
            .iter()
            .enumerate()
            .map(|(index, s)| json!([format!("[{}]", index + 1), s.citation, s.certainty.words()]))
            .collect()
    }
}
