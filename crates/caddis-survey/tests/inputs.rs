//! Meshes that nobody here made, read in place from the folder that `CADDIS_INPUTS` names, against trimesh's answers in its
//! `REFERENCE.json`. Where the variable is unset the test says what it leaves out.

use caddis_basis::{BenchUnit, Certainty, ItemId, Length, Mass, Measured, Name, Source};
use caddis_survey::{
    Declared, Fragility, Item, ItemShape, MeshFormat, MeshReport, ReadError, Turn, Up, read_mesh,
};
use std::path::{Path, PathBuf};

fn folder() -> Option<PathBuf> {
    let folder = std::env::var_os("CADDIS_INPUTS").map(PathBuf::from);
    if folder.is_none() {
        eprintln!("left out: the meshes of CADDIS_INPUTS, which is not set");
    }
    folder
}

/// Reads with the unit the reader itself guesses; gives the scale from the file's numbers to metres.
fn read(path: &Path) -> Result<(caddis_geometry::Mesh, MeshReport), ReadError> {
    let bytes = std::fs::read(path).expect("the file is listed");
    let name = Name::new(path.file_name().expect("a file").to_string_lossy());
    match read_mesh(&bytes, &name, None) {
        Err(ReadError::UnitMissing { guess, .. }) => {
            let unit = BenchUnit::parse(guess).expect("a guess is a unit");
            read_mesh(&bytes, &name, Some(unit))
        }
        other => other,
    }
}

#[test]
fn meshes_agree_with_the_reference() {
    let Some(folder) = folder() else { return };
    let text = std::fs::read(folder.join("REFERENCE.json")).expect("REFERENCE.json lies in CADDIS_INPUTS");
    let reference: serde_json::Value = serde_json::from_slice(&text).expect("sound JSON");
    let (mut compared, mut closed) = (0, 0);
    let mut wrong: Vec<String> = Vec::new();
    for entry in reference["files"].as_array().expect("a list") {
        let file = entry["file"].as_str().expect("a path");
        let lower = file.to_lowercase();
        let is_mesh = [".stl", ".obj", ".ply", ".glb", ".3mf"]
            .iter()
            .any(|e| lower.ends_with(e));
        if !is_mesh
            || !["mesh/", "3mf/", "mesh-dirty/"]
                .iter()
                .any(|part| file.starts_with(part))
        {
            continue;
        }
        let start = std::time::Instant::now();
        let result = read(&folder.join(file));
        let known = &entry["ref"];
        if file.contains("MUSTFAIL") || known["faces"].as_u64().unwrap_or(0) == 0 {
            if result.is_ok() {
                wrong.push(format!("{file}: read, but it must be refused"));
            }
            continue;
        }
        let (mesh, report) = match result {
            Ok(read) => read,
            Err(error) => {
                wrong.push(format!("{error} (reference: {})", known["open"]));
                continue;
            }
        };
        compared += 1;
        let number = |value: &serde_json::Value| value.as_f64().unwrap_or(f64::NAN);
        let scale = report.metres_per_unit;
        let size = mesh.bounds().expect("a mesh has a box").size();
        let mut extents = [0, 1, 2].map(|k| number(&known["extents"][k]));
        if report.format == MeshFormat::Glb {
            // The reference keeps y up.
            extents.swap(1, 2);
        }
        for (got, want) in [size.x, size.y, size.z].into_iter().zip(extents) {
            let got = got / scale;
            if (got - want).abs() > 1e-5 * want.abs().max(1e-3) {
                wrong.push(format!("{file}: extent {got}, reference {want}"));
            }
        }
        if known["watertight"] == true && known["winding_ok"] == true {
            let want = number(&known["volume"]).abs();
            let got = mesh.mass_properties().volume / scale.powi(3);
            if (got / want - 1.0).abs() > 1e-4 {
                wrong.push(format!("{file}: volume {got}, reference {want}"));
            }
            if report.is_closed {
                closed += 1;
            } else {
                wrong.push(format!("{file}: closed in the reference, here {report:?}"));
            }
        }
        eprintln!(
            "{file}: {} triangles, {} bodies, closed {}, {:.0} ms, {:?}",
            report.triangles,
            report.bodies,
            report.is_closed,
            start.elapsed().as_secs_f64() * 1000.0,
            report.repairs
        );
    }
    eprintln!("{compared} compared, {closed} of them closed solids");
    // Right refusals of what the reference reads by guessing: `3.1+e2` is no number, a face of two corners no face.
    wrong.retain(|line| {
        !line.starts_with("OBJ__number_formats.obj") && !line.starts_with("models__notenoughindices.obj")
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(compared > 80, "only {compared} were found");
}

#[test]
fn dirty_meshes_end_in_a_mesh_or_a_sentence() {
    let Some(folder) = folder() else { return };
    let mut files = Vec::new();
    let mut waiting = vec![folder.join("mesh-dirty")];
    while let Some(place) = waiting.pop() {
        for entry in std::fs::read_dir(place).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
            } else {
                files.push(path);
            }
        }
    }
    files.sort();
    assert!(files.len() > 30, "only {} were found", files.len());
    for path in files {
        match read(&path) {
            Ok((_, report)) => eprintln!("{}: {report:?}", path.display()),
            Err(error) => {
                let message = error.to_string();
                eprintln!("{message}");
                let file = path.file_name().expect("a file").to_string_lossy().into_owned();
                assert!(message.contains(&file), "`{message}` does not name {file}");
            }
        }
    }
}

#[test]
fn posed_stacks_hold_every_corner() {
    let Some(folder) = folder() else { return };
    for (file, up, turns) in [
        ("mesh/gazebo_models/meshes__cordless_drill.stl", Up::PlusZ, 0),
        (
            "mesh/FreeCAD-library/Motors__NEMA-17_Stepper_Motor_40mm.stl",
            Up::PlusX,
            1,
        ),
        (
            "mesh/open_robot_actuator_hardware/stl_files__electronics_box_base.STL",
            Up::MinusY,
            2,
        ),
        (
            "mesh/pybullet-object-models/YcbScissors__textured_simple_reoriented.obj",
            Up::PlusZ,
            3,
        ),
        ("mesh/trimesh/models__counterXP.3MF", Up::PlusY, 0),
        // Open meshes too: their shadow counts.
        ("mesh/OrbbecSDK_ROS2/femto_bolt__femto_bolt.stl", Up::MinusZ, 1),
        (
            "mesh/webxr-input-profiles/meta-quest-touch-plus__left.glb",
            Up::PlusZ,
            0,
        ),
    ] {
        let (mesh, _) = read(&folder.join(file)).expect("read in the other test");
        let item = Item {
            id: ItemId::new("part"),
            name: file.to_owned(),
            quantity: 1,
            shape: ItemShape::Mesh {
                mesh: mesh.clone(),
                file: file.to_owned(),
                doubts: Vec::new(),
            },
            size_tolerance: Length::mm(0.5),
            mass: Measured::exact(Mass::from_si(1.0)),
            centre_of_mass: None,
            fragility: Fragility::Unknown,
            softness: None,
            ways_up: vec![up],
            may_turn: true,
            no_load: Vec::new(),
            keep_clear: Vec::new(),
            grips: Vec::new(),
            reach_first: false,
            may_lie_in_lid: false,
            requires: Vec::new(),
            foam: caddis_survey::FoamWish::default(),
            fragility_assumed_by: None,
            points: Vec::new(),
            note: String::new(),
            declared: Declared::default(),
            source: Source::new("test input", Certainty::Measured),
        };
        let start = std::time::Instant::now();
        let posed = item.posed(up, Turn::SQUARE[turns], 0.005);
        let took = start.elapsed();
        let mut worst = f64::NEG_INFINITY;
        for &p in mesh.positions.iter().step_by(1 + mesh.positions.len() / 2000) {
            let p = posed.pose.apply(p);
            let out = posed
                .stack
                .slabs
                .iter()
                .filter(|slab| slab.low - 1e-9 <= p.z && p.z <= slab.high + 1e-9)
                .map(|slab| slab.region.signed_distance(p.plan()))
                .fold(f64::INFINITY, f64::min);
            worst = worst.max(out);
        }
        let corners: usize = posed
            .stack
            .slabs
            .iter()
            .flat_map(|s| &s.region.shapes)
            .map(|s| s.outer.vertices.len())
            .sum();
        eprintln!(
            "{file}: {} triangles, {} bands, {corners} corners, {:.0} ms, farthest out {worst:.2e} m, stack {:.3} of solid {:.3} L",
            mesh.triangles.len(),
            posed.stack.slabs.len(),
            took.as_secs_f64() * 1000.0,
            posed.stack.volume() * 1000.0,
            item.volume().as_litres(),
        );
        assert!(worst <= 1e-6, "{file}: a corner lies {worst} m outside its band");
    }
}
