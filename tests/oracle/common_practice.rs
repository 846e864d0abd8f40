//! Facts of the trade that nobody can cite (common practice, no source).

use crate::Chapter;
use caddis_basis::{Length, Mass, Measured, Source};
use caddis_geometry::Vec2;
use caddis_survey::{HalfSide, Opening, Shell, ShellHalf, SurveyRecord};
use caddis_tests::{Allowed, Row};

fn half(side: HalfSide, narrows_by: f64, depth: f64) -> ShellHalf {
    let inches = |value| Measured::exact(Length::inches(value));
    let opening = |less: f64| Opening {
        length: inches(24.0 - less),
        width: inches(16.0 - less),
        corner_radius: inches(2.0),
        centre: Vec2::new(0.0, 0.0),
    };
    ShellHalf {
        side,
        rim: opening(0.0),
        floor: opening(narrows_by),
        depth: inches(depth),
        fillet: inches(0.5),
        wall: inches(0.15),
        steps: Vec::new(),
        dome: None,
        stated_drafts: None,
        intrusions: Vec::new(),
        traced: Vec::new(),
    }
}

pub(crate) fn chapter() -> Chapter {
    let inches = |value| Measured::exact(Length::inches(value));
    let shell = Shell {
        name: "drafted".into(),
        title: "a drafted shell".into(),
        base: half(HalfSide::Base, 0.55, 8.55),
        lid: half(HalfSide::Lid, 0.2, 3.0),
        outside: [inches(26.0), inches(18.0), inches(13.0)],
        empty_mass: Measured::exact(Mass::from_si(7.0)),
        nominal_inside: None,
        total_depth: None,
        gasket: None,
        hinge: None,
        stacking_rating: None,
        fittings: Vec::new(),
        photos: Vec::new(),
        record: SurveyRecord::default(),
        source: Source::common_practice(),
    };
    let rows = ["-x", "+x", "-y", "+y"]
        .into_iter()
        .zip(shell.drafts(HalfSide::Base))
        .map(|(wall, draft)| Row {
            method: "draft of a wall",
            problem: format!("base narrows by 0.55 in overall in 8.55 in of depth, wall {wall}"),
            source: Source::common_practice(),
            unit: "deg",
            expected: 1.84,
            got: draft.as_degrees(),
            allowed: Allowed::Within(0.005),
        })
        .collect();
    Chapter {
        title: "The shell",
        about: "What a survey's dimensions say about the moulding.",
        rows,
    }
}

#[test]
fn draft_of_a_moulded_base() {
    chapter().assert();
}
