//! Entities: polylines, filled areas, words.

use super::{DxfAlign, DxfEntity, DxfShape, Groups};
use crate::drawing::number;

/// Name of the text style, and of its bold sister.
pub(super) const STYLES: [&str; 2] = ["SHEET", "SHEET_BOLD"];

pub(super) fn write(g: &mut Groups, entity: &DxfEntity, owner: &str) {
    match &entity.shape {
        DxfShape::Polyline { vertices, is_closed } => polyline(g, entity, owner, vertices, *is_closed),
        DxfShape::Filled { boundaries } => filled(g, entity, owner, boundaries),
        DxfShape::Text {
            at,
            words,
            height,
            align,
            turned,
            is_bold,
        } => {
            head(g, "TEXT", entity, owner);
            g.put(100, "AcDbText");
            let point = |g: &mut Groups, code: u16| {
                g.put(code, number(at.0, 6));
                g.put(code + 10, number(at.1, 6));
                g.put(code + 20, "0");
            };
            point(g, 10);
            g.put(40, number(*height, 6));
            g.put(1, escaped(words));
            if *turned != 0.0 {
                g.put(50, number(*turned, 6));
            }
            g.put(7, STYLES[usize::from(*is_bold)]);
            let align = match align {
                DxfAlign::Left => 0,
                DxfAlign::Centre => 1,
                DxfAlign::Right => 2,
            };
            if align != 0 {
                g.put(72, align);
                point(g, 11);
            }
            g.put(100, "AcDbText");
        }
    }
}

fn head(g: &mut Groups, kind: &str, entity: &DxfEntity, owner: &str) {
    let handle = g.handle();
    g.puts(&[
        (0, kind),
        (5, &handle),
        (330, owner),
        (100, "AcDbEntity"),
        (8, &entity.layer),
    ]);
    if let Some(colour) = entity.colour {
        g.put(62, colour);
    }
}

fn polyline(g: &mut Groups, entity: &DxfEntity, owner: &str, vertices: &[(f64, f64, f64)], is_closed: bool) {
    if vertices.len() < 2 {
        return;
    }
    head(g, "LWPOLYLINE", entity, owner);
    g.put(100, "AcDbPolyline");
    g.put(90, vertices.len());
    g.put(70, u8::from(is_closed));
    g.put(43, "0");
    for (x, y, bulge) in vertices {
        g.put(10, number(*x, 6));
        g.put(20, number(*y, 6));
        if *bulge != 0.0 {
            g.put(42, number(*bulge, 12));
        }
    }
}

fn filled(g: &mut Groups, entity: &DxfEntity, owner: &str, boundaries: &[Vec<(f64, f64, f64)>]) {
    if boundaries.is_empty() || boundaries.iter().any(|b| b.len() < 2) {
        return;
    }
    head(g, "HATCH", entity, owner);
    g.puts(&[(100, "AcDbHatch"), (10, "0"), (20, "0"), (30, "0")]);
    g.puts(&[
        (210, "0"),
        (220, "0"),
        (230, "1"),
        (2, "SOLID"),
        (70, "1"),
        (71, "0"),
    ]);
    g.put(91, boundaries.len());
    for boundary in boundaries {
        // 1: an outer boundary, 2: as a polyline.
        g.puts(&[(92, "3"), (72, "1"), (73, "1")]);
        g.put(93, boundary.len());
        for (x, y, bulge) in boundary {
            g.put(10, number(*x, 6));
            g.put(20, number(*y, 6));
            g.put(42, number(*bulge, 12));
        }
        g.put(97, "0");
    }
    g.puts(&[(75, "0"), (76, "1"), (98, "0")]);
}

/// Words as the format takes them: `^` and `%%` begin codes of its own.
fn escaped(words: &str) -> String {
    let words: String = words
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    words.replace("%%", "%%%%%%").replace('^', "^ ")
}
