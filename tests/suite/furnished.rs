//! What a job asks of its foam beside cavities, through the program: cut, coloured, fitted and priced as the bill says.

use caddis_tests::{Folder, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("make::foam_is_furnished_as_the_job_asks", furnished),
        Trial::test("make::a_colour_nobody_stocks_is_refused", purple),
        Trial::test("make::a_tray_is_built_on_its_board", boarded),
        Trial::test("make::a_tablet_lies_in_the_lid", lidded),
    ]
}

/// The small job in the shop's own foam with this `[interior]`, as far as the shop makes it.
fn made(interior: &str) -> Result<(caddis_tests::Ran, Folder), Failed> {
    made_with(interior, &[])
}

/// The same with some of its words replaced.
fn made_with(interior: &str, other: &[(&str, &str)]) -> Result<(caddis_tests::Ran, Folder), Failed> {
    let folder = Folder::new();
    let mut text = fs::read_to_string(workspace_root().join("tests/suite/jobs/two-boxes/job.toml"))?
        .replace("\"own-soft\"", "\"tarn-29\"")
        .replacen("[handling]", &format!("[interior]\n{interior}\n\n[handling]"), 1);
    for (from, to) in other {
        if !text.contains(from) {
            return Err(format!("the job has no `{from}`").into());
        }
        text = text.replace(from, to);
    }
    let place = folder.path().join("job");
    fs::create_dir_all(&place)?;
    fs::write(place.join("job.toml"), text)?;
    let library = workspace_root().join("library").display().to_string();
    let ran = caddis(
        folder.path(),
        vec!["make", "job", "--out", "out", "--library", &library],
        &[],
    );
    Ok((ran, folder))
}

fn texts<'a>(list: &'a Value, key: &str) -> Vec<&'a str> {
    let list = list.as_array().map_or(&[][..], Vec::as_slice);
    list.iter().filter_map(|one| one[key].as_str()).collect()
}

fn furnished() -> Result<(), Failed> {
    let (ran, folder) = made(
        "label = { length = \"60 mm\", width = \"30 mm\", depth = \"2 mm\" }\nlid_held_by = \"board\"\nbase_held_by = \"adhesive\"\n\
         cable_channels = [{ from = \"recorder\", to = \"probe\", width = \"12 mm\", depth = \"15 mm\" }]\n\
         colours = { top = \"charcoal\", floors = \"amber\" }",
    )?;
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}\n{}", ran.exit, ran.stdout, ran.stderr).into());
    }
    let text = fs::read_to_string(folder.path().join("out/result.json"))?;
    let result: Value = serde_json::from_str(&text)?;
    let openings = texts(&result["interior"]["openings"], "kind");
    if openings != ["cable channel", "label recess"] {
        return Err(format!("openings: {openings:?}").into());
    }
    let lines = texts(&result["shop"]["bill"]["lines"], "description");
    for asked in [
        "amber",
        "charcoal",
        "twin-wall board, 4 mm",
        "base block to the shell",
        "hook and loop",
    ] {
        if !lines.iter().any(|line| line.contains(asked)) {
            return Err(format!("no `{asked}` on the bill: {lines:?}").into());
        }
    }
    // The lid pad ends a board's thickness below the crown, and weighs in.
    let blocks = result["interior"]["blocks"].as_array().ok_or("blocks")?;
    let pad = blocks
        .last()
        .and_then(|block| block["high_m"].as_f64())
        .ok_or("a pad")?;
    let depth = |half: &str| {
        result["survey"][half]["depth"]["value_m"]
            .as_f64()
            .ok_or("a depth")
    };
    let crown = depth("base")? + depth("lid")?;
    if (crown - pad - 0.004).abs() > 1e-9 {
        return Err(format!("the pad ends at {pad}, the crown lies at {crown}").into());
    }
    let masses = result["verification"].to_string();
    if !masses.contains("board behind the lid pad") {
        return Err("the board is not weighed".into());
    }
    let cut = fs::read_dir(folder.path().join("out/layers"))?.count();
    if cut == 0 {
        return Err("nothing is cut".into());
    }
    Ok(())
}

fn purple() -> Result<(), Failed> {
    let (ran, _folder) = made("colours = { top = \"charcoal\", floors = \"purple\" }")?;
    let told = ran.stderr.contains("interior.colours.floors") && ran.stderr.contains("amber");
    if ran.exit == Some(3) && told {
        Ok(())
    } else {
        Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into())
    }
}

/// A deep shell and a tablet that is pinned in its lid.
const TABLET: [(&str, &str); 3] = [
    ("cairn-360", "tor-520"),
    (
        "[handling]",
        "[wishes]\npinned = [{ piece = \"tablet\", at = [\"20 mm\", \"-10 mm\"], tier = \"lid\" }]\n\n[handling]",
    ),
    (
        "[[items]]\nid = \"recorder\"",
        "[[items]]\nid = \"tablet\"\nname = \"Tablet\"\nmass = \"0.7 kg\"\nfragility = \"120 G\"\nmay_lie_in_lid = true\n[items.shape.box]\n\
         length = \"180 mm\"\nwidth = \"120 mm\"\nheight = \"20 mm\"\n\n[[items]]\nid = \"recorder\"",
    ),
];

fn lidded() -> Result<(), Failed> {
    let (ran, folder) = made_with("", &TABLET)?;
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}\n{}", ran.exit, ran.stdout, ran.stderr).into());
    }
    let text = fs::read_to_string(folder.path().join("out/result.json"))?;
    let result: Value = serde_json::from_str(&text)?;
    let places = result["interior"]["places"].as_array().ok_or("places")?;
    let tablet = places
        .iter()
        .find(|place| place["item"] == "tablet")
        .ok_or("no tablet")?;
    if tablet["in_lid"] != true || places.iter().filter(|place| place["in_lid"] == true).count() != 1 {
        return Err(format!("the tablet does not lie in the lid alone: {places:?}").into());
    }
    let number = |value: &Value| value.as_f64().ok_or("a number");
    let blocks = result["interior"]["blocks"].as_array().ok_or("blocks")?;
    let pad = blocks.last().ok_or("a pad")?;
    let cover = number(&pad["cover_high_m"])?;
    if (number(&tablet["box_min_m"][2])? - cover).abs() > 1e-9 {
        return Err("the tablet does not lie on the cover".into());
    }
    // The cover is not glued to the pad it closes; its strips are bought.
    let parts = result["shop"]["parts"].as_array().ok_or("parts")?;
    let layers = pad["layers"].as_array().ok_or("layers")?;
    let first = layers
        .iter()
        .find(|layer| layer["low_m"].as_f64().is_some_and(|low| low > cover - 1e-9))
        .ok_or("a layer over the cover")?;
    let glued = parts
        .iter()
        .find(|part| part["id"] == first["id"])
        .ok_or("its part")?;
    if !glued["glue"].is_null() {
        return Err(format!("{} is glued to the cover", first["id"]).into());
    }
    let lines = texts(&result["shop"]["bill"]["lines"], "description");
    if !lines.iter().any(|line| line.contains("cover in the lid")) {
        return Err(format!("no strips on the bill: {lines:?}").into());
    }
    let findings = texts(&result["verification"]["findings"], "code");
    if !findings.contains(&"lid-carries") {
        return Err(format!("nothing is said of what the lid carries: {findings:?}").into());
    }
    Ok(())
}

/// More recorders than one tier of a deep shell holds.
const MANY: [(&str, &str); 5] = [
    ("steps = 20000", "steps = 200000"),
    ("cairn-360", "tor-520"),
    ("id = \"recorder\"", "id = \"recorder\"\nquantity = 6"),
    (
        "length = \"120 mm\"\nwidth = \"80 mm\"\nheight = \"40 mm\"",
        "length = \"180 mm\"\nwidth = \"120 mm\"\nheight = \"60 mm\"",
    ),
    ("mass = \"1.2 kg\"", "mass = \"2.6 kg\""),
];

fn boarded() -> Result<(), Failed> {
    let (ran, folder) = made_with("tray_lift = \"holes\"\ntray_board = true", &MANY)?;
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}\n{}", ran.exit, ran.stdout, ran.stderr).into());
    }
    let text = fs::read_to_string(folder.path().join("out/result.json"))?;
    let result: Value = serde_json::from_str(&text)?;
    let blocks = result["interior"]["blocks"].as_array().ok_or("blocks")?;
    let number = |value: &Value| value.as_f64().ok_or("a number");
    let tray = blocks
        .iter()
        .find(|block| block["kind"] == "tray 1")
        .ok_or("there is no tray")?;
    let (low, high) = (
        number(&tray["board"]["low_m"])?,
        number(&tray["board"]["high_m"])?,
    );
    if (high - low - 0.004).abs() > 1e-9 {
        return Err(format!("the board is {} m thick", high - low).into());
    }
    // Layers end at the board and begin on it, and the stack is whole.
    let layers = tray["layers"].as_array().ok_or("layers")?;
    let mut at = number(&tray["low_m"])?;
    let mut passed = false;
    for layer in layers {
        if (at - low).abs() < 1e-9 && !passed {
            at = high;
            passed = true;
        }
        if (number(&layer["low_m"])? - at).abs() > 1e-9 {
            return Err(format!("layer {} begins at {}, not {at}", layer["id"], layer["low_m"]).into());
        }
        at = number(&layer["high_m"])?;
    }
    if !passed || (at - number(&tray["high_m"])?).abs() > 1e-9 {
        return Err("the tray's layers do not fill it about its board".into());
    }
    let lines = texts(&result["shop"]["bill"]["lines"], "description");
    for asked in [
        "twin-wall board, 4 mm, in the tray",
        "tray to its board on both faces",
    ] {
        if !lines.iter().any(|line| line.contains(asked)) {
            return Err(format!("no `{asked}` on the bill: {lines:?}").into());
        }
    }
    if !result["verification"].to_string().contains("board in the tray") {
        return Err("the board is not weighed".into());
    }
    let drawn = fs::read_to_string(folder.path().join("out/boards/tray.dxf"))?;
    if !drawn.contains("board in the tray, seen from above") {
        return Err("the board has no drawing".into());
    }
    Ok(())
}
