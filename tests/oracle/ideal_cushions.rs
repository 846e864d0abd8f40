//! Ideal cushions: one that pushes with one force, and one whose force rises in a straight line.
//!
//! Source: derived by energy balance. G = 1 + h/d for a constant force with gravity at work in the stroke; C = sigma/w is
//! 1/e for a constant stress and 2/e for a linear one, used to the strain e. No foam is either; they bound what foam does.

use crate::Chapter;
use caddis_basis::{Certainty, Length, Pressure, Source};
use caddis_protection::{Law, LawKind, LawRange};
use caddis_tests::{Allowed, Row};

/// The stress of the level cushion, Pa: any serves.
const LEVEL: f64 = 60_000.0;

fn law(points: Vec<(f64, f64)>) -> Law {
    Law {
        range: LawRange {
            static_stress: None,
            greatest_strain: points.last().map_or(0.0, |point| point.0),
            thickness: None,
            drop_height: None,
        },
        kind: LawKind::Table(points),
        gravity_in_fit: false,
        is_measured_dynamic: false,
        source: Source::new("an ideal, no material", Certainty::Invented),
    }
}

fn row(
    method: &'static str,
    problem: &str,
    unit: &'static str,
    (expected, got): (f64, f64),
    allowed: Allowed,
) -> Row {
    Row {
        method,
        problem: problem.to_owned(),
        source: Source::derived(caddis_basis::Said::name("energy balance")),
        unit,
        expected,
        got,
        allowed,
    }
}

pub(crate) fn chapter() -> Chapter {
    let level = law(vec![(0.0, LEVEL), (0.9, LEVEL)]);
    let straight = law(vec![(0.0, 0.0), (1.0, 1e5)]);
    // The static stress that uses 30 mm of 50 mm: s (h + d) = sigma d.
    let (height, used) = (Length::mm(762.0), Length::mm(30.0));
    let stress = Pressure::from_si(LEVEL * (used / (height + used)));
    let point = level.cushion_point(stress, height, Length::mm(50.0)).unwrap();
    let problem = "constant force, 0.762 m, 30 mm of 50 mm used, gravity at work in the stroke";
    let factors = Allowed::Within(6e-5);
    let rows = vec![
        row(
            "drop, peak",
            &format!("{problem}: G = 1 + h/d"),
            "G",
            (26.400, point.peak.as_g()),
            Allowed::Within(1e-6),
        ),
        row(
            "drop, strain",
            problem,
            "",
            (0.6, point.strain),
            Allowed::Within(1e-9),
        ),
        row(
            "law, cushion factor",
            "constant stress used to strain 0.7",
            "",
            (1.4286, level.cushion_factor(0.7)),
            factors,
        ),
        row(
            "law, cushion factor",
            "stress rising in a straight line, used to strain 0.7",
            "",
            (2.8571, straight.cushion_factor(0.7)),
            factors,
        ),
    ];
    Chapter {
        title: "Ideal cushions",
        about: "The two ideals that bound a foam: a constant stress and a straight line, as tables through the same code as \
                a measured curve.",
        rows,
    }
}

#[test]
fn ideals_come_out_as_their_closed_forms() {
    chapter().assert();
}
