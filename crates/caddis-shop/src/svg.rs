//! SVG writer at 1:1 in millimetres.

use crate::drawing::{Drawing, Line, number, vertices_in_mm};
use std::fmt::Write;

/// Room around the geometry, mm.
const BORDER: f64 = 5.0;

/// The file. y points up in the drawing and down in the file.
pub(crate) fn write(drawing: &Drawing) -> Vec<u8> {
    let bounds = drawing.bounds();
    let (left, top, width, height) = bounds.map_or((0.0, 0.0, 1.0, 1.0), |b| {
        let size = b.size() * 1e3;
        (
            b.min.x * 1e3 - BORDER,
            -b.max.y * 1e3 - BORDER,
            size.x + 2.0 * BORDER,
            size.y + 2.0 * BORDER,
        )
    });
    let mm = |value: f64| number(value, 4);
    let mut out = String::new();
    let _ = write!(
        out,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" \
         width=\"{w}mm\" height=\"{h}mm\" viewBox=\"{x} {y} {w} {h}\">\n<title>{title}</title>\n<desc>{desc}</desc>\n",
        w = mm(width),
        h = mm(height),
        x = mm(left),
        y = mm(top),
        title = escaped(&drawing.title),
        desc = escaped(&drawing.comments.join("\n")),
    );
    for (layer, colour) in &drawing.layers {
        let _ = writeln!(
            out,
            "<g id=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"0.1\">",
            escaped(layer),
            stroke(*colour)
        );
        for line in drawing.lines.iter().filter(|line| line.layer == *layer) {
            let path = path(line);
            if !path.is_empty() {
                let _ = writeln!(out, "<path d=\"{path}\"/>");
            }
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out.into_bytes()
}

fn path(line: &Line) -> String {
    let vertices = vertices_in_mm(line);
    if vertices.len() < 2 {
        return String::new();
    }
    let coordinate = |value: f64| number(value, 6);
    let mut out = format!("M{} {}", coordinate(vertices[0].0), coordinate(-vertices[0].1));
    let edges = if line.closed {
        vertices.len()
    } else {
        vertices.len() - 1
    };
    for i in 0..edges {
        let (x0, y0, bulge) = vertices[i];
        let (x1, y1, _) = vertices[(i + 1) % vertices.len()];
        if bulge == 0.0 {
            if !(line.closed && i + 1 == edges) {
                let _ = write!(out, "L{} {}", coordinate(x1), coordinate(-y1));
            }
        } else {
            // Radius from chord c and bulge b: c (1 + b²) / (4 |b|).
            let chord = (x1 - x0).hypot(y1 - y0);
            let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
            let _ = write!(
                out,
                "A{r} {r} 0 {large} {sweep} {x} {y}",
                r = number(radius, 9),
                large = u8::from(bulge.abs() > 1.0),
                sweep = u8::from(bulge < 0.0),
                x = coordinate(x1),
                y = coordinate(-y1)
            );
        }
    }
    if line.closed {
        out.push('Z');
    }
    out
}

fn stroke(colour: u8) -> &'static str {
    match colour {
        1 => "#d00000",
        3 => "#008000",
        5 => "#0000d0",
        8 => "#808080",
        9 => "#a0a0a0",
        _ => "#000000",
    }
}

/// Text fit for XML; control characters become spaces.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push('\n'),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
