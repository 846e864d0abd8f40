//! US Standard Atmosphere 1976 / ISO 2533 / ICAO Doc 7488, identical to 32 km.
//!
//! Source: points of the ICAO tables as transcribed in the tests of an open-source library (seen in a second text);
//! points in feet from a public engineering table (rounded, so good to 0.02 psi); trapped air by the ideal gas law.

use crate::Chapter;
use caddis_basis::{Area, Certainty, Length, Source, Temperature};
use caddis_journey::{GeometricAltitude, GeopotentialAltitude, TrappedAir, lid_force, standard_air};
use caddis_tests::{Allowed, Row};

const PSI: f64 = 6894.757;

pub(crate) fn chapter() -> Chapter {
    let tables = || {
        Source::new(
            "ICAO Doc 7488, tables, as transcribed in an open-source test",
            Certainty::Secondary,
        )
    };
    let mut rows = Vec::new();
    for (metres, temperature, pressure, density) in [
        (0.0, 288.15, 101_325.0, 1.225),
        (1000.0, 281.651, 89_876.3, 1.111_66),
        (2000.0, 275.154, 79_501.4, 1.006_55),
        (11_000.0, 216.774, 22_699.9, 0.364_801),
        (11_019.0, 216.650, 22_632.0, 0.363_918),
        (15_000.0, 216.650, 12_111.8, 0.194_755),
    ] {
        let altitude = GeometricAltitude::new(Length::from_si(metres)).geopotential();
        let air = standard_air(altitude).unwrap();
        let problem = format!("{metres} m above the sea by the tape");
        let mut add = |method, unit, expected, got, allowed| {
            rows.push(Row {
                method,
                problem: problem.clone(),
                source: tables(),
                unit,
                expected,
                got,
                allowed,
            });
        };
        add(
            "standard air, temperature",
            "K",
            temperature,
            air.temperature.si(),
            Allowed::Within(1e-3),
        );
        // 11 019 m is a rounded height of the tropopause: the pressure there falls by 3.6 Pa in a metre.
        let allowed = Allowed::Fraction(if metres == 11_019.0 { 1.5e-5 } else { 2e-6 });
        add(
            "standard air, pressure",
            "Pa",
            pressure,
            air.pressure.si(),
            allowed,
        );
        add(
            "standard air, density",
            "kg/m³",
            density,
            air.density.si(),
            Allowed::Fraction(1.5e-5),
        );
    }
    for (feet, psi) in [
        (0.0, 14.696),
        (5000.0, 12.230),
        (8000.0, 10.914),
        (10_000.0, 10.108),
        (15_000.0, 8.296),
        (20_000.0, 6.758),
        (30_000.0, 4.371),
    ] {
        let air = standard_air(GeopotentialAltitude::feet(feet)).unwrap();
        rows.push(Row {
            method: "standard air, pressure",
            problem: format!("{feet} ft pressure altitude"),
            source: Source::new(
                "ASHRAE table of altitude pressures, in a public engineering reference",
                Certainty::Secondary,
            ),
            unit: "psi",
            expected: psi,
            got: air.pressure.si() / PSI,
            allowed: Allowed::Within(0.02),
        });
    }
    let cold = standard_air(GeopotentialAltitude::feet(8000.0)).unwrap();
    let shut = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, Temperature::celsius(15.0)).unwrap();
    let gauge = shut.gauge(cold.pressure, Temperature::celsius(15.0));
    let gas = || Source::derived("ideal gas law, rigid shell, no leak");
    rows.push(Row {
        method: "trapped air, gauge",
        problem: "shut at sea level, cabin at 8000 ft, same temperature".into(),
        source: gas(),
        unit: "kPa",
        expected: 26.06,
        got: gauge.as_kpa(),
        allowed: Allowed::Within(0.005),
    });
    rows.push(Row {
        method: "trapped air, force on the lid",
        problem: "the same on a lid of 0.20 m²".into(),
        source: gas(),
        unit: "N",
        expected: 5213.0,
        got: lid_force(gauge, Area::from_si(0.2)).si(),
        allowed: Allowed::Within(1.0),
    });
    let warm = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, Temperature::celsius(20.0)).unwrap();
    let sea = standard_air(GeopotentialAltitude::SEA_LEVEL).unwrap();
    for (celsius, expected) in [(71.0, 17.63), (-33.0, -18.32)] {
        rows.push(Row {
            method: "trapped air, gauge",
            problem: format!("shut at 20 °C, brought to {celsius} °C at sea level"),
            source: gas(),
            unit: "kPa",
            expected,
            got: warm.gauge(sea.pressure, Temperature::celsius(celsius)).as_kpa(),
            allowed: Allowed::Within(0.006),
        });
    }
    Chapter {
        title: "Standard air and trapped air",
        about: "Points of the standard atmosphere, and what shut-in air does to a lid.",
        rows,
    }
}

#[test]
fn standard_atmosphere_points() {
    chapter().assert();
}
