//! What several sections share.

use crate::written::certainty_word;
use caddis_basis::{Finding, Length, Margin, Mass, Measured, Money, Sense, Source};
use caddis_geometry::{Contour, Region, Vec2, Vec3};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Where a number or rule comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SourceResult {
    /// The citation; empty for common practice.
    pub citation: String,
    /// How sure it is: defined, published, secondary, derived, measured, memory-checked, memory, common-practice,
    /// model or invented.
    pub certainty: String,
}

impl From<&Source> for SourceResult {
    fn from(source: &Source) -> Self {
        Self {
            citation: source.citation.to_string(),
            certainty: certainty_word(source.certainty).to_owned(),
        }
    }
}

/// A length with its worst-case band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LengthResult {
    /// Metres.
    pub value_m: f64,
    /// Half-width of the band, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plus_minus_m: Option<f64>,
    /// Where it comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<SourceResult>,
}

impl From<&Measured<Length>> for LengthResult {
    fn from(measured: &Measured<Length>) -> Self {
        Self {
            value_m: measured.value.si(),
            plus_minus_m: measured.plus_minus.map(Length::si),
            source: measured.source.as_ref().map(Into::into),
        }
    }
}

/// A mass with its worst-case band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MassResult {
    /// Kilograms.
    pub value_kg: f64,
    /// Half-width of the band, kilograms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plus_minus_kg: Option<f64>,
    /// Where it comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<SourceResult>,
}

impl From<&Measured<Mass>> for MassResult {
    fn from(measured: &Measured<Mass>) -> Self {
        Self {
            value_kg: measured.value.si(),
            plus_minus_kg: measured.plus_minus.map(Mass::si),
            source: measured.source.as_ref().map(Into::into),
        }
    }
}

/// How far a value lies from its limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MarginResult {
    /// What was found, in `unit`.
    pub found: f64,
    /// The limit, in `unit`.
    pub limit: f64,
    /// `at-most` or `at-least`.
    pub sense: String,
    /// The unit of both; empty for a ratio.
    pub unit: String,
}

impl From<&Margin> for MarginResult {
    fn from(margin: &Margin) -> Self {
        Self {
            found: margin.found,
            limit: margin.limit,
            sense: match margin.sense {
                Sense::AtMost => "at-most",
                Sense::AtLeast => "at-least",
            }
            .to_owned(),
            unit: margin.unit.clone(),
        }
    }
}

/// Something weak or worth knowing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingResult {
    /// `code@place`.
    pub id: String,
    /// Kebab-case code.
    pub code: String,
    /// Where.
    pub place: String,
    /// Whose: survey, contents, arrangement, protection, journey, shop.
    pub domain: String,
    /// note, caution or failing.
    pub severity: String,
    /// One sentence.
    pub sentence: String,
    /// How far from the limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<MarginResult>,
    /// What would help.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<String>,
    /// The rule's source.
    pub source: SourceResult,
}

impl From<&Finding> for FindingResult {
    fn from(finding: &Finding) -> Self {
        Self {
            id: finding.id(),
            code: finding.code.to_owned(),
            place: finding.place.to_string(),
            domain: finding.domain.to_string(),
            severity: finding.severity.to_string(),
            sentence: finding.sentence.to_string(),
            margin: finding.margin.as_ref().map(Into::into),
            remedy: finding.remedy.as_ref().map(ToString::to_string),
            source: (&finding.source).into(),
        }
    }
}

/// An amount of money.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MoneyResult {
    /// Integer minor units (cents).
    pub minor: i64,
    /// Three-letter code.
    pub currency: String,
}

impl std::fmt::Display for MoneyResult {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.minor < 0 { "-" } else { "" };
        let minor = self.minor.unsigned_abs();
        write!(f, "{sign}{}.{:02} {}", minor / 100, minor % 100, self.currency)
    }
}

impl From<Money> for MoneyResult {
    fn from(money: Money) -> Self {
        Self {
            minor: money.minor(),
            currency: money.currency().code().to_owned(),
        }
    }
}

/// A plan outline: contours of corners `[x, y, bulge]` in metres; counter-clockwise encloses, clockwise is a hole; bulge
/// is tan(a quarter of the arc's angle) of the edge that leaves the corner, as in DXF.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RegionResult {
    /// Net area, m².
    pub area_m2: f64,
    /// The contours.
    pub contours: Vec<Vec<[f64; 3]>>,
}

impl From<&Region> for RegionResult {
    fn from(region: &Region) -> Self {
        let corners = |contour: &Contour| -> Vec<[f64; 3]> {
            contour
                .vertices
                .iter()
                .map(|v| [v.at.x, v.at.y, v.bulge])
                .collect()
        };
        Self {
            area_m2: region.area(),
            contours: region.contours().map(corners).collect(),
        }
    }
}

/// `[x, y]`, metres.
pub(crate) fn xy(p: Vec2) -> [f64; 2] {
    [p.x, p.y]
}

/// `[x, y, z]`, metres.
pub(crate) fn xyz(p: Vec3) -> [f64; 3] {
    [p.x, p.y, p.z]
}

/// Refuses infinite numbers and NaN, which `serde_json` would silently write as `null`.
pub(crate) fn refuse_not_finite<T: Serialize>(value: &T) -> Result<(), String> {
    value.serialize(finite::Finite).map_err(|error| error.to_string())
}

/// A serializer that only looks at numbers.
mod finite {
    use serde::ser::{self, Serialize};
    use std::fmt;

    /// The number found.
    #[derive(Debug)]
    pub(super) struct NotFinite(String);

    impl fmt::Display for NotFinite {
        fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str(&self.0)
        }
    }

    impl std::error::Error for NotFinite {}

    impl ser::Error for NotFinite {
        fn custom<T: fmt::Display>(message: T) -> Self {
            Self(message.to_string())
        }
    }

    fn check(value: f64) -> Result<(), NotFinite> {
        if value.is_finite() {
            Ok(())
        } else {
            Err(NotFinite(format!(
                "the result holds the number {value}, which JSON cannot"
            )))
        }
    }

    fn under(key: &str, inner: Result<(), NotFinite>) -> Result<(), NotFinite> {
        inner.map_err(|error| NotFinite(format!("{key}: {}", error.0)))
    }

    #[derive(Clone, Copy)]
    pub(super) struct Finite;

    macro_rules! ignore {
        ($($name:ident($kind:ty)),+) => { $(fn $name(self, _: $kind) -> Result<(), NotFinite> { Ok(()) })+ };
    }

    impl ser::Serializer for Finite {
        type Ok = ();
        type Error = NotFinite;
        type SerializeSeq = Self;
        type SerializeTuple = Self;
        type SerializeTupleStruct = Self;
        type SerializeTupleVariant = Self;
        type SerializeMap = Self;
        type SerializeStruct = Self;
        type SerializeStructVariant = Self;

        ignore!(
            serialize_bool(bool),
            serialize_i8(i8),
            serialize_i16(i16),
            serialize_i32(i32),
            serialize_i64(i64),
            serialize_u8(u8),
            serialize_u16(u16),
            serialize_u32(u32),
            serialize_u64(u64),
            serialize_char(char),
            serialize_str(&str),
            serialize_bytes(&[u8]),
            serialize_unit_struct(&'static str)
        );

        fn serialize_f32(self, value: f32) -> Result<(), NotFinite> {
            check(f64::from(value))
        }
        fn serialize_f64(self, value: f64) -> Result<(), NotFinite> {
            check(value)
        }
        fn serialize_none(self) -> Result<(), NotFinite> {
            Ok(())
        }
        fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), NotFinite> {
            value.serialize(self)
        }
        fn serialize_unit(self) -> Result<(), NotFinite> {
            Ok(())
        }
        fn serialize_unit_variant(self, _: &'static str, _: u32, _: &'static str) -> Result<(), NotFinite> {
            Ok(())
        }
        fn serialize_newtype_struct<T: Serialize + ?Sized>(
            self,
            _: &'static str,
            value: &T,
        ) -> Result<(), NotFinite> {
            value.serialize(self)
        }
        fn serialize_newtype_variant<T: Serialize + ?Sized>(
            self,
            _: &'static str,
            _: u32,
            variant: &'static str,
            value: &T,
        ) -> Result<(), NotFinite> {
            under(variant, value.serialize(self))
        }
        fn serialize_seq(self, _: Option<usize>) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_tuple(self, _: usize) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_tuple_variant(
            self,
            _: &'static str,
            _: u32,
            _: &'static str,
            _: usize,
        ) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_map(self, _: Option<usize>) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, NotFinite> {
            Ok(self)
        }
        fn serialize_struct_variant(
            self,
            _: &'static str,
            _: u32,
            _: &'static str,
            _: usize,
        ) -> Result<Self, NotFinite> {
            Ok(self)
        }
    }

    macro_rules! sequence {
        ($($kind:ident::$element:ident),+) => { $(
            impl ser::$kind for Finite {
                type Ok = ();
                type Error = NotFinite;
                fn $element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), NotFinite> {
                    value.serialize(*self)
                }
                fn end(self) -> Result<(), NotFinite> {
                    Ok(())
                }
            }
        )+ };
    }
    sequence!(
        SerializeSeq::serialize_element,
        SerializeTuple::serialize_element,
        SerializeTupleStruct::serialize_field,
        SerializeTupleVariant::serialize_field
    );

    macro_rules! fields {
        ($($kind:ident),+) => { $(
            impl ser::$kind for Finite {
                type Ok = ();
                type Error = NotFinite;
                fn serialize_field<T: Serialize + ?Sized>(
                    &mut self,
                    key: &'static str,
                    value: &T,
                ) -> Result<(), NotFinite> {
                    under(key, value.serialize(*self))
                }
                fn end(self) -> Result<(), NotFinite> {
                    Ok(())
                }
            }
        )+ };
    }
    fields!(SerializeStruct, SerializeStructVariant);

    impl ser::SerializeMap for Finite {
        type Ok = ();
        type Error = NotFinite;
        fn serialize_key<T: Serialize + ?Sized>(&mut self, _: &T) -> Result<(), NotFinite> {
            Ok(())
        }
        fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), NotFinite> {
            value.serialize(*self)
        }
        fn end(self) -> Result<(), NotFinite> {
            Ok(())
        }
    }
}
