//! The four verdicts.

use std::fmt;

/// What a check concludes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// The check passes on data that supports the claim.
    Holds,
    /// The numbers pass, but the law is a model, a quasi-static curve, or is used outside its range.
    Indicative,
    /// The check fails.
    Fails,
    /// There is not enough known to say.
    NotKnown,
}

impl Verdict {
    /// The word printed on screens and papers.
    pub fn words(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Indicative => "indicative",
            Self::Fails => "fails",
            Self::NotKnown => "not known",
        }
    }

    fn rank(self) -> u8 {
        match self {
            Self::Holds => 0,
            Self::Indicative => 1,
            Self::NotKnown => 2,
            Self::Fails => 3,
        }
    }

    /// The worse of two verdicts: fails, then not known, then indicative, then holds.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        if other.rank() > self.rank() { other } else { self }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}
