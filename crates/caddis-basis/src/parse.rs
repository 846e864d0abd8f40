//! Quantities from text: `24.5 in`, `24 1/2 in`, `620 mm`, `9 lb`, `30 G`, `-20 degC`.

use crate::quantity::{
    Acceleration, Angle, Area, Density, Duration, Force, Frequency, Length, Mass, Pressure, Speed,
    Temperature, Volume,
};

/// The unit a file states once for its bare lengths (`units = "in"`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchUnit {
    /// Millimetres.
    Millimetre,
    /// Centimetres.
    Centimetre,
    /// Metres.
    Metre,
    /// Inches.
    Inch,
}

impl BenchUnit {
    /// Parses `mm`, `cm`, `m` or `in`.
    ///
    /// # Errors
    /// Anything else.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        match text.trim() {
            "mm" => Ok(Self::Millimetre),
            "cm" => Ok(Self::Centimetre),
            "m" => Ok(Self::Metre),
            "in" => Ok(Self::Inch),
            other => Err(QuantityError::UnknownUnit {
                text: text.to_owned(),
                unit: other.to_owned(),
                known: "mm, cm, m, in".to_owned(),
            }),
        }
    }

    /// One of it, in metres.
    pub fn metres(self) -> f64 {
        match self {
            Self::Millimetre => 0.001,
            Self::Centimetre => 0.01,
            Self::Metre => 1.0,
            Self::Inch => 0.0254,
        }
    }

    /// The unit as written.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
        }
    }
}

/// Why text is not a quantity. Each message says what was found and what would do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the front.
    #[error("`{text}` does not start with a number; write e.g. `{example}`")]
    NoNumber {
        /// What was found.
        text: String,
        /// What would do.
        example: &'static str,
    },
    /// A bare number.
    #[error("`{text}` has no unit; write e.g. `{example}`")]
    NoUnit {
        /// What was found.
        text: String,
        /// What would do.
        example: &'static str,
    },
    /// A unit this quantity does not know.
    #[error("`{unit}` in `{text}` is not a unit known here; use one of {known}")]
    UnknownUnit {
        /// What was found.
        text: String,
        /// The unit part.
        unit: String,
        /// What would do.
        known: String,
    },
    /// Infinite or not a number after conversion.
    #[error("`{text}` is not a finite value")]
    NotFinite {
        /// What was found.
        text: String,
    },
    /// Negative where that has no meaning.
    #[error("{what} of `{text}` is negative")]
    Negative {
        /// What was found.
        text: String,
        /// Which part.
        what: &'static str,
    },
}

/// A quantity that can be read from text.
pub trait Parse: Sized {
    /// Unit names, the factor to SI and the offset added after it.
    const UNITS: &'static [(&'static str, f64, f64)];
    /// An example for messages.
    const EXAMPLE: &'static str;
    /// Whether a bench unit stands for a missing unit.
    const IS_LENGTH: bool = false;

    /// From the SI value.
    fn of_si(value: f64) -> Self;

    /// The SI value.
    fn si(&self) -> f64;

    /// Parses text that carries its unit.
    ///
    /// # Errors
    /// No number, no unit, an unknown unit, a value that is not finite.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        Self::parse_in(text, None)
    }

    /// Parses text whose unit may be left out when the file states its bench unit (lengths only).
    ///
    /// # Errors
    /// As [`Parse::parse`].
    fn parse_in(text: &str, bench: Option<BenchUnit>) -> Result<Self, QuantityError> {
        let trimmed = text.trim();
        let (number, rest) = leading_number(trimmed).ok_or_else(|| QuantityError::NoNumber {
            text: trimmed.to_owned(),
            example: Self::EXAMPLE,
        })?;
        let unit = rest.trim();
        let value = if unit.is_empty() {
            match bench {
                Some(bench) if Self::IS_LENGTH => number * bench.metres(),
                _ => {
                    return Err(QuantityError::NoUnit {
                        text: trimmed.to_owned(),
                        example: Self::EXAMPLE,
                    });
                }
            }
        } else {
            let (_, factor, offset) =
                Self::UNITS
                    .iter()
                    .find(|(name, _, _)| *name == unit)
                    .ok_or_else(|| QuantityError::UnknownUnit {
                        text: trimmed.to_owned(),
                        unit: unit.to_owned(),
                        known: Self::UNITS
                            .iter()
                            .map(|(name, _, _)| *name)
                            .collect::<Vec<_>>()
                            .join(", "),
                    })?;
            number * factor + offset
        };
        if value.is_finite() {
            Ok(Self::of_si(value))
        } else {
            Err(QuantityError::NotFinite {
                text: trimmed.to_owned(),
            })
        }
    }
}

/// The number at the front, as a tape reads it (`24`, `24.5`, `24 1/2`, `1/2`, `-20`), and what follows.
fn leading_number(text: &str) -> Option<(f64, &str)> {
    let end = text
        .char_indices()
        .find(|&(at, c)| {
            let exponent = matches!(c, 'e' | 'E')
                && text[at + 1..]
                    .starts_with(|next: char| next.is_ascii_digit() || next == '-' || next == '+');
            let sign = matches!(c, '-' | '+') && (at == 0 || matches!(text.as_bytes()[at - 1], b'e' | b'E'));
            !(c.is_ascii_digit() || c == '.' || exponent || sign)
        })
        .map_or(text.len(), |(at, _)| at);
    let first: f64 = text[..end].parse().ok()?;
    let rest = &text[end..];
    // `1/2 in`
    if let Some((denominator, rest)) = rest.strip_prefix('/').and_then(leading_digits) {
        return Some((first / denominator, rest));
    }
    // `24 1/2 in` or `24-1/2 in`
    let after = rest.trim_start_matches([' ', '-']);
    if let Some((numerator, slash)) = leading_digits(after)
        && let Some((denominator, rest)) = slash.strip_prefix('/').and_then(leading_digits)
    {
        let fraction = numerator / denominator;
        let negative = text.starts_with('-');
        return Some((
            if negative {
                first - fraction
            } else {
                first + fraction
            },
            rest,
        ));
    }
    Some((first, rest))
}

fn leading_digits(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let value: f64 = text[..end].parse().ok()?;
    (value > 0.0).then_some((value, &text[end..]))
}

macro_rules! parse {
    ($name:ident, $example:literal, $is_length:literal, [$(($unit:literal, $factor:expr, $offset:expr)),+ $(,)?]) => {
        impl Parse for $name {
            const UNITS: &'static [(&'static str, f64, f64)] = &[$(($unit, $factor, $offset)),+];
            const EXAMPLE: &'static str = $example;
            const IS_LENGTH: bool = $is_length;

            fn of_si(value: f64) -> Self {
                Self::from_si(value)
            }

            fn si(&self) -> f64 {
                (*self).si()
            }
        }
    };
}

/// Pounds per square inch in pascals: 0.45359237 * 9.80665 / 0.0254^2.
const PSI: f64 = 6_894.757_293_168_361;

parse!(
    Length,
    "620 mm",
    true,
    [
        ("mm", 0.001, 0.0),
        ("cm", 0.01, 0.0),
        ("m", 1.0, 0.0),
        ("in", 0.0254, 0.0),
        ("\"", 0.0254, 0.0),
        ("ft", 0.3048, 0.0),
        ("km", 1000.0, 0.0),
    ]
);
parse!(
    Area,
    "120 cm2",
    false,
    [
        ("mm2", 1e-6, 0.0),
        ("cm2", 1e-4, 0.0),
        ("m2", 1.0, 0.0),
        ("in2", 0.000_645_16, 0.0),
        ("cm²", 1e-4, 0.0),
        ("m²", 1.0, 0.0),
    ]
);
parse!(
    Volume,
    "2.5 L",
    false,
    [
        ("L", 1e-3, 0.0),
        ("l", 1e-3, 0.0),
        ("ml", 1e-6, 0.0),
        ("mL", 1e-6, 0.0),
        ("cm3", 1e-6, 0.0),
        ("m3", 1.0, 0.0),
        ("in3", 1.638_706_4e-5, 0.0),
        ("ft3", 0.028_316_846_592, 0.0),
    ]
);
parse!(
    Mass,
    "9 lb",
    false,
    [
        ("kg", 1.0, 0.0),
        ("g", 1e-3, 0.0),
        ("lb", 0.453_592_37, 0.0),
        ("oz", 0.028_349_523_125, 0.0),
        ("t", 1000.0, 0.0),
    ]
);
parse!(
    Density,
    "29 kg/m3",
    false,
    [
        ("kg/m3", 1.0, 0.0),
        ("kg/m³", 1.0, 0.0),
        ("lb/ft3", 16.018_463_373_960_14, 0.0),
        ("g/cm3", 1000.0, 0.0),
    ]
);
parse!(
    Pressure,
    "30 kPa",
    false,
    [
        ("Pa", 1.0, 0.0),
        ("kPa", 1e3, 0.0),
        ("MPa", 1e6, 0.0),
        ("bar", 1e5, 0.0),
        ("mbar", 100.0, 0.0),
        ("hPa", 100.0, 0.0),
        ("psi", PSI, 0.0),
    ]
);
parse!(
    Force,
    "50 N",
    false,
    [
        ("N", 1.0, 0.0),
        ("kN", 1e3, 0.0),
        ("lbf", 4.448_221_615_260_5, 0.0)
    ]
);
parse!(
    Acceleration,
    "30 G",
    false,
    [("G", 9.806_65, 0.0), ("m/s2", 1.0, 0.0)]
);
parse!(
    Speed,
    "3.9 m/s",
    false,
    [
        ("m/s", 1.0, 0.0),
        ("in/s", 0.0254, 0.0),
        ("ft/s", 0.3048, 0.0),
        ("km/h", 1.0 / 3.6, 0.0)
    ]
);
parse!(
    Duration,
    "11 ms",
    false,
    [
        ("s", 1.0, 0.0),
        ("ms", 1e-3, 0.0),
        ("min", 60.0, 0.0),
        ("h", 3600.0, 0.0),
        ("d", 86400.0, 0.0),
        ("days", 86400.0, 0.0),
    ]
);
parse!(Frequency, "45 Hz", false, [("Hz", 1.0, 0.0), ("kHz", 1e3, 0.0)]);
parse!(
    Angle,
    "2 deg",
    false,
    [
        ("deg", std::f64::consts::PI / 180.0, 0.0),
        ("°", std::f64::consts::PI / 180.0, 0.0),
        ("rad", 1.0, 0.0)
    ]
);
parse!(
    Temperature,
    "-20 degC",
    false,
    [
        ("degC", 1.0, 273.15),
        ("°C", 1.0, 273.15),
        ("K", 1.0, 0.0),
        ("degF", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    ]
);

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_read_as_a_tape_reads() {
        for (text, mm) in [
            ("24.5 in", 622.3),
            ("24 1/2 in", 622.3),
            ("24-1/2 in", 622.3),
            ("1/2 in", 12.7),
            ("620 mm", 620.0),
            ("620mm", 620.0),
            ("  6.2e2 mm ", 620.0),
            ("-3 mm", -3.0),
            ("-1 1/2 in", -38.1),
            ("2 ft", 609.6),
        ] {
            let got = Length::parse(text).unwrap().as_mm();
            assert!((got - mm).abs() < 1e-9, "{text}: {got}");
        }
    }

    #[test]
    fn other_quantities_read() {
        assert!((Mass::parse("9 lb").unwrap().si() - 4.082_331_33).abs() < 1e-12);
        assert!((Acceleration::parse("30 G").unwrap().as_g() - 30.0).abs() < 1e-12);
        assert!((Temperature::parse("-20 degC").unwrap().si() - 253.15).abs() < 1e-12);
        assert!((Temperature::parse("212 degF").unwrap().as_celsius() - 100.0).abs() < 1e-9);
        assert!((Pressure::parse("1 psi").unwrap().as_kpa() - 6.894_757).abs() < 1e-6);
        assert!((Density::parse("1 lb/ft3").unwrap().si() - 16.018_46).abs() < 1e-5);
    }

    #[test]
    fn a_wrong_unit_says_what_would_do() {
        let error = Length::parse("24.5 inn").unwrap_err().to_string();
        assert!(
            error.contains("`inn`") && error.contains("mm, cm, m, in"),
            "{error}"
        );
        let error = Length::parse("24.5").unwrap_err().to_string();
        assert!(error.contains("no unit") && error.contains("620 mm"), "{error}");
        assert!(Length::parse("wide").is_err());
        assert!(Length::parse("").is_err());
        assert!(Length::parse("1e999 mm").is_err());
        assert!(Length::parse("3 mm mm").is_err());
        assert!(
            Mass::parse_in("3", Some(BenchUnit::Inch)).is_err(),
            "a bench unit is for lengths only"
        );
    }

    #[test]
    fn a_bench_unit_stands_in() {
        let length = Length::parse_in("24 1/2", Some(BenchUnit::Inch)).unwrap();
        assert!((length.as_mm() - 622.3).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,24}") {
            let _ = Length::parse(&text);
            let _ = Temperature::parse_in(&text, Some(BenchUnit::Inch));
        }

        #[test]
        fn printing_and_reading_agree(mm in -5000.0..5000.0_f64) {
            let length = Length::mm(mm);
            let back = Length::parse(&format!("{length:.6}")).unwrap();
            prop_assert!((back.as_mm() - mm).abs() < 1e-5);
        }
    }
}
