use super::*;
use crate::verify::tests::interior;
use crate::{Checks, LegVibration, testing, verify};
use caddis_basis::{Quiet, Source};
use caddis_protection::vibration::{CushionRow, CushionVibration};

fn spectrum() -> Spectrum {
    Spectrum::in_g(
        caddis_basis::Said::name("flat, 5 to 200 Hz"),
        Source::derived(caddis_basis::Said::name("made for the test")),
        &[(5.0, 0.01), (200.0, 0.01)],
    )
    .expect("two rising points")
}

/// Foam that swings near 30 Hz under the items of these tests.
fn measured(certainty: Certainty) -> CushionVibration {
    let row = |stress: f64| CushionRow {
        static_stress: Pressure::from_si(stress),
        modulus: Pressure::from_si(1.5e5),
        damping: 0.1,
    };
    CushionVibration::new(
        vec![row(50.0), row(50_000.0)],
        (Length::mm(5.0), Length::mm(200.0)),
        Source::new("made for the test", certainty),
    )
    .expect("rows rise")
}

fn resonance(frequency: f64, limit: f64) -> Resonance {
    Resonance {
        frequency: Frequency::from_si(frequency),
        amplification: 10.0,
        limit: Some(Acceleration::g(limit)),
        source: Source::derived(caddis_basis::Said::name("made for the test")),
    }
}

fn verified(brief: &Brief) -> (VibrationVerdict, Vec<&'static str>) {
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let checks = Checks {
        falls: None,
        spread: None,
        ..Checks::default()
    };
    let found = verify(&row, brief, &checks, &Quiet);
    let codes = found.findings.iter().map(|finding| finding.code).collect();
    (found.vibration[0].clone(), codes)
}

fn question() -> Brief {
    let mut brief = testing::brief();
    brief.items.truncate(1);
    brief.vibration.legs.push(LegVibration {
        leg: 0,
        spectrum: spectrum(),
        duration: Duration::from_si(3600.0),
    });
    brief
}

#[test]
fn without_measured_data_nothing_is_known_and_the_usual_range_is_shown() {
    let (verdict, codes) = verified(&question());
    assert_eq!(verdict.verdict, Verdict::NotKnown);
    assert!(verdict.oscillator.is_none() && verdict.legs[0].response.is_none());
    let (least, most) = verdict.legs[0].usual.expect("a spectrum is stated");
    assert!(least.si() > 0.0 && least < most);
    assert!(codes.contains(&"vibration-not-known"));
    assert!(
        verdict.sentence.contains("no dynamic data"),
        "{}",
        verdict.sentence
    );
}

#[test]
fn a_resonance_holds_or_fails_by_its_limit() {
    let mut brief = question();
    brief.vibration.foams = vec![Some(measured(Certainty::Measured))];
    let (verdict, _) = verified(&brief);
    assert_eq!(verdict.verdict, Verdict::NotKnown, "nobody states a resonance");
    let stated = |limit: f64| ItemVibration {
        resonances: vec![resonance(90.0, limit)],
        critical_velocity_change: None,
    };
    brief.vibration.items = vec![stated(50.0)];
    let (verdict, codes) = verified(&brief);
    assert_eq!(verdict.verdict, Verdict::Holds, "{}", verdict.sentence);
    assert!(!codes.contains(&"resonance-past-limit"));
    let seen = verdict.legs[0].resonances[0].exposure.expect("all is known");
    brief.vibration.items = vec![stated(seen.design_peak().as_g() * 0.9)];
    let (verdict, codes) = verified(&brief);
    assert_eq!(verdict.verdict, Verdict::Fails);
    assert!(codes.contains(&"resonance-past-limit"));
    // The same data from a model are indicative at most.
    brief.vibration.items = vec![stated(50.0)];
    brief.vibration.foams = vec![Some(measured(Certainty::Model))];
    assert_eq!(verified(&brief).0.verdict, Verdict::Indicative);
}

#[test]
fn a_cushion_that_swings_on_the_resonance_is_pointed_out() {
    let mut brief = question();
    brief.vibration.foams = vec![Some(measured(Certainty::Measured))];
    let natural = verified(&brief).0.oscillator.expect("measured").natural.si();
    brief.vibration.items = vec![ItemVibration {
        resonances: vec![resonance(natural, 1000.0)],
        critical_velocity_change: None,
    }];
    assert!(verified(&brief).1.contains(&"resonance-on-cushion"));
    brief.vibration.items[0].resonances = vec![resonance(natural * 6.0, 1000.0)];
    assert!(!verified(&brief).1.contains(&"resonance-on-cushion"));
}

#[test]
fn a_velocity_change_below_the_critical_one_is_too_short_to_harm() {
    let mut brief = question();
    brief.items[0].fragility = Fragility::Known(caddis_basis::Measured::exact(Acceleration::g(60.0)));
    let critical = |speed: f64| {
        vec![ItemVibration {
            resonances: Vec::new(),
            critical_velocity_change: Some(caddis_basis::Measured::exact(Speed::from_si(speed))),
        }]
    };
    brief.vibration.items = critical(20.0);
    let shock = verified(&brief).0.shock.expect("both limits are stated");
    assert_eq!(
        shock.judgement,
        Some(DamageJudgement::TooShort),
        "{}",
        shock.sentence
    );
    let (plain, rebounding) = shock.velocity_change;
    assert!((rebounding / plain - 2.0).abs() < 1e-12);
    brief.vibration.items = critical(1.0);
    let shock = verified(&brief).0.shock.expect("both limits are stated");
    assert_ne!(shock.judgement, Some(DamageJudgement::TooShort));
}

#[test]
fn the_simulated_fall_says_what_it_changes() {
    let mut brief = question();
    let row = interior(&[(0.0, [100.0, 80.0, 60.0])]);
    let mut judged = |critical: f64, fragility: f64| {
        brief.items[0].fragility =
            Fragility::Known(caddis_basis::Measured::exact(Acceleration::g(fragility)));
        brief.vibration.items = vec![ItemVibration {
            resonances: Vec::new(),
            critical_velocity_change: Some(caddis_basis::Measured::exact(Speed::from_si(critical))),
        }];
        let checks = Checks {
            spread: None,
            ..Checks::default()
        };
        let found = verify(&row, &brief, &checks, &Quiet);
        let shock = found.vibration[0].shock.clone().expect("both limits are stated");
        let falls = found.items[0].falls.as_ref().expect("hard items fall");
        // The largest of all falls, not that of the hardest one.
        assert_eq!(shock.velocity_change.1, falls.velocity_change);
        assert!(falls.velocity_change >= falls.shock.as_ref().expect("a pulse").velocity_change);
        shock.judgement
    };
    assert_eq!(judged(100.0, 1.0), Some(DamageJudgement::TooShort));
    assert_eq!(judged(0.1, 1e4), Some(DamageJudgement::TooGentle));
    assert_eq!(judged(0.1, 1.0), Some(DamageJudgement::Damage));
}
