//! Tests of wishes, from the brief to the verdict.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::testing;
use crate::{ArrangeOptions, arrange};
use caddis_basis::{Outcome, Quiet};
use caddis_geometry::Region;
use std::sync::OnceLock;

const OPTIONS: ArrangeOptions = ArrangeOptions {
    seed: 7,
    steps: 400_000,
    workers: 2,
};

fn arranged(brief: &Brief) -> Interior {
    arranged_with(brief, &OPTIONS)
}

fn arranged_with(brief: &Brief, options: &ArrangeOptions) -> Interior {
    match arrange(brief, options, &Quiet) {
        Outcome::Complete(interior) => interior,
        other => panic!("{other:?}"),
    }
}

fn of(brief: Brief) -> (Brief, Interior) {
    let interior = arranged(&brief);
    (brief, interior)
}

fn plain() -> &'static (Brief, Interior) {
    static PLAIN: OnceLock<(Brief, Interior)> = OnceLock::new();
    PLAIN.get_or_init(|| of(testing::brief()))
}

/// Everything wished at once.
fn wished() -> &'static (Brief, Interior) {
    static WISHED: OnceLock<(Brief, Interior)> = OnceLock::new();
    WISHED.get_or_init(|| {
        let mut brief = testing::brief();
        brief.wishes = Wishes {
            carried: Carried::ByTwo,
            pinned: vec![PinWish {
                piece: InstanceId::new(ItemId::new("recorder"), 1),
                at: Vec2::new(0.015, 0.02),
                up: None,
                turn: Turn::SQUARE[1],
                in_tray: false,
                in_lid: false,
            }],
            together: vec![GapWish {
                items: vec![ItemId::new("sensor"), ItemId::new("lens")],
                gap: Length::mm(60.0),
            }],
            apart: vec![GapWish {
                items: vec![ItemId::new("battery"), ItemId::new("battery")],
                gap: Length::mm(200.0),
            }],
            spaces: vec![SpaceWish {
                name: "spare lead".to_owned(),
                length: Length::mm(70.0),
                width: Length::mm(40.0),
                height: Length::mm(30.0),
            }],
            weights: ScoreWeights::default(),
        };
        of(brief)
    })
}

#[test]
fn wishes_that_can_be_met_are_met() {
    let (brief, interior) = wished();
    let verdicts = wishes(interior, brief);
    let kinds: Vec<&str> = verdicts
        .iter()
        .filter_map(|v| v.wish.split([' ', ',']).next())
        .collect();
    assert_eq!(
        kinds,
        ["carried", "reach", "pinned", "together", "apart", "space"]
    );
    for verdict in &verdicts {
        assert!(verdict.is_met, "{verdict:?}");
    }
    assert!(unmet(interior, brief).is_empty());
}

#[test]
fn a_pinned_piece_lies_exactly_where_it_is_pinned() {
    let (brief, interior) = wished();
    let pin = &brief.wishes.pinned[0];
    let place = interior.places.iter().find(|p| p.instance == pin.piece).unwrap();
    assert_eq!((place.at, place.turn, place.tier), (pin.at, pin.turn, 0));
}

#[test]
fn a_kept_space_is_foam_from_its_top_down() {
    let (_, interior) = wished();
    let [space] = interior.spaces.as_slice() else {
        panic!("{:?}", interior.spaces)
    };
    let voids = interior
        .cavities
        .iter()
        .flat_map(|cavity| &cavity.steps)
        .chain(interior.notches.iter().map(|notch| &notch.prism));
    for void in voids {
        if void.low < space.prism.high - 1e-9 && space.prism.low + 1e-9 < void.high {
            let common = void.region.intersection(&space.prism.region).area();
            assert!(common < 1e-9, "{common} m2 of the space are cut away");
        }
    }
    for z in [space.prism.low + 1e-4, space.prism.high - 1e-4] {
        let layer = interior
            .blocks
            .iter()
            .flat_map(|block| &block.layers)
            .find(|layer| layer.low <= z && z < layer.high)
            .unwrap();
        let outside: Region = space.prism.region.difference(&layer.outline);
        assert!(outside.area() < 1e-9, "the space leaves the foam at {z}");
    }
}

#[test]
fn carried_by_two_is_balanced_along_the_length_first() {
    let (brief, interior) = wished();
    let (x, _, _) = crate::verify::centre_of_mass(interior, brief);
    let within = balanced_within(&brief.shell);
    assert!(x.abs() <= within.x, "{x}");
    assert!(beyond_balance(interior, brief) <= 0.0);
}

#[test]
fn a_rolled_case_has_its_weight_towards_the_wheels_and_no_higher() {
    // Enough for either to come to a layout that holds every flat fall: the stackings before it take their share.
    let options = ArrangeOptions {
        steps: 1_000_000,
        ..OPTIONS
    };
    let plain_brief = &testing::brief();
    let plain = &arranged_with(plain_brief, &options);
    let mut brief = testing::brief();
    brief.wishes.carried = Carried::Rolled;
    let rolled = arranged_with(&brief, &options);
    // The wheels of the test shell are at -x.
    let (wished, _) = balance(Carried::Rolled, &brief.shell);
    assert!(wished.x < -0.05, "{wished:?}");
    let before = crate::verify::centre_of_mass(plain, plain_brief);
    let after = crate::verify::centre_of_mass(&rolled, &brief);
    assert!(after.0 < before.0 - 0.005, "{before:?} {after:?}");
    assert!(after.2 <= before.2 + 1e-3, "{before:?} {after:?}");
    let verdict = wishes(&rolled, &brief)
        .into_iter()
        .find(|verdict| verdict.wish.starts_with("carried"))
        .unwrap();
    assert!(verdict.is_met, "{verdict:?}");
}

#[test]
fn rolling_without_surveyed_wheels_is_pointed_out() {
    let (brief, interior) = plain();
    let mut brief = brief.clone();
    brief.wishes.carried = Carried::Rolled;
    brief
        .shell
        .base
        .intrusions
        .retain(|intrusion| intrusion.kind != IntrusionKind::WheelHousing);
    let found = unmet(interior, &brief);
    assert!(
        found
            .iter()
            .any(|f| f.code == "wish-not-met" && f.sentence.contains("no wheel housing")),
        "{found:?}"
    );
}

#[test]
fn a_wish_that_cannot_be_met_says_by_how_much() {
    let (brief, interior) = plain();
    let mut brief = brief.clone();
    brief.wishes.apart = vec![GapWish {
        items: vec![ItemId::new("recorder"), ItemId::new("display")],
        gap: Length::mm(5000.0),
    }];
    let found = unmet(interior, &brief);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].margin.as_ref().unwrap().room() < -4000.0);
    assert!(found[0].sentence.contains("apart"), "{}", found[0].sentence);
}

#[test]
fn a_piece_pinned_where_it_cannot_lie_is_refused_with_the_reason() {
    let mut brief = testing::brief();
    // In the wheel housing's corner.
    brief.wishes.pinned = vec![PinWish {
        piece: InstanceId::new(ItemId::new("recorder"), 1),
        at: Vec2::new(-0.26, 0.14),
        up: None,
        turn: Turn::NONE,
        in_tray: false,
        in_lid: false,
    }];
    let Outcome::Impossible { reasons } = arrange(&brief, &OPTIONS, &Quiet) else {
        panic!("arranged")
    };
    assert!(
        reasons
            .iter()
            .any(|r| r.code == "pinned-in-conflict" && r.place.starts_with("recorder")),
        "{reasons:#?}"
    );
}

#[test]
fn the_score_is_the_sum_of_its_terms_and_each_weight_counts() {
    let (brief, interior) = wished();
    let sum = |brief: &Brief| score(interior, brief).iter().map(ScoreTerm::points).sum::<f64>();
    let mut heavier = brief.clone();
    heavier.wishes.weights.balance *= 2.0;
    heavier.wishes.weights.line *= 2.0;
    heavier.wishes.weights.tray *= 2.0;
    let terms = score(interior, brief);
    let value = |name: &str| terms.iter().find(|term| term.name == name).unwrap().value;
    let more = 0.05 * value("centre of mass off the place wished for")
        + 5.0 * value("trays")
        + 0.5 * value("pieces out of line");
    assert!((sum(brief) - sum(&heavier) - more).abs() < 1e-9);
    let spare = terms
        .iter()
        .find(|term| term.name == "spare beyond every cushion")
        .unwrap();
    assert!((spare.points() - interior.spare * 1e3).abs() < 1e-12);
}
