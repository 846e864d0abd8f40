//! How a shop draws: units, projection, and the room a view has.

use super::dimension::mm;
use crate::Words;
use crate::words::say;
use caddis_basis::{Length, Measured};
use caddis_shop::{DrawingUnits, Projection};

/// Units, projection and room of a view.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Manner<'a> {
    /// The language.
    pub(crate) words: &'a Words,
    /// Width of the view's sheet, mm.
    pub(crate) width: f64,
    /// Height the thing itself may take, mm.
    pub(crate) height: f64,
    /// Units of dimensions.
    pub(crate) units: DrawingUnits,
    /// Where views lie.
    pub(crate) projection: Projection,
}

impl<'a> Manner<'a> {
    /// The report's: millimetres, first-angle, as wide as A4's text.
    pub(crate) const fn report(words: &'a Words, height: f64) -> Self {
        Self {
            words,
            width: super::view::PAPER,
            height,
            units: DrawingUnits::Millimetres,
            projection: Projection::FirstAngle,
        }
    }

    /// Metres as figures on a drawing.
    pub(crate) fn sized(&self, metres: f64) -> String {
        sized(self.words, self.units, metres)
    }

    /// A measured length with its band; beside inches in brackets the band stands once, in millimetres.
    pub(crate) fn figures(&self, value: &Measured<Length>) -> String {
        let size = value.value.si();
        match value.plus_minus {
            Some(band) if band.si() > 0.0 => match self.units {
                DrawingUnits::Dual => {
                    let [size_mm, band] = [size, band.si()].map(|metres| mm(self.words, metres));
                    format!("{size_mm} ±{band} [{}]", inches(self.words, size))
                }
                _ => format!("{} ±{}", self.sized(size), self.sized(band.si())),
            },
            _ => self.sized(size),
        }
    }

    /// Units and projection as a note.
    pub(crate) fn note(&self) -> String {
        say!(
            self.words,
            "draw-manner",
            units = units_words(self.words, self.units),
            projection = projection_words(self.words, self.projection),
        )
    }
}

/// Metres as figures: a tenth of a millimetre, a hundredth of an inch without its leading zero, or both.
///
/// # Source
/// No leading zero in inches: ASME Y14.5, from memory.
pub(crate) fn sized(words: &Words, units: DrawingUnits, metres: f64) -> String {
    match units {
        DrawingUnits::Millimetres => mm(words, metres),
        DrawingUnits::Inches => inches(words, metres),
        DrawingUnits::Dual => format!("{} [{}]", mm(words, metres), inches(words, metres)),
    }
}

fn inches(words: &Words, metres: f64) -> String {
    let text = format!("{:.2}", Length::from_si(metres).as_inches());
    let text = match text.strip_prefix('-') {
        Some("0.00") => "0".to_owned(),
        Some(rest) => format!("-{}", rest.strip_prefix('0').unwrap_or(rest)),
        None if text == "0.00" => "0".to_owned(),
        None => text.strip_prefix('0').unwrap_or(&text).to_owned(),
    };
    words.figures(&text)
}

/// Units in words.
pub(crate) fn units_words(words: &Words, units: DrawingUnits) -> String {
    match units {
        DrawingUnits::Millimetres => say!(words, "draw-unit-mm"),
        DrawingUnits::Inches => say!(words, "draw-unit-inch"),
        DrawingUnits::Dual => say!(words, "draw-unit-dual"),
    }
}

/// Projection in words.
pub(crate) fn projection_words(words: &Words, projection: Projection) -> String {
    match projection {
        Projection::FirstAngle => say!(words, "draw-first-angle"),
        Projection::ThirdAngle => say!(words, "draw-third-angle"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_in_each_unit() {
        assert_eq!(sized(Words::english(), DrawingUnits::Millimetres, 0.0254), "25.4");
        assert_eq!(sized(Words::english(), DrawingUnits::Inches, 0.0254), "1.00");
        assert_eq!(sized(Words::english(), DrawingUnits::Inches, 0.0127), ".50");
        assert_eq!(sized(Words::english(), DrawingUnits::Inches, 0.0), "0");
        assert_eq!(sized(Words::english(), DrawingUnits::Dual, 0.0127), "12.7 [.50]");
    }
}
