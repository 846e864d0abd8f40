//! Steps, domes, outlines of any kind, and measurements that disagree.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::tests::{any_shell, block, exact, mm, opening, shell};
use super::*;
use caddis_basis::Finding;
use proptest::prelude::*;
use std::f64::consts::PI;

fn find<'a>(findings: &'a [Finding], code: &str) -> &'a Finding {
    findings
        .iter()
        .find(|finding| finding.code == code)
        .unwrap_or_else(|| panic!("{code} is missing from {findings:?}"))
}

fn with(outline: OutlineShape, to: f64) -> Intrusion {
    Intrusion {
        outline,
        ..block("piece", IntrusionKind::Other, [0.0, 0.0], [10.0, 10.0], to, 0.0)
    }
}

/// Upright walls 600 x 400, no radii.
fn upright() -> Shell {
    let mut shell = shell();
    for half in [&mut shell.base, &mut shell.lid] {
        half.intrusions.clear();
        half.fillet = mm(0.0);
        half.rim = opening(600.0, 400.0, 0.0, Vec2::ZERO);
        half.floor = half.rim.clone();
    }
    shell
}

#[test]
fn a_step_takes_its_ledge() {
    let mut shell = upright();
    shell.base.floor = opening(560.0, 380.0, 0.0, Vec2::ZERO);
    shell.base.steps = vec![Step {
        at: mm(60.0),
        below: opening(560.0, 380.0, 0.0, Vec2::ZERO),
        above: opening(600.0, 400.0, 0.0, Vec2::ZERO),
    }];
    let shell = shell.validated().unwrap();
    let exact = 0.56 * 0.38 * 0.06 + 0.6 * 0.4 * 0.18;
    let got = shell.usable_volume(HalfSide::Base).si();
    assert!((got / exact - 1.0).abs() < 1e-12, "{got} {exact}");
    let edge = shell.floor_height(Vec2::new(0.29, 0.0)).unwrap();
    assert!((edge - 0.06).abs() < 1e-9, "{edge}");
    assert!((shell.wall_section(0.03).area() - 0.56 * 0.38).abs() < 1e-12);
    // The half-spaces promise the whole opening; the ring of the step takes it back.
    let p = Vec2::new(0.29, 0.0);
    assert!(
        shell
            .obstacles(HalfSide::Base)
            .iter()
            .any(|o| o.is_wall && o.outline.contains(p) && o.low <= 0.0 && o.high > 0.059)
    );
    let ledger = shell.volume_ledger();
    assert!(ledger.iter().any(|(cause, _)| cause == "base steps and dome"));
    assert!(
        shell
            .drafts(HalfSide::Base)
            .iter()
            .all(|draft| draft.si().abs() < 1e-9),
        "a ledge is no draft"
    );
}

#[test]
fn a_dome_is_a_quarter_of_an_ellipse() {
    let mut shell = upright();
    shell.lid.dome = Some(Dome {
        rise: mm(30.0),
        flat: opening(400.0, 200.0, 0.0, Vec2::ZERO),
    });
    let shell = shell.validated().unwrap();
    // Sizes grow by 200 sin a over 30 (1 - cos a): the integral of length times width over height.
    let (a, b, c, d, rise) = (0.4, 0.2, 0.2, 0.2, 0.03);
    let dome = rise * (a * b + (a * d + b * c) * PI / 4.0 + c * d * 2.0 / 3.0);
    let got = shell.usable_volume(HalfSide::Lid).si() - 0.6 * 0.4 * 0.045;
    assert!(
        got < dome && got > dome * 0.995,
        "chords lie inside: {got} {dome}"
    );
    assert!((shell.crown_height_at(Vec2::ZERO).unwrap() - shell.crown_height().si()).abs() < 1e-9);
    let edge = shell.crown_height_at(Vec2::new(0.299, 0.0)).unwrap();
    assert!(edge < shell.crown_height().si() - 0.02, "{edge}");
}

#[test]
fn an_outline_of_any_kind_takes_its_area() {
    let mut shell = upright();
    let free = shell.usable_volume(HalfSide::Base).si();
    let points = [
        [0.0, 0.0],
        [100.0, 0.0],
        [100.0, 40.0],
        [40.0, 40.0],
        [40.0, 100.0],
        [0.0, 100.0],
    ];
    let l_shape = OutlineShape::Polygon {
        points: points
            .iter()
            .map(|p| Position::from(Vec2::new(p[0] / 1e3, p[1] / 1e3)))
            .collect(),
        corner_radius: exact(0.0),
    };
    shell.base.intrusions = vec![with(l_shape, 50.0)];
    let taken = free - shell.usable_volume(HalfSide::Base).si();
    assert!(
        (taken - (0.1 * 0.04 + 0.04 * 0.06) * 0.05).abs() < 1e-9,
        "{taken}"
    );
    assert_eq!(
        shell.floor_height(Vec2::new(0.07, 0.07)),
        Some(0.0),
        "the notch is free"
    );
    assert_eq!(shell.floor_height(Vec2::new(0.02, 0.07)), Some(0.05));
}

#[test]
fn what_is_attached_to_wall_or_corner_counts_from_its_foot() {
    let mut shell = upright();
    let free = shell.usable_volume(HalfSide::Base).si();
    let on_wall = OutlineShape::OnWall {
        wall: Wall::Left,
        along: exact(20.0),
        width: exact(100.0),
        stands_in: exact(30.0),
        corner_radius: exact(0.0),
    };
    let in_corner = OutlineShape::InCorner {
        corner: Corner::RightBack,
        length: exact(80.0),
        width: exact(60.0),
        corner_radius: exact(0.0),
    };
    shell.base.intrusions = vec![with(on_wall, 200.0), with(in_corner, 100.0)];
    let shell = shell.validated().unwrap();
    let taken = free - shell.usable_volume(HalfSide::Base).si();
    assert!(
        (taken - (0.1 * 0.03 * 0.2 + 0.08 * 0.06 * 0.1)).abs() < 1e-9,
        "{taken}"
    );
    assert_eq!(shell.floor_height(Vec2::new(-0.271, 0.02)), Some(0.2));
    assert_eq!(shell.floor_height(Vec2::new(-0.269, 0.02)), Some(0.0));
    assert_eq!(shell.floor_height(Vec2::new(0.221, 0.141)), Some(0.1));
}

#[test]
fn a_fillet_at_the_foot_widens_it() {
    let mut shell = upright();
    let mut post = with(
        OutlineShape::Circle {
            centre: Vec2::ZERO.into(),
            radius: exact(20.0),
        },
        50.0,
    );
    let free = shell.usable_volume(HalfSide::Base).si();
    post.fillet = exact(6.0);
    shell.base.intrusions = vec![post];
    let taken = free - shell.usable_volume(HalfSide::Base).si();
    // Pappus: a square less a quarter disc swept around the post.
    let (f, r) = (0.006_f64, 0.02);
    let (square, disc) = (f * f, PI * f * f / 4.0);
    let centroid = (square * f / 2.0 - disc * (f - 4.0 * f / (3.0 * PI))) / (square - disc);
    let exact = PI * r * r * 0.05 + 2.0 * PI * (r + centroid) * (square - disc);
    assert!((taken / exact - 1.0).abs() < 1e-3, "{taken} {exact}");
    let at_foot = shell.floor_height(Vec2::new(0.0255, 0.0)).unwrap();
    assert!(at_foot > 0.0 && at_foot < 0.001, "{at_foot}");
}

#[test]
fn tolerance_of_an_outline_grows_it_in_the_worst_case() {
    let mut shell = upright();
    let band = |value: f64| Measured {
        plus_minus: Some(Length::mm(2.0)),
        ..exact(value)
    };
    shell.base.intrusions = vec![with(
        OutlineShape::Rectangle {
            centre: Position {
                x: band(0.0),
                y: band(0.0),
            },
            length: band(100.0),
            width: band(60.0),
            corner_radius: exact(0.0),
        },
        50.0,
    )];
    let p = Vec2::new(0.0529, 0.0);
    assert!(shell.section(0.02).contains(p) && !shell.least_section(0.02).contains(p));
    assert!(shell.least_section(0.02).contains(Vec2::new(0.0531, 0.0)));
}

#[test]
fn measurements_that_disagree_are_found() {
    let found = |change: &dyn Fn(&mut Shell), code: &str| {
        let mut shell = shell();
        change(&mut shell);
        find(&shell.check(), code).clone()
    };
    let stated = |degrees: f64| -> [Measured<Angle>; 4] {
        std::array::from_fn(|_| Measured {
            plus_minus: Some(Angle::degrees(0.2)),
            ..Measured::exact(Angle::degrees(degrees))
        })
    };
    let finding = found(&|s| s.base.stated_drafts = Some(stated(4.5)), "draft-disagrees");
    assert!(!finding.margin.unwrap().is_kept());
    let finding = found(&|s| s.total_depth = Some(mm(330.0)), "depths-disagree");
    assert!(finding.sentence.contains("315 mm") && finding.sentence.contains("330 mm"));
    let finding = found(
        &|s| {
            s.base.intrusions[1] = Intrusion {
                name: "second".to_owned(),
                ..s.base.intrusions[0].clone()
            };
        },
        "intrusions-overlap",
    );
    assert!(finding.sentence.contains("second"));
    found(
        &|s| {
            s.gasket = Some(GasketRim {
                width: mm(8.0),
                height: mm(6.0),
                stands_in: mm(3.0),
            });
        },
        "gasket-narrows-opening",
    );
    let finding = found(
        &|s| {
            s.fittings[0].places = vec![[mm(-370.0), mm(180.0), mm(20.0)]];
            s.fittings[0].size = Some([mm(60.0), mm(30.0), mm(60.0)]);
        },
        "fitting-outside",
    );
    assert_eq!(finding.severity, caddis_basis::Severity::Failing);
    found(
        &|s| s.fittings[0].state = FittingState::Damaged,
        "fitting-condition",
    );
    // As they are, nothing of all this is said.
    let quiet = shell();
    let mut agrees = quiet.clone();
    agrees.total_depth = Some(mm(315.0));
    agrees.base.stated_drafts = Some(quiet.drafts(HalfSide::Base).map(Measured::exact));
    for finding in agrees.check() {
        assert!(
            !finding.code.ends_with("disagree") && !finding.code.ends_with("disagrees"),
            "{finding:?}"
        );
    }
}

#[test]
fn contradictions_of_steps_domes_and_outlines_are_refused() {
    let refused = |change: &dyn Fn(&mut Shell), words: &[&str]| {
        let mut shell = shell();
        change(&mut shell);
        let message = shell.validated().unwrap_err().to_string();
        for word in words {
            assert!(message.contains(word), "`{message}` lacks `{word}`");
        }
    };
    let narrow = || opening(500.0, 300.0, 20.0, Vec2::ZERO);
    refused(
        &|s| {
            s.base.steps = vec![Step {
                at: mm(100.0),
                below: narrow(),
                above: narrow(),
            }];
        },
        &["base.steps", "narrows"],
    );
    refused(
        &|s| {
            s.base.steps = vec![Step {
                at: mm(300.0),
                below: narrow(),
                above: narrow(),
            }];
        },
        &["base.steps[0].at", "300 mm"],
    );
    refused(
        &|s| {
            s.lid.dome = Some(Dome {
                rise: mm(20.0),
                flat: narrow(),
            });
        },
        &["lid.fillet", "dome"],
    );
    refused(
        &|s| {
            s.base.intrusions[0].outline = OutlineShape::Polygon {
                points: [[0.0, 0.0], [0.1, 0.1], [0.1, 0.0], [0.0, 0.1]]
                    .map(|p| Position::from(Vec2::new(p[0], p[1])))
                    .to_vec(),
                corner_radius: exact(0.0),
            };
        },
        &["base.intrusions[0].points", "crosses itself"],
    );
    refused(
        &|s| {
            s.base.intrusions[0].from = exact(20.0);
            s.base.intrusions[0].fillet = exact(5.0);
        },
        &["base.intrusions[0].fillet", "from"],
    );
}

#[test]
fn the_longest_span_lies_between_the_latches_farthest_apart() {
    let mut shell = shell();
    let latch = |x: f64, y: f64| [mm(x), mm(y), mm(240.0)];
    shell.fittings.push(Fitting {
        name: "draw latch".to_owned(),
        group: FittingGroup::Closing,
        count: 2,
        places: vec![latch(-200.0, -205.0), latch(200.0, -205.0)],
        ..Fitting::default()
    });
    let spans = shell.unlocked_spans();
    assert_eq!(spans.len(), 1);
    // Without a hinge: round the back, 2080 - 400.
    assert!((spans[0].length.as_mm() - 1680.0).abs() < 1e-9, "{spans:?}");
    shell.hinge = Some(Hinge {
        wall: Wall::Back,
        beyond: mm(8.0),
        above_rim: mm(0.0),
        opens_to: None,
    });
    // From a latch round the corner to the hinge's wall: 120 + 400; between the latches 400.
    assert!((shell.unlocked_spans()[0].length.as_mm() - 520.0).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn volume_falls_with_draft_and_with_radii(mut shell in any_shell(), more in 0.5..8.0_f64) {
        // Where a trace is narrower than the walls it counts, whatever the walls do.
        shell.base.traced.clear();
        let volume = |shell: &Shell| shell.usable_volume(HalfSide::Base).si();
        let before = volume(&shell);
        let mut leaning = shell.clone();
        leaning.base.floor.length.value -= Length::mm(2.0 * more);
        leaning.base.floor.width.value -= Length::mm(2.0 * more);
        prop_assert!(volume(&leaning) < before);
        let mut rounder = shell.clone();
        for opening in [&mut rounder.base.rim, &mut rounder.base.floor] {
            opening.corner_radius.value += Length::mm(more);
        }
        prop_assert!(volume(&rounder) < before);
        let mut filleted = shell.clone();
        filleted.base.fillet.value += Length::mm(more);
        prop_assert!(volume(&filleted) < before);
    }

    #[test]
    fn ledgers_sum(shell in any_shell()) {
        let lost: f64 = shell.volume_ledger().iter().map(|(_, volume)| volume.si()).sum();
        let usable = shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid);
        prop_assert!((shell.nominal_volume().si() - usable.si() - lost).abs() < 1e-12);
    }
}
