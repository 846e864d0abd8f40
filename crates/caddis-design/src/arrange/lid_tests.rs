//! Tests of pieces in the lid: their pockets and the cover under them, their cushions, and what keeps a piece out of it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::cushion::{Level, Load, lid_side, needs};
use crate::{Block, BlockKind, Checks, PinWish, Place, Support, pack, testing, verify};
use caddis_basis::{InstanceId, Length, Quiet};
use caddis_geometry::Vec2;
use caddis_survey::{Item, Turn};
use std::sync::OnceLock;

const STEPS: u64 = 120_000;

/// A flat tablet that may lie in the lid.
fn tablet() -> Item {
    let mut tablet = testing::flat("tablet", [180.0, 110.0, 18.0], 0.3, 120.0);
    tablet.may_lie_in_lid = true;
    tablet
}

/// A recorder, two batteries, and a tablet.
fn brief() -> Brief {
    let mut brief = testing::brief();
    brief.items = vec![brief.items[1].clone(), brief.items[0].clone(), tablet()];
    brief.handling.drop_height.value = Length::mm(350.0);
    brief
}

fn pinned(mut brief: Brief, at: Vec2) -> Brief {
    brief.wishes.pinned = vec![PinWish {
        piece: InstanceId::new(brief.items[2].id.clone(), 1),
        at,
        up: None,
        turn: Turn::NONE,
        in_tray: false,
        in_lid: true,
    }];
    brief
}

const AT: Vec2 = Vec2 { x: 0.05, y: -0.02 };

fn checks() -> Checks {
    Checks {
        spread: None,
        ..Checks::default()
    }
}

/// Arranged once for all tests.
fn lying() -> &'static Interior {
    static LYING: OnceLock<Interior> = OnceLock::new();
    LYING.get_or_init(|| testing::arranged(&pinned(brief(), AT), STEPS))
}

fn in_lid(interior: &Interior) -> Vec<&Place> {
    interior.places.iter().filter(|place| place.in_lid).collect()
}

fn pad(interior: &Interior) -> &Block {
    let mut blocks = interior.blocks.iter();
    blocks.find(|block| block.kind == BlockKind::LidPad).unwrap()
}

#[test]
fn a_piece_pinned_in_the_lid_lies_over_its_cover() {
    let (brief, interior) = (pinned(brief(), AT), lying());
    let [place] = in_lid(interior)[..] else {
        panic!("not one piece in the lid");
    };
    let pad = pad(interior);
    let cover = pad.cover.unwrap();
    assert_eq!(interior.lid_cover(), Some((pad.low, cover)));
    assert!((place.bottom - cover).abs() < 1e-9);
    assert!(place.at.distance(AT) < 1e-9);
    // Layers without gaps, a joint at the cover's top, numbered through.
    let mut z = pad.low;
    for (number, layer) in (1..).zip(&pad.layers) {
        assert!(
            (layer.low - z).abs() < 1e-9,
            "{} begins at {}",
            layer.id,
            layer.low
        );
        assert_eq!(layer.id.to_string(), format!("L{number}"));
        z = layer.high;
    }
    assert!((z - brief.crown().si()).abs() < 1e-9);
    assert!(pad.layers.iter().any(|layer| (layer.low - cover).abs() < 1e-9));
    assert_eq!(
        pad.layers.iter().filter(|layer| pad.is_of_cover(layer)).count(),
        pad.layers
            .iter()
            .filter(|layer| layer.high <= cover + 1e-9)
            .count()
    );
    // One pocket, open at the cover, that holds the piece.
    let cavity = interior
        .cavities
        .iter()
        .find(|c| c.instance == place.instance)
        .unwrap();
    let pocket = cavity.steps.last().unwrap();
    assert!((pocket.low - cover).abs() < 1e-9 && (Some(pocket.high) == place.body.high()));
    let body = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY);
    assert!(body.difference(&pocket.region).area() < 1e-7);
}

#[test]
fn it_keeps_its_cushions_towards_roof_walls_and_base() {
    let (brief, interior) = (pinned(brief(), AT), lying());
    let packed = pack(interior, &brief, 0.004);
    let index = interior.places.iter().position(|place| place.in_lid).unwrap();
    let place = &interior.places[index];
    let way = ways::way(&brief, &brief.items[2], place.up, place.turn, 0);
    let asked = needs(&brief, 2, &way.faces, &[Load::NONE; 6], &Level::FULL);
    let thinnest = |side: usize| {
        let patches = packed[index].sides[side].iter();
        patches
            .filter(|patch| patch.support != Support::Void)
            .map(|patch| patch.patch.thickness)
            .fold(f64::INFINITY, f64::min)
    };
    for (side, asked) in asked.into_iter().enumerate().skip(1) {
        assert!(thinnest(side) >= asked - 1e-3, "side {side}: {}", thinnest(side));
    }
    let (low, high) = interior.lid_cover().unwrap();
    assert!(high - low >= lid_side(&brief, 2, &way.faces[0]) - 1e-6);
    // A relief in the cover leaves a rim of it as thick as it is.
    let rim = packed[index].sides[0]
        .iter()
        .filter(|patch| patch.support != Support::Void);
    let rim = rim.map(|patch| patch.patch.thickness).fold(0.0, f64::max);
    assert!(rim >= high - low - 1e-6, "{rim}");
    // What is under it and needs more over it than the cover lies elsewhere.
    let plan = place.body.shadow(f64::NEG_INFINITY, f64::INFINITY);
    for other in interior.places.iter().filter(|other| !other.in_lid) {
        let way = ways::way(&brief, &brief.items[other.item], other.up, other.turn, 0);
        let meets = other
            .body
            .shadow(f64::NEG_INFINITY, f64::INFINITY)
            .intersection(&plan)
            .area()
            > 1e-6;
        assert!(
            !meets || lid_side(&brief, other.item, &way.faces[1]) <= high - low + 1e-4,
            "{}",
            other.instance
        );
    }
}

#[test]
fn the_verification_knows_what_the_lid_carries() {
    let (brief, interior) = (pinned(brief(), AT), lying());
    let found = verify(interior, &brief, &checks(), &Quiet);
    let codes: Vec<&str> = found.findings.iter().map(|finding| finding.code).collect();
    assert!(codes.contains(&"lid-carries"), "{codes:?}");
    for code in ["stands-proud", "lid-swing-meets", "tips-out", "needs-filler"] {
        assert!(!codes.contains(&code), "{code}: {:#?}", found.findings);
    }
    // The pad must be held with what lies in it.
    let weight = |interior: &Interior| {
        let found = verify(interior, &brief, &checks(), &Quiet);
        let held = found
            .case
            .iter()
            .find(|verdict| verdict.code == "lid-pad-held")
            .unwrap();
        held.margin.as_ref().unwrap().limit
    };
    let mut empty = interior.clone();
    for place in &mut empty.places {
        place.in_lid = false;
    }
    let tablet = 2.0 * brief.items[2].mass.most().weight().si();
    assert!((weight(interior) - weight(&empty) - tablet).abs() < 1e-6);
}

#[test]
fn known_places_give_the_same_interior_again() {
    let (brief, interior) = (pinned(brief(), AT), lying());
    let known = Arrangement::of(interior, &brief);
    assert!(known.has_pockets());
    let again = lay_out(&brief, &known).unwrap();
    assert_eq!(again.blocks, interior.blocks);
    assert_eq!(again.places, interior.places);
    let live = Live::new(&brief, &known).unwrap();
    let piece = in_lid(interior)[0].instance.clone();
    let spot = live.spot(&piece).unwrap();
    assert!(spot.in_lid && live.has_pockets() && live.tiers() == 1);
    let lie = live.lie(&piece, &spot).unwrap();
    assert!(lie.is_allowed, "{:#?}", lie.broken);
    let out = Spot {
        at: Vec2::new(0.6, 0.0),
        ..spot
    };
    let lie = live.lie(&piece, &out).unwrap();
    assert!(!lie.is_allowed && lie.broken.iter().any(|broken| broken.breach == Breach::Collision));
}

#[test]
fn the_lid_takes_what_the_base_has_no_room_for() {
    let mut brief = brief();
    let rim = &brief.shell.base.rim;
    // As large as leaves the tablet no room beside it nor over it.
    let size = [
        rim.length.value.as_mm() - 160.0,
        rim.width.value.as_mm() - 140.0,
        190.0,
    ];
    let mut chest = testing::flat("chest", size, 9.0, 100.0);
    chest.may_turn = false;
    brief.items = vec![chest, tablet()];
    brief.items[1].may_lie_in_lid = false;
    assert!(
        matches!(testing::outcome(&brief, STEPS), Outcome::Impossible { .. }),
        "the tablet finds room below"
    );
    brief.items[1].may_lie_in_lid = true;
    let interior = testing::arranged(&brief, STEPS);
    assert_eq!(in_lid(&interior).len(), 1);
}

#[test]
fn only_what_may_lie_in_the_lid_is_laid_there() {
    let mut forbidden = pinned(brief(), AT);
    forbidden.items[2].may_lie_in_lid = false;
    let Outcome::Impossible { reasons } = testing::outcome(&forbidden, STEPS) else {
        panic!("it lies there");
    };
    assert_eq!(reasons[0].code, "lid-not-deep-enough");
    let mut through = pinned(brief(), AT);
    through.clearances.through_cuts = true;
    assert!(matches!(
        testing::outcome(&through, STEPS),
        Outcome::Impossible { .. }
    ));
    let mut thick = pinned(brief(), AT);
    thick.items[2] = testing::flat("tablet", [180.0, 110.0, 70.0], 0.5, 100.0);
    thick.items[2].may_lie_in_lid = true;
    assert!(matches!(
        testing::outcome(&thick, STEPS),
        Outcome::Impossible { .. }
    ));
    // Where the base has room nothing needs the lid.
    assert!(in_lid(&testing::arranged(&brief(), STEPS)).is_empty());
}
