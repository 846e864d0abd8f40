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
    let list = list(list_template());
    assert_eq!((list.rows.len(), list.unusable.len()), (1, 0));
    let text = list.as_items("list \"a\".csv");
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
        (b"PK\x03\x04rest", "workbook"),
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
