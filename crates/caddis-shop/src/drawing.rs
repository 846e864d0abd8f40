//! The finished form of a cut file: closed contours and strokes on operation layers. DXF and SVG only transcribe it.

use crate::stroke_font::text_strokes;
use caddis_geometry::{Bounds2, Contour, Region, Vec2};
use std::collections::BTreeMap;

/// Cut through.
pub(crate) const CUT_THROUGH: &str = "CUT_THRU";
/// Way of a hot wire into a cavity.
pub(crate) const ENTRY_SLIT: &str = "ENTRY_SLIT";
/// Names engraved on the face.
pub(crate) const ENGRAVE: &str = "ENGRAVE";
/// Marks drawn or scratched on the face.
pub(crate) const MARK: &str = "MARK";
/// Words beside the part.
pub(crate) const NOTES: &str = "NOTES";
/// The stock sheet and its trim.
pub(crate) const SHEET: &str = "SHEET";
/// What is left of a sheet and kept.
pub(crate) const KEEP: &str = "KEEP";
/// A length of 100 mm to check the scale by.
pub(crate) const SCALE: &str = "SCALE_100";

/// Name of the layer of pockets of a depth, metres: `CUT_Z025_0`; hundredths when tenths do not hold the depth.
pub(crate) fn pocket_layer(depth: f64) -> String {
    let hundredths = (depth * 1e5).round();
    let text = if hundredths % 10.0 == 0.0 {
        format!("{:05.1}", hundredths / 100.0)
    } else {
        format!("{:06.2}", hundredths / 100.0)
    };
    format!("CUT_Z{}", text.replace('.', "_"))
}

/// Colour index of a layer, by the usual numbering: 1 red, 3 green, 5 blue, 7 black or white, 8 grey, 9 light grey.
pub(crate) fn colour(layer: &str) -> u8 {
    match layer {
        CUT_THROUGH => 1,
        ENTRY_SLIT => 2,
        MARK => 5,
        ENGRAVE => 6,
        NOTES => 7,
        SHEET | KEEP => 8,
        SCALE => 9,
        _ => 3,
    }
}

/// One contour or stroke.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// Its operation.
    pub(crate) layer: String,
    /// Corners and bulges, metres.
    pub(crate) contour: Contour,
    /// Whether the last vertex's edge returns to the first.
    pub(crate) closed: bool,
}

/// A finished cut file.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Drawing {
    /// Title, first of the comments.
    pub(crate) title: String,
    /// Comments at the head of the file.
    pub(crate) comments: Vec<String>,
    /// Layers in use with their colour.
    pub(crate) layers: BTreeMap<String, u8>,
    /// Geometry in drawing order.
    pub(crate) lines: Vec<Line>,
}

impl Drawing {
    fn add(&mut self, layer: &str, contour: Contour, closed: bool) {
        self.layers.insert(layer.to_owned(), colour(layer));
        self.lines.push(Line {
            layer: layer.to_owned(),
            contour,
            closed,
        });
    }

    /// Adds every boundary of a region.
    pub(crate) fn region(&mut self, layer: &str, region: &Region) {
        for contour in region.contours() {
            self.add(layer, contour.clone(), true);
        }
    }

    /// Adds open strokes.
    pub(crate) fn strokes(&mut self, layer: &str, strokes: impl IntoIterator<Item = Vec<Vec2>>) {
        for stroke in strokes {
            if stroke.len() > 1 {
                self.add(layer, Contour::polygon(stroke), false);
            }
        }
    }

    /// Adds a line of text as strokes.
    pub(crate) fn text(&mut self, layer: &str, text: &str, at: Vec2, height: f64) {
        self.strokes(layer, text_strokes(text, at, height));
    }

    /// The box around everything.
    pub(crate) fn bounds(&self) -> Option<Bounds2> {
        // An open stroke's closing edge lies within the box of its points.
        self.lines
            .iter()
            .filter_map(|line| line.contour.bounds())
            .reduce(|a, b| a.joined(&b))
    }
}

/// Vertices in millimetres without repeats: (x, y, bulge).
pub(crate) fn vertices_in_mm(line: &Line) -> Vec<(f64, f64, f64)> {
    let rounded = |metres: f64| (metres * 1e9).round() / 1e6 + 0.0;
    let mut vertices: Vec<(f64, f64, f64)> = Vec::with_capacity(line.contour.vertices.len());
    for v in &line.contour.vertices {
        let next = (rounded(v.at.x), rounded(v.at.y), v.bulge);
        match vertices.last_mut() {
            Some(last) if (last.0, last.1) == (next.0, next.1) => *last = next,
            _ => vertices.push(next),
        }
    }
    if line.closed {
        while vertices.len() > 1
            && vertices.first().map(|v| (v.0, v.1)) == vertices.last().map(|v| (v.0, v.1))
        {
            vertices.pop();
        }
    }
    vertices
}

/// A coordinate with at most `decimals` decimals and no trailing zeros.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pocket_layers_name_their_depth() {
        assert_eq!(pocket_layer(0.025), "CUT_Z025_0");
        assert_eq!(pocket_layer(0.0073), "CUT_Z007_3");
        assert_eq!(pocket_layer(0.02504), "CUT_Z025_04");
        assert_ne!(pocket_layer(0.0250), pocket_layer(0.0251));
    }

    #[test]
    fn numbers_print_short() {
        assert_eq!(number(-0.000_000_1, 6), "0");
        assert_eq!(number(12.5, 6), "12.5");
        assert_eq!(number(300.0, 6), "300");
    }
}
