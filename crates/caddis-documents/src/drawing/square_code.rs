//! A word as a square code that a camera reads.

use crate::DocumentError;
use crate::sheet::{Fill, Sheet};
use caddis_geometry::Vec2;
use qrcodegen::{QrCode, QrCodeEcc};

/// Free modules around the code.
///
/// # Source
/// Quiet zone of four modules: ISO/IEC 18004, from memory.
const QUIET: i32 = 4;

/// The QR code of a text, `size` mm wide with its quiet zone.
///
/// # Errors
/// A text longer than a code holds.
pub fn square_code(text: &str, size: f64) -> Result<Sheet, DocumentError> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).map_err(|error| {
        DocumentError::Picture(format!("a square code of {} letters: {error}", text.len()))
    })?;
    let modules = code.size() + 2 * QUIET;
    let module = size / f64::from(modules);
    let mut sheet = Sheet::blank("square code", size, size);
    let dark = Some(Fill { colour: [0; 3] });
    for y in 0..code.size() {
        // Neighbours in a row are drawn as one, so that no hair of white parts them.
        let mut x = 0;
        while x < code.size() {
            let start = x;
            while x < code.size() && code.get_module(x, y) {
                x += 1;
            }
            if x > start {
                let low = Vec2::new(f64::from(start + QUIET), f64::from(modules - QUIET - y - 1)) * module;
                let high = Vec2::new(f64::from(x + QUIET), f64::from(modules - QUIET - y)) * module;
                sheet.rectangle(low, high, None, dark);
            } else {
                x += 1;
            }
        }
    }
    Ok(sheet)
}
