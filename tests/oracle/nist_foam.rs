//! A. K. Landauer et al., "A materials data framework and dataset for elastomeric foam impact mitigating materials",
//! Scientific Data 10, 356 (2023), doi 10.1038/s41597-023-02092-4; data doi 10.18126/6h74-leb4 (NIST).
//!
//! A measured quasi-static curve of a closed-cell vinyl-nitrile foam, 200 points, copied unchanged with the protection
//! crate's tests. Stress is read by linear interpolation, energy by the trapezoids under it.

use crate::Chapter;
use caddis_basis::{Certainty, Length, Pressure, Source};
use caddis_protection::fit::GasFit;
use caddis_protection::{Law, LawKind, LawRange};
use caddis_tests::{Allowed, Row};

const CURVE: &str = include_str!("../../crates/caddis-protection/tests/data/nist_vn_foam_quasistatic.csv");

fn source() -> Source {
    Source::new(
        "Landauer et al., Scientific Data 10, 356 (2023), doi 10.1038/s41597-023-02092-4",
        Certainty::Published,
    )
}

fn law() -> Law {
    let points: Vec<(f64, f64)> = CURVE
        .lines()
        .filter_map(|line| line.split_once(','))
        .filter_map(|(strain, stress)| {
            Some((
                strain.trim().parse::<f64>().ok()?.abs(),
                stress.trim().parse().ok()?,
            ))
        })
        .collect();
    let greatest_strain = points.last().unwrap().0;
    Law {
        kind: LawKind::Table(points),
        range: LawRange {
            static_stress: None,
            greatest_strain,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit: true,
        is_measured_dynamic: false,
        source: source(),
    }
}

pub(crate) fn chapter() -> Chapter {
    let law = law();
    let mut rows = Vec::new();
    for (strain, stress) in [
        (0.05, 21.967),
        (0.10, 30.229),
        (0.15, 37.448),
        (0.20, 45.929),
        (0.25, 57.273),
        (0.30, 72.172),
        (0.35, 91.573),
        (0.40, 118.034),
        (0.45, 153.196),
        (0.49, 189.537),
    ] {
        rows.push(Row {
            method: "law from a table, stress",
            problem: format!("strain {strain:.2}"),
            source: source(),
            unit: "kPa",
            expected: stress,
            got: law.stress(strain) / 1000.0,
            allowed: Allowed::Within(5e-4),
        });
    }
    let integrated = || {
        Source::derived(caddis_basis::Said::name(
            "trapezoids under the curve of Landauer et al. 2023",
        ))
    };
    for (strain, energy) in [
        (0.1, 2078.0),
        (0.2, 5844.0),
        (0.3, 11_628.8),
        (0.4, 20_905.7),
        (0.45, 27_650.8),
        (0.49, 34_476.6),
    ] {
        rows.push(Row {
            method: "law from a table, energy",
            problem: format!("strain {strain:.2}"),
            source: integrated(),
            unit: "J/m³",
            expected: energy,
            got: law.energy(strain),
            allowed: Allowed::Fraction(1e-4),
        });
    }
    for (strain, factor) in [
        (0.1, 14.547),
        (0.2, 7.859),
        (0.3, 6.206),
        (0.4, 5.646),
        (0.45, 5.540),
        (0.49, 5.498),
    ] {
        rows.push(Row {
            method: "law from a table, cushion factor",
            problem: format!("strain {strain:.2}"),
            source: integrated(),
            unit: "",
            expected: factor,
            got: law.cushion_factor(strain),
            allowed: Allowed::Within(6e-4),
        });
    }
    rows.push(Row {
        method: "law from a table, energy",
        problem: "to the last point".into(),
        source: integrated(),
        unit: "J/m³",
        expected: 35_692.78,
        got: law.energy(law.range.greatest_strain),
        allowed: Allowed::Within(6e-3),
    });
    gas_fits(&law, &mut rows);
    let LawKind::Table(points) = &law.kind else {
        panic!("the law is a table")
    };
    for (name, read, expected) in [
        ("first point", points.first(), (0.0, 4_642.127_875_26)),
        ("last point", points.last(), (0.496_311_52, 195_710.826_184_31)),
    ] {
        let &(strain, stress) = read.unwrap();
        for (what, unit, expected, got) in [
            ("strain", "", expected.0, strain),
            ("stress", "Pa", expected.1, stress),
        ] {
            rows.push(Row {
                method: "table of a law, as read",
                problem: format!("{name}, {what}"),
                source: source(),
                unit,
                expected,
                got,
                allowed: Allowed::Within(1e-8),
            });
        }
    }
    rows.push(Row {
        method: "law from a table, stress",
        problem:
            "strain 0.25, where the maker's data sheet has 8.4 psi at least; this specimen is 1 % softer"
                .into(),
        source: Source::new("the foam maker's figure as NIST quotes it", Certainty::Secondary),
        unit: "kPa",
        expected: 57.9,
        got: law.stress(0.25) / 1000.0,
        // One specimen against a figure for the material.
        allowed: Allowed::Fraction(0.02),
    });
    let used = law.energy(0.4) * 0.05 / 0.76;
    rows.push(Row {
        method: "static stress of a design strain",
        problem: "strain 0.40, 760 mm on 50 mm, w t/h".into(),
        source: integrated(),
        unit: "Pa",
        expected: 1375.4,
        got: used,
        allowed: Allowed::Within(0.06),
    });
    let point = law
        .cushion_point(Pressure::from_si(1375.4), Length::mm(760.0), Length::mm(50.0))
        .unwrap();
    rows.push(Row {
        method: "drop, peak",
        problem:
            "760 mm on 50 mm at 1375.4 Pa, extra fall neglected; quasi-static curve, a real impact is stiffer"
                .into(),
        source: integrated(),
        unit: "G",
        expected: 85.82,
        got: point.peak.as_g(),
        allowed: Allowed::Within(0.02),
    });
    rows.push(Row {
        method: "drop, strain",
        problem: "the same".into(),
        source: integrated(),
        unit: "",
        expected: 0.4,
        got: point.strain,
        allowed: Allowed::Within(1e-4),
    });
    Chapter {
        title: "A measured foam curve",
        about: "A published quasi-static curve as a law: reading it, the energy under it, and a design number from it.",
        rows,
    }
}

#[test]
fn measured_foam_curve() {
    chapter().assert();
}

/// sigma = s0 + p e/(1 - e - R) on 0.15 < e < 0.50.
fn gas_fits(law: &Law, rows: &mut Vec<Row>) {
    let LawKind::Table(points) = &law.kind else {
        panic!("the law is a table")
    };
    let source = || {
        Source::derived(caddis_basis::Said::name(
            "least squares through the curve of Landauer et al. 2023",
        ))
    };
    for (solid, pressure, plateau) in [(0.08, 160.23, -1.98), (0.10, 152.36, -0.82), (0.12, 144.52, 0.40)] {
        let fit = GasFit::of(points, solid).unwrap();
        for (method, expected, got) in [
            (
                "gas law from a compression test, gas pressure",
                pressure,
                fit.gas_pressure,
            ),
            ("gas law from a compression test, plateau", plateau, fit.plateau),
        ] {
            rows.push(Row {
                method,
                problem: format!("solid fraction {solid:.2}"),
                source: source(),
                unit: "kPa",
                expected,
                got: got / 1e3,
                allowed: Allowed::Within(5e-3),
            });
        }
        if solid == 0.10 {
            rows.push(Row {
                method: "gas law from a compression test, R²",
                problem: format!("solid fraction {solid:.2}"),
                source: source(),
                unit: "",
                expected: 0.9921,
                got: fit.r_squared,
                allowed: Allowed::Within(5e-5),
            });
        }
    }
}
