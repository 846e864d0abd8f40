//! A sheet as SVG: one user unit is one millimetre, text stays text.

use crate::sheet::{Anchor, Dash, Mark, Outline, Segment, Sheet, Text};
use caddis_geometry::Vec2;
use std::fmt::Write;

/// The face of drawings.
const FACE: &str = "Noto Sans";
/// Height of its capitals over its size.
///
/// # Source
/// The font's own OS/2 table: 714 of 1000 units (measured).
const CAPITAL: f64 = 0.714;

/// Writes a sheet as SVG.
///
/// # Units
/// Millimetres, to a thousandth.
pub fn svg(sheet: &Sheet) -> String {
    let mut out = String::new();
    let (w, h) = (number(sheet.width), number(sheet.height));
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"'{FACE}', sans-serif\" stroke-linecap=\"butt\" stroke-linejoin=\"miter\">"
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(&sheet.title));
    for mark in &sheet.marks {
        write_mark(&mut out, mark, sheet.height);
    }
    out.push_str("</svg>\n");
    out
}

fn write_mark(out: &mut String, mark: &Mark, height: f64) {
    match mark {
        Mark::Path {
            outlines,
            stroke,
            fill,
        } => {
            let data: Vec<String> = outlines
                .iter()
                .map(|outline| path_data(outline, height))
                .collect();
            let fill = fill.map_or_else(|| "none".to_owned(), |fill| hex(fill.colour));
            let _ = write!(
                out,
                "<path d=\"{}\" fill=\"{fill}\" fill-rule=\"evenodd\"",
                data.join(" ")
            );
            if let Some(stroke) = stroke {
                let _ = write!(
                    out,
                    " stroke=\"{}\" stroke-width=\"{}\"",
                    hex(stroke.colour),
                    number(stroke.width)
                );
                if let Some(dash) = dashes(stroke.dash, stroke.width) {
                    let _ = write!(out, " stroke-dasharray=\"{dash}\"");
                }
            }
            out.push_str("/>\n");
        }
        Mark::Text(text) => write_text(out, text, height),
        Mark::Group(name, marks) => {
            let _ = writeln!(out, "<g data-name=\"{}\">", escaped(name));
            for mark in marks {
                write_mark(out, mark, height);
            }
            out.push_str("</g>\n");
        }
    }
}

fn write_text(out: &mut String, text: &Text, height: f64) {
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let (x, y) = (number(text.at.x), number(height - text.at.y));
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" text-anchor=\"{anchor}\" fill=\"{}\"",
        number(text.height / CAPITAL),
        hex(text.colour)
    );
    if text.bold {
        out.push_str(" font-weight=\"bold\"");
    }
    if text.turned != 0.0 {
        let _ = write!(out, " transform=\"rotate({} {x} {y})\"", number(-text.turned));
    }
    let _ = writeln!(out, ">{}</text>", escaped(&text.words));
}

fn path_data(outline: &Outline, height: f64) -> String {
    let point = |p: Vec2| format!("{} {}", number(p.x), number(height - p.y));
    let mut data = format!("M{}", point(outline.start));
    let mut from = outline.start;
    for segment in &outline.segments {
        match *segment {
            Segment::Line(to) => {
                let _ = write!(data, "L{}", point(to));
                from = to;
            }
            Segment::Arc(to, bulge) => {
                // Radius from chord and bulge; paper y runs down, so a left turn keeps sweep 0.
                let radius = from.distance(to) * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
                let large = u8::from(bulge.abs() > 1.0);
                let sweep = u8::from(bulge < 0.0);
                let _ = write!(
                    data,
                    "A{r} {r} 0 {large} {sweep} {}",
                    point(to),
                    r = number(radius)
                );
                from = to;
            }
        }
    }
    if outline.closed {
        data.push('Z');
    }
    data
}

fn dashes(dash: Dash, width: f64) -> Option<String> {
    let lengths = dash.lengths();
    if lengths.is_empty() {
        return None;
    }
    Some(
        lengths
            .iter()
            .map(|l| number(l * width))
            .collect::<Vec<_>>()
            .join(" "),
    )
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" || text.is_empty() {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if (c as u32) < 0x20 => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{INK, Stroke};

    #[test]
    fn a_sheet_is_exact_and_escaped() {
        let mut sheet = Sheet::blank("a <b>", 100.0, 50.0);
        sheet.circle(Vec2::new(20.0, 10.0), 5.0, Some(Stroke::line(0.25, INK)), None);
        sheet.text(Vec2::new(1.0, 2.0), "Ø 5 & ±1", 1.0, Anchor::Start);
        let text = svg(&sheet);
        assert!(text.contains("viewBox=\"0 0 100 50\""));
        assert!(text.contains("<title>a &lt;b&gt;</title>"));
        assert!(text.contains("M15 40A5 5 0 0 0 25 40A5 5 0 0 0 15 40Z"), "{text}");
        // Asked for 1 mm, written at the least height.
        assert!(
            text.contains("font-size=\"3.501\"") && text.contains("Ø 5 &amp; ±1"),
            "{text}"
        );
    }

    #[test]
    fn hatching_stays_inside() {
        let region = caddis_geometry::Region::rectangle(Vec2::ZERO, Vec2::new(0.01, 0.01));
        let mut sheet = Sheet::blank("hatch", 20.0, 20.0);
        sheet.hatch(&region, |p| p * 1000.0, 45.0, 2.0, Stroke::line(0.1, INK));
        let Some(Mark::Path { outlines, .. }) = sheet.marks.first() else {
            panic!("no hatch")
        };
        assert!(outlines.len() > 5);
        for outline in outlines {
            for segment in &outline.segments {
                let Segment::Line(p) = *segment else { panic!("arc") };
                assert!(p.x > -1e-6 && p.x < 10.0 + 1e-6 && p.y > -1e-6 && p.y < 10.0 + 1e-6);
            }
        }
    }
}
