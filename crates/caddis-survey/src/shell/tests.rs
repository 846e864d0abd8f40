//! Shells against closed forms, themselves and random points.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use caddis_basis::{Certainty, Severity, Volume};
use caddis_geometry::Contour;
use proptest::prelude::*;
use std::f64::consts::PI;

pub(super) fn mm(value: f64) -> Measured<Length> {
    Measured {
        value: Length::mm(value),
        plus_minus: Some(Length::mm(1.0)),
        source: None,
    }
}

pub(super) fn exact(value: f64) -> Measured<Length> {
    Measured::exact(Length::mm(value))
}

pub(super) fn opening(length: f64, width: f64, radius: f64, centre: Vec2) -> Opening {
    Opening {
        length: mm(length),
        width: mm(width),
        corner_radius: mm(radius),
        centre,
    }
}

fn half(side: HalfSide, depth: f64, rim: Opening, floor: Opening, fillet: f64) -> ShellHalf {
    ShellHalf {
        side,
        rim,
        floor,
        depth: mm(depth),
        fillet: mm(fillet),
        wall: mm(4.0),
        steps: Vec::new(),
        dome: None,
        stated_drafts: None,
        intrusions: Vec::new(),
        traced: Vec::new(),
    }
}

pub(super) fn block(
    name: &str,
    kind: IntrusionKind,
    centre: [f64; 2],
    size: [f64; 2],
    to: f64,
    draft: f64,
) -> Intrusion {
    Intrusion {
        name: name.to_owned(),
        kind,
        outline: OutlineShape::Rectangle {
            centre: Vec2::new(centre[0] / 1000.0, centre[1] / 1000.0).into(),
            length: exact(size[0]),
            width: exact(size[1]),
            corner_radius: exact(8.0),
        },
        from: exact(0.0),
        to: mm(to),
        draft: Measured::exact(Angle::degrees(draft)),
        fillet: exact(0.0),
        removable: false,
        removed: false,
    }
}

/// A shell with everything in it.
pub(super) fn shell() -> Shell {
    let mut base = half(
        HalfSide::Base,
        240.0,
        opening(640.0, 400.0, 60.0, Vec2::ZERO),
        opening(620.0, 384.0, 50.0, Vec2::new(0.002, -0.001)),
        12.0,
    );
    base.intrusions = vec![
        block(
            "wheel housing left",
            IntrusionKind::WheelHousing,
            [-290.0, -150.0],
            [90.0, 80.0],
            110.0,
            3.0,
        ),
        block(
            "wheel housing right",
            IntrusionKind::WheelHousing,
            [-290.0, 150.0],
            [90.0, 80.0],
            110.0,
            3.0,
        ),
        block(
            "pull-handle housing",
            IntrusionKind::PullHandleHousing,
            [-290.0, 0.0],
            [60.0, 160.0],
            238.0,
            1.0,
        ),
        block("rib", IntrusionKind::Rib, [50.0, 0.0], [12.0, 300.0], 6.0, 5.0),
        block(
            "cross rib",
            IntrusionKind::Rib,
            [50.0, 0.0],
            [300.0, 12.0],
            5.0,
            5.0,
        ),
    ];
    let mut lid = half(
        HalfSide::Lid,
        75.0,
        opening(640.0, 400.0, 60.0, Vec2::ZERO),
        opening(634.0, 394.0, 56.0, Vec2::ZERO),
        10.0,
    );
    lid.intrusions = vec![Intrusion {
        name: "boss".to_owned(),
        kind: IntrusionKind::Boss,
        outline: OutlineShape::Circle {
            centre: Vec2::new(0.25, 0.15).into(),
            radius: exact(9.0),
        },
        from: exact(0.0),
        to: mm(40.0),
        draft: Measured::exact(Angle::degrees(2.0)),
        fillet: exact(0.0),
        removable: true,
        removed: false,
    }];
    Shell {
        name: "sample-640".to_owned(),
        title: "Sample 640".to_owned(),
        base,
        lid,
        outside: [mm(700.0), mm(450.0), mm(340.0)],
        empty_mass: Measured::exact(Mass::from_si(7.5)),
        nominal_inside: Some([Length::mm(640.0), Length::mm(400.0), Length::mm(315.0)]),
        total_depth: None,
        gasket: None,
        hinge: None,
        stacking_rating: None,
        fittings: vec![Fitting {
            name: "wheel".to_owned(),
            group: FittingGroup::Moving,
            count: 2,
            ..Fitting::default()
        }],
        photos: Vec::new(),
        record: SurveyRecord {
            sample: "1".to_owned(),
            measured_by: "bench".to_owned(),
            measured_on: "2026-11-25".to_owned(),
            ..SurveyRecord::default()
        },
        source: Source::new("demonstration", Certainty::Invented),
    }
}

/// The same shell with its length along y: (x, y) becomes (-y, x).
pub(super) fn turned(shell: &Shell) -> Shell {
    let turn = |o: &Opening| Opening {
        length: o.width.clone(),
        width: o.length.clone(),
        corner_radius: o.corner_radius.clone(),
        centre: Vec2::new(-o.centre.y, o.centre.x),
    };
    let mut turned = shell.clone();
    for half in [&mut turned.base, &mut turned.lid] {
        (half.rim, half.floor) = (turn(&half.rim), turn(&half.floor));
        for intrusion in &mut half.intrusions {
            match &mut intrusion.outline {
                OutlineShape::Rectangle {
                    centre,
                    length,
                    width,
                    ..
                } => {
                    std::mem::swap(length, width);
                    *centre = Vec2::new(-centre.y.value.si(), centre.x.value.si()).into();
                }
                OutlineShape::Circle { centre, .. } => {
                    *centre = Vec2::new(-centre.y.value.si(), centre.x.value.si()).into();
                }
                other => panic!("{other:?} is not turned here"),
            }
        }
        for section in &mut half.traced {
            for vertex in section.room.shapes.iter_mut().flat_map(|shape| {
                std::iter::once(&mut shape.outer)
                    .chain(&mut shape.holes)
                    .flat_map(|contour| &mut contour.vertices)
            }) {
                vertex.at = Vec2::new(-vertex.at.y, vertex.at.x);
            }
        }
    }
    turned.nominal_inside = shell.nominal_inside.map(|[l, w, h]| [w, l, h]);
    turned
}

/// A plain straight box without radii.
fn plain() -> Shell {
    let mut shell = shell();
    for half in [&mut shell.base, &mut shell.lid] {
        half.intrusions.clear();
        half.fillet = mm(0.0);
        half.rim = opening(640.0, 400.0, 0.0, Vec2::ZERO);
        half.floor = half.rim.clone();
    }
    shell
}

#[test]
fn a_sound_survey_passes_and_its_findings_are_notes() {
    let shell = shell().validated().unwrap();
    let findings = shell.check();
    for finding in &findings {
        assert!(
            finding.severity != Severity::Failing,
            "{}: {}",
            finding.id(),
            finding.sentence
        );
    }
    assert!(
        findings.iter().any(|f| f.code == "usable-below-nominal"),
        "{findings:?}"
    );
    assert!(
        findings.iter().any(|f| f.code == "housing-without-fitting"),
        "no pull handle is fitted"
    );
}

#[test]
fn a_base_that_narrows_by_055_in_over_855_in_has_a_draft_of_184_degrees() {
    let mut shell = shell();
    shell.base.rim.length.value = Length::inches(24.5);
    shell.base.floor.length.value = Length::inches(24.5 - 0.55);
    shell.base.floor.centre = Vec2::ZERO;
    shell.base.depth.value = Length::inches(8.55);
    let [left, right, ..] = shell.drafts(HalfSide::Base);
    assert!((left.as_degrees() - 1.84).abs() < 0.005, "{left}");
    assert!((right.as_degrees() - left.as_degrees()).abs() < 1e-9);
}

#[test]
fn a_shifted_floor_shares_the_draft_unevenly() {
    let drafts = shell().drafts(HalfSide::Base);
    assert!((drafts[0].as_degrees() - (12.0_f64 / 240.0).atan().to_degrees()).abs() < 1e-9);
    assert!((drafts[1].as_degrees() - (8.0_f64 / 240.0).atan().to_degrees()).abs() < 1e-9);
}

#[test]
fn volume_of_a_frustum_is_the_prismoidal_formula() {
    let mut shell = plain();
    shell.base.floor = opening(600.0, 370.0, 0.0, Vec2::ZERO);
    let (a, b, h) = (0.64 * 0.4, 0.6 * 0.37, 0.24);
    let middle = 0.62 * 0.385;
    let exact = h / 6.0 * (a + 4.0 * middle + b);
    let got = shell.usable_volume(HalfSide::Base).si();
    assert!((got / exact - 1.0).abs() < 1e-12, "{got} {exact}");
}

#[test]
fn volume_with_corner_radii_and_fillet_is_the_closed_form() {
    // Upright walls: the fillet takes its cross-section along the perimeter, corners by the theorem of Pappus.
    let mut shell = plain();
    let (r, f) = (0.06, 0.012);
    shell.base.rim = opening(640.0, 400.0, 60.0, Vec2::ZERO);
    shell.base.floor = shell.base.rim.clone();
    shell.base.fillet = mm(12.0);
    let plan = 0.64 * 0.4 - (4.0 - PI) * r * r;
    let straight = 2.0 * (0.64 + 0.4 - 4.0 * r) * f * f * (1.0 - PI / 4.0);
    // Around the corners the cross-section is swept about the corner's axis at the radius of its centroid: a square of
    // side f minus a quarter disc centred at the inner corner.
    let (square, disc) = (f * f, PI * f * f / 4.0);
    let centroid = (square * (f / 2.0) - disc * (4.0 * f / (3.0 * PI))) / (square - disc);
    let corners = 2.0 * PI * (r - f + centroid) * (square - disc);
    let exact = plan * 0.24 - straight - corners;
    let got = shell.usable_volume(HalfSide::Base).si();
    assert!((got / exact - 1.0).abs() < 1e-9, "{got} {exact}");
}

#[test]
fn an_intrusion_takes_its_own_volume_and_overlaps_count_once() {
    let mut shell = plain();
    let free = shell.usable_volume(HalfSide::Base).si();
    let mut post = block("post", IntrusionKind::Other, [0.0, 0.0], [100.0, 50.0], 80.0, 0.0);
    if let OutlineShape::Rectangle { corner_radius, .. } = &mut post.outline {
        *corner_radius = exact(0.0);
    }
    shell.base.intrusions = vec![post.clone(), post.clone()];
    let taken = free - shell.usable_volume(HalfSide::Base).si();
    assert!((taken - 0.1 * 0.05 * 0.08).abs() < 1e-12, "{taken}");
    // Half of it stands in the wall.
    if let OutlineShape::Rectangle { centre, .. } = &mut post.outline {
        *centre = Vec2::new(0.32, 0.0).into();
    }
    shell.base.intrusions = vec![post.clone()];
    let taken = free - shell.usable_volume(HalfSide::Base).si();
    assert!((taken - 0.05 * 0.05 * 0.08).abs() < 1e-12, "{taken}");
    post.removable = true;
    post.removed = true;
    shell.base.intrusions = vec![post];
    assert_eq!(
        shell.usable_volume(HalfSide::Base).si(),
        free,
        "taken off, it takes no room"
    );
}

#[test]
fn volume_agrees_with_sections_summed_finely() {
    let shell = shell();
    for side in [HalfSide::Base, HalfSide::Lid] {
        let (low, high) = match side {
            HalfSide::Base => (0.0, 0.24),
            HalfSide::Lid => (0.24, 0.315),
        };
        let n = 1200;
        let step = (high - low) / f64::from(n);
        let summed: f64 = (0..n)
            .map(|k| shell.section(low + step * (f64::from(k) + 0.5)).area() * step)
            .sum();
        let got = shell.usable_volume(side).si();
        assert!((got / summed - 1.0).abs() < 5e-5, "{side:?}: {got} {summed}");
    }
}

#[test]
fn the_ledger_sums_to_what_is_lost() {
    let shell = shell();
    let ledger = shell.volume_ledger();
    let lost: Volume = ledger.iter().map(|(_, volume)| *volume).sum();
    let usable = shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid);
    let nominal = shell.nominal_volume();
    assert!(((nominal - usable).si() - lost.si()).abs() < 1e-15, "{ledger:?}");
    for cause in [
        "base draft",
        "base corner radii",
        "base floor fillet",
        "wheel housing left",
        "lid draft",
        "boss",
    ] {
        let (_, volume) = ledger.iter().find(|(name, _)| name == cause).unwrap();
        assert!(volume.si() > 0.0, "{cause}");
    }
    assert_eq!(ledger[0].0, "nominal box against measured openings");
}

#[test]
fn sections_keep_true_arcs_and_end_at_floor_rim_and_crown() {
    let shell = shell();
    assert!(shell.section(-1e-6).is_empty() && shell.section(0.3151).is_empty());
    assert!(shell.section(f64::NAN).is_empty());
    let section = plainly_rounded().section(0.1);
    let bulged = section.shapes[0]
        .outer
        .vertices
        .iter()
        .filter(|v| v.bulge != 0.0)
        .count();
    assert_eq!(bulged, 4, "four corner arcs");
    let rim = shell.wall_section(0.24).area();
    assert!((rim - (0.64 * 0.4 - (4.0 - PI) * 0.06 * 0.06)).abs() < 1e-12);
}

fn plainly_rounded() -> Shell {
    let mut shell = shell();
    shell.base.intrusions.clear();
    shell
}

#[test]
fn section_area_falls_with_depth() {
    let shell = shell();
    let mut last = 0.0;
    for k in 0..=24 {
        let area = shell.wall_section(0.24 * f64::from(k) / 24.0).area();
        assert!(area > last, "base at {k}: {area} after {last}");
        last = area;
    }
    let mut last = f64::INFINITY;
    for k in 1..=24 {
        let area = shell.wall_section(0.24 + 0.075 * f64::from(k) / 24.0).area();
        assert!(area < last, "lid at {k}");
        last = area;
    }
}

#[test]
fn depth_at_named_points() {
    let shell = shell();
    let near = |p: Vec2, want: f64| {
        let got = shell.floor_height(p).unwrap();
        assert!((got - want).abs() < 1e-9, "{p:?}: {got} {want}");
    };
    near(Vec2::new(0.15, 0.1), 0.0);
    near(Vec2::new(0.05, 0.1), 0.006);
    near(Vec2::new(0.1, 0.0), 0.005);
    near(Vec2::new(0.05, 0.0), 0.006);
    // Wheel housing, near its middle.
    near(Vec2::new(-0.28, 0.15), 0.11);
    // The wall at +x halfway up: floor edge 312, rim edge 320.
    near(Vec2::new(0.316, 0.0), 0.12);
    assert_eq!(shell.floor_height(Vec2::new(0.3201, 0.0)), None);
    assert_eq!(shell.base_depth_at(Vec2::new(0.5, 0.0)), Length::ZERO);
    assert!((shell.base_depth_at(Vec2::new(0.05, 0.1)).as_mm() - 234.0).abs() < 1e-9);
    let boss = shell.crown_height_at(Vec2::new(0.25, 0.15)).unwrap();
    assert!((boss - 0.275).abs() < 1e-12, "{boss}");
    assert!((shell.crown_height_at(Vec2::ZERO).unwrap() - 0.315).abs() < 1e-12);
}

#[test]
fn contradictions_are_refused_with_field_and_remedy() {
    let refused = |change: &dyn Fn(&mut Shell), words: &[&str]| {
        let mut shell = shell();
        change(&mut shell);
        let message = shell.validated().unwrap_err().to_string();
        for word in words {
            assert!(message.contains(word), "`{message}` lacks `{word}`");
        }
    };
    refused(
        &|s| s.base.floor.length.value = Length::mm(700.0),
        &["base.floor.length", "700 mm", "640 mm"],
    );
    refused(&|s| s.base.floor.centre.x = 0.02, &["base.floor.centre", "+x"]);
    refused(
        &|s| s.lid.depth.value = Length::ZERO,
        &["lid.depth", "greater than zero"],
    );
    refused(
        &|s| s.base.rim.width.value = Length::mm(-3.0),
        &["base.rim.width", "-3 mm"],
    );
    refused(
        &|s| s.base.rim.width.value = Length::from_si(f64::NAN),
        &["base.rim.width", "finite"],
    );
    refused(
        &|s| s.base.rim.length.value = Length::from_si(640.0),
        &["base.rim.length", "unit"],
    );
    refused(
        &|s| s.base.rim.length.plus_minus = Some(Length::mm(900.0)),
        &["base.rim.length", "±"],
    );
    refused(
        &|s| {
            s.base.intrusions[3].outline = OutlineShape::Circle {
                centre: Vec2::new(0.0, 0.3).into(),
                radius: exact(20.0),
            };
        },
        &["base.intrusions[3]", "rib", "outside"],
    );
    refused(
        &|s| s.base.intrusions[0].to.value = Length::mm(300.0),
        &["base.intrusions[0].to", "300 mm", "240 mm"],
    );
    refused(
        &|s| s.base.intrusions[0].from = exact(120.0),
        &["base.intrusions[0]", "beyond where it starts"],
    );
    refused(
        &|s| s.base.intrusions[0].draft.value = Angle::degrees(-2.0),
        &["draft", "-2 deg"],
    );
    refused(&|s| s.empty_mass.value = Mass::ZERO, &["empty_mass"]);
    refused(&|s| s.base.side = HalfSide::Lid, &["base", "other half"]);
}

#[test]
fn weak_surveys_give_findings() {
    let found = |change: &dyn Fn(&mut Shell), code: &str| {
        let mut shell = shell();
        change(&mut shell);
        let findings = shell.check();
        let finding = findings.iter().find(|f| f.code == code);
        assert!(finding.is_some(), "{code} is missing from {findings:?}");
        assert!(
            finding.unwrap().margin.as_ref().is_none_or(|m| !m.is_kept()),
            "{code}"
        );
    };
    found(&|s| s.base.floor = s.base.rim.clone(), "draft-unlikely");
    found(
        &|s| s.base.floor.length.value = Length::mm(560.0),
        "draft-unlikely",
    );
    found(
        &|s| s.base.rim.corner_radius.value = Length::mm(300.0),
        "corner-radius-too-large",
    );
    found(&|s| s.base.fillet.value = Length::mm(500.0), "fillet-too-large");
    found(
        &|s| s.lid.floor.corner_radius.value = Length::mm(5.0),
        "corner-undercut",
    );
    found(
        &|s| s.outside[0].value = Length::mm(630.0),
        "inside-larger-than-outside",
    );
    found(&|s| s.lid.rim.length.value = Length::mm(650.0), "rims-differ");
    found(
        &|s| s.base.intrusions[0].removed = true,
        "removed-but-not-removable",
    );
    found(
        &|s| s.base.intrusions[3].draft.value = Angle::degrees(55.0),
        "intrusion-closes-early",
    );
    found(&|s| s.record.measured_by.clear(), "record-incomplete");
    found(&|s| s.base.depth.plus_minus = None, "tolerance-missing");
    found(
        &|s| {
            s.base.intrusions.clear();
            s.outside = [mm(650.0), mm(410.0), mm(325.0)];
        },
        "fitting-without-place",
    );
    found(
        &|s| s.nominal_inside = Some([Length::mm(500.0); 3].map(|x| x * 0.5)),
        "usable-over-nominal",
    );
}

#[test]
fn obstacles_cover_the_intrusions_and_the_fillet() {
    let shell = shell();
    for side in [HalfSide::Base, HalfSide::Lid] {
        let obstacles = shell.obstacles(side);
        assert!(obstacles.iter().filter(|o| o.name.ends_with("fillet")).count() == 4);
        for obstacle in &obstacles {
            assert!(obstacle.low < obstacle.high && !obstacle.outline.is_empty());
        }
    }
    let names: Vec<_> = shell
        .obstacles(HalfSide::Base)
        .iter()
        .map(|o| o.name.clone())
        .collect();
    assert!(names.iter().any(|n| n == "pull-handle housing"), "{names:?}");
}

#[test]
fn no_shell_however_odd_panics() {
    let mut shell = shell();
    shell.base.depth = mm(0.0);
    shell.lid.rim.length = mm(f64::NAN);
    shell.base.intrusions[0].to = mm(f64::INFINITY);
    shell.lid.fillet = mm(-5.0);
    let p = Vec2::new(f64::NAN, 0.0);
    for z in [0.0, f64::NAN, 0.03, -1.0] {
        let _ = (shell.section(z), shell.least_section(z), shell.wall_section(z));
    }
    let _ = (
        shell.floor_height(p),
        shell.crown_height_at(p),
        shell.base_depth_at(p),
    );
    for side in [HalfSide::Base, HalfSide::Lid] {
        let _ = (
            shell.half_spaces(side),
            shell.obstacles(side),
            shell.usable_volume(side),
            shell.drafts(side),
        );
    }
    let _ = (shell.volume_ledger(), shell.check(), shell.validated());
}

/// The k-th of some traced sections: a cut corner, and a hexagon that stands free and draws in.
fn traced(half: &ShellHalf, k: u32, of: u32) -> TracedSection {
    let share = f64::from(k + 1) / f64::from(of + 1);
    let out = Vec2::new(half.rim.length.value.si(), half.rim.width.value.si()) * (0.40 + 0.12 * share);
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 0.4), (0.5, 1.0), (-1.0, 1.0)];
    let hexagon = (0..6).map(|k| {
        let angle = f64::from(k) * PI / 3.0;
        Vec2::new(angle.cos(), angle.sin()) * (0.05 - 0.03 * share)
    });
    TracedSection {
        at: mm((half.depth.value * (0.9 * share)).as_mm()),
        room: Region::from_contours(&[
            Contour::polygon(corners.map(|(x, y)| Vec2::new(x * out.x, y * out.y))),
            Contour::polygon(hexagon.map(|p| p + Vec2::new(0.02, -0.01))),
        ]),
        plus_minus: Some(Length::mm(0.4)),
    }
}

prop_compose! {
    /// Any shell that validates, with a shifted, drafted floor.
    pub(super) fn any_shell()(
        length in 300.0..900.0_f64, width in 200.0..600.0_f64, radius in 0.0..90.0_f64,
        lean_x in 2.0..20.0_f64, lean_y in 2.0..20.0_f64, shift_x in -0.9..0.9_f64, shift_y in -0.9..0.9_f64,
        depth in 80.0..400.0_f64, fillet in 0.0..30.0_f64, less_radius in 0.0..1.0_f64,
        housing in 30.0..120.0_f64, housing_draft in 0.0..8.0_f64, traces in 0..4_u32,
    ) -> Shell {
        let mut shell = shell();
        let rim = opening(length, width, radius, Vec2::ZERO);
        let centre = Vec2::new(shift_x * lean_x, shift_y * lean_y) / 1000.0;
        // A corner opens towards the rim: the floor's radius is smaller by less than the lean.
        let least_lean = (lean_x * (1.0 - shift_x.abs())).min(lean_y * (1.0 - shift_y.abs()));
        let floor = opening(
            length - 2.0 * lean_x,
            width - 2.0 * lean_y,
            (radius - least_lean * less_radius).max(0.0),
            centre,
        );
        shell.base = half(HalfSide::Base, depth, rim.clone(), floor.clone(), fillet);
        shell.lid = half(HalfSide::Lid, depth / 3.0, rim, floor, fillet / 2.0);
        shell.base.intrusions = vec![
            block("housing", IntrusionKind::WheelHousing, [-length / 2.0 + 20.0, -width / 2.0 + 20.0],
                [housing, housing], depth * 0.4, housing_draft),
        ];
        for half in [&mut shell.base, &mut shell.lid] {
            half.traced = (0..traces).map(|k| traced(half, k, traces)).collect();
        }
        shell
    }
}

/// A point in and around the opening.
fn sample(shell: &Shell, u: f64, v: f64) -> Vec2 {
    let rim = &shell.base.rim;
    Vec2::new(rim.length.value.si() * u, rim.width.value.si() * v)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn half_spaces_are_inner(shell in any_shell(), t in 0.0..=1.0_f64, points in prop::collection::vec((-0.55..0.55_f64, -0.55..0.55_f64), 60)) {
        for (side, z, bare) in [
            (HalfSide::Base, shell.rim_height().si() * t, &shell.base),
            (HalfSide::Lid, (shell.rim_height() + shell.lid.depth.value * t).si(), &shell.lid),
        ] {
            let spaces = shell.half_spaces(side);
            let depth = bare.depth.value.si();
            let h = if side == HalfSide::Base { z } else { shell.crown_height().si() - z };
            let walls = profile::Profile::nominal(bare).walls_at(h.clamp(0.0, depth));
            for &(u, v) in &points {
                // Half of the points are drawn to the corners, where chords matter.
                let p = sample(&shell, u.signum() * u.abs().sqrt() * 0.742, v.signum() * v.abs().sqrt() * 0.742);
                if spaces.iter().all(|s| s.normal.dot(p) <= s.offset + s.slope * z) {
                    prop_assert!(walls.signed_distance(p) <= 1e-9, "{p:?} at {z} is {} out", walls.signed_distance(p));
                }
            }
        }
    }

    #[test]
    fn half_spaces_cut_off_no_more_than_the_chords(shell in any_shell(), t in 0.0..=1.0_f64, u in -0.5..0.5_f64, v in -0.5..0.5_f64) {
        let z = shell.rim_height().si() * t;
        let walls = profile::Profile::nominal(&shell.base).walls_at(z);
        let p = sample(&shell, u, v);
        if walls.signed_distance(p) < -0.009 * walls.radius - 1e-9 {
            for s in shell.half_spaces(HalfSide::Base) {
                prop_assert!(s.normal.dot(p) <= s.offset + s.slope * z);
            }
        }
    }

    #[test]
    fn floor_height_and_section_agree(shell in any_shell(), u in -0.55..0.55_f64, v in -0.55..0.55_f64, t in 0.0..1.0_f64) {
        let p = sample(&shell, u, v);
        let z = shell.rim_height().si() * t;
        let section = shell.section(z);
        match shell.floor_height(p) {
            None => prop_assert!(!section.contains(p)),
            // Booleans follow arcs within 20 micrometres: points that close to a boundary prove nothing.
            Some(height) if section.signed_distance(p).abs() > 5e-5 => {
                prop_assert_eq!(section.contains(p), height <= z, "{:?} at {}: height {}", p, z, height);
            }
            Some(_) => {}
        }
        let above = shell.crown_height().si() - shell.lid.depth.value.si() * t * 0.999;
        let section = shell.section(above);
        if let Some(height) = shell.crown_height_at(p) && section.signed_distance(p).abs() > 5e-5 {
            prop_assert_eq!(section.contains(p), height >= above);
        }
    }

    #[test]
    fn sections_hold_the_least_section(shell in any_shell(), u in -0.5..0.5_f64, v in -0.5..0.5_f64, t in 0.0..1.0_f64) {
        let z = shell.crown_height().si() * t;
        let p = sample(&shell, u, v);
        let least = shell.least_section(z);
        if least.signed_distance(p) < -5e-5 {
            prop_assert!(shell.section(z).contains(p), "{p:?} at {z}");
        }
        prop_assert!(least.area() < shell.section(z).area());
    }

    #[test]
    fn obstacles_are_outer(shell in any_shell(), u in -0.5..0.5_f64, v in -0.5..0.5_f64, t in 0.0..1.0_f64) {
        let p = sample(&shell, u, v);
        let z = shell.rim_height().si() * t;
        let in_the_way = shell.obstacles(HalfSide::Base).iter().any(|o| o.low <= z && z < o.high && o.outline.contains(p));
        let walls = profile::Profile::nominal(&shell.base).walls_at(z).signed_distance(p);
        // Between the walls and clear of every obstacle the section must be free.
        if !in_the_way && walls < -5e-5 {
            let section = shell.section(z);
            // Where traced sections and walls are two readings of one wall the walls stand.
            let off = if shell.base.traced.is_empty() { 5e-5 } else { 6.5e-4 };
            prop_assert!(section.contains(p) || section.signed_distance(p) < off, "{p:?} at {z}");
        }
    }
}
