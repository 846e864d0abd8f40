//! DXF writer: release 2000, ASCII, polylines with bulges only.
//!
//! # Source
//! The published DXF reference's group codes for AC1015; files are audited with an independent reader in the tests' notes.

use crate::drawing::{Drawing, Line, number, vertices_in_mm};
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

/// The file.
pub(crate) fn write(drawing: &Drawing) -> Vec<u8> {
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
    classes(&mut body);
    tables(&mut body, drawing, &h);
    blocks(&mut body, &h);
    body.puts(&[(0, "SECTION"), (2, "ENTITIES")]);
    for line in &drawing.lines {
        polyline(&mut body, line, &h.model);
    }
    body.put(0, "ENDSEC");
    objects(&mut body, &h);
    body.put(0, "EOF");
    // The header states the next free handle, so it is written last.
    g.next = body.next;
    header(&mut g, drawing);
    g.out.push_str(&body.out);
    g.out.into_bytes()
}

fn header(g: &mut Groups, drawing: &Drawing) {
    g.put(999, ascii(&drawing.title));
    for comment in &drawing.comments {
        g.put(999, ascii(comment));
    }
    let (min, max) = drawing.bounds().map_or(((0.0, 0.0), (0.0, 0.0)), |b| {
        ((b.min.x * 1e3, b.min.y * 1e3), (b.max.x * 1e3, b.max.y * 1e3))
    });
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
    for (name, (x, y)) in [("$LIMMIN", min), ("$LIMMAX", max)] {
        g.put(9, name);
        g.put(10, number(x, 6));
        g.put(20, number(y, 6));
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

fn classes(g: &mut Groups) {
    g.puts(&[(0, "SECTION"), (2, "CLASSES"), (0, "ENDSEC")]);
}

fn table(g: &mut Groups, name: &str, handle: &str, count: usize) {
    g.puts(&[
        (0, "TABLE"),
        (2, name),
        (5, handle),
        (330, "0"),
        (100, "AcDbSymbolTable"),
    ]);
    g.put(70, count);
}

fn record(g: &mut Groups, kind: &str, owner: &str, class: &str, name: &str) -> String {
    let handle = g.handle();
    let code = if kind == "DIMSTYLE" { 105 } else { 5 };
    g.puts(&[
        (0, kind),
        (code, &handle),
        (330, owner),
        (100, "AcDbSymbolTableRecord"),
        (100, class),
        (2, name),
    ]);
    handle
}

fn tables(g: &mut Groups, drawing: &Drawing, h: &Handles) {
    g.puts(&[(0, "SECTION"), (2, "TABLES")]);
    let owner = g.handle();
    table(g, "VPORT", &owner, 1);
    record(g, "VPORT", &owner, "AcDbViewportTableRecord", "*Active");
    let (centre, height) = drawing.bounds().map_or(((0.0, 0.0), 1000.0), |b| {
        let (c, s) = (b.centre() * 1e3, b.size() * 1e3);
        ((c.x, c.y), (s.y.max(s.x / 1.34)) * 1.1)
    });
    g.puts(&[(70, "0"), (10, "0"), (20, "0"), (11, "1"), (21, "1")]);
    g.put(12, number(centre.0, 3));
    g.put(22, number(centre.1, 3));
    g.puts(&[
        (13, "0"),
        (23, "0"),
        (14, "10"),
        (24, "10"),
        (15, "10"),
        (25, "10"),
    ]);
    g.puts(&[(16, "0"), (26, "0"), (36, "1"), (17, "0"), (27, "0"), (37, "0")]);
    g.put(40, number(height, 3));
    g.puts(&[
        (41, "1.34"),
        (42, "50"),
        (43, "0"),
        (44, "0"),
        (50, "0"),
        (51, "0"),
    ]);
    g.puts(&[
        (71, "0"),
        (72, "1000"),
        (73, "1"),
        (74, "3"),
        (75, "0"),
        (76, "0"),
        (77, "0"),
        (78, "0"),
        (0, "ENDTAB"),
    ]);
    let owner = g.handle();
    table(g, "LTYPE", &owner, 3);
    for (name, words) in [("ByBlock", ""), ("ByLayer", ""), ("Continuous", "Solid line")] {
        record(g, "LTYPE", &owner, "AcDbLinetypeTableRecord", name);
        g.puts(&[(70, "0"), (3, words), (72, "65"), (73, "0"), (40, "0")]);
    }
    g.put(0, "ENDTAB");
    table(g, "LAYER", &h.layers, drawing.layers.len() + 1);
    for (name, colour) in
        std::iter::once(("0", 7)).chain(drawing.layers.iter().map(|(n, c)| (n.as_str(), *c)))
    {
        record(g, "LAYER", &h.layers, "AcDbLayerTableRecord", name);
        g.put(70, "0");
        g.put(62, colour);
        g.puts(&[(6, "Continuous"), (370, "-3"), (390, &h.plot_style)]);
    }
    g.put(0, "ENDTAB");
    let owner = g.handle();
    table(g, "STYLE", &owner, 1);
    record(g, "STYLE", &owner, "AcDbTextStyleTableRecord", "Standard");
    g.puts(&[
        (70, "0"),
        (40, "0"),
        (41, "1"),
        (50, "0"),
        (71, "0"),
        (42, "2.5"),
        (3, "txt"),
        (4, ""),
        (0, "ENDTAB"),
    ]);
    for name in ["VIEW", "UCS"] {
        let owner = g.handle();
        table(g, name, &owner, 0);
        g.put(0, "ENDTAB");
    }
    let owner = g.handle();
    table(g, "APPID", &owner, 1);
    record(g, "APPID", &owner, "AcDbRegAppTableRecord", "ACAD");
    g.puts(&[(70, "0"), (0, "ENDTAB")]);
    let owner = g.handle();
    table(g, "DIMSTYLE", &owner, 1);
    g.put(100, "AcDbDimStyleTable");
    record(g, "DIMSTYLE", &owner, "AcDbDimStyleTableRecord", "Standard");
    g.puts(&[(70, "0"), (0, "ENDTAB")]);
    table(g, "BLOCK_RECORD", &h.block_records, 2);
    for (handle, name, layout) in [
        (&h.model, "*Model_Space", &h.model_layout),
        (&h.paper, "*Paper_Space", &h.paper_layout),
    ] {
        g.puts(&[
            (0, "BLOCK_RECORD"),
            (5, handle),
            (330, &h.block_records),
            (100, "AcDbSymbolTableRecord"),
        ]);
        g.puts(&[(100, "AcDbBlockTableRecord"), (2, name), (340, layout)]);
    }
    g.puts(&[(0, "ENDTAB"), (0, "ENDSEC")]);
}

fn blocks(g: &mut Groups, h: &Handles) {
    g.puts(&[(0, "SECTION"), (2, "BLOCKS")]);
    for (owner, name, paper) in [
        (&h.model, "*Model_Space", false),
        (&h.paper, "*Paper_Space", true),
    ] {
        let begin = g.handle();
        g.puts(&[(0, "BLOCK"), (5, &begin), (330, owner), (100, "AcDbEntity")]);
        if paper {
            g.put(67, "1");
        }
        g.puts(&[
            (8, "0"),
            (100, "AcDbBlockBegin"),
            (2, name),
            (70, "0"),
            (10, "0"),
            (20, "0"),
            (30, "0"),
        ]);
        g.puts(&[(3, name), (1, "")]);
        let end = g.handle();
        g.puts(&[(0, "ENDBLK"), (5, &end), (330, owner), (100, "AcDbEntity")]);
        if paper {
            g.put(67, "1");
        }
        g.puts(&[(8, "0"), (100, "AcDbBlockEnd")]);
    }
    g.put(0, "ENDSEC");
}

fn polyline(g: &mut Groups, line: &Line, owner: &str) {
    let vertices = vertices_in_mm(line);
    if vertices.len() < 2 {
        return;
    }
    let handle = g.handle();
    g.puts(&[
        (0, "LWPOLYLINE"),
        (5, &handle),
        (330, owner),
        (100, "AcDbEntity"),
        (8, &line.layer),
    ]);
    g.put(100, "AcDbPolyline");
    g.put(90, vertices.len());
    g.put(70, u8::from(line.closed));
    g.put(43, "0");
    for (x, y, bulge) in vertices {
        g.put(10, number(x, 6));
        g.put(20, number(y, 6));
        if bulge != 0.0 {
            g.put(42, number(bulge, 12));
        }
    }
}

fn objects(g: &mut Groups, h: &Handles) {
    g.puts(&[(0, "SECTION"), (2, "OBJECTS")]);
    let dictionary = |g: &mut Groups, handle: &str, owner: &str, entries: &[(&str, &str)]| {
        g.puts(&[
            (0, "DICTIONARY"),
            (5, handle),
            (330, owner),
            (100, "AcDbDictionary"),
            (281, "1"),
        ]);
        for (name, target) in entries {
            g.puts(&[(3, name), (350, target)]);
        }
    };
    dictionary(
        g,
        &h.root,
        "0",
        &[
            ("ACAD_GROUP", &h.group),
            ("ACAD_LAYOUT", &h.layouts),
            ("ACAD_PLOTSTYLENAME", &h.plot_styles),
        ],
    );
    dictionary(g, &h.group, &h.root, &[]);
    dictionary(
        g,
        &h.layouts,
        &h.root,
        &[("Model", &h.model_layout), ("Layout1", &h.paper_layout)],
    );
    g.puts(&[
        (0, "ACDBDICTIONARYWDFLT"),
        (5, &h.plot_styles),
        (330, &h.root),
        (100, "AcDbDictionary"),
        (281, "1"),
    ]);
    g.puts(&[
        (3, "Normal"),
        (350, &h.plot_style),
        (100, "AcDbDictionaryWithDefault"),
        (340, &h.plot_style),
    ]);
    g.puts(&[(0, "ACDBPLACEHOLDER"), (5, &h.plot_style), (330, &h.plot_styles)]);
    for (name, handle, block, order) in [
        ("Model", &h.model_layout, &h.model, "0"),
        ("Layout1", &h.paper_layout, &h.paper, "1"),
    ] {
        g.puts(&[
            (0, "LAYOUT"),
            (5, handle),
            (330, &h.layouts),
            (100, "AcDbPlotSettings"),
            (1, ""),
            (4, "A3"),
            (6, ""),
        ]);
        for (code, value) in [
            (40, "7.5"),
            (41, "20"),
            (42, "7.5"),
            (43, "20"),
            (44, "420"),
            (45, "297"),
        ] {
            g.put(code, value);
        }
        for code in [46, 47, 48, 49, 140, 141] {
            g.put(code, "0");
        }
        g.puts(&[
            (142, "1"),
            (143, "1"),
            (70, if name == "Model" { "1024" } else { "0" }),
            (72, "1"),
            (73, "0"),
        ]);
        g.puts(&[
            (74, "5"),
            (7, ""),
            (75, "16"),
            (147, "1"),
            (148, "0"),
            (149, "0"),
            (100, "AcDbLayout"),
            (1, name),
        ]);
        g.puts(&[
            (70, "1"),
            (71, order),
            (10, "0"),
            (20, "0"),
            (11, "420"),
            (21, "297"),
        ]);
        g.puts(&[
            (12, "0"),
            (22, "0"),
            (32, "0"),
            (14, "1e+20"),
            (24, "1e+20"),
            (34, "1e+20"),
        ]);
        g.puts(&[
            (15, "-1e+20"),
            (25, "-1e+20"),
            (35, "-1e+20"),
            (146, "0"),
            (13, "0"),
            (23, "0"),
            (33, "0"),
        ]);
        g.puts(&[
            (16, "1"),
            (26, "0"),
            (36, "0"),
            (17, "0"),
            (27, "1"),
            (37, "0"),
            (76, "1"),
            (330, block),
        ]);
    }
    g.put(0, "ENDSEC");
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
