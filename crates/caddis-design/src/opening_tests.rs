//! Openings find room where there is some, keep their webs, and stay out where there is none.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::opening::{Foam, openings};
use crate::{
    BlockKind, Brief, Cavity, ChannelWish, Furnishing, Interior, LabelWish, Opening, OpeningKind, TrayLift,
    testing,
};
use caddis_basis::Length;
use proptest::prelude::*;

/// A tray with boxes (centre x, size x/y/z in mm) hanging flush.
fn tray(pieces: &[(f64, [f64; 3])]) -> Interior {
    let mut interior = testing::shelf(pieces);
    interior.blocks[0].kind = BlockKind::Tray(1);
    interior
}

fn found(brief: &Brief, interior: &Interior) -> Vec<Opening> {
    openings(&Foam {
        brief,
        blocks: &interior.blocks,
        places: &interior.places,
        cavities: &interior.cavities,
        notches: &interior.notches,
        spaces: &interior.spaces,
    })
}

fn wishing(furnishing: Furnishing) -> Brief {
    Brief {
        furnishing,
        ..testing::brief()
    }
}

fn holes() -> Furnishing {
    Furnishing {
        tray_lift: TrayLift::Holes,
        ..Furnishing::default()
    }
}

fn channel(interior: &Interior) -> Furnishing {
    Furnishing {
        channels: vec![ChannelWish {
            between: (
                interior.places[0].instance.clone(),
                interior.places[1].instance.clone(),
            ),
            width: Length::mm(12.0),
            depth: Length::mm(15.0),
        }],
        ..Furnishing::default()
    }
}

#[test]
fn nothing_is_cut_that_nobody_asked_for() {
    let interior = tray(&[(0.0, [80.0, 60.0, 100.0])]);
    assert_eq!(found(&testing::brief(), &interior), []);
}

#[test]
fn lift_holes_lie_at_two_ends_in_line_with_the_weight() {
    let interior = tray(&[(0.0, [100.0, 60.0, 100.0])]);
    let holes = found(&wishing(holes()), &interior);
    assert_eq!(holes.len(), 2);
    let centres: Vec<_> = holes
        .iter()
        .map(|hole| hole.prism.region.bounds().unwrap().centre())
        .collect();
    assert!((centres[0].x + centres[1].x).abs() < 1e-9, "{centres:?}");
    assert!(centres.iter().all(|at| at.y.abs() < 1e-9), "{centres:?}");
    // 10 mm of web to the edge at 150 mm, half a width of 38 mm.
    assert!((centres[1].x - 0.121).abs() < 1e-6 + 0.005, "{centres:?}");
    assert!(
        holes
            .iter()
            .all(|hole| hole.kind == OpeningKind::Lift && hole.place == "tray 1")
    );
}

#[test]
fn lift_holes_without_room_are_told_of() {
    let brief = wishing(holes());
    let interior = tray(&[(0.0, [270.0, 170.0, 100.0])]);
    assert_eq!(found(&brief, &interior), []);
    let mut findings = Vec::new();
    crate::verify::furnished(&interior, &brief, &mut findings);
    assert!(
        findings.iter().any(|finding| finding.code == "no-lift-hole"),
        "{findings:?}"
    );
}

#[test]
fn a_piece_no_finger_takes_is_pushed_out_from_below() {
    let brief = wishing(Furnishing {
        push_out_holes: true,
        ..Furnishing::default()
    });
    let mut interior = tray(&[(-60.0, [80.0, 60.0, 100.0]), (60.0, [80.0, 60.0, 100.0])]);
    interior.notches.push(crate::Notch {
        cavity: interior.cavities[1].id.clone(),
        prism: interior.cavities[1].steps[0].clone(),
    });
    let holes = found(&brief, &interior);
    assert_eq!(holes.len(), 1);
    let hole = &holes[0];
    assert_eq!(
        (hole.kind, hole.prism.low),
        (OpeningKind::PushOut, interior.blocks[0].low)
    );
    assert!((hole.prism.high - interior.cavities[0].steps[0].low).abs() < 1e-12);
    let before = interior.foam_volume(&interior.blocks[0]);
    interior.openings = holes;
    let cut = before - interior.foam_volume(&interior.blocks[0]);
    let expected = std::f64::consts::PI * 0.015_f64.powi(2) * (0.14 - 0.02);
    assert!((cut / expected - 1.0).abs() < 1e-3, "{cut} {expected}");
    // On the floor of the case nobody reaches it from below.
    interior.blocks[0].kind = BlockKind::Base;
    assert_eq!(found(&brief, &interior), []);
}

#[test]
fn a_channel_joins_two_cavities_by_the_shortest_way() {
    let interior = tray(&[(-60.0, [60.0, 60.0, 100.0]), (60.0, [60.0, 60.0, 100.0])]);
    let cut = found(&wishing(channel(&interior)), &interior);
    assert_eq!(cut.len(), 1);
    let prism = &cut[0].prism;
    assert!((prism.high - prism.low - 0.015).abs() < 1e-12);
    let both = interior.cavities[0].steps[0]
        .region
        .union(&interior.cavities[1].steps[0].region);
    let area = prism.region.difference(&both).area();
    assert!((area - 0.060 * 0.012).abs() < 1e-8, "{area}");
}

#[test]
fn a_channel_goes_round_what_stands_between() {
    let interior = tray(&[
        (-100.0, [40.0, 120.0, 100.0]),
        (100.0, [40.0, 120.0, 100.0]),
        (0.0, [40.0, 70.0, 100.0]),
    ]);
    let cut = found(&wishing(channel(&interior)), &interior);
    assert_eq!(cut.len(), 1);
    let between = &interior.cavities[2].steps[0].region;
    assert!(cut[0].prism.region.distance(between) >= 0.010 - 1e-9);
    // A wall from side to side leaves no way.
    let walled = tray(&[
        (-100.0, [40.0, 60.0, 100.0]),
        (100.0, [40.0, 60.0, 100.0]),
        (0.0, [40.0, 195.0, 100.0]),
    ]);
    assert_eq!(found(&wishing(channel(&walled)), &walled), []);
}

#[test]
fn a_label_lies_at_the_front() {
    let interior = tray(&[(0.0, [80.0, 60.0, 100.0])]);
    let wished = Furnishing {
        label: Some(LabelWish {
            length: Length::mm(120.0),
            width: Length::mm(40.0),
            depth: Length::mm(2.0),
        }),
        ..Furnishing::default()
    };
    let cut = found(&wishing(wished.clone()), &interior);
    let bounds = cut[0].prism.region.bounds().unwrap();
    assert!((bounds.size().x - 0.12).abs() < 1e-9 && bounds.centre().x.abs() < 1e-9);
    assert!((bounds.min.y + 0.09).abs() < 0.005 + 1e-9, "{bounds:?}");
    let mut brief = wishing(wished);
    brief.clearances.through_cuts = true;
    assert_eq!(found(&brief, &interior), [], "a pocket needs a router");
}

fn prisms(cavity: &Cavity) -> impl Iterator<Item = &caddis_geometry::Prism> {
    cavity.steps.iter()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Wherever pieces lie, what is cut keeps the least web to every cavity it does not serve and to the edge.
    #[test]
    fn openings_keep_their_webs(x in -60.0..60.0_f64, l in 30.0..90.0_f64, w in 30.0..150.0_f64, h in 40.0..180.0_f64) {
        let interior = tray(&[(x, [l, w, h]), (x.signum() * -100.0, [50.0, 80.0, 60.0])]);
        let brief = wishing(Furnishing {
            label: Some(LabelWish { length: Length::mm(60.0), width: Length::mm(25.0), depth: Length::mm(3.0) }),
            ..holes()
        });
        let web = brief.clearances.least_notch_web.si() - 1e-6;
        let cut = found(&brief, &interior);
        for (index, opening) in cut.iter().enumerate() {
            let region = &opening.prism.region;
            for prism in interior.cavities.iter().flat_map(prisms) {
                if prism.low < opening.prism.high && opening.prism.low < prism.high {
                    prop_assert!(region.distance(&prism.region) >= web, "{:?}", opening.kind);
                }
            }
            prop_assert!(region.room_inside(&interior.blocks[0].layers[0].outline) >= web);
            for other in &cut[index + 1..] {
                prop_assert!(region.distance(&other.prism.region) >= web);
            }
        }
    }
}
