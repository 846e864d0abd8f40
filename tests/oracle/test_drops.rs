//! Drops that standards ask for: transit drops, parcel and handbook heights by mass, rough handling, unit loads.
//!
//! Sources: the first row of the transit drops in reviews that quote MIL-STD-810F 516.5 and 810H 516.8 (a second text);
//! ASTM D4169-09 10.3 in a copy of the text (read); MIL-STD-1660A table H-I (read). All other heights are **from memory**:
//! those rows assert only that the tables are written down as recalled.

use crate::Chapter;
use caddis_basis::{Certainty, Length, Mass, Measured, Source};
use caddis_journey::{
    CarriageLimits, DropHeights, DropSchedule, HandlingClass, TestChoice, drop_height, test_plan,
};
use caddis_tests::{Allowed, Row};

fn row(
    method: &'static str,
    problem: String,
    source: Source,
    unit: &'static str,
    (expected, got): (f64, f64),
) -> Row {
    Row {
        method,
        problem,
        source,
        unit,
        expected,
        got,
        allowed: Allowed::Within(1e-9),
    }
}

/// The standard gives centimetres with the inches they were made of: 122 cm are 48 in.
fn transit() -> Vec<Row> {
    let limits = CarriageLimits::common();
    let read = Source::new(
        "MIL-STD-810F 516.5, below 45.4 kg and 91 cm: 26 drops from 122 cm, quoted in reviews",
        Certainty::Secondary,
    );
    let recalled = Source::new("MIL-STD-810 516 procedure IV, other rows", Certainty::Memory);
    let mut rows = Vec::new();
    for (kg, longest, drops, inches, source) in [
        (18.0, 0.70, 26.0, 48.0, &read),
        (18.0, 0.95, 26.0, 30.0, &recalled),
        (60.0, 0.70, 8.0, 30.0, &recalled),
        (60.0, 0.95, 8.0, 24.0, &recalled),
        (200.0, 0.90, 8.0, 24.0, &recalled),
        (500.0, 1.20, 5.0, 18.0, &recalled),
    ] {
        let plan = test_plan(
            &Measured::exact(Mass::from_si(kg)),
            [longest, 0.45, 0.33].map(Length::from_si),
            &TestChoice {
                schedule: DropSchedule::Transit,
                design_height: Measured::exact(Length::inches(inches)),
                rides: Vec::new(),
                coldest: None,
                hottest: None,
                on_pallet: None,
                ingress: None,
                flies: false,
                is_freight: false,
                stack: None,
            },
            &limits,
        )
        .unwrap();
        let problem = format!("{kg} kg, longest side {longest} m");
        rows.push(row(
            "transit drop, height",
            problem.clone(),
            source.clone(),
            "in",
            (inches, plan.standard_height.as_inches()),
        ));
        rows.push(row(
            "transit drop, number of drops",
            problem,
            source.clone(),
            "",
            (drops, plan.drops.len() as f64),
        ));
    }
    rows
}

/// A mass inside each row of a table, lb, and its height, in.
fn by_mass() -> Vec<Row> {
    let mut rows = Vec::new();
    for (class, name, table) in [
        (
            HandlingClass::Parcel,
            "ISTA 1A",
            [
                (20.9, 30.0),
                (40.9, 24.0),
                (60.9, 18.0),
                (99.9, 12.0),
                (149.9, 8.0),
            ]
            .as_slice(),
        ),
        (
            HandlingClass::Handbook,
            "handbook drop heights by mass",
            [
                (9.9, 42.0),
                (19.9, 36.0),
                (49.9, 30.0),
                (99.9, 24.0),
                (249.9, 18.0),
                (300.0, 12.0),
            ]
            .as_slice(),
        ),
        (
            HandlingClass::HandbookOlder,
            "handbook drop heights by mass, older version",
            [
                (19.9, 42.0),
                (49.9, 36.0),
                (249.9, 30.0),
                (499.9, 24.0),
                (999.9, 18.0),
                (1100.0, 12.0),
            ]
            .as_slice(),
        ),
    ] {
        for &(pounds, inches) in table {
            let got = drop_height(Mass::pounds(pounds), class).unwrap();
            rows.push(row(
                "drop height by gross mass",
                format!("{name}, {pounds} lb"),
                Source::new(name, Certainty::Memory),
                "in",
                (inches, got.value.as_inches()),
            ));
        }
    }
    rows
}

/// Rotational drops and side impacts of freight at assurance levels I, II and III.
fn rough_handling() -> Vec<Row> {
    let limits = CarriageLimits::common();
    let handling = limits.mechanical_handling.value;
    let copy = |part: &str| {
        Source::new(
            format!("ASTM D4169-09 {part}, in a copy of the text"),
            Certainty::Published,
        )
    };
    let mut rows = vec![row(
        "rotational drop, the lighter rows end at",
        "freight".into(),
        copy("10.3.1.1"),
        "lb",
        (500.0, handling.light_to.as_pounds()),
    )];
    for (words, heights, expected) in [
        ("to 500 lb", handling.light, [12.0, 9.0, 6.0]),
        ("over 500 lb", handling.heavy, [9.0, 6.0, 3.0]),
    ] {
        for ((level, got), inches) in ["I", "II", "III"].into_iter().zip(heights).zip(expected) {
            rows.push(row(
                "rotational drop, height of the raised edge",
                format!("{words}, assurance level {level}"),
                copy("10.3.1.1"),
                "in",
                (inches, got.as_inches()),
            ));
        }
    }
    for ((level, got), feet) in ["I", "II", "III"]
        .into_iter()
        .zip(handling.side_impact)
        .zip([5.75, 4.0, 3.0])
    {
        rows.push(row(
            "side impact, speed",
            format!("assurance level {level}"),
            copy("10.3.2.2"),
            "ft/s",
            (feet, got.si() / 0.3048),
        ));
    }
    rows
}

/// The standard's own forms, to the nearest quarter of an inch.
fn unit_loads() -> Vec<Row> {
    [
        (40.0, 500.0, "40/2.7 + 6 = 20.81", 20.75),
        (48.0, 600.0, "48/8 + 6", 12.0),
        (48.0, 3000.0, "48/8 + 6", 12.0),
        (48.0, 3001.0, "48/16 + 6", 9.0),
    ]
    .into_iter()
    .map(|(length, pounds, form, inches)| {
        let got = DropHeights::edgewise(Length::inches(length), Mass::pounds(pounds)).unwrap();
        row(
            "edgewise drop of a unit load",
            format!("{length} in long, {pounds} lb: {form}, to the nearest quarter"),
            Source::new("MIL-STD-1660A, table H-I", Certainty::Published),
            "in",
            (inches, got.value.as_inches()),
        )
    })
    .collect()
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = transit();
    rows.extend(by_mass());
    rows.extend(rough_handling());
    rows.extend(unit_loads());
    Chapter {
        title: "Drops that standards ask for",
        about: "Heights and numbers of drops by mass and size. Rows from memory assert that the tables are written down as \
                recalled, not that they are right.",
        rows,
    }
}

#[test]
fn drops_are_written_down_as_read_or_recalled() {
    chapter().assert();
}
