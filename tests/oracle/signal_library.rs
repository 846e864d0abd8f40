//! scipy.signal (BSD), run beside Caddis on the same samples: filters, shock spectra.
//!
//! A second program's answer, computed here and now. The samples are a ringing pulse with noise from a fixed
//! linear-congruential sequence, and where `CADDIS_INPUTS` points, recordings of real accelerometers.

use crate::Chapter;
use caddis_basis::{Certainty, Duration, Frequency, Source};
use caddis_protection::response::{FrequencyClass, History, LowPass, shock_spectrum};
use caddis_protection::vibration::{Oscillator, WelchSettings, published_spectra, welch};
use caddis_tests::{Allowed, Folder, Inputs, Row, inputs, second_opinion};
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

/// Largest difference of two estimates over the level of the second; what rounding leaves is printed as nothing.
fn difference(ours: &[f64], theirs: &[f64]) -> f64 {
    assert_eq!(ours.len(), theirs.len());
    let most = theirs.iter().copied().fold(0.0, f64::max);
    let worst = ours
        .iter()
        .zip(theirs)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    if worst < 1e-9 * most { 0.0 } else { worst / most }
}

fn estimate(history: &History, segment: usize, overlap: f64) -> Vec<f64> {
    let settings = WelchSettings {
        resolution: Frequency::from_si(1.0 / history.step().si() / segment as f64),
        overlap,
        ..WelchSettings::default()
    };
    welch(history, &settings).unwrap().density
}

fn welch_rows(rows: &mut Vec<Row>) {
    let step = 5e-5;
    let samples = ringing_pulse(step);
    let history = History::new(Duration::from_si(step), samples.clone()).unwrap();
    for (segment, overlap) in [(256, 0.5), (300, 0.5), (400, 0.75), (255, 0.0)] {
        let theirs = numbers(&ask(
            "welch",
            &json!({ "samples": samples, "step_s": step, "segment": segment, "overlap": overlap }),
        ));
        rows.push(Row {
            method: "spectral density by Welch's method",
            problem: format!(
                "ringing pulse, segments of {segment}, overlap {overlap}: largest difference over the peak"
            ),
            source: source(),
            unit: "",
            expected: 0.0,
            got: difference(&estimate(&history, segment, overlap), &theirs),
            allowed: Allowed::Within(1e-9),
        });
    }
}

fn response_rows(rows: &mut Vec<Row>) {
    let oscillators = [(8.0, 0.05), (22.0, 0.1), (45.0, 0.02), (150.0, 0.2)];
    for one in published_spectra().unwrap() {
        if !matches!(
            one.name,
            "truck-level-ii" | "rail-level-ii" | "air-level-ii" | "common-carrier-vertical"
        ) {
            continue;
        }
        let theirs = numbers(&ask(
            "random_response",
            &json!({ "points": one.spectrum.points_in_g(), "oscillators": oscillators }),
        ));
        for ((natural, damping), expected) in oscillators.into_iter().zip(theirs) {
            let natural = Frequency::from_si(natural);
            rows.push(Row {
                method: "random response by full integration",
                problem: format!("{} on {natural}, damping {damping}", one.name),
                source: Source::new(
                    "scipy.integrate.quad 1.17, run on the same spectrum",
                    Certainty::Derived,
                ),
                unit: "G",
                expected,
                got: Oscillator { natural, damping }
                    .response(&one.spectrum)
                    .level
                    .as_g(),
                allowed: Allowed::Fraction(1e-6),
            });
        }
    }
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Vec::new();
    filter_rows(&mut rows);
    spectrum_rows(&mut rows);
    welch_rows(&mut rows);
    response_rows(&mut rows);
    Chapter {
        title: "Signals",
        about: "scipy.signal asked the same questions on the same samples: two-pole Butterworth both ways (butter, filtfilt), \
                the base-moved oscillator by matrix exponential for straight lines between samples (lsim), welch; and \
                scipy.integrate.quad for the response to random vibration.",
        rows,
    }
}

#[test]
fn filters_and_shock_spectra_agree_with_a_second_library() {
    chapter().assert();
}

/// The same on recordings of real accelerometers; rows would come and go with the machine, so these have none.
#[test]
fn real_recordings_give_the_same_density_as_a_second_library() {
    let Inputs::There(folder) = inputs() else {
        eprintln!("left out: CADDIS_INPUTS is not set, so no real recording is read");
        return;
    };
    for (name, segment) in [
        ("endaq/handling_test1_500Hz.csv", 512),
        ("endaq/vibration_daq12006_4kHz_window.csv", 4038),
    ] {
        let text = std::fs::read_to_string(folder.join("vibshock").join(name)).unwrap();
        let rows: Vec<Vec<f64>> = text
            .lines()
            .skip(1)
            .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
            .collect();
        let step = (rows[rows.len() - 1][0] - rows[0][0]) / (rows.len() - 1) as f64;
        for axis in 1..=3 {
            let samples: Vec<f64> = rows.iter().map(|row| row[axis]).collect();
            let history = History::new(Duration::from_si(step), samples.clone()).unwrap();
            let theirs = numbers(&ask(
                "welch",
                &json!({ "samples": samples, "step_s": step, "segment": segment, "overlap": 0.5 }),
            ));
            let off = difference(&estimate(&history, segment, 0.5), &theirs);
            assert!(off < 1e-9, "{name} axis {axis}: {off}");
        }
    }
}
