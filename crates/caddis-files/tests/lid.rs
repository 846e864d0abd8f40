//! Pieces in the lid: what a job says of them, and what is missing to have them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_files::{DirectReader, FileError, Job, Library, read_job};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

/// Two items in a small case, the first of which may lie in the lid or not, with a pin; at the shop with its strips or without.
fn read(name: &str, may: bool, pin: &str, has_strips: bool) -> Result<Job, FileError> {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("lid-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("library/shop")).unwrap();
    let mut shop: toml::Table = fs::read_to_string(root().join("library/shop/coldwater.toml"))
        .unwrap()
        .parse()
        .unwrap();
    if !has_strips {
        shop["fittings"].as_table_mut().unwrap().remove("lid_strip");
    }
    fs::write(folder.join("library/shop/coldwater.toml"), shop.to_string()).unwrap();
    let mut job: toml::Table = fs::read_to_string(root().join("jobs/tindra-ridge/job.toml"))
        .unwrap()
        .parse()
        .unwrap();
    let boxes = |item: &&mut toml::Value| item["shape"].get("box").is_some();
    let items = job["items"].as_array_mut().unwrap();
    let mut kept: Vec<toml::Value> = items.iter_mut().filter(boxes).map(|item| item.clone()).collect();
    kept.truncate(2);
    kept[0]
        .as_table_mut()
        .unwrap()
        .insert("may_lie_in_lid".to_owned(), may.into());
    let first = kept[0]["id"].as_str().unwrap().to_owned();
    job.insert("items".to_owned(), kept.into());
    for other in ["wishes", "interior", "journey", "concessions"] {
        job.remove(other);
    }
    let journey = "title = 'none'\n[[legs]]\nkind = 'courier-road'\nlabel = 'road'\n";
    job.insert(
        "journey".to_owned(),
        journey.parse::<toml::Table>().unwrap().into(),
    );
    if !pin.is_empty() {
        let pin = format!("pinned = [{{ piece = '{first}', at = ['0 mm', '0 mm'], tier = '{pin}' }}]");
        job.insert("wishes".to_owned(), pin.parse::<toml::Table>().unwrap().into());
    }
    fs::write(folder.join("job.toml"), job.to_string()).unwrap();
    let library = Library::new(vec![folder.join("library"), root().join("library")]);
    read_job(&folder, &library, &DirectReader)
}

#[test]
fn an_item_that_may_lie_in_the_lid_can_be_pinned_there() {
    let job = read("pinned", true, "lid", true).unwrap();
    assert!(job.brief.items[0].may_lie_in_lid && !job.brief.items[1].may_lie_in_lid);
    let pin = &job.brief.wishes.pinned[0];
    assert!(pin.in_lid && !pin.in_tray);
}

#[test]
fn what_keeps_it_out_names_its_field() {
    for (name, may, pin, has_strips, field, word) in [
        (
            "forbidden",
            false,
            "lid",
            true,
            "wishes.pinned[0].tier",
            "may_lie_in_lid",
        ),
        (
            "misspelt",
            true,
            "roof",
            true,
            "wishes.pinned[0].tier",
            "base, tray or lid",
        ),
        (
            "loose",
            true,
            "",
            false,
            "items[0].may_lie_in_lid",
            "fittings.lid_strip",
        ),
    ] {
        let error = read(name, may, pin, has_strips).err().unwrap();
        assert_eq!(error.place().field, field, "{error}");
        assert!(error.hint().is_some_and(|hint| hint.contains(word)), "{error:?}");
    }
    assert!(read("without", false, "", false).is_ok());
}
