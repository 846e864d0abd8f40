//! Strip packing of the literature's irregular instances: density of ours and of spyrrow, same cores and time in turn.
//!
//! Reads `nesting/*.json` of the folder that `CADDIS_INPUTS` names. `CADDIS_NESTING_SECONDS` (60), `CADDIS_NESTING_SEEDS` (3, from
//! `CADDIS_NESTING_FIRST`, 1) and `CADDIS_NESTING_WORKERS` (all cores) set the run, `CADDIS_NESTING_ONLY` takes some instances by
//! name, separated by commas.
//! Then parts with quality on hides with holes and places of less quality, `nesting/defects/*.json`: sheets used and sheets to beat;
//! no general library nests those, `CADDIS_NESTING_STEPS` (200000) is the budget.
//! Every packing of ours is checked by the referee of `caddis-layout`, or the bench stops. Parts that may be turned at will
//! are turned in steps of 22.5 degrees by ours, in any by the reference.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_basis::Quiet;
use caddis_geometry::{Contour, Region, Shape, Vec2};
use caddis_layout::{
    Defect, SearchOptions, Sheet, SheetPart, StripOptions, StripPart, nest, pack_strip, strip_referee,
};
use caddis_tests::{Inputs, inputs, reference};
use serde_json::{Value, json};
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Turns of a part that may be turned at will.
const FREE: u32 = 16;
/// What the referee lets pass as touching, share of the strip's width.
const TOLERANCE: f64 = 1e-7;
/// Turns of a part on a hide.
const ON_HIDES: u32 = 8;
/// Sheets a left-bottom fill by sampling takes, 6 copies of the fifth and 1 of the sixth left over (the reference's own
/// filling, measured once): all parts on no more of them is the target.
const HIDES: [(&str, usize); 6] = [
    ("baldacci1", 8),
    ("baldacci2", 7),
    ("baldacci3", 6),
    ("baldacci4", 6),
    ("baldacci5", 12),
    ("baldacci6", 15),
];

fn main() {
    let Inputs::There(folder) = inputs() else {
        println!("nothing measured: CADDIS_INPUTS is not set, the instances are not in the repository");
        return;
    };
    let number = |name: &str, or: u64| env::var(name).map_or(or, |text| text.parse().unwrap());
    let seconds = number("CADDIS_NESTING_SECONDS", 60);
    let seeds = number("CADDIS_NESTING_SEEDS", 3);
    let first = number("CADDIS_NESTING_FIRST", 1);
    let cores = std::thread::available_parallelism().map_or(1, |cores| cores.get() as u64);
    let workers = number("CADDIS_NESTING_WORKERS", cores);
    let only = env::var("CADDIS_NESTING_ONLY").ok();
    let mut paths: Vec<PathBuf> = fs::read_dir(folder.join("nesting"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "json"))
        .filter(|path| {
            let name = path.file_stem().unwrap().to_str().unwrap();
            only.as_ref()
                .is_none_or(|only| only.split(',').any(|wanted| wanted == name))
        })
        .collect();
    paths.sort();
    let asked = |name: &str| {
        only.as_ref()
            .is_none_or(|only| only.split(',').any(|wanted| wanted == name))
    };
    for (name, most) in HIDES.into_iter().filter(|hide| asked(hide.0)) {
        hides(
            &folder.join(format!("nesting/defects/{name}.json")),
            most,
            workers as usize,
        );
    }
    if paths.is_empty() {
        return;
    }
    let mut ratios = Vec::new();
    for path in &paths {
        let (width, parts) = load(path);
        let (mut ours, mut theirs) = (Vec::new(), Vec::new());
        let (mut our_seconds, mut their_seconds, mut steps) = (0.0, 0.0, 0);
        for seed in first..first + seeds {
            let arguments = [
                path.display().to_string(),
                seconds.to_string(),
                seed.to_string(),
                workers.to_string(),
            ];
            let answer = reference("nesting", "solve", arguments);
            theirs.push(answer["density"].as_f64().unwrap());
            their_seconds += answer["seconds"].as_f64().unwrap();
            let begun = Instant::now();
            let options = StripOptions {
                seed,
                steps: u64::MAX,
                workers: workers as usize,
                seconds: Some(seconds as f64),
            };
            let packing = pack_strip(width, &parts, &options, &Quiet).unwrap();
            our_seconds += begun.elapsed().as_secs_f64();
            let violations = strip_referee(width, &parts, &packing, TOLERANCE);
            assert!(violations.is_empty(), "{}: {violations:?}", path.display());
            steps += packing.steps;
            ours.push(packing.density);
        }
        let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
        let ratio = mean(&ours) / mean(&theirs);
        ratios.push(ratio);
        println!(
            "{}",
            json!({
                "case": path.file_stem().unwrap().to_str().unwrap(), "ours": mean(&ours), "reference": mean(&theirs),
                "ratio": ratio, "unit": "density", "ours_each": ours, "reference_each": theirs,
                "seconds_ours": our_seconds / seeds as f64, "seconds_reference": their_seconds / seeds as f64,
                "places_per_second": steps as f64 / our_seconds,
            })
        );
    }
    let least = ratios.iter().copied().fold(f64::INFINITY, f64::min);
    println!(
        "mean ratio {:.4}, least {least:.4} over {} instances, {seeds} seeds, {seconds} s, {workers} workers",
        ratios.iter().sum::<f64>() / ratios.len() as f64,
        ratios.len()
    );
}

/// Width of the strip and the parts of an instance.
fn load(path: &Path) -> (f64, Vec<StripPart>) {
    let instance: Value = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
    let parts = instance["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| {
            let rotations = item["allowed_orientations"].as_array().map_or_else(
                || {
                    (0..FREE)
                        .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(FREE))
                        .collect()
                },
                |turns| {
                    turns
                        .iter()
                        .map(|turn| turn.as_f64().unwrap().to_radians())
                        .collect()
                },
            );
            StripPart {
                outline: plain(contour(&item["shape"]["data"], 1.0, Vec2::ZERO)),
                quantity: u32::try_from(item["demand"].as_u64().unwrap()).unwrap(),
                rotations,
            }
        })
        .collect();
    (instance["strip_height"].as_f64().unwrap(), parts)
}

/// A closed boundary, counter-clockwise, after a shift and a change of unit.
fn contour(points: &Value, unit: f64, from: Vec2) -> Contour {
    let points = points.as_array().unwrap().iter();
    let mut points: Vec<Vec2> = points
        .map(|p| (Vec2::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap()) - from) * unit)
        .collect();
    if points.first() == points.last() {
        points.pop();
    }
    let outer = Contour::polygon(points);
    if outer.signed_area() < 0.0 {
        outer.reversed()
    } else {
        outer
    }
}

fn plain(outer: Contour) -> Region {
    Region {
        shapes: vec![Shape {
            outer,
            holes: Vec::new(),
        }],
    }
}

/// Nests the parts of an instance on its hides, millimetres.
fn hides(path: &Path, most: usize, workers: usize) {
    const MM: f64 = 1e-3;
    let instance: Value = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
    let parts: Vec<SheetPart> = instance["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| SheetPart {
            name: item["id"].to_string(),
            outline: plain(contour(&item["shape"]["data"], MM, Vec2::ZERO)),
            quantity: u32::try_from(item["demand"].as_u64().unwrap()).unwrap(),
            rotations: (0..ON_HIDES)
                .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(ON_HIDES))
                .collect(),
            // Without a number a part needs what has no defect at all.
            quality: item["min_quality"]
                .as_u64()
                .map_or(u32::MAX, |least| u32::try_from(least).unwrap()),
        })
        .collect();
    let sheets: Vec<Sheet> = instance["bins"]
        .as_array()
        .unwrap()
        .iter()
        .map(|bin| {
            let data = &bin["shape"]["data"];
            let from = plain(contour(&data["outer"], 1.0, Vec2::ZERO))
                .bounds()
                .unwrap()
                .min;
            let mut outline = plain(contour(&data["outer"], MM, from));
            let inner = data["inner"].as_array().into_iter().flatten();
            outline.shapes[0].holes = inner.map(|hole| contour(hole, MM, from).reversed()).collect();
            let size = outline.bounds().unwrap().max;
            let zones = bin["zones"].as_array().unwrap().iter();
            Sheet {
                name: bin["id"].to_string(),
                length: size.x,
                width: size.y,
                trim: 0.0,
                gap: 0.0,
                limit: Some(u32::try_from(bin["stock"].as_u64().unwrap()).unwrap()),
                cost: bin["cost"].as_f64().unwrap(),
                outline: Some(outline),
                defects: zones
                    .map(|zone| Defect {
                        outline: plain(contour(&zone["shape"]["data"], MM, from)),
                        quality: u32::try_from(zone["quality"].as_u64().unwrap()).unwrap(),
                    })
                    .collect(),
            }
        })
        .collect();
    let steps = env::var("CADDIS_NESTING_STEPS").map_or(200_000, |text| text.parse().unwrap());
    let begun = Instant::now();
    let options = SearchOptions {
        seed: 1,
        steps,
        workers,
    };
    let nesting = nest(&parts, &sheets, &options, &Quiet);
    let left: u32 = nesting.unplaced.iter().map(|unplaced| unplaced.copies).sum();
    println!(
        "{}",
        json!({
            "case": path.file_stem().unwrap().to_str().unwrap(), "ours": nesting.sheets.len(), "reference": most,
            "ratio": most as f64 / nesting.sheets.len() as f64, "unit": "sheets", "left_over": left,
            "yield": nesting.yield_share, "seconds": begun.elapsed().as_secs_f64(),
        })
    );
}
