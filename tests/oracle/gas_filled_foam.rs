//! Plateau plus compressed cell gas: sigma = s0 + p0 e/(1 - e - r).
//!
//! Source: L. J. Gibson and M. F. Ashby, Cellular Solids, 2nd ed. 1997, ch. 5, and the form used by N. J. Mills (the
//! form from memory, unverified). The drop table is derived from that form by energy balance, without and with the
//! extra fall during the stroke; s0 = 50 kPa and r = 0.03 illustrate a light polyethylene, not a published fit.

use crate::Chapter;
use caddis_basis::{Acceleration, Area, Certainty, Density, Length, Mass, Pressure, Source};
use caddis_protection::{Foam, Law, LawKind, LawRange, LawRecord, SizeRequest, least_pad, size};
use caddis_tests::{Allowed, Row};

const MOST_STRAIN: f64 = 0.9;

fn law(gravity_in_fit: bool) -> Law {
    with_plateau(50_000.0, gravity_in_fit)
}

fn with_plateau(s0: f64, gravity_in_fit: bool) -> Law {
    Law {
        kind: LawKind::ClosedCellGas {
            s0,
            p0: 101_325.0,
            r: 0.03,
        },
        range: LawRange {
            static_stress: None,
            greatest_strain: MOST_STRAIN,
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
    let source = Source::derived(caddis_basis::Said::name(
        "energy balance with sigma = s0 + p0 e/(1 - e - r)",
    ));
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

/// The gas alone: p0 e/(1 - e - r), which is p0 ((1 - r)/(1 - r - e) - 1).
fn gas_term() -> Vec<Row> {
    let gas = with_plateau(0.0, false);
    [
        (0.1, 11.647, 6e-4),
        (0.25, 35.182, 6e-4),
        (0.5, 107.793, 6e-4),
        (0.6, 164.311, 6e-4),
        (0.7, 262.694, 6e-4),
        (0.8, 476.824, 6e-4),
        (0.9, 1302.75, 6e-3),
    ]
    .into_iter()
    .map(|(strain, expected, within)| Row {
        source: Source::derived(caddis_basis::Said::name("isothermal gas, p0 e/(1 - e - r)")),
        ..row(
            "law, stress of the cell gas",
            format!("strain {strain}"),
            "kPa",
            expected,
            gas.stress(strain) / 1e3,
            Allowed::Within(within),
        )
    })
    .collect()
}

/// One case from start to finish, made for this check: 12 kg from 0.762 m held to 50 G.
fn worked() -> Vec<Row> {
    let foam = Foam {
        name: "check".into(),
        title: "illustrative closed-cell foam".into(),
        material: "none".into(),
        density: Density::from_si(33.0),
        closed_cell: true,
        law: law(true),
        later: None,
        record: LawRecord::default(),
        properties: Vec::new(),
        creep_limits: Vec::new(),
        memory: None,
        hysteresis: None,
        temperatures: None,
        colours: None,
        firmness: None,
        cavity_clearance: Length::ZERO,
        wall_squeeze: (Length::ZERO, Length::mm(2.0)),
        least_web: Length::mm(20.0),
        colour: [0; 3],
        source: Source::new("a check, no material", Certainty::Invented),
    };
    let request = SizeRequest {
        mass: Mass::from_si(12.0),
        area: Area::from_si(0.08),
        height: Length::mm(762.0),
        limit: Some(Acceleration::g(50.0)),
        least: Length::ZERO,
    };
    let need = size(&foam, &request).unwrap();
    let problem = || "12 kg from 0.762 m held to 50 G".to_owned();
    let constructed = || {
        Source::derived(caddis_basis::Said::name(
            "t = C h/G, s = sigma/G, A = m g/s at the optimum; a constructed case",
        ))
    };
    let buckling = || {
        Source::new(
            "(1.33 t)², taken as MIL-HDBK-304 or common guide",
            Certainty::Memory,
        )
    };
    let stress = request.mass.weight() / need.area;
    // Areas and stresses come from an optimum given to four decimals of strain.
    let near = Allowed::Fraction(2e-4);
    [
        (
            "sizing, thickness",
            constructed(),
            "mm",
            51.09,
            need.thickness.as_mm(),
            Allowed::Within(6e-3),
        ),
        (
            "sizing, bearing area",
            constructed(),
            "m²",
            0.027_426,
            need.area.si(),
            near,
        ),
        (
            "sizing, static stress",
            constructed(),
            "Pa",
            4290.8,
            stress.si(),
            near,
        ),
        (
            "sizing, least area of one pad",
            buckling(),
            "m²",
            0.004_617,
            need.least_pad.si(),
            near,
        ),
        (
            "sizing, equal pads at most",
            buckling(),
            "",
            5.0,
            (need.area / need.least_pad).floor(),
            Allowed::Within(0.0),
        ),
        (
            "sizing, peak expected",
            constructed(),
            "G",
            50.0,
            need.expected.as_g(),
            Allowed::Within(1e-6),
        ),
    ]
    .into_iter()
    .map(|(method, source, unit, expected, got, allowed)| Row {
        source,
        ..row(method, problem(), unit, expected, got, allowed)
    })
    .collect()
}

/// The least pad that will not buckle: the form is from memory, only its arithmetic is checked.
fn least_pads() -> Vec<Row> {
    let mut rows = Vec::new();
    for (inches, square_inches, square_millimetres) in [
        (1.0, 1.769, 1141.2),
        (2.0, 7.076, 4564.9),
        (3.0, 15.920, 10_271.0),
        (4.0, 28.302, 18_259.6),
    ] {
        let got = least_pad(Length::inches(inches)).si();
        for (unit, expected, got, within) in [
            ("in²", square_inches, got / (0.0254 * 0.0254), 6e-4),
            ("mm²", square_millimetres, got * 1e6, 0.06),
        ] {
            rows.push(Row {
                source: Source::new(
                    "(1.33 t)², taken as MIL-HDBK-304 or common guide",
                    Certainty::Memory,
                ),
                ..row(
                    "least area of one pad",
                    format!("{inches} in thick"),
                    unit,
                    expected,
                    got,
                    Allowed::Within(within),
                )
            });
        }
    }
    rows
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
    rows.push(row(
        "optimum, stress",
        "least of sigma/w".into(),
        "kPa",
        214.541,
        optimum.stress.as_kpa(),
        // The strain is given to four decimals: half of the last is 0.04 kPa.
        Allowed::Within(0.05),
    ));
    rows.push(row(
        "optimum, energy",
        "least of sigma/w".into(),
        "kJ/m³",
        64.000,
        optimum.energy / 1e3,
        // As the stress: half of the strain's last decimal is 11 J/m³.
        Allowed::Within(0.015),
    ));
    rows.extend(gas_term());
    rows.extend(worked());
    rows.extend(least_pads());
    Chapter {
        title: "Closed-cell law with cell gas",
        about: "Energy, optimum, the drop table and a sizing of an illustrative closed-cell foam: s0 = 50 kPa, p0 = 101.325 kPa, \
                r = 0.03.",
        rows,
    }
}

#[test]
fn closed_cell_drop_table() {
    chapter().assert();
}
