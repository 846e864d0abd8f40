//! Quantities as people write them, and their conversion with the field named in every error.

use crate::document::one_of;
use crate::error::{Fault, join};
use caddis_basis::{BenchUnit, Certainty, Length, Measured, Parse, QuantityError, Source};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, Error, MapAccess, Visitor};
use serde::ser::Serializer;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A quantity as text with its unit (`"24 1/2 in"`), or a bare number where the file states its bench unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Written {
    /// Text.
    Text(String),
    /// A bare number.
    Number(f64),
}

impl fmt::Display for Written {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) => f.write_str(text),
            Self::Number(number) => write!(f, "{number}"),
        }
    }
}

impl From<&str> for Written {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl Serialize for Written {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Text(text) => serializer.serialize_str(text),
            Self::Number(number) => serializer.serialize_f64(*number),
        }
    }
}

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl Visitor<'_> for Seen {
            type Value = Written;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a quantity as text with its unit, e.g. \"620 mm\"")
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Written, E> {
                Ok(Written::Text(text.to_owned()))
            }
            fn visit_i64<E: Error>(self, number: i64) -> Result<Written, E> {
                Ok(Written::Number(number as f64))
            }
            fn visit_u64<E: Error>(self, number: u64) -> Result<Written, E> {
                Ok(Written::Number(number as f64))
            }
            fn visit_f64<E: Error>(self, number: f64) -> Result<Written, E> {
                Ok(Written::Number(number))
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

/// A quantity with its ± and source: `"620 mm ± 1 mm"` or `{ value = "620 mm", plus_minus = "1 mm", source = "…" }`.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenMeasure {
    /// The value, perhaps with its ± in the text.
    pub value: Written,
    /// The ± when it stands apart.
    pub plus_minus: Option<Written>,
    /// Where it comes from, with its certainty: `"tape, two readings (measured)"`.
    pub source: Option<String>,
}

impl From<&str> for WrittenMeasure {
    fn from(text: &str) -> Self {
        Self {
            value: text.into(),
            plus_minus: None,
            source: None,
        }
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MeasureTable {
    value: Written,
    #[serde(skip_serializing_if = "Option::is_none")]
    plus_minus: Option<Written>,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<String>,
}

impl Serialize for WrittenMeasure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.plus_minus.is_none() && self.source.is_none() {
            return self.value.serialize(serializer);
        }
        MeasureTable {
            value: self.value.clone(),
            plus_minus: self.plus_minus.clone(),
            source: self.source.clone(),
        }
        .serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for WrittenMeasure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl<'de> Visitor<'de> for Seen {
            type Value = WrittenMeasure;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a quantity as text with its unit, e.g. \"620 mm ± 1 mm\", or a table with value, plus_minus and source")
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<WrittenMeasure, E> {
                Ok(text.into())
            }
            fn visit_i64<E: Error>(self, number: i64) -> Result<WrittenMeasure, E> {
                self.visit_f64(number as f64)
            }
            fn visit_u64<E: Error>(self, number: u64) -> Result<WrittenMeasure, E> {
                self.visit_f64(number as f64)
            }
            fn visit_f64<E: Error>(self, number: f64) -> Result<WrittenMeasure, E> {
                Ok(WrittenMeasure {
                    value: Written::Number(number),
                    plus_minus: None,
                    source: None,
                })
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<WrittenMeasure, A::Error> {
                let table = MeasureTable::deserialize(MapAccessDeserializer::new(map))?;
                Ok(WrittenMeasure {
                    value: table.value,
                    plus_minus: table.plus_minus,
                    source: table.source,
                })
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

/// Converts written values; knows the bench unit and the source that stands for the whole file.
#[derive(Debug, Clone)]
pub(crate) struct Bench {
    pub(crate) unit: Option<BenchUnit>,
    /// Given to every measured value that names none of its own.
    pub(crate) default_source: Option<Source>,
}

impl Bench {
    pub(crate) fn new(units: Option<&str>) -> Result<Self, Fault> {
        let unit = units
            .map(|text| BenchUnit::parse(text).map_err(|error| quantity_fault("units", &error)))
            .transpose()?;
        Ok(Self {
            unit,
            default_source: None,
        })
    }

    /// A quantity of either sign.
    pub(crate) fn signed<Q: Parse>(&self, written: &Written, field: &str) -> Result<Q, Fault> {
        Q::parse_in(&written.to_string(), self.unit).map_err(|error| quantity_fault(field, &error))
    }

    /// A quantity that may be zero.
    pub(crate) fn not_negative<Q: Parse>(&self, written: &Written, field: &str) -> Result<Q, Fault> {
        let quantity: Q = self.signed(written, field)?;
        if quantity.si() < 0.0 {
            // Only temperatures have an offset.
            let problem = if Q::UNITS.iter().any(|(.., offset)| *offset != 0.0) {
                format!("`{written}` lies below absolute zero")
            } else {
                format!("`{written}` is negative")
            };
            return Err(Fault::new(field, problem)
                .hint(format!("give a value of zero or more, e.g. `{}`", Q::EXAMPLE)));
        }
        Ok(quantity)
    }

    /// A quantity above zero.
    pub(crate) fn positive<Q: Parse>(&self, written: &Written, field: &str) -> Result<Q, Fault> {
        let quantity: Q = self.not_negative(written, field)?;
        if quantity.si() == 0.0 {
            return Err(Fault::new(field, format!("`{written}` is zero"))
                .hint(format!("give a value above zero, e.g. `{}`", Q::EXAMPLE)));
        }
        Ok(quantity)
    }

    /// A measured value of either sign: a position, a level.
    pub(crate) fn measured_signed<Q>(
        &self,
        written: &WrittenMeasure,
        field: &str,
    ) -> Result<Measured<Q>, Fault>
    where
        Q: Parse + PartialOrd + Copy,
    {
        let mut measured = Measured::<Q>::parse(&written.value.to_string(), self.unit)
            .map_err(|error| quantity_fault(field, &error))?;
        if let Some(band) = &written.plus_minus {
            let field = join(field, "plus_minus");
            if measured.plus_minus.is_some() {
                return Err(Fault::new(field, format!("`{}` has a ± already", written.value))
                    .hint("state the ± once, in the value or in `plus_minus`"));
            }
            measured.plus_minus = Some(self.not_negative(band, &field)?);
        }
        measured.source = match &written.source {
            Some(text) => Some(parse_source(text, &join(field, "source"))?),
            None => self.default_source.clone(),
        };
        Ok(measured)
    }

    /// A measured value that may be zero.
    pub(crate) fn measured<Q>(&self, written: &WrittenMeasure, field: &str) -> Result<Measured<Q>, Fault>
    where
        Q: Parse + PartialOrd + Copy,
    {
        let measured = self.measured_signed::<Q>(written, field)?;
        if measured.value.si() < 0.0 {
            return Err(Fault::new(field, format!("`{}` is negative", written.value))
                .hint(format!("give a value of zero or more, e.g. `{}`", Q::EXAMPLE)));
        }
        Ok(measured)
    }

    /// A measured value above zero.
    pub(crate) fn measured_positive<Q>(
        &self,
        written: &WrittenMeasure,
        field: &str,
    ) -> Result<Measured<Q>, Fault>
    where
        Q: Parse + PartialOrd + Copy,
    {
        let measured = self.measured::<Q>(written, field)?;
        if measured.value.si() == 0.0 {
            return Err(Fault::new(field, format!("`{}` is zero", written.value))
                .hint(format!("give a value above zero, e.g. `{}`", Q::EXAMPLE)));
        }
        Ok(measured)
    }

    /// A point in plan.
    pub(crate) fn point(&self, written: &[Written; 2], field: &str) -> Result<caddis_geometry::Vec2, Fault> {
        let x: Length = self.signed(&written[0], &format!("{field}[0]"))?;
        let y: Length = self.signed(&written[1], &format!("{field}[1]"))?;
        Ok(caddis_geometry::Vec2::new(x.si(), y.si()))
    }

    /// A point in space.
    pub(crate) fn point3(&self, written: &[Written; 3], field: &str) -> Result<caddis_geometry::Vec3, Fault> {
        let mut si = [0.0; 3];
        for (index, (value, written)) in si.iter_mut().zip(written).enumerate() {
            *value = self.signed::<Length>(written, &format!("{field}[{index}]"))?.si();
        }
        Ok(caddis_geometry::Vec3::new(si[0], si[1], si[2]))
    }

    /// Two values, the second not below the first.
    pub(crate) fn range<Q: Parse>(&self, written: &[Written; 2], field: &str) -> Result<(Q, Q), Fault> {
        let low: Q = self.not_negative(&written[0], &format!("{field}[0]"))?;
        let high: Q = self.not_negative(&written[1], &format!("{field}[1]"))?;
        if low.si() > high.si() {
            return Err(
                Fault::new(field, format!("`{}` is more than `{}`", written[0], written[1]))
                    .hint("write the least first, then the most"),
            );
        }
        Ok((low, high))
    }
}

/// The message of a quantity with its advice as the hint, and the unit that was probably meant.
fn quantity_fault(field: &str, error: &QuantityError) -> Fault {
    let message = error.to_string();
    let (problem, advice) = message.split_once("; ").unwrap_or((message.as_str(), ""));
    let hint = match error {
        QuantityError::UnknownUnit { unit, known, .. } => {
            let known: Vec<&str> = known.split(", ").collect();
            match crate::suggest::closest(unit, known.iter().copied()) {
                Some(word) => format!("did you mean `{word}`? {advice}"),
                None => advice.to_owned(),
            }
        }
        QuantityError::NotFinite { .. } => "give an ordinary number".to_owned(),
        QuantityError::Negative { .. } => "give a value of zero or more".to_owned(),
        _ => advice.to_owned(),
    };
    let fault = Fault::new(field, problem);
    if hint.is_empty() { fault } else { fault.hint(hint) }
}

/// The words of certainty as files write them.
const CERTAINTIES: [(&str, Certainty); 10] = [
    ("defined", Certainty::Defined),
    ("published", Certainty::Published),
    ("secondary", Certainty::Secondary),
    ("derived", Certainty::Derived),
    ("measured", Certainty::Measured),
    ("memory-checked", Certainty::MemoryChecked),
    ("memory", Certainty::Memory),
    ("common-practice", Certainty::CommonPractice),
    ("model", Certainty::Model),
    ("invented", Certainty::Invented),
];

/// The word of a certainty as files write it.
pub(crate) fn certainty_word(certainty: Certainty) -> &'static str {
    CERTAINTIES
        .into_iter()
        .find(|(_, known)| *known == certainty)
        .map_or("memory", |(word, _)| word)
}

/// Reads `citation (certainty)`.
pub(crate) fn parse_source(text: &str, field: &str) -> Result<Source, Fault> {
    let words: Vec<&str> = CERTAINTIES.iter().map(|(word, _)| *word).collect();
    let trimmed = text.trim();
    let Some((citation, word)) = trimmed.strip_suffix(')').and_then(|rest| rest.rsplit_once('(')) else {
        return Err(
            Fault::new(field, format!("`{trimmed}` does not say how sure it is")).hint(format!(
                "end it with one of ({}), e.g. \"tape, two readings (measured)\"",
                words.join("), (")
            )),
        );
    };
    let word = word.trim();
    let Some((_, certainty)) = CERTAINTIES.iter().find(|(known, _)| *known == word) else {
        return Err(Fault::new(field, format!("`{word}` is not a certainty")).hint(one_of(word, &words)));
    };
    Ok(Source::new(citation.trim(), *certainty))
}
