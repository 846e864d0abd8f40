//! Tests of what an item asks of the room beside it: room kept clear, grips, faces that carry no load.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::{Brief, Checks, Interior, Place, Support, pack, testing, verify};
use caddis_basis::Quiet;
use caddis_geometry::{Prism, Side, Vec3};
use caddis_survey::{ClearRoom, Up};

const STEPS: u64 = 200_000;
/// Index of the recorder: a box of 120 x 90 x 170 mm that stands.
const RECORDER: usize = 1;

fn brief_with(change: impl Fn(&mut caddis_survey::Item)) -> Brief {
    let mut brief = testing::brief();
    brief.items.truncate(3);
    change(&mut brief.items[RECORDER]);
    brief
}

fn recorder(interior: &Interior) -> (usize, &Place) {
    let found = interior
        .places
        .iter()
        .enumerate()
        .find(|(_, place)| place.item == RECORDER);
    found.unwrap()
}

/// A cable leaves the recorder's +x face, 25 mm wide, between 40 and 70 mm of its height.
fn with_cable() -> Brief {
    brief_with(|item| {
        item.keep_clear = vec![ClearRoom {
            name: "cable exit".to_owned(),
            from: Vec3::new(0.060, -0.0125, 0.040),
            to: Vec3::new(0.095, 0.0125, 0.070),
        }];
    })
}

#[test]
fn foam_and_pieces_stay_out_of_clear_room() {
    let brief = with_cable();
    let interior = testing::arranged(&brief, STEPS);
    let (index, place) = recorder(&interior);
    let room = &place.clear[0];
    assert!((room.high - room.low - 0.030).abs() < 1e-9);
    let plan = &room.region;
    for step in &interior.cavities[index].steps {
        if step.low < room.high - 1e-9 && step.high > room.low + 1e-9 {
            let foam = plan.difference(&step.region).area();
            assert!(
                foam < 2e-7 || step.low < room.low - 1e-9,
                "{foam} m² of foam in the room"
            );
        }
    }
    let mouth = &interior.cavities[index].steps.last().unwrap().region;
    assert!(
        plan.difference(mouth).area() < 2e-7,
        "the cable comes out with its item"
    );
    for (other, cavity) in interior.cavities.iter().enumerate() {
        for step in cavity.steps.iter().filter(|_| other != index) {
            assert!(step.region.intersection(plan).area() < 1e-9 || step.low >= room.high);
        }
    }
}

#[test]
fn nothing_bears_behind_clear_room() {
    let brief = with_cable();
    let interior = testing::arranged(&brief, STEPS);
    let (index, place) = recorder(&interior);
    let packed = pack(&interior, &brief, 0.003);
    let turned = place.pose.turn(Vec3::new(1.0, 0.0, 0.0));
    let side = crate::Direction::ALL
        .iter()
        .position(|way| way.vector().dot(turned) > 0.9)
        .unwrap();
    let room = &place.clear[0];
    let room = Prism {
        region: room.region.offset(1e-4, Side::Outer),
        low: room.low - 1e-4,
        high: room.high + 1e-4,
    };
    let mut before = 0;
    for patch in &packed[index].sides[side] {
        let is_before = room.holds(patch.patch.point + turned * 1e-3);
        before += usize::from(is_before);
        assert!(!is_before || patch.support == Support::Void, "{patch:?}");
    }
    assert!(before > 20, "{before} patches");
    assert!(
        packed[index].sides[side]
            .iter()
            .any(|patch| patch.support != Support::Void)
    );
}

#[test]
fn room_below_an_item_raises_it() {
    let brief = brief_with(|item| {
        item.keep_clear = vec![ClearRoom {
            name: "connector".to_owned(),
            from: Vec3::new(-0.01, -0.01, -0.020),
            to: Vec3::new(0.01, 0.01, 0.0),
        }];
    });
    let interior = testing::arranged(&brief, STEPS);
    let (index, place) = recorder(&interior);
    assert!((place.body.low().unwrap() - place.bottom - 0.020).abs() < 1e-9);
    assert!((place.clear[0].low - place.bottom).abs() < 1e-9);
    assert!((interior.cavities[index].steps[0].low - place.bottom).abs() < 1e-6);
    let whole = 0.120 * 0.090;
    let bearing: f64 = pack(&interior, &brief, 0.003)[index].sides[0]
        .iter()
        .filter(|patch| patch.support != Support::Void)
        .map(|patch| patch.patch.area)
        .sum();
    assert!((whole - bearing - 0.0004).abs() < 1.5e-4, "{bearing}");
}

#[test]
fn a_face_that_carries_no_load_under_squeezed_foam_is_a_finding() {
    let pressed = |brief: &Brief, interior: &Interior| {
        let checks = Checks {
            falls: None,
            spread: None,
            ..Checks::default()
        };
        let found = verify(interior, brief, &checks, &Quiet).findings;
        found.into_iter().find(|f| f.code == "no-load-face-pressed")
    };
    let mut brief = brief_with(|item| item.no_load = vec![Up::PlusZ]);
    let interior = testing::arranged(&brief, STEPS);
    let (_, place) = recorder(&interior);
    let finding = pressed(&brief, &interior).unwrap();
    assert_eq!(finding.place, place.instance.to_string());
    assert!(finding.margin.is_some_and(|margin| !margin.is_kept()));
    brief.items[RECORDER].no_load = vec![Up::PlusX];
    assert!(
        pressed(&brief, &interior).is_none(),
        "its side is under no squeezed foam"
    );
}

#[test]
fn fingers_go_where_it_may_be_gripped() {
    for (grips, along_x) in [
        (vec![Up::PlusX, Up::MinusX], true),
        (vec![Up::PlusY, Up::MinusY], false),
    ] {
        let brief = brief_with(|item| item.grips.clone_from(&grips));
        let interior = testing::arranged(&brief, STEPS);
        let (index, place) = recorder(&interior);
        let notches: Vec<_> = interior
            .notches
            .iter()
            .filter(|notch| notch.cavity == interior.cavities[index].id)
            .collect();
        assert!(!notches.is_empty(), "{grips:?}");
        for notch in notches {
            let away = notch.prism.region.bounds().unwrap().centre() - place.at;
            let own = place.pose.turn(Vec3::new(1.0, 0.0, 0.0)).plan();
            let along = away.dot(own).abs();
            let across = away.cross(own).abs();
            assert_eq!(
                along / 0.060 > across / 0.045,
                along_x,
                "{grips:?}: {along} along, {across} across"
            );
        }
    }
    let brief = brief_with(|item| item.grips = vec![Up::PlusZ]);
    let interior = testing::arranged(&brief, STEPS);
    let (index, _) = recorder(&interior);
    let id = &interior.cavities[index].id;
    assert!(interior.notches.iter().all(|notch| notch.cavity != *id));
}
