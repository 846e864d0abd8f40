//! What a job asks of its foam beside cavities: read whole, or refused with field, problem and what would do.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::Length;
use caddis_design::{HeldBy, TrayLift};
use caddis_files::{DirectReader, FileError, Job, Library, read_job, read_shop_offer};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

/// The demonstration with another `[interior]`, in a folder of its own.
fn asking(name: &str, interior: &str) -> Result<Job, FileError> {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("furnishing-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("shapes")).unwrap();
    let demo = root().join("jobs/tindra-ridge");
    for shape in fs::read_dir(demo.join("shapes")).unwrap() {
        let shape = shape.unwrap();
        fs::copy(shape.path(), folder.join("shapes").join(shape.file_name())).unwrap();
    }
    let mut job: toml::Table = fs::read_to_string(demo.join("job.toml"))
        .unwrap()
        .parse()
        .unwrap();
    job.insert(
        "interior".to_owned(),
        interior.parse::<toml::Table>().unwrap().into(),
    );
    fs::write(folder.join("job.toml"), job.to_string()).unwrap();
    read_job(
        &folder,
        &Library::new(vec![root().join("library")]),
        &DirectReader,
    )
}

#[test]
fn all_that_can_be_asked_reads() {
    let job = asking(
        "all",
        "tray_lift = 'straps'\npush_out_holes = true\ntray_board = true\nbase_held_by = 'adhesive'\nlid_held_by = 'board'\n\
         cable_channels = [{ from = 'digitiser', to = 'gnss-antenna/2', width = '12 mm', depth = '15 mm' }]\n\
         label = { length = '90 mm', width = '40 mm', depth = '2 mm' }\ncolours = { top = 'charcoal', floors = 'amber' }",
    )
    .unwrap();
    let asked = &job.brief.furnishing;
    assert_eq!(asked.tray_lift, TrayLift::Straps);
    assert!(asked.push_out_holes);
    assert_eq!(
        (asked.base_held_by, asked.lid_held_by),
        (HeldBy::Adhesive, HeldBy::Board)
    );
    assert_eq!(asked.channels[0].between.1.to_string(), "gnss-antenna/2");
    assert_eq!(asked.label.unwrap().length, Length::mm(90.0));
    let board = asked.board.as_ref().unwrap();
    assert_eq!(asked.tray_board.as_ref(), Some(board));
    assert_eq!(
        job.brief.crown(),
        job.brief.shell.crown_height() - board.thickness
    );
    assert_eq!(asked.colours.as_ref().unwrap().floors.name, "amber");
}

#[test]
fn what_cannot_be_had_names_its_field() {
    for (name, interior, field, hint) in [
        ("lift", "tray_lift = 'strap'", "interior.tray_lift", "straps"),
        ("held", "lid_held_by = 'nails'", "interior.lid_held_by", "squeeze"),
        (
            "base",
            "base_held_by = 'board'",
            "interior.base_held_by",
            "adhesive",
        ),
        (
            "colour",
            "colours = { top = 'charcoal', floors = 'purple' }",
            "interior.colours.floors",
            "amber",
        ),
        (
            "same",
            "colours = { top = 'amber', floors = 'amber' }",
            "interior.colours.floors",
            "another colour",
        ),
        (
            "narrow",
            "cable_channels = [{ from = 'digitiser', to = 'seismometer', width = '3 mm', depth = '15 mm' }]",
            "interior.cable_channels[0].width",
            "wider",
        ),
        (
            "nobody",
            "cable_channels = [{ from = 'digitizer', to = 'seismometer', width = '12 mm', depth = '15 mm' }]",
            "interior.cable_channels[0].from",
            "digitiser",
        ),
        (
            "itself",
            "cable_channels = [{ from = 'digitiser', to = 'digitiser/1', width = '12 mm', depth = '15 mm' }]",
            "interior.cable_channels[0].to",
            "another piece",
        ),
        (
            "flat",
            "label = { length = '90 mm', width = '0 mm', depth = '2 mm' }",
            "interior.label.width",
            "above zero",
        ),
    ] {
        let error = asking(name, interior)
            .err()
            .unwrap_or_else(|| panic!("{name}: it was read"));
        assert_eq!(error.place().field, field, "{error}");
        assert!(
            error.hint().unwrap_or_default().contains(hint),
            "{error}\n{:?}",
            error.hint()
        );
    }
}

#[test]
fn a_board_is_asked_of_a_shop_that_has_one() {
    let name = "no-board";
    assert!(
        asking(name, "tray_board = true")
            .unwrap()
            .brief
            .furnishing
            .tray_board
            .is_some()
    );
    assert!(asking(name, "").unwrap().brief.furnishing.tray_board.is_none());
    // The same shop without its board, in the job's own library.
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("furnishing-{name}"));
    let mut shop: toml::Table = fs::read_to_string(root().join("library/shop/coldwater.toml"))
        .unwrap()
        .parse()
        .unwrap();
    let fittings = shop["fittings"].as_table_mut().unwrap();
    let board = fittings["board"].as_table_mut().unwrap();
    board.insert("bending_modulus".to_owned(), "900 MPa".into());
    let read = |shop: &toml::Table, interior: &str| {
        let mut job: toml::Table = fs::read_to_string(folder.join("job.toml"))
            .unwrap()
            .parse()
            .unwrap();
        job.insert(
            "interior".to_owned(),
            interior.parse::<toml::Table>().unwrap().into(),
        );
        fs::write(folder.join("job.toml"), job.to_string()).unwrap();
        fs::create_dir_all(folder.join("library/shop")).unwrap();
        fs::write(folder.join("library/shop/coldwater.toml"), shop.to_string()).unwrap();
        let library = Library::new(vec![folder.join("library"), root().join("library")]);
        read_job(&folder, &library, &DirectReader)
    };
    let stated = read(&shop, "tray_board = true").unwrap().brief.furnishing;
    let modulus = stated.tray_board.unwrap().modulus.unwrap();
    assert!((modulus.si() / 9e8 - 1.0).abs() < 1e-9);
    shop["fittings"].as_table_mut().unwrap().remove("board");
    let error = read(&shop, "tray_board = true").err().unwrap();
    assert_eq!(error.place().field, "interior.tray_board", "{error}");
    assert!(error.to_string().contains("no board"), "{error}");
    assert!(read(&shop, "").is_ok());
}

#[test]
fn a_shop_offers_its_fittings_and_each_colour_once() {
    let shop = fs::read(root().join("library/shop/coldwater.toml")).unwrap();
    let offer = read_shop_offer(&shop, "coldwater").unwrap();
    assert_eq!(offer.pull_strap.as_deref(), Some("webbing loop 25 mm, sewn"));
    assert_eq!(offer.board.as_deref(), Some("twin-wall board"));
    assert!(offer.bevels);
    let colours: Vec<(&str, &str, [u8; 3])> = offer
        .colours
        .iter()
        .map(|known| {
            (
                known.foam.as_str(),
                known.colour.name.as_str(),
                known.colour.shade,
            )
        })
        .collect();
    assert_eq!(colours[0], ("tarn-29", "charcoal", [0x3d, 0x46, 0x50]));
    for (index, known) in colours.iter().enumerate() {
        assert!(
            !colours[..index]
                .iter()
                .any(|other| other.0 == known.0 && other.1 == known.1)
        );
    }

    let mut poor: toml::Table = String::from_utf8(shop).unwrap().parse().unwrap();
    poor.remove("fittings");
    let offer = read_shop_offer(poor.to_string().as_bytes(), "poor").unwrap();
    assert_eq!((offer.pull_strap, offer.board, offer.bevels), (None, None, false));
}
