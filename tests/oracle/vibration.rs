//! Vibration: transmissibility, Miles' equation, the spectra of transport standards.
//!
//! Sources: R. Simmons, NASA GSFC, "Miles' Equation", May 2001 (read); transmissibility from notes on Steinberg, equation
//! 2.48, as code (second text); the spectra as each row says. Most spectra are remembered break points whose integral
//! closes on the overall level remembered with them.

use crate::Chapter;
use caddis_basis::{Certainty, Frequency, Length, Pressure, Source};
use caddis_protection::vibration::{CushionRow, CushionVibration, Oscillator, Spectrum, published_spectra};
use caddis_tests::{Allowed, Row};
use std::f64::consts::SQRT_2;

fn hertz(value: f64) -> Frequency {
    Frequency::from_si(value)
}

fn white(density: f64) -> Spectrum {
    let source = Source::new("invented", Certainty::Invented);
    Spectrum::in_g(
        caddis_basis::Said::name("white"),
        source,
        &[(0.01, density), (100_000.0, density)],
    )
    .unwrap()
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

/// The reference's own integrals of the same points, four digits.
const INTEGRALS: [(&str, f64); 18] = [
    ("common-carrier-vertical", 1.0783),
    ("common-carrier-transverse", 0.2051),
    ("common-carrier-longitudinal", 0.7618),
    ("truck-level-i", 0.7307),
    ("truck-level-ii", 0.5167),
    ("truck-level-iii", 0.3654),
    ("rail-level-i", 0.4067),
    ("rail-level-ii", 0.2876),
    ("rail-level-iii", 0.2034),
    ("air-level-i", 1.4874),
    ("air-level-ii", 1.0517),
    ("air-level-iii", 0.7437),
    ("truck-high", 0.6995),
    ("truck-medium", 0.5418),
    ("truck-low", 0.4038),
    ("trailer", 0.5288),
    ("workmanship", 6.9385),
    ("screening", 6.0582),
];

/// Integrals to four digits. Over points from memory they stay as sure as the points.
fn integral_rows(rows: &mut Vec<Row>) {
    let all = published_spectra().unwrap();
    for (name, expected) in INTEGRALS {
        let one = all.iter().find(|one| one.name == name).unwrap();
        let points = &one.spectrum.source;
        let certainty = if points.certainty == Certainty::MemoryChecked {
            points.certainty
        } else {
            Certainty::Derived
        };
        rows.push(Row {
            method: "overall level of a spectrum, integral",
            problem: name.to_owned(),
            source: Source::new(
                format!("power-law integral of the points of {}", points.citation),
                certainty,
            ),
            unit: "G",
            expected,
            got: one.spectrum.overall().as_g(),
            allowed: Allowed::Within(6e-5),
        });
    }
}

/// The common carrier as earlier editions have it: the same levels from 10 Hz.
fn earlier_carrier_rows(rows: &mut Vec<Row>) {
    let all = published_spectra().unwrap();
    for (name, first, quoted, integral) in [
        ("common-carrier-vertical", 0.015, 1.04, 1.0429),
        ("common-carrier-transverse", 1.3e-4, 0.20, 0.2035),
        ("common-carrier-longitudinal", 6.5e-3, 0.74, 0.7402),
    ] {
        let later = &all.iter().find(|one| one.name == name).unwrap().spectrum;
        let mut points = vec![(10.0, first)];
        points.extend(later.points_in_g().into_iter().filter(|point| point.0 > 10.0));
        let source = Source::new(
            "MIL-STD-810G and earlier, common carrier from 10 Hz",
            Certainty::MemoryChecked,
        );
        let earlier = Spectrum::in_g(caddis_basis::Said::name(name), source.clone(), &points).unwrap();
        for (method, expected, within) in [
            ("overall level of a spectrum", quoted, 0.0051),
            ("overall level of a spectrum, integral", integral, 6e-5),
        ] {
            rows.push(Row {
                method,
                problem: format!("{name}, from 10 Hz"),
                source: source.clone(),
                unit: "G",
                expected,
                got: earlier.overall().as_g(),
                allowed: Allowed::Within(within),
            });
        }
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
    for damping in [0.05, 0.1, 0.2, 0.3, 0.7] {
        let o = Oscillator {
            natural: hertz(10.0),
            damping,
        };
        rows.push(Row {
            method: "transmissibility",
            problem: format!("f/f_n = sqrt 2, damping {damping}"),
            source: Source::derived(caddis_basis::Said::name("1 at sqrt 2 whatever the damping")),
            unit: "",
            expected: 1.0,
            got: o.transmissibility(hertz(10.0 * SQRT_2)),
            allowed: Allowed::Within(1e-12),
        });
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
                source: Source::derived(caddis_basis::Said::name("pi f ASD (1 + 4 z²)/(4 z), exact")),
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
        method: "Miles' equation, three sigma",
        problem: "200 Hz, Q 20, 0.02 g²/Hz".to_owned(),
        source: Source::new(
            "R. Simmons, NASA GSFC, Miles' Equation, May 2001",
            Certainty::Published,
        ),
        unit: "G",
        expected: 33.630,
        got: 3.0 * o.miles(&white(0.02)).as_g(),
        allowed: Allowed::Within(6e-4),
    });
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
            source: Source::derived(caddis_basis::Said::name("sqrt(g/deflection)/(2 pi)")),
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
    integral_rows(&mut rows);
    earlier_carrier_rows(&mut rows);
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
