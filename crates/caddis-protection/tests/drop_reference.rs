//! The simulated drop against twenty reference cases (`tests/data/drop_cases.json`): two independent integrations in
//! another language, every patch and output in the file. Each output is held to the tolerance the case states.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../examples/reference_cases/case.rs"]
mod case;

use case::{Case, spring};
use serde_json::Value;

fn file() -> Value {
    serde_json::from_str(include_str!("data/drop_cases.json")).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Array(list) => list.iter().map(|v| v.as_f64().unwrap()).collect(),
        other => vec![other.as_f64().unwrap()],
    }
}

/// Largest difference over the larger of the expected values and a floor.
fn difference(got: &Value, expected: &Value, floor: f64) -> f64 {
    let (got, expected) = (numbers(got), numbers(expected));
    assert_eq!(got.len(), expected.len());
    let size = expected.iter().fold(floor, |most, v| most.max(v.abs()));
    got.iter()
        .zip(&expected)
        .map(|(g, e)| (g - e).abs() / size)
        .fold(0.0, f64::max)
}

fn check_window(id: &str, name: &str, got: &Value, expected: &Value, tolerance: &Value) {
    for (output, stated) in [
        ("peak_G_cm", "peak_G_cm_rel"),
        ("peak_G_point", "peak_G_point_rel"),
        ("max_strain", "max_strain_rel"),
    ] {
        let allowed = tolerance[stated].as_f64().unwrap();
        let found = difference(&got[output], &expected[output], 0.0);
        assert!(
            found <= allowed,
            "{id} {name} {output}: {found:e} over {allowed:e}"
        );
    }
    for output in ["max_disp_cm", "max_disp_cm_along_d", "max_disp_point"] {
        let found = difference(&got[output], &expected[output], 1e-6);
        assert!(found <= 1e-5, "{id} {name} {output}: {found:e}");
    }
    let turned =
        (got["max_rotation_deg"].as_f64().unwrap() - expected["max_rotation_deg"].as_f64().unwrap()).abs();
    assert!(turned <= 1e-4, "{id} {name} rotation off by {turned} degrees");
    for which in ["cm", "point"] {
        let time = got[format!("t_peak_{which}")].as_f64().unwrap();
        let window = numbers(&expected[format!("t_peak_{which}_window")]);
        assert!(
            window[0] <= time && time <= window[1],
            "{id} {name} peak of {which} at {time}, not in {window:?}"
        );
    }
    let allowed = numbers(&expected["max_strain_patches"]);
    let patches = numbers(&got["max_strain_patches"]);
    assert!(
        !patches.is_empty() && patches.iter().all(|patch| allowed.contains(patch)),
        "{id} {name} most strained {patches:?}"
    );
}

#[test]
fn all_cases_come_out_within_their_stated_tolerances() {
    let file = file();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 20);
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let got = Case::read(case).unwrap().outputs().unwrap();
        let expected = &case["expected"];
        let tolerance = &expected["accuracy"]["suggested_test_tolerance"];
        for name in ["first_pulse", "horizon"] {
            check_window(id, name, &got[name], &expected[name], tolerance);
        }
        let (got_pulse, pulse) = (&got["first_pulse"], &expected["first_pulse"]);
        for (output, floor) in [
            ("t_end_pulse", 0.0),
            ("delta_v", 1e-6),
            ("delta_v_mag", 0.0),
            ("rebound_speed", 0.0),
            ("rebound_ratio", 0.0),
            ("v_end", 1e-6),
            ("x_end", 1e-3),
            ("omega_end", 1e-2),
            ("quat_end", 0.0),
            ("energy_end_over_E0", 0.0),
            ("rot_energy_end_over_E0", 1e-6),
        ] {
            let found = difference(&got_pulse[output], &pulse[output], floor);
            assert!(found <= 1e-5, "{id} {output}: {found:e}");
        }
        if expected["energy_residual"].is_number() {
            let kept = got["energy_residual"].as_f64().unwrap();
            assert!(kept < 1e-6, "{id} keeps its energy to {kept:e}");
        } else {
            let output = "energy_lost_at_horizon_over_E0";
            let found = difference(&got[output], &expected[output], 0.0);
            assert!(found <= 1e-6, "{id} loses its energy: {found:e}");
        }
        check_snapshots(id, &got, expected);
        check_history(id, &got, expected);
    }
}

/// The right-hand side alone, at states the file gives.
fn check_snapshots(id: &str, got: &Value, expected: &Value) {
    let (got, expected) = (
        got["snapshots"].as_array().unwrap(),
        expected["snapshots"].as_array().unwrap(),
    );
    assert_eq!(got.len(), expected.len());
    for (got, expected) in got.iter().zip(expected) {
        for (output, floor) in [
            ("force", 1.0),
            ("torque_about_com", 0.1),
            ("domega_body_dt", 1.0),
            ("a_point_proper", 1.0),
            ("energy", 0.0),
            ("max_strain", 0.0),
        ] {
            let found = difference(&got[output], &expected[output], floor);
            assert!(found <= 1e-9, "{id} {output}: {found:e}");
        }
        assert_eq!(got["patches_in_contact"], expected["patches_in_contact"], "{id}");
    }
}

/// Every tenth of a millisecond, to a millionth of the largest value of the column.
fn check_history(id: &str, got: &Value, expected: &Value) {
    let rows = |value: &Value| -> Vec<Vec<f64>> {
        let rows = value["history"]["rows"].as_array().unwrap();
        rows.iter().map(numbers).collect()
    };
    let (got, expected) = (rows(got), rows(expected));
    assert_eq!(got.len(), expected.len(), "{id}");
    for column in 1..expected[0].len() {
        let size = expected
            .iter()
            .fold(1e-3, |most, row| f64::max(most, row[column].abs()));
        for (got, expected) in got.iter().zip(&expected) {
            assert!(
                (got[column] - expected[column]).abs() <= 1e-6 * size,
                "{id} history column {column} at {} s",
                expected[0]
            );
        }
    }
}

/// Bodies nobody chose: full tensors, patches that face any way, four laws, gaps (`data/drop_random.py`, scipy DOP853).
#[test]
fn random_bodies_fall_as_scipy_says() {
    let file: Value = serde_json::from_str(include_str!("data/drop_random.json")).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 8);
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let got = &Case::read(case).unwrap().outputs().unwrap()["horizon"];
        let expected = &case["expected"]["horizon"];
        for output in [
            "peak_G_cm",
            "peak_G_point",
            "max_strain",
            "max_disp_cm",
            "max_rotation_deg",
        ] {
            let found = difference(&got[output], &expected[output], 0.0);
            assert!(found <= 2e-5, "{id} {output}: {found:e}");
        }
    }
}

#[test]
fn laws_agree_with_their_tables() {
    let file = file();
    let tables = file["law_tables"].as_array().unwrap();
    assert!(!tables.is_empty());
    for table in tables {
        let spring = spring(&table["law"]).unwrap();
        for row in table["rows"].as_array().unwrap() {
            let row = numbers(row);
            let (stress, energy) = (spring.stress(row[0]), spring.energy(row[0]));
            assert!(
                (stress / row[1] - 1.0).abs() < 1e-9,
                "{} at {}",
                table["law"],
                row[0]
            );
            assert!(
                (energy / row[2] - 1.0).abs() < 1e-9,
                "{} at {}",
                table["law"],
                row[0]
            );
        }
    }
}

#[test]
fn what_is_missing_or_wrong_is_named() {
    let file = file();
    let mut case = file["cases"][0].clone();
    case["input"]["item"]["mass"] = Value::from(-1.0);
    assert!(Case::read(&case).err().unwrap().contains("mass"));
    let mut case = file["cases"][0].clone();
    case["input"].as_object_mut().unwrap().remove("height");
    assert!(Case::read(&case).err().unwrap().contains("height"));
    let mut case = file["cases"][0].clone();
    case["input"]["patches"][3][7] = Value::from(0.0);
    assert!(Case::read(&case).err().unwrap().contains("thickness"));
}
