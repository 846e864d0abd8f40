//! Properties of the simulated drop that hold whatever the numbers.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{Certainty, Length, Mass, STANDARD_GRAVITY, Source};
use caddis_geometry::Vec3;
use caddis_protection::drop::{
    Contact, Fall, Gravity, Landing, MapSettings, Packing, Precision, RigidBody, Simulation, Spring,
    SpringForm, Watch, fall_directions, fall_map, merge_contacts, simulate,
};
use caddis_protection::{DropSettings, Law, LawKind, LawRange, PackedBody, Patch, flat_drop};
use proptest::prelude::*;

const SIZE: Vec3 = Vec3::new(0.30, 0.20, 0.14);

fn box_tensor(mass: f64, size: Vec3) -> [Vec3; 3] {
    let s = Vec3::new(size.x * size.x, size.y * size.y, size.z * size.z);
    [
        Vec3::new(mass / 12.0 * (s.y + s.z), 0.0, 0.0),
        Vec3::new(0.0, mass / 12.0 * (s.x + s.z), 0.0),
        Vec3::new(0.0, 0.0, mass / 12.0 * (s.x + s.y)),
    ]
}

/// Patches on all six faces of a box about the origin, `count` by `count` a face, covering `share` of it.
fn faces(size: Vec3, count: usize, share: f64, thickness: f64) -> Vec<Patch> {
    let mut out = Vec::new();
    let axes = [
        Vec3::new(1.0, 0.0, 0.0),
        Vec3::new(0.0, 1.0, 0.0),
        Vec3::new(0.0, 0.0, 1.0),
    ];
    let lengths = [size.x, size.y, size.z];
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for sign in [-1.0, 1.0] {
            for i in 0..count {
                for j in 0..count {
                    let at =
                        |k: usize, n: usize| (n as f64 + 0.5) / count as f64 * lengths[k] - lengths[k] / 2.0;
                    out.push(Patch {
                        point: axes[axis] * (sign * lengths[axis] / 2.0)
                            + axes[u] * at(u, i)
                            + axes[v] * at(v, j),
                        direction: axes[axis] * sign,
                        area: share * lengths[u] * lengths[v] / (count * count) as f64,
                        thickness,
                        gap: 0.0,
                        law: 0,
                    });
                }
            }
        }
    }
    out
}

fn packing(mass: f64, centre: Vec3, tensor: [Vec3; 3], patches: &[Patch], spring: Spring) -> Packing {
    let contacts = patches
        .iter()
        .map(|patch| Contact {
            patch: *patch,
            body: 0,
            against: None,
        })
        .collect();
    let body = RigidBody {
        mass,
        centre,
        inertia: tensor,
    };
    Packing::new(&[body], vec![spring], contacts).unwrap()
}

fn soft() -> Spring {
    Spring::new(SpringForm::PlateauGas {
        s0: 3e4,
        e0: 0.02,
        p0: 101_325.0,
        r: 0.03,
    })
    .unwrap()
}

fn fall(direction: Vec3, height: f64) -> Fall {
    Fall {
        direction: direction.unit(),
        height: Length::from_si(height),
        gravity: Gravity::Throughout,
        friction: 0.0,
        landing: Landing::StopsDead,
    }
}

fn run(packing: &Packing, fall: &Fall, precision: &Precision) -> Simulation {
    simulate(packing, fall, precision, &Watch::default()).unwrap()
}

fn law(kind: LawKind, gravity_in_fit: bool) -> Law {
    let mut law = Law {
        kind,
        range: LawRange {
            static_stress: None,
            greatest_strain: 0.9,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit,
        is_measured_dynamic: false,
        source: Source::new("property test", Certainty::Invented),
    };
    law.range.greatest_strain = law.range.greatest_strain.min(0.98 * law.last_strain());
    law.validated().unwrap()
}

fn turned(v: Vec3, axis: Vec3, angle: f64) -> Vec3 {
    let k = axis.unit();
    v * angle.cos() + k.cross(v) * angle.sin() + k * (k.dot(v) * (1.0 - angle.cos()))
}

#[test]
fn a_flat_drop_gives_back_the_law_it_came_from() {
    let laws = [
        law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, true),
        law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, false),
        law(
            LawKind::ClosedCellGas {
                s0: 25e3,
                p0: 101_325.0,
                r: 0.03,
            },
            false,
        ),
        law(
            LawKind::Table(vec![
                (0.0, 2e3),
                (0.05, 2.2e4),
                (0.25, 5.7e4),
                (0.5, 1.9e5),
                (0.8, 9e5),
            ]),
            false,
        ),
    ];
    let mut tried = 0;
    for law in laws {
        for (mass, height, share, gap) in [
            (5.0, 0.76, 1.0, 0.0),
            (5.0, 0.46, 0.4, 0.0),
            (12.0, 0.61, 0.5, 0.003),
            (2.0, 1.2, 0.2, 0.001),
        ] {
            let mut patches = faces(SIZE, 6, share, 0.05);
            for patch in &mut patches {
                patch.gap = gap;
            }
            let body = PackedBody {
                mass,
                centre: Vec3::ZERO,
                inertia: box_tensor(mass, SIZE),
                laws: vec![law.clone()],
                patches,
            };
            let down = Vec3::new(0.0, 0.0, -1.0);
            let settings = DropSettings {
                mass: Mass::from_si(mass),
                height: Length::from_si(height),
            };
            let Ok(flat) = flat_drop(&body.laws, &body.patches_towards(down), &settings) else {
                continue;
            };
            if flat.bottoming_margin < 0.0 {
                continue;
            }
            tried += 1;
            let fall = Fall {
                gravity: if law.gravity_in_fit {
                    Gravity::UntilContact
                } else {
                    Gravity::Throughout
                },
                ..fall(down, height)
            };
            let course = &run(&Packing::of(&body).unwrap(), &fall, &Precision::DESIGN).courses[0];
            let (peak, strain) = (course.first_pulse.centre.value, course.first_pulse.strain.value);
            assert!(
                (peak / flat.peak.as_g() - 1.0).abs() < 5e-3,
                "{:?} {mass} kg {height} m: {peak} against {}",
                law.kind,
                flat.peak
            );
            assert!(
                (strain / flat.strain - 1.0).abs() < 1e-2,
                "{strain} against {}",
                flat.strain
            );
            assert!(!course.bottomed);
        }
    }
    assert!(tried >= 10, "only {tried} drops stayed inside their law");
}

#[test]
fn equal_pads_are_equally_stiff_in_flat_edge_and_corner() {
    let spring = Spring::new(SpringForm::Linear { modulus: 3e5 }).unwrap();
    let (mass, height, area, thickness) = (5.0, 0.76, 0.01, 0.05);
    let mut patches = faces(SIZE, 1, 1.0, thickness);
    for patch in &mut patches {
        patch.area = area;
    }
    let packing = packing(mass, Vec3::ZERO, box_tensor(mass, SIZE), &patches, spring);
    // G = 1 + sqrt(1 + 2 h k/(m g)), derived.
    let stiffness = 3e5 * area / thickness;
    let expected = 1.0 + (1.0 + 2.0 * height * stiffness / (mass * STANDARD_GRAVITY)).sqrt();
    for direction in [
        Vec3::new(0.0, 0.0, -1.0),
        Vec3::new(1.0, 0.0, -1.0),
        Vec3::new(1.0, 1.0, 1.0),
        Vec3::new(0.3, -0.8, 0.5),
    ] {
        let found = run(&packing, &fall(direction, height), &Precision::DESIGN).courses[0]
            .first_pulse
            .centre
            .value;
        assert!(
            (found / expected - 1.0).abs() < 1e-3,
            "{direction:?}: {found} against {expected}"
        );
    }
}

#[test]
fn energy_is_kept_by_elastic_foam_and_spent_by_hysteresis() {
    let centre = Vec3::new(0.02, -0.01, 0.015);
    let watch = Watch {
        energy: true,
        ..Watch::default()
    };
    let falls = fall(Vec3::new(0.4, -0.3, -0.8), 0.76);
    let elastic = packing(
        5.0,
        centre,
        box_tensor(5.0, SIZE),
        &faces(SIZE, 6, 0.4, 0.05),
        soft(),
    );
    let lossy = elastic
        .with_springs(vec![
            soft()
                .with_hysteresis(caddis_protection::drop::Hysteresis { eta: 0.4, rate: 1.0 })
                .unwrap(),
        ])
        .unwrap();
    let precision = Precision::reference(0.03);
    let given = 0.5 * 5.0 * 2.0 * STANDARD_GRAVITY * 0.76;
    let kept = simulate(&elastic, &falls, &precision, &watch).unwrap();
    assert!(kept.energy_error < 1e-5 * given, "{}", kept.energy_error);
    let spent = simulate(&lossy, &falls, &precision, &watch).unwrap();
    assert!(spent.energy_end < 0.6 * given, "{} of {given}", spent.energy_end);
}

#[test]
fn two_items_leaning_on_each_other_keep_their_energy() {
    // The upper of two boxes rests on foam on the lower one; nothing else is in the way of the upper.
    let tensor = box_tensor(2.0, Vec3::new(0.1, 0.1, 0.1));
    let bodies = [0.0, 0.15].map(|z| RigidBody {
        mass: 2.0,
        centre: Vec3::new(0.0, 0.0, z),
        inertia: tensor,
    });
    let pad = |z: f64, area: f64| Patch {
        point: Vec3::new(0.01, 0.0, z),
        direction: Vec3::new(0.0, 0.0, -1.0),
        area,
        thickness: 0.05,
        gap: 0.0,
        law: 0,
    };
    let contacts = vec![
        Contact {
            patch: pad(-0.05, 0.01),
            body: 0,
            against: None,
        },
        Contact {
            patch: pad(0.10, 0.01),
            body: 1,
            against: Some(0),
        },
    ];
    let packing = Packing::new(&bodies, vec![soft()], contacts).unwrap();
    let watch = Watch {
        energy: true,
        ..Watch::default()
    };
    let found = simulate(
        &packing,
        &fall(Vec3::new(0.0, 0.0, -1.0), 0.5),
        &Precision::reference(0.02),
        &watch,
    )
    .unwrap();
    let given = 2.0 * 0.5 * 2.0 * 2.0 * STANDARD_GRAVITY * 0.5;
    assert!(
        found.energy_error < 1e-5 * given,
        "{} of {given}",
        found.energy_error
    );
    // The lower one carries both: its foam is strained more than that of one alone.
    let alone = Packing::new(&bodies[..1], vec![soft()], packing.contacts()[..1].to_vec()).unwrap();
    let one = run(&alone, &fall(Vec3::new(0.0, 0.0, -1.0), 0.5), &Precision::DESIGN);
    assert!(found.courses[0].horizon.strain.value > 1.1 * one.courses[0].horizon.strain.value);
}

#[test]
fn a_shell_that_bounces_hits_harder_if_heavy_and_the_same_if_it_cannot_bounce() {
    let packing = packing(
        4.0,
        Vec3::ZERO,
        box_tensor(4.0, SIZE),
        &faces(SIZE, 6, 0.3, 0.05),
        soft(),
    );
    let down = Vec3::new(0.0, 0.0, -1.0);
    let peak = |landing| {
        let fall = Fall {
            friction: 0.0,
            landing,
            ..fall(down, 0.5)
        };
        run(&packing, &fall, &Precision::DESIGN).courses[0]
            .first_pulse
            .centre
            .value
    };
    let plain = peak(Landing::StopsDead);
    let bounce = |mass, restitution| {
        peak(Landing::Bounces {
            mass: Mass::from_si(mass),
            restitution,
        })
    };
    assert!((bounce(6.0, 0.0) / plain - 1.0).abs() < 1e-3);
    // An endless mass: the item meets a shell that comes up at e v0, so the height acts as (1 + e)^2 times itself.
    let closing = peak_of_height(&packing, 0.5 * 1.3 * 1.3);
    let heavy = bounce(1e6, 0.3);
    assert!((heavy / closing - 1.0).abs() < 0.03, "{heavy} against {closing}");
    assert!(bounce(2.0, 0.3) < heavy, "a light shell gives way");
}

fn peak_of_height(packing: &Packing, height: f64) -> f64 {
    run(
        packing,
        &fall(Vec3::new(0.0, 0.0, -1.0), height),
        &Precision::DESIGN,
    )
    .courses[0]
        .first_pulse
        .centre
        .value
}

#[test]
fn an_end_that_lands_last_lands_harder() {
    let packing = packing(
        4.0,
        Vec3::ZERO,
        box_tensor(4.0, SIZE),
        &faces(SIZE, 6, 0.3, 0.05),
        soft(),
    );
    let down = Vec3::new(0.0, 0.0, -1.0);
    let speed = (2.0 * STANDARD_GRAVITY * 0.5_f64).sqrt();
    // The item sits at the far end of a case one metre long whose other end landed first: 1.5 v0 at its end.
    let fall = Fall {
        friction: 0.0,
        landing: Landing::EndFirst {
            pivot: Vec3::new(-0.85, 0.0, -0.1),
            spin: Vec3::new(0.0, 1.5 * speed, 0.0),
        },
        ..fall(down, 0.5)
    };
    let course = &run(&packing, &fall, &Precision::DESIGN).courses[0];
    assert!(
        course.first_pulse.centre.value > peak_of_height(&packing, 0.5),
        "{}",
        course.first_pulse.centre.value
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Turning items, foam and fall together changes no magnitude.
    #[test]
    fn turning_the_whole_scene_changes_nothing(
        ax in -1.0..1.0_f64, ay in -1.0..1.0_f64, az in 0.1..1.0_f64, angle in 0.1..3.0_f64,
        dx in -1.0..1.0_f64, dy in -1.0..1.0_f64, dz in -1.0..-0.2_f64,
    ) {
        let axis = Vec3::new(ax, ay, az);
        let direction = Vec3::new(dx, dy, dz).unit();
        let centre = Vec3::new(0.02, -0.01, 0.015);
        let patches = faces(SIZE, 4, 0.4, 0.05);
        let tensor = box_tensor(5.0, SIZE);
        let before = packing(5.0, centre, tensor, &patches, soft());
        let turn = |v: Vec3| turned(v, axis, angle);
        let patches: Vec<Patch> = patches
            .iter()
            .map(|p| Patch { point: turn(p.point), direction: turn(p.direction).unit(), ..*p })
            .collect();
        // R I R^T: turn the columns of I R^T, whose rows are the turned rows of I.
        let rows = tensor.map(turn);
        let column = |pick: fn(Vec3) -> f64| turn(Vec3::new(pick(rows[0]), pick(rows[1]), pick(rows[2])));
        let (a, b, c) = (column(|v| v.x), column(|v| v.y), column(|v| v.z));
        let turned_tensor = [Vec3::new(a.x, b.x, c.x), Vec3::new(a.y, b.y, c.y), Vec3::new(a.z, b.z, c.z)];
        let after = packing(5.0, turn(centre), turned_tensor, &patches, soft());
        let precision = Precision { horizon: 0.02, ..Precision::reference(0.02) };
        let one = run(&before, &fall(direction, 0.6), &precision);
        let other = run(&after, &fall(turn(direction), 0.6), &precision);
        let (one, other) = (&one.courses[0], &other.courses[0]);
        prop_assert!((one.horizon.centre.value / other.horizon.centre.value - 1.0).abs() < 1e-6);
        prop_assert!((one.horizon.strain.value / other.horizon.strain.value - 1.0).abs() < 1e-6);
        prop_assert!((one.horizon.rotation - other.horizon.rotation).abs() < 1e-7);
    }

    /// Lengths, masses and stresses in other units give the same G: scaled by l, m and m/(l t^2) with g kept, t^2 = l.
    #[test]
    fn other_units_give_the_same_peak(l in 0.5..2.0_f64, m in 0.3..3.0_f64) {
        let form = |k: f64| Spring::new(SpringForm::PlateauGas { s0: 3e4 * k, e0: 0.02, p0: 101_325.0 * k, r: 0.03 }).unwrap();
        let direction = Vec3::new(0.3, -0.4, -0.8);
        let centre = Vec3::new(0.02, -0.01, 0.015);
        let one = packing(5.0, centre, box_tensor(5.0, SIZE), &faces(SIZE, 4, 0.4, 0.05), form(1.0));
        let other = packing(
            5.0 * m, centre * l, box_tensor(5.0 * m, SIZE * l), &faces(SIZE * l, 4, 0.4, 0.05 * l), form(m / (l * l)),
        );
        let a = run(&one, &fall(direction, 0.6), &Precision::reference(0.02));
        let b = run(&other, &fall(direction, 0.6 * l), &Precision::reference(0.02 * l.sqrt()));
        prop_assert!((a.courses[0].horizon.centre.value / b.courses[0].horizon.centre.value - 1.0).abs() < 1e-6);
    }

    /// The steps used for design are fine enough, and finer ones change little.
    #[test]
    fn finer_steps_change_little(dx in -1.0..1.0_f64, dy in -1.0..1.0_f64, dz in -1.0..1.0_f64) {
        let direction = Vec3::new(dx, dy, dz);
        prop_assume!(direction.length() > 0.3);
        let packing = packing(
            5.0, Vec3::new(0.02, -0.01, 0.015), box_tensor(5.0, SIZE), &faces(SIZE, 6, 0.4, 0.05), soft(),
        );
        let fall = fall(direction, 0.7);
        let design = run(&packing, &fall, &Precision::DESIGN);
        let fine = Precision { stops_after_pulse: true, ..Precision::reference(0.06) };
        let fine = run(&packing, &fall, &fine);
        let (a, b) = (design.courses[0].first_pulse.centre.value, fine.courses[0].first_pulse.centre.value);
        prop_assert!((a / b - 1.0).abs() < 3e-3, "{a} against {b}");
        prop_assert!(design.evaluations < 3000, "{}", design.evaluations);
    }
}

/// A body that falls between two pads at 45 degrees to the fall: it presses each by d/sqrt 2 and slides along it as far.
fn between_slanted_pads() -> (Packing, f64, f64) {
    let (mass, stiffness) = (2.0, 4e4);
    let thickness = 0.1;
    let area = 0.01;
    let slant = 0.5_f64.sqrt();
    let patches: Vec<Patch> = [-1.0, 1.0]
        .into_iter()
        .map(|side| Patch {
            point: Vec3::new(0.0, 0.0, 0.0),
            direction: Vec3::new(side * slant, 0.0, -slant),
            area,
            thickness,
            gap: 0.0,
            law: 0,
        })
        .collect();
    let modulus = stiffness * thickness / area;
    let spring = Spring::new(SpringForm::Linear { modulus }).unwrap();
    let packing = packing(mass, Vec3::ZERO, box_tensor(mass, SIZE), &patches, spring);
    (packing, mass, stiffness)
}

#[test]
fn friction_stiffens_slanted_pads_and_takes_the_rebound() {
    // Two pads of stiffness k at 45 degrees: k d (1 + mu) on the way in, k d (1 - mu) on the way out (statics of a wedge,
    // derived); so the peak goes as sqrt(1 + mu) and the rebound as sqrt((1 - mu) / (1 + mu)).
    let (packing, mass, stiffness) = between_slanted_pads();
    let height = 0.5;
    let speed = (2.0 * STANDARD_GRAVITY * height).sqrt();
    for friction in [0.0, 0.2, 0.5] {
        let fall = Fall {
            gravity: Gravity::Never,
            friction,
            ..fall(Vec3::new(0.0, 0.0, -1.0), height)
        };
        let course = &run(&packing, &fall, &Precision::reference(0.06)).courses[0];
        let expected = speed * (stiffness * (1.0 + friction) / mass).sqrt() / STANDARD_GRAVITY;
        let found = course.first_pulse.centre.value;
        // Friction fades just before the turn, where the peak lies.
        assert!(
            (found / expected - 1.0).abs() < 0.008,
            "{friction}: {found} {expected}"
        );
        let change = course.end.unwrap().velocity_change.length() / speed;
        let expected = 1.0 + ((1.0 - friction) / (1.0 + friction)).sqrt();
        assert!(
            (change / expected - 1.0).abs() < 0.005,
            "{friction}: {change} {expected}"
        );
    }
}

#[test]
fn foam_that_is_only_pressed_does_not_rub() {
    let packing = packing(
        4.0,
        Vec3::ZERO,
        box_tensor(4.0, SIZE),
        &faces(SIZE, 4, 0.5, 0.05),
        soft(),
    );
    let plain = fall(Vec3::new(0.0, 0.0, -1.0), 0.6);
    let rubbed = Fall {
        friction: 0.6,
        ..plain
    };
    let peak = |fall: &Fall| {
        run(&packing, fall, &Precision::DESIGN).courses[0]
            .first_pulse
            .centre
            .value
    };
    let ratio = peak(&rubbed) / peak(&plain);
    // The steps fall elsewhere, no more.
    assert!((ratio - 1.0).abs() < 1e-4, "{ratio}");
    let tilted = Fall {
        direction: Vec3::new(1.0, 0.0, -1.0).unit(),
        ..rubbed
    };
    let without = Fall {
        friction: 0.0,
        ..tilted
    };
    assert!(
        peak(&tilted) > 1.02 * peak(&without),
        "{} {}",
        peak(&tilted),
        peak(&without)
    );
}

#[test]
fn nothing_that_makes_no_sense_is_simulated() {
    let good = packing(
        5.0,
        Vec3::ZERO,
        box_tensor(5.0, SIZE),
        &faces(SIZE, 2, 0.4, 0.05),
        soft(),
    );
    let down = fall(Vec3::new(0.0, 0.0, -1.0), 0.5);
    let refuse = |fall: &Fall| simulate(&good, fall, &Precision::DESIGN, &Watch::default()).is_err();
    assert!(refuse(&Fall {
        direction: Vec3::ZERO,
        ..down
    }));
    assert!(refuse(&Fall {
        height: Length::from_si(f64::NAN),
        ..down
    }));
    assert!(refuse(&Fall {
        friction: 0.0,
        landing: Landing::Bounces {
            mass: Mass::from_si(0.0),
            restitution: 0.3
        },
        ..down
    }));
    let body = RigidBody {
        mass: 1.0,
        centre: Vec3::ZERO,
        inertia: [Vec3::ZERO; 3],
    };
    assert!(Packing::new(&[body], vec![soft()], Vec::new()).is_err());
    assert!(Packing::new(&[], vec![soft()], Vec::new()).is_err());
    assert!(
        Spring::new(SpringForm::PlateauGas {
            s0: 1.0,
            e0: 0.0,
            p0: 1.0,
            r: 0.1
        })
        .is_err()
    );
}

#[test]
fn foam_crushed_solid_is_said_to_be() {
    let packing = packing(
        60.0,
        Vec3::ZERO,
        box_tensor(60.0, SIZE),
        &faces(SIZE, 4, 0.1, 0.02),
        soft(),
    );
    let course = &run(
        &packing,
        &fall(Vec3::new(0.1, 0.0, -1.0), 1.5),
        &Precision::DESIGN,
    )
    .courses[0];
    assert!(course.bottomed && course.first_pulse.centre.value.is_finite());
}

#[test]
fn a_map_is_the_same_whatever_the_threads_and_names_its_worst() {
    let packing = packing(
        5.0,
        Vec3::new(0.02, -0.01, 0.015),
        box_tensor(5.0, SIZE),
        &faces(SIZE, 4, 0.4, 0.05),
        soft(),
    );
    let directions: Vec<Vec3> = fall_directions().into_iter().step_by(20).collect();
    let map = |threads| {
        let settings = MapSettings {
            height: Length::from_si(0.6),
            gravity: Gravity::Throughout,
            landing: Landing::StopsDead,
            precision: Precision::DESIGN,
            threads,
        };
        fall_map(&packing, &directions, &settings).unwrap()
    };
    let one = map(1);
    assert_eq!(one, map(3));
    let (worst, fall) = one.worst(0).unwrap();
    assert!(one.items[0].iter().all(|other| other.peak <= fall.peak));
    assert!(directions.contains(&worst) && one.worst(1).is_none());
}

#[test]
fn merged_patches_keep_area_moment_and_nearly_the_peak() {
    let contacts: Vec<Contact> = faces(SIZE, 12, 0.4, 0.05)
        .into_iter()
        .map(|patch| Contact {
            patch,
            body: 0,
            against: None,
        })
        .collect();
    let merged = merge_contacts(&contacts, 0.03);
    assert!(
        merged.len() * 2 < contacts.len(),
        "{} of {}",
        merged.len(),
        contacts.len()
    );
    let sums = |contacts: &[Contact]| {
        contacts.iter().fold((0.0, Vec3::ZERO), |(area, moment), c| {
            (area + c.patch.area, moment + c.patch.point * c.patch.area)
        })
    };
    let ((a, m), (b, n)) = (sums(&contacts), sums(&merged));
    assert!((a - b).abs() < 1e-12 && (m - n).length() < 1e-12);
    let body = RigidBody {
        mass: 5.0,
        centre: Vec3::new(0.02, -0.01, 0.015),
        inertia: box_tensor(5.0, SIZE),
    };
    let peak = |contacts: Vec<Contact>| {
        let packing = Packing::new(&[body], vec![soft()], contacts).unwrap();
        run(
            &packing,
            &fall(Vec3::new(0.3, -0.4, -0.8), 0.7),
            &Precision::DESIGN,
        )
        .courses[0]
            .first_pulse
            .centre
            .value
    };
    let (fine, coarse) = (peak(contacts), peak(merged));
    assert!((fine / coarse - 1.0).abs() < 0.01, "{fine} {coarse}");
}

#[test]
fn what_meets_something_hard_strikes() {
    let mut contacts: Vec<Contact> = faces(SIZE, 2, 0.3, 0.05)
        .into_iter()
        .filter(|patch| patch.direction.z > -0.5)
        .map(|patch| Contact {
            patch,
            body: 0,
            against: None,
        })
        .collect();
    contacts.push(Contact {
        patch: Patch {
            point: Vec3::new(0.0, 0.0, -0.07),
            direction: Vec3::new(0.0, 0.0, -1.0),
            area: 0.01,
            thickness: 0.005,
            gap: 0.002,
            law: 1,
        },
        body: 0,
        against: None,
    });
    let body = RigidBody {
        mass: 5.0,
        centre: Vec3::ZERO,
        inertia: box_tensor(5.0, SIZE),
    };
    let packing = Packing::new(&[body], vec![soft(), Spring::hard(2e6).unwrap()], contacts).unwrap();
    let strikes = |direction| run(&packing, &fall(direction, 0.3), &Precision::DESIGN).courses[0].strikes;
    assert!(strikes(Vec3::new(0.0, 0.0, -1.0)));
    assert!(!strikes(Vec3::new(0.0, 0.0, 1.0)));
}
