//! Plateau plus compressed cell gas: sigma = s0 + p0 e/(1 - e - r).
//!
//! Source: L. J. Gibson and M. F. Ashby, Cellular Solids, 2nd ed. 1997, ch. 5, and the form used by N. J. Mills (the
//! form from memory, unverified). The drop table is derived from that form by energy balance, without and with the
//! extra fall during the stroke; s0 = 50 kPa and r = 0.03 illustrate a light polyethylene, not a published fit.

use crate::Chapter;
use caddis_basis::{Certainty, Length, Pressure, Source};
use caddis_protection::{Law, LawKind, LawRange};
use caddis_tests::{Allowed, Row};

fn law(gravity_in_fit: bool) -> Law {
    Law {
        kind: LawKind::ClosedCellGas {
            s0: 50_000.0,
            p0: 101_325.0,
            r: 0.03,
        },
        range: LawRange {
            static_stress: None,
            greatest_strain: 0.9,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit,
        is_measured_dynamic: false,
        source: Source::new(
            "illustrative constants of a light closed-cell foam",
            Certainty::Memory,
        ),
    }
}

fn row(
    method: &'static str,
    problem: String,
    unit: &'static str,
    expected: f64,
    got: f64,
    allowed: Allowed,
) -> Row {
    let source = Source::derived("energy balance with sigma = s0 + p0 e/(1 - e - r)");
    Row {
        method,
        problem,
        source,
        unit,
        expected,
        got,
        allowed,
    }
}

pub(crate) fn chapter() -> Chapter {
    let plain = law(true);
    let mut rows = vec![
        row(
            "law, energy",
            "w(0.7)".into(),
            "J/m³",
            89_766.96,
            plain.energy(0.7),
            Allowed::Within(0.01),
        ),
        row(
            "law, stress",
            "sigma(0.7)".into(),
            "Pa",
            312_694.0,
            plain.stress(0.7),
            Allowed::Within(1.0),
        ),
    ];
    let optimum = plain.optimum();
    let least = "least of sigma/w".to_owned();
    rows.push(row(
        "optimum, cushion factor",
        least.clone(),
        "",
        3.3522,
        optimum.cushion_factor,
        Allowed::Within(1e-4),
    ));
    rows.push(row(
        "optimum, strain",
        least,
        "",
        0.6003,
        optimum.strain,
        Allowed::Within(1e-4),
    ));
    let table = [
        (2.0, 0.3855, 58.414, 0.3922, 59.383),
        (4.0, 0.5811, 50.346, 0.5926, 52.280),
        (6.0, 0.7007, 52.283, 0.7140, 55.435),
        (8.0, 0.7796, 58.101, 0.7927, 62.874),
        (10.0, 0.8336, 66.907, 0.8456, 73.874),
    ];
    for (stress, strain, peak, strain_falling_on, peak_falling_on) in table {
        for (words, law, strain, peak) in [
            ("gravity in the fit", law(true), strain, peak),
            (
                "with the extra fall",
                law(false),
                strain_falling_on,
                peak_falling_on,
            ),
        ] {
            let point = law
                .cushion_point(Pressure::kpa(stress), Length::inches(30.0), Length::inches(2.0))
                .unwrap();
            let problem = format!("30 in on 2 in at {stress} kPa, {words}");
            rows.push(row(
                "drop, strain",
                problem.clone(),
                "",
                strain,
                point.strain,
                Allowed::Within(5e-5),
            ));
            rows.push(row(
                "drop, peak",
                problem,
                "G",
                peak,
                point.peak.as_g(),
                Allowed::Within(1e-3),
            ));
        }
    }
    Chapter {
        title: "Closed-cell law with cell gas",
        about: "Energy, optimum and the drop table of an illustrative closed-cell foam: s0 = 50 kPa, p0 = 101.325 kPa, \
                r = 0.03.",
        rows,
    }
}

#[test]
fn closed_cell_drop_table() {
    chapter().assert();
}
