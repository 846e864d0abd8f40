//! Tests of what lies across the case: when it does, its cushions, its pocket, its notches and who leans on it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::{PinWish, Place, testing};
use caddis_basis::{InstanceId, Length};
use caddis_geometry::{Vec2, Vec3};
use caddis_survey::{ClearRoom, Fragility, Item, Turn, Up};
use std::sync::OnceLock;

const STEPS: u64 = 300_000;

/// A bar longer than the test case is inside, but not than its diagonal.
fn bar() -> Item {
    testing::flat("bar", [640.0, 40.0, 40.0], 1.2, 120.0)
}

/// The bar, a recorder and two batteries.
fn brief() -> Brief {
    let mut brief = testing::brief();
    brief.items = vec![bar(), brief.items[1].clone(), brief.items[0].clone()];
    brief.handling.drop_height.value = Length::mm(350.0);
    brief
}

/// The brief's interior, arranged once for all tests.
fn usual() -> &'static Interior {
    static USUAL: OnceLock<Interior> = OnceLock::new();
    USUAL.get_or_init(|| testing::arranged(&brief(), STEPS))
}

fn place_of<'a>(interior: &'a Interior, item: &str) -> (usize, &'a Place) {
    let mut places = interior.places.iter().enumerate();
    places
        .find(|(_, place)| place.instance.item.as_str() == item)
        .unwrap()
}

/// Direction of an item's length in plan.
fn along(place: &Place) -> Vec2 {
    place.pose.turn(Vec3::new(1.0, 0.0, 0.0)).plan()
}

#[test]
fn what_is_too_long_for_the_sides_lies_across() {
    let (_, bar) = place_of(usual(), "bar");
    assert!(!bar.turn.is_square(), "{}", bar.turn);
    let turned = Vec2::new(1.0, 0.0).rotated(bar.turn.radians());
    assert!(along(bar).distance(turned) < 1e-12);
    // It is the bar still: as long, and centred on its box.
    let size = bar.body.bounds().unwrap().size();
    let (sin, cos) = bar.turn.radians().sin_cos();
    let box_x = 0.640 * cos.abs() + 0.040 * sin.abs();
    assert!((size.x - box_x).abs() < 1e-6, "{} {box_x}", size.x);
    assert!(bar.body.bounds().unwrap().centre().plan().distance(bar.at) < 1e-9);
    assert!(bar.centre_of_mass.plan().distance(bar.at) < 1e-9);
    // What fits along the sides lies along them.
    for place in usual()
        .places
        .iter()
        .filter(|place| place.instance != bar.instance)
    {
        assert!(place.turn.is_square(), "{} {}", place.instance, place.turn);
    }
}

#[test]
fn its_pocket_holds_it_and_is_no_larger_than_it_must() {
    let (index, bar) = place_of(usual(), "bar");
    let cavity = &usual().cavities[index];
    for step in &cavity.steps {
        let section = bar.body.shadow(f64::NEG_INFINITY, step.high);
        assert!(section.difference(&step.region).area() < 2e-7);
    }
    // Its box is several times its plan: a pocket for the box would be.
    let mouth = cavity.steps.last().unwrap().region.area();
    assert!(mouth < 1.5 * 0.640 * 0.040, "{mouth}");
    // Fingers come in beside its long sides.
    let notches: Vec<_> = usual().notches.iter().filter(|n| n.cavity == cavity.id).collect();
    assert!(!notches.is_empty());
    for notch in notches {
        let away = notch.prism.region.bounds().unwrap().centre() - bar.at;
        assert!((away.cross(along(bar)).abs() - 0.020).abs() < 2e-3, "{away:?}");
    }
}

#[test]
fn nothing_is_turned_across_that_need_not_be() {
    let mut brief = brief();
    brief.items[0] = testing::flat("bar", [440.0, 40.0, 40.0], 1.2, 120.0);
    for place in &testing::arranged(&brief, STEPS).places {
        assert!(place.turn.is_square(), "{}", place.instance);
    }
}

#[test]
fn what_may_not_be_turned_is_said_to_be_too_long_and_turning_is_tried() {
    let mut brief = brief();
    brief.items[0].may_turn = false;
    let Outcome::Impossible { reasons } = testing::outcome(&brief, STEPS) else {
        panic!("it fits without a turn")
    };
    assert_eq!(reasons[0].code, "piece-too-large");
    assert!(
        reasons[0].sentence.contains("too long"),
        "{}",
        reasons[0].sentence
    );
    let helps = |reason: &caddis_basis::Finding| {
        reason.code == "remedy-tried" && reason.sentence.contains("then everything fits")
    };
    assert!(reasons.iter().any(helps), "{reasons:#?}");
}

#[test]
fn a_pin_may_lie_across_by_any_degree() {
    let mut brief = brief();
    brief.items = vec![testing::flat("bar", [500.0, 40.0, 40.0], 1.2, 120.0)];
    let at = Vec2::new(0.03, 0.0);
    brief.wishes.pinned = vec![PinWish {
        piece: InstanceId::new(brief.items[0].id.clone(), 1),
        at,
        up: None,
        turn: Turn::degrees(27),
        in_tray: false,
        in_lid: false,
    }];
    let interior = testing::arranged(&brief, STEPS);
    let (_, bar) = place_of(&interior, "bar");
    assert_eq!((bar.turn, bar.at), (Turn::degrees(27), at));
    let kept = Arrangement::of(&interior, &brief);
    let again = lay_out(&brief, &kept).unwrap();
    assert_eq!(again.places, interior.places);
    assert_eq!(again.cavities, interior.cavities);
}

#[test]
fn room_kept_clear_turns_with_its_item() {
    let mut brief = brief();
    brief.items[0].keep_clear = vec![ClearRoom {
        name: "handle".to_owned(),
        from: Vec3::new(-0.05, 0.020, 0.010),
        to: Vec3::new(0.05, 0.050, 0.030),
    }];
    let interior = testing::arranged(&brief, STEPS);
    let (index, bar) = place_of(&interior, "bar");
    assert!(!bar.turn.is_square());
    let room = &bar.clear[0];
    assert!((room.region.area() - 0.100 * 0.030).abs() < 1e-9);
    let middle = bar.pose.apply(Vec3::new(0.0, 0.035, 0.020));
    assert!(room.holds(middle));
    let mouth = &interior.cavities[index].steps.last().unwrap().region;
    assert!(room.region.difference(mouth).area() < 2e-7);
    assert!(mouth.area() < 1.6 * (0.640 * 0.040 + 0.003), "{}", mouth.area());
}

#[test]
fn a_hand_is_told_of_ways_across() {
    let brief = brief();
    let arrangement = Arrangement::of(usual(), &brief);
    let live = Live::new(&brief, &arrangement).unwrap();
    let (_, bar) = place_of(usual(), "bar");
    assert!(live.knows(&bar.instance, Up::PlusZ, bar.turn), "it lies so");
    let lies = live.spot(&bar.instance).unwrap();
    assert!(live.lie(&bar.instance, &lies).unwrap().is_allowed);
    let recorder = place_of(usual(), "recorder").1;
    let spot = Spot {
        turn: Turn::degrees(45),
        ..live.spot(&recorder.instance).unwrap()
    };
    assert!(live.lie(&recorder.instance, &spot).is_none(), "not prepared");
    let across = live
        .across(&brief, &recorder.instance, Up::PlusZ, Turn::degrees(45))
        .unwrap();
    let lie = across.lie(&recorder.instance, &spot).unwrap();
    let corners = lie.outline.bounds().unwrap().size();
    assert!(corners.x > 0.140 && corners.y > 0.140, "{corners:?}");
    // The others lie as they do, and it finds them in its way all the same.
    for place in &usual().places {
        assert_eq!(across.spot(&place.instance), live.spot(&place.instance));
        let (one, other) = (live.spot(&place.instance), across.spot(&place.instance));
        assert_eq!(
            live.lie(&place.instance, &one.unwrap()),
            across.lie(&place.instance, &other.unwrap())
        );
    }
    let onto = Spot { at: bar.at, ..spot };
    let meets = across.lie(&recorder.instance, &onto).unwrap();
    assert!(
        meets
            .broken
            .iter()
            .any(|broken| broken.breach == Breach::Collision)
    );
    assert!(
        live.across(&brief, &recorder.instance, Up::MinusX, Turn::degrees(45))
            .is_none()
    );
}

#[test]
fn where_all_else_fails_the_longest_lie_across() {
    let mut brief = brief();
    brief.items.truncate(1);
    brief.items[0] = testing::flat("bar", [440.0, 40.0, 150.0], 1.2, 120.0);
    let question = Question::new(&brief).unwrap();
    let attempts = question.attempts().unwrap();
    let across = attempts.iter().find(|attempt| attempt.across).unwrap();
    let turned = question.with_the_longest_turned(across).unwrap();
    let ways = &turned.ways[0];
    assert!((5..=2 + 10).contains(&ways.len()), "{} ways", ways.len());
    let oblique = ways.iter().filter(|way| !way.turn.is_square());
    assert_eq!(oblique.clone().count() + 2, ways.len());
    assert!(
        oblique
            .clone()
            .all(|way| way.turn.as_degrees().is_multiple_of(15))
    );
    assert!(oblique.clone().all(|way| way.cost > 0.0));
    // A round one looks the same however it is turned.
    brief.items[0] = testing::items()[4].clone();
    brief.items[0].fragility = Fragility::Unknown;
    let question = Question::new(&brief).unwrap();
    assert!(oblique::oblique(&brief.items[0], &question.ways[0], (5, 0.05), |_, _| true).is_empty());
}
