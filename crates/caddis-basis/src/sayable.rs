//! What may stand in a place of a sentence, and how it is written there.

use crate::{
    Acceleration, Angle, Area, CavityId, Density, Duration, Force, Frequency, InstanceId, ItemId, LayerId,
    Length, Mass, Money, Name, Pressure, Said, Speed, Temperature, Volume,
};
use std::fmt;

/// What stands in one place of a sentence.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Part {
    /// Words.
    Said(Said),
    /// A name: the same in every language.
    Name(String),
    /// Figures, with their unit where they have one: `12.5 kg`. Another language may write another decimal mark.
    Figure(String),
    /// How many: a language may choose its words by it.
    Count(i64),
}

/// How a place is to be written: `{peak:+.1}`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Manner {
    /// Whether a sign always stands.
    pub signed: bool,
    /// How many decimals, where that is said.
    pub decimals: Option<usize>,
}

/// What may stand in a sentence.
pub trait Sayable {
    /// As it stands there.
    fn part(&self, manner: Manner) -> Part;
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Said(said) => f.write_str(said),
            Self::Name(text) | Self::Figure(text) => f.write_str(text),
            Self::Count(count) => write!(f, "{count}"),
        }
    }
}

impl Manner {
    /// Figures written this way.
    pub fn figure(self, value: &dyn fmt::Display) -> Part {
        Part::Figure(match (self.signed, self.decimals) {
            (false, None) => format!("{value}"),
            (false, Some(decimals)) => format!("{value:.decimals$}"),
            (true, None) => format!("{value:+}"),
            (true, Some(decimals)) => format!("{value:+.decimals$}"),
        })
    }
}

impl<T: Sayable + ?Sized> Sayable for &T {
    fn part(&self, manner: Manner) -> Part {
        (**self).part(manner)
    }
}

impl Sayable for Said {
    fn part(&self, _: Manner) -> Part {
        Part::Said(self.clone())
    }
}

impl Sayable for str {
    fn part(&self, _: Manner) -> Part {
        Part::Name(self.to_owned())
    }
}

impl Sayable for String {
    fn part(&self, _: Manner) -> Part {
        Part::Name(self.clone())
    }
}

macro_rules! sayable {
    (Name: $($name:ty),+) => { $(impl Sayable for $name {
        fn part(&self, _: Manner) -> Part {
            Part::Name(self.to_string())
        }
    })+ };
    (Figure: $($figure:ty),+) => { $(impl Sayable for $figure {
        fn part(&self, manner: Manner) -> Part {
            manner.figure(self)
        }
    })+ };
    (Count: $($count:ty),+) => { $(impl Sayable for $count {
        fn part(&self, manner: Manner) -> Part {
            match i64::try_from(*self) {
                Ok(count) if manner == Manner::default() => Part::Count(count),
                _ => manner.figure(self),
            }
        }
    })+ };
}

sayable!(Name: Name, ItemId, CavityId, LayerId, InstanceId);
sayable!(Figure: f64, Money, Length, Area, Volume, Mass, Density, Pressure, Force, Acceleration, Speed, Duration, Frequency,
    Angle, Temperature);
sayable!(Count: u32, u64, usize, i32, i64);

impl Sayable for Part {
    fn part(&self, _: Manner) -> Part {
        self.clone()
    }
}
