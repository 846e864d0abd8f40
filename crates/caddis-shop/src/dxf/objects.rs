//! Blocks and objects that every file of this release holds.

use super::{DxfPaper, Groups, Handles};
use crate::drawing::number;

pub(super) fn blocks(g: &mut Groups, h: &Handles) {
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

pub(super) fn objects(g: &mut Groups, paper: Option<&DxfPaper>, h: &Handles) {
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
    let name_of_paper = paper.map_or("A3", |paper| paper.name.as_str());
    let (wide, tall) = paper.map_or((420.0, 297.0), |paper| (paper.width, paper.height));
    let (wide, tall) = (number(wide, 6), number(tall, 6));
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
            (4, name_of_paper),
            (6, ""),
        ]);
        for (code, value) in [
            (40, "7.5"),
            (41, "20"),
            (42, "7.5"),
            (43, "20"),
            (44, wide.as_str()),
            (45, tall.as_str()),
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
            (11, &wide),
            (21, &tall),
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
