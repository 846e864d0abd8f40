//! A value with its plus-minus and its source.

use crate::{BenchUnit, Parse, QuantityError, Source};
use std::fmt;
use std::ops::{Add, Sub};

/// A value, how far it may be off either way, and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured<Q> {
    /// The value.
    pub value: Q,
    /// Half-width of the worst-case band, never negative; `None` when nobody said.
    pub plus_minus: Option<Q>,
    /// Who or what says so; `None` when nobody said.
    pub source: Option<Source>,
}

impl<Q> Measured<Q> {
    /// A value nobody gave a tolerance for.
    pub fn exact(value: Q) -> Self {
        Self {
            value,
            plus_minus: None,
            source: None,
        }
    }
}

impl<Q: Copy + Add<Output = Q> + Sub<Output = Q>> Measured<Q> {
    /// The smallest the value may be.
    pub fn least(&self) -> Q {
        self.plus_minus.map_or(self.value, |band| self.value - band)
    }

    /// The largest the value may be.
    pub fn most(&self) -> Q {
        self.plus_minus.map_or(self.value, |band| self.value + band)
    }
}

impl<Q: Parse + PartialOrd + Copy> Measured<Q> {
    /// Parses `620 mm`, `620 mm ± 1 mm` or `620 mm +- 1 mm`.
    ///
    /// # Errors
    /// As for the quantity; a negative band.
    pub fn parse(text: &str, bench: Option<BenchUnit>) -> Result<Self, QuantityError> {
        let halves = text
            .split_once('±')
            .or_else(|| text.split_once("+-"))
            .or_else(|| text.split_once("+/-"));
        let Some((value, band)) = halves else {
            return Ok(Self::exact(Q::parse_in(text, bench)?));
        };
        let plus_minus = Q::parse_in(band, bench)?;
        if plus_minus.si() < 0.0 {
            return Err(QuantityError::Negative {
                text: text.trim().to_owned(),
                what: "the ± part",
            });
        }
        Ok(Self {
            value: Q::parse_in(value, bench)?,
            plus_minus: Some(plus_minus),
            source: None,
        })
    }
}

impl<Q: fmt::Display> fmt::Display for Measured<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.plus_minus {
            Some(band) => write!(f, "{} ± {band}", self.value),
            None => write!(f, "{}", self.value),
        }
    }
}
