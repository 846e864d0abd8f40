//! The simulated drop: reference cases, random bodies, closed forms.
//!
//! Sources: twenty falls with every patch and the outputs of two independent integrations
//! (`crates/caddis-protection/tests/data/drop_cases.json`); eight bodies nobody chose, integrated by scipy's DOP853
//! (`drop_random.json`, made by `drop_random.py` beside it); closed forms of equal linear pads and of a law's own flat drop
//! (derived).

#[path = "../../crates/caddis-protection/examples/reference_cases/case.rs"]
mod case;

use crate::Chapter;
use caddis_basis::{Certainty, Length, Mass, Pressure, STANDARD_GRAVITY, Source};
use caddis_geometry::Vec3;
use caddis_protection::drop::{
    Contact, Fall, Gravity, Landing, Packing, Precision, RigidBody, Spring, SpringForm, Watch, simulate,
};
use caddis_protection::{Law, LawKind, LawRange, Patch};
use caddis_tests::{Allowed, Row};
use case::Case;
use serde_json::Value;

const AXES: [Vec3; 3] = [
    Vec3::new(1.0, 0.0, 0.0),
    Vec3::new(0.0, 1.0, 0.0),
    Vec3::new(0.0, 0.0, 1.0),
];

pub(crate) fn chapter() -> Chapter {
    let mut rows = reference();
    rows.extend(random());
    rows.extend(equal_pads());
    rows.extend(pads_at_an_angle());
    rows.extend(flat_on_a_law());
    Chapter {
        title: "The simulated drop",
        about: "Rigid bodies on nonlinear patches of foam, against independent integrations of the same model and closed \
                forms. They check the integration, not that foam is such a bed: `docs/drop-model.md` says where it is not.",
        rows,
    }
}

fn cases(text: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(text).unwrap();
    file["cases"].as_array().unwrap().clone()
}

/// The peak of the centre, and what energy is lost on elastic foam.
fn reference() -> Vec<Row> {
    let source = Source::derived(caddis_basis::Said::name(
        "drop_cases.json: two independent integrations, steps of 5 µs and finer",
    ));
    let mut rows = Vec::new();
    for case in cases(include_str!(
        "../../crates/caddis-protection/tests/data/drop_cases.json"
    )) {
        let read = Case::read(&case).unwrap();
        let got = read.outputs().unwrap();
        let title = case["title"].as_str().unwrap();
        rows.push(Row {
            method: "simulated drop, peak of the first pulse",
            problem: format!("{}: {title}", read.id),
            source: source.clone(),
            unit: "G",
            expected: case["expected"]["first_pulse"]["peak_G_cm"].as_f64().unwrap(),
            got: got["first_pulse"]["peak_G_cm"].as_f64().unwrap(),
            allowed: Allowed::Fraction(2e-5),
        });
        if let Some(lost) = got["energy_residual"].as_f64() {
            rows.push(Row {
                method: "simulated drop, energy balance",
                problem: format!("{}: largest change of energy over that at the impact", read.id),
                source: Source::derived(caddis_basis::Said::name(
                    "elastic foam keeps the energy it is given",
                )),
                unit: "",
                expected: 0.0,
                got: lost,
                allowed: Allowed::Within(1e-6),
            });
        }
    }
    rows
}

fn random() -> Vec<Row> {
    let mut rows = Vec::new();
    for case in cases(include_str!(
        "../../crates/caddis-protection/tests/data/drop_random.json"
    )) {
        let read = Case::read(&case).unwrap();
        let got = read.outputs().unwrap();
        for (output, unit) in [
            ("peak_G_cm", "G"),
            ("max_strain", ""),
            ("max_rotation_deg", "deg"),
        ] {
            rows.push(Row {
                method: "simulated drop, a random body",
                problem: format!("{}: {output} over the horizon", read.id),
                source: Source::derived(caddis_basis::Said::name("scipy DOP853 on the same patches")),
                unit,
                expected: case["expected"]["horizon"][output].as_f64().unwrap(),
                got: got["horizon"][output].as_f64().unwrap(),
                allowed: Allowed::Fraction(2e-5),
            });
        }
    }
    rows
}

fn cube(patches: Vec<Patch>, mass: f64, spring: Spring) -> Packing {
    let body = RigidBody {
        mass,
        centre: Vec3::ZERO,
        inertia: AXES.map(|axis| axis * (mass * 0.01)),
    };
    let contacts = patches
        .into_iter()
        .map(|patch| Contact {
            patch,
            body: 0,
            against: None,
        })
        .collect();
    Packing::new(&[body], vec![spring], contacts).unwrap()
}

fn pad(normal: Vec3) -> Patch {
    Patch {
        point: normal * 0.1,
        direction: normal,
        area: 0.01,
        thickness: 0.05,
        gap: 0.0,
        law: 0,
    }
}

fn peak(packing: &Packing, direction: Vec3, height: f64) -> f64 {
    let fall = Fall {
        direction: direction.unit(),
        height: Length::from_si(height),
        gravity: Gravity::Throughout,
        friction: 0.0,
        landing: Landing::StopsDead,
    };
    simulate(packing, &fall, &Precision::DESIGN, &Watch::default())
        .unwrap()
        .courses[0]
        .first_pulse
        .centre
        .value
}

fn equal_pads() -> Vec<Row> {
    let (mass, height, modulus) = (4.0, 0.6, 3e5);
    let pads = AXES.into_iter().flat_map(|n| [pad(n), pad(-n)]).collect();
    let packing = cube(pads, mass, Spring::new(SpringForm::Linear { modulus }).unwrap());
    let stiffness = modulus * 0.01 / 0.05;
    let expected = 1.0 + (1.0 + 2.0 * height * stiffness / (mass * STANDARD_GRAVITY)).sqrt();
    [
        ("flat", Vec3::new(0.0, 0.0, -1.0)),
        ("edge", Vec3::new(0.0, 1.0, -1.0)),
        ("corner", Vec3::new(-1.0, 1.0, -1.0)),
        ("askew", Vec3::new(0.3, -0.5, 0.8)),
    ]
    .into_iter()
    .map(|(name, direction)| Row {
        method: "simulated drop, design precision",
        problem: format!("equal linear pads on six sides, {name}"),
        source: Source::derived(caddis_basis::Said::name(
            "G = 1 + sqrt(1 + 2 h k/(m g)) in every direction",
        )),
        unit: "G",
        expected,
        got: peak(&packing, direction, height),
        allowed: Allowed::Fraction(2e-3),
    })
    .collect()
}

/// How far each pad is pressed when the body moves d at an angle: d n, that is d/sqrt 2 on an edge and d/sqrt 3 on a corner.
fn pads_at_an_angle() -> Vec<Row> {
    let mut rows = Vec::new();
    for (name, towards, expected) in [
        ("edge", Vec3::new(1.0, 0.0, 1.0), 0.5_f64.sqrt()),
        ("corner", Vec3::new(1.0, 1.0, 1.0), (1.0_f64 / 3.0).sqrt()),
    ] {
        let spring = Spring::new(SpringForm::Linear { modulus: 3e5 }).unwrap();
        let packing = cube(AXES.into_iter().map(|axis| pad(-axis)).collect(), 4.0, spring);
        let fall = Fall {
            direction: -towards.unit(),
            height: Length::from_si(0.3),
            gravity: Gravity::Throughout,
            friction: 0.0,
            landing: Landing::StopsDead,
        };
        let watch = Watch {
            strains: true,
            ..Watch::default()
        };
        // Stopped short of the way back up: what is pressed most then is pressed by the greatest travel.
        let simulation = simulate(&packing, &fall, &Precision::reference(0.03), &watch).unwrap();
        let travel = simulation.courses[0].horizon.travel_along;
        for ((axis, strain), component) in ["x", "y", "z"]
            .into_iter()
            .zip(&simulation.strains)
            .zip([towards.x, towards.y, towards.z])
        {
            if component == 0.0 {
                continue;
            }
            rows.push(Row {
                method: "simulated drop, deflection of one pad over the travel",
                problem: format!("three equal linear pads, {name}, pad along {axis}"),
                source: Source::derived(caddis_basis::Said::name("d n_i")),
                unit: "",
                expected,
                got: strain * 0.05 / travel,
                // Strains are kept at the steps of the motion only, the greatest travel between them too.
                allowed: Allowed::Fraction(2e-5),
            });
        }
    }
    rows
}

/// Plateau and trapped gas as a generic foam has them, gravity at work in the stroke.
fn flat_on_a_law() -> Vec<Row> {
    let law = Law {
        kind: LawKind::ClosedCellGas {
            s0: 10_000.0,
            p0: 101_325.0,
            r: 0.031,
        },
        range: LawRange {
            static_stress: None,
            greatest_strain: 0.9,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit: false,
        is_measured_dynamic: false,
        source: Source::new("constants of an algebra check, no material", Certainty::Invented),
    };
    let height = Length::mm(610.0);
    [500.0, 1000.0, 2000.0, 4000.0, 6000.0]
        .into_iter()
        .map(|stress| {
            let mass = Mass::from_si(stress * 0.01 / STANDARD_GRAVITY);
            let point = law
                .cushion_point(Pressure::from_si(stress), height, Length::mm(50.0))
                .unwrap();
            let down = Vec3::new(0.0, 0.0, -1.0);
            let packing = cube(vec![pad(down)], mass.si(), Spring::of_law(&law).unwrap());
            Row {
                method: "simulated drop, design precision",
                problem: format!("flat on plateau and gas, {stress} Pa static, 610 mm on 50 mm"),
                source: Source::derived(caddis_basis::Said::name(
                    "the law's own cushion curve by energy balance",
                )),
                unit: "G",
                expected: point.peak.as_g(),
                got: peak(&packing, down, height.si()),
                allowed: Allowed::Fraction(5e-3),
            }
        })
        .collect()
}
