//! STEP files: the folder that `CADDIS_INPUTS` names with the answers of its `REFERENCE.json`, parts that exist as STL too, and
//! what must be refused.
//!
//! Extents to 0.1 mm and volume to 2 % of what `OpenCASCADE` 8.0 found on the exact faces (`BRepGProp`, `AddOptimal`).

use caddis_tests::{Folder, Inputs, caddis, inputs, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// Files in the folder.
const FILES: usize = 25;
/// Refused, and what the sentence must say: the kernel's triangles of the key ring's swept coil are 71 % off in volume while
/// closed and right in extents, so only the comparison with the exact faces finds it.
const REFUSED: [(&str, &str); 1] = [("key-ring-18_9mm", "its exact faces")];

pub(crate) fn trials() -> Vec<Trial> {
    let mut trials = vec![
        Trial::test("contents::step_plate", plate),
        Trial::test("contents::step_cut_short", cut_short),
        Trial::test("survey::fit_of_a_step", fit_of_a_step),
        Trial::test("contents::step_without_its_program", without_program),
    ];
    match inputs() {
        Inputs::LeftOut => {
            let why = "left out: CADDIS_INPUTS is not set";
            trials.extend((1..=FILES).map(|number| {
                Trial::test(format!("contents::step_{number:02} ({why})"), || Ok(())).with_ignored_flag(true)
            }));
        }
        Inputs::There(folder) => {
            let text = fs::read_to_string(folder.join("REFERENCE.json"))
                .expect("REFERENCE.json lies in CADDIS_INPUTS");
            let all: Value = serde_json::from_str(&text).expect("REFERENCE.json is JSON");
            let known: Vec<Value> = all["files"]
                .as_array()
                .expect("it lists files")
                .iter()
                .filter(|entry| entry["cat"] == "step")
                .cloned()
                .collect();
            let count = known.len();
            trials.push(Trial::test("contents::steps_are_all_there", move || {
                if count == FILES {
                    Ok(())
                } else {
                    Err(format!("{count} files, not {FILES}").into())
                }
            }));
            for entry in known {
                let folder = folder.clone();
                let name = format!("contents::{}", entry["file"].as_str().unwrap_or("?"));
                trials.push(Trial::test(name, move || agrees(&folder, &entry)));
            }
        }
    }
    trials
}

/// What `caddis contents --shape` says of a file: its answer, or the words it refuses it with.
fn shape(path: &Path, unit: Option<&str>) -> Result<Result<Value, String>, Failed> {
    let shown = path.display().to_string();
    let mut arguments = vec!["contents", "--shape", &shown, "--json"];
    arguments.extend(unit.iter().flat_map(|unit| ["--unit", unit]));
    let ran = caddis(workspace_root().as_path(), arguments, &[]);
    match ran.exit {
        Some(0) => Ok(Ok(ran.json())),
        Some(3) => Ok(Err(ran.stderr)),
        _ => Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into()),
    }
}

/// An interior drawn as a block of 400 x 300 x 150 mm, parted at 140 mm: what goes in comes out.
fn fit_of_a_step() -> Result<(), Failed> {
    let drawn = workspace_root().join("fuzz/corpus/step/interior.step");
    let drawn = drawn.display().to_string();
    let ran = caddis(
        workspace_root().as_path(),
        ["survey", "--fit", &drawn, "--rim", "140 mm", "--json"],
        &[],
    );
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into());
    }
    let fit = ran.json();
    for (half, key, side, want) in [
        ("base", "opening", "length", 0.4),
        ("base", "floor", "width", 0.3),
        ("lid", "opening", "length", 0.4),
    ] {
        let got = fit[half][key][side]["value_m"].as_f64();
        if got.is_none_or(|got| (got - want).abs() > 1e-4) {
            return Err(format!("{half} {key} {side}: {got:?}, not {want}").into());
        }
    }
    let depth = fit["base"]["depth"]["value_m"].as_f64();
    if depth.is_none_or(|depth| (depth - 0.14).abs() > 1e-4) {
        return Err(format!("depth of the base: {depth:?}, not 0.14").into());
    }
    Ok(())
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .map(|all| all.iter().filter_map(Value::as_f64).collect())
        .unwrap_or_default()
}

fn agrees(folder: &Path, entry: &Value) -> Result<(), Failed> {
    let file = entry["file"].as_str().unwrap_or_default();
    let known = &entry["ref"];
    let read = shape(&folder.join(file), None)?;
    if let Some((_, words)) = REFUSED.iter().find(|(name, _)| file.contains(name)) {
        return match read {
            Err(said) if said.contains(words) => Ok(()),
            other => Err(format!("not refused with `{words}`: {other:?}").into()),
        };
    }
    let Some(volume) = known["volume_mm3"].as_f64() else {
        return match read {
            Err(said) if said.contains("no shape") => Ok(()),
            other => Err(format!("the reference finds no shape, here {other:?}").into()),
        };
    };
    let read = read?;
    let (least, most) = (numbers(&known["bbox_min_mm"]), numbers(&known["bbox_max_mm"]));
    for (k, found) in numbers(&read["extents_m"]).into_iter().enumerate() {
        let (found, wanted) = (found * 1e3, most[k] - least[k]);
        if (found - wanted).abs() > 0.1 {
            return Err(format!("extent {k} is {found} mm, reference {wanted} mm").into());
        }
    }
    let found = read["volume_m3"].as_f64().ok_or("it is not closed")? * 1e9;
    if (found / volume - 1.0).abs() > 0.02 {
        return Err(format!("volume {found} mm³, reference {volume} mm³").into());
    }
    // One file of the set has complaints and the right shape: said, not refused.
    let doubtful = read["findings"]
        .as_array()
        .is_some_and(|all| all.iter().any(|finding| finding["code"] == "shape-doubtful"));
    if doubtful != file.contains("io1-cm-214") {
        return Err(format!("doubtful: {doubtful}").into());
    }
    named(&folder.join(file), &read, file)?;
    let mesh = folder.join(file.replacen("step/", "mesh/", 1));
    ["stl", "STL"]
        .iter()
        .map(|ending| mesh.with_extension(ending))
        .find(|path| path.is_file())
        .map_or(Ok(()), |path| same_as_mesh(&read, &path, file))
}

/// Bodies carry the names of products of the file; where it has any, all do. Of the assembly among the files the bodies of
/// each product are counted: 18, as the reference finds solids.
fn named(path: &Path, read: &Value, file: &str) -> Result<(), Failed> {
    const ASSEMBLY: [(&str, u64); 5] = [
        ("nut", 8),
        ("bolt", 6),
        ("l-bracket", 2),
        ("rod", 1),
        ("plate", 1),
    ];
    let text = String::from_utf8_lossy(&fs::read(path)?).into_owned();
    let products: Vec<&str> = text
        .split("PRODUCT")
        .skip(1)
        .filter(|entity| entity.trim_start().starts_with('('))
        .flat_map(|entity| entity.split('\'').skip(1).step_by(2).take(2))
        .collect();
    let parts = read["parts"].as_array().ok_or("no parts")?;
    let bodies: u64 = parts.iter().filter_map(|part| part["bodies"].as_u64()).sum();
    if !products.is_empty() && read["bodies"].as_u64().is_none_or(|all| bodies < all) {
        return Err(format!("{bodies} bodies have names of {products:?}: {parts:?}").into());
    }
    for part in parts {
        let product = part["product"].as_str().unwrap_or_default();
        if !products.contains(&product) {
            return Err(format!("`{product}` is no product of {products:?}").into());
        }
    }
    if file.contains("as1-oc-214") {
        for (product, wanted) in ASSEMBLY {
            let found = parts
                .iter()
                .filter(|part| part["product"] == product)
                .filter_map(|part| part["bodies"].as_u64())
                .sum::<u64>();
            if found != wanted {
                return Err(format!("{found} of `{product}`, not {wanted}").into());
            }
        }
    }
    Ok(())
}

/// The same part as STL. A drawing of it as coarse chords cannot be nearer than those, so extents are held to 0.1 mm or what
/// the pair's own reference values differ by.
fn same_as_mesh(step: &Value, path: &Path, file: &str) -> Result<(), Failed> {
    // This one is in inches as STL; the others are in millimetres.
    let unit = if file.contains("featuretype") { "in" } else { "mm" };
    let mesh = shape(path, Some(unit))??;
    for (k, (a, b)) in numbers(&step["extents_m"])
        .into_iter()
        .zip(numbers(&mesh["extents_m"]))
        .enumerate()
    {
        if (a - b).abs() > 1e-4 {
            return Err(format!("extent {k}: {} mm as STEP, {} mm as STL", a * 1e3, b * 1e3).into());
        }
    }
    if let (Some(a), Some(b)) = (step["volume_m3"].as_f64(), mesh["volume_m3"].as_f64())
        && (a / b - 1.0).abs() > 0.02
    {
        return Err(format!("volume {a} m³ as STEP, {b} m³ as STL").into());
    }
    Ok(())
}

fn plate_file() -> std::path::PathBuf {
    workspace_root().join("tests/suite/step/plate.step")
}

/// A plate of our own, 300 x 200 x 50 mm with pockets: its volume is a closed form of planes and cylinders.
fn plate() -> Result<(), Failed> {
    let read = shape(&plate_file(), None)??;
    let extents = numbers(&read["extents_m"]);
    for (found, wanted) in extents.iter().zip([0.3, 0.2, 0.05]) {
        if (found - wanted).abs() > 1e-6 {
            return Err(format!("{extents:?}").into());
        }
    }
    let found = read["volume_m3"].as_f64().ok_or("not closed")? * 1e9;
    let exact = PLATE_VOLUME;
    if (found / exact - 1.0).abs() > 2e-4 || read["format"] != "STEP" || read["unit"] != "mm" {
        return Err(format!("volume {found}, by hand {exact}: {read}").into());
    }
    Ok(())
}

/// mm³, by the closed form of the program that wrote the file.
const PLATE_VOLUME: f64 = 2_452_857.439_906;

/// Half of the plate is no plate: refused, whatever the kernel makes of it.
fn cut_short() -> Result<(), Failed> {
    let folder = Folder::new();
    let whole = fs::read_to_string(plate_file())?;
    let half = &whole[..whole.len() / 2];
    let without_a_face: String = {
        let at = whole.find("ADVANCED_FACE").ok_or("a face")?;
        let start = whole[..at].rfind('\n').ok_or("a line")?;
        let end = at + whole[at..].find('\n').ok_or("a line")?;
        format!("{}{}", &whole[..start], &whole[end..])
    };
    for (name, text) in [("half.step", half), ("faceless.step", &without_a_face)] {
        let path = folder.path().join(name);
        fs::write(&path, text)?;
        match shape(&path, None)? {
            Err(said) if said.contains(name) => {}
            // Opened all the same: then it must be said that it is doubtful.
            Ok(read) if read["findings"].to_string().contains("shape-doubtful") => {}
            other => return Err(format!("{name}: {other:?}").into()),
        }
    }
    Ok(())
}

/// Without `caddis-step` the sentence says what is missing and what would do.
fn without_program() -> Result<(), Failed> {
    let path = plate_file().display().to_string();
    let ran = caddis(
        workspace_root().as_path(),
        ["contents", "--shape", &path],
        &[("CADDIS_STEP", "/nowhere/caddis-step")],
    );
    let says = |words: &str| ran.stderr.contains(words);
    if ran.exit == Some(3) && says("caddis-step") && says("need_step") && says("STL or 3MF") {
        Ok(())
    } else {
        Err(format!("exit {:?}: {}", ran.exit, ran.stderr).into())
    }
}
