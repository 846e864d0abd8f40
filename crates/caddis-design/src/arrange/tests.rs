//! Tests of arranging as a whole.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use crate::testing;
use crate::{BlockKind, Place};
use caddis_basis::{Acceleration, Flow, InstanceId, ItemId, Length, Measured, Quiet};
use caddis_geometry::{Region, Vec2};
use caddis_survey::{Fragility, Turn, Up};
use std::sync::OnceLock;

const OPTIONS: ArrangeOptions = ArrangeOptions {
    seed: 7,
    steps: 1_000_000,
    workers: 2,
};

/// The test brief's interior, arranged once for all tests.
fn usual() -> &'static Interior {
    static USUAL: OnceLock<Interior> = OnceLock::new();
    USUAL.get_or_init(|| testing::arranged(&testing::brief(), OPTIONS.steps))
}

/// A process that cuts through has every void over the whole height of the layers it opens.
#[test]
fn through_cuts_end_at_joints() {
    let mut brief = testing::brief();
    brief.clearances.through_cuts = true;
    let interior = testing::arranged(&brief, OPTIONS.steps);
    let mut voids = 0;
    for void in interior.voids() {
        for layer in interior.blocks.iter().flat_map(|block| &block.layers) {
            let (low, high) = (void.low.max(layer.low), void.high.min(layer.high));
            if high > low + 1e-9 {
                let is_whole = (low - layer.low).abs() < 1e-9 && (high - layer.high).abs() < 1e-9;
                assert!(is_whole, "{low} to {high} in {}", layer.id);
                voids += 1;
            }
        }
    }
    assert!(voids > interior.cavities.len());
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        let mut joints = interior.blocks.iter().flat_map(|block| &block.layers);
        assert!(
            joints.any(|layer| (layer.low - place.bottom).abs() < 1e-6),
            "{} stands on no joint",
            place.instance
        );
        for step in &cavity.steps {
            let swept = place.body.shadow(f64::NEG_INFINITY, step.high);
            assert!(
                swept.difference(&step.region).area() < 2e-7,
                "{} does not get out",
                place.instance
            );
        }
    }
}

fn tier_blocks(interior: &Interior) -> Vec<(f64, f64)> {
    let blocks = interior
        .blocks
        .iter()
        .filter(|block| block.kind != BlockKind::LidPad);
    blocks.map(|block| (block.low, block.high)).collect()
}

/// What must hold of every interior.
fn assert_sound(brief: &Brief, interior: &Interior) {
    let tiers = tier_blocks(interior);
    assert_eq!(interior.places.len(), interior.cavities.len());
    for (place, cavity) in interior.places.iter().zip(&interior.cavities) {
        let top = tiers[place.tier].1;
        let high = place.body.high().unwrap();
        assert!(high <= top + 1e-9, "{} stands proud", place.instance);
        assert!(place.bottom >= tiers[0].0 + brief.clearances.least_floor.si() - 1e-9);
        assert!((cavity.steps.last().unwrap().high - top).abs() < 1e-9);
        for step in &cavity.steps {
            let swept = place.body.shadow(f64::NEG_INFINITY, step.high.min(high));
            assert!(
                swept.difference(&step.region).area() < 2e-7,
                "{} does not get out",
                place.instance
            );
        }
        for slab in &place.body.slabs {
            for z in [slab.low + 1e-4, slab.high - 1e-4] {
                let room = slab.region.room_inside(&brief.shell.least_section(z));
                assert!(
                    room > 0.005,
                    "{} is {room} m from the shell at {z}",
                    place.instance
                );
            }
        }
    }
    for (i, a) in interior.cavities.iter().enumerate() {
        for b in &interior.cavities[i + 1..] {
            for (p, q) in a.steps.iter().flat_map(|p| b.steps.iter().map(move |q| (p, q))) {
                if p.low.max(q.low) < p.high.min(q.high) - 1e-9 {
                    let web = p.region.distance(&q.region);
                    assert!(
                        web >= brief.foams[0].least_web.si() - 2e-4,
                        "{} to {}: {web}",
                        a.id,
                        b.id
                    );
                }
            }
        }
    }
    let mut numbers: Vec<u32> = interior.places.iter().map(|place| place.number).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=interior.places.len() as u32).collect::<Vec<_>>());
}

fn place<'a>(interior: &'a Interior, item: &str, number: u32) -> &'a Place {
    let instance = InstanceId::new(ItemId::new(item), number);
    interior
        .places
        .iter()
        .find(|place| place.instance == instance)
        .unwrap()
}

#[test]
fn the_test_brief_is_arranged() {
    let brief = testing::brief();
    let interior = usual();
    assert_sound(&brief, interior);
    assert_eq!(interior.places.len(), 9);
    let notched = interior
        .cavities
        .iter()
        .filter(|cavity| interior.notches.iter().any(|n| n.cavity == cavity.id));
    assert!(notched.count() >= 6, "{} notches", interior.notches.len());
    let soft = interior
        .notches
        .iter()
        .filter(|n| n.cavity.as_str().starts_with("cable-coil"));
    assert_eq!(soft.count(), 0);
}

#[test]
fn the_same_whatever_the_workers() {
    let brief = testing::brief();
    let one = arrange(
        &brief,
        &ArrangeOptions {
            workers: 1,
            ..OPTIONS
        },
        &Quiet,
    );
    assert_eq!(one, Outcome::Complete(usual().clone()));
}

#[test]
fn the_test_brief_holds_what_is_asked_of_it() {
    let brief = testing::brief();
    // Cushions are sized on flat falls; what tilted ones find between neighbours is verification's to say.
    let checks = crate::Checks {
        falls: None,
        spread: None,
        ..crate::Checks::default()
    };
    let verification = crate::verify(usual(), &brief, &checks, &Quiet);
    let failing: Vec<String> = caddis_basis::failing(&verification.findings)
        .filter(|finding| finding.domain == caddis_basis::Domain::Protection)
        .map(|finding| format!("{} {}: {}", finding.code, finding.place, finding.sentence))
        .collect();
    assert!(failing.is_empty(), "{failing:#?}");
}

#[test]
fn too_stiff_a_foam_is_relieved() {
    let mut brief = testing::brief();
    brief.foams = vec![testing::foam("firm plank", 40_000.0, 2.4e-5)];
    brief.items.retain(|item| item.id.as_str() == "display");
    let limit = Acceleration::g(70.0);
    let interior = testing::arranged(&brief, OPTIONS.steps);
    assert_sound(&brief, &interior);
    let (display, cavity) = (&interior.places[0], &interior.cavities[0]);
    let floor = brief.items[0].mass.value.weight() / caddis_basis::Area::from_si(0.2 * 0.12);
    assert!(
        brief.foams[0].law.initial_stress() / floor.si() > limit.as_g(),
        "too stiff at any thickness"
    );
    assert!(
        cavity.steps[0].low < display.bottom - 0.004,
        "a pocket under the floor"
    );
    let verification = crate::verify(&interior, &brief, &crate::Checks::default(), &Quiet);
    let peak = verification.items[0].directions[0].peak.unwrap();
    assert!(peak <= limit, "{peak}");
}

#[test]
fn too_stiff_a_lid_pad_is_relieved_and_the_peak_falls_to_the_limit() {
    let mut brief = testing::brief();
    brief.foams.push(testing::foam("firm plank", 40_000.0, 2.4e-5));
    brief.lid_foam = 1;
    brief.items.retain(|item| item.id.as_str() == "display");
    let limit = Acceleration::g(70.0);
    let interior = testing::arranged(&brief, OPTIONS.steps);
    let over = interior.cavities[0].over.clone().unwrap();
    let pad = interior
        .blocks
        .iter()
        .find(|b| b.kind == BlockKind::LidPad)
        .unwrap();
    assert!(
        over.low == pad.low && over.high < pad.high,
        "a pocket in the lid pad"
    );
    let layer = &pad.layers[0];
    let left = interior.foam_at(pad, layer, over.low + 1e-4).area();
    assert!(
        (layer.outline.area() - left - over.region.area()).abs() < 1e-7,
        "it is cut out of the pad"
    );
    let checks = crate::Checks {
        falls: None,
        spread: None,
        ..crate::Checks::default()
    };
    let up = |interior: &Interior| {
        let verification = crate::verify(interior, &brief, &checks, &Quiet);
        verification.items[0].directions[1].peak.unwrap()
    };
    let mut full = interior.clone();
    full.cavities[0].over = None;
    let (relieved, full) = (up(&interior), up(&full));
    assert!(full > limit, "full support is too stiff: {full}");
    assert!(relieved <= limit, "{relieved}");
}

#[test]
fn more_than_one_layer_of_things_takes_a_tray() {
    let mut brief = testing::brief();
    for item in &mut brief.items[4..] {
        item.quantity += 1;
    }
    let interior = testing::arranged(&brief, OPTIONS.steps);
    assert_sound(&brief, &interior);
    assert_eq!(tier_blocks(&interior).len(), 2);
    assert!(
        interior.places.iter().any(|place| place.tier == 0)
            && interior.places.iter().any(|place| place.tier == 1)
    );
}

#[test]
fn every_wall_keeps_what_the_law_asks() {
    let brief = testing::brief();
    let interior = usual();
    let foam = &brief.foams[0];
    for place in interior
        .places
        .iter()
        .filter(|p| matches!(brief.items[p.item].fragility, Fragility::Known(_)))
    {
        let item = &brief.items[place.item];
        let Fragility::Known(limit) = &item.fragility else {
            continue;
        };
        let area: f64 = place
            .body
            .slabs
            .iter()
            .map(|slab| slab.region.bounds().unwrap().size().y * (slab.high - slab.low))
            .sum();
        let stress = item.mass.value.weight() / caddis_basis::Area::from_si(area);
        for slab in &place.body.slabs {
            let wall = brief.shell.wall_section(slab.low).bounds().unwrap();
            let own = slab.region.bounds().unwrap();
            for t in [own.min.x - wall.min.x, wall.max.x - own.max.x] {
                let peak = foam
                    .law
                    .peak_g(stress, brief.handling.drop_height.value, Length::from_si(t))
                    .unwrap();
                assert!(peak <= limit.value, "{}: {peak} on {t} m", place.instance);
            }
        }
    }
}

#[test]
fn what_cannot_fit_says_why_and_what_would_help() {
    let mut brief = testing::brief();
    let caddis_survey::ItemShape::Primitive(solid) = &mut brief.items[1].shape else {
        panic!()
    };
    *solid = caddis_survey::Primitive::Cuboid {
        length: Length::mm(700.0),
        width: Length::mm(90.0),
        height: Length::mm(100.0),
    };
    let Outcome::Impossible { reasons } = arrange(&brief, &OPTIONS, &Quiet) else {
        panic!("it fits")
    };
    assert!(
        reasons[0].sentence.contains("recorder") || reasons[0].place.contains("recorder"),
        "{reasons:#?}"
    );
    let remedy = reasons[0].remedy.as_ref().unwrap();
    assert!(remedy.contains("leave out recorder"), "{remedy}");
}

#[test]
fn unknown_fragility_gives_way_before_stated_ones() {
    let mut brief = testing::brief();
    // Nobody states the batteries' fragility; on so little area they ask for a very thick floor.
    brief.items[0].mass = Measured::exact(caddis_basis::Mass::from_si(9.0));
    brief.handling.drop_height = Measured::exact(Length::mm(760.0));
    let question = Question::new(&brief).unwrap();
    let shares: Vec<f64> = question
        .attempts()
        .unwrap()
        .iter()
        .map(|a| a.level.unknown_share)
        .collect();
    assert!(shares.windows(2).all(|pair| pair[0] >= pair[1]) && shares.last() == Some(&0.0));
    for item in &mut brief.items {
        if matches!(item.fragility, Fragility::Unknown) {
            item.fragility = Fragility::Known(Measured::exact(Acceleration::g(80.0)));
        }
    }
    let question = Question::new(&brief).unwrap();
    assert!(
        question
            .attempts()
            .unwrap()
            .iter()
            .all(|a| a.level.unknown_share == 1.0)
    );
}

#[test]
fn a_stop_is_obeyed() {
    struct AtOnce;
    impl Progress for AtOnce {
        fn report(&self, _: &str, _: f64, _: Option<&str>) -> Flow {
            Flow::Stop
        }
    }
    assert!(matches!(
        arrange(&testing::brief(), &OPTIONS, &AtOnce),
        Outcome::Stopped { .. }
    ));
}

#[test]
fn nothing_to_place_is_an_interior_of_foam() {
    let mut brief = testing::brief();
    brief.items.clear();
    let interior = testing::arranged(&brief, OPTIONS.steps);
    assert!(interior.places.is_empty() && interior.blocks.len() == 2);
}

#[test]
fn a_brief_without_its_foam_is_refused() {
    let mut brief = testing::brief();
    brief.lid_foam = 3;
    let Outcome::Impossible { reasons } = arrange(&brief, &OPTIONS, &Quiet) else {
        panic!()
    };
    assert_eq!(reasons[0].code, "foam-missing");
}

#[test]
fn rearranging_keeps_what_it_can() {
    let brief = testing::brief();
    let before = usual();
    let same = rearrange(before, &brief, &[], &OPTIONS, &Quiet)
        .into_result()
        .unwrap();
    for (a, b) in before.places.iter().zip(&same.places) {
        assert_eq!(
            (a.at, a.up, a.turn, a.tier),
            (b.at, b.up, b.turn, b.tier),
            "{}",
            a.instance
        );
    }
    let lens = place(before, "lens", 1);
    let to = lens.at + Vec2::new(0.001, 0.0);
    let moved = rearrange(
        before,
        &brief,
        &[Change::Move(lens.instance.clone(), to)],
        &OPTIONS,
        &Quiet,
    )
    .into_result()
    .unwrap();
    assert_eq!(place(&moved, "lens", 1).at, to);
    assert_sound(&brief, &moved);
}

#[test]
fn a_new_item_finds_its_place_beside_the_others() {
    let brief = testing::brief();
    let before = usual();
    let mut more = brief.clone();
    let mut extra = more.items[7].clone();
    extra.id = ItemId::new("second-meter");
    more.items.push(extra.clone());
    let after = rearrange(
        before,
        &more,
        &[Change::AddItem(Box::new(extra))],
        &OPTIONS,
        &Quiet,
    )
    .into_result()
    .unwrap();
    assert_sound(&more, &after);
    assert_eq!(after.places.len(), 10);
}

#[test]
fn changes_that_cannot_be_are_refused() {
    let brief = testing::brief();
    let before = usual();
    let nobody = InstanceId::new(ItemId::new("nobody"), 1);
    let lens = place(before, "lens", 1).instance.clone();
    for (change, code) in [
        (Change::Move(nobody, Vec2::ZERO), "change-names-no-piece"),
        (Change::Turn(lens, Up::MinusX, Turn::NONE), "way-up-not-allowed"),
    ] {
        let Outcome::Impossible { reasons } = rearrange(before, &brief, &[change], &OPTIONS, &Quiet) else {
            panic!("{code} was let through")
        };
        assert_eq!(reasons[0].code, code);
    }
}

#[test]
fn notches_keep_their_webs() {
    let brief = testing::brief();
    let interior = usual();
    let web = brief.clearances.least_notch_web.si() - 2e-4;
    for notch in &interior.notches {
        for cavity in interior
            .cavities
            .iter()
            .filter(|cavity| cavity.id != notch.cavity)
        {
            for step in cavity
                .steps
                .iter()
                .filter(|step| step.high > notch.prism.low && step.low < notch.prism.high)
            {
                assert!(
                    step.region.distance(&notch.prism.region) >= web,
                    "{} to {}",
                    notch.cavity,
                    cavity.id
                );
            }
        }
        for layer in interior.blocks.iter().flat_map(|block| &block.layers) {
            if layer.low < notch.prism.high - 1e-9 && layer.high > notch.prism.low + 1e-9 {
                assert!(notch.prism.region.room_inside(&layer.outline) >= web);
            }
        }
        let own: &Region = &interior
            .cavities
            .iter()
            .find(|c| c.id == notch.cavity)
            .unwrap()
            .steps
            .last()
            .unwrap()
            .region;
        assert!(own.intersection(&notch.prism.region).area() > 0.2 * notch.prism.region.area());
    }
}
