//! trimesh 5.2 (M. Dawson-Haggerty and others, MIT) and shapely 2.2 (GEOS), run beside Caddis on the same files.
//!
//! A second program's answer, computed here and now and not a published number: two independent readings of one file
//! that agree. Meshes: the demonstration's own, and generic hand-held models of an MIT-licensed npm package.

use crate::Chapter;
use caddis_basis::{BenchUnit, Certainty, Name, Source};
use caddis_geometry::{Mesh, Side, Vec3};
use caddis_survey::read_mesh;
use caddis_tests::{Allowed, Row, demonstration_meshes, metres_per_unit, open_models, second_opinion};
use serde_json::Value;
use std::path::Path;

/// Heights of the sections, as fractions of the height of the mesh: none falls on a vertex of a regular shape.
const FRACTIONS: [&str; 3] = ["0.1234", "0.4567", "0.8765"];

fn source(libraries: &str) -> Source {
    Source::new(format!("{libraries}, run on the same file"), Certainty::Derived)
}

pub(crate) fn read(path: &Path) -> Mesh {
    let bytes = std::fs::read(path).unwrap();
    let name = Name::new(path.file_name().unwrap().to_string_lossy());
    let unit = path
        .extension()
        .is_some_and(|e| e == "stl")
        .then_some(BenchUnit::Millimetre);
    read_mesh(&bytes, &name, unit).unwrap().0
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn of_solid(label: &str, path: &Path, rows: &mut Vec<Row>) {
    let mesh = read(path);
    let theirs = second_opinion("mesh", [path.as_os_str(), metres_per_unit(path).as_ref()]);
    assert_eq!(theirs["closed"], true, "{label} is no closed solid");
    assert!(
        mesh.check().is_closed,
        "{label} is closed to trimesh but not here"
    );
    let ours = mesh.mass_properties();
    let bounds = mesh.bounds().unwrap();
    let mut add = |method, unit, expected: f64, got: f64, allowed| {
        let source = source("trimesh 5.2");
        rows.push(Row {
            method,
            problem: label.into(),
            source,
            unit,
            expected,
            got,
            allowed,
        });
    };
    let axes = |v: Vec3| [v.x, v.y, v.z];
    for (axis, name) in ["extent along x", "extent along y", "extent along z"]
        .into_iter()
        .enumerate()
    {
        let theirs = number(&theirs["max"][axis]) - number(&theirs["min"][axis]);
        let ours = axes(bounds.max)[axis] - axes(bounds.min)[axis];
        add(name, "mm", theirs * 1e3, ours * 1e3, Allowed::Within(0.002));
    }
    add(
        "volume",
        "cm³",
        number(&theirs["volume"]) * 1e6,
        ours.volume * 1e6,
        Allowed::Fraction(1e-5),
    );
    add(
        "surface",
        "cm²",
        number(&theirs["surface"]) * 1e4,
        ours.surface * 1e4,
        Allowed::Fraction(1e-5),
    );
    for (axis, name) in [
        "centre of volume, x",
        "centre of volume, y",
        "centre of volume, z",
    ]
    .into_iter()
    .enumerate()
    {
        add(
            name,
            "mm",
            number(&theirs["centre"][axis]) * 1e3,
            axes(ours.centre)[axis] * 1e3,
            Allowed::Within(0.001),
        );
    }
    let (mut expected, mut got) = (0.0, 0.0);
    let mut worst = 0.0_f64;
    for row in 0..3 {
        for column in 0..3 {
            let (theirs, ours) = (
                number(&theirs["inertia"][row][column]),
                axes(ours.inertia[row])[column],
            );
            worst = worst.max((theirs - ours).abs());
            if row == column {
                expected += theirs;
                got += ours;
            }
        }
    }
    // The trace is printed; the other elements must agree as closely.
    assert!(
        worst <= 1e-5 * expected,
        "{label}: an element of the inertia is off by {worst:e} m^5"
    );
    add(
        "inertia, trace, per density",
        "m^5",
        expected,
        got,
        Allowed::Fraction(1e-5),
    );
    let mut arguments = vec![path.as_os_str().to_owned(), metres_per_unit(path).into()];
    arguments.extend(FRACTIONS.map(Into::into));
    let theirs = second_opinion("section", arguments);
    for (fraction, theirs) in FRACTIONS.iter().zip(theirs.as_array().unwrap()) {
        let percent = fraction.parse::<f64>().unwrap() * 100.0;
        rows.push(Row {
            method: "area of a section",
            problem: format!("{label}, at {percent:.2} % of its height"),
            source: source("trimesh 5.2 and shapely 2.2"),
            unit: "cm²",
            expected: number(&theirs["area"]) * 1e4,
            got: mesh.section(number(&theirs["z"])).area() * 1e4,
            allowed: Allowed::Fraction(1e-4),
        });
    }
    let theirs = second_opinion("shadow", [path.as_os_str(), metres_per_unit(path).as_ref()])
        .as_f64()
        .unwrap();
    rows.push(Row {
        method: "area of the shadow (outer)",
        problem: label.into(),
        source: source("trimesh 5.2 and shapely 2.2"),
        unit: "cm²",
        expected: theirs * 1e4,
        got: mesh.shadow(bounds.min.z, bounds.max.z, Side::Outer).area() * 1e4,
        allowed: Allowed::Fraction(2e-3),
    });
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Vec::new();
    let demonstration = demonstration_meshes();
    assert!(
        demonstration.len() >= 3,
        "the demonstration has at least three meshes"
    );
    for path in demonstration {
        let label = path.file_name().unwrap().to_string_lossy().into_owned();
        of_solid(&label, &path, &mut rows);
    }
    for path in open_models()
        .into_iter()
        .filter(|path| path.to_string_lossy().contains("hand/"))
    {
        let folder = path
            .parent()
            .unwrap()
            .file_name()
            .unwrap()
            .to_string_lossy()
            .into_owned();
        let label = format!("{folder}/{}", path.file_name().unwrap().to_string_lossy());
        of_solid(&label, &path, &mut rows);
    }
    Chapter {
        title: "Meshes",
        about: "Extents, mass properties, sections and shadows of closed meshes: the demonstration's own and the closed \
                generic models of the npm package `@webxr-input-profiles/assets` 1.0.20 (MIT).",
        rows,
    }
}

#[test]
fn open_models_are_read_at_their_size() {
    let models = open_models();
    assert!(models.len() >= 30, "only {} models", models.len());
    let answers = second_opinion("boxes", &models);
    for (path, theirs) in models.iter().zip(answers.as_array().unwrap()) {
        let bounds = read(path).bounds().unwrap();
        for (axis, (low, high)) in [
            (bounds.min.x, bounds.max.x),
            (bounds.min.y, bounds.max.y),
            (bounds.min.z, bounds.max.z),
        ]
        .into_iter()
        .enumerate()
        {
            for (ours, theirs) in [(low, &theirs["min"][axis]), (high, &theirs["max"][axis])] {
                assert!(
                    (ours - number(theirs)).abs() < 2e-6,
                    "{}: {ours} against {theirs}",
                    path.display()
                );
            }
        }
    }
}
