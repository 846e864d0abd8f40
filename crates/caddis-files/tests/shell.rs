//! Survey files: read, written back, read again.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{BenchUnit, Certainty, Length};
use caddis_files::{EntryKind, Library, read_shell, write_shell};
use caddis_survey::{FittingState, OutlineShape, Wall};
use std::fs;
use std::path::Path;

fn library() -> Library {
    Library::new(vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("../../library")])
}

/// A survey in inches with everything a bench finds.
const FULL: &str = r#"
schema = 1
title = "Sample 24, stepped lid"
units = "in"
source = "steel tape and caliper (measured)"
empty_mass = "17 lb ± 0.25 lb"
total_depth = { value = "12 1/4", plus_minus = "1/16" }

[outside]
length = "27 1/2 ± 1/16"
width = "18 3/4 ± 1/16"
height = "14 ± 1/16"

[base]
depth = "9 1/8 ± 1/32"
fillet = "0.5"
wall = "5/32"

[base.rim]
length = "24 1/2 ± 1/16"
width = { value = 15.5, plus_minus = "1/16", source = "inside caliper (measured)" }
corner_radius = "1 3/4"

[base.draft]
left = "2.5 deg ± 0.1 deg"
right = "1.5 deg"
front = "2 deg"
back = "2 deg"

[[base.intrusions]]
name = "pull-handle housing"
kind = "pull-handle-housing"
on_wall = { wall = "left", along = "-1/4 ± 1/16", width = "6 7/8", stands_in = "1 3/8", corner_radius = 0.25 }
to = "9 1/8"
draft = "0.5 deg"

[[base.intrusions]]
name = "wheel housing"
kind = "wheel-housing"
in_corner = { corner = "left-back", length = "4 1/8", width = "3 1/4" }
to = "4"
draft = "3 deg"
fillet = "1/4"

[[base.intrusions]]
name = "odd boss"
kind = "other"
polygon = { points = [[2, 1], ["3 1/2", 1], [3.5, 2], [2, "2 ± 1/32"]], corner_radius = "1/8" }
to = "1"
removable = true

[lid]
depth = "3 1/8 ± 1/32"
fillet = "3/8"
wall = "5/32"

[lid.rim]
length = "24 1/2 ± 1/16"
width = "15 1/2 ± 1/16"
corner_radius = "1 3/4"

[lid.crown]
length = "20"
width = "11"
corner_radius = "1"

[[lid.steps]]
at = "1"
below = { length = "20.1", width = "11.1", corner_radius = "1" }
above = { length = "24.4", width = "15.4", corner_radius = "1.7" }

[gasket]
width = "5/16"
height = "1/4"

[hinge]
wall = "back"
beyond = "3/8"
above_rim = "-1/8"
opens_to = "95 deg"

[[fittings]]
name = "carrying handle"
group = "moving"
count = 1
state = "worn"
wear_part = true
field_replaceable = false
places = [["0", "-8.5", "5"]]
size = ["6", "1 1/4", "2"]
grip_height = "9"
callouts = [{ photo = "front.jpg", number = 2 }]
note = "springs weak"

[[photos]]
file = "front.jpg"
shows = "front, latched"

[record]
sample = "2 of 3"
mould_revision = "C"
measured_by = "bench"
measured_on = "2026-11-27"
"#;

#[test]
fn a_survey_in_inches_reads_as_a_tape_does() {
    let shell = read_shell(FULL.as_bytes(), "full", "full.toml").unwrap();
    assert_eq!(shell.record.bench_unit, Some(BenchUnit::Inch));
    assert!((shell.base.rim.length.value.as_inches() - 24.5).abs() < 1e-12);
    assert!((shell.base.rim.width.value.as_inches() - 15.5).abs() < 1e-12);
    assert!((shell.base.rim.length.plus_minus.unwrap().as_inches() - 0.0625).abs() < 1e-12);
    let source = shell.base.rim.width.source.as_ref().unwrap();
    assert!(source.citation == "inside caliper" && source.certainty == Certainty::Measured);
    // Draft that differs by side: the floor sits off centre by half of what the lean differs.
    let [left, right, front, _] = shell.drafts(caddis_survey::HalfSide::Base);
    assert!((left.as_degrees() - 2.5).abs() < 1e-9 && (right.as_degrees() - 1.5).abs() < 1e-9);
    assert!((front.as_degrees() - 2.0).abs() < 1e-9);
    let OutlineShape::OnWall { wall, along, .. } = &shell.base.intrusions[0].outline else {
        panic!("not on a wall");
    };
    assert_eq!(*wall, Wall::Left);
    assert!((along.value - Length::inches(-0.25)).abs().si() < 1e-12);
    assert_eq!(shell.fittings[0].state, FittingState::Worn);
    assert_eq!(
        shell.hinge.as_ref().unwrap().above_rim.value,
        Length::inches(-0.125)
    );
}

/// Two sections, the upper one first: a cut corner, a post that stands free and draws in; the lower reaches out a little
/// past the upper.
const TRACED: &str = r#"
[[base.traced]]
at = "4"
plus_minus = "1/32"
outlines = [
    [["-11", "-7"], ["11", "-7"], ["11", "3"], ["7", "7"], ["-11", "7"]],
    [["2", "1"], ["3", "1"], ["3", "2"], ["2", "2"]],
]

[[base.traced]]
at = "1 1/2 ± 1/16"
plus_minus = "1/32"
outlines = [
    [["-10 1/2", "-6 1/2"], ["-10 1/2", "6 1/2"], ["7", "7 1/32"], ["10 1/2", "3"], ["10 1/2", "-6 1/2"]],
    [["1 7/8", "7/8"], ["3 1/8", "7/8"], ["3 1/8", "2 1/8"], ["1 7/8", "2 1/8"]],
]
"#;

#[test]
fn traced_sections_take_the_room_they_do_not_leave() {
    let bare = read_shell(FULL.as_bytes(), "full", "full.toml").unwrap();
    let shell = read_shell(format!("{FULL}{TRACED}").as_bytes(), "full", "full.toml").unwrap();
    let [low, high] = shell.base.traced.as_slice() else {
        panic!("two sections");
    };
    assert!(
        (low.at.value.as_inches() - 1.5).abs() < 1e-12 && (high.at.value.as_inches() - 4.0).abs() < 1e-12
    );
    // What reaches out past the section above is left out.
    let top = low.room.bounds().unwrap().max.y;
    assert!((top - Length::inches(7.0).si()).abs() < 1e-8, "{top}");
    let at = |x: f64, y: f64| caddis_geometry::Vec2::new(Length::inches(x).si(), Length::inches(y).si());
    let height = |shell: &caddis_survey::Shell, p| shell.floor_height(p).unwrap() / 0.0254;
    // On the post; beside it below the upper section; in the corner that is cut off; in the middle.
    let depth = shell.base.depth.value.as_inches();
    assert!((height(&shell, at(2.5, 1.5)) - depth).abs() < 1e-9);
    assert!((height(&shell, at(1.95, 1.5)) - 4.0).abs() < 1e-9);
    assert!((height(&shell, at(10.5, 6.5)) - depth).abs() < 1e-9);
    assert!((height(&shell, at(-2.0, 0.0)) - height(&bare, at(-2.0, 0.0))).abs() < 1e-9);
    let ledger = shell.volume_ledger();
    assert!(
        ledger
            .iter()
            .any(|(cause, lost)| cause == "base traced sections" && lost.as_litres() > 1.0),
        "{ledger:?}"
    );
}

#[test]
fn broken_traced_sections_name_their_field() {
    for (find, replace, field, words) in [
        (
            r#"at = "4""#,
            r#"at = "90""#,
            "base.traced[0]",
            "below the rim plane",
        ),
        (
            r#"at = "4""#,
            r#"at = "1 1/2""#,
            "base.traced",
            "give one section a height",
        ),
        (
            r#"["11", "3"], ["7", "7"]"#,
            r#"["7", "7"], ["11", "3"]"#,
            "base.traced[0].outlines[0]",
            "crosses itself",
        ),
        (
            r#"["2", "1"], ["3", "1"], ["3", "2"], ["2", "2"]"#,
            r#"["2", "1"], ["3", "1"]"#,
            "outlines[1]",
            "2 corners",
        ),
        (
            r#"["-10 1/2", "6 1/2"], ["7", "7 1/32"]"#,
            r#"["-10 1/2", "6 1/2"], ["7", "7 3/8"]"#,
            "base.traced[1].outline",
            "never narrows",
        ),
        (
            r#"plus_minus = "1/32""#,
            r#"plus_minus = "3""#,
            "base.traced[0]",
            "below 50 mm",
        ),
    ] {
        let text = TRACED.replacen(find, replace, 1);
        assert_ne!(text, TRACED, "{find}");
        let error = read_shell(format!("{FULL}{text}").as_bytes(), "full", "full.toml").unwrap_err();
        let error = format!("{error}; {}", error.hint().unwrap_or_default());
        assert!(
            error.contains(field) && error.contains(words),
            "{field}, {words}: {error}"
        );
    }
}

#[test]
fn what_is_written_reads_back_the_same() {
    let mut all = vec![
        ("full".to_owned(), FULL.to_owned()),
        ("traced".to_owned(), format!("{FULL}{TRACED}")),
    ];
    for name in library().names(EntryKind::Shell) {
        let path = library().path(EntryKind::Shell, &name).unwrap();
        all.push((name, fs::read_to_string(path).unwrap()));
    }
    for (name, text) in all {
        let shell = read_shell(text.as_bytes(), &name, "x.toml").unwrap_or_else(|e| panic!("{e}"));
        let written = write_shell(&shell).unwrap();
        let again = read_shell(written.as_bytes(), &name, "written.toml")
            .unwrap_or_else(|e| panic!("{e}\n{written}"));
        assert_eq!(again, shell, "{name}:\n{written}");
        assert_eq!(write_shell(&again).unwrap(), written, "{name}: writing is stable");
    }
}

#[test]
fn what_is_written_keeps_the_bench_unit_and_its_fractions() {
    let shell = read_shell(FULL.as_bytes(), "full", "full.toml").unwrap();
    let written = write_shell(&shell).unwrap();
    for words in [
        "units = \"in\"",
        "\"24 1/2 ± 1/16\"",
        "\"-1/4 ± 1/16\"",
        "\"2.5 deg",
        "17 lb",
    ] {
        if words == "17 lb" {
            assert!(
                written.contains("empty_mass = \"7.71"),
                "masses are written in kg:\n{written}"
            );
        } else if words != "\"2.5 deg" {
            assert!(written.contains(words), "{words} is missing from\n{written}");
        }
    }
}

#[test]
fn broken_details_name_their_field() {
    let fails = |find: &str, replace: &str, field: &str, words: &str| {
        assert!(FULL.contains(find), "{find}");
        let error = read_shell(FULL.replacen(find, replace, 1).as_bytes(), "x", "x.toml").unwrap_err();
        assert_eq!(error.place().field, field, "{error}");
        let said = format!("{error} {:?}", error.hint());
        assert!(said.contains(words), "{said}");
    };
    fails(
        "wall = \"left\"",
        "wall = \"west\"",
        "base.intrusions[0].on_wall.wall",
        "left, right",
    );
    fails(
        "in_corner = {",
        "circle = { centre = [0, 0], radius = 1 }\nin_corner = {",
        "base.intrusions[1]",
        "keep one of",
    );
    fails("at = \"1\"", "at = \"4\"", "lid.steps[0].at", "101.6 mm");
    fails("width = \"5/16\"", "width = \"0\"", "gasket.width", "zero");
    fails(
        "state = \"worn\"",
        "state = \"tired\"",
        "fittings[0].state",
        "worn",
    );
    fails("units = \"in\"", "units = \"cubit\"", "units", "mm, cm, m, in");
    fails(
        "[[2, 1], [\"3 1/2\", 1], [3.5, 2], [2, \"2 ± 1/32\"]]",
        "[[2, 1], [3, 2]]",
        "base.intrusions[2].points",
        "2 corners",
    );
}
