//! Lifting by hand: the revised NIOSH lifting equation, manual 94-110 (revised 9/2021).
//!
//! Seen in repositories that quote the manual with page numbers; its frequency table found alike in three places. The
//! manual rounds multipliers to two decimals and weights and indices to one; the equation is followed at full precision.

use crate::Chapter;
use caddis_basis::{Angle, Certainty, Length, Mass, Source};
use caddis_journey::{
    Coupling, Lift, LiftDuration, LiftForm, RecommendedWeight, hands_in_front, recommended_weight,
};
use caddis_tests::{Allowed, Row};

fn manual(page: &str, certainty: Certainty) -> Source {
    Source::new(format!("NIOSH 94-110, {page}"), certainty)
}

fn row(
    method: &'static str,
    problem: impl Into<String>,
    source: Source,
    unit: &'static str,
    (expected, got): (f64, f64),
    allowed: Allowed,
) -> Row {
    Row {
        method,
        problem: problem.into(),
        source,
        unit,
        expected,
        got,
        allowed,
    }
}

/// Hands at (horizontal, vertical, origin, travel), in units of `unit` metres.
fn lift(unit: f64, hands: [f64; 4], per_minute: f64, coupling: Coupling) -> Lift {
    let [horizontal, vertical, origin, travel] = hands.map(|value| Length::from_si(value * unit));
    Lift {
        horizontal,
        vertical,
        origin,
        travel,
        asymmetry: Angle::ZERO,
        per_minute,
        duration: LiftDuration::Short,
        coupling,
    }
}

const INCH: f64 = 0.0254;
const CENTIMETRE: f64 = 0.01;

/// Name, place in the answer, printed value.
type Multiplier = (&'static str, fn(&RecommendedWeight) -> f64, f64);

/// One end of an example of the manual, and what it prints.
struct End {
    name: &'static str,
    lift: Lift,
    load: f64,
    limit: f64,
    index: f64,
    /// Of the limit and the multipliers.
    source: Source,
    multipliers: Vec<Multiplier>,
}

/// The printed multipliers are rounded to two decimals, and example 1 reads 10/23 = 0.4348 from a table that prints 0.44.
const ROUNDED: Allowed = Allowed::Within(0.0055);
/// Rounded multipliers move a limit by up to 0.3 lb.
const LIMIT: f64 = 0.3;

fn ends() -> Vec<End> {
    let fourth = || manual("p. 46", Certainty::Published);
    let first = || manual("p. 33-37", Certainty::Memory);
    let fair = Coupling::Fair;
    vec![
        End {
            name: "example 4, origin",
            lift: lift(INCH, [10.0, 22.0, 22.0, 37.0], 3.0, fair),
            load: 26.0,
            limit: 34.9,
            index: 0.7,
            source: fourth(),
            multipliers: vec![
                ("HM", |w| w.horizontal, 1.0),
                ("VM", |w| w.vertical, 0.94),
                ("DM", |w| w.distance, 0.87),
                ("AM", |w| w.asymmetry, 1.0),
                ("FM", |w| w.frequency, 0.88),
                ("CM", |w| w.coupling, 0.95),
            ],
        },
        End {
            name: "example 4, destination (its reach recovered from the result)",
            lift: lift(INCH, [20.0, 59.0, 22.0, 37.0], 3.0, fair),
            load: 26.0,
            limit: 15.2,
            index: 1.7,
            source: fourth(),
            multipliers: vec![("CM", |w| w.coupling, 1.0)],
        },
        End {
            name: "example 1, origin",
            lift: lift(INCH, [23.0, 15.0, 15.0, 48.0], 0.1, fair),
            load: 44.0,
            limit: 16.3,
            index: 2.7,
            source: first(),
            multipliers: vec![
                ("HM", |w| w.horizontal, 0.44),
                ("VM", |w| w.vertical, 0.89),
                ("DM", |w| w.distance, 0.86),
                ("AM", |w| w.asymmetry, 1.0),
                ("FM", |w| w.frequency, 1.0),
                ("CM", |w| w.coupling, 0.95),
            ],
        },
        End {
            name: "example 1, destination",
            lift: lift(INCH, [23.0, 63.0, 15.0, 48.0], 0.1, fair),
            load: 44.0,
            limit: 14.5,
            index: 3.0,
            source: first(),
            multipliers: vec![
                ("HM", |w| w.horizontal, 0.44),
                ("VM", |w| w.vertical, 0.75),
                ("DM", |w| w.distance, 0.86),
                ("AM", |w| w.asymmetry, 1.0),
                ("FM", |w| w.frequency, 1.0),
                ("CM", |w| w.coupling, 1.0),
            ],
        },
    ]
}

fn examples() -> Vec<Row> {
    let mut rows = Vec::new();
    for end in ends() {
        let got = recommended_weight(&end.lift, LiftForm::Us);
        rows.push(row(
            "recommended weight limit",
            end.name,
            end.source.clone(),
            "lb",
            (end.limit, got.limit.as_pounds()),
            Allowed::Within(LIMIT),
        ));
        for (name, of, expected) in &end.multipliers {
            rows.push(row(
                "lifting multiplier",
                format!("{}, {name}", end.name),
                end.source.clone(),
                "",
                (*expected, of(&got)),
                ROUNDED,
            ));
        }
        // The loads of both examples are from memory. An index is printed to one decimal, of a limit within 0.3 lb.
        rows.push(row(
            "lifting index, load over limit",
            format!("{}, {} lb", end.name, end.load),
            manual(
                if end.load < 30.0 { "p. 46" } else { "p. 33-37" },
                Certainty::Memory,
            ),
            "",
            (end.index, Mass::pounds(end.load) / got.limit),
            Allowed::Within(0.05 + end.index * LIMIT / end.limit),
        ));
    }
    let course = recommended_weight(
        &lift(CENTIMETRE, [25.0, 55.0, 55.0, 95.0], 3.0, Coupling::Fair),
        LiftForm::Metric,
    )
    .limit;
    let exercise = || Source::new("a published course exercise", Certainty::Secondary);
    rows.push(row(
        "recommended weight limit",
        "H 25, V 55, D 95 cm, 3/min, fair",
        exercise(),
        "kg",
        (15.7, course.si()),
        Allowed::Within(0.05),
    ));
    // Its multipliers are rounded to two decimals (15.72 kg): at full precision the index is 0.765.
    rows.push(row(
        "lifting index, load over limit",
        "H 25, V 55, D 95 cm, 3/min, fair, 12 kg",
        exercise(),
        "",
        (0.76, Mass::from_si(12.0) / course),
        Allowed::Within(0.006),
    ));
    let good = recommended_weight(
        &lift(CENTIMETRE, [35.0, 15.0, 15.0, 60.0], 0.2, Coupling::Good),
        LiftForm::Metric,
    );
    rows.push(row(
        "recommended weight limit",
        "H 35, V 15, D 60 cm, 0.2/min, good",
        Source::derived(caddis_basis::Said::name("the equation")),
        "kg",
        (12.06, good.limit.si()),
        Allowed::Within(0.01),
    ));
    rows
}

/// Table 5: lifts a minute, then up to 1 h, 2 h and 8 h with the hands at 75 cm or above; below, each column ends at the
/// rate that stands with it.
const RATES: [f64; 18] = [
    0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0,
];
const TABLE: [(LiftDuration, &str, f64, [f64; 18]); 3] = [
    (
        LiftDuration::Short,
        "up to 1 h",
        12.0,
        [
            1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31,
            0.28, 0.0,
        ],
    ),
    (
        LiftDuration::Moderate,
        "up to 2 h",
        10.0,
        [
            0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0.0, 0.0,
            0.0, 0.0,
        ],
    ),
    (
        LiftDuration::Long,
        "up to 8 h",
        8.0,
        [
            0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0,
            0.0,
        ],
    ),
];

fn frequencies() -> Vec<Row> {
    let mut rows = Vec::new();
    for (duration, words, low_end, column) in TABLE {
        for vertical in [75.0, 50.0] {
            for (rate, printed) in RATES.into_iter().zip(column) {
                let expected = if vertical < 75.0 && rate > low_end {
                    0.0
                } else {
                    printed
                };
                let at = Lift {
                    duration,
                    ..lift(CENTIMETRE, [25.0, vertical, vertical, 25.0], rate, Coupling::Good)
                };
                rows.push(row(
                    "frequency multiplier",
                    format!("{rate}/min, {words}, V {vertical} cm"),
                    manual(
                        "table 5, p. 15, found alike in three places",
                        Certainty::Published,
                    ),
                    "",
                    (expected, recommended_weight(&at, LiftForm::Metric).frequency),
                    Allowed::Within(1e-9),
                ));
            }
        }
    }
    rows
}

fn reaches() -> Vec<Row> {
    [(0.3, 40.0), (0.2, 45.0)]
        .into_iter()
        .map(|(vertical, expected)| {
            let got = hands_in_front(Length::mm(400.0), Length::from_si(vertical)).si() * 100.0;
            row(
                "reach over a box",
                format!("40 cm deep, V {vertical} m"),
                manual("p. 8", Certainty::Published),
                "cm",
                (expected, got),
                Allowed::Within(1e-9),
            )
        })
        .collect()
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = examples();
    rows.extend(frequencies());
    rows.extend(reaches());
    Chapter {
        title: "Lifting by hand",
        about: "The recommended weight limit of two-handed lifts: examples of the manual, its whole frequency table, and the \
                reach over a box.",
        rows,
    }
}

#[test]
fn lifting_examples() {
    chapter().assert();
}
