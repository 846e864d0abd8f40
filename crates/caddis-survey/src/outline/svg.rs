//! SVG drawings through `usvg`: every path and basic shape, with styles and transforms applied; text, pictures and filters are
//! passed over and counted.
//!
//! # Accuracy
//! `usvg` keeps coordinates as 32-bit floats: 7 digits, 0.1 µm on a metre drawn in millimetres is lost first.

use super::curve::sampled;
use super::{CHORD, CHORD_UNKNOWN, Drawing, Path, Trouble};
use caddis_basis::BenchUnit;
use caddis_geometry::{Vec2, Vertex};
use usvg::roxmltree::{Document, Node, ParsingOptions};
use usvg::tiny_skia_path::PathSegment;

/// More elements are refused.
const MOST_NODES: u32 = 400_000;
/// Pixels to an inch, fixed by CSS.
const DPI: f64 = 96.0;

pub(super) fn read(bytes: &[u8], unit: Option<BenchUnit>) -> Result<Drawing, Trouble> {
    if bytes.starts_with(&[0x1f, 0x8b]) {
        return Err(Trouble::Broken(
            "it is compressed (SVGZ); save it as plain SVG".to_owned(),
        ));
    }
    let text = std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes))
        .map_err(|_| Trouble::Broken("it is not UTF-8 text".to_owned()))?;
    let options = ParsingOptions {
        // Drawing programs put a DTD at the top; the parser itself bounds what entities may grow to.
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(text, options)
        .map_err(|error| Trouble::Broken(format!("no sound XML: {error}")))?;
    let settings = usvg::Options {
        image_href_resolver: usvg::ImageHrefResolver {
            // Nothing outside the file is read, and no picture inside it.
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_xmltree(&document, &settings)
        .map_err(|error| Trouble::Broken(format!("no sound SVG: {error}")))?;
    let root = document.root_element();
    let mut drawing = Drawing::default();
    // Sizes come in pixels; `scale` makes them the drawing's own numbers.
    let scale = match physical(root.attribute("width")) {
        Some((name, metres)) => {
            drawing.unit = Some((name, metres));
            0.0254 / DPI / metres
        }
        None => own_per_pixel(&root, f64::from(tree.size().width())),
    };
    let metres = unit
        .map(BenchUnit::metres)
        .or(drawing.unit.map(|(_, metres)| metres));
    let chord = metres.map_or(CHORD_UNKNOWN, |metres| CHORD / metres);
    for kind in ["text", "image"] {
        let count = root
            .descendants()
            .filter(|node| node.has_tag_name((SVG, kind)))
            .count();
        if count > 0 {
            drawing.passed_over.insert(format!("<{kind}>"), count);
        }
    }
    let mut walk = Walk {
        scale,
        chord,
        left: super::MOST_VERTICES,
        drawing,
        implied: 0,
    };
    walk.group(tree.root(), &mut Vec::new())?;
    if walk.implied > 0 {
        walk.drawing.notes.push(format!(
            "filled lines whose ends do not meet, closed straight as SVG does: {}",
            walk.implied
        ));
    }
    Ok(walk.drawing)
}

const SVG: &str = "http://www.w3.org/2000/svg";

/// The unit a size is written in.
///
/// # Source
/// CSS Values and Units Level 3, section 6.2 "Absolute lengths".
fn physical(size: Option<&str>) -> Option<(&'static str, f64)> {
    let size = size?.trim();
    let unit = size
        .trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-'))
        .trim();
    match unit {
        "mm" => Some(("mm", 1e-3)),
        "cm" => Some(("cm", 1e-2)),
        "in" => Some(("in", 0.0254)),
        "pt" => Some(("point", 0.0254 / 72.0)),
        "pc" => Some(("pica", 0.0254 / 6.0)),
        "Q" => Some(("quarter of a millimetre", 2.5e-4)),
        _ => None,
    }
}

/// Numbers of the view box to one pixel of the picture.
fn own_per_pixel(root: &Node<'_, '_>, width: f64) -> f64 {
    let own = root.attribute("viewBox").and_then(|text| {
        text.split(|c: char| c.is_whitespace() || c == ',')
            .filter(|part| !part.is_empty())
            .nth(2)?
            .parse::<f64>()
            .ok()
    });
    match own {
        Some(own) if own > 0.0 && width > 0.0 => own / width,
        _ => 1.0,
    }
}

struct Walk {
    scale: f64,
    chord: f64,
    left: usize,
    drawing: Drawing,
    /// Open lines that are filled.
    implied: usize,
}

impl Walk {
    /// `ids` are those of the groups around, outermost first.
    fn group(&mut self, group: &usvg::Group, ids: &mut Vec<String>) -> Result<(), Trouble> {
        for node in group.children() {
            match node {
                usvg::Node::Group(inner) => {
                    ids.push(inner.id().to_owned());
                    self.group(inner, ids)?;
                    ids.pop();
                }
                usvg::Node::Path(path) if path.is_visible() => {
                    // The nearest name: its own, else that of a group around it.
                    let layer = std::iter::once(path.id())
                        .chain(ids.iter().rev().map(String::as_str))
                        .find(|id| !id.is_empty())
                        .unwrap_or("")
                        .to_owned();
                    self.path(path, &layer)?;
                }
                usvg::Node::Path(_) => {
                    *self
                        .drawing
                        .passed_over
                        .entry("hidden path".to_owned())
                        .or_default() += 1;
                }
                usvg::Node::Image(_) | usvg::Node::Text(_) => {}
            }
        }
        Ok(())
    }

    fn path(&mut self, path: &usvg::Path, layer: &str) -> Result<(), Trouble> {
        let t = path.abs_transform();
        let [sx, kx, tx, ky, sy, ty] = [t.sx, t.kx, t.tx, t.ky, t.sy, t.ty].map(f64::from);
        let scale = self.scale;
        // SVG's y runs down, a plan's up.
        let place = |p: usvg::tiny_skia_path::Point| {
            let (x, y) = (f64::from(p.x), f64::from(p.y));
            Vec2::new(sx * x + kx * y + tx, -(ky * x + sy * y + ty)) * scale
        };
        let is_filled = path.fill().is_some();
        let mut line: Vec<Vec2> = Vec::new();
        for segment in path.data().segments() {
            match segment {
                PathSegment::MoveTo(p) => {
                    self.end(&mut line, false, is_filled, layer)?;
                    line.push(place(p));
                }
                PathSegment::LineTo(p) => line.push(place(p)),
                PathSegment::QuadTo(b, c) => {
                    let Some(&a) = line.last() else { continue };
                    let (b, c) = (place(b), place(c));
                    let curve = |t: f64| a.lerp(b, t).lerp(b.lerp(c, t), t);
                    sampled(&curve, 0.0, 1.0, self.chord, &mut line);
                }
                PathSegment::CubicTo(b, c, d) => {
                    let Some(&a) = line.last() else { continue };
                    let (b, c, d) = (place(b), place(c), place(d));
                    let curve = |t: f64| {
                        let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
                        ab.lerp(bc, t).lerp(bc.lerp(cd, t), t)
                    };
                    sampled(&curve, 0.0, 1.0, self.chord, &mut line);
                }
                PathSegment::Close => self.end(&mut line, true, is_filled, layer)?,
            }
            if line.len() > self.left {
                return Err(Trouble::TooMuch);
            }
        }
        self.end(&mut line, false, is_filled, layer)
    }

    fn end(
        &mut self,
        line: &mut Vec<Vec2>,
        is_closed: bool,
        is_filled: bool,
        layer: &str,
    ) -> Result<(), Trouble> {
        let mut line = std::mem::take(line);
        if line.len() < 2 {
            return Ok(());
        }
        let meets = line.first() == line.last();
        if is_closed && meets {
            line.pop();
        }
        if is_filled && !is_closed && !meets && line.len() > 2 {
            self.implied += 1;
        }
        self.left = self.left.checked_sub(line.len()).ok_or(Trouble::TooMuch)?;
        self.drawing.paths.push(Path {
            layer: layer.to_owned(),
            vertices: line.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect(),
            is_closed: is_closed || (is_filled && !meets),
        });
        Ok(())
    }
}
