//! `OpenCASCADE` (LGPL-2.1, through `caddis-step`), trimesh 5.2 and shapely 2.2, run on the demonstration's
//! interior as STEP, 3MF and STL.

use crate::Chapter;
use caddis_basis::{Certainty, Source};
use caddis_geometry::{Boundary, Contour, Prism, Region, Vec2, Vertex};
use caddis_tests::{Allowed, Folder, Row, caddis, second_opinion, workspace_root};
use serde_json::Value;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// A body as `OpenCASCADE` finds it.
struct Found {
    product: String,
    is_sound: bool,
    volume: f64,
}

pub(crate) fn chapter(out: &Path) -> Chapter {
    let step = std::fs::read(out.join("interior.step")).unwrap();
    let (fails, found) = opencascade(&step);
    let text = std::fs::read_to_string(out.join("result.json")).unwrap();
    let interior = serde_json::from_str::<Value>(&text).unwrap()["interior"].clone();
    let mut missing = 0.0;
    let mut worst: f64 = 0.0;
    for (layer, volume) in layers(&interior) {
        let start = format!("foam {layer} ");
        let solids: Vec<&Found> = found
            .iter()
            .filter(|body| body.product.starts_with(&start))
            .collect();
        missing += f64::from(u8::from(solids.is_empty()));
        let sum: f64 = solids.iter().map(|body| body.volume).sum();
        worst = worst.max((sum / volume - 1.0).abs());
    }
    for place in interior["places"].as_array().unwrap() {
        let item = format!("item {}", place["instance"].as_str().unwrap());
        let is_there = found
            .iter()
            .any(|body| body.product == item || body.product.starts_with(&format!("{item} ")));
        missing += f64::from(u8::from(!is_there));
    }
    let unsound = found.iter().filter(|body| !body.is_sound).count() as f64;
    let answer = second_opinion("exchange", [out.as_os_str()]);
    let number = |key: &str| {
        answer[key]
            .as_f64()
            .unwrap_or_else(|| panic!("no answer on {key}: {answer}"))
    };
    assert_eq!(answer["unit_is_mm"], true, "{answer}");
    let row = |by: &str, problem: &str, unit: &'static str, got: f64, amount: f64| Row {
        method: "exchange",
        problem: problem.into(),
        source: Source::new(
            format!("{by}, run on the demonstration's interior"),
            Certainty::Derived,
        ),
        unit,
        expected: 0.0,
        got: if got.abs() <= amount { 0.0 } else { got },
        allowed: Allowed::Within(amount),
    };
    let (kernel, meshes) = ("OpenCASCADE", "trimesh 5.2 and shapely 2.2");
    let whole: f64 = found.iter().map(|body| body.volume).sum();
    let (again, bodies) = read_again(out);
    let mut rows = vec![
        row(kernel, "STEP: complaints about the file", "", fails, 0.0),
        row(kernel, "STEP: bodies that are no valid solid", "", unsound, 0.0),
        row(
            kernel,
            "STEP: layers and equipment without a body of their name",
            "",
            missing,
            0.0,
        ),
        row(
            kernel,
            "STEP: largest relative difference of a layer's volume from its outlines'",
            "",
            worst,
            1e-6,
        ),
        row(
            "`caddis contents --shape`",
            "STEP: bodies that our own reader finds more or fewer",
            "",
            bodies - found.len() as f64,
            0.0,
        ),
        row(
            "`caddis contents --shape`",
            "STEP: relative difference of the volume that our own reader finds",
            "",
            again / (whole * 1e-9) - 1.0,
            1e-3,
        ),
        row(
            meshes,
            "3MF: bodies missing or of no name known",
            "",
            number("missing"),
            0.0,
        ),
        row(
            meshes,
            "3MF: bodies that are no closed solid",
            "",
            number("open"),
            0.0,
        ),
        row(
            meshes,
            "3MF: largest relative difference of a layer's volume from its outlines'",
            "",
            number("foam"),
            5e-4,
        ),
        row(
            meshes,
            "STL: edges not run as often one way as the other",
            "",
            number("stl_open"),
            0.0,
        ),
        row(
            meshes,
            "STL: relative difference of its volume from the 3MF's",
            "",
            number("stl_volume"),
            1e-5,
        ),
        row(
            meshes,
            "STL: difference of its box from the 3MF's",
            "mm",
            number("stl_extents"),
            1e-3,
        ),
    ];
    rows.extend(boards());
    Chapter {
        title: "Exchange",
        about: "The demonstration's interior, and the boards of a small job, as other programs open them. A number within its tolerance is shown as 0. Of the \
                STEP file the foam's volume is compared with that of the result's outlines, arcs exactly; of the meshes with \
                the same outlines as polygons.",
        rows,
    }
}

/// A job whose tray and lid pad are held by boards: each is a sound body of its own, and as large as its outline makes it.
fn boards() -> Vec<Row> {
    let folder = Folder::new();
    let job = workspace_root()
        .join("tests/suite/jobs/two-boards")
        .display()
        .to_string();
    let library = workspace_root().join("library").display().to_string();
    let ran = caddis(
        folder.path(),
        [
            "run",
            &job,
            "--out",
            "out",
            "--library",
            &library,
            "--date",
            "2026-11-25",
        ],
        &[],
    );
    assert!(matches!(ran.exit, Some(0 | 1)), "{}", ran.stderr);
    let out = folder.path().join("out");
    let answer = second_opinion("boards", [out.as_os_str()]);
    let wanted = answer["wanted"].as_object().unwrap();
    assert_eq!(wanted.len(), 2, "{answer}");
    let (fails, found) = opencascade(&std::fs::read(out.join("interior.step")).unwrap());
    let (mut missing, mut worst): (f64, f64) = (0.0, 0.0);
    for (name, volume) in wanted {
        let (name, volume) = (name.as_str(), volume.as_f64().unwrap());
        match found.iter().find(|body| body.product.ends_with(name)) {
            Some(body) => worst = worst.max((body.volume / volume - 1.0).abs()),
            None => missing += 1.0,
        }
    }
    missing += fails + found.iter().filter(|body| !body.is_sound).count() as f64;
    let (kernel, meshes) = ("OpenCASCADE and shapely 2.2", "trimesh 5.2 and shapely 2.2");
    let number = |key: &str| answer[key].as_f64().unwrap();
    let row = |by: &str, problem: &str, got: f64, amount: f64| Row {
        method: "exchange",
        problem: problem.into(),
        source: Source::new(
            format!("{by}, run on a small job with two boards"),
            Certainty::Derived,
        ),
        unit: "",
        expected: 0.0,
        got: if got.abs() <= amount { 0.0 } else { got },
        allowed: Allowed::Within(amount),
    };
    vec![
        row(
            kernel,
            "STEP: boards missing, bodies that are not sound",
            missing,
            0.0,
        ),
        row(
            kernel,
            "STEP: largest relative difference of a board's volume from its outline's",
            worst,
            5e-5,
        ),
        row(
            meshes,
            "3MF: boards missing or not closed",
            number("missing") + number("open"),
            0.0,
        ),
        row(
            meshes,
            "3MF: largest relative difference of a board's volume from its outline's",
            number("volume"),
            5e-4,
        ),
    ]
}

/// Complaints, and the bodies of the file.
fn opencascade(step: &[u8]) -> (f64, Vec<Found>) {
    let program = std::env::var_os("CADDIS_STEP").map_or_else(
        || Path::new(&std::env::var_os("CADDIS_BINARY").unwrap()).with_file_name("caddis-step"),
        std::path::PathBuf::from,
    );
    let mut child = Command::new(&program)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| {
            panic!(
                "{}: {error}; build it: . scripts/need.sh; need_step",
                program.display()
            )
        });
    child.stdin.take().unwrap().write_all(step).unwrap();
    let answer = child.wait_with_output().unwrap().stdout;
    let head = answer.split(|&byte| byte == b'\n').nth(1).unwrap();
    let head: Value = serde_json::from_slice(head).unwrap();
    let fails = head["load_fails"].as_f64().unwrap() + head["transfer_fails"].as_f64().unwrap();
    let found = head["bodies"]
        .as_array()
        .unwrap()
        .iter()
        .map(|body| Found {
            product: body["product"].as_str().unwrap().to_owned(),
            is_sound: body["is_solid"] == true && body["is_valid"] == true && body["unmeshed"] == 0,
            volume: body["exact_volume_mm3"].as_f64().unwrap(),
        })
        .collect();
    (fails, found)
}

/// Volume and count of bodies as `caddis contents --shape` reads them.
fn read_again(out: &Path) -> (f64, f64) {
    let path = out.join("interior.step").display().to_string();
    let ran = caddis(
        workspace_root().as_path(),
        ["contents", "--shape", &path, "--json"],
        &[],
    );
    assert_eq!(ran.exit, Some(0), "{}", ran.stderr);
    let read = ran.json();
    (
        read["volume_m3"]
            .as_f64()
            .unwrap_or_else(|| panic!("not closed: {read}")),
        read["bodies"].as_f64().unwrap(),
    )
}

/// Each layer's id and the volume of its foam, mm³, from the result's outlines.
fn layers(interior: &Value) -> Vec<(String, f64)> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let voids: Vec<Prism> = list(&interior["cavities"])
        .iter()
        .flat_map(|cavity| {
            list(&cavity["steps"])
                .into_iter()
                .chain(cavity.get("over").filter(|over| !over.is_null()).cloned())
        })
        .chain(
            ["notches", "openings"]
                .into_iter()
                .flat_map(|key| list(&interior[key]))
                .map(|cut| cut["void"].clone()),
        )
        .map(|void| prism(&void))
        .collect();
    list(&interior["blocks"])
        .iter()
        .flat_map(|block| list(&block["layers"]))
        .map(|layer| {
            let whole = prism(&layer);
            let inside: Vec<Prism> = voids
                .iter()
                .filter(|void| void.low < whole.high && void.high > whole.low)
                .map(|void| Prism {
                    region: void.region.clone(),
                    low: void.low.max(whole.low),
                    high: void.high.min(whole.high),
                })
                .collect();
            let foam = Boundary::of(&[whole], &inside).unwrap();
            (layer["id"].as_str().unwrap().to_owned(), foam.volume() * 1e9)
        })
        .collect()
}

fn prism(written: &Value) -> Prism {
    let contours: Vec<Contour> = written["outline"]["contours"]
        .as_array()
        .unwrap()
        .iter()
        .map(|contour| Contour {
            vertices: contour
                .as_array()
                .unwrap()
                .iter()
                .map(|corner| Vertex {
                    at: Vec2::new(corner[0].as_f64().unwrap(), corner[1].as_f64().unwrap()),
                    bulge: corner[2].as_f64().unwrap(),
                })
                .collect(),
        })
        .collect();
    Prism {
        region: Region::from_contours(&contours),
        low: written["low_m"].as_f64().unwrap(),
        high: written["high_m"].as_f64().unwrap(),
    }
}
