//! rs274, the stand-alone interpreter of `LinuxCNC` 2.9 (Debian package linuxcnc-uspace, GPL, a tool of the tests only), strict
//! about arcs (0.005 mm), and shapely 2.2: the demonstration's machine programs.
//!
//! A second program reads every program and gives back its moves; they end where the text says, and the cutter swept along
//! them takes the design's foam and no other. No published number.

use crate::Chapter;
use caddis_basis::{Certainty, Source};
use caddis_tests::{Allowed, Row, second_opinion};
use std::ffi::OsStr;
use std::path::Path;

/// The demonstration's shop: cutter and skin, millimetres (library/shop/coldwater.toml).
const CUTTER: &str = "8";
const SKIN: &str = "0.4";
/// Width and depth of its engraving, millimetres (library/processes/router-8mm.toml).
const ENGRAVING: [&str; 2] = ["1.5", "1"];

pub(crate) fn chapter(out: &Path) -> Chapter {
    let answer = second_opinion(
        "programs",
        [
            out.as_os_str(),
            OsStr::new(CUTTER),
            OsStr::new(SKIN),
            OsStr::new(ENGRAVING[0]),
            OsStr::new(ENGRAVING[1]),
        ],
    );
    for (key, what) in [
        ("engravings", "engraving programs"),
        ("engraved_lines", "lines in them"),
    ] {
        assert!(
            answer[key].as_f64().is_some_and(|count| count >= 1.0),
            "there are {what}: {answer}"
        );
    }
    assert!(
        answer["files"].as_f64().is_some_and(|files| files >= 1.0),
        "there are programs: {answer}"
    );
    let row = |key: &str, unit: &'static str, problem: &str, within: f64| {
        let got = answer[key]
            .as_f64()
            .unwrap_or_else(|| panic!("no answer on {key}: {answer}"));
        Row {
            method: "machine programs",
            problem: problem.into(),
            source: Source::new(
                "rs274 of LinuxCNC 2.9 and shapely 2.2, run on the demonstration's files",
                Certainty::Derived,
            ),
            unit,
            expected: 0.0,
            // The page says that it is small, not the last bits of it.
            got: if got.abs() <= within { 0.0 } else { got },
            allowed: Allowed::Within(within),
        }
    };
    Chapter {
        title: "Machine programs",
        about: "Every program of the demonstration is read by an interpreter of another project, strict about arcs; the moves \
                it gives back end where the text says, and the cutter swept along them (shapely) takes the voids of \
                result.json and no other foam. Engraving programs cut the lines that the nests draw, at their depth, within the parts' faces.",
        rows: vec![
            row("missing", "", "nests without a program", 0.0),
            row("refused", "", "programs the strict interpreter refuses", 0.0),
            row(
                "ends",
                "mm",
                "greatest distance of a move's end from the text",
                0.002,
            ),
            row("rapid_low", "", "rapid moves near or in the foam", 0.0),
            row("gouge", "mm²", "foam taken that stays, beyond 0.06 mm", 0.01),
            row("left", "mm²", "foam left that must go, beyond 0.06 mm", 0.01),
            row(
                "engravings_missing",
                "",
                "nests with names or marks and no engraving program",
                0.0,
            ),
            row(
                "engravings_refused",
                "",
                "engraving programs the strict interpreter refuses",
                0.0,
            ),
            row(
                "engraving_count",
                "",
                "engraved lines more or fewer than the nest's DXF draws",
                0.0,
            ),
            row(
                "engraving_apart",
                "mm",
                "greatest distance of an engraved line from the nest's DXF",
                0.002,
            ),
            row(
                "engraving_depth",
                "mm",
                "greatest difference from the depth that the process states",
                0.002,
            ),
            row(
                "engraving_outside",
                "mm²",
                "engraving that leaves the faces of the parts",
                0.01,
            ),
        ],
    }
}
