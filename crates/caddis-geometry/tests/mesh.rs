//! Meshes and stacks against closed forms and against each other.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_geometry::{Mesh, MeshError, Placement2, Pose, Region, SectionStack, Side, Vec2, Vec3};
use proptest::prelude::*;
use std::f64::consts::PI;

fn near(found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{found} is not {expected} within {within}"
    );
}

fn ball(radius: f64, rings: u32) -> Mesh {
    let profile: Vec<Vec2> = (0..=rings)
        .map(|i| {
            let angle = PI * (f64::from(i) / f64::from(rings) - 0.5);
            let r = if i == 0 || i == rings {
                0.0
            } else {
                radius * angle.cos()
            };
            Vec2::new(r, radius * angle.sin())
        })
        .collect();
    Mesh::revolved(&profile, 2 * rings)
}

/// A rotation from three angles.
fn pose(a: f64, b: f64, c: f64, shift: Vec3) -> Pose {
    let on_side = Pose {
        rotation: [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, 0.0, -1.0),
            Vec3::new(0.0, 1.0, 0.0),
        ],
        translation: Vec3::ZERO,
    };
    Pose::about_z(a)
        .then(&on_side)
        .then(&Pose::about_z(b))
        .then(&on_side)
        .then(&Pose::about_z(c))
        .then(&Pose::translation(shift))
}

fn bracket() -> Region {
    Region::rounded_rectangle(Vec2::new(0.0, 0.0), Vec2::new(0.3, 0.2), 0.03)
        .difference(&Region::rectangle(Vec2::new(0.1, 0.08), Vec2::new(0.4, 0.12)))
        .difference(&Region::circle(Vec2::new(0.05, 0.1), 0.02))
}

#[test]
fn prisms_close_and_hold_their_plan() {
    let plan = bracket();
    let prism = Mesh::prism(&plan, -0.01, 0.04);
    let check = prism.check();
    assert!(
        check.is_closed && check.bodies == 1 && check.degenerate_triangles == 0,
        "{check:?}"
    );
    let mass = prism.mass_properties();
    near(mass.volume, plan.area() * 0.05, 2e-7);
    assert!(mass.volume <= plan.area() * 0.05);
    let centroid = plan.centroid().unwrap();
    assert!(mass.centre.distance(centroid.at_height(0.015)) < 1e-5);
    near(prism.section(0.02).area(), plan.area(), 4e-6);
    near(
        prism.shadow(0.0, 0.01, Side::Outer).area(),
        prism.section(0.005).area(),
        5e-8,
    );
    // The section at the top face is the top, at the bottom face it is empty.
    near(prism.section(0.04).area(), plan.area(), 4e-6);
    assert!(prism.section(-0.01).is_empty());
}

#[test]
fn a_void_stays_a_void_and_an_inverted_shell_is_turned() {
    let solid = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.3, 0.3, 0.3));
    let mut void = Mesh::cuboid(Vec3::new(0.1, 0.1, 0.1), Vec3::new(0.2, 0.2, 0.2));
    let turn = |mesh: &mut Mesh| mesh.triangles.iter_mut().for_each(|t| t.swap(0, 1));
    turn(&mut void);
    let mut hollow = solid.clone();
    hollow.append(&void);
    let volume = 0.027 - 0.001;
    for inverted in [false, true] {
        let mut given = hollow.clone();
        if inverted {
            turn(&mut given);
        }
        let welded = given.welded(1e-7);
        near(welded.mass_properties().volume, volume, 1e-12);
        near(welded.section(0.15).area(), 0.08, 1e-9);
        assert_eq!(welded.check().bodies, 2);
    }
    // One triangle the wrong way round is turned with its neighbours' majority.
    let mut scarred = solid.clone();
    scarred.triangles[3].swap(0, 1);
    scarred.triangles[8].swap(0, 1);
    assert!(!scarred.check().is_closed);
    assert!(scarred.welded(1e-7).check().is_closed);
    near(scarred.welded(1e-7).mass_properties().volume, 0.027, 1e-12);
}

#[test]
fn overlapping_bodies_count_once_in_a_section() {
    let mut two = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.2, 0.1, 0.1));
    two.append(&Mesh::cuboid(Vec3::new(0.1, 0.0, 0.0), Vec3::new(0.3, 0.1, 0.1)));
    near(two.section(0.05).area(), 0.03, 1e-12);
    near(two.shadow(0.02, 0.08, Side::Outer).area(), 0.03, 1e-12);
}

#[test]
fn a_shelf_belongs_to_the_band_below() {
    // A wide foot, a narrow post, a wide head: steps at 0.1 and 0.2.
    let profile = [
        (0.1, 0.0),
        (0.1, 0.1),
        (0.02, 0.1),
        (0.02, 0.2),
        (0.08, 0.2),
        (0.08, 0.3),
    ];
    let mesh = Mesh::revolved(&profile.map(|(r, z)| Vec2::new(r, z)), 64);
    let stack = SectionStack::of_mesh(&mesh, &[0.0, 0.1, 0.2, 0.3], 0.0);
    let disc = |r: f64| 32.0 * r * r * (2.0 * PI / 64.0).sin();
    for (slab, r) in stack.slabs.iter().zip([0.1, 0.02, 0.08]) {
        near(slab.region.area(), disc(r), 3e-8);
    }
    near(stack.volume(), mesh.mass_properties().volume, 3e-8);
    near(
        stack.undercut(),
        0.1 * (disc(0.1) - disc(0.02)) + 0.1 * (disc(0.1) - disc(0.08)),
        3e-8,
    );
    near(stack.shadow(0.1, 0.2).area(), disc(0.02), 3e-8);
    near(stack.shadow(0.1, 0.21).area(), disc(0.08), 3e-8);
    assert!(stack.shadow(0.3, 0.4).is_empty());
    let bounds = stack.bounds().unwrap();
    near(bounds.size().z, 0.3, 1e-15);
    near(bounds.size().x, 0.2, 1e-7);
}

#[test]
fn open_meshes_are_closed_by_their_loose_ends() {
    let mut open = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.2, 0.1, 0.1));
    // A wall loses one triangle.
    let lost = open
        .triangles
        .iter()
        .position(|t| t.iter().all(|&i| open.positions[i as usize].x == 0.0));
    open.triangles.remove(lost.unwrap());
    assert!(!open.check().is_closed);
    near(open.section(0.03).area(), 0.02, 1e-12);
    near(open.shadow(0.02, 0.05, Side::Outer).area(), 0.02, 1e-12);
    // A lone sheet has a shadow though it has no section.
    let sheet = Mesh {
        positions: vec![Vec3::ZERO, Vec3::new(0.1, 0.0, 0.0), Vec3::new(0.0, 0.1, 0.0)],
        triangles: vec![[0, 1, 2]],
    };
    near(sheet.shadow(0.0, 0.1, Side::Outer).area(), 0.005, 1e-12);
}

#[test]
fn broken_meshes_are_refused_and_never_panic() {
    assert_eq!(Mesh::default().validated(), Err(MeshError::Empty));
    let broken = Mesh {
        positions: vec![Vec3::new(f64::NAN, 1e300, 0.0)],
        triangles: vec![[0, 7, u32::MAX]],
    };
    assert_eq!(
        broken.clone().validated(),
        Err(MeshError::Coordinate { index: 0 })
    );
    let missing = Mesh {
        positions: vec![Vec3::ZERO],
        triangles: vec![[0, 0, 1]],
    };
    assert_eq!(
        missing.clone().validated(),
        Err(MeshError::Index {
            triangle: 0,
            vertex: 1,
            count: 1
        })
    );
    for mesh in [
        broken,
        missing,
        Mesh {
            positions: vec![Vec3::new(f64::NAN, 0.0, 1.0); 3],
            triangles: vec![[0, 1, 2]],
        },
    ] {
        let _ = (
            mesh.check(),
            mesh.welded(1e-6),
            mesh.mass_properties(),
            mesh.bounds(),
            mesh.section(0.0),
        );
        let _ = (
            mesh.shadow(f64::NAN, 1.0, Side::Outer),
            mesh.sections(&[f64::NAN, 0.0, f64::INFINITY]),
        );
        let _ = SectionStack::of_mesh(&mesh, &[0.0, f64::NAN, 1.0, 0.5], f64::NAN)
            .swept_up()
            .undercut();
    }
    let _ = Mesh::revolved(&[], 0);
    assert!(Mesh::prism(&Region::empty(), 0.0, 1.0).triangles.is_empty());
}

#[test]
fn a_ball_of_a_hundred_thousand_triangles_is_cut_in_good_time() {
    let mesh = ball(0.1, 160).posed(&pose(0.3, 0.5, 0.7, Vec3::ZERO));
    assert!(mesh.triangles.len() > 100_000);
    let began = std::time::Instant::now();
    let shadow = mesh.shadow(-0.2, 0.2, Side::Outer);
    near(shadow.area(), PI * 0.01, 2e-5);
    let band = mesh.shadow(0.03, 0.06, Side::Outer);
    near(band.area(), PI * (0.01 - 0.0009), 2e-5);
    let heights: Vec<f64> = (0..41).map(|i| f64::from(i) * 0.005 - 0.1).collect();
    let stack = SectionStack::of_mesh(&mesh, &heights, 0.0005);
    assert!(stack.volume() > mesh.mass_properties().volume);
    // Generous: a loaded machine must not fail this; quadratic work would.
    assert!(began.elapsed().as_secs() < 60);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn poses_invert_and_mass_turns_along(a in -3.0..3.0f64, b in -3.0..3.0f64, c in -3.0..3.0f64, x in -1.0..1.0f64) {
        let motion = pose(a, b, c, Vec3::new(x, 0.2, -0.1));
        let p = Vec3::new(0.3, -0.2, 0.9);
        prop_assert!(motion.inverse().apply(motion.apply(p)).distance(p) < 1e-12);
        let mesh = Mesh::prism(&bracket(), 0.0, 0.05);
        let (here, there) = (mesh.mass_properties(), mesh.posed(&motion).mass_properties());
        prop_assert!((here.volume - there.volume).abs() < 1e-15);
        prop_assert!((here.surface - there.surface).abs() < 1e-13);
        prop_assert!(motion.apply(here.centre).distance(there.centre) < 1e-12);
        let trace = |i: [Vec3; 3]| i[0].x + i[1].y + i[2].z;
        prop_assert!((trace(here.inertia) - trace(there.inertia)).abs() < 1e-16);
        // Turning a direction and its moment together.
        let axis = Vec3::new(0.6, 0.0, 0.8);
        let about = |i: [Vec3; 3], u: Vec3| u.x * i[0].dot(u) + u.y * i[1].dot(u) + u.z * i[2].dot(u);
        prop_assert!((about(here.inertia, axis) - about(there.inertia, motion.turn(axis))).abs() < 1e-16);
    }

    #[test]
    fn sections_lie_in_shadows_and_integrate_to_the_volume(a in -3.0..3.0f64, b in -3.0..3.0f64, c in -3.0..3.0f64) {
        let mesh = Mesh::prism(&bracket(), 0.0, 0.05).posed(&pose(a, b, c, Vec3::ZERO));
        let bounds = mesh.bounds().unwrap();
        let n = 400;
        let step = bounds.size().z / f64::from(n);
        let heights: Vec<f64> = (0..n).map(|i| bounds.min.z + (f64::from(i) + 0.5) * step).collect();
        let sections = mesh.sections(&heights);
        let sum: f64 = sections.iter().map(|s| s.area() * step).sum();
        prop_assert!((sum / mesh.mass_properties().volume - 1.0).abs() < 1e-3, "{sum}");
        prop_assert_eq!(&sections[37], &mesh.section(heights[37]));
        let bands: Vec<f64> = (0..=10).map(|i| bounds.min.z + bounds.size().z * f64::from(i) / 10.0).collect();
        let stack = SectionStack::of_mesh(&mesh, &bands, 0.0);
        let coarse = SectionStack::of_mesh(&mesh, &bands, 0.001);
        for (z, section) in heights.iter().zip(&sections).step_by(7) {
            let band = stack.slabs.iter().zip(&coarse.slabs).find(|(s, _)| s.low <= *z && *z <= s.high);
            let (exact, simple) = band.unwrap();
            prop_assert!(section.difference(&exact.region).area() < 2e-9);
            prop_assert!(exact.region.difference(&simple.region).area() < 2e-9);
        }
        let sweep = coarse.swept_up();
        for (below, above) in sweep.slabs.iter().zip(&sweep.slabs[1..]) {
            prop_assert!(below.region.difference(&above.region).area() < 2e-9);
        }
        for (own, swept) in coarse.slabs.iter().zip(&sweep.slabs) {
            prop_assert!(own.region.difference(&swept.region).area() < 2e-9);
        }
        let moved = coarse.placed(&Placement2 { angle: 0.4, shift: Vec2::new(0.1, 0.2) }, 0.3);
        prop_assert!((moved.volume() - coarse.volume()).abs() < 1e-12);
        prop_assert!(coarse.offset(0.003).volume() > coarse.volume());
    }
}
