//! Where a number or a rule comes from, and how sure that is.

use crate::{Said, said};
use std::fmt;

/// How sure a value is. The mark travels with the value into code, library and papers and is never raised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Certainty {
    /// A definition or an exact conversion.
    Defined,
    /// Read in the primary published text.
    Published,
    /// Read in a second text that quotes the primary one.
    Secondary,
    /// Follows by algebra from a stated model.
    Derived,
    /// Measured, by a named person or dataset.
    Measured,
    /// Recalled, and its parts close on a total that was recalled with them; not read.
    MemoryChecked,
    /// Recalled, not read. Verify before relying on it.
    Memory,
    /// What shops do; no citable source.
    CommonPractice,
    /// Estimated by a model; a supplier's curve or a test should replace it.
    Model,
    /// Invented for the demonstration.
    Invented,
}

impl Certainty {
    /// The words printed beside the value.
    pub fn words(self) -> &'static str {
        match self {
            Self::Defined => "defined",
            Self::Published => "published",
            Self::Secondary => "published, seen in a second text",
            Self::Derived => "derived",
            Self::Measured => "measured",
            Self::MemoryChecked => "from memory, parts close on the total",
            Self::Memory => "from memory, unverified",
            Self::CommonPractice => "common practice, no source",
            Self::Model => "model estimate",
            Self::Invented => "invented for the demonstration",
        }
    }

    /// The same for a sentence.
    pub fn said(self) -> Said {
        Said::one_of("certainty", self.words())
    }
}

impl fmt::Display for Certainty {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A citation with its certainty.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Source {
    /// The citation, or a short description of who measured what. May be empty for common practice.
    pub citation: Said,
    /// How sure the value is.
    pub certainty: Certainty,
}

impl Source {
    /// A citation with its certainty.
    pub fn new(citation: impl Into<String>, certainty: Certainty) -> Self {
        Self {
            citation: Said::name(citation),
            certainty,
        }
    }

    /// What the program itself says of where a value comes from.
    pub fn own(words: Said, certainty: Certainty) -> Self {
        Self {
            citation: words,
            certainty,
        }
    }

    /// A fact of the trade that nobody can cite.
    pub fn common_practice() -> Self {
        Self::new("", Certainty::CommonPractice)
    }

    /// An algebraic consequence of a named model.
    pub fn derived(model: impl Into<Said>) -> Self {
        Self {
            citation: model.into(),
            certainty: Certainty::Derived,
        }
    }

    /// The citation with its certainty, for a sentence.
    pub fn said(&self) -> Said {
        let certainty = self.certainty.said();
        if self.citation.is_empty() {
            certainty
        } else {
            said!("{citation} ({certainty})", citation = self.citation, certainty)
        }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.citation.is_empty() {
            write!(f, "{}", self.certainty)
        } else {
            write!(f, "{} ({})", self.citation, self.certainty)
        }
    }
}
