//! The list of sources: each is numbered where it is first cited.

use crate::Words;
use crate::words::say;
use caddis_basis::Source;
use serde_json::{Value, json};

/// Sources in the order they were first cited.
#[derive(Debug)]
pub(crate) struct Sources<'a>(Vec<Source>, &'a Words);

impl<'a> Sources<'a> {
    /// None cited yet.
    pub(crate) fn of(words: &'a Words) -> Self {
        Self(Vec::new(), words)
    }

    fn certainty(&self, source: &Source) -> String {
        self.1.one_of("certainty", source.certainty.words())
    }

    /// `[3] from memory, unverified`: the number in the list and the certainty. A source without a citation says its
    /// certainty alone.
    pub(crate) fn cite(&mut self, source: &Source) -> String {
        if source.citation.is_empty() {
            return self.certainty(source);
        }
        let known = self.0.iter().position(|known| known == source);
        let index = known.unwrap_or_else(|| {
            self.0.push(source.clone());
            self.0.len() - 1
        });
        format!("[{}] {}", index + 1, self.certainty(source))
    }

    /// As [`Sources::cite`] for a source that nobody may have stated.
    pub(crate) fn cite_some(&mut self, source: Option<&Source>) -> String {
        match source {
            Some(source) => self.cite(source),
            None => say!(self.1, "data-not-stated"),
        }
    }

    /// Rows of number, citation, certainty.
    pub(crate) fn rows(&self) -> Value {
        self.0
            .iter()
            .enumerate()
            .map(|(index, s)| {
                json!([
                    format!("[{}]", index + 1),
                    self.1.told(&s.citation),
                    self.certainty(s)
                ])
            })
            .collect()
    }
}
