//! Round trips: a survey turned into a mesh and fitted again gives its own numbers back.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::super::profile::Profile;
use super::super::tests::{exact, mm, opening, shell};
use super::super::{Corner, Dome, Intrusion, IntrusionKind, OutlineShape, Shell, ShellHalf, Step, Wall};
use super::*;
use caddis_basis::{Angle, Measured};
use caddis_geometry::{Pose, Vec2};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Distance of the nodes of the meshes made here, metres.
const CELL: f64 = 4e-3;

fn intrusion(name: &str, outline: OutlineShape, from: f64, to: f64, draft: f64) -> Intrusion {
    Intrusion {
        name: name.to_owned(),
        kind: IntrusionKind::Other,
        outline,
        from: exact(from),
        to: mm(to),
        draft: Measured::exact(Angle::degrees(draft)),
        fillet: exact(0.0),
        removable: false,
        removed: false,
    }
}

fn circle(x: f64, y: f64, radius: f64) -> OutlineShape {
    OutlineShape::Circle {
        centre: Vec2::new(x / 1e3, y / 1e3).into(),
        radius: exact(radius),
    }
}

pub(super) fn surveyed() -> Shell {
    let mut shell = shell();
    shell.base.rim = opening(640.0, 400.0, 45.0, Vec2::ZERO);
    shell.base.floor = opening(622.0, 385.0, 38.0, Vec2::new(0.001, -0.0015));
    shell.base.fillet = mm(14.0);
    let corner = |corner| OutlineShape::InCorner {
        corner,
        length: exact(92.0),
        width: exact(70.0),
        corner_radius: exact(14.0),
    };
    let on_wall = |wall, along, width, stands_in| OutlineShape::OnWall {
        wall,
        along: exact(along),
        width: exact(width),
        stands_in: exact(stands_in),
        corner_radius: exact(8.0),
    };
    shell.base.intrusions = vec![
        intrusion("housing front", corner(Corner::LeftFront), 0.0, 104.0, 3.0),
        intrusion("housing back", corner(Corner::LeftBack), 0.0, 104.0, 3.0),
        intrusion("handle", on_wall(Wall::Left, 0.0, 160.0, 36.0), 0.0, 240.0, 0.5),
        intrusion(
            "rib",
            OutlineShape::Rectangle {
                centre: Vec2::new(0.05, 0.01).into(),
                length: exact(16.0),
                width: exact(260.0),
                corner_radius: exact(5.0),
            },
            0.0,
            12.0,
            4.0,
        ),
        intrusion("boss", circle(170.0, -90.0, 14.0), 0.0, 45.0, 1.5),
        intrusion(
            "pocket",
            on_wall(Wall::Front, 120.0, 60.0, 28.0),
            110.0,
            170.0,
            0.0,
        ),
    ];
    shell.lid.rim = shell.base.rim.clone();
    shell.lid.floor = opening(633.0, 393.0, 41.0, Vec2::new(0.0, 0.0));
    shell.lid.intrusions = vec![
        intrusion("lid boss 1", circle(-200.0, 120.0, 12.0), 0.0, 30.0, 1.5),
        intrusion("lid boss 2", circle(200.0, -120.0, 12.0), 0.0, 30.0, 1.5),
    ];
    shell.validated().unwrap()
}

/// How far a point is inside the room of a half, near its surface in true distance.
fn room(profile: &Profile, p: Vec2, h: f64) -> f64 {
    let beside = -profile.walls_at(h).signed_distance(p);
    let f = profile.fillet;
    let mut inside = if profile.stations.len() > 2 {
        stepped(profile, p, h)
    } else if beside < f && h < f {
        f - (f - beside).hypot(f - h)
    } else {
        beside.min(h)
    };
    for body in &profile.bodies {
        let side = body
            .outline_at(h.clamp(body.from, body.to))
            .map_or(f64::INFINITY, |outline| outline.signed_distance(p));
        let under = if body.from > 0.0 {
            body.from - h
        } else {
            f64::NEG_INFINITY
        };
        inside = inside.min(side.max(h - body.to).max(under));
    }
    inside
}

/// Of steps and domes: the distance of the plane through the points above or below and beside a point.
fn stepped(profile: &Profile, p: Vec2, h: f64) -> f64 {
    let beside = profile.walls_at(h).signed_distance(p) + profile.fillet_inset(h);
    if h <= 0.0 && beside <= 0.0 {
        return h;
    }
    let ends = profile.stations[profile.stations.len() - 2]
        .height
        .max(profile.fillet);
    if h > ends + 3.0 * CELL || profile.rim.signed_distance(p) > 0.0 {
        return -beside;
    }
    let over = h - profile.wall_over(p);
    let across = beside.hypot(over);
    if across > 0.0 {
        beside.abs() * over.abs() / across * if beside > 0.0 { -1.0 } else { 1.0 }
    } else {
        0.0
    }
}

/// The interior surface between two levels by marching tetrahedra; open where a level cuts the room.
fn surface(inside: impl Fn(Vec3) -> f64, low: Vec3, high: Vec3) -> Mesh {
    let size = high - low;
    let counts = [size.x, size.y, size.z].map(|side| (side / CELL).round() as usize);
    let step = Vec3::new(
        size.x / counts[0] as f64,
        size.y / counts[1] as f64,
        size.z / counts[2] as f64,
    );
    let (nx, ny) = (counts[0] + 1, counts[1] + 1);
    let place = |n: usize| {
        let (i, j, k) = (n % nx, n / nx % ny, n / nx / ny);
        low + Vec3::new(step.x * i as f64, step.y * j as f64, step.z * k as f64)
    };
    let values: Vec<f64> = (0..nx * ny * (counts[2] + 1)).map(|n| inside(place(n))).collect();
    let mut mesh = Mesh::default();
    let mut made: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    // Six tetrahedra about the diagonal, one for each order of the axes.
    let strides = [1, nx, nx * ny];
    let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    for k in 0..counts[2] {
        for j in 0..counts[1] {
            for i in 0..counts[0] {
                let n = i + nx * (j + ny * k);
                for order in orders {
                    let a = n + strides[order[0]];
                    let b = a + strides[order[1]];
                    let corners = [n, a, b, b + strides[order[2]]];
                    let mut cut = |a: usize, b: usize| {
                        let key = (a.min(b), a.max(b));
                        *made.entry(key).or_insert_with(|| {
                            let t = values[a] / (values[a] - values[b]);
                            mesh.positions.push(place(a).lerp(place(b), t));
                            (mesh.positions.len() - 1) as u32
                        })
                    };
                    let (inner, outer): (Vec<usize>, Vec<usize>) =
                        corners.into_iter().partition(|&c| values[c] > 0.0);
                    match (inner.as_slice(), outer.as_slice()) {
                        ([one], [a, b, c]) | ([a, b, c], [one]) => {
                            let triangle = [cut(*one, *a), cut(*one, *b), cut(*one, *c)];
                            mesh.triangles.push(triangle);
                        }
                        ([a, b], [c, d]) => {
                            let [p, q, r, s] = [cut(*a, *c), cut(*a, *d), cut(*b, *d), cut(*b, *c)];
                            mesh.triangles.extend([[p, q, r], [p, r, s]]);
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    mesh
}

fn reach(half: &ShellHalf) -> Vec2 {
    Vec2::new(half.rim.length.value.si(), half.rim.width.value.si()) / 2.0 + Vec2::new(CELL, CELL) * 1.7
}

/// Base with its floor at zero; lid as it lies on the base, its crown up.
pub(super) fn halves(shell: &Shell) -> (Mesh, Mesh) {
    let (base, lid) = (Profile::nominal(&shell.base), Profile::nominal(&shell.lid));
    let out = reach(&shell.base);
    let (rim, crown) = (base.depth, base.depth + lid.depth);
    (
        surface(
            |p| room(&base, p.plan(), p.z),
            (out * -1.0).at_height(-1.3 * CELL),
            out.at_height(rim),
        ),
        surface(
            |p| room(&lid, p.plan(), crown - p.z),
            (out * -1.0).at_height(rim),
            out.at_height(crown + 1.3 * CELL),
        ),
    )
}

pub(super) fn whole(shell: &Shell) -> Mesh {
    let (base, lid) = (Profile::nominal(&shell.base), Profile::nominal(&shell.lid));
    let out = reach(&shell.base);
    let (rim, crown) = (base.depth, base.depth + lid.depth);
    surface(
        |p| {
            if p.z <= rim {
                room(&base, p.plan(), p.z)
            } else {
                room(&lid, p.plan(), crown - p.z)
            }
        },
        (out * -1.0).at_height(-1.3 * CELL),
        out.at_height(crown + 1.3 * CELL),
    )
}

/// Numbers between zero and one, the same on every run.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        // Knuth's MMIX constants.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.next().max(1e-300).ln()).sqrt() * (2.0 * PI * self.next()).cos()
    }
}

/// Noise of 0.3 mm in every direction, 30 round holes, 20 degrees of tilt and a turn.
pub(super) fn spoilt(mesh: &Mesh, seed: u64) -> Mesh {
    let mut dice = Dice(seed);
    let holes: Vec<(Vec3, f64)> = (0..30)
        .map(|_| {
            let at = mesh.positions[(dice.next() * mesh.positions.len() as f64) as usize];
            (at, 4e-3 + 10e-3 * dice.next())
        })
        .collect();
    let mut spoilt = Mesh {
        positions: mesh.positions.clone(),
        triangles: mesh
            .triangles
            .iter()
            .filter(|t| {
                let at = mesh.positions[t[0] as usize];
                holes.iter().all(|(hole, radius)| hole.distance(at) > *radius)
            })
            .copied()
            .collect(),
    };
    for p in &mut spoilt.positions {
        *p += Vec3::new(dice.normal(), dice.normal(), dice.normal()) * 3e-4;
    }
    let (sin, cos) = 20_f64.to_radians().sin_cos();
    let tilt = Pose {
        rotation: [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, cos, -sin),
            Vec3::new(0.0, sin, cos),
        ],
        translation: Vec3::new(0.3, -0.7, 0.2),
    };
    spoilt.posed(&Pose::about_z(0.4).then(&tilt).then(&Pose::about_z(-0.3)))
}

/// Checks a fitted half against the surveyed one: every size within its own ±, the ± no wider than `widest` mm.
fn agrees(found: &ShellHalf, surveyed: &ShellHalf, widest: f64) {
    let mut wrong = Vec::new();
    let mut check = |what: String, found: &Measured<Length>, surveyed: f64| {
        let off = (found.value.as_mm() - surveyed).abs();
        let band = found.plus_minus.map_or(0.0, Length::as_mm);
        if off > band + 1e-9 || band > widest {
            wrong.push(format!("{what}: {found}, surveyed {surveyed}"));
        }
    };
    let value = |size: &Measured<Length>| size.value.as_mm();
    for (name, a, b) in [
        ("rim", &found.rim, &surveyed.rim),
        ("floor", &found.floor, &surveyed.floor),
    ] {
        check(format!("{name} length"), &a.length, value(&b.length));
        check(format!("{name} width"), &a.width, value(&b.width));
        check(
            format!("{name} radius"),
            &a.corner_radius,
            value(&b.corner_radius),
        );
    }
    check("depth".to_owned(), &found.depth, value(&surveyed.depth));
    let steps: Vec<String> = found
        .steps
        .iter()
        .map(|step| {
            format!(
                "{}: {} x {}, {} x {}",
                step.at, step.below.length, step.below.width, step.above.length, step.above.width
            )
        })
        .collect();
    assert_eq!(steps.len(), surveyed.steps.len(), "{steps:#?}");
    for (k, (a, b)) in found.steps.iter().zip(&surveyed.steps).enumerate() {
        check(format!("step {k} at"), &a.at, value(&b.at));
        for (side, a, b) in [("below", &a.below, &b.below), ("above", &a.above, &b.above)] {
            check(format!("step {k} {side} length"), &a.length, value(&b.length));
            check(format!("step {k} {side} width"), &a.width, value(&b.width));
            check(
                format!("step {k} {side} radius"),
                &a.corner_radius,
                value(&b.corner_radius),
            );
        }
    }
    assert_eq!(
        found.dome.is_some(),
        surveyed.dome.is_some(),
        "{:?}",
        found.dome.as_ref().map(|dome| dome.rise.to_string())
    );
    if let (Some(a), Some(b)) = (&found.dome, &surveyed.dome) {
        check("dome rise".to_owned(), &a.rise, value(&b.rise));
        check("flat length".to_owned(), &a.flat.length, value(&b.flat.length));
        check("flat width".to_owned(), &a.flat.width, value(&b.flat.width));
    }
    check("fillet".to_owned(), &found.fillet, value(&surveyed.fillet));
    assert_eq!(
        found.intrusions.len(),
        surveyed.intrusions.len(),
        "{:#?} {wrong:#?}",
        found.intrusions.iter().map(|i| &i.outline).collect::<Vec<_>>()
    );
    for expected in &surveyed.intrusions {
        let matching = found.intrusions.iter().min_by(|a, b| {
            let gap = |i: &Intrusion| {
                let middle = |i: &Intrusion, half: &ShellHalf| {
                    i.root_region(half)
                        .intersection(&surveyed.rim_region())
                        .bounds()
                        .map(|b| b.centre())
                };
                middle(i, found)
                    .zip(middle(expected, surveyed))
                    .map_or(f64::INFINITY, |(a, b)| a.distance(b))
            };
            gap(a).total_cmp(&gap(b))
        });
        let matching = matching.unwrap();
        assert_eq!(
            matching.outline.attached_to(),
            expected.outline.attached_to(),
            "{}",
            expected.name
        );
        for ((what, a), (_, b)) in matching
            .outline
            .numbers()
            .into_iter()
            .zip(expected.outline.numbers())
        {
            check(format!("{} {what}", expected.name), a, value(b));
        }
        check(
            format!("{} from", expected.name),
            &matching.from,
            value(&expected.from),
        );
        check(format!("{} to", expected.name), &matching.to, value(&expected.to));
        let off = (matching.draft.value.as_degrees() - expected.draft.value.as_degrees()).abs();
        let band = matching.draft.plus_minus.map_or(0.0, Angle::as_degrees);
        assert!(
            off < band,
            "{} draft off by {off}, stated to {band}",
            expected.name
        );
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn base_and_lid_come_back_from_their_own_meshes() {
    let shell = surveyed();
    let (base, lid) = halves(&shell);
    let fit = fit_scan(&base, Some(&lid), None).unwrap();
    agrees(&fit.base, &shell.base, 3.0);
    agrees(fit.lid.as_ref().unwrap(), &shell.lid, 3.0);
    for (found, expected) in [(&fit.base, &shell.base), (fit.lid.as_ref().unwrap(), &shell.lid)] {
        let centre = found.floor.centre - expected.floor.centre;
        assert!(centre.length() < 2e-4, "{centre:?}");
    }
    for residual in &fit.residuals {
        assert!(residual.within_95.as_mm() < 0.5, "{}", residual.within_95);
        assert!(residual.unexplained < 0.01, "{}", residual.unexplained);
    }
}

#[test]
fn noise_holes_and_tilt_do_not_hide_the_numbers() {
    let shell = surveyed();
    let (base, lid) = halves(&shell);
    for seed in [7, 2026] {
        let fit = fit_scan(&spoilt(&base, seed), Some(&spoilt(&lid, seed + 1)), None).unwrap();
        agrees(&fit.base, &shell.base, 3.0);
        agrees(fit.lid.as_ref().unwrap(), &shell.lid, 3.0);
    }
}

#[test]
fn a_whole_interior_is_parted_where_its_walls_meet() {
    let shell = surveyed();
    let mesh = whole(&shell);
    for mesh in [&mesh, &spoilt(&mesh, 11)] {
        let fit = fit_scan(mesh, None, None).unwrap();
        agrees(&fit.base, &shell.base, 3.0);
        agrees(fit.lid.as_ref().unwrap(), &shell.lid, 3.0);
        assert!(fit.findings.iter().any(|f| f.code == "fit-parting"));
    }
}

#[test]
fn a_lid_that_lies_on_its_crown_is_turned() {
    let mut shell = surveyed();
    shell.lid.intrusions.truncate(1);
    let (base, lid) = halves(&shell);
    let turned = lid.posed(&Pose {
        rotation: [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, -1.0, 0.0),
            Vec3::new(0.0, 0.0, -1.0),
        ],
        translation: Vec3::ZERO,
    });
    let fit = fit_scan(&base, Some(&turned), None).unwrap();
    agrees(fit.lid.as_ref().unwrap(), &shell.lid, 3.0);
    assert!(fit.findings.iter().any(|f| f.code == "fit-lid-turned"));
}

/// A base with a ledge and a change of draft, a lid with a stepped crown.
fn with_steps() -> Shell {
    let mut shell = surveyed();
    shell.base.intrusions.truncate(2);
    shell.base.floor = opening(606.0, 366.0, 36.0, Vec2::new(0.001, 0.0));
    shell.base.steps = vec![
        Step {
            at: mm(120.0),
            below: opening(612.0, 372.0, 38.0, Vec2::new(0.001, 0.0)),
            above: opening(630.0, 390.0, 44.0, Vec2::ZERO),
        },
        Step {
            at: mm(190.0),
            below: opening(632.0, 392.0, 44.0, Vec2::ZERO),
            above: opening(632.0, 392.0, 44.0, Vec2::ZERO),
        },
    ];
    shell.lid.floor = opening(540.0, 310.0, 28.0, Vec2::new(0.0, 0.004));
    shell.lid.steps = vec![Step {
        at: mm(26.0),
        below: opening(543.0, 313.0, 29.0, Vec2::new(0.0, 0.004)),
        above: opening(628.0, 390.0, 42.0, Vec2::ZERO),
    }];
    shell.lid.fillet = mm(6.0);
    shell.validated().unwrap()
}

/// A lid whose crown is a dome.
fn with_dome() -> Shell {
    let mut shell = surveyed();
    shell.base.intrusions.truncate(2);
    shell.lid.floor = opening(622.0, 382.0, 42.0, Vec2::ZERO);
    shell.lid.fillet = exact(0.0);
    shell.lid.dome = Some(Dome {
        rise: mm(24.0),
        flat: opening(470.0, 260.0, 24.0, Vec2::new(0.002, 0.0)),
    });
    shell.validated().unwrap()
}

/// Base and lid of their own, and no surface left unexplained.
fn comes_back(shell: &Shell, base: &Mesh, lid: &Mesh, widest: f64) {
    let fit = fit_scan(base, Some(lid), None).unwrap();
    agrees(&fit.base, &shell.base, widest);
    agrees(fit.lid.as_ref().unwrap(), &shell.lid, widest);
    assert!(
        fit.findings.iter().all(|f| f.code != "fit-unexplained"),
        "{:?}",
        fit.findings
    );
}

fn whole_comes_back(shell: &Shell, mesh: &Mesh, widest: f64) {
    let fit = fit_scan(mesh, None, None).unwrap();
    agrees(&fit.base, &shell.base, widest);
    agrees(fit.lid.as_ref().unwrap(), &shell.lid, widest);
}

#[test]
fn steps_come_back_with_their_openings() {
    let shell = with_steps();
    let (base, lid) = halves(&shell);
    comes_back(&shell, &base, &lid, 3.0);
}

#[test]
fn noise_holes_and_tilt_do_not_hide_steps() {
    let shell = with_steps();
    let (base, lid) = halves(&shell);
    comes_back(&shell, &spoilt(&base, 7), &spoilt(&lid, 8), 3.0);
}

#[test]
fn a_dome_comes_back_with_its_flat() {
    let shell = with_dome();
    let (base, lid) = halves(&shell);
    comes_back(&shell, &base, &lid, 4.0);
    comes_back(&shell, &spoilt(&base, 7), &spoilt(&lid, 8), 4.0);
}

#[test]
fn a_whole_interior_with_steps_is_parted_too() {
    let shell = with_steps();
    whole_comes_back(&shell, &whole(&shell), 4.0);
}

#[test]
fn a_spoilt_whole_interior_with_steps_is_parted_too() {
    let shell = with_steps();
    whole_comes_back(&shell, &spoilt(&whole(&shell), 11), 4.0);
}

#[test]
fn a_whole_interior_with_a_dome_is_parted_too() {
    let shell = with_dome();
    whole_comes_back(&shell, &whole(&shell), 4.0);
}

#[test]
fn a_spoilt_whole_interior_with_a_dome_is_parted_too() {
    let shell = with_dome();
    whole_comes_back(&shell, &spoilt(&whole(&shell), 11), 4.0);
}

/// A drawing of the room as a plain block, parted near its top by a stated rim plane: of the lid there is next to nothing.
#[test]
fn a_block_is_parted_where_it_is_said() {
    let block = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.4, 0.3, 0.15));
    let fit = fit_scan(&block, None, Some(Length::mm(140.0))).unwrap();
    let lid = fit.lid.unwrap();
    for (found, wanted) in [
        (&fit.base.rim.length, 400.0),
        (&fit.base.floor.width, 300.0),
        (&fit.base.depth, 140.0),
        (&lid.rim.length, 400.0),
        (&lid.depth, 10.0),
    ] {
        assert!(
            (found.value.as_mm() - wanted).abs() < 0.1,
            "{found}, not {wanted}"
        );
    }
    assert!(fit.base.steps.is_empty() && lid.steps.is_empty() && lid.dome.is_none());
}

#[test]
fn what_is_not_recovered_is_said_with_its_place() {
    let mut shell = surveyed();
    shell.base.intrusions.clear();
    let (base, _) = halves(&shell);
    // A heap of matter of no form on the floor, from x 150 to 270 mm.
    let mut base = base;
    for p in &mut base.positions {
        let over = 1.0 - ((p.x - 0.21) / 0.06).powi(2) - (p.y / 0.12).powi(2);
        if over > 0.0 && p.z < 1e-3 {
            p.z += 0.03 * over;
        }
    }
    let fit = fit_scan(&base, None, None).unwrap();
    assert!(fit.lid.is_none());
    let finding = fit.findings.iter().find(|f| f.code == "fit-unexplained").unwrap();
    assert!(
        finding.sentence.contains("between x 1") && finding.sentence.contains(" and 2"),
        "{finding:?}"
    );
    assert!(
        finding.remedy.as_deref().unwrap().contains("odd outlines"),
        "{finding:?}"
    );
}

#[test]
fn what_is_no_interior_is_refused() {
    let little = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.02, 0.02, 0.02));
    assert!(matches!(
        fit_scan(&little, None, None),
        Err(FitError::TooLittle { .. })
    ));
    assert!(matches!(
        fit_scan(&Mesh::default(), None, None),
        Err(FitError::TooLittle { .. })
    ));
    let ball: Vec<Vec2> = (0..=40)
        .map(|k| PI * f64::from(k) / 40.0 - PI / 2.0)
        .map(|a| Vec2::new(0.2 * a.cos().max(0.0), 0.2 * a.sin()))
        .collect();
    assert!(fit_scan(&Mesh::revolved(&ball, 60), None, None).is_err());
    let sheet = Mesh {
        positions: vec![Vec3::ZERO, Vec3::new(0.5, 0.0, 0.0), Vec3::new(0.0, 0.5, 0.0)],
        triangles: vec![[0, 1, 2]],
    };
    assert!(fit_scan(&sheet, None, None).is_err());
    let shell = surveyed();
    assert!(matches!(
        fit_scan(&whole(&shell), None, Some(Length::mm(900.0))),
        Err(FitError::RimOutside { .. })
    ));
}
