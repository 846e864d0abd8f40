//! What must hold for any problem.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use caddis_basis::{Outcome, Quiet};
use caddis_geometry::{Placement2, SectionStack, Vec2};
use caddis_layout::{
    Facet, Hindrance, Layout, Placement, Prepared, Problem, Sides, Tier, referee, search, search_from,
};
use proptest::prelude::*;
use std::f64::consts::FRAC_PI_2;
use support::{Dice, angle, block, mixed, options, problem, rectangle, room, stepped};

fn solved(question: &Problem, seed: u64) -> Option<Layout> {
    search(question, &options(seed, 150_000), &Quiet).into_result()
}

fn shifted(question: &Problem, by: Vec2) -> Problem {
    let mut moved = question.clone();
    for facet in &mut moved.region.facets {
        facet.offset += facet.normal.dot(by);
    }
    for hindrance in &mut moved.region.hindrances {
        hindrance.outline = hindrance.outline.placed(&Placement2 {
            angle: 0.0,
            shift: by,
        });
    }
    moved.balance += by;
    moved
}

fn turned_sides(sides: &Sides) -> Sides {
    Sides {
        back: sides.right,
        left: sides.back,
        front: sides.left,
        right: sides.front,
    }
}

/// The same question a quarter turn counter-clockwise.
fn turned(question: &Problem) -> Problem {
    let quarter = Placement2 {
        angle: FRAC_PI_2,
        shift: Vec2::ZERO,
    };
    let mut moved = question.clone();
    for facet in &mut moved.region.facets {
        facet.normal = quarter.apply(facet.normal);
    }
    for hindrance in &mut moved.region.hindrances {
        hindrance.outline = hindrance.outline.placed(&quarter);
    }
    for orientation in moved.pieces.iter_mut().flat_map(|piece| &mut piece.orientations) {
        let mut body = SectionStack::clone(&orientation.body);
        for slab in &mut body.slabs {
            slab.region = slab.region.placed(&quarter);
        }
        orientation.body = body.into();
        orientation.wall = turned_sides(&orientation.wall);
        orientation.web = turned_sides(&orientation.web);
    }
    moved.balance = quarter.apply(moved.balance);
    moved
}

/// The same question seen in a mirror that stands across x.
fn mirrored(question: &Problem) -> Problem {
    let across = |v: Vec2| Vec2::new(-v.x, v.y);
    let mut seen = question.clone();
    for facet in &mut seen.region.facets {
        facet.normal = across(facet.normal);
    }
    for hindrance in &mut seen.region.hindrances {
        hindrance.outline = hindrance.outline.mirrored_x();
    }
    for orientation in seen.pieces.iter_mut().flat_map(|piece| &mut piece.orientations) {
        let mut body = SectionStack::clone(&orientation.body);
        for slab in &mut body.slabs {
            slab.region = slab.region.mirrored_x();
        }
        orientation.body = body.into();
        for sides in [&mut orientation.wall, &mut orientation.web] {
            std::mem::swap(&mut sides.left, &mut sides.right);
        }
    }
    seen.balance = across(seen.balance);
    seen
}

/// What a referee finds, as pieces and what is missing, in an order that does not hang on the question's.
fn missing(question: &Problem, placements: &[Placement]) -> Vec<(usize, f64)> {
    let mut missing: Vec<(usize, f64)> = referee(question, placements, 2e-5)
        .iter()
        .map(|violation| (violation.piece, violation.missing))
        .collect();
    missing.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    missing
}

/// Two tiers, a passing piece, uneven sides, chords in the corners, a hindrance halfway up.
fn two_tiers(seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let mut region = room(0.4, 0.3, 0.2, 0.05);
    for (x, y) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
        let normal = Vec2::new(x, y).unit();
        region.facets.push(Facet::new(normal, 0.235, 0.05));
    }
    region.hindrances.push(Hindrance {
        name: "boss".to_owned(),
        outline: caddis_geometry::Region::circle(Vec2::new(0.1, -0.05), 0.03),
        low: 0.0,
        high: 0.07,
    });
    let mut pieces = vec![
        block(
            "block",
            1,
            (dice.between(0.06, 0.12), 0.07, dice.between(0.03, 0.07)),
            (0.015, 0.012, 0.015),
        ),
        stepped(
            "knob",
            2,
            0.02,
            0.045,
            dice.between(0.04, 0.07),
            (0.015, 0.012, 0.015),
        ),
        stepped(
            "bottle",
            3,
            0.045,
            0.02,
            dice.between(0.1, 0.16),
            (0.015, 0.012, 0.015),
        ),
        angle(
            "bracket",
            4,
            0.12,
            0.04,
            dice.between(0.03, 0.06),
            (0.015, 0.012, 0.015),
        ),
    ];
    for piece in &mut pieces {
        piece.tiers = vec![0, 1];
        piece.may_pass = true;
        for orientation in &mut piece.orientations {
            orientation.wall.left = dice.between(0.01, 0.03);
            orientation.web.back = dice.between(0.005, 0.02);
            orientation.web.right = dice.between(0.005, 0.02);
            orientation.above = vec![dice.between(0.0, 0.01), dice.between(0.0, 0.01)];
        }
    }
    let mut question = problem(region, pieces);
    question.tiers = vec![Tier::upward(0.0, 0.1), Tier::upward(0.1, 0.2)];
    question
}

/// The same under a lid that narrows upward, with a boss in its roof, where two of the pieces may lie as well.
fn under_a_lid(seed: u64) -> Problem {
    let mut question = two_tiers(seed);
    for facet in &mut question.region.facets {
        facet.high = 0.2;
    }
    let walls: Vec<Facet> = question
        .region
        .facets
        .iter()
        .map(|facet| Facet {
            offset: facet.offset + 0.02,
            slope: -0.06,
            low: 0.2,
            high: f64::INFINITY,
            ..*facet
        })
        .collect();
    question.region.facets.extend(walls);
    question.region.hindrances.push(Hindrance {
        name: "lid boss".to_owned(),
        outline: caddis_geometry::Region::circle(Vec2::new(-0.06, 0.02), 0.02),
        low: 0.275,
        high: 0.3,
    });
    question.region.high = 0.3;
    question.tiers.push(Tier {
        low: 0.22,
        high: 0.3,
        opens_down: true,
    });
    for piece in question.pieces.iter_mut().take(2) {
        piece.tiers = vec![2, 0, 1];
        piece.keeps_clear_above = seed.is_multiple_of(2);
        for orientation in &mut piece.orientations {
            orientation.above.push(0.012);
        }
    }
    question
}

fn scattered(question: &Problem, seed: u64) -> Vec<Placement> {
    let mut dice = Dice(seed);
    question
        .pieces
        .iter()
        .map(|piece| {
            let orientation = (dice.unit() * piece.orientations.len() as f64) as usize;
            let tier = (dice.unit() * question.tiers.len() as f64) as usize;
            let way = &piece.orientations[orientation];
            let range = &question.tiers[tier];
            let flush = if range.opens_down {
                range.low
            } else {
                range.high - way.above_in(tier) - way.body.high().unwrap()
            };
            Placement {
                orientation,
                tier,
                at: Vec2::new(dice.between(-0.14, 0.14), dice.between(-0.09, 0.09)),
                bottom: if dice.unit() < 0.7 {
                    flush
                } else {
                    flush - dice.between(0.0, 0.02)
                },
            }
        })
        .collect()
}

/// A layout passes the referee and the check that the page asks.
fn passes_both(question: &Problem, layout: &Layout) -> Result<(), TestCaseError> {
    prop_assert_eq!(referee(question, &layout.placements, 1e-6), vec![]);
    let prepared = Prepared::new(question.clone());
    let others: Vec<_> = layout.placements.iter().copied().enumerate().collect();
    for (piece, placement) in &others {
        let contact = prepared.check(*piece, placement, &others);
        prop_assert!(contact.distance >= -1e-9, "{:?}", contact);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_returned_passes_the_referee_and_the_check(seed in 0_u64..10_000, count in 3_usize..12) {
        let question = mixed(seed, count, 0.35);
        if let Some(layout) = solved(&question, seed) {
            passes_both(&question, &layout)?;
        }
    }

    #[test]
    fn two_tiers_with_passing_pieces_pass_the_referee(seed in 0_u64..10_000) {
        let question = two_tiers(seed);
        if let Some(layout) = solved(&question, seed) {
            prop_assert_eq!(referee(&question, &layout.placements, 1e-6), vec![]);
        }
    }

    #[test]
    fn layouts_with_pieces_in_the_lid_pass_the_referee_and_the_check(seed in 0_u64..10_000) {
        let question = under_a_lid(seed);
        if let Some(layout) = solved(&question, seed) {
            passes_both(&question, &layout)?;
        }
    }

    #[test]
    fn what_the_referee_refuses_in_a_lid_the_check_refuses(seed in 0_u64..10_000) {
        let question = under_a_lid(seed);
        let prepared = Prepared::new(question.clone());
        for salt in 0..6 {
            let mut placements = scattered(&question, seed * 7 + salt);
            for placement in &mut placements {
                placement.tier = 2;
                placement.bottom = question.tiers[2].low;
            }
            let refused = referee(&question, &placements, 1e-4);
            let others: Vec<_> = placements.iter().copied().enumerate().collect();
            let asked = others.iter().all(|(piece, placement)| prepared.check(*piece, placement, &others).distance >= -1e-9);
            prop_assert!(!asked || refused.is_empty(), "{:?}", refused);
        }
    }

    #[test]
    fn place_and_direction_do_not_matter(seed in 0_u64..10_000) {
        // Half of these are easy, half are proved impossible: the verdict must not hang on luck.
        let mut question = mixed(seed, 5, 0.25);
        if seed % 2 == 0 {
            question.pieces.push(block("beam", 77, (0.6, 0.05, 0.05), (0.02, 0.015, 0.02)));
        }
        let here = solved(&question, 1).is_some();
        prop_assert_eq!(here, seed % 2 == 1);
        prop_assert_eq!(solved(&shifted(&question, Vec2::new(1.237, -0.713)), 1).is_some(), here);
        prop_assert_eq!(solved(&turned(&question), 1).is_some(), here);
    }

    #[test]
    fn the_referee_does_not_care_where_the_room_stands(seed in 0_u64..10_000) {
        let question = two_tiers(seed);
        let placements = scattered(&question, seed);
        let by = Vec2::new(0.25, -0.5);
        let moved: Vec<Placement> = placements.iter().map(|p| support::moved(*p, by)).collect();
        let (a, b) = (referee(&question, &placements, 2e-5), referee(&shifted(&question, by), &moved, 2e-5));
        prop_assert_eq!(a.len(), b.len());
        for (x, y) in a.iter().zip(&b) {
            prop_assert_eq!((x.piece, &x.with), (y.piece, &y.with));
            prop_assert!((x.missing - y.missing).abs() < 1e-5, "{} {}", x.missing, y.missing);
        }
    }

    #[test]
    fn the_referee_does_not_care_which_way_the_room_faces(seed in 0_u64..10_000) {
        let question = two_tiers(seed);
        let placements = scattered(&question, seed);
        let quarter = Placement2 { angle: FRAC_PI_2, shift: Vec2::ZERO };
        let moved: Vec<Placement> = placements
            .iter()
            .map(|placement| Placement { at: quarter.apply(placement.at), ..*placement })
            .collect();
        let (a, b) = (missing(&question, &placements), missing(&turned(&question), &moved));
        prop_assert_eq!(a.len(), b.len());
        for (x, y) in a.iter().zip(&b) {
            prop_assert_eq!(x.0, y.0);
            prop_assert!((x.1 - y.1).abs() < 1e-5, "{} {}", x.1, y.1);
        }
    }

    #[test]
    fn the_referee_does_not_care_for_a_mirror(seed in 0_u64..10_000) {
        let question = two_tiers(seed);
        let placements = scattered(&question, seed);
        let seen: Vec<Placement> = placements
            .iter()
            .map(|placement| Placement { at: Vec2::new(-placement.at.x, placement.at.y), ..*placement })
            .collect();
        let (a, b) = (missing(&question, &placements), missing(&mirrored(&question), &seen));
        prop_assert_eq!(a.len(), b.len());
        for (x, y) in a.iter().zip(&b) {
            prop_assert_eq!(x.0, y.0);
            prop_assert!((x.1 - y.1).abs() < 1e-5, "{} {}", x.1, y.1);
        }
    }

    #[test]
    fn pins_where_pieces_lie_change_nothing(seed in 0_u64..10_000, which in 0_usize..7) {
        let question = mixed(seed, 7, 0.35);
        if let Some(layout) = solved(&question, 1) {
            let mut pinned = question.clone();
            for (piece, placement) in pinned.pieces.iter_mut().zip(&layout.placements) {
                piece.pinned = Some(*placement);
            }
            let all = solved(&pinned, 2).map(|again| again.placements);
            prop_assert_eq!(all.as_ref(), Some(&layout.placements));
            // One pinned, the others known: whatever else is tried, nothing need move.
            let mut one = question.clone();
            one.pieces[which].pinned = Some(layout.placements[which]);
            let hints: Vec<Option<Placement>> = layout.placements.iter().copied().map(Some).collect();
            let again = search_from(&one, &hints, &options(2, 100_000), &Quiet).into_result();
            prop_assert_eq!(again.map(|again| again.placements), Some(layout.placements));
        }
    }

    #[test]
    fn no_more_steps_than_asked(seed in 0_u64..10_000, steps in 0_u64..120_000, fill in 0.2_f64..0.5) {
        let question = mixed(seed, 8, fill);
        match search(&question, &options(seed, steps), &Quiet) {
            Outcome::Complete(layout) => prop_assert!(layout.steps <= steps, "{} of {}", layout.steps, steps),
            Outcome::Stopped { .. } => prop_assert!(false, "nobody stopped it"),
            Outcome::Impossible { .. } => {}
        }
    }

    #[test]
    fn removing_a_piece_never_hurts(seed in 0_u64..10_000) {
        let question = mixed(seed, 7, 0.4);
        if let Some(layout) = solved(&question, 1) {
            let mut fewer = question.clone();
            let gone = (seed % 7) as usize;
            fewer.pieces.remove(gone);
            let mut hints: Vec<Option<Placement>> = layout.placements.iter().copied().map(Some).collect();
            hints.remove(gone);
            let again = search_from(&fewer, &hints, &options(2, 100_000), &Quiet).into_result();
            prop_assert!(again.is_some());
            prop_assert_eq!(
                again.unwrap().placements,
                hints.into_iter().flatten().collect::<Vec<_>>()
            );
        }
    }

    #[test]
    fn workers_and_repetition_change_nothing(seed in 0_u64..10_000, fill in 0.3_f64..0.55) {
        let question = mixed(seed, 9, fill);
        let once = search(&question, &options(seed, 80_000), &Quiet);
        prop_assert_eq!(&search(&question, &options(seed, 80_000), &Quiet), &once);
        let mut two = options(seed, 80_000);
        for workers in [2, 3, 9] {
            two.workers = workers;
            prop_assert_eq!(&search(&question, &two, &Quiet), &once);
        }
    }
}

/// The check is never laxer than the referee, and not wildly stricter.
#[test]
fn the_check_agrees_with_the_referee() {
    let (mut kept, mut broken) = (0, 0);
    for seed in 0..600 {
        // Any two of the four kinds, so that many scatterings are sound.
        let mut question = two_tiers(seed);
        question.pieces.remove((seed % 4) as usize);
        question.pieces.remove((seed / 4 % 3) as usize);
        let placements = scattered(&question, seed ^ 0x55);
        let prepared = Prepared::new(question.clone());
        let others: Vec<_> = placements.iter().copied().enumerate().collect();
        let tightest = others
            .iter()
            .map(|(piece, placement)| prepared.check(*piece, placement, &others).distance)
            .fold(f64::INFINITY, f64::min);
        let violations = referee(&question, &placements, 1e-6);
        if tightest >= 0.0 {
            kept += 1;
            assert!(violations.is_empty(), "seed {seed}: {tightest} {violations:?}");
        } else if tightest < -3e-4 {
            broken += 1;
            assert!(!violations.is_empty(), "seed {seed}: {tightest}");
        }
    }
    eprintln!("{kept} kept, {broken} broken");
    assert!(kept > 60 && broken > 60);
}

/// Pieces just in contact: the push-out resolves what the check complains of.
#[test]
fn a_push_out_resolves_a_single_conflict() {
    let question = problem(
        room(0.6, 0.4, 0.1, 0.0),
        vec![
            block("one", 1, (0.1, 0.08, 0.05), (0.02, 0.02, 0.02)),
            stepped("two", 2, 0.05, 0.04, 0.05, (0.02, 0.02, 0.02)),
        ],
    );
    let prepared = Prepared::new(question);
    let bottom = prepared.flush_bottom(0, 0, 0).unwrap();
    let place = |x: f64, y: f64| Placement {
        orientation: 0,
        tier: 0,
        at: Vec2::new(x, y),
        bottom,
    };
    let other = [(1, place(0.0, 0.0))];
    let mut here = place(0.08, 0.03);
    let before = prepared.check(0, &here, &other);
    assert!(before.distance < 0.0 && before.with == "two");
    here.at += before.push_out;
    assert!(prepared.check(0, &here, &other).distance >= -1e-9);
    let outside = prepared.check(0, &place(0.3, 0.0), &[]);
    assert_eq!(outside.with, "right wall");
    assert!((outside.push_out.x + 0.07).abs() < 1e-9);
}

#[test]
fn a_stopped_search_says_so() {
    struct Stop;
    impl caddis_basis::Progress for Stop {
        fn report(&self, _: &str, _: f64, _: Option<&str>) -> caddis_basis::Flow {
            caddis_basis::Flow::Stop
        }
    }
    let hard = mixed(3, 20, 0.6);
    assert!(matches!(
        search(&hard, &options(1, 10_000_000), &Stop),
        Outcome::Stopped { best: None, .. }
    ));
    let easy = problem(
        room(0.6, 0.4, 0.1, 0.0),
        vec![block("one", 1, (0.1, 0.08, 0.05), (0.02, 0.02, 0.02))],
    );
    assert!(matches!(
        search(&easy, &options(1, 10_000_000), &Stop),
        Outcome::Stopped { best: Some(_), .. }
    ));
    let _ = rectangle(0.1, 0.1);
}
