//! Vibration: transmissibility, Miles' equation, the spectra of transport standards.
//!
//! Sources: R. Simmons, NASA GSFC, "Miles' Equation", May 2001 (read); transmissibility from notes on Steinberg, equation
//! 2.48, as code (second text); the spectra as each row says. Most spectra are remembered break points whose integral
//! closes on the overall level remembered with them.

use crate::Chapter;
use caddis_basis::{Certainty, Frequency, Length, Pressure, Source};
use caddis_protection::vibration::{CushionRow, CushionVibration, Oscillator, Spectrum, published_spectra};
use caddis_tests::{Allowed, Row};

fn hertz(value: f64) -> Frequency {
    Frequency::from_si(value)
}

fn white(density: f64) -> Spectrum {
    let source = Source::new("invented", Certainty::Invented);
    Spectrum::in_g("white", source, &[(0.01, density), (100_000.0, density)]).unwrap()
}

fn spectrum_rows(rows: &mut Vec<Row>) {
    for one in published_spectra().unwrap() {
        rows.push(Row {
            method: "overall level of a spectrum",
            problem: one.name.to_owned(),
            source: one.spectrum.source.clone(),
            unit: "G",
            expected: one.quoted,
            got: one.spectrum.overall().as_g(),
            // Quoted to two decimals, one of them to one.
            allowed: Allowed::Within(if one.quoted == 6.9 { 0.05 } else { 0.0051 }),
        });
    }
}

fn oscillator_rows(rows: &mut Vec<Row>) {
    let dampings = [0.05, 0.10, 0.20, 0.30];
    for (ratio, values) in [
        (0.5, [1.332_04, 1.328_23, 1.313_83, 1.292_48]),
        (1.0, [10.049_88, 5.099_02, 2.692_58, 1.943_65]),
        (2.0, [0.339_18, 0.355_86, 0.412_46, 0.483_44]),
        (3.0, [0.130_41, 0.145_37, 0.193_10, 0.251_11]),
        (5.0, [0.046_57, 0.058_87, 0.092_85, 0.130_74]),
    ] {
        for (damping, expected) in dampings.into_iter().zip(values) {
            let o = Oscillator {
                natural: hertz(10.0),
                damping,
            };
            rows.push(Row {
                method: "transmissibility",
                problem: format!("f/f_n = {ratio}, damping {damping}"),
                source: Source::new("notes on Steinberg, equation 2.48, as code", Certainty::Secondary),
                unit: "",
                expected,
                got: o.transmissibility(hertz(10.0 * ratio)),
                allowed: Allowed::Within(6e-6),
            });
        }
    }
    for (natural, damping, density, miles, exact) in [
        (200.0, 1.0 / 40.0, 0.02, 11.2100, None),
        (100.0, 0.05, 0.04, 7.926_65, Some(7.966_19)),
        (20.0, 0.1, 0.01, 1.253_31, Some(1.278_13)),
    ] {
        let o = Oscillator {
            natural: hertz(natural),
            damping,
        };
        let response = o.response(&white(density));
        let problem = format!("{natural} Hz, damping {damping}, {density} g²/Hz");
        rows.push(Row {
            method: "Miles' equation",
            problem: problem.clone(),
            source: Source::new(
                "R. Simmons, NASA GSFC, Miles' Equation, May 2001",
                Certainty::Published,
            ),
            unit: "G",
            expected: miles,
            got: response.miles.as_g(),
            allowed: Allowed::Within(6e-5),
        });
        if let Some(exact) = exact {
            rows.push(Row {
                method: "response to white noise",
                problem,
                source: Source::derived("pi f ASD (1 + 4 z²)/(4 z), exact"),
                unit: "G",
                expected: exact,
                got: response.level.as_g(),
                allowed: Allowed::Fraction(1e-4),
            });
        }
    }
    let o = Oscillator {
        natural: hertz(200.0),
        damping: 1.0 / 40.0,
    };
    rows.push(Row {
        method: "deflection under white noise",
        problem: "200 Hz, Q 20, 0.02 g²/Hz".to_owned(),
        source: Source::new(
            "R. Simmons, NASA GSFC, Miles' Equation, May 2001",
            Certainty::Published,
        ),
        unit: "mm",
        expected: 0.069_615,
        got: o.response(&white(0.02)).deflection.as_mm(),
        allowed: Allowed::Fraction(1e-4),
    });
}

fn cushion_rows(rows: &mut Vec<Row>) {
    for (deflection, expected) in [
        (1.0, 15.7609),
        (10.0, 4.984_03),
        (25.4, 3.127_26),
        (2.54, 9.889_26),
    ] {
        let (stress, thickness) = (Pressure::kpa(3.0), Length::mm(50.0));
        let row = CushionRow {
            static_stress: stress,
            modulus: stress * (50.0 / deflection),
            damping: 0.1,
        };
        let source = Source::new("invented", Certainty::Invented);
        let data = CushionVibration::new(vec![row], (thickness, thickness), source).unwrap();
        rows.push(Row {
            method: "natural frequency of a loaded cushion",
            problem: format!("linear, {deflection} mm under its load"),
            source: Source::derived("sqrt(g/deflection)/(2 pi)"),
            unit: "Hz",
            expected,
            got: data.oscillator(stress, thickness).unwrap().natural.si(),
            allowed: Allowed::Within(6e-5),
        });
    }
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Vec::new();
    spectrum_rows(&mut rows);
    oscillator_rows(&mut rows);
    cushion_rows(&mut rows);
    Chapter {
        title: "Vibration",
        about: "Spectra are integrated exactly on log-log straight lines; an oscillator's response is the full integral, with \
                Miles' estimate beside it.",
        rows,
    }
}

#[test]
fn spectra_and_oscillators_hold() {
    chapter().assert();
}
