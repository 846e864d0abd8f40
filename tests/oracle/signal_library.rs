//! scipy.signal (BSD), run beside Caddis on the same samples: filters, shock spectra.
//!
//! A second program's answer, computed here and now. The samples are a ringing pulse with noise from a fixed
//! linear-congruential sequence, and where `CADDIS_INPUTS` points, recordings of real accelerometers.

use crate::Chapter;
use caddis_basis::{Certainty, Duration, Frequency, Source};
use caddis_protection::response::{FrequencyClass, History, LowPass, shock_spectrum};
use caddis_tests::{Allowed, Folder, Row, second_opinion};
use serde_json::{Value, json};

fn source() -> Source {
    Source::new("scipy.signal 1.17, run on the same samples", Certainty::Derived)
}

/// A pulse of 11 ms that rings at 700 Hz, with noise.
fn ringing_pulse(step: f64) -> Vec<f64> {
    let mut state = 12_345_u64;
    (0..1200)
        .map(|i| {
            let t = f64::from(i) * step - 0.01;
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let noise = (state >> 33) as f64 / f64::from(1_u32 << 31) - 0.5;
            let pulse = if (0.0..0.011).contains(&t) {
                400.0 * (std::f64::consts::PI * t / 0.011).sin()
            } else {
                0.0
            };
            let ring = if t > 0.0 {
                120.0 * (-90.0 * t).exp() * (std::f64::consts::TAU * 700.0 * t).sin()
            } else {
                0.0
            };
            pulse + ring + 8.0 * noise
        })
        .collect()
}

/// Asks a question that takes a file of samples and settings.
fn ask(question: &str, given: &Value) -> Value {
    let folder = Folder::new();
    let path = folder.path().join("given.json");
    std::fs::write(&path, given.to_string()).unwrap();
    second_opinion(question, [path.as_os_str()])
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().unwrap();
    list.iter().map(|v| v.as_f64().unwrap()).collect()
}

fn filter_rows(rows: &mut Vec<Row>) {
    let step = 5e-5;
    let samples = ringing_pulse(step);
    let history = History::new(Duration::from_si(step), samples.clone()).unwrap();
    for (class, name) in [
        (FrequencyClass::Class60, "class 60"),
        (FrequencyClass::Class180, "class 180"),
        (FrequencyClass::Class1000, "class 1000"),
    ] {
        let theirs = numbers(&ask(
            "filtered",
            &json!({ "samples": samples, "step_s": step, "design_hz": 2.0775 * class.number() }),
        ));
        let ours = LowPass::class(class).filter(&history).unwrap();
        let worst = theirs
            .iter()
            .zip(ours.samples())
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        assert_eq!(theirs.len(), ours.samples().len());
        rows.push(Row {
            method: "low-pass filter without phase shift",
            problem: format!("{name}: largest difference over 1200 samples of a ringing pulse"),
            source: source(),
            unit: "m/s²",
            expected: 0.0,
            // What rounding leaves differs from machine to machine: printed only where it would matter.
            got: if worst < 1e-6 { 0.0 } else { worst },
            allowed: Allowed::Within(1e-6),
        });
        rows.push(Row {
            method: "peak after the filter",
            problem: format!("{name}, ringing pulse"),
            source: source(),
            unit: "m/s²",
            expected: theirs.iter().copied().fold(0.0, f64::max),
            got: ours.pulse().peak.si(),
            allowed: Allowed::Fraction(1e-6),
        });
    }
}

fn spectrum_rows(rows: &mut Vec<Row>) {
    let step = 5e-5;
    let samples = ringing_pulse(step);
    let history = History::new(Duration::from_si(step), samples.clone()).unwrap();
    let frequencies = [5.0, 20.0, 50.0, 120.0, 400.0, 700.0, 2000.0];
    let damping = 0.05;
    let theirs = ask(
        "shock_spectrum",
        &json!({ "samples": samples, "step_s": step, "damping": damping, "frequencies_hz": frequencies }),
    );
    let ours = shock_spectrum(&history, damping, &frequencies.map(Frequency::from_si)).unwrap();
    for ((frequency, theirs), ours) in frequencies
        .iter()
        .zip(theirs.as_array().unwrap())
        .zip(&ours.points)
    {
        let theirs = numbers(theirs);
        for (sense, expected, got) in [
            ("positive", theirs[0], ours.positive.si()),
            ("negative", theirs[1], ours.negative.si()),
        ] {
            rows.push(Row {
                method: "shock response spectrum",
                problem: format!("ringing pulse, Q 10, {frequency} Hz, {sense}"),
                source: source(),
                unit: "m/s²",
                expected,
                got,
                allowed: Allowed::Fraction(2e-3),
            });
        }
    }
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Vec::new();
    filter_rows(&mut rows);
    spectrum_rows(&mut rows);
    Chapter {
        title: "Signals",
        about: "scipy.signal asked the same questions on the same samples: two-pole Butterworth both ways (butter, filtfilt), \
                and the base-moved oscillator by matrix exponential for straight lines between samples (lsim).",
        rows,
    }
}

#[test]
fn filters_and_shock_spectra_agree_with_a_second_library() {
    chapter().assert();
}
