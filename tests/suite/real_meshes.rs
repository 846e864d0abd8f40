//! Meshes that nobody here made: the folder that `CADDIS_INPUTS` names, read in place with the answers of its
//! `REFERENCE.json`, and open models of an npm package, which every machine has.
//!
//! Where `CADDIS_INPUTS` is not set, each case stands as an ignored test that says so in its name, so that the runner's
//! closing line counts what was left out.

use caddis_tests::{Folder, Inputs, caddis, inputs, open_models, second_opinion, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use toml::{Table, Value as Toml};

/// Meshes in the folder; the tests say when it no longer holds as many.
const MESHES: usize = 53;

pub(crate) fn trials() -> Vec<Trial> {
    let mut trials = vec![
        Trial::test("contents::open_models", open_models_are_read),
        Trial::test("run::open_models", open_models_are_packed),
    ];
    match inputs() {
        Inputs::LeftOut => {
            let why = "left out: CADDIS_INPUTS is not set";
            trials.extend((1..=MESHES).map(|number| {
                Trial::test(format!("contents::real_mesh_{number:02} ({why})"), || Ok(()))
                    .with_ignored_flag(true)
            }));
            trials.push(Trial::test(format!("run::real_meshes ({why})"), || Ok(())).with_ignored_flag(true));
        }
        Inputs::There(folder) => {
            let known = reference(&folder);
            let count = known.len();
            trials.push(Trial::test("contents::real_meshes_are_all_there", move || {
                if count == MESHES {
                    Ok(())
                } else {
                    Err(format!("{count} meshes, not {MESHES}").into())
                }
            }));
            for entry in known {
                let folder = folder.clone();
                let name = format!("contents::{}", entry["file"].as_str().unwrap_or("?"));
                trials.push(Trial::test(name, move || real_mesh_is_read(&folder, &entry)));
            }
            trials.push(Trial::test("run::real_meshes", move || {
                real_meshes_are_packed(&folder)
            }));
        }
    }
    trials
}

/// Rows of `REFERENCE.json` about meshes.
fn reference(folder: &Path) -> Vec<Value> {
    let text =
        fs::read_to_string(folder.join("REFERENCE.json")).expect("REFERENCE.json lies in CADDIS_INPUTS");
    let all: Value = serde_json::from_str(&text).expect("REFERENCE.json is JSON");
    let files = all["files"].as_array().expect("it lists files");
    files
        .iter()
        .filter(|file| file["cat"] == "mesh")
        .cloned()
        .collect()
}

/// The demonstration's job with other equipment: meshes of a folder, with their unit where the format has none.
fn job_of(folder: &Folder, meshes: &[(PathBuf, Option<&str>)]) -> Result<(), Failed> {
    let demonstration = fs::read_to_string(workspace_root().join("jobs/tindra-ridge/job.toml"))?;
    let mut job: Table = demonstration.parse()?;
    job.remove("concessions");
    let job_folder = folder.path().join("job");
    fs::create_dir_all(&job_folder)?;
    let mut items = Vec::new();
    for (number, (path, unit)) in meshes.iter().enumerate() {
        let ending = path
            .extension()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let file = format!("mesh-{number}.{ending}");
        fs::copy(path, job_folder.join(&file))?;
        let mut mesh = Table::from_iter([("file".to_owned(), Toml::from(file))]);
        if let Some(unit) = unit {
            mesh.insert("unit".into(), Toml::from(*unit));
        }
        items.push(Toml::Table(Table::from_iter([
            ("id".to_owned(), Toml::from(format!("mesh-{number}"))),
            ("name".to_owned(), Toml::from(format!("real mesh {number}"))),
            ("mass".to_owned(), Toml::from("0.4 kg")),
            ("fragility".to_owned(), Toml::from("unknown")),
            ("source".to_owned(), Toml::from("set for a test (invented)")),
            (
                "shape".to_owned(),
                Toml::Table(Table::from_iter([("mesh".to_owned(), Toml::Table(mesh))])),
            ),
        ])));
    }
    job.insert("items".into(), Toml::Array(items));
    fs::write(job_folder.join("job.toml"), job.to_string())?;
    Ok(())
}

fn library() -> String {
    workspace_root().join("library").display().to_string()
}

/// `caddis contents` on the job; exit 1 (a finding against a mesh) is an answer too.
fn contents(folder: &Folder) -> Result<Value, Failed> {
    let ran = caddis(
        folder.path(),
        ["contents", "job", "--json", "--library", &library()],
        &[],
    );
    if !matches!(ran.exit, Some(0 | 1)) {
        return Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into());
    }
    Ok(ran.json())
}

/// `caddis run` on the job: it must come out with a report, released or not.
fn packed(folder: &Folder) -> Result<(), Failed> {
    let arguments = [
        "run",
        "job",
        "--out",
        "out",
        "--date",
        "2026-11-25",
        "--library",
        &library(),
    ];
    let ran = caddis(folder.path(), arguments, &[]);
    if !matches!(ran.exit, Some(0 | 1)) {
        return Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into());
    }
    let report = fs::read(folder.path().join("out/report.pdf"))?;
    if !report.starts_with(b"%PDF-") {
        return Err("report.pdf is no PDF".into());
    }
    // What is not released has no cut files.
    let layers = folder.path().join("out/layers");
    if layers.exists() != (ran.exit == Some(0)) {
        return Err(format!("exit code {:?}, but layers/ {}", ran.exit, layers.exists()).into());
    }
    Ok(())
}

fn close(what: &str, ours: &Value, theirs: f64, fraction: f64) -> Result<(), Failed> {
    match ours.as_f64() {
        Some(ours) if (ours - theirs).abs() <= fraction * theirs.abs() => Ok(()),
        _ => Err(format!("{what}: {ours}, reference {theirs}").into()),
    }
}

fn real_mesh_is_read(inputs: &Path, entry: &Value) -> Result<(), Failed> {
    let path = inputs.join(entry["file"].as_str().ok_or("an entry has a file")?);
    let theirs = &entry["ref"];
    let ending = path
        .extension()
        .unwrap_or_default()
        .to_string_lossy()
        .to_lowercase();
    let extents: Vec<f64> = theirs["extents"]
        .as_array()
        .ok_or("extents")?
        .iter()
        .filter_map(Value::as_f64)
        .collect();
    let largest = extents.iter().copied().fold(0.0, f64::max);
    // STL, OBJ and PLY say no unit: scans and robot parts of less than one unit are metres, the others millimetres.
    let (unit, scale) = match ending.as_str() {
        "glb" => (None, 1.0),
        "3mf" => (None, if theirs["units"] == "inch" { 0.0254 } else { 0.001 }),
        _ if largest < 1.0 => (Some("m"), 1.0),
        _ => (Some("mm"), 0.001),
    };
    let folder = Folder::new();
    job_of(&folder, &[(path, unit)])?;
    if largest * scale > 10.0 {
        // A hall, not an item: its unit is in doubt, and the program says so.
        let ran = caddis(folder.path(), ["contents", "job", "--library", &library()], &[]);
        return if ran.exit == Some(3) && ran.stderr.contains("unit") {
            Ok(())
        } else {
            Err(format!("an item of {largest} m: exit code {:?}\n{}", ran.exit, ran.stderr).into())
        };
    }
    let answer = contents(&folder)?;
    let item = &answer["contents"]["items"][0];
    // GLB has y up; here z is up.
    let axes = if ending == "glb" { [0, 2, 1] } else { [0, 1, 2] };
    for (ours, theirs) in axes.into_iter().enumerate() {
        close("extent", &item["size_m"][ours], extents[theirs] * scale, 1e-4)?;
    }
    if theirs["watertight"] == true && theirs["winding_ok"] == true {
        if item["mesh"]["is_closed"] != true {
            return Err("closed to the reference, open here".into());
        }
        let volume = theirs["volume"].as_f64().ok_or("volume")?;
        close("volume", &item["volume_m3"], volume * scale.powi(3), 1e-4)?;
    }
    Ok(())
}

/// Closed meshes of a size that belongs into a case, packed as one job.
fn real_meshes_are_packed(inputs: &Path) -> Result<(), Failed> {
    let mut chosen = Vec::new();
    for entry in reference(inputs) {
        let (file, theirs) = (entry["file"].as_str().unwrap_or_default(), &entry["ref"]);
        let is_stl = Path::new(file)
            .extension()
            .is_some_and(|ending| ending.eq_ignore_ascii_case("stl"));
        let largest = theirs["extents"]
            .as_array()
            .ok_or("extents")?
            .iter()
            .filter_map(Value::as_f64)
            .fold(0.0, f64::max);
        let is_closed = theirs["watertight"] == true && theirs["winding_ok"] == true;
        if is_stl && is_closed && (60.0..130.0).contains(&largest) && chosen.len() < 6 {
            chosen.push((inputs.join(file), Some("mm")));
        }
    }
    if chosen.len() < 3 {
        return Err(format!("only {} closed meshes of fitting size", chosen.len()).into());
    }
    let folder = Folder::new();
    job_of(&folder, &chosen)?;
    packed(&folder)
}

fn open_models_are_read() -> Result<(), Failed> {
    let models = open_models();
    let folder = Folder::new();
    job_of(
        &folder,
        &models.iter().map(|path| (path.clone(), None)).collect::<Vec<_>>(),
    )?;
    let answer = contents(&folder)?;
    let answers = second_opinion("boxes", &models);
    for (number, path) in models.iter().enumerate() {
        let theirs = &answers[number];
        let item = &answer["contents"]["items"][number];
        for axis in 0..3 {
            let side =
                theirs["max"][axis].as_f64().ok_or("max")? - theirs["min"][axis].as_f64().ok_or("min")?;
            close(
                &format!("{}: extent", path.display()),
                &item["size_m"][axis],
                side,
                1e-4,
            )?;
        }
        if theirs["closed"] == true {
            let volume = theirs["volume"].as_f64().ok_or("volume")?;
            close(
                &format!("{}: volume", path.display()),
                &item["volume_m3"],
                volume,
                1e-4,
            )?;
        }
    }
    Ok(())
}

/// Two hands and two hand-held controllers, one open and one with several bodies.
fn open_models_are_packed() -> Result<(), Failed> {
    let models: Vec<_> = open_models()
        .into_iter()
        .filter(|path| {
            let path = path.to_string_lossy();
            [
                "fixed-hand/left",
                "fixed-hand/right",
                "generic-button/none",
                "trigger-squeeze/left",
            ]
            .iter()
            .any(|part| path.contains(part))
        })
        .map(|path| (path, None))
        .collect();
    if models.len() != 4 {
        return Err(format!("{} models, not 4", models.len()).into());
    }
    let folder = Folder::new();
    job_of(&folder, &models)?;
    packed(&folder)
}
