//! Small cases whose answer is known.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_geometry::{Placement2, Vec2};
use caddis_layout::{
    Facet, Hindrance, Piece, Placement, Prepared, Problem, Tier, referee, search, search_from,
};
use support::{block, mixed, options, prism, problem, rectangle, room, stepped, way};

#[test]
fn four_boxes_fill_the_room_exactly() {
    // 2 x (100 + foam) + web = 240: walls 10, web 20.
    let pieces = (0..4)
        .map(|k| block(&format!("box {k}"), 1, (0.1, 0.1, 0.05), (0.01, 0.02, 0.01)))
        .collect();
    let question = problem(room(0.24, 0.24, 0.06, 0.0), pieces);
    let layout = search(&question, &options(1, 400_000), &Quiet)
        .into_result()
        .unwrap();
    assert!(layout.spare.abs() < 1e-6, "{}", layout.spare);
    assert!(layout.imbalance < 1e-6);
    let tighter = problem(room(0.2398, 0.24, 0.06, 0.0), question.pieces.clone());
    assert!(
        search(&tighter, &options(1, 200_000), &Quiet)
            .into_result()
            .is_none()
    );
}

#[test]
fn a_shallow_piece_lies_over_the_housing_and_a_deep_one_does_not() {
    let mut region = room(0.2, 0.2, 0.2, 0.0);
    region.hindrances.push(Hindrance {
        name: "wheel housing".to_owned(),
        outline: rectangle(0.19, 0.19),
        low: 0.0,
        high: 0.1,
    });
    let shallow = block("shallow", 1, (0.15, 0.15, 0.08), (0.02, 0.02, 0.02));
    let deep = block("deep", 2, (0.15, 0.15, 0.081), (0.02, 0.02, 0.02));
    let layout = search(
        &problem(region.clone(), vec![shallow]),
        &options(1, 50_000),
        &Quiet,
    )
    .into_result()
    .unwrap();
    assert!((layout.placements[0].bottom - 0.12).abs() < 1e-12);
    let Outcome::Impossible { reasons } = search(&problem(region, vec![deep]), &options(1, 50_000), &Quiet)
    else {
        panic!("a deep piece cannot lie over the housing");
    };
    assert!(
        reasons
            .iter()
            .any(|reason| reason.sentence.contains("wheel housing")),
        "{reasons:?}"
    );
}

#[test]
fn too_long_is_told_with_its_millimetres() {
    let leg = block("tripod leg", 1, (0.614, 0.06, 0.05), (0.02, 0.02, 0.02));
    let mut leg = leg;
    leg.orientations.truncate(1);
    let Outcome::Impossible { reasons } = search(
        &problem(room(0.64, 0.4, 0.15, 0.0), vec![leg]),
        &options(1, 1_000_000),
        &Quiet,
    ) else {
        panic!("the leg is too long");
    };
    assert_eq!(reasons.len(), 1);
    assert_eq!(reasons[0].code, "piece-too-large");
    assert_eq!(
        reasons[0].sentence,
        "tripod leg is 14 mm too long for the room at that depth"
    );
    let margin = reasons[0].margin.as_ref().unwrap();
    assert!((margin.found - 614.0).abs() < 1e-6 && (margin.limit - 600.0).abs() < 1e-6);
}

/// # Source
/// A rectangle l x w turned by t has a box of l |cos t| + w |sin t| by l |sin t| + w |cos t|: trigonometry.
#[test]
fn a_rod_lies_across_at_the_angles_that_its_box_allows() {
    let (length, width, foam) = (0.64, 0.40, 0.02);
    let inside = (length - 2.0 * foam, width - 2.0 * foam);
    let mut counts = Vec::new();
    for (l, w) in [
        (0.5, 0.05),
        (0.614, 0.06),
        (0.65, 0.03),
        (0.68, 0.02),
        (0.75, 0.02),
    ] {
        let mut rod = block("rod", 1, (l, w, 0.05), (foam, foam, foam));
        rod.orientations = (0..36)
            .map(|k| {
                let turn = Placement2 {
                    angle: f64::from(k) * 5.0_f64.to_radians(),
                    shift: Vec2::ZERO,
                };
                way(
                    k as u32,
                    prism(rectangle(l, w).placed(&turn), 0.05),
                    foam,
                    foam,
                    foam,
                )
            })
            .collect();
        let fits = |k: &usize| {
            let (sin, cos) = (*k as f64 * 5.0_f64.to_radians()).sin_cos();
            let size = (l * cos.abs() + w * sin.abs(), l * sin.abs() + w * cos.abs());
            size.0 <= inside.0 && size.1 <= inside.1
        };
        let expected: Vec<usize> = (0..36).filter(fits).collect();
        let question = problem(room(length, width, 0.15, 0.0), vec![rod]);
        let found = Prepared::new(question.clone()).lies_alone(0);
        assert_eq!(found, expected, "{l} x {w}");
        counts.push(found.len());
        if let Some(layout) = search(&question, &options(1, 200_000), &Quiet).into_result() {
            assert!(found.contains(&layout.placements[0].orientation));
            assert!(referee(&question, &layout.placements, 1e-6).is_empty());
        } else {
            assert!(found.is_empty(), "{l} x {w}");
        }
    }
    // Along the sides, across only, and nowhere.
    assert!(
        counts[0] > counts[1] && counts[1] > 0 && counts[2] > 0,
        "{counts:?}"
    );
    assert_eq!(counts[4], 0);
}

#[test]
fn too_long_between_the_housings_says_how_far_up_it_would_pass() {
    // Housings at both ends leave 500 mm up to 100 mm of height; the leg with its foam takes 480 + 2 x 17.
    let mut region = room(0.64, 0.4, 0.15, 0.0);
    for (side, x) in [("left", -0.285), ("right", 0.285)] {
        region.hindrances.push(Hindrance {
            name: format!("wheel housing {side}"),
            outline: rectangle(0.07, 0.4).placed(&caddis_geometry::Placement2 {
                angle: 0.0,
                shift: Vec2::new(x, 0.0),
            }),
            low: 0.0,
            high: 0.1,
        });
    }
    let mut leg = block("tripod leg", 1, (0.48, 0.06, 0.08), (0.017, 0.017, 0.02));
    leg.orientations.truncate(1);
    let ask = |region| search(&problem(region, vec![leg.clone()]), &options(1, 200_000), &Quiet);
    let Outcome::Impossible { reasons } = ask(region.clone()) else {
        panic!("the leg is too long");
    };
    assert_eq!(reasons[0].code, "piece-has-no-place", "{reasons:#?}");
    let said = &reasons[0].sentence;
    assert!(
        said.contains("14 mm too long between the wheel housing"),
        "{said}"
    );
    assert!(said.contains("left") && said.contains("right"), "{said}");
    // It hangs at 70 mm; above the housings' 100 mm it passes, since the foam below it is no wider than itself.
    assert!(said.contains("raised 31 mm it would pass"), "{said}");
    for hindrance in &mut region.hindrances {
        hindrance.high -= 0.031;
    }
    assert!(
        ask(region).into_result().is_some(),
        "with housings as much lower it passes"
    );
}

#[test]
fn draft_takes_room_from_deep_pieces_only() {
    // At 100 mm below the rim a 5 % draft takes 5 mm a side.
    let ask = |height: f64| {
        let piece = block("plate", 1, (0.36, 0.06, height), (0.02, 0.02, 0.0));
        let region = room(0.39, 0.2, 0.1, 0.05);
        search(&problem(region, vec![piece]), &options(1, 50_000), &Quiet)
            .into_result()
            .is_some()
    };
    assert!(!ask(0.1));
    assert!(!ask(0.0001));
    let roomy = |height: f64| {
        let piece = block("plate", 1, (0.358, 0.06, height), (0.02, 0.02, 0.0));
        let region = room(0.39, 0.2, 0.1, 0.05);
        search(&problem(region, vec![piece]), &options(1, 50_000), &Quiet)
            .into_result()
            .is_some()
    };
    assert!(roomy(0.02));
    assert!(!roomy(0.1));
}

#[test]
fn too_deep_and_too_much_are_proved() {
    let deep = block("tube", 1, (0.1, 0.1, 0.15), (0.02, 0.02, 0.02));
    let Outcome::Impossible { reasons } = search(
        &problem(room(0.4, 0.4, 0.16, 0.0), vec![deep]),
        &options(1, 1000),
        &Quiet,
    ) else {
        panic!("too deep");
    };
    assert_eq!(reasons[0].code, "piece-too-deep");
    assert!(reasons[0].sentence.contains("10 mm"), "{}", reasons[0].sentence);
    let many = (0..9)
        .map(|k| block(&format!("box {k}"), 1, (0.12, 0.12, 0.1), (0.02, 0.02, 0.02)))
        .collect();
    let Outcome::Impossible { reasons } = search(
        &problem(room(0.4, 0.4, 0.16, 0.0), many),
        &options(1, 1000),
        &Quiet,
    ) else {
        panic!("too much");
    };
    assert_eq!(reasons[0].code, "pieces-too-many");
}

#[test]
fn a_passing_piece_keeps_clear_of_the_tier_below() {
    let mut tall = block("tall", 1, (0.08, 0.08, 0.2), (0.02, 0.02, 0.02));
    tall.tiers = vec![1];
    tall.may_pass = true;
    let mut low = block("low", 2, (0.08, 0.08, 0.06), (0.02, 0.02, 0.02));
    low.tiers = vec![0];
    let mut question = problem(room(0.22, 0.12, 0.24, 0.0), vec![tall, low]);
    question.tiers = vec![Tier::upward(0.0, 0.1), Tier::upward(0.1, 0.24)];
    let layout = search(&question, &options(3, 100_000), &Quiet)
        .into_result()
        .unwrap();
    assert!((layout.placements[0].at.x - layout.placements[1].at.x).abs() >= 0.1 - 1e-9);
    let mut narrow = question.clone();
    narrow.region = room(0.2199, 0.12, 0.24, 0.0);
    assert!(
        search(&narrow, &options(3, 50_000), &Quiet)
            .into_result()
            .is_none()
    );
    question.pieces[0].may_pass = false;
    assert!(
        search(&question, &options(3, 50_000), &Quiet)
            .into_result()
            .is_none()
    );
}

#[test]
fn pieces_of_two_tiers_lie_over_each_other() {
    let mut upper = block("upper", 1, (0.1, 0.1, 0.05), (0.02, 0.02, 0.02));
    upper.tiers = vec![1, 0];
    let mut lower = block("lower", 2, (0.1, 0.1, 0.05), (0.02, 0.02, 0.02));
    lower.tiers = vec![1, 0];
    let mut question = problem(room(0.15, 0.15, 0.16, 0.0), vec![upper, lower]);
    question.tiers = vec![Tier::upward(0.0, 0.08), Tier::upward(0.08, 0.16)];
    let layout = search(&question, &options(3, 100_000), &Quiet)
        .into_result()
        .unwrap();
    assert_ne!(layout.placements[0].tier, layout.placements[1].tier);
}

/// A lid 60 mm deep over a room 100 mm deep, walls upright below and drafted by a tenth above.
fn lidded(pieces: Vec<Piece>) -> Problem {
    let mut region = room(0.22, 0.16, 0.1, 0.0);
    for facet in &mut region.facets {
        facet.high = 0.1;
    }
    let lid: Vec<Facet> = region
        .facets
        .iter()
        .map(|facet| Facet {
            // Upright at the rim, a tenth narrower for every metre above it.
            offset: facet.offset + 0.1 * 0.1,
            slope: -0.1,
            low: 0.1,
            high: f64::INFINITY,
            ..*facet
        })
        .collect();
    region.facets.extend(lid);
    region.high = 0.16;
    let mut question = problem(region, pieces);
    question.tiers = vec![
        Tier::upward(0.0, 0.1),
        Tier {
            low: 0.115,
            high: 0.16,
            opens_down: true,
        },
    ];
    question
}

/// 20 mm of foam over it in the lid.
fn over(piece: &mut Piece) {
    for orientation in &mut piece.orientations {
        orientation.above = vec![0.0, 0.02];
    }
}

#[test]
fn a_flat_piece_lies_in_the_lid_over_a_full_base() {
    let mut plate = block("plate", 1, (0.12, 0.08, 0.02), (0.02, 0.02, 0.02));
    plate.tiers = vec![1, 0];
    over(&mut plate);
    let mut chest = block("chest", 2, (0.16, 0.11, 0.07), (0.02, 0.02, 0.02));
    chest.tiers = vec![0];
    let question = lidded(vec![plate, chest]);
    let layout = search(&question, &options(3, 100_000), &Quiet)
        .into_result()
        .unwrap();
    assert_eq!(layout.placements[0].tier, 1);
    assert!((layout.placements[0].bottom - 0.115).abs() < 1e-12);
    assert_eq!(referee(&question, &layout.placements, 1e-7), vec![]);
    // Under it the chest has less foam than it needs: there is nowhere else to lie.
    let mut clear = question;
    clear.pieces[1].keeps_clear_above = true;
    let refused = referee(&clear, &layout.placements, 1e-7);
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert!(
        search(&clear, &options(3, 50_000), &Quiet)
            .into_result()
            .is_none()
    );
}

#[test]
fn a_lid_is_as_deep_and_as_wide_as_it_is_at_the_pieces_top() {
    let solves = |length: f64, height: f64| {
        let mut plate = block("plate", 1, (length, 0.08, height), (0.02, 0.02, 0.02));
        plate.tiers = vec![1];
        over(&mut plate);
        search(&lidded(vec![plate]), &options(3, 50_000), &Quiet)
            .into_result()
            .is_some()
    };
    // 45 mm less 20 mm of foam over it; at 25 mm above the tier's floor the walls stand 220 - 2 (15 + 25) / 10 = 212 mm apart, less 40.
    assert!(solves(0.1719, 0.025));
    assert!(!solves(0.1721, 0.025));
    assert!(!solves(0.1, 0.0251));
}

#[test]
fn slack_is_shared_evenly() {
    let pieces = vec![block("one", 1, (0.1, 0.1, 0.05), (0.01, 0.01, 0.01)); 2];
    let question = problem(room(0.26, 0.15, 0.06, 0.0), pieces);
    // 260 - 200 - 30 = 30 mm over three gaps; 150 - 100 - 20 over two.
    let layout = search(&question, &options(1, 400_000), &Quiet)
        .into_result()
        .unwrap();
    assert!((layout.spare - 0.01).abs() < 6e-4, "{}", layout.spare);
}

#[test]
fn pinned_pieces_stay_and_are_told_when_in_conflict() {
    let mut question = problem(
        room(0.4, 0.3, 0.1, 0.0),
        (0..4)
            .map(|k| block(&format!("box {k}"), 1, (0.1, 0.08, 0.05), (0.02, 0.02, 0.02)))
            .collect(),
    );
    let at = Placement {
        orientation: 1,
        tier: 0,
        at: Vec2::new(0.01, 0.0),
        bottom: 0.05,
    };
    question.pieces[2].pinned = Some(at);
    let layout = search(&question, &options(1, 400_000), &Quiet)
        .into_result()
        .unwrap();
    assert_eq!(layout.placements[2], at);
    question.pieces[1].pinned = Some(Placement {
        at: Vec2::new(0.05, 0.0),
        ..at
    });
    let Outcome::Impossible { reasons } = search(&question, &options(1, 400_000), &Quiet) else {
        panic!("two pinned pieces overlap");
    };
    assert_eq!(reasons[0].code, "pinned-in-conflict");
}

#[test]
fn a_warm_start_leaves_hinted_pieces_where_they_were() {
    let mut question = mixed(5, 10, 0.42);
    let first = search(&question, &options(1, 2_000_000), &Quiet)
        .into_result()
        .unwrap();
    let hints: Vec<Option<Placement>> = first.placements.iter().copied().map(Some).collect();
    let again = search_from(&question, &hints, &options(2, 2_000_000), &Quiet)
        .into_result()
        .unwrap();
    assert_eq!(first.placements, again.placements);
    question
        .pieces
        .push(block("late", 99, (0.03, 0.03, 0.03), (0.005, 0.005, 0.02)));
    let later = search_from(&question, &hints, &options(2, 2_000_000), &Quiet)
        .into_result()
        .unwrap();
    assert_eq!(first.placements[..], later.placements[..10]);
}

#[test]
fn equal_kinds_end_in_rows_on_whole_millimetres() {
    let pieces = (0..6)
        .map(|k| {
            block(
                &format!("battery {k}"),
                7,
                (0.1, 0.06, 0.05),
                (0.015, 0.012, 0.02),
            )
        })
        .collect();
    let question = problem(room(0.46, 0.24, 0.08, 0.0), pieces);
    let layout = search(&question, &options(4, 800_000), &Quiet)
        .into_result()
        .unwrap();
    let whole = |v: f64| (v * 1e3 - (v * 1e3).round()).abs() < 1e-6;
    for placement in &layout.placements {
        assert!(whole(placement.at.x) && whole(placement.at.y), "{placement:?}");
        assert_eq!(placement.orientation, layout.placements[0].orientation);
    }
}

#[test]
fn nonsense_is_a_reason_and_no_panic() {
    let mut question = problem(
        room(0.4, 0.3, 0.1, 0.0),
        vec![stepped("a", 1, 0.05, 0.04, 0.05, (0.01, 0.01, 0.01))],
    );
    question.pieces[0].orientations[0].wall.left = f64::NAN;
    assert!(matches!(
        search(&question, &options(1, 1000), &Quiet),
        Outcome::Impossible { .. }
    ));
    question.pieces[0].orientations.clear();
    assert!(matches!(
        search(&question, &options(1, 1000), &Quiet),
        Outcome::Impossible { .. }
    ));
    let _ = Prepared::new(question.clone());
    question.pieces[0].tiers = vec![7];
    assert!(matches!(
        search(&question, &options(1, 1000), &Quiet),
        Outcome::Impossible { .. }
    ));
    question.pieces.clear();
    assert!(
        search(&question, &options(1, 1000), &Quiet)
            .into_result()
            .is_some()
    );
    assert!(referee(&question, &[], 0.0).is_empty());
    question
        .pieces
        .push(block("box", 1, (0.1, 0.1, 0.05), (0.01, 0.01, 0.01)));
    assert!(search(&question, &options(1, 0), &Quiet).into_result().is_some());
}
