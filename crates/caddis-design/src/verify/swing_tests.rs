//! The lid's swing on an interior made by hand.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::testing::{brief, shelf};
use crate::{Brief, Checks, Interior, verify};
use caddis_basis::{Finding, Length, Measured, Quiet, Severity, Verdict};
use caddis_geometry::{Prism, Region, Vec2};
use caddis_survey::{Hinge, Wall};

/// A hinge behind the back wall, level with the rim plane.
fn hinged(beyond: f64, above: f64) -> Brief {
    let mut brief = brief();
    brief.shell.hinge = Some(Hinge {
        wall: Wall::Back,
        beyond: Measured::exact(Length::mm(beyond)),
        above_rim: Measured::exact(Length::mm(above)),
        opens_to: None,
    });
    brief
}

fn swing_of(interior: &Interior, brief: &Brief) -> (Verdict, Vec<Finding>) {
    let checks = Checks {
        falls: None,
        spread: None,
        ..Checks::default()
    };
    let verified = verify(interior, brief, &checks, &Quiet);
    let verdict = verified
        .case
        .iter()
        .find(|c| c.code == "lid-swing")
        .unwrap()
        .verdict;
    let findings = verified
        .findings
        .into_iter()
        .filter(|f| f.code.starts_with("lid-swing") || f.code == "needs-filler")
        .collect();
    (verdict, findings)
}

/// A piece that stands `proud` mm into a recess of the lid pad, with `room` mm of play around it.
fn in_recess(proud: f64, room: f64) -> Interior {
    let mut interior = shelf(&[(0.0, [100.0, 80.0, 60.0])]);
    let half = Vec2::new(0.05 + room / 1e3, 0.04 + room / 1e3);
    let up = proud / 1e3;
    let place = &mut interior.places[0];
    place.body.slabs[0].low += up;
    place.body.slabs[0].high += up;
    interior.cavities[0].steps = vec![Prism {
        region: Region::rectangle(half * -1.0, half),
        low: 0.18 + up,
        high: 0.24 + up + 0.001,
    }];
    interior
}

#[test]
fn a_flush_interior_swings_clear_wherever_the_hinge_is() {
    let flush = shelf(&[(0.0, [100.0, 80.0, 60.0])]);
    assert_eq!(swing_of(&flush, &brief()), (Verdict::Holds, Vec::new()));
}

#[test]
fn what_stands_proud_asks_for_the_hinge() {
    let (verdict, findings) = swing_of(&in_recess(30.0, 3.0), &brief());
    assert_eq!(verdict, Verdict::NotKnown);
    assert_eq!(findings[0].code, "lid-swing-not-known");
}

#[test]
fn a_recess_without_play_meets_the_piece_along_the_arc_and_a_wide_one_does_not() {
    // The piece's side towards the hinge lies 200 + 12 - 40 = 172 mm from the axis and its top 60 mm above it: on its way
    // out the recess's edge moves 60 mm x sin along before it is 60 mm up.
    let near = hinged(12.0, 0.0);
    let (verdict, findings) = swing_of(&in_recess(60.0, 0.5), &near);
    assert_eq!(verdict, Verdict::Fails, "{findings:?}");
    let finding = findings.iter().find(|f| f.code == "lid-swing-meets").unwrap();
    assert_eq!(finding.severity, Severity::Failing);
    assert!(finding.margin.as_ref().is_some_and(|m| !m.is_kept()));
    assert!(finding.place.contains("/1"), "{}", finding.place);
    let (verdict, findings) = swing_of(&in_recess(60.0, 25.0), &near);
    assert_eq!(verdict, Verdict::Holds, "{findings:?}");
    // A low one leaves before it moves along.
    let (verdict, findings) = swing_of(&in_recess(8.0, 2.0), &near);
    assert_eq!(verdict, Verdict::Holds, "{findings:?}");
}

#[test]
fn a_low_piece_needs_a_filler() {
    let mut low = shelf(&[(0.0, [100.0, 80.0, 60.0])]);
    low.places[0].body.slabs[0].high -= 0.02;
    let (_, findings) = swing_of(&low, &brief());
    let finding = findings.iter().find(|f| f.code == "needs-filler").unwrap();
    assert!(finding.sentence.contains("20.0 mm"), "{}", finding.sentence);
    assert!(finding.remedy.as_deref().unwrap().contains("filler of 20 mm"));
}
