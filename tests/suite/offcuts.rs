//! What one job leaves of its sheets, the next one is cut from, through the program.

use caddis_tests::{Folder, Ran, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;

pub(crate) fn trials() -> Vec<Trial> {
    vec![Trial::test(
        "make::the_next_job_is_cut_from_what_is_left",
        cut_from_what_is_left,
    )]
}

fn made(folder: &Folder, out: &str) -> Ran {
    caddis(
        folder.path(),
        vec!["make", "job", "--out", out, "--library", "library"],
        &[],
    )
}

/// Names of the stock that is cut, and the price in cents.
fn cut(folder: &Folder, out: &str) -> Result<(Vec<String>, i64), Failed> {
    let text = fs::read_to_string(folder.path().join(out).join("result.json"))?;
    let result: Value = serde_json::from_str(&text)?;
    let nests = result["shop"]["nests"].as_array().ok_or("nests")?;
    let names = nests.iter().filter_map(|nest| nest["stock"].as_str());
    let price = result["shop"]["bill"]["price"]["minor"]
        .as_i64()
        .ok_or("a price")?;
    Ok((names.map(str::to_owned).collect(), price))
}

fn cut_from_what_is_left() -> Result<(), Failed> {
    let folder = Folder::new();
    let library = folder.copy(&workspace_root().join("library"), "library");
    let text = fs::read_to_string(workspace_root().join("tests/suite/jobs/two-boxes/job.toml"))?;
    let place = folder.path().join("job");
    fs::create_dir_all(&place)?;
    fs::write(
        place.join("job.toml"),
        text.replace("\"own-soft\"", "\"tarn-29\""),
    )?;
    let first = made(&folder, "first");
    if first.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}\n{}", first.exit, first.stdout, first.stderr).into());
    }
    let kept = fs::read_to_string(folder.path().join("first/offcuts.toml"))?;
    let rack = library.join("offcuts");
    fs::create_dir_all(&rack)?;
    fs::write(rack.join("first.toml"), &kept)?;
    let second = made(&folder, "second");
    if second.exit != Some(0) {
        return Err(format!(
            "exit code {:?}\n{}\n{}",
            second.exit, second.stdout, second.stderr
        )
        .into());
    }
    let (whole, dear) = cut(&folder, "first")?;
    let (again, cheap) = cut(&folder, "second")?;
    if whole.iter().any(|name| name.contains("offcut")) || !again.iter().any(|name| name.contains("offcut")) {
        return Err(format!("cut from {whole:?}, then from {again:?}").into());
    }
    if cheap >= dear {
        return Err(format!("{cheap} cents after {dear}").into());
    }
    // Without saying how many there are, nothing may be cut from it.
    fs::write(rack.join("first.toml"), kept.replacen("number = 1\n", "", 1))?;
    let third = made(&folder, "third");
    let told = ["first.toml", "stock[0].number", "number = 1"];
    if third.exit != Some(3) || !told.iter().all(|words| third.stderr.contains(words)) {
        return Err(format!("exit code {:?}\n{}", third.exit, third.stderr).into());
    }
    Ok(())
}
