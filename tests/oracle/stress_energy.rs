//! The stress-energy method: peak G of a closed-cell cushion as G = (a/s) exp(b s h/t).
//!
//! Source: exact consequences of that form (derived by algebra and by simulation without gravity in the stroke). The
//! constants a = 30 kPa, b = 3.5e-5 1/Pa are invented for the algebra: no material.

use crate::Chapter;
use caddis_basis::{Acceleration, Certainty, Length, Mass, Pressure, STANDARD_GRAVITY, Source};
use caddis_geometry::Vec3;
use caddis_protection::{
    CushionCurves, DropSettings, Law, LawKind, LawRange, MeasuredCurve, Patch, flat_drop,
};
use caddis_tests::{Allowed, Row};
use std::f64::consts::E;

const A: f64 = 30_000.0;
const B: f64 = 3.5e-5;
const HEIGHT: Length = Length::mm(600.0);
const THICKNESS: Length = Length::mm(50.0);

pub(crate) fn law() -> Law {
    Law {
        kind: LawKind::StressEnergy { a: A, b: B },
        range: LawRange {
            static_stress: None,
            greatest_strain: 0.8,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit: true,
        is_measured_dynamic: false,
        source: Source::new("invented for an algebra check, no material", Certainty::Invented),
    }
}

fn row(method: &'static str, problem: String, unit: &'static str, expected: f64, got: f64) -> Row {
    let source = Source::derived(caddis_basis::Said::name(
        "stress-energy method, G s = a exp(b s h/t)",
    ));
    Row {
        method,
        problem,
        source,
        unit,
        expected,
        got,
        allowed: Allowed::Fraction(2e-5),
    }
}

pub(crate) fn chapter() -> Chapter {
    let law = law();
    let mut rows = Vec::new();
    for (stress, peak, strain) in [
        (1000.0, 45.6588, 0.32662),
        (2000.0, 34.7455, 0.54123),
        (3000.0, 35.2542, 0.68223),
    ] {
        let settings = DropSettings {
            mass: Mass::from_si(stress * 0.01 / STANDARD_GRAVITY),
            height: HEIGHT,
        };
        let pad = Patch {
            point: Vec3::new(0.0, 0.0, 0.05),
            direction: Vec3::new(0.0, 0.0, -1.0),
            area: 0.01,
            thickness: THICKNESS.si(),
            gap: 0.0,
            law: 0,
        };
        let drop = flat_drop(std::slice::from_ref(&law), &[pad], &settings).unwrap();
        let problem = format!("static stress {stress} Pa, 600 mm on 50 mm");
        rows.push(row(
            "flat drop, peak",
            problem.clone(),
            "G",
            peak,
            drop.peak.as_g(),
        ));
        rows.push(row("flat drop, strain", problem, "", strain, drop.strain));
    }
    let optimum = law.optimum();
    let best = |strain: f64| Pressure::from_si(optimum.stress.si() / (A * B * E * 0.6 / 0.05) * strain);
    let peak = |stress: Pressure| law.peak_g(stress, HEIGHT, THICKNESS).unwrap().as_g();
    rows.push(row(
        "optimum, cushion factor",
        "C = a b e".into(),
        "",
        A * B * E,
        optimum.cushion_factor,
    ));
    rows.push(row(
        "optimum, strain",
        "(1 - 1/e)/(a b)".into(),
        "",
        0.602_02,
        optimum.strain,
    ));
    rows.push(row(
        "optimum, static stress",
        "s = t/(b h), 600 mm on 50 mm".into(),
        "Pa",
        2380.95,
        best(1.0).si(),
    ));
    rows.push(row(
        "optimum, peak",
        "G = a b e h/t, 600 mm on 50 mm".into(),
        "G",
        34.2504,
        peak(best(1.0)),
    ));
    let dense = Law {
        kind: LawKind::StressEnergy {
            a: A,
            b: 1.0 / (0.95 * A),
        },
        range: LawRange {
            greatest_strain: 0.9,
            ..law.range.clone()
        },
        ..law.clone()
    };
    rows.push(Row {
        allowed: Allowed::Within(6e-4),
        ..row(
            "optimum, cushion factor",
            "C = e/e_L, densification at e_L = 1/(a b) = 0.95".into(),
            "",
            2.861,
            dense.optimum().cushion_factor,
        )
    });
    rows.extend(family_rows());
    Chapter {
        title: "Stress-energy law",
        about: "A flat drop and the optimum of a law with invented constants against the algebra of its form. The law's \
                fit contains gravity's work in the stroke.",
        rows,
    }
}

/// The same law as a family of cushion curves: nine curves drawn from it, read between them.
fn family_rows() -> Vec<Row> {
    let curve = |thickness: f64, height: f64| MeasuredCurve {
        thickness: Length::mm(thickness),
        height: Length::mm(height),
        points: (1..=16)
            .map(|i| 300.0 * f64::from(i))
            .map(|s| {
                let peak = A / s * (B * s * height / thickness).exp();
                (Pressure::from_si(s), Acceleration::g(peak))
            })
            .collect(),
    };
    let curves = [40.0, 60.0, 90.0]
        .into_iter()
        .flat_map(|t| [450.0, 700.0, 900.0].map(|h| curve(t, h)))
        .collect();
    let curves = CushionCurves::new(curves).unwrap();
    let family = Law {
        range: LawRange {
            greatest_strain: curves.last_strain(),
            ..law().range
        },
        kind: LawKind::CushionCurves(curves),
        ..law()
    };
    let mut rows = Vec::new();
    for (stress, peak) in [(1000.0, 45.6588), (2000.0, 34.7455), (3000.0, 35.2542)] {
        let problem = format!("{stress} Pa, 600 mm on 50 mm, from curves of 450 to 900 mm on 40 to 90 mm");
        let got = family
            .peak_g(Pressure::from_si(stress), HEIGHT, THICKNESS)
            .unwrap();
        rows.push(row(
            "family of cushion curves, peak",
            problem,
            "G",
            peak,
            got.as_g(),
        ));
    }
    // Between the drawn points the table of strains is straight where the law is curved.
    let best = family.best_static_stress(HEIGHT, THICKNESS).unwrap();
    rows.push(Row {
        allowed: Allowed::Fraction(2e-3),
        ..row(
            "family of cushion curves, least peak",
            "G = a b e h/t, 600 mm on 50 mm".into(),
            "G",
            34.2504,
            best.peak.as_g(),
        )
    });
    rows
}

#[test]
fn stress_energy_identities() {
    chapter().assert();
}

#[test]
fn no_static_stress_beats_the_optimum() {
    let law = law();
    let peak = |stress: f64| {
        law.peak_g(Pressure::from_si(stress), HEIGHT, THICKNESS)
            .unwrap()
            .as_g()
    };
    for stress in [500.0, 1500.0, 2300.0, 2450.0, 3500.0] {
        assert!(peak(stress) > peak(2380.95), "at {stress} Pa");
    }
}
