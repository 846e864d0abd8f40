//! US Standard Atmosphere 1976 / ISO 2533 / ICAO Doc 7488, identical to 32 km.
//!
//! Source: points of the ICAO tables as transcribed in the tests of an open-source library (seen in a second text);
//! points in feet from a public engineering table (rounded, so good to 0.02 psi); trapped air by the ideal gas law.

use crate::Chapter;
use caddis_basis::{Area, Certainty, Length, Pressure, STANDARD_GRAVITY, Source, Temperature};
use caddis_journey::{
    GeometricAltitude, GeopotentialAltitude, TrappedAir, lid_force, standard_air, water_head,
};
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
        (1000.0, 14.175),
        (2000.0, 13.664),
        (5000.0, 12.230),
        (6000.0, 11.778),
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
    rows.extend(geopotential());
    rows.extend(second_texts());
    rows.extend(derived_altitudes());
    rows.extend(recalled());
    rows.extend(trapped());
    rows.extend(plunged());
    Chapter {
        title: "Standard air and trapped air",
        about: "Points of the standard atmosphere, and what shut-in air does to a lid.",
        rows,
    }
}

/// The tables' own column of geopotential heights, to the metre.
fn geopotential() -> Vec<Row> {
    [
        (1000.0, 1000.0),
        (2000.0, 1999.0),
        (5000.0, 4996.0),
        (11_000.0, 10_981.0),
        (11_019.0, 11_000.0),
        (15_000.0, 14_965.0),
    ]
    .into_iter()
    .map(|(metres, expected)| {
        let source = if metres == 5000.0 {
            "US Standard Atmosphere 1976, a table in a code comment"
        } else {
            "ICAO Doc 7488, tables, as transcribed in an open-source test"
        };
        let got = GeometricAltitude::new(Length::from_si(metres)).geopotential();
        Row {
            method: "geopotential altitude",
            problem: format!("{metres} m above the sea by the tape"),
            source: Source::new(source, Certainty::Secondary),
            unit: "m",
            expected,
            got: got.length().si(),
            allowed: Allowed::Within(0.5),
        }
    })
    .collect()
}

/// One point of a table in a code comment, and the pressures where layers meet, of a public implementation.
fn second_texts() -> Vec<Row> {
    let air = standard_air(GeometricAltitude::new(Length::from_si(5000.0)).geopotential()).unwrap();
    let mut rows = Vec::new();
    for (method, unit, expected, got, allowed) in [
        (
            "standard air, temperature",
            "°C",
            -17.47,
            air.temperature.as_celsius(),
            Allowed::Within(0.006),
        ),
        (
            "standard air, pressure",
            "Pa",
            54_050.0,
            air.pressure.si(),
            Allowed::Within(5.0),
        ),
        (
            "standard air, density",
            "kg/m³",
            0.7364,
            air.density.si(),
            Allowed::Within(6e-5),
        ),
    ] {
        rows.push(Row {
            method,
            problem: "5000 m above the sea by the tape".into(),
            source: Source::new(
                "US Standard Atmosphere 1976, a table in a code comment",
                Certainty::Secondary,
            ),
            unit,
            expected,
            got,
            allowed,
        });
    }
    for (metres, expected) in [(11_000.0, 22_632.0), (20_000.0, 5474.9)] {
        let air = standard_air(GeopotentialAltitude::new(Length::from_si(metres))).unwrap();
        rows.push(Row {
            method: "standard air, pressure",
            problem: format!("{metres} m pressure altitude, where layers meet"),
            source: Source::new("a public implementation's constants", Certainty::Secondary),
            unit: "Pa",
            expected,
            got: air.pressure.si(),
            allowed: Allowed::Fraction(1e-5),
        });
    }
    rows
}

/// Altitudes that journeys meet, computed by hand from the same formula.
fn derived_altitudes() -> Vec<Row> {
    let mut rows = Vec::new();
    let mut add = |method, problem: String, unit, (expected, got), allowed| {
        rows.push(Row {
            method,
            problem,
            source: Source::derived(caddis_basis::Said::name("ISO 2533 / ICAO Doc 7488, by hand")),
            unit,
            expected,
            got,
            allowed,
        });
    };
    for (metres, celsius, pascal, density) in [
        (2438.4, -0.850, 75_262.0, 0.962_87),
        (3048.0, -4.812, 69_682.0, 0.904_64),
        (3500.0, -7.750, 65_764.0, 0.863_23),
        (4267.2, -12.737, 59_524.0, 0.796_28),
        (4572.0, -14.718, 57_182.0, 0.770_82),
        (5000.0, -17.500, 54_020.0, 0.736_12),
        (5791.2, -22.643, 48_548.0, 0.675_13),
        (10_668.0, -54.342, 23_842.0, 0.379_60),
        (11_000.0, -56.500, 22_632.0, 0.363_92),
        (12_192.0, -56.500, 18_754.0, 0.301_56),
    ] {
        let air = standard_air(GeopotentialAltitude::new(Length::from_si(metres))).unwrap();
        let problem = format!("{metres} m pressure altitude");
        add(
            "standard air, temperature",
            problem.clone(),
            "°C",
            (celsius, air.temperature.as_celsius()),
            Allowed::Within(6e-4),
        );
        add(
            "standard air, pressure",
            problem.clone(),
            "Pa",
            (pascal, air.pressure.si()),
            Allowed::Within(0.6),
        );
        add(
            "standard air, density",
            problem,
            "kg/m³",
            (density, air.density.si()),
            Allowed::Within(6e-6),
        );
    }
    for (metres, pascal) in [
        (2438.4, 75_271.0),
        (3048.0, 69_695.0),
        (5000.0, 54_048.0),
        (12_192.0, 18_823.0),
    ] {
        let altitude = GeometricAltitude::new(Length::from_si(metres)).geopotential();
        add(
            "standard air, pressure",
            format!("{metres} m above the sea by the tape"),
            "Pa",
            (pascal, standard_air(altitude).unwrap().pressure.si()),
            Allowed::Within(0.6),
        );
    }
    rows
}

/// A regulation's rounded figures. It does not say which altitude it means: by the tape the last would be 18.82, by
/// pressure 18.75 kPa, and both round to what is recalled.
fn recalled() -> Vec<Row> {
    [(4572.0, 57.2), (2438.0, 75.2), (12_192.0, 18.8)]
        .into_iter()
        .map(|(metres, expected)| {
            let air = standard_air(GeopotentialAltitude::new(Length::from_si(metres))).unwrap();
            Row {
                method: "standard air, pressure",
                problem: format!("{metres} m, rounded in a regulation"),
                source: Source::new("MIL-STD-810 method 500", Certainty::Memory),
                unit: "kPa",
                expected,
                got: air.pressure.as_kpa(),
                allowed: Allowed::Within(0.07),
            }
        })
        .collect()
}

fn gas() -> Source {
    Source::derived(caddis_basis::Said::name("ideal gas law, rigid shell, no leak"))
}

/// Air shut in at one altitude (ft) and temperature (°C), brought to another, kPa.
fn gauge(closed: (f64, f64), brought: (f64, f64)) -> f64 {
    let shut = TrappedAir::closed_at(
        GeopotentialAltitude::feet(closed.0),
        Temperature::celsius(closed.1),
    )
    .unwrap();
    let outside = standard_air(GeopotentialAltitude::feet(brought.0))
        .unwrap()
        .pressure;
    shut.gauge(outside, Temperature::celsius(brought.1)).as_kpa()
}

fn trapped() -> Vec<Row> {
    let mut rows = Vec::new();
    for (problem, closed, brought, expected) in [
        (
            "shut at sea level, cabin at 8000 ft, same temperature",
            (0.0, 15.0),
            (8000.0, 15.0),
            26.06,
        ),
        (
            "shut at sea level, hold without pressure at 35 000 ft, same temperature",
            (0.0, 20.0),
            (35_000.0, 20.0),
            77.48,
        ),
        (
            "shut in a cabin at 8000 ft, landed at sea level, same temperature",
            (8000.0, 20.0),
            (0.0, 20.0),
            -26.06,
        ),
        (
            "shut at 20 °C, brought to 71 °C at sea level",
            (0.0, 20.0),
            (0.0, 71.0),
            17.63,
        ),
        (
            "shut at 20 °C, brought to -33 °C at sea level",
            (0.0, 20.0),
            (0.0, -33.0),
            -18.32,
        ),
        (
            "shut at 49 °C, brought to 22 °C at sea level",
            (0.0, 49.0),
            (0.0, 22.0),
            -8.49,
        ),
        (
            "shut at 40 °C, brought to 15 °C at sea level",
            (0.0, 40.0),
            (0.0, 15.0),
            -8.09,
        ),
    ] {
        rows.push(Row {
            method: "trapped air, gauge",
            problem: problem.into(),
            source: gas(),
            unit: "kPa",
            expected,
            got: gauge(closed, brought),
            allowed: Allowed::Within(0.006),
        });
    }
    let force = lid_force(
        Pressure::from_si(gauge((0.0, 15.0), (8000.0, 15.0)) * 1e3),
        Area::from_si(0.2),
    );
    // The reference cuts 531.5 kgf to 531.
    for (unit, expected, got) in [
        ("N", 5213.0, force.si()),
        ("kgf", 531.0, force.si() / STANDARD_GRAVITY),
    ] {
        rows.push(Row {
            method: "trapped air, force on the lid",
            problem: "the first of these on a lid of 0.20 m²".into(),
            source: gas(),
            unit,
            expected,
            got,
            allowed: Allowed::Within(1.0),
        });
    }
    rows
}

/// A warm case under water: its air shrinks and the water presses, both hold the lid shut.
fn plunged() -> Vec<Row> {
    let source = || {
        Source::derived(caddis_basis::Said::name(
            "ideal gas law and rho g d; the case of MIL-STD-810F 512.4 (49 °C into 22 °C, 1 m) from second texts",
        ))
    };
    let sea = standard_air(GeopotentialAltitude::SEA_LEVEL).unwrap().pressure;
    let shut = TrappedAir::closed_at(GeopotentialAltitude::SEA_LEVEL, Temperature::celsius(49.0)).unwrap();
    let head = water_head(Length::from_si(1.0), false);
    let gauge = shut.gauge(sea + head, Temperature::celsius(22.0));
    let problem = "shut at 49 °C, plunged 1 m into fresh water of 22 °C";
    vec![
        Row {
            method: "trapped air and head of water, gauge",
            problem: problem.into(),
            source: source(),
            unit: "kPa",
            expected: -18.3,
            got: gauge.as_kpa(),
            allowed: Allowed::Within(0.05),
        },
        Row {
            method: "trapped air and head of water, force on the lid",
            problem: format!("{problem}, lid of 0.20 m²; pressed shut"),
            source: source(),
            unit: "kN",
            expected: -3.66,
            got: lid_force(gauge, Area::from_si(0.2)).si() / 1e3,
            allowed: Allowed::Within(0.005),
        },
    ]
}

#[test]
fn standard_atmosphere_points() {
    chapter().assert();
}
