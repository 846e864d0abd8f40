//! How a shop draws: units, projection, and the room a view has.

use super::dimension::mm;
use caddis_basis::{Length, Measured};
use caddis_shop::{DrawingUnits, Projection};

/// Units, projection and room of a view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Manner {
    /// Width of the view's sheet, mm.
    pub(crate) width: f64,
    /// Height the thing itself may take, mm.
    pub(crate) height: f64,
    /// Units of dimensions.
    pub(crate) units: DrawingUnits,
    /// Where views lie.
    pub(crate) projection: Projection,
}

impl Manner {
    /// The report's: millimetres, first-angle, as wide as A4's text.
    pub(crate) const fn report(height: f64) -> Self {
        Self {
            width: super::view::PAPER,
            height,
            units: DrawingUnits::Millimetres,
            projection: Projection::FirstAngle,
        }
    }

    /// Metres as figures on a drawing.
    pub(crate) fn words(&self, metres: f64) -> String {
        sized(self.units, metres)
    }

    /// A measured length with its band; beside inches in brackets the band stands once, in millimetres.
    pub(crate) fn figures(&self, value: &Measured<Length>) -> String {
        let size = value.value.si();
        match value.plus_minus {
            Some(band) if band.si() > 0.0 => match self.units {
                DrawingUnits::Dual => format!("{} ±{} [{}]", mm(size), mm(band.si()), inches(size)),
                _ => format!("{} ±{}", self.words(size), self.words(band.si())),
            },
            _ => self.words(size),
        }
    }

    /// Units and projection as a note.
    pub(crate) fn note(&self) -> String {
        format!(
            "{}, {}",
            units_words(self.units),
            projection_words(self.projection)
        )
    }
}

/// Metres as figures: a tenth of a millimetre, a hundredth of an inch without its leading zero, or both.
///
/// # Source
/// No leading zero in inches: ASME Y14.5, from memory.
pub(crate) fn sized(units: DrawingUnits, metres: f64) -> String {
    match units {
        DrawingUnits::Millimetres => mm(metres),
        DrawingUnits::Inches => inches(metres),
        DrawingUnits::Dual => format!("{} [{}]", mm(metres), inches(metres)),
    }
}

fn inches(metres: f64) -> String {
    let text = format!("{:.2}", Length::from_si(metres).as_inches());
    match text.strip_prefix('-') {
        Some("0.00") => "0".to_owned(),
        Some(rest) => format!("-{}", rest.strip_prefix('0').unwrap_or(rest)),
        None if text == "0.00" => "0".to_owned(),
        None => text.strip_prefix('0').unwrap_or(&text).to_owned(),
    }
}

/// Units in words.
pub(crate) fn units_words(units: DrawingUnits) -> &'static str {
    match units {
        DrawingUnits::Millimetres => "mm",
        DrawingUnits::Inches => "inch",
        DrawingUnits::Dual => "mm [inch]",
    }
}

/// Projection in words.
pub(crate) fn projection_words(projection: Projection) -> &'static str {
    match projection {
        Projection::FirstAngle => "first-angle",
        Projection::ThirdAngle => "third-angle",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_in_each_unit() {
        assert_eq!(sized(DrawingUnits::Millimetres, 0.0254), "25.4");
        assert_eq!(sized(DrawingUnits::Inches, 0.0254), "1.00");
        assert_eq!(sized(DrawingUnits::Inches, 0.0127), ".50");
        assert_eq!(sized(DrawingUnits::Inches, 0.0), "0");
        assert_eq!(sized(DrawingUnits::Dual, 0.0127), "12.7 [.50]");
    }
}
