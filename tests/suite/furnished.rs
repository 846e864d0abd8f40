//! What a job asks of its foam beside cavities, through the program: cut, coloured, fitted and priced as the bill says.

use caddis_tests::{Folder, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("make::foam_is_furnished_as_the_job_asks", furnished),
        Trial::test("make::a_colour_nobody_stocks_is_refused", purple),
    ]
}

/// The small job in the shop's own foam with this `[interior]`, as far as the shop makes it.
fn made(interior: &str) -> Result<(caddis_tests::Ran, Folder), Failed> {
    let folder = Folder::new();
    let text = fs::read_to_string(workspace_root().join("tests/suite/jobs/two-boxes/job.toml"))?
        .replace("\"own-soft\"", "\"tarn-29\"")
        .replacen("[handling]", &format!("[interior]\n{interior}\n\n[handling]"), 1);
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
