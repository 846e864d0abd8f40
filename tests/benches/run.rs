//! The demonstration job's stages, and the geometry under them, against general libraries.
//!
//! Ours and the reference run in turn, five times each; the least time of each counts. A stage that no general library
//! does stands with `reference` and `ratio` null and is left out of the mean.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_basis::{BenchUnit, Name};
use caddis_geometry::Side;
use caddis_survey::read_mesh;
use caddis_tests::{Folder, caddis, demonstration_meshes, metres_per_unit, reference, workspace_root};
use serde_json::{Value, json};
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

const ROUNDS: usize = 5;

/// One line of the result, seconds.
struct Case {
    name: String,
    ours: f64,
    reference: Option<f64>,
}

fn main() {
    let mut cases = stages();
    for path in demonstration_meshes() {
        cases.extend(geometry(&path));
    }
    let mut ratios = Vec::new();
    for case in &cases {
        let ratio = case.reference.map(|reference| reference / case.ours);
        ratios.extend(ratio);
        println!(
            "{}",
            json!({"case": case.name, "ours": case.ours, "reference": case.reference, "ratio": ratio, "unit": "s"})
        );
    }
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    println!("mean ratio {mean:.2} over {} cases", ratios.len());
}

/// Stages of `caddis run` as it times them itself, beside what the reference program does of the same work.
fn stages() -> Vec<Case> {
    let job = workspace_root().join("jobs/tindra-ridge");
    let mut ours: Vec<(String, f64)> = Vec::new();
    let mut references: Vec<(String, f64)> = Vec::new();
    for _ in 0..ROUNDS {
        let folder = Folder::new();
        let out = folder.path().join("out");
        let ran = caddis(
            folder.path(),
            [
                "run".as_ref(),
                job.as_os_str(),
                "--out".as_ref(),
                out.as_os_str(),
                "--json".as_ref(),
            ],
            &[],
        );
        assert_eq!(ran.exit, Some(0), "{}", ran.stderr);
        for (stage, seconds) in ran.json()["seconds"].as_object().unwrap() {
            keep_least(&mut ours, stage.clone(), seconds.as_f64().unwrap());
        }
        for (stage, seconds) in reference("run", "stages", [job.as_os_str()]).as_object().unwrap() {
            keep_least(&mut references, stage.clone(), seconds.as_f64().unwrap());
        }
    }
    ours.into_iter()
        .map(|(stage, ours)| Case {
            reference: references
                .iter()
                .find(|(name, _)| *name == stage)
                .map(|(_, seconds)| *seconds),
            name: format!("stage {stage}"),
            ours,
        })
        .collect()
}

fn keep_least(times: &mut Vec<(String, f64)>, name: String, seconds: f64) {
    match times.iter_mut().find(|(known, _)| *known == name) {
        Some((_, least)) => *least = least.min(seconds),
        None => times.push((name, seconds)),
    }
}

/// Reading, mass properties, fifty sections and the shadow of one mesh.
fn geometry(path: &Path) -> Vec<Case> {
    let label = path.file_name().unwrap().to_string_lossy().into_owned();
    let bytes = std::fs::read(path).unwrap();
    let unit = path
        .extension()
        .is_some_and(|e| e == "stl")
        .then_some(BenchUnit::Millimetre);
    let name = Name::new(label.clone());
    let mut ours = [f64::INFINITY; 4];
    let mut theirs: [f64; 4] = [f64::INFINITY; 4];
    for _ in 0..ROUNDS {
        let mut clock = Instant::now();
        let mut lap = |slot: usize| {
            ours[slot] = ours[slot].min(clock.elapsed().as_secs_f64());
            clock = Instant::now();
        };
        let (mesh, _) = read_mesh(&bytes, &name, unit).unwrap();
        lap(0);
        black_box(mesh.mass_properties());
        lap(1);
        let bounds = mesh.bounds().unwrap();
        let height = bounds.max.z - bounds.min.z;
        let heights: Vec<f64> = (0..50)
            .map(|i| bounds.min.z + height * (f64::from(i) + 0.5) / 50.0)
            .collect();
        let area: f64 = mesh
            .sections(&heights)
            .iter()
            .map(caddis_geometry::Region::area)
            .sum();
        lap(2);
        let shadow = mesh.shadow(bounds.min.z, bounds.max.z, Side::Outer).area();
        lap(3);
        let answer: Value = reference("run", "mesh", [path.as_os_str(), metres_per_unit(path).as_ref()]);
        for (slot, seconds) in answer["seconds"].as_array().unwrap().iter().enumerate() {
            theirs[slot] = theirs[slot].min(seconds.as_f64().unwrap());
        }
        // A faster wrong answer is no answer.
        let agrees = |ours: f64, key: &str, fraction: f64| {
            let theirs = answer[key].as_f64().unwrap();
            assert!(
                (ours - theirs).abs() <= fraction * theirs,
                "{label}: {key} {ours} against {theirs}"
            );
        };
        agrees(area, "area", 1e-3);
        agrees(shadow, "shadow", 5e-3);
    }
    [
        "read and check",
        "mass properties",
        "50 sections with areas",
        "shadow",
    ]
    .iter()
    .zip(ours.iter().zip(theirs))
    .map(|(what, (ours, reference))| Case {
        name: format!("{label}: {what}"),
        ours: *ours,
        reference: Some(reference),
    })
    .collect()
}
