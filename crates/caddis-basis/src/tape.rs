//! Lengths as the tape on the bench reads them.

use crate::{BenchUnit, Length};

/// Halves down to which an inch is read on a tape.
const FRACTIONS: [u32; 6] = [2, 4, 8, 16, 32, 64];

/// `24 1/2` for 24.5, where a tape has a line for it; `None` for whole inches and for what lies between two lines.
pub fn tape_fraction(inches: f64) -> Option<String> {
    let whole = inches.abs().floor();
    let part = inches.abs() - whole;
    let sign = if inches < 0.0 { "-" } else { "" };
    let denominator = FRACTIONS
        .into_iter()
        .find(|&d| (part * f64::from(d) - (part * f64::from(d)).round()).abs() < 1e-9)?;
    let numerator = (part * f64::from(denominator)).round();
    if numerator == 0.0 || numerator >= f64::from(denominator) {
        return None;
    }
    Some(if whole == 0.0 {
        format!("{sign}{numerator}/{denominator}")
    } else {
        format!("{sign}{whole} {numerator}/{denominator}")
    })
}

impl BenchUnit {
    /// A length in this unit for papers: a tape's fraction where it is one, else to a tenth of a millimetre or finer.
    pub fn print(self, length: Length) -> String {
        let (value, decimals) = match self {
            Self::Millimetre => (length.as_mm(), 1),
            Self::Centimetre => (length.as_mm() / 10.0, 2),
            Self::Metre => (length.si(), 4),
            Self::Inch => {
                let inches = length.as_mm() / 25.4;
                if let Some(fraction) = tape_fraction(inches) {
                    return format!("{fraction} in");
                }
                (inches, 3)
            }
        };
        let text = format!("{value:.decimals$}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        format!("{} {}", if text == "-0" { "0" } else { text }, self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_printed_as_the_tape_reads_them() {
        let print = |mm: f64| BenchUnit::Inch.print(Length::mm(mm));
        assert_eq!(print(24.5 * 25.4), "24 1/2 in");
        assert_eq!(print(25.4 / 16.0), "1/16 in");
        assert_eq!(print(-25.4 * 0.75), "-3/4 in");
        assert_eq!(print(254.0), "10 in");
        assert_eq!(print(10.0), "0.394 in");
        assert_eq!(BenchUnit::Millimetre.print(Length::mm(648.0)), "648 mm");
        assert_eq!(BenchUnit::Millimetre.print(Length::mm(-0.01)), "0 mm");
        assert_eq!(BenchUnit::Metre.print(Length::mm(648.5)), "0.6485 m");
    }
}
