use super::*;

fn list(text: &str) -> PackingList {
    read_list(text.as_bytes(), "list.csv").unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn units_in_headers_and_in_cells_and_every_bad_row_named() {
    let list = list(
        "Packing list of the observatory,,,,,\n\
         Description,Pcs,L (in),W,H [mm],Weight/lb\n\
         Receiver,2,10 1/2,200 mm,60,3.5\n\
         \"Mast, short\",1,40,5 cm,50,2 kg\n\
         ,1,1,1 mm,1,1\n\
         Logger,one,10,100 mm,50,1\n\
         Battery,1,10,100,50,1\n\
         Lens,1,10,100 mm,-5,1\n",
    );
    assert_eq!(list.rows.len(), 2);
    let ListSize::Cuboid([l, w, h]) = list.rows[0].size else {
        panic!("a box")
    };
    assert!(
        (l.as_mm() - 266.7).abs() < 1e-9
            && (w.as_mm() - 200.0).abs() < 1e-9
            && (h.as_mm() - 60.0).abs() < 1e-9
    );
    assert_eq!((list.rows[0].quantity, list.rows[0].row), (2, 3));
    assert!((list.rows[0].mass.as_pounds() - 3.5).abs() < 1e-12);
    assert_eq!(list.rows[1].id, "mast-short");
    let said: Vec<(usize, &str)> = list.unusable.iter().map(|u| (u.row, u.column.as_str())).collect();
    assert_eq!(
        said,
        [(5, "Description"), (6, "Pcs"), (7, "W"), (8, "H [mm]")],
        "{:?}",
        list.unusable
    );
    assert!(
        list.unusable[2].problem.contains("no unit"),
        "{:?}",
        list.unusable[2]
    );
}

#[test]
fn semicolons_decimal_commas_sizes_in_one_cell_and_total_mass() {
    let list = list(
        "Bezeichnung;Anzahl;Abmessungen;Gesamtgewicht (kg);Durchmesser;Höhe\r\n\
         Sender;4;30,5 x 20 x 12 cm;5,2;;\r\n\
         Rolle;1;;1;200 mm;35 mm\r\n",
    );
    assert!(list.unusable.is_empty(), "{:?}", list.unusable);
    let ListSize::Cuboid([l, ..]) = list.rows[0].size else {
        panic!("a box")
    };
    assert!((l.as_mm() - 305.0).abs() < 1e-9);
    assert!((list.rows[0].mass.si() - 1.3).abs() < 1e-12);
    assert!(matches!(list.rows[1].size, ListSize::Cylinder([d, _]) if (d.as_mm() - 200.0).abs() < 1e-9));
}

#[test]
fn the_template_is_read_back_and_items_are_sound_toml() {
    let list = list(&list_template());
    assert_eq!((list.rows.len(), list.unusable.len()), (1, 0));
    let text = list.as_items("list \"a\".csv");
    // A certainty that is none would make every pasted item an error.
    let source = text
        .lines()
        .find(|line| line.starts_with("source = "))
        .expect("a source");
    let source = source
        .trim_start_matches("source = ")
        .trim_matches('"')
        .replace("\\\"", "\"");
    assert!(
        crate::written::parse_source(&source, "source").is_ok(),
        "{source}"
    );
    let items: toml::Table = toml::from_str(&text).expect("sound TOML");
    assert_eq!(
        items["items"][0]["shape"]["box"]["length"].as_str(),
        Some("180 mm")
    );
}

#[test]
fn an_ambiguous_comma_is_not_guessed() {
    let list = list("Item,Size,Weight (g)\nA,10 x 10 x 10 mm,\"1,250\"\nB,10 x 10 x 10 mm,\"0,250\"\n");
    assert_eq!(list.rows.len(), 1);
    assert!(list.unusable[0].problem.contains("thousands or decimals"));
}

#[test]
fn what_is_no_list_is_refused_with_a_sentence() {
    for (bytes, words) in [
        (&b"  \n"[..], "empty"),
        (b"PK\x03\x04rest", "no XLSX workbook"),
        (b"\xd0\xcf\x11\xe0rest", "old kind"),
        (b"\xff\xfe\x00a", "UTF-8"),
        (b"a,b\n1,2\n", "no row names columns"),
        (b"Item,\"open", "quoted cell"),
    ] {
        let error = read_list(bytes, "list.csv").expect_err("no list").to_string();
        assert!(error.contains(words), "{error}");
    }
}

#[test]
fn names_alike_get_ids_apart() {
    let list =
        list("Item,Size,Weight\nA b,1 x 1 x 1 cm,1 kg\nA-B,1 x 1 x 1 cm,1 kg\n---,1 x 1 x 1 cm,1 kg\n");
    let ids: Vec<&str> = list.rows.iter().map(|row| row.id.as_str()).collect();
    assert_eq!(ids, ["a-b", "a-b-2", "item"]);
}

/// A workbook of two sheets: words first, the list on the second. `cells` of the second.
fn workbook(cells: &str, texts: &str) -> Vec<u8> {
    use std::io::Write;
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let mut add = |name: &str, text: &str| {
        zip.start_file(name, zip::write::SimpleFileOptions::default())
            .expect("a file");
        zip.write_all(text.as_bytes()).expect("memory");
    };
    add(
        "[Content_Types].xml",
        r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#,
    );
    add(
        "_rels/.rels",
        r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#,
    );
    add(
        "xl/workbook.xml",
        r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Read me" sheetId="1" r:id="r1"/><sheet name="Kit" sheetId="2" r:id="r2"/></sheets></workbook>"#,
    );
    add(
        "xl/_rels/workbook.xml.rels",
        r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet2.xml"/><Relationship Id="r3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>"#,
    );
    let sheet = |rows: &str| {
        format!(
            r#"<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
        )
    };
    add(
        "xl/worksheets/sheet1.xml",
        &sheet(r#"<row r="1"><c r="A1" t="inlineStr"><is><t>Hello</t></is></c></row>"#),
    );
    add("xl/worksheets/sheet2.xml", &sheet(cells));
    add(
        "xl/sharedStrings.xml",
        &format!(r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{texts}</sst>"#),
    );
    zip.finish().expect("memory").into_inner()
}

fn texts(all: &[&str]) -> String {
    format!("<si><t>{}</t></si>", all.join("</t></si><si><t>"))
}

#[test]
fn a_workbook_is_read_from_the_sheet_that_names_columns() {
    let cells = r#"<row r="3"><c r="B3" t="s"><v>0</v></c><c r="C3" t="s"><v>1</v></c><c r="D3" t="s"><v>2</v></c><c r="E3" t="s"><v>3</v></c><c r="F3" t="s"><v>4</v></c></row>
        <row r="4"><c r="B4" t="s"><v>5</v></c><c r="C4"><v>180</v></c><c r="D4"><v>119.99999999999999</v></c><c r="E4"><f>30*2</f><v>60</v></c><c r="F4"><v>1.4</v></c></row>
        <row r="5"><c r="B5" t="s"><v>6</v></c><c r="C5" t="e"><v>#REF!</v></c><c r="D5"><v>1</v></c><c r="E5"><v>1</v></c><c r="F5"><v>1</v></c></row>"#;
    let list = read_list(
        &workbook(
            cells,
            &texts(&[
                "Item",
                "Length (mm)",
                "Width (mm)",
                "Height (mm)",
                "Weight (kg)",
                "Receiver",
                "Mast",
            ]),
        ),
        "kit.xlsx",
    )
    .unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(
        (list.rows.len(), list.rows[0].row, list.rows[0].id.as_str()),
        (1, 4, "receiver")
    );
    assert!(matches!(list.rows[0].size, ListSize::Cuboid([_, w, _]) if (w.as_mm() - 120.0).abs() < 1e-9));
    assert_eq!((list.unusable.len(), list.unusable[0].row), (1, 5));
    assert!(list.unusable[0].column.contains("Length"), "{:?}", list.unusable);
}

#[test]
fn workbooks_that_are_too_much_or_broken_are_refused_with_a_sentence() {
    for (cells, words) in [
        (
            r#"<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>"#,
            "beyond the",
        ),
        (r#"<row r="1"><c r="A1"><v>1</v></c"#, "Kit"),
        ("", "no row names columns"),
    ] {
        let error = read_list(&workbook(cells, &texts(&["x"])), "kit.xlsx")
            .expect_err("no list")
            .to_string();
        assert!(error.contains(words), "{error}");
    }
    let whole = workbook("", &texts(&["x"]));
    for end in (4..whole.len()).step_by(97) {
        assert!(read_list(&whole[..end], "kit.xlsx").is_err());
    }
}

#[test]
fn headers_under_a_row_of_groups() {
    let list = list(
        "Observatory,,,,,,\n\
         ,,Outside size (mm),,,Weight,\n\
         Item,Qty,L,W,H,kg,Serial\n\
         Receiver,2,300,200,60,3.5,A-1\n",
    );
    assert!(list.unusable.is_empty(), "{:?}", list.unusable);
    let row = &list.rows[0];
    assert_eq!((row.row, row.quantity, row.note.as_str()), (4, 2, "A-1"));
    let ListSize::Cuboid([l, w, h]) = row.size else {
        panic!("a box")
    };
    assert!(
        (l.as_mm() - 300.0).abs() < 1e-9
            && (w.as_mm() - 200.0).abs() < 1e-9
            && (h.as_mm() - 60.0).abs() < 1e-9
    );
    assert!((row.mass.si() - 3.5).abs() < 1e-12);
}

#[test]
fn a_group_without_a_unit_does_not_supply_one() {
    let list = list("Thing,,Size,,,Weight\nItem,Qty,L,W,H,each (kg)\nReceiver,2,300,200,60,3.5\n");
    assert!(list.rows.is_empty());
    assert!(
        list.unusable[0].problem.contains("no unit"),
        "{:?}",
        list.unusable
    );
}
