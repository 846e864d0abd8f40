//! R. D. Mindlin, "Dynamics of Package Cushioning", Bell System Technical Journal 24, July-October 1945, pp. 353-461.
//!
//! Read there: d = 2 h/G and its worked number (p. 369-370). The other closed forms are known from memory as his and
//! derived by energy balance; their numbers agree with a fourth-order integration of the motion to five digits.
//! The flat drop of the program solves the same cushions as laws of stress against strain.

use crate::Chapter;
use caddis_basis::{Certainty, Force, Length, Mass, STANDARD_GRAVITY, Source};
use caddis_geometry::Vec3;
use caddis_protection::mindlin::{
    Bilinear, Cubic, Fall, HyperbolicTangent, Stop, Tangent, bilinear, cubic, hyperbolic_tangent, linear,
    linear_contact_time, linear_with_gravity, tangent,
};
use caddis_protection::{DropSettings, Law, LawKind, LawRange, Patch, SpringLaw, flat_drop};
use caddis_tests::{Allowed, Row};

const FALL: Fall = Fall {
    mass: Mass::from_si(10.0),
    height: Length::mm(760.0),
};

fn derived() -> Source {
    Source::derived("energy balance; the form from memory as Mindlin 1945")
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

/// The program's own flat drop on a pad with this law.
fn dropped(spring: SpringLaw, gravity_in_fit: bool) -> (f64, f64) {
    let greatest_strain = match spring {
        SpringLaw::Tangent { bottoming, .. } => bottoming * 0.99,
        _ => 1.0,
    };
    let law = Law {
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
    };
    let pad = Patch {
        point: Vec3::new(0.0, 0.0, THICKNESS),
        direction: Vec3::new(0.0, 0.0, -1.0),
        area: AREA,
        thickness: THICKNESS,
        gap: 0.0,
        law: 0,
    };
    let settings = DropSettings {
        mass: FALL.mass,
        height: FALL.height,
    };
    let drop = flat_drop(&[law], &[pad], &settings).unwrap();
    (drop.peak.as_g(), drop.deflection.as_mm())
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
