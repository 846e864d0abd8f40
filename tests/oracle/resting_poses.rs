//! trimesh 5.2 (M. Dawson-Haggerty and others, MIT): `compute_stable_poses`, with shapely 2.2 (GEOS) for the distance to the
//! edge of what bears; and closed forms of statics for a box, a cylinder and a wedge.

use crate::Chapter;
use crate::geometry_libraries::read;
use caddis_basis::{Certainty, Source};
use caddis_geometry::{Contour, Mesh, Region, Vec2, Vec3};
use caddis_survey::{RestingPose, resting_poses};
use caddis_tests::{Allowed, Row, demonstration_meshes, inputs, metres_per_unit, second_opinion};
use serde_json::Value;
use std::f64::consts::PI;
use std::path::Path;

/// Directions closer than this are one: cos of 3 degrees.
const SAME: f64 = 0.9986;
/// trimesh is asked for what takes a little more tilt than ours, so that none lies on the border.
const LEAST_TIP: &str = "5.5";

fn row(problem: String, what: &'static str, unit: &'static str, expected: f64, got: f64, within: f64) -> Row {
    let source = if problem.contains('.') {
        Source::new(
            "trimesh 5.2 and shapely 2.2, run on the same file",
            Certainty::Derived,
        )
    } else {
        Source::derived(caddis_basis::Said::name(
            "a piece tips when its centre of mass passes an edge of its foot: atan(d / h)",
        ))
    };
    Row {
        method: what,
        problem,
        source,
        unit,
        expected,
        got,
        allowed: Allowed::Within(within),
    }
}

/// How many of trimesh's poses are not among ours, and the largest differences in tilt (degrees) and height (mm).
fn differences(path: &Path, scale: &str, ours: &[RestingPose]) -> (usize, usize, f64, f64) {
    let theirs = second_opinion("resting", [path.as_os_str(), scale.as_ref(), LEAST_TIP.as_ref()]);
    let number = |value: &Value| value.as_f64().unwrap();
    let (mut missing, mut tip, mut height) = (0, 0.0_f64, 0.0_f64);
    let theirs = theirs.as_array().unwrap();
    for pose in theirs {
        let up = Vec3::new(number(&pose[0][0]), number(&pose[0][1]), number(&pose[0][2]));
        match ours.iter().find(|pose| pose.up.dot(up) > SAME) {
            None => missing += 1,
            Some(found) => {
                tip = tip.max((found.tip_angle.to_degrees() - number(&pose[2])).abs());
                height = height.max((found.centre_height.si() - number(&pose[1])).abs() * 1e3);
            }
        }
    }
    (theirs.len(), missing, tip, height)
}

fn poses_of(mesh: &Mesh) -> Vec<RestingPose> {
    let solid = if mesh.check().is_closed {
        mesh.clone()
    } else {
        mesh.hull().unwrap()
    };
    resting_poses(mesh, solid.mass_properties().centre)
}

fn closed_forms() -> Vec<Row> {
    let mut rows = Vec::new();
    let add = |rows: &mut Vec<Row>, problem: &str, mesh: &Mesh, up: Vec3, degrees: f64, height: f64| {
        let poses = poses_of(mesh);
        let pose = poses.iter().find(|pose| pose.up.dot(up.unit()) > SAME).unwrap();
        rows.push(row(
            problem.to_owned(),
            "tilt until it tips",
            "deg",
            degrees,
            pose.tip_angle.to_degrees(),
            1e-4,
        ));
        rows.push(row(
            problem.to_owned(),
            "height of the centre of mass",
            "mm",
            height * 1e3,
            pose.centre_height.as_mm(),
            1e-4,
        ));
    };
    let tilt = |distance: f64, height: f64| (distance / height).atan().to_degrees();
    let cuboid = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.2, 0.1));
    for (name, up, half, height) in [
        ("flat", Vec3::new(0.0, 0.0, 1.0), 0.1, 0.05),
        ("on its long side", Vec3::new(0.0, 1.0, 0.0), 0.05, 0.1),
        ("on end", Vec3::new(1.0, 0.0, 0.0), 0.05, 0.15),
    ] {
        let problem = format!("box 300 x 200 x 100 mm {name}");
        add(&mut rows, &problem, &cuboid, up, tilt(half, height), height);
    }
    let profile = [(0.0, 0.0), (0.04, 0.0), (0.04, 0.12), (0.0, 0.12)].map(|(r, z)| Vec2::new(r, z));
    let cylinder = Mesh::revolved(&profile, 64);
    add(
        &mut rows,
        "cylinder 80 x 120 mm of 64 chords on end",
        &cylinder,
        Vec3::new(0.0, 0.0, 1.0),
        tilt(0.04 * (PI / 64.0).cos(), 0.06),
        0.06,
    );
    rows.push(row(
        "cylinder 80 x 120 mm of 64 chords".to_owned(),
        "ways to stand: it rolls on its side",
        "",
        2.0,
        poses_of(&cylinder).len() as f64,
        0.0,
    ));
    let triangle = Contour::polygon(vec![Vec2::ZERO, Vec2::new(0.4, 0.0), Vec2::new(0.0, 0.3)]);
    let wedge = Mesh::prism(&Region::from_contours(&[triangle]), 0.0, 0.1);
    add(
        &mut rows,
        "wedge 400 x 300 mm and 100 mm thick on its slope",
        &wedge,
        Vec3::new(-0.6, -0.8, 0.0),
        tilt(0.05, 0.08),
        0.08,
    );
    rows
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = closed_forms();
    for path in demonstration_meshes() {
        let label = path.file_name().unwrap().to_string_lossy().into_owned();
        let ours = poses_of(&read(&path));
        let (theirs, missing, tip, height) = differences(&path, metres_per_unit(&path), &ours);
        assert!(theirs > 0, "{label} stands on no side to trimesh");
        rows.push(row(
            label.clone(),
            "trimesh's ways to stand that are not found here",
            "",
            0.0,
            missing as f64,
            0.0,
        ));
        rows.push(row(
            label.clone(),
            "largest difference in the tilt until it tips",
            "deg",
            0.0,
            tip,
            0.05,
        ));
        rows.push(row(
            label,
            "largest difference in the height of the centre",
            "mm",
            0.0,
            height,
            0.01,
        ));
    }
    Chapter {
        title: "Resting poses",
        about: "Which way pieces stand by themselves and how far they tilt before they tip. trimesh leaves out some ways that \
                it takes to topple into others, so what is found here beyond its answer is no row.",
        rows,
    }
}

#[test]
fn parts_made_by_others_stand_as_trimesh_says() {
    let caddis_tests::Inputs::There(folder) = inputs() else {
        // The runner's page of what was left out is the suite's; this test has the demonstration's meshes in its chapter.
        return;
    };
    for (file, unit) in [
        ("mesh/trimesh/models__featuretype.STL", "in"),
        ("mesh/gazebo_models/meshes__cordless_drill.stl", "m"),
        ("mesh/realsense-ros/meshes__d405.stl", "mm"),
        (
            "mesh/open_robot_actuator_hardware/stl_files__electronics_box_base.STL",
            "mm",
        ),
        ("mesh/FreeCAD-library/Bearings__608ZZ_Ball_Bearing.stl", "mm"),
    ] {
        let path = folder.join(file);
        let unit = caddis_basis::BenchUnit::parse(unit).unwrap();
        let bytes = std::fs::read(&path).unwrap();
        let (mesh, _) = caddis_survey::read_mesh(&bytes, &caddis_basis::Name::new(file), Some(unit)).unwrap();
        let (theirs, missing, tip, height) = differences(&path, &unit.metres().to_string(), &poses_of(&mesh));
        assert!(theirs > 0, "{file} stands on no side to trimesh");
        assert!(
            missing == 0 && tip < 0.3 && height < 0.05,
            "{file}: {missing} of {theirs} missing, {tip} deg, {height} mm"
        );
    }
}
