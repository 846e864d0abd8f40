//! A repeat order: what was delivered is kept, and what a revision changes is said, priced and marked.

use caddis_tests::{Folder, Ran, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("make::a_repeat_order_changes_nothing", nothing),
        Trial::test("make::a_delivery_of_former_times_is_read", former),
        Trial::test("make::a_larger_item_changes_its_own_layers", larger),
        Trial::test("make::a_delivery_that_is_none_is_refused", refused),
    ]
}

/// The small job in the shop's own foam, and in it `from` as `to`.
fn job(folder: &Folder, name: &str, (from, to): (&str, &str)) -> Result<(), Failed> {
    let text = fs::read_to_string(workspace_root().join("tests/suite/jobs/two-boxes/job.toml"))?
        .replace("\"own-soft\"", "\"tarn-29\"");
    if !text.contains(from) {
        return Err(format!("the job does not hold `{from}`").into());
    }
    let place = folder.path().join(name);
    fs::create_dir_all(&place)?;
    fs::write(place.join("job.toml"), text.replacen(from, to, 1))?;
    Ok(())
}

fn make(folder: &Folder, arguments: &[&str]) -> Ran {
    let library = workspace_root().join("library").display().to_string();
    let mut all = vec!["make"];
    all.extend(arguments);
    all.extend(["--library", &library]);
    caddis(folder.path(), all, &[])
}

/// Delivers the job as it stands.
fn delivered() -> Result<Folder, Failed> {
    let folder = Folder::new();
    job(&folder, "first", ("TB-1", "TB-1"))?;
    let ran = make(&folder, &["first", "--out", "delivered"]);
    if ran.exit == Some(0) {
        Ok(folder)
    } else {
        Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into())
    }
}

fn changes(ran: &Ran) -> Result<Value, Failed> {
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into());
    }
    let all: Value = serde_json::from_str(&ran.stdout)?;
    Ok(all["changes"].clone())
}

fn nothing() -> Result<(), Failed> {
    let folder = delivered()?;
    let ran = make(&folder, &["first", "--since", "delivered", "--json"]);
    let changes = changes(&ran)?;
    let is_same = |layer: &Value| layer["is_same"] == true;
    let layers = changes["layers"].as_array().ok_or("layers are listed")?;
    if layers.is_empty() || !layers.iter().all(is_same) || changes["pieces"] != Value::Array(Vec::new()) {
        return Err(format!("something changed: {changes}").into());
    }
    if !changes["made_anew"].is_null() || changes["price_minor"] != changes["price_before_minor"] {
        return Err(format!("it is priced anew: {changes}").into());
    }
    Ok(())
}

/// Results written before offcuts were kept do not speak of them.
fn former() -> Result<(), Failed> {
    let folder = delivered()?;
    let place = folder.path().join("delivered/result.json");
    let mut result: Value = serde_json::from_str(&fs::read_to_string(&place)?)?;
    let nests = result["shop"]["nests"].as_array_mut().ok_or("nests")?;
    for nest in nests {
        nest.as_object_mut().ok_or("a nest")?.remove("kept_m");
    }
    fs::write(&place, serde_json::to_string(&result)?)?;
    let changes = changes(&make(&folder, &["first", "--since", "delivered", "--json"]))?;
    if !changes["made_anew"].is_null() {
        return Err(format!("it is priced anew: {changes}").into());
    }
    Ok(())
}

fn larger() -> Result<(), Failed> {
    let folder = delivered()?;
    // The probe is 12 mm longer; the recorder is not touched.
    job(&folder, "second", ("length = \"80 mm\"", "length = \"92 mm\""))?;
    let ran = make(
        &folder,
        &[
            "second",
            "--since",
            "delivered/result.json",
            "--out",
            "changed",
            "--json",
        ],
    );
    let changes = changes(&ran)?;
    let layers = changes["layers"].as_array().ok_or("layers are listed")?;
    let differ: Vec<&str> = layers
        .iter()
        .filter(|layer| layer["is_same"] == false)
        .filter_map(|layer| layer["id"].as_str())
        .collect();
    if differ.is_empty() || differ.len() == layers.len() {
        return Err(format!("layers that differ: {differ:?} of {}", layers.len()).into());
    }
    let pieces = changes["pieces"].to_string();
    if pieces.contains("recorder/1") {
        return Err(format!("the recorder moved: {pieces}").into());
    }
    let (anew, whole) = (
        changes["made_anew"]["price_minor"].as_i64(),
        changes["price_minor"].as_i64(),
    );
    if anew.is_none() || anew >= whole {
        return Err(format!("what is made anew costs {anew:?}, a whole interior {whole:?}").into());
    }
    if !folder.path().join("changed/changes.pdf").is_file() {
        return Err("no changes.pdf".into());
    }
    Ok(())
}

fn refused() -> Result<(), Failed> {
    let folder = delivered()?;
    let result = fs::read_to_string(folder.path().join("delivered/result.json"))?;
    for (name, text) in [
        ("empty", String::new()),
        ("list", "[]".to_owned()),
        ("cut", result[..result.len() / 2].to_owned()),
        ("later", result.replacen("\"schema\": 1", "\"schema\": 99", 1)),
        ("up", result.replacen("\"up\": \"+z\"", "\"up\": \"aloft\"", 1)),
        (
            "currency",
            result.replace("\"currency\": \"EUR\"", "\"currency\": \"shells\""),
        ),
    ] {
        fs::write(folder.path().join(name), text)?;
        let ran = make(&folder, &["first", "--since", name]);
        if ran.exit != Some(3) || !ran.stderr.contains("hint:") {
            return Err(format!("{name}: exit code {:?}\n{}", ran.exit, ran.stderr).into());
        }
    }
    let ran = make(&folder, &["first", "--since", "nowhere"]);
    if ran.exit == Some(2) || ran.exit == Some(3) {
        Ok(())
    } else {
        Err(format!("nowhere: exit code {:?}\n{}", ran.exit, ran.stderr).into())
    }
}
