//! What equipment asks of its foam beside cushioning, and the classes that stand in for an unknown fragility.

use caddis_basis::{Acceleration, Certainty, Source};

/// What an item asks of the foam that touches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Requirement {
    /// No static charge.
    StaticDissipative,
    /// A flame rating.
    FlameRated,
    /// Stands fuel and oil.
    FuelResistant,
    /// Stands damp.
    DampResistant,
    /// Sheds no particles.
    NonShedding,
    /// Leaves no stain.
    NonStaining,
}

impl Requirement {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::StaticDissipative,
        Self::FlameRated,
        Self::FuelResistant,
        Self::DampResistant,
        Self::NonShedding,
        Self::NonStaining,
    ];

    /// The word in files.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::StaticDissipative => "static-dissipative",
            Self::FlameRated => "flame-rated",
            Self::FuelResistant => "fuel-resistant",
            Self::DampResistant => "damp-resistant",
            Self::NonShedding => "non-shedding",
            Self::NonStaining => "non-staining",
        }
    }

    /// From its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.as_str() == text)
    }
}

/// A class of fragility, to be assumed by someone who signs for it where nobody states a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FragilityClass {
    /// 15 to 25 G.
    ExtremelyFragile,
    /// 25 to 40 G.
    VeryDelicate,
    /// 40 to 60 G.
    Delicate,
    /// 60 to 85 G.
    ModeratelyDelicate,
    /// 85 to 115 G.
    ModeratelyRugged,
    /// From 115 G.
    Rugged,
}

impl FragilityClass {
    /// All of them, from the most fragile.
    pub const ALL: [Self; 6] = [
        Self::ExtremelyFragile,
        Self::VeryDelicate,
        Self::Delicate,
        Self::ModeratelyDelicate,
        Self::ModeratelyRugged,
        Self::Rugged,
    ];

    /// The word in files.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::ExtremelyFragile => "extremely-fragile",
            Self::VeryDelicate => "very-delicate",
            Self::Delicate => "delicate",
            Self::ModeratelyDelicate => "moderately-delicate",
            Self::ModeratelyRugged => "moderately-rugged",
            Self::Rugged => "rugged",
        }
    }

    /// From its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.as_str() == text)
    }

    /// The low edge of the class: what an assumption may count on.
    ///
    /// # Source
    /// [`FragilityClass::source`].
    pub fn least(self) -> Acceleration {
        Acceleration::g(match self {
            Self::ExtremelyFragile => 15.0,
            Self::VeryDelicate => 25.0,
            Self::Delicate => 40.0,
            Self::ModeratelyDelicate => 60.0,
            Self::ModeratelyRugged => 85.0,
            Self::Rugged => 115.0,
        })
    }

    /// Where the classes come from.
    pub fn source(self) -> Source {
        Source::new(
            format!(
                "low edge of the class {}, commonly attributed to MIL-HDBK-304, approximate fragility of packaged articles",
                self.as_str()
            ),
            Certainty::Memory,
        )
    }
}
