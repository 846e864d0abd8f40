//! R. D. Mindlin, "Dynamics of Package Cushioning", Bell System Technical Journal 24, July-October 1945, pp. 353-461.
//!
//! Read there: d = 2 h/G and its worked number (p. 369-370). The other closed forms are known from memory as his and
//! derived by energy balance; their numbers agree with a fourth-order integration of the motion to five digits.
//! The flat drop of the program solves the same cushions as laws of stress against strain.

use crate::Chapter;
use caddis_basis::{Certainty, Force, Length, Mass, STANDARD_GRAVITY, Source};
use caddis_geometry::Vec3;
use caddis_protection::drop::{
    Contact, Fall as Simulated, Gravity, Landing, Packing, Precision, RigidBody, Spring, Watch, simulate,
};
use caddis_protection::mindlin::{
    Bilinear, Cubic, Fall, HyperbolicTangent, Stop, Tangent, bilinear, cubic, hyperbolic_tangent, linear,
    linear_contact_time, linear_with_gravity, tangent,
};
use caddis_protection::{DropSettings, Law, LawKind, LawRange, Patch, SpringLaw, flat_drop};
use caddis_tests::{Allowed, Row};
use std::f64::consts::{PI, TAU};

const FALL: Fall = Fall {
    mass: Mass::from_si(10.0),
    height: Length::mm(760.0),
};

fn derived() -> Source {
    Source::derived(caddis_basis::Said::name(
        "energy balance; the form from memory as Mindlin 1945",
    ))
}

fn row(method: &'static str, problem: &str, unit: &'static str, expected: f64, got: f64) -> Row {
    let allowed = Allowed::Fraction(3e-5);
    Row {
        method,
        problem: problem.into(),
        source: derived(),
        unit,
        expected,
        got,
        allowed,
    }
}

/// Area and thickness of the pad that the laws below stand for: modulus = k t/A, strain = x/t.
const AREA: f64 = 0.01;
const THICKNESS: f64 = 0.12;

fn law(spring: SpringLaw, gravity_in_fit: bool) -> Law {
    let greatest_strain = match spring {
        SpringLaw::Tangent { bottoming, .. } => bottoming * 0.99,
        _ => 1.0,
    };
    Law {
        kind: LawKind::Spring(spring),
        range: LawRange {
            static_stress: None,
            greatest_strain,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit,
        is_measured_dynamic: false,
        source: derived(),
    }
}

fn pad() -> Patch {
    Patch {
        point: Vec3::new(0.0, 0.0, THICKNESS),
        direction: Vec3::new(0.0, 0.0, -1.0),
        area: AREA,
        thickness: THICKNESS,
        gap: 0.0,
        law: 0,
    }
}

/// The program's own flat drop on a pad with this law.
fn dropped(spring: SpringLaw, gravity_in_fit: bool) -> (f64, f64) {
    let settings = DropSettings {
        mass: FALL.mass,
        height: FALL.height,
    };
    let drop = flat_drop(&[law(spring, gravity_in_fit)], &[pad()], &settings).unwrap();
    (drop.peak.as_g(), drop.deflection.as_mm())
}

/// The simulated contact on a pad with this law, from the start to the force's return to zero, ms.
///
/// The simulation closes a pulse where the force has come down to a thousandth of its peak. What is left is crossed at the
/// speed of the impact (the cushion is elastic), and its depth is the force over the stiffness near zero.
fn contact_time(spring: SpringLaw, gravity: Gravity, stiffness: f64) -> f64 {
    let law = law(spring, gravity == Gravity::Never);
    let mass = FALL.mass.si();
    let body = RigidBody {
        mass,
        centre: Vec3::ZERO,
        inertia: [
            Vec3::new(0.1, 0.0, 0.0),
            Vec3::new(0.0, 0.1, 0.0),
            Vec3::new(0.0, 0.0, 0.1),
        ],
    };
    let contact = Contact {
        patch: pad(),
        body: 0,
        against: None,
    };
    let packing = Packing::new(&[body], vec![Spring::of_law(&law).unwrap()], vec![contact]).unwrap();
    let fall = Simulated {
        direction: Vec3::new(0.0, 0.0, -1.0),
        height: FALL.height,
        gravity,
        friction: 0.0,
        landing: Landing::StopsDead,
    };
    let course = simulate(&packing, &fall, &Precision::reference(0.1), &Watch::default())
        .unwrap()
        .courses
        .swap_remove(0);
    let peak = course.first_pulse.centre.value * STANDARD_GRAVITY * mass;
    let speed = (2.0 * STANDARD_GRAVITY * FALL.height.si()).sqrt();
    (course.end.unwrap().time + peak / 1000.0 / stiffness / speed) * 1e3
}

fn contact_rows() -> Vec<Row> {
    let modulus = |stiffness: f64| stiffness * THICKNESS / AREA;
    let soft = 20_000.0;
    [
        (
            "linear, k 40 000 N/m, gravity in the stroke",
            50.95,
            contact_time(
                SpringLaw::Linear {
                    modulus: modulus(40_000.0),
                },
                Gravity::Throughout,
                40_000.0,
            ),
        ),
        (
            "cubic, k 20 000 N/m, r 2e7 N/m³",
            39.43,
            contact_time(
                SpringLaw::Cubic {
                    modulus: modulus(soft),
                    hardening: 2e7 * THICKNESS.powi(3) / AREA,
                },
                Gravity::Never,
                soft,
            ),
        ),
        (
            "tangent, k 20 000 N/m, bottoms at 60 mm",
            37.05,
            contact_time(
                SpringLaw::Tangent {
                    modulus: modulus(soft),
                    bottoming: 0.06 / THICKNESS,
                },
                Gravity::Never,
                soft,
            ),
        ),
        (
            "hyperbolic tangent, k 20 000 N/m, ceiling 3000 N",
            73.19,
            contact_time(
                SpringLaw::HyperbolicTangent {
                    modulus: modulus(soft),
                    ceiling: 3000.0 / AREA,
                },
                Gravity::Never,
                soft,
            ),
        ),
        (
            "bilinear, k 20 000 N/m, knee 40 mm, then 200 000 N/m",
            41.45,
            contact_time(
                SpringLaw::Bilinear {
                    modulus: modulus(soft),
                    knee: 0.04 / THICKNESS,
                    second_modulus: modulus(200_000.0),
                },
                Gravity::Never,
                soft,
            ),
        ),
    ]
    .into_iter()
    .map(|(problem, expected, got)| Row {
        method: "simulated drop, contact time",
        problem: problem.to_owned(),
        source: Source::derived(caddis_basis::Said::name("fourth-order integration of the motion")),
        unit: "ms",
        expected,
        got,
        // The reference's integration sees the end at its next step of 0.01 ms: each of its times is late by up to that.
        allowed: Allowed::Within(0.011),
    })
    .collect()
}

/// With gravity in the stroke the time is in closed form too: x = (g/w²)(1 - cos wt) + (v/w) sin wt is zero again at
/// (2/w)(pi - atan(v w/g)).
fn contact_with_gravity() -> Row {
    let stiffness = 40_000.0_f64;
    let rate = (stiffness / FALL.mass.si()).sqrt();
    let speed = (2.0 * STANDARD_GRAVITY * FALL.height.si()).sqrt();
    let expected = 2e3 / rate * (PI - (speed * rate / STANDARD_GRAVITY).atan());
    let spring = SpringLaw::Linear {
        modulus: stiffness * THICKNESS / AREA,
    };
    Row {
        source: Source::derived(caddis_basis::Said::name("(2/w)(pi - atan(v w/g)), w² = k/m")),
        ..row(
            "simulated drop, contact time",
            "the first of these, in closed form",
            "ms",
            expected,
            contact_time(spring, Gravity::Throughout, stiffness),
        )
    }
}

pub(crate) fn chapter() -> Chapter {
    let stiffness = 20_000.0;
    let mm = Length::mm;
    let closed = |stop: Stop| (stop.peak.as_g(), stop.deflection.as_mm());
    let tan = Tangent {
        stiffness,
        bottoming: mm(60.0),
    };
    let tanh = HyperbolicTangent {
        stiffness,
        ceiling: Force::from_si(3000.0),
    };
    let knee = Bilinear {
        stiffness,
        knee: mm(40.0),
        second_stiffness: 200_000.0,
    };
    let modulus = |stiffness: f64| stiffness * THICKNESS / AREA;
    let cases = [
        (
            "linear, k 40 000 N/m",
            24.8995,
            61.045,
            closed(linear(&FALL, 40_000.0).unwrap()),
            dropped(
                SpringLaw::Linear {
                    modulus: modulus(40_000.0),
                },
                true,
            ),
        ),
        (
            "linear, k 40 000 N/m, gravity in the stroke",
            25.9196,
            63.546,
            closed(linear_with_gravity(&FALL, 40_000.0).unwrap()),
            dropped(
                SpringLaw::Linear {
                    modulus: modulus(40_000.0),
                },
                false,
            ),
        ),
        (
            "cubic, k 20 000 N/m, r 2e7 N/m³",
            44.463,
            54.665,
            closed(
                cubic(
                    &FALL,
                    &Cubic {
                        stiffness,
                        hardening: 2e7,
                    },
                )
                .unwrap(),
            ),
            dropped(
                SpringLaw::Cubic {
                    modulus: modulus(stiffness),
                    hardening: 2e7 * THICKNESS.powi(3) / AREA,
                },
                true,
            ),
        ),
        (
            "tangent, k 20 000 N/m, bottoms at 60 mm",
            99.877,
            57.027,
            closed(tangent(&FALL, &tan).unwrap()),
            dropped(
                SpringLaw::Tangent {
                    modulus: modulus(stiffness),
                    bottoming: 0.06 / THICKNESS,
                },
                true,
            ),
        ),
        (
            "hyperbolic tangent, k 20 000 N/m, ceiling 3000 N",
            16.2444,
            88.733,
            closed(hyperbolic_tangent(&FALL, &tanh).unwrap()),
            dropped(
                SpringLaw::HyperbolicTangent {
                    modulus: modulus(stiffness),
                    ceiling: 3000.0 / AREA,
                },
                true,
            ),
        ),
        (
            "bilinear, k 20 000 N/m, knee 40 mm, then 200 000 N/m",
            50.010,
            60.522,
            closed(bilinear(&FALL, &knee).unwrap()),
            dropped(
                SpringLaw::Bilinear {
                    modulus: modulus(stiffness),
                    knee: 0.04 / THICKNESS,
                    second_modulus: modulus(200_000.0),
                },
                true,
            ),
        ),
    ];
    let mut rows = Vec::new();
    for (problem, peak, deflection, closed, dropped) in cases {
        rows.push(row("closed form, peak", problem, "G", peak, closed.0));
        rows.push(row(
            "closed form, deflection",
            problem,
            "mm",
            deflection,
            closed.1,
        ));
        rows.push(row("flat drop on the law, peak", problem, "G", peak, dropped.0));
        rows.push(row(
            "flat drop on the law, deflection",
            problem,
            "mm",
            deflection,
            dropped.1,
        ));
    }
    let time = linear_contact_time(&FALL, 40_000.0).unwrap().si() * 1000.0;
    rows.push(row(
        "closed form, contact time",
        "linear, k 40 000 N/m",
        "ms",
        49.673,
        time,
    ));
    rows.extend(contact_rows());
    rows.push(contact_with_gravity());
    // A natural frequency of 10 Hz: k = m (2 pi f)².
    let sprung = linear(&FALL, FALL.mass.si() * (TAU * 10.0).powi(2)).unwrap();
    for (method, unit, expected, got) in [
        ("closed form, peak", "G", 24.737, sprung.peak.as_g()),
        ("closed form, deflection", "mm", 61.447, sprung.deflection.as_mm()),
    ] {
        rows.push(Row {
            source: Source::derived(caddis_basis::Said::name(
                "2 pi f sqrt(2 g h) and sqrt(2 g h)/(2 pi f), read as code in a public vibration toolbox",
            )),
            ..row(
                method,
                "accidental drop of equipment sprung at 10 Hz",
                unit,
                expected,
                got,
            )
        });
    }
    // The stiffness that gives 20 G from 60 in, whatever the mass: k = G² W / 2 h.
    let height = Length::inches(60.0);
    let stiffness = 400.0 * FALL.mass.si() * STANDARD_GRAVITY / (2.0 * height.si());
    let worked = linear(
        &Fall {
            mass: FALL.mass,
            height,
        },
        stiffness,
    )
    .unwrap();
    rows.push(Row {
        method: "closed form, deflection",
        problem: "60 in drop held to 20 G by a linear cushion".into(),
        source: Source::new(
            "R. D. Mindlin, Dynamics of Package Cushioning, Bell System Technical Journal 24, 1945, p. 369-370",
            Certainty::Published,
        ),
        unit: "in",
        expected: 6.0,
        got: worked.deflection.as_inches(),
        allowed: Allowed::Within(1e-9),
    });
    Chapter {
        title: "Dropped on one cushion",
        about: "10 kg from 760 mm on one cushion, gravity's work in the stroke left out except where stated: Mindlin's \
                closed forms, and the program's flat drop on a pad with the same force as a table of stress against strain.",
        rows,
    }
}

#[test]
fn mindlin_closed_forms() {
    chapter().assert();
}
