//! Items against closed forms and sampled points.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use caddis_basis::Certainty;
use caddis_geometry::Vec2;
use proptest::prelude::*;
use std::f64::consts::PI;

fn item(shape: ItemShape) -> Item {
    Item {
        id: ItemId::new("recorder"),
        name: "Recorder".to_owned(),
        quantity: 1,
        shape,
        size_tolerance: Length::mm(0.5),
        mass: Measured::exact(Mass::from_si(2.0)),
        centre_of_mass: None,
        fragility: Fragility::Known(Measured::exact(Acceleration::g(40.0))),
        softness: None,
        ways_up: vec![Up::PlusZ],
        may_turn: true,
        no_load: Vec::new(),
        keep_clear: Vec::new(),
        grips: Vec::new(),
        reach_first: false,
        may_lie_in_lid: false,
        requires: Vec::new(),
        foam: crate::FoamWish::default(),
        fragility_assumed_by: None,
        points: Vec::new(),
        note: String::new(),
        declared: Declared::default(),
        source: Source::new("demonstration", Certainty::Invented),
    }
}

fn cuboid(l: f64, w: f64, h: f64) -> Primitive {
    Primitive::Cuboid {
        length: Length::mm(l),
        width: Length::mm(w),
        height: Length::mm(h),
    }
}

fn cylinder(d: f64, h: f64) -> Primitive {
    Primitive::Cylinder {
        diameter: Length::mm(d),
        height: Length::mm(h),
    }
}

fn part(solid: Primitive, at: [f64; 3], up: Up) -> Part {
    Part {
        solid,
        at: Vec3::new(at[0], at[1], at[2]) / 1000.0,
        up,
    }
}

/// A tetrahedral wedge: no symmetry to hide behind.
fn wedge() -> Mesh {
    Mesh {
        positions: vec![
            Vec3::new(0.0, 0.0, 0.0),
            Vec3::new(0.2, 0.0, 0.0),
            Vec3::new(0.0, 0.12, 0.0),
            Vec3::new(0.03, 0.02, 0.08),
        ],
        triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
    }
}

#[test]
fn up_brings_its_direction_up_by_a_proper_rotation() {
    for up in Up::ALL {
        let pose = up.pose();
        assert_eq!(
            pose.turn(up.direction()),
            Vec3::new(0.0, 0.0, 1.0),
            "{}",
            up.as_str()
        );
        let [a, b, c] = pose.rotation;
        assert_eq!(a.dot(b.cross(c)), 1.0);
        assert_eq!(Up::parse(up.as_str()), Some(up));
    }
    assert_eq!(Up::MinusX.direction(), Vec3::new(-1.0, 0.0, 0.0));
    assert_eq!(Up::PlusY.direction(), Vec3::new(0.0, 1.0, 0.0));
}

#[test]
fn a_turned_box_stays_an_exact_box() {
    let item = item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)));
    for (up, turn, size) in [
        (Up::PlusZ, 0, [0.3, 0.2, 0.1]),
        (Up::PlusZ, 1, [0.2, 0.3, 0.1]),
        (Up::PlusX, 0, [0.1, 0.2, 0.3]),
        (Up::MinusY, 0, [0.3, 0.1, 0.2]),
        (Up::MinusY, 3, [0.1, 0.3, 0.2]),
    ] {
        let posed = item.posed(up, Turn::SQUARE[turn], 0.005);
        assert_eq!(posed.stack.slabs.len(), 1, "a straight part is one band");
        assert_eq!(posed.bounds.min, Vec3::new(-size[0] / 2.0, -size[1] / 2.0, 0.0));
        assert_eq!(posed.bounds.max, Vec3::new(size[0] / 2.0, size[1] / 2.0, size[2]));
        assert!((posed.stack.slabs[0].region.area() - size[0] * size[1]).abs() < 1e-15);
        assert!(posed.centre_of_mass.distance(Vec3::new(0.0, 0.0, size[2] / 2.0)) < 1e-15);
    }
}

#[test]
fn a_standing_cylinder_is_one_circle_and_a_lying_one_is_bands() {
    let item = item(ItemShape::Primitive(cylinder(80.0, 150.0)));
    let standing = item.posed(Up::PlusZ, Turn::NONE, 0.004);
    assert_eq!(standing.stack.slabs.len(), 1);
    assert!((standing.stack.slabs[0].region.area() - PI * 0.04 * 0.04).abs() < 1e-12);
    let lying = item.posed(Up::PlusX, Turn::NONE, 0.004);
    assert_eq!(lying.stack.slabs.len(), 20);
    for slab in &lying.stack.slabs {
        assert!(slab.high - slab.low <= 0.004 + 1e-12);
        let box_ = slab.region.bounds().unwrap();
        // Its length lies along x after +x is turned up: z of its own frame points to -x.
        assert!((box_.size().x - 0.15).abs() < 1e-12, "{box_:?}");
        let nearest = (slab.low - 0.04).max(0.04 - slab.high).max(0.0);
        let exact = 2.0 * (0.04_f64.powi(2) - nearest * nearest).sqrt();
        assert!((box_.size().y - exact).abs() < 1e-12);
    }
    let volume = lying
        .stack
        .slabs
        .iter()
        .map(|s| s.region.area() * (s.high - s.low))
        .sum::<f64>();
    assert!(
        volume > PI * 0.04 * 0.04 * 0.15 && volume < PI * 0.04 * 0.04 * 0.15 * 1.12,
        "{volume}"
    );
    let along_y = item.posed(Up::PlusX, Turn::SQUARE[1], 0.004);
    assert!((along_y.bounds.size().y - 0.15).abs() < 1e-12);
}

#[test]
fn a_compound_steps_where_its_parts_do() {
    // A box with a mast standing on it off-centre and a handle lying across.
    let item = item(ItemShape::Compound(vec![
        part(cuboid(200.0, 100.0, 60.0), [0.0, 0.0, 0.0], Up::PlusZ),
        part(cylinder(30.0, 90.0), [70.0, 0.0, 60.0], Up::PlusZ),
        part(cylinder(20.0, 100.0), [-50.0, 0.0, 70.0], Up::PlusX),
    ]));
    let bounds = item.bounds().unwrap();
    // The handle's own +x points up, so its axis runs along -x from (-50, 0, 70).
    assert!((bounds.min.x + 0.15).abs() < 1e-12, "{bounds:?}");
    assert!((bounds.max.z - 0.15).abs() < 1e-12);
    let posed = item.posed(Up::PlusZ, Turn::NONE, 0.01);
    let heights: Vec<f64> = posed.stack.slabs.iter().map(|s| s.low).collect();
    assert!(heights.iter().any(|z| (z - 0.06).abs() < 1e-12), "{heights:?}");
    assert_eq!(posed.stack.slabs[0].region.shapes.len(), 1);
    let top = posed.stack.slabs.last().unwrap();
    assert!((top.region.area() - PI * 0.015 * 0.015).abs() < 1e-7);
}

#[test]
fn mass_properties_of_primitives_are_the_closed_forms() {
    let item = item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)));
    assert!((item.volume().si() - 0.006).abs() < 1e-15);
    let [x, y, z] = item.inertia();
    assert!((x.x - 2.0 * (0.04 + 0.01) / 12.0).abs() < 1e-12);
    assert!((y.y - 2.0 * (0.09 + 0.01) / 12.0).abs() < 1e-12);
    assert!((z.z - 2.0 * (0.09 + 0.04) / 12.0).abs() < 1e-12);
}

#[test]
fn a_box_cut_in_two_parts_weighs_the_same() {
    let whole = item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)));
    let parts = item(ItemShape::Compound(vec![
        part(cuboid(100.0, 200.0, 100.0), [-100.0, 0.0, 0.0], Up::PlusZ),
        part(cuboid(200.0, 200.0, 100.0), [50.0, 0.0, 0.0], Up::PlusZ),
    ]));
    let overlapping = item(ItemShape::Compound(vec![
        part(cuboid(200.0, 200.0, 100.0), [-50.0, 0.0, 0.0], Up::PlusZ),
        part(cuboid(200.0, 200.0, 100.0), [50.0, 0.0, 0.0], Up::PlusZ),
    ]));
    for (other, tolerance) in [(&parts, 1e-12), (&overlapping, 2e-5)] {
        assert!((other.volume().si() / whole.volume().si() - 1.0).abs() < tolerance);
        assert!(other.centre_of_volume().distance(whole.centre_of_volume()) < tolerance);
        for (a, b) in other.inertia().into_iter().zip(whole.inertia()) {
            assert!((a - b).length() < 2.0 * tolerance, "{a:?} {b:?}");
        }
    }
}

#[test]
fn overlapping_lying_cylinders_slice_to_their_union() {
    // The same cylinder twice, shifted along its axis by a third: the union is a longer cylinder.
    let twice = item(ItemShape::Compound(vec![
        part(cylinder(60.0, 90.0), [0.0, 0.0, 30.0], Up::PlusX),
        part(cylinder(60.0, 90.0), [30.0, 0.0, 30.0], Up::PlusX),
    ]));
    let exact = PI * 0.03 * 0.03 * 0.12;
    let got = twice.volume().si();
    assert!((got / exact - 1.0).abs() < 2e-3, "{got} {exact}");
}

#[test]
fn a_mesh_is_placed_and_its_centre_moves_with_it() {
    let item = item(ItemShape::Mesh {
        mesh: wedge(),
        file: "wedge.stl".to_owned(),
        doubts: Vec::new(),
    });
    assert!((item.volume().si() - 0.2 * 0.12 * 0.08 / 6.0).abs() < 1e-15);
    let centroid = wedge().positions.iter().fold(Vec3::ZERO, |s, &p| s + p) / 4.0;
    assert!(item.centre_of_volume().distance(centroid) < 1e-12);
    let posed = item.posed(Up::PlusY, Turn::SQUARE[2], 0.005);
    assert!(posed.centre_of_mass.distance(posed.pose.apply(centroid)) < 1e-12);
    assert!(posed.bounds.min.z.abs() < 1e-12);
    assert!(posed.bounds.centre().plan().length() < 1e-12);
    assert!((posed.bounds.size().z - 0.12).abs() < 1e-12);
    assert!(posed.stack.slabs.iter().all(|s| s.high - s.low <= 0.005 + 1e-9));
}

#[test]
fn a_stepped_mesh_has_a_band_at_its_step() {
    let mut mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.2, 0.1, 0.033));
    mesh.append(&Mesh::cuboid(
        Vec3::new(0.0, 0.0, 0.033),
        Vec3::new(0.1, 0.1, 0.08),
    ));
    let item = item(ItemShape::Mesh {
        mesh,
        file: "step.stl".to_owned(),
        doubts: Vec::new(),
    });
    let posed = item.posed(Up::PlusZ, Turn::NONE, 0.02);
    let at_step = posed.stack.slabs.iter().find(|s| (s.high - 0.033).abs() < 1e-9);
    assert!(
        at_step.is_some(),
        "{:?}",
        posed.stack.slabs.iter().map(|s| s.high).collect::<Vec<_>>()
    );
}

#[test]
fn entries_that_are_no_item_are_refused() {
    let refused = |change: &dyn Fn(&mut Item), words: &[&str]| {
        let mut item = item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)));
        change(&mut item);
        let message = item.validated().unwrap_err().to_string();
        for word in words {
            assert!(message.contains(word), "`{message}` lacks `{word}`");
        }
    };
    refused(&|i| i.quantity = 0, &["recorder", "quantity", "at least 1"]);
    refused(&|i| i.ways_up.clear(), &["ways_up", "+z"]);
    refused(&|i| i.mass.value = Mass::from_si(-1.0), &["mass", "-1 kg"]);
    refused(
        &|i| i.shape = ItemShape::Primitive(cuboid(-3.0, 1.0, 1.0)),
        &["shape.length", "-3 mm"],
    );
    refused(
        &|i| i.shape = ItemShape::Primitive(cylinder(0.0, 1.0)),
        &["shape.diameter", "greater than zero"],
    );
    refused(
        &|i| i.shape = ItemShape::Primitive(cylinder(f64::NAN, 1.0)),
        &["shape.diameter", "finite"],
    );
    refused(
        &|i| i.shape = ItemShape::Primitive(cuboid(300_000.0, 1.0, 1.0)),
        &["shape.length", "unit"],
    );
    refused(
        &|i| i.shape = ItemShape::Compound(Vec::new()),
        &["compound", "at least one"],
    );
    refused(
        &|i| {
            i.shape = ItemShape::Mesh {
                mesh: Mesh {
                    positions: vec![Vec3::ZERO, Vec3::new(0.1, 0.0, 0.0), Vec3::new(0.0, 0.1, 0.0)],
                    triangles: vec![[0, 1, 2]],
                },
                file: "plate.stl".to_owned(),
                doubts: Vec::new(),
            };
        },
        &["plate.stl", "flat along z"],
    );
}

#[test]
fn unlikely_entries_give_findings() {
    let found = |change: &dyn Fn(&mut Item), code: &str| {
        let mut item = item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)));
        change(&mut item);
        let findings = item.check();
        assert!(
            findings.iter().any(|f| f.code == code),
            "{code} is missing from {findings:?}"
        );
    };
    found(&|i| i.mass.value = Mass::from_si(0.05), "density-unlikely");
    found(&|i| i.mass.value = Mass::from_si(80.0), "density-unlikely");
    found(&|i| i.quantity = 0, "quantity-zero");
    found(&|i| i.ways_up.clear(), "ways-up-missing");
    found(
        &|i| i.centre_of_mass = Some(Vec3::new(0.0, 0.0, 0.2)),
        "centre-of-mass-outside",
    );
    found(
        &|i| i.fragility = Fragility::Known(Measured::exact(Acceleration::g(2.0))),
        "fragility-unlikely",
    );
    found(
        &|i| {
            let mut mesh = wedge();
            mesh.triangles.pop();
            i.shape = ItemShape::Mesh {
                mesh,
                file: "open.stl".to_owned(),
                doubts: Vec::new(),
            };
        },
        "mesh-open",
    );
    found(
        &|i| i.shape = ItemShape::Primitive(cuboid(1.0, 1.0, 1.0)),
        "size-unlikely",
    );
    assert!(
        item(ItemShape::Primitive(cuboid(300.0, 200.0, 100.0)))
            .check()
            .is_empty()
    );
}

#[test]
fn the_mesh_of_a_compound_has_its_volume() {
    let item = item(ItemShape::Compound(vec![
        part(cuboid(200.0, 100.0, 60.0), [0.0, 0.0, 0.0], Up::PlusZ),
        part(cylinder(30.0, 90.0), [70.0, 0.0, 60.0], Up::PlusZ),
    ]));
    let mesh = item.mesh();
    assert!(mesh.welded(1e-9).check().is_closed);
    let got = mesh.mass_properties().volume;
    assert!((got / item.volume().si() - 1.0).abs() < 1e-3, "{got}");
}

#[test]
fn odd_bands_do_not_panic() {
    let item = item(ItemShape::Primitive(cylinder(80.0, 150.0)));
    for band in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(
            !item
                .posed(Up::PlusX, Turn::SQUARE[3], band)
                .stack
                .slabs
                .is_empty()
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Any point of the mesh, posed, lies in the band of its height.
    #[test]
    fn a_posed_stack_holds_the_mesh(
        up in 0..6_usize, degrees in 0..360_u16, band in 0.002..0.03_f64,
        weights in prop::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64), 20),
    ) {
        let mesh = wedge();
        let item = item(ItemShape::Mesh { mesh: mesh.clone(), file: "wedge.stl".to_owned(), doubts: Vec::new() });
        let posed = item.posed(Up::ALL[up], Turn::degrees(degrees), band);
        for (a, b, c, d) in weights {
            let sum = a + b + c + d + 1e-9;
            let p = (mesh.positions[0] * a + mesh.positions[1] * b + mesh.positions[2] * c + mesh.positions[3] * (d + 1e-9)) / sum;
            let p = posed.pose.apply(p);
            let slab = posed.stack.slabs.iter().find(|s| s.low - 1e-12 <= p.z && p.z <= s.high + 1e-12);
            let slab = slab.unwrap();
            // On the safe side but for the booleans' own grid.
            prop_assert!(slab.region.signed_distance(p.plan()) <= 1e-6, "{:?} in {}..{}", p, slab.low, slab.high);
        }
    }

    /// The same for primitives, in every way up.
    #[test]
    fn a_posed_cylinder_holds_its_points(up in 0..6_usize, degrees in 0..360_u16, angle in 0.0..6.3_f64, r in 0.0..1.0_f64, z in 0.0..1.0_f64) {
        let item = item(ItemShape::Primitive(cylinder(80.0, 150.0)));
        let posed = item.posed(Up::ALL[up], Turn::degrees(degrees), 0.003);
        let plan = Vec2::new(0.04 * r, 0.0).rotated(angle);
        let p = posed.pose.apply(plan.at_height(0.15 * z));
        let holds = posed.stack.slabs.iter().filter(|s| s.low - 1e-12 <= p.z && p.z <= s.high + 1e-12)
            .any(|s| s.region.signed_distance(p.plan()) <= 1e-9);
        prop_assert!(holds, "{p:?}");
    }
}
