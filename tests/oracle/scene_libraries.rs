//! trimesh 5.2 and manifold 3.5 (E. Lalish and others, Apache-2.0), run on the demonstration's scene.
//!
//! A second program's reading of `scene.glb` against `result.json`, and its own test of what cuts into what.

use crate::Chapter;
use caddis_basis::{Certainty, Source};
use caddis_tests::{Allowed, Row, second_opinion};
use std::path::Path;

pub(crate) fn chapter(out: &Path) -> Chapter {
    let answer = second_opinion("scene_solids", [out.as_os_str()]);
    let number = |key: &str| {
        answer[key]
            .as_f64()
            .unwrap_or_else(|| panic!("no answer on {key}: {answer}"))
    };
    let row = |key: &str, problem: &str, unit: &'static str, amount: f64| Row {
        method: "scene",
        problem: problem.into(),
        source: Source::new(
            "trimesh 5.2 and manifold 3.5, run on the demonstration's scene",
            Certainty::Derived,
        ),
        unit,
        expected: 0.0,
        got: if number(key).abs() <= amount {
            0.0
        } else {
            number(key)
        },
        allowed: Allowed::Within(amount),
    };
    assert!(number("shells") >= 2.0, "base and lid are in the scene: {answer}");
    assert!(
        number("foam") == number("layers"),
        "every layer is in the scene: {answer}"
    );
    let rows = vec![
        row(
            "missing",
            "equipment that is only in the scene or only in the result",
            "",
            0.0,
        ),
        row("beyond", "how far a piece reaches out of its box", "mm", 2e-3),
        row("loose", "how much larger a box is than its piece", "mm", 0.2),
        row("open_items", "equipment that is no closed solid", "", 0.0),
        row("open_shell", "shell halves that are no closed solid", "", 0.0),
        row("item_overlap", "largest volume two pieces share", "mm³", 1e-3),
        row(
            "shell_overlap",
            "largest volume a piece shares with the shell",
            "mm³",
            1e-3,
        ),
    ];
    Chapter {
        title: "Scene",
        about: "The demonstration's scene as another program reads it. A number within its tolerance is shown as 0.",
        rows,
    }
}
