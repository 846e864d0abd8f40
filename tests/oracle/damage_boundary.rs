//! Shock pulses, the damage boundary and the shock spectrum: closed forms of the undamped oscillator.
//!
//! Source: R. E. Newton, "Fragility Assessment: Theory and Test Procedure", Monterey Research Laboratory 1968, and ASTM
//! D3332, which cites it: seen in the Vibration and Shock Handbook, section 12.7. The numbers follow by algebra; the
//! amplification table is a numerical integration to 0.05 %.

use crate::Chapter;
use caddis_basis::{Acceleration, Duration, Frequency, Source};
use caddis_protection::response::{DamageBoundary, KNEE, Pulse, PulseShape, shock_spectrum};
use caddis_tests::{Allowed, Row};
use std::f64::consts::FRAC_PI_2;

fn row(
    method: &'static str,
    problem: impl Into<String>,
    unit: &'static str,
    (expected, got): (f64, f64),
    allowed: Allowed,
) -> Row {
    Row {
        method,
        problem: problem.into(),
        source: Source::derived(caddis_basis::Said::name(
            "undamped oscillator (R. E. Newton 1968; ASTM D3332)",
        )),
        unit,
        expected,
        got,
        allowed,
    }
}

fn amplification(shape: PulseShape, product: f64) -> f64 {
    let pulse = Pulse {
        shape,
        peak: Acceleration::from_si(1.0),
        duration: Duration::from_si(1.0),
    };
    let history = pulse
        .history(Duration::from_si(1e-4), Duration::from_si(1e-3))
        .unwrap();
    shock_spectrum(&history, 0.0, &[Frequency::from_si(product)])
        .unwrap()
        .points[0]
        .maximax()
        .si()
}

/// How deep a body goes that a pulse throws back with `back` times the speed it came with, m: the samples integrated
/// twice by trapezia, from the speed that makes it so.
fn deepest(pulse: &Pulse, back: f64) -> f64 {
    let step = 1e-6;
    let history = pulse.history(Duration::from_si(step), Duration::ZERO).unwrap();
    let mut speed = history.velocity_change().si() / (1.0 + back);
    let (mut place, mut most) = (0.0, 0.0_f64);
    for pair in history.samples().windows(2) {
        let next = speed - 0.5 * (pair[0] + pair[1]) * step;
        place += 0.5 * (speed + next) * step;
        most = most.max(place);
        speed = next;
    }
    most
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Vec::new();
    for (shape, name, expected) in [
        (PulseShape::HalfSine, "half-sine 50 G 11 ms", 3.433_71),
        (PulseShape::Square, "square 40 G 11 ms", 4.314_93),
        (
            PulseShape::TerminalPeakSawtooth,
            "terminal-peak sawtooth 40 G 11 ms",
            2.157_46,
        ),
    ] {
        let peak = if shape == PulseShape::HalfSine { 50.0 } else { 40.0 };
        let pulse = Pulse {
            shape,
            peak: Acceleration::g(peak),
            duration: Duration::from_si(0.011),
        };
        let got = pulse.velocity_change().si();
        rows.push(row(
            "velocity change of a pulse",
            name,
            "m/s",
            (expected, got),
            Allowed::Within(5e-6),
        ));
        let step = Duration::from_si(1e-6);
        let history = pulse.history(step, Duration::from_si(1e-3)).unwrap();
        rows.push(row(
            "velocity change read from samples",
            name,
            "m/s",
            (expected, history.pulse().velocity_change.si()),
            Allowed::Fraction(2e-4),
        ));
    }
    let pulse = Pulse {
        shape: PulseShape::HalfSine,
        peak: Acceleration::g(50.0),
        duration: Duration::from_si(0.011),
    };
    rows.push(row(
        "velocity change of a pulse",
        "half-sine 50 G 11 ms",
        "in/s",
        (135.185, pulse.velocity_change().si() / 0.0254),
        Allowed::Within(6e-4),
    ));
    for (problem, back, expected) in [
        ("no rebound, A T²/pi", 0.0, 18.8854),
        ("elastic rebound, A T²/pi²", 1.0, 6.0114),
    ] {
        rows.push(Row {
            source: Source::derived(
                caddis_basis::Said::name("the pulse integrated twice; the factor pi in words in C. Lalanne, Mechanical Vibration and Shock, volume 2, table 5.4"),
            ),
            ..row(
                "displacement under a pulse, from its samples",
                format!("half-sine 50 G 11 ms, {problem}"),
                "mm",
                (expected, 1e3 * deepest(&pulse, back)),
                Allowed::Within(1e-4),
            )
        });
    }
    let boundary = DamageBoundary::of_component(Frequency::from_si(50.0), Acceleration::g(80.0));
    for (method, unit, expected, got) in [
        (
            "critical velocity change",
            "m/s",
            2.497_24,
            boundary.velocity_change.si(),
        ),
        ("critical acceleration", "G", 40.0, boundary.acceleration.as_g()),
        (
            "knee of the square-pulse boundary",
            "m/s",
            3.922_66,
            boundary.velocity_change.si() * KNEE,
        ),
    ] {
        rows.push(row(
            method,
            "component of 50 Hz that breaks at 80 G",
            unit,
            (expected, got),
            Allowed::Within(5e-6),
        ));
    }
    let products = [0.10, 0.25, 0.50, 0.75, 0.81, 1.0, 1.5, 3.0];
    for (shape, name, values) in [
        (
            PulseShape::HalfSine,
            "half-sine",
            [0.3963, 0.9428, FRAC_PI_2, 1.7634, 1.7685, 1.7321, 1.500, 1.170],
        ),
        (
            PulseShape::Square,
            "square",
            [0.6181, 1.4143, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0],
        ),
        (
            PulseShape::TerminalPeakSawtooth,
            "terminal-peak sawtooth",
            [0.3108, 0.7331, 1.1855, 1.2307, 1.1892, 1.000, 1.022, 1.000],
        ),
    ] {
        for (product, expected) in products.into_iter().zip(values) {
            rows.push(row(
                "undamped shock spectrum",
                format!("{name} pulse, f T = {product}"),
                "",
                (expected, amplification(shape, product)),
                Allowed::Fraction(1.5e-3),
            ));
        }
    }
    Chapter {
        title: "Shock pulses and the damage boundary",
        about: "Closed forms of the undamped oscillator, which stand behind the damage boundary. The spectra come from the \
                same recursive filter that reads a simulated fall.",
        rows,
    }
}

#[test]
fn pulses_boundaries_and_spectra_hold() {
    chapter().assert();
}
