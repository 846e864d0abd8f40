//! `caddis select` over 250, 500 and 1,000 generated shells and 12 items: the time, and the time for each shell within bounds.
//!
//! No general library selects cases, so there is no reference and no ratio: the target is under 60 s for 1,000 shells on
//! two cores, and a time that grows with the shells that pass the bounds and no faster.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_tests::{Folder, caddis, workspace_root};
use serde_json::json;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::time::Instant;

/// The demonstration job's items and one more.
const TWELFTH: &str = r#"
[[items]]
id = "spare-box"
name = "Spare parts box"
mass = "0.5 kg ± 0.02 kg"
fragility = "150 G"
ways_up = ["+z"]
size_tolerance = "1 mm"
[items.shape.box]
length = "110 mm"
width = "80 mm"
height = "45 mm"
"#;

fn main() {
    let folder = Folder::new();
    let job = folder.copy(&workspace_root().join("jobs/tindra-ridge"), "job");
    let file = job.join("job.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text + TWELFTH).unwrap();
    let mut each = Vec::new();
    for count in [250, 500, 1000] {
        let library = folder.path().join(format!("library-{count}"));
        shells(&library, count);
        let begun = Instant::now();
        let ran = caddis(
            folder.path(),
            [
                "select".as_ref(),
                job.as_os_str(),
                "--library".as_ref(),
                library.as_os_str(),
                "--in-full".as_ref(),
                "0".as_ref(),
                "--most-cases".as_ref(),
                "1".as_ref(),
                "--json".as_ref(),
            ],
            &[(
                "CADDIS_LIBRARY",
                &workspace_root().join("library").display().to_string(),
            )],
        );
        let seconds = begun.elapsed().as_secs_f64();
        assert_eq!(ran.exit, Some(0), "{}", ran.stderr);
        let selection = &ran.json()["selection"];
        let within = selection["within_bounds"].as_f64().unwrap();
        let candidates = selection["candidates"].as_array().unwrap();
        let fitting = candidates.iter().filter(|c| !c["rank"].is_null()).count();
        each.push(seconds / within.max(1.0));
        println!(
            "{}",
            json!({
                "case": format!("{count} shells, 12 items"), "ours": seconds, "reference": null, "ratio": null, "unit": "s",
                "within_bounds": within, "fitting": fitting, "seconds_per_shell_within_bounds": seconds / within.max(1.0),
            })
        );
    }
    println!(
        "time per shell within bounds, 1,000 against 250: {:.2} (1 is linear)",
        each[2] / each[0]
    );
}

/// Generated shells: openings from 300 to 1,000 mm, depths from 90 to 420 mm, drafts from 0.8 to 3.5 degrees, half of them with
/// wheel housings. The sequence is a fixed linear congruence.
fn shells(library: &Path, count: u32) {
    let folder = library.join("shells");
    fs::create_dir_all(&folder).unwrap();
    let mut state: u64 = 12_345;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    for number in 0..count {
        let length = 300.0 + 700.0 * next();
        let width = length * (0.5 + 0.35 * next());
        let depth = 90.0 + 330.0 * next();
        let lid = 40.0 + 50.0 * next();
        let draft = 0.8 + 2.7 * next();
        let wheeled = next() < 0.5;
        let mut text = String::new();
        write!(
            text,
            r#"schema = 1
title = "generated {number}"
source = "generated for a benchmark (invented)"
empty_mass = "{mass:.1} kg ± 0.1 kg"
[outside]
length = "{outside_length:.0} mm ± 2 mm"
width = "{outside_width:.0} mm ± 2 mm"
height = "{outside_height:.0} mm ± 2 mm"
[base]
depth = "{depth:.0} mm ± 1 mm"
fillet = "12 mm ± 1 mm"
wall = "4 mm"
draft = "{draft:.2} deg"
[base.rim]
length = "{length:.0} mm ± 1 mm"
width = "{width:.0} mm ± 1 mm"
corner_radius = "40 mm ± 2 mm"
[lid]
depth = "{lid:.0} mm ± 1 mm"
fillet = "10 mm ± 1 mm"
wall = "4 mm"
draft = "2 deg"
[lid.rim]
length = "{length:.0} mm ± 1 mm"
width = "{width:.0} mm ± 1 mm"
corner_radius = "40 mm ± 2 mm"
"#,
            mass = 1.0 + 12.0 * (length * width * depth) / 1e8,
            outside_length = length + 55.0,
            outside_width = width + 60.0,
            outside_height = depth + lid + 45.0,
        )
        .unwrap();
        if wheeled {
            for (name, sign) in [("left", 1.0), ("right", -1.0)] {
                write!(
                    text,
                    r#"
[[base.intrusions]]
name = "wheel housing {name}"
kind = "wheel-housing"
rectangle = {{ centre = ["{x:.0} mm", "{y:.0} mm"], length = "70 mm", width = "60 mm", corner_radius = "10 mm" }}
to = "{to:.0} mm ± 1 mm"
draft = "3 deg"
"#,
                    x = -length / 2.0 + 55.0,
                    y = sign * (width / 2.0 - 50.0),
                    to = 0.4 * depth,
                )
                .unwrap();
            }
        }
        fs::write(folder.join(format!("generated-{number:04}.toml")), text).unwrap();
    }
}
