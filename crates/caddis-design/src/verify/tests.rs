//! Tests of packing, load path, verification and release on an interior made by hand.

use crate::verify::load_path::loads;
use crate::{
    ArrangeOptions, Brief, Checks, Concession, Direction, FallChecks, Interior, Signer, Support, arrange,
    pack, release, testing, verify,
};
use caddis_basis::{Domain, Length, Margin, Outcome, Quiet, Severity, Verdict, failing};
use caddis_geometry::{Placement2, Prism, Region, Vec2, Vec3};

pub(super) fn interior(pieces: &[(f64, [f64; 3])]) -> Interior {
    testing::shelf(pieces)
}

fn brief() -> Brief {
    testing::brief()
}

#[test]
fn patches_measure_the_foam_that_is_there() {
    let interior = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let packed = pack(&interior, &brief(), 0.004);
    let total = |side: usize| packed[0].sides[side].iter().map(|p| p.patch.area).sum::<f64>();
    for (side, area) in [
        (0, 0.008),
        (1, 0.008),
        (2, 0.0048),
        (3, 0.0048),
        (4, 0.006),
        (5, 0.006),
    ] {
        assert!((total(side) - area).abs() < 1e-9, "side {side}: {}", total(side));
    }
    // Between the ribs: the block starts at 20 mm, the item's floor lies at 180 mm.
    for patch in &packed[0].sides[0] {
        assert!((patch.patch.thickness - 0.16).abs() < 1e-6, "{:?}", patch.patch);
        assert_eq!(patch.support, Support::Shell);
    }
    // Along x the foam ends at 150 mm, the wall of the shell is farther: the rest is a gap.
    let right = &packed[0].sides[3][0].patch;
    assert!(
        (right.thickness - 0.1).abs() < 1e-6 && right.gap > 0.1,
        "{right:?}"
    );
}

#[test]
fn a_notch_and_a_neighbour_take_support() {
    let mut one = interior(&[(0.0, [100.0, 80.0, 60.0]), (100.0, [60.0, 80.0, 60.0])]);
    let packed = pack(&one, &brief(), 0.004);
    assert!(packed[0].sides[3].iter().all(|p| p.support == Support::Piece(1)));
    assert!((packed[0].sides[3][0].patch.thickness - 0.02).abs() < 1e-6);
    let whole: f64 = packed[0].sides[4]
        .iter()
        .map(|p| p.patch.thickness * p.patch.area)
        .sum();
    one.notches.push(crate::Notch {
        cavity: one.cavities[0].id.clone(),
        prism: Prism {
            region: Region::circle(Vec2::new(0.0, -0.04), 0.014),
            low: 0.2,
            high: 0.24,
        },
    });
    let notched: f64 = pack(&one, &brief(), 0.004)[0].sides[4]
        .iter()
        .map(|p| p.patch.thickness * p.patch.area)
        .sum();
    assert!(notched < whole - 1e-6, "{notched} {whole}");
}

#[test]
fn the_last_wall_carries_the_row() {
    let row = interior(&[
        (-90.0, [50.0, 80.0, 60.0]),
        (0.0, [50.0, 80.0, 60.0]),
        (90.0, [50.0, 80.0, 60.0]),
    ]);
    let packed = pack(&row, &brief(), 0.004);
    let masses = [1.0, 2.0, 4.0];
    let (right, order) = loads(&packed, &row.places, &masses, (3, Direction::Right), None);
    assert_eq!(order, vec![2, 1, 0]);
    let carried: Vec<f64> = right.iter().map(|load| load.carried).collect();
    assert!(
        (carried[0] - 1.0).abs() < 1e-9 && (carried[1] - 3.0).abs() < 1e-9 && (carried[2] - 7.0).abs() < 1e-9
    );
    let (left, _) = loads(&packed, &row.places, &masses, (2, Direction::Left), None);
    assert!(
        (left[0].carried - 7.0).abs() < 1e-9,
        "the other wall carries it the other way"
    );
    let (down, _) = loads(&packed, &row.places, &masses, (0, Direction::Down), None);
    assert!(
        down.iter()
            .zip(masses)
            .all(|(load, mass)| (load.carried - mass).abs() < 1e-9)
    );
}

#[test]
fn moving_the_whole_scene_changes_no_thickness() {
    // Invariance: the same pieces 10 mm along, the same foam outline 10 mm along.
    let base = interior(&[(0.0, [60.0, 60.0, 60.0])]);
    let mut moved = base.clone();
    let shift = Placement2 {
        angle: 0.0,
        shift: Vec2::new(0.01, 0.0),
    };
    for block in &mut moved.blocks {
        block.layers[0].outline = block.layers[0].outline.placed(&shift);
    }
    for (place, cavity) in moved.places.iter_mut().zip(&mut moved.cavities) {
        place.body = place.body.placed(&shift, 0.0);
        cavity.steps[0].region = cavity.steps[0].region.placed(&shift);
    }
    let mean = |interior: &Interior| {
        let packed = pack(interior, &brief(), 0.004);
        packed[0].sides[3].iter().map(|p| p.patch.thickness).sum::<f64>() / packed[0].sides[3].len() as f64
    };
    assert!((mean(&base) - mean(&moved)).abs() < 1e-9);
}

#[test]
fn more_height_never_lowers_a_peak_and_every_side_is_judged() {
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let mut question = brief();
    let mut before = 0.0;
    for height in [200.0, 400.0, 800.0] {
        question.handling.drop_height.value = Length::mm(height);
        let verification = verify(&row, &question, &Checks::default(), &Quiet);
        assert_eq!(verification.items.len(), 2);
        assert!(verification.items.iter().all(|item| item.directions.len() == 6));
        let Some(peak) = verification.items[0].directions[0].peak else {
            break;
        };
        assert!(peak.as_g() >= before, "{height}: {peak}");
        before = peak.as_g();
    }
    assert!(before > 0.0);
}

#[test]
fn every_item_falls_in_every_direction_and_the_verdict_takes_the_worst() {
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let question = brief();
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    assert!(!verification.fall_assumptions.is_empty());
    for item in &verification.items {
        let falls = item.falls.as_ref().expect("hard items fall");
        assert_eq!(falls.map.len(), 642);
        assert_eq!(falls.worst_of_each.len(), 3, "stops dead, bounces, end first");
        let peak = falls.worst.peak.expect("the foam holds");
        let others = falls.map.iter().map(|(_, peak)| *peak);
        assert!(
            others
                .chain(falls.worst_of_each.iter().map(|fall| fall.peak))
                .all(|other| other.expect("the foam holds") <= peak)
        );
        assert_eq!(Verdict::worse(item.verdict, falls.verdict), item.verdict);
        // The flat fall by energy balance and the simulated one onto the base are one physics.
        let down = item.directions[0].peak.expect("the foam holds");
        let (_, simulated) = falls
            .map
            .iter()
            .min_by(|a, b| a.0.z.total_cmp(&b.0.z))
            .expect("a map has directions");
        let simulated = simulated.expect("the foam holds");
        assert!(
            (simulated / down - 1.0).abs() < 0.1,
            "{simulated} against {down}: the nearest direction leans by some degrees"
        );
    }
    let without = Checks {
        falls: None,
        spread: None,
        ..Checks::default()
    };
    let plain = verify(&row, &question, &without, &Quiet);
    assert!(plain.items.iter().all(|item| item.falls.is_none()));
    let other = Checks {
        falls: Some(FallChecks {
            threads: 1,
            ..FallChecks::default()
        }),
        ..Checks::default()
    };
    assert_eq!(
        verify(&row, &question, &other, &Quiet),
        verification,
        "threads change nothing"
    );
}

#[test]
fn a_higher_fall_that_breaks_an_item_is_found_in_the_map() {
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut question = brief();
    question.handling.drop_height.value = Length::mm(3000.0);
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    assert!(
        verification
            .findings
            .iter()
            .any(|finding| finding.code.starts_with("fall-") && finding.severity == Severity::Failing),
        "{:?}",
        verification.items[0].falls.as_ref().map(|falls| &falls.worst)
    );
}

fn concession(code: &str, place: &str, margin: Option<Margin>, is_customer: bool) -> Concession {
    Concession {
        code: code.to_owned(),
        place: place.to_owned(),
        margin,
        signer: Signer {
            name: "A. Person".to_owned(),
            is_customer,
        },
        reason: "accepted for one journey".to_owned(),
        date: "2026-11-25".to_owned(),
    }
}

#[test]
fn a_failing_finding_blocks_until_the_right_person_signs_at_that_margin() {
    let mut question = brief();
    question.handling.drop_height.value = Length::mm(3000.0);
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut verification = verify(&row, &question, &Checks::default(), &Quiet);
    verification
        .findings
        .retain(|finding| finding.domain == Domain::Protection || finding.severity != Severity::Failing);
    assert!(
        failing(&verification.findings).next().is_some(),
        "a fall of three metres fails"
    );
    let blocked = release(&verification, &[]).expect_err("nobody signed");
    assert_eq!(blocked.open.len(), failing(&verification.findings).count());

    let sign = |is_customer: bool, worse: f64| -> Vec<Concession> {
        failing(&verification.findings)
            .map(|finding| {
                let margin = finding.margin.clone().map(|mut margin| {
                    margin.limit += worse;
                    margin
                });
                concession(finding.code, &finding.place, margin, is_customer)
            })
            .collect()
    };
    assert!(
        release(&verification, &sign(true, 0.0)).is_ok(),
        "the customer may concede protection"
    );
    let blocked = release(&verification, &sign(false, 0.0)).expect_err("the shop may not");
    assert!(!blocked.void.is_empty());
    let mut better = sign(true, 0.0);
    for concession in &mut better {
        if let Some(margin) = &mut concession.margin {
            // Signed at a better margin than there is now.
            margin.found = margin.limit;
        }
    }
    assert!(
        release(&verification, &better).is_err(),
        "a worse margin voids it"
    );
    let mut nameless = sign(true, 0.0);
    nameless[0].signer.name.clear();
    assert!(release(&verification, &nameless).is_err());
}

#[test]
fn an_arranged_brief_verifies_with_every_check_named() {
    let question = brief();
    let options = ArrangeOptions {
        seed: 3,
        steps: 400_000,
        workers: 1,
    };
    let Outcome::Complete(interior) = arrange(&question, &options, &Quiet) else {
        panic!("the brief fits")
    };
    let verification = verify(&interior, &question, &Checks::default(), &Quiet);
    let codes: Vec<&str> = verification.case.iter().map(|check| check.code).collect();
    for code in [
        "gross-mass",
        "balance",
        "worst-case-fit",
        "stack-sum",
        "wall-squeeze",
        "webs",
        "lid-closes",
    ] {
        assert!(codes.contains(&code), "{code}");
    }
    let parts: f64 = verification.masses.iter().map(|(_, mass)| mass.si()).sum();
    assert!(
        (parts - verification.parcel.gross_mass.value.si()).abs() < 1e-9,
        "the parts sum to the gross mass"
    );
    assert_eq!(verification.items.len(), interior.places.len());
}

#[test]
fn the_worst_fall_is_followed_filtered_and_turned_into_a_spectrum() {
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut question = brief();
    question.items[0].points = vec![("corner".to_owned(), Vec3::new(0.05, 0.04, 0.06))];
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    let falls = verification.items[0].falls.as_ref().expect("hard items fall");
    let shock = falls.shock.as_ref().expect("a pulse");
    let names: Vec<&str> = shock.traces.iter().map(|trace| trace.name.as_str()).collect();
    assert_eq!(names, ["centre of mass", "corner"]);
    let centre = &shock.traces[0];
    let peak = falls.worst.peak.expect("the foam holds");
    assert!((centre.peak / peak - 1.0).abs() < 1e-2, "{} {peak}", centre.peak);
    // The gentlest corner leaves the peak of a smooth pulse within a few per cent.
    assert!(centre.filtered <= centre.peak * 1.02 && centre.filtered >= centre.peak * 0.8);
    // An elastic law gives back what it took: between one and two impact speeds.
    let speed = caddis_protection::impact_speed(question.handling.drop_height.most());
    let share = shock.velocity_change / speed;
    assert!((0.9..=2.6).contains(&share), "{share}");
    // The area under the history is the change of velocity along the fall.
    let area: f64 = centre.along.iter().map(|a| a.si() * shock.step.si()).sum();
    assert!(area <= shock.velocity_change.si() * 1.02 && area > 0.5 * shock.velocity_change.si());
    // A stiff part follows the pulse, a soft one does not.
    let at = |i: usize| shock.spectrum.points[i].maximax();
    let last = shock.spectrum.points.len() - 1;
    assert!((at(last) / centre.peak - 1.0).abs() < 0.2, "{}", at(last));
    assert!(at(0) < centre.peak);
}

#[test]
fn the_reverse_answer_names_heights_that_rise_with_the_limit() {
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut question = brief();
    question.items[0].fragility = caddis_survey::Fragility::Unknown;
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    let item = &verification.items[0];
    let held = &item.falls.as_ref().expect("hard items fall").held_from;
    assert_eq!(held.len(), 6, "one for each class");
    assert!(held.windows(2).all(|pair| pair[0].limit < pair[1].limit
        && pair[0].height.map_or(0.0, Length::si) <= pair[1].height.map_or(0.0, Length::si)));
    let finding = verification
        .findings
        .iter()
        .find(|finding| finding.code == "fragility-unknown")
        .expect("nobody states it");
    assert!(finding.sentence.contains("in any direction") && item.sentence.contains("held to"));
    // From the height that answers, the peak is the limit.
    let answer = held
        .iter()
        .find(|held| held.height.is_some() && !held.is_beyond)
        .expect("a class between");
    question.handling.drop_height = caddis_basis::Measured::exact(answer.height.expect("just asked"));
    let again = verify(&row, &question, &Checks::default(), &Quiet);
    let peak = again.items[0]
        .falls
        .as_ref()
        .expect("falls")
        .worst
        .peak
        .expect("holds");
    assert!((peak / answer.limit - 1.0).abs() < 0.1, "{peak} {}", answer.limit);
}

#[test]
fn test_drops_follow_each_other_on_foam_that_remembers() {
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut question = brief();
    let plain = verify(&row, &question, &Checks::default(), &Quiet);
    assert!(plain.sequence.is_none());
    assert!(plain.findings.iter().any(|f| f.code == "later-impacts-not-known"));
    // Later impacts on foam that starts and stays harder.
    for foam in &mut question.foams {
        let mut later = foam.law.clone();
        if let caddis_protection::LawKind::StressEnergy { a, b } = &mut later.kind {
            (*a, *b) = (*a * 1.2, *b / 1.2);
        }
        foam.later = Some(later);
    }
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    let why: Vec<&str> = verification
        .findings
        .iter()
        .filter(|f| f.code == "sequence-not-simulated")
        .map(|f| f.sentence.as_str())
        .collect();
    assert!(why.is_empty(), "{why:?}");
    let sequence = verification.sequence.as_ref().expect("data of later impacts");
    let item = &sequence.items[0];
    assert_eq!(item.peaks.len(), sequence.drops.len());
    assert_eq!(item.worn[0], 0.0, "new foam");
    assert!(
        item.worn.windows(2).all(|pair| pair[1] >= pair[0]),
        "{:?}",
        item.worn
    );
    assert_ne!(item.verdict, Verdict::Holds, "no dynamic data");
    let worst = item
        .peaks
        .iter()
        .map(|peak| peak.expect("the foam holds"))
        .reduce(caddis_basis::Acceleration::max);
    assert!(item.sentence.contains(&format!("{:.0}", worst.expect("drops"))));
    // What the worst drop exceeds is a finding at the item.
    question.items[0].fragility =
        caddis_survey::Fragility::Known(caddis_basis::Measured::exact(worst.expect("drops") * 0.9));
    let failing = verify(&row, &question, &Checks::default(), &Quiet);
    assert!(
        failing
            .findings
            .iter()
            .any(|f| f.code == "sequence-over-fragility")
    );
    assert_eq!(failing.items[0].verdict, Verdict::Fails);
}

#[test]
fn peaks_scatter_about_the_design_and_change_no_verdict() {
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let mut question = brief();
    let alone = Checks {
        falls: None,
        ..Checks::default()
    };
    let plain = verify(&row, &question, &alone, &Quiet);
    let spread = plain.spread.as_ref().expect("it was asked for");
    assert_eq!(spread.items.len(), 2);
    assert!(
        spread
            .assumptions
            .iter()
            .any(|words| words.contains("no chance of survival"))
    );
    for item in &spread.items {
        let peaks = item.peaks;
        assert!(peaks.low < peaks.middle && peaks.middle < peaks.high && peaks.high <= peaks.most);
    }
    // A journey whose drops are all low is gentler throughout; the verdict is on the design drop and stays.
    question.handling.scatter.height_95 = Length::mm(100.0);
    question.handling.scatter.highest = Length::mm(150.0);
    let low = verify(&row, &question, &alone, &Quiet);
    let gentler = low.spread.as_ref().expect("it was asked for");
    for (a, b) in gentler.items.iter().zip(&spread.items) {
        assert!(a.peaks.middle < b.peaks.middle && a.peaks.most < b.peaks.most);
    }
    assert_eq!(low.items, plain.items);
}

#[test]
fn a_spread_that_makes_no_sense_is_told_and_not_hidden() {
    let row = interior(&[(0.0, [60.0, 80.0, 60.0])]);
    let mut question = brief();
    question.handling.scatter.highest = Length::mm(10.0);
    let verification = verify(&row, &question, &Checks::default(), &Quiet);
    assert!(verification.spread.is_none());
    assert!(
        verification
            .findings
            .iter()
            .any(|finding| finding.code == "spread-not-known")
    );
}
