//! Paper sizes of drawings and the room inside their frames.

use caddis_geometry::Vec2;
use caddis_shop::SheetSize;

/// Width and height, landscape, mm.
///
/// # Source
/// A sizes: ISO 216 and ISO 5457, from memory. Letter to D: ASME Y14.1 sizes A to D, 11 x 8.5 to 34 x 22 in, from memory.
pub(crate) fn size(paper: SheetSize) -> Vec2 {
    let (width, height) = match paper {
        SheetSize::A4 => (297.0, 210.0),
        SheetSize::A3 => (420.0, 297.0),
        SheetSize::A2 => (594.0, 420.0),
        SheetSize::A1 => (841.0, 594.0),
        SheetSize::Letter => (279.4, 215.9),
        SheetSize::B => (431.8, 279.4),
        SheetSize::C => (558.8, 431.8),
        SheetSize::D => (863.6, 558.8),
    };
    Vec2::new(width, height)
}

/// The frame: lower left and upper right; a filing margin of 20 mm on the left, 10 mm elsewhere.
///
/// # Source
/// ISO 5457, from memory; taken for the inch sizes too.
pub(crate) fn frame(paper: SheetSize) -> (Vec2, Vec2) {
    (Vec2::new(20.0, 10.0), size(paper) - Vec2::new(10.0, 10.0))
}

/// The name on the sheet.
pub(crate) fn name(paper: SheetSize) -> &'static str {
    match paper {
        SheetSize::A4 => "A4",
        SheetSize::A3 => "A3",
        SheetSize::A2 => "A2",
        SheetSize::A1 => "A1",
        SheetSize::Letter => "Letter",
        SheetSize::B => "B",
        SheetSize::C => "C",
        SheetSize::D => "D",
    }
}
