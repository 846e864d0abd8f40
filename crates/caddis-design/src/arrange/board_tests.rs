//! Tests of trays with a board: heights add up, every piece keeps its cushions, the board bears and is weighed.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::board::PackedBoard;
use crate::cushion::{Level, Load, cover, needs};
use crate::{BackBoard, Block, BlockKind, Support, pack, testing};
use caddis_basis::{Length, Quiet};
use std::sync::OnceLock;

const THICK: f64 = 0.004;
const MASS: f64 = 0.9;
/// Enough for a layout; to hold every fall takes more.
const STEPS: u64 = 120_000;

/// Seven flat displays: more than one tier holds.
fn brief(has_board: bool) -> Brief {
    let mut brief = testing::brief();
    brief.items = vec![brief.items[2].clone()];
    brief.items[0].quantity = 7;
    brief.handling.drop_height.value = Length::mm(350.0);
    brief.furnishing.tray_board = has_board.then_some(BackBoard {
        thickness: Length::from_si(THICK),
        mass_per_area: MASS,
        modulus: None,
    });
    brief
}

/// With a board, arranged once for all tests.
fn boarded() -> &'static Interior {
    static BOARDED: OnceLock<Interior> = OnceLock::new();
    BOARDED.get_or_init(|| testing::arranged(&brief(true), STEPS))
}

fn tray(interior: &Interior) -> &Block {
    let mut blocks = interior.blocks.iter();
    blocks
        .find(|block| matches!(block.kind, BlockKind::Tray(_)))
        .unwrap()
}

#[test]
fn heights_add_up_with_and_without_a_board() {
    for (has_board, gaps) in [(true, vec![THICK]), (false, vec![])] {
        let brief = brief(has_board);
        let plain;
        let interior = if has_board {
            boarded()
        } else {
            plain = testing::arranged(&brief, STEPS);
            &plain
        };
        let tray = tray(interior);
        assert!((tray.low - interior.blocks[0].high).abs() < 1e-9);
        assert!((tray.layers[0].low - tray.low).abs() < 1e-9);
        assert!((tray.layers.last().unwrap().high - tray.high).abs() < 1e-9);
        let pairs = tray.layers.windows(2);
        let found: Vec<f64> = pairs
            .map(|pair| pair[1].low - pair[0].high)
            .filter(|gap| gap.abs() > 1e-9)
            .collect();
        assert_eq!(found.len(), gaps.len(), "{found:?}");
        for (found, gap) in found.iter().zip(gaps) {
            assert!((found - gap).abs() < 1e-9, "{found}");
        }
        let free: f64 = tray.high - tray.low;
        assert!((tray.free_height - free).abs() < 1e-9);
        let room = brief.shell.rim_height().si() - tray.high;
        assert!((-1e-9..0.013).contains(&room), "{room}");
        assert_eq!(tray.board.is_some(), has_board);
        let ids: Vec<String> = tray.layers.iter().map(|layer| layer.id.to_string()).collect();
        let expected: Vec<String> = (1..=ids.len()).map(|number| format!("T1-{number}")).collect();
        assert_eq!(ids, expected);
    }
}

#[test]
fn both_tiers_keep_their_cushions_towards_the_board() {
    let brief = brief(true);
    let interior = boarded();
    let board = interior.tray_board().unwrap();
    let packed = pack(interior, &brief, 0.004);
    let mut tiers = [0, 0];
    for (place, packed) in interior.places.iter().zip(&packed) {
        tiers[place.tier] += 1;
        let way = ways::way(&brief, &brief.items[0], place.up, place.turn, 0);
        let (side, need, foam) = if place.tier == 1 {
            let need = needs(&brief, 0, &way.faces, &[Load::NONE; 6], &Level::FULL)[0];
            (0, need, place.bottom - board.high)
        } else {
            let need = cover(&brief, 0, &way.faces, &Level::FULL);
            (1, need, board.low - place.body.high().unwrap())
        };
        assert!(
            need > 0.02 && foam >= need - 1e-4,
            "{}: {foam} of {need}",
            place.instance
        );
        // The board stops every patch that way, and what is measured of foam is that of the stack.
        for patch in &packed.sides[side] {
            assert_eq!(patch.support, Support::Board, "{}", place.instance);
            assert!((patch.patch.thickness + patch.patch.gap - foam).abs() < 1.1e-3);
        }
    }
    assert!(tiers[0] > 0 && tiers[1] > 0, "{tiers:?}");
}

#[test]
fn the_board_passes_through_no_wall_and_out() {
    let brief = brief(true);
    let board = boarded().tray_board().unwrap();
    assert!(board.region.area() > 0.1);
    for step in 0..10 {
        let rim = brief.shell.rim_height().si();
        let z = board.low + (rim - 1e-4 - board.low) * f64::from(step) / 9.0;
        let room = board.region.room_inside(&brief.shell.wall_section(z));
        assert!(room > 0.003, "{room} at {z}");
    }
}

#[test]
fn what_leans_on_the_board_presses_what_lies_below() {
    let brief = brief(true);
    let interior = boarded();
    let packed = pack(interior, &brief, 0.004);
    let board = PackedBoard::of(interior, &brief).unwrap();
    let area = interior.tray_board().unwrap().region.area();
    assert!((board.mass - MASS * area).abs() < 1e-9);
    let below: Vec<usize> = (0..packed.len())
        .filter(|i| interior.places[*i].tier == 0)
        .collect();
    let passes = board.passes(&packed, 0);
    assert!(passes.iter().all(|(piece, _)| below.contains(piece)));
    assert_eq!(passes.len(), below.len());
    let share: f64 = passes.iter().map(|(_, share)| share).sum();
    // More than the share of its area: the foam over a piece and under it is thinner than a whole column.
    let covered: f64 = board.sides[0]
        .iter()
        .filter(|patch| matches!(patch.support, Support::Piece(_)))
        .map(|patch| patch.patch.area)
        .sum();
    assert!(
        share > covered / area && share < 1.0,
        "{share} {}",
        covered / area
    );
    let falls = crate::verify::flat_falls(interior, &brief, &packed);
    let mass = brief.items[0].mass.most().si();
    let above = (packed.len() - below.len()) as f64 * mass + board.mass;
    let carried: f64 = below.iter().map(|i| falls[*i].directions[0].carried.si()).sum();
    let expected = below.len() as f64 * mass + above * share;
    assert!((carried / expected - 1.0).abs() < 1e-9, "{carried} {expected}");
    // Sideways nothing passes through it.
    let tier = |piece: &caddis_basis::InstanceId| {
        let mut places = interior.places.iter();
        places
            .find(|place| place.instance == *piece)
            .map(|place| place.tier)
    };
    for (place, fall) in interior.places.iter().zip(&falls) {
        for side in &fall.directions[2..] {
            assert!(side.carries.iter().all(|rider| tier(rider) == Some(place.tier)));
        }
    }
}

#[test]
fn the_verified_interior_weighs_and_moves_its_board() {
    let brief = brief(true);
    let interior = &testing::arranged(&brief, 400_000);
    let checks = crate::Checks {
        spread: None,
        ..crate::Checks::default()
    };
    let verified = crate::verify(interior, &brief, &checks, &Quiet);
    let failing: Vec<_> = verified
        .findings
        .iter()
        .filter(|f| {
            f.domain == caddis_basis::Domain::Protection && f.severity == caddis_basis::Severity::Failing
        })
        .collect();
    assert!(failing.is_empty(), "{failing:#?}");
    let (_, mass) = verified
        .masses
        .iter()
        .find(|(what, _)| what == "board in the tray")
        .unwrap();
    let board = interior.tray_board().unwrap();
    assert!((mass.si() - MASS * board.region.area()).abs() < 1e-9);
    assert!(verified.items.iter().all(|item| item.falls.is_some()));
}

#[test]
fn a_piece_too_tall_for_a_tier_does_not_pass_through_the_board() {
    let mut brief = brief(true);
    brief.items.push(testing::brief().items[1].clone());
    let options = ArrangeOptions {
        seed: 7,
        steps: 60_000,
        workers: 2,
    };
    let Outcome::Impossible { reasons } = arrange(&brief, &options, &Quiet) else {
        panic!("it was arranged");
    };
    assert!(
        reasons
            .iter()
            .any(|reason| reason.code == "remedy-tried" && reason.sentence.contains("tray_board")),
        "{reasons:#?}"
    );
}

#[test]
fn a_known_arrangement_is_laid_out_on_the_same_board() {
    let brief = brief(true);
    let interior = boarded();
    let kept = Arrangement::of(interior, &brief);
    let again = lay_out(&brief, &kept).unwrap();
    assert_eq!(again.blocks, interior.blocks);
    let bottoms = |interior: &Interior| -> Vec<f64> { interior.places.iter().map(|p| p.bottom).collect() };
    assert_eq!(bottoms(&again), bottoms(interior));
}
