//! Classes and tables: line types, layers, text styles.

use super::entities::STYLES;
use super::{DxfDrawing, DxfLineType, Groups, Handles};
use crate::drawing::number;

pub(super) fn classes(g: &mut Groups) {
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

pub(super) fn tables(g: &mut Groups, drawing: &DxfDrawing, h: &Handles) {
    g.puts(&[(0, "SECTION"), (2, "TABLES")]);
    let owner = g.handle();
    table(g, "VPORT", &owner, 1);
    record(g, "VPORT", &owner, "AcDbViewportTableRecord", "*Active");
    let (low, high) = drawing.extents;
    let centre = (f64::midpoint(low.0, high.0), f64::midpoint(low.1, high.1));
    let height = (high.1 - low.1).max((high.0 - low.0) / 1.34) * 1.1;
    // A drawing of nothing is looked at from a metre.
    let height = if height > 0.0 { height } else { 1000.0 };
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
    let mut broken: Vec<&DxfLineType> = Vec::new();
    for layer in &drawing.layers {
        if !layer.line.lengths.is_empty() && !broken.iter().any(|line| line.name == layer.line.name) {
            broken.push(&layer.line);
        }
    }
    table(g, "LTYPE", &owner, 3 + broken.len());
    for (name, words) in [("ByBlock", ""), ("ByLayer", ""), ("Continuous", "Solid line")] {
        record(g, "LTYPE", &owner, "AcDbLinetypeTableRecord", name);
        g.puts(&[(70, "0"), (3, words), (72, "65"), (73, "0"), (40, "0")]);
    }
    for line in broken {
        record(g, "LTYPE", &owner, "AcDbLinetypeTableRecord", &line.name);
        g.puts(&[(70, "0"), (3, &line.words), (72, "65")]);
        g.put(73, line.lengths.len());
        g.put(40, number(line.lengths.iter().sum(), 6));
        for (index, length) in line.lengths.iter().enumerate() {
            // Gaps are negative.
            let sign = if index % 2 == 0 { 1.0 } else { -1.0 };
            g.put(49, number(sign * length, 6));
            g.put(74, "0");
        }
    }
    g.put(0, "ENDTAB");
    table(g, "LAYER", &h.layers, drawing.layers.len() + 1);
    record(g, "LAYER", &h.layers, "AcDbLayerTableRecord", "0");
    layer(g, 7, "Continuous", None, &h.plot_style);
    for one in &drawing.layers {
        record(g, "LAYER", &h.layers, "AcDbLayerTableRecord", &one.name);
        let line = if one.line.lengths.is_empty() {
            "Continuous"
        } else {
            &one.line.name
        };
        layer(g, one.colour, line, one.weight, &h.plot_style);
    }
    g.put(0, "ENDTAB");
    let owner = g.handle();
    // Sheets of paper are set in the face of the printed ones; a reader without it takes its own.
    let faces: &[(&str, &str)] = if drawing.paper.is_some() {
        &[
            (STYLES[0], "NotoSans-Regular.ttf"),
            (STYLES[1], "NotoSans-Bold.ttf"),
        ]
    } else {
        &[]
    };
    table(g, "STYLE", &owner, 1 + faces.len());
    for (name, file) in std::iter::once(&("Standard", "txt")).chain(faces) {
        record(g, "STYLE", &owner, "AcDbTextStyleTableRecord", name);
        g.puts(&[
            (70, "0"),
            (40, "0"),
            (41, "1"),
            (50, "0"),
            (71, "0"),
            (42, "2.5"),
            (3, file),
            (4, ""),
        ]);
    }
    g.put(0, "ENDTAB");
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

fn layer(g: &mut Groups, colour: u8, line: &str, weight: Option<u16>, plot_style: &str) {
    g.put(70, "0");
    g.put(62, colour);
    g.put(6, line);
    match weight {
        Some(weight) => g.put(370, weight),
        None => g.put(370, "-3"),
    }
    g.put(390, plot_style);
}
