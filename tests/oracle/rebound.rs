//! Falls with closed forms: the speed at the impact, what an elastic cushion gives back, and what friction takes.
//!
//! Source: energy and Newton's second law; every number is derived. The half-sine pulse of an elastic cushion and the factor
//! pi between its displacements with and without rebound: seen in words in C. Lalanne, Mechanical Vibration and Shock,
//! volume 2, table 5.4.

use crate::Chapter;
use caddis_basis::{Length, STANDARD_GRAVITY, Source, Speed};
use caddis_geometry::Vec3;
use caddis_protection::drop::{
    Contact, Course, Fall, Gravity, Landing, Packing, Precision, RigidBody, Spring, SpringForm, Watch,
    simulate,
};
use caddis_protection::{Patch, equivalent_height, impact_speed, velocity_change};
use caddis_tests::{Allowed, Row};
use std::f64::consts::PI;

fn row(
    method: &'static str,
    problem: String,
    unit: &'static str,
    (expected, got): (f64, f64),
    allowed: Allowed,
) -> Row {
    Row {
        method,
        problem,
        source: Source::derived(caddis_basis::Said::name("energy and Newton's second law")),
        unit,
        expected,
        got,
        allowed,
    }
}

/// Speeds at the impact to four decimals.
fn speeds() -> Vec<Row> {
    let inches = [
        (12.0, 2.4450),
        (18.0, 2.9945),
        (24.0, 3.4578),
        (30.0, 3.8659),
        (36.0, 4.2349),
        (42.0, 4.5742),
        (48.0, 4.8900),
    ]
    .map(|(height, expected)| (format!("{height} in"), Length::inches(height), expected));
    let metres = [
        (0.46, 3.0037),
        (0.61, 3.4589),
        (0.76, 3.8608),
        (0.91, 4.2247),
        (1.22, 4.8916),
    ]
    .map(|(height, expected)| (format!("{height} m"), Length::from_si(height), expected));
    inches
        .into_iter()
        .chain(metres)
        .map(|(name, height, expected)| {
            let got = impact_speed(height).si();
            row(
                "impact speed",
                format!("fall from {name}"),
                "m/s",
                (expected, got),
                Allowed::Within(6e-5),
            )
        })
        .collect()
}

/// The same speeds as the inch books print them.
fn speeds_in_inches() -> Vec<Row> {
    [
        (12.0, 96.26),
        (24.0, 136.13),
        (30.0, 152.20),
        (36.0, 166.73),
        (48.0, 192.52),
    ]
    .into_iter()
    .map(|(height, expected)| {
        let got = impact_speed(Length::inches(height)).si() / 0.0254;
        row(
            "impact speed",
            format!("fall from {height} in"),
            "in/s",
            (expected, got),
            Allowed::Within(6e-3),
        )
    })
    .collect()
}

/// What a fall changes the speed by, and the fall that stands for a change.
fn changes() -> Vec<Row> {
    let mut rows = Vec::new();
    for (restitution, expected) in [(0.0, 3.865_92), (0.3, 5.025_70), (0.5, 5.798_88), (1.0, 7.731_84)] {
        let got = velocity_change(Length::from_si(0.762), restitution).si();
        rows.push(row(
            "velocity change of a fall",
            format!("0.762 m, (1 + e) sqrt(2 g h), e = {restitution}"),
            "m/s",
            (expected, got),
            Allowed::Within(6e-6),
        ));
    }
    for (restitution, expected) in [(0.0, 0.815_77), (0.5, 0.362_57), (1.0, 0.203_94)] {
        let got = equivalent_height(Speed::from_si(4.0), restitution).si();
        rows.push(row(
            "equivalent fall of a velocity change",
            format!("4 m/s, dV²/(2 g (1 + e)²), e = {restitution}"),
            "m",
            (expected, got),
            Allowed::Within(6e-6),
        ));
    }
    // The speeds were read, the falls follow from them.
    for (level, speed, expected) in [("I", 1.75, 156.1), ("II", 1.22, 75.9), ("III", 0.91, 42.2)] {
        let got = equivalent_height(Speed::from_si(speed), 0.0).as_mm();
        rows.push(Row {
            source: Source::derived(caddis_basis::Said::name(
                "v²/2g, no rebound; the speeds of ASTM D4169-09 10.3.2.2 read in a copy of the text",
            )),
            ..row(
                "equivalent fall of a velocity change",
                format!("side impact at {speed} m/s, assurance level {level}"),
                "mm",
                (expected, got),
                Allowed::Within(0.06),
            )
        });
    }
    rows
}

/// One body falling along -z without gravity in the stroke on pads of one stiffness that face these ways.
fn fall(mass: f64, stiffness: f64, pads: &[Vec3], height: f64, friction: f64) -> Course {
    let (area, thickness) = (0.01, 0.05);
    let body = RigidBody {
        mass,
        centre: Vec3::ZERO,
        inertia: [
            Vec3::new(0.01 * mass, 0.0, 0.0),
            Vec3::new(0.0, 0.01 * mass, 0.0),
            Vec3::new(0.0, 0.0, 0.01 * mass),
        ],
    };
    let spring = Spring::new(SpringForm::Linear {
        modulus: stiffness * thickness / area,
    })
    .unwrap();
    let contacts = pads
        .iter()
        .map(|pad| Contact {
            patch: Patch {
                point: Vec3::ZERO,
                direction: *pad,
                area,
                thickness,
                gap: 0.0,
                law: 0,
            },
            body: 0,
            against: None,
        })
        .collect();
    let packing = Packing::new(&[body], vec![spring], contacts).unwrap();
    let fall = Fall {
        direction: Vec3::new(0.0, 0.0, -1.0),
        height: Length::from_si(height),
        gravity: Gravity::Never,
        friction,
        landing: Landing::StopsDead,
    };
    simulate(&packing, &fall, &Precision::reference(0.06), &Watch::default())
        .unwrap()
        .courses
        .swap_remove(0)
}

fn elastic() -> Vec<Row> {
    let down = Vec3::new(0.0, 0.0, -1.0);
    let whole = fall(10.0, 4e4, &[down], 0.762, 0.0);
    // 50 G in 11 ms: the stiffness gives the time, the height the peak.
    let rate = PI / 0.011;
    let speed = 50.0 * STANDARD_GRAVITY / rate;
    let pulse = fall(
        1.0,
        rate * rate,
        &[down],
        speed * speed / (2.0 * STANDARD_GRAVITY),
        0.0,
    );
    vec![
        row(
            "simulated drop, reference precision",
            "velocity change of an elastic fall from 0.762 m, (1 + e) sqrt(2 g h) with e = 1".to_owned(),
            "m/s",
            (7.731_84, whole.end.unwrap().velocity_change.length()),
            Allowed::Fraction(2e-5),
        ),
        row(
            "simulated drop, reference precision",
            "peak of the half-sine pulse that lasts 11 ms".to_owned(),
            "G",
            (50.0, pulse.first_pulse.centre.value),
            Allowed::Fraction(2e-5),
        ),
        row(
            "simulated drop, reference precision",
            "its displacement with elastic rebound, A T²/pi²".to_owned(),
            "mm",
            (6.0114, 1e3 * pulse.first_pulse.travel),
            Allowed::Fraction(2e-5),
        ),
    ]
}

/// Two pads at 45 degrees push back (1 + mu) times as hard on the way in and (1 - mu) times on the way out.
fn wedge() -> Vec<Row> {
    let slant = 0.5_f64.sqrt();
    let pads = [Vec3::new(-slant, 0.0, -slant), Vec3::new(slant, 0.0, -slant)];
    let (mass, stiffness, height) = (2.0, 4e4, 0.5);
    let speed = (2.0 * STANDARD_GRAVITY * height).sqrt();
    [0.2, 0.5]
        .into_iter()
        .flat_map(|friction| {
            let course = fall(mass, stiffness, &pads, height, friction);
            let peak = speed * (stiffness * (1.0 + friction) / mass).sqrt() / STANDARD_GRAVITY;
            let back = 1.0 + ((1.0 - friction) / (1.0 + friction)).sqrt();
            [
                row(
                    "simulated drop with friction",
                    format!("peak between two pads at 45 degrees, mu = {friction}: v0 sqrt(k (1 + mu)/m)"),
                    "G",
                    (peak, course.first_pulse.centre.value),
                    Allowed::Fraction(8e-3),
                ),
                row(
                    "simulated drop with friction",
                    format!("its velocity change over v0: 1 + sqrt((1 - mu)/(1 + mu)), mu = {friction}"),
                    "",
                    (back, course.end.unwrap().velocity_change.length() / speed),
                    Allowed::Fraction(5e-3),
                ),
            ]
        })
        .collect()
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = speeds();
    rows.extend(speeds_in_inches());
    rows.extend(changes());
    rows.extend(elastic());
    rows.extend(wedge());
    Chapter {
        title: "Rebound and friction",
        about: "Closed forms of a fall: the speed it ends with, the change of speed it makes, what an elastic cushion gives back, and what friction between an item \
                and the foam it presses does. Friction is smooth where the sliding comes to rest, which costs up to 0.8 % of a peak.",
        rows,
    }
}

#[test]
fn falls_come_out_as_their_closed_forms() {
    chapter().assert();
}
