//! DXF writer: release 2000, ASCII; polylines with bulges, filled areas, words.
//!
//! # Source
//! The published DXF reference's group codes for AC1015; every file of the demonstration is audited by an independent reader in
//! the tests.

mod entities;
mod form;
mod objects;
mod tables;

pub use form::{DxfAlign, DxfDrawing, DxfEntity, DxfLayer, DxfLineType, DxfPaper, DxfShape};

use crate::drawing::{Drawing, number, vertices_in_mm};
use std::fmt::{Display, Write};

/// Group codes and values, with handles counted upward.
struct Groups {
    out: String,
    next: u32,
}

impl Groups {
    fn put(&mut self, code: u16, value: impl Display) {
        let _ = write!(self.out, "{code:>3}\n{value}\n");
    }

    fn puts(&mut self, pairs: &[(u16, &str)]) {
        for (code, value) in pairs {
            self.put(*code, value);
        }
    }

    fn handle(&mut self) -> String {
        self.next += 1;
        format!("{:X}", self.next)
    }
}

/// Handles that others point at.
struct Handles {
    layers: String,
    block_records: String,
    model: String,
    paper: String,
    root: String,
    group: String,
    layouts: String,
    model_layout: String,
    paper_layout: String,
    plot_styles: String,
    plot_style: String,
}

/// A cut file.
pub(crate) fn write(drawing: &Drawing) -> Vec<u8> {
    let layers = drawing.layers.iter().map(|(name, colour)| DxfLayer {
        name: name.clone(),
        colour: *colour,
        line: DxfLineType::default(),
        weight: None,
    });
    let entities = drawing.lines.iter().map(|line| DxfEntity {
        layer: line.layer.clone(),
        colour: None,
        shape: DxfShape::Polyline {
            vertices: vertices_in_mm(line),
            is_closed: line.closed,
        },
    });
    dxf(&DxfDrawing {
        title: drawing.title.clone(),
        comments: drawing.comments.clone(),
        layers: layers.collect(),
        entities: entities.collect(),
        extents: drawing.bounds().map_or(((0.0, 0.0), (0.0, 0.0)), |b| {
            let (low, high) = (b.min * 1e3, b.max * 1e3);
            ((low.x, low.y), (high.x, high.y))
        }),
        paper: None,
    })
}

/// Writes a file.
///
/// # Units
/// Millimetres, to a millionth; the header says so.
pub fn dxf(drawing: &DxfDrawing) -> Vec<u8> {
    let mut g = Groups {
        out: String::new(),
        next: 0x0F,
    };
    let h = Handles {
        layers: g.handle(),
        block_records: g.handle(),
        model: g.handle(),
        paper: g.handle(),
        root: g.handle(),
        group: g.handle(),
        layouts: g.handle(),
        model_layout: g.handle(),
        paper_layout: g.handle(),
        plot_styles: g.handle(),
        plot_style: g.handle(),
    };
    let mut body = Groups {
        out: String::new(),
        next: g.next,
    };
    tables::classes(&mut body);
    tables::tables(&mut body, drawing, &h);
    objects::blocks(&mut body, &h);
    body.puts(&[(0, "SECTION"), (2, "ENTITIES")]);
    for entity in &drawing.entities {
        entities::write(&mut body, entity, &h.model);
    }
    body.put(0, "ENDSEC");
    objects::objects(&mut body, drawing.paper.as_ref(), &h);
    body.put(0, "EOF");
    // The header states the next free handle, so it is written last.
    g.next = body.next;
    header(&mut g, drawing);
    g.out.push_str(&body.out);
    encoded(&g.out)
}

/// The file's code page, which the header names: Western European; a character beyond it as `\\U+XXXX`.
///
/// # Source
/// Windows code page 1252: 0xA0 to 0xFF as in Unicode, its punctuation below from the published table.
fn encoded(text: &str) -> Vec<u8> {
    const PUNCTUATION: [(char, u8); 12] = [
        ('€', 0x80),
        ('…', 0x85),
        ('‰', 0x89),
        ('‘', 0x91),
        ('’', 0x92),
        ('“', 0x93),
        ('”', 0x94),
        ('•', 0x95),
        ('–', 0x96),
        ('—', 0x97),
        ('Š', 0x8A),
        ('Ž', 0x8E),
    ];
    let mut out = Vec::with_capacity(text.len());
    for c in text.chars() {
        let code = u32::from(c);
        if let Some((_, byte)) = PUNCTUATION.iter().find(|(known, _)| *known == c) {
            out.push(*byte);
        } else if code < 0x80 || (0xA0..0x100).contains(&code) {
            out.push(code as u8);
        } else {
            out.extend(ascii(&c.to_string()).bytes());
        }
    }
    out
}

fn header(g: &mut Groups, drawing: &DxfDrawing) {
    g.put(999, ascii(&drawing.title));
    for comment in &drawing.comments {
        g.put(999, ascii(comment));
    }
    let (min, max) = drawing.extents;
    g.puts(&[
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1015"),
        (9, "$DWGCODEPAGE"),
        (3, "ANSI_1252"),
    ]);
    let seed = format!("{:X}", g.next + 1);
    g.puts(&[
        (9, "$HANDSEED"),
        (5, &seed),
        (9, "$INSUNITS"),
        (70, "4"),
        (9, "$MEASUREMENT"),
        (70, "1"),
    ]);
    for (name, (x, y)) in [("$EXTMIN", min), ("$EXTMAX", max)] {
        g.put(9, name);
        g.put(10, number(x, 6));
        g.put(20, number(y, 6));
        g.put(30, "0");
    }
    let (low, high) = drawing
        .paper
        .as_ref()
        .map_or((min, max), |paper| ((0.0, 0.0), (paper.width, paper.height)));
    let mut limits = vec![("$LIMMIN", low), ("$LIMMAX", high)];
    if drawing.paper.is_some() {
        limits.extend([("$PLIMMIN", low), ("$PLIMMAX", high)]);
    }
    for (name, (x, y)) in limits {
        g.put(9, name);
        g.put(10, number(x, 6));
        g.put(20, number(y, 6));
    }
    if drawing.paper.is_some() {
        // Lengths of dashes are those of the paper.
        g.puts(&[(9, "$LTSCALE"), (40, "1")]);
    }
    g.puts(&[
        (9, "$LUNITS"),
        (70, "2"),
        (9, "$LUPREC"),
        (70, "3"),
        (9, "$CLAYER"),
        (8, "0"),
        (0, "ENDSEC"),
    ]);
}

/// Text in ASCII: other characters as `\U+XXXX`, control characters as spaces.
fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() {
            out.push(' ');
        } else if c.is_ascii() {
            out.push(c);
        } else {
            let _ = write!(out, "\\U+{:04X}", u32::from(c));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_lines_and_fills_are_written_on_their_layers() {
        let entity = |colour, shape| DxfEntity {
            layer: "THIN".to_owned(),
            colour,
            shape,
        };
        let drawing = DxfDrawing {
            title: "a sheet".to_owned(),
            comments: Vec::new(),
            layers: vec![DxfLayer {
                name: "THIN".to_owned(),
                colour: 7,
                line: DxfLineType {
                    name: "HIDDEN_25".to_owned(),
                    words: "hidden edges".to_owned(),
                    lengths: vec![1.5, 0.75],
                },
                weight: Some(25),
            }],
            entities: vec![
                entity(
                    Some(1),
                    DxfShape::Text {
                        at: (10.0, 20.0),
                        words: "Ø 5 ± 1 → ^ 100%%".to_owned(),
                        height: 2.5,
                        align: DxfAlign::Centre,
                        turned: 90.0,
                        is_bold: true,
                    },
                ),
                entity(
                    None,
                    DxfShape::Filled {
                        boundaries: vec![vec![(0.0, 0.0, 1.0), (1.0, 0.0, 1.0)]],
                    },
                ),
            ],
            extents: ((0.0, 0.0), (420.0, 297.0)),
            paper: Some(DxfPaper {
                name: "A3".to_owned(),
                width: 420.0,
                height: 297.0,
            }),
        };
        let bytes = dxf(&drawing);
        // Read back as Latin-1, which its code page is but for punctuation.
        let text: String = bytes.iter().map(|byte| char::from(*byte)).collect();
        for wanted in [
            "Ø 5 ± 1 \\U+2192 ^  100%%%%%%",
            "$PLIMMAX\n 10\n420\n 20\n297\n",
            "HIDDEN_25\n 70\n0\n  3\nhidden edges\n 72\n65\n 73\n2\n 40\n2.25\n 49\n1.5\n 74\n0\n 49\n-0.75\n 74\n0\n",
            " 62\n1\n100\nAcDbText\n",
            "  2\nSOLID\n 70\n1\n",
        ] {
            assert!(text.contains(wanted), "{wanted}\n{text}");
        }
    }
}
