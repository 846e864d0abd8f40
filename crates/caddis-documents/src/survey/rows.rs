//! What the worksheet asks for.
//!
//! Where and with what to measure is common practice, no source.

use caddis_survey::{FittingGroup, Reading, Shell};
use serde_json::{Value, json};

/// Blank rows below what the shell's survey lists.
const BLANK_INTRUSIONS: usize = 5;
const BLANK_FITTINGS: usize = 4;
/// Rows of a blank sheet.
const INTRUSIONS: usize = 9;

/// One thing to measure: number in the picture, what, where and how, with what, and (of, what) of the survey's reading.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

const GROUPS: [(&str, &[Row]); 5] = [
    (
        "Outside, closed",
        &[
            (
                "1",
                "Length",
                "over everything that stands out, handles folded; between two squares",
                "steel tape, two squares",
                &[("outside, closed", "length")],
            ),
            (
                "2",
                "Width",
                "over everything that stands out",
                "steel tape, two squares",
                &[("outside, closed", "width")],
            ),
            (
                "3",
                "Height",
                "as it stands, feet or wheels down, to the highest point of the lid",
                "steel tape, square",
                &[("outside, closed", "height")],
            ),
            (
                "4",
                "Empty mass",
                "everything in it taken out",
                "scale",
                &[("outside, closed", "empty mass")],
            ),
            (
                "5",
                "Inside height, closed",
                "floor to crown in the middle: a rod or a lump of clay on a block, lid closed on it",
                "telescopic rod, clay",
                &[("inside, closed", "height, floor to crown")],
            ),
        ],
    ),
    (
        "Base",
        &[
            (
                "6",
                "Opening length",
                "wall to wall at the rim plane, in the middle and near both walls",
                "inside rule or tape",
                &[("base", "opening length")],
            ),
            (
                "7",
                "Opening width",
                "wall to wall at the rim plane, in the middle and near both ends",
                "inside rule or tape",
                &[("base", "opening width")],
            ),
            (
                "8",
                "Corner radius at the rim",
                "largest arc that touches all along; all four corners",
                "radius gauge or card templates",
                &[("base", "opening corner radius")],
            ),
            (
                "9",
                "Depth",
                "straight edge across the rim (not on the gasket), down to the floor; middle and four corners",
                "straight edge, depth gauge",
                &[("base", "depth, rim plane to floor")],
            ),
            (
                "10",
                "Floor length",
                "wall to wall just above the fillet, then twice fillet's foot added back; or leave it and measure the drafts",
                "inside rule",
                &[("base", "floor length")],
            ),
            (
                "11",
                "Floor width",
                "as the floor's length",
                "inside rule",
                &[("base", "floor width")],
            ),
            (
                "12",
                "Corner radius at the floor",
                "just above the fillet",
                "radius gauge",
                &[("base", "floor corner radius")],
            ),
            (
                "13",
                "Draft left, right, front, back",
                "each wall apart, against the floor as level; clear of ribs",
                "digital protractor",
                &[
                    ("base", "draft left"),
                    ("base", "draft right"),
                    ("base", "draft front"),
                    ("base", "draft back"),
                ],
            ),
            (
                "14",
                "Floor fillet",
                "between floor and walls, away from the corners",
                "radius gauge",
                &[("base", "floor fillet")],
            ),
            (
                "15",
                "Wall thickness",
                "at the rim, or through a hole that is there; never drill a sealed case",
                "calliper, ultrasonic gauge",
                &[("base", "wall")],
            ),
            (
                "16",
                "Ledge, if any",
                "height over the floor, opening just below and just above",
                "depth gauge, inside rule",
                &[("base step 1", "from the floor")],
            ),
        ],
    ),
    (
        "Lid",
        &[
            (
                "17",
                "Depth",
                "straight edge across the lid's rim, down to the crown",
                "straight edge, depth gauge",
                &[("lid", "depth, rim plane to crown")],
            ),
            (
                "18",
                "Opening length and width",
                "only where it differs from the base",
                "inside rule",
                &[("lid", "opening length"), ("lid", "opening width")],
            ),
            (
                "19",
                "Crown length and width",
                "wall to wall just short of the fillet",
                "inside rule",
                &[("lid", "crown length"), ("lid", "crown width")],
            ),
            (
                "20",
                "Corner radii, fillet",
                "at the lid's rim, at the crown; fillet of the crown",
                "radius gauge",
                &[
                    ("lid", "opening corner radius"),
                    ("lid", "crown corner radius"),
                    ("lid", "crown fillet"),
                ],
            ),
            (
                "21",
                "Dome or step, if any",
                "rise beyond the crown's edge, size of the flat",
                "straight edge, depth gauge",
                &[("lid dome", "rise")],
            ),
        ],
    ),
    (
        "Gasket and hinge",
        &[
            (
                "22",
                "Gasket",
                "width; height over the rim plane, open; how far it stands into the opening",
                "calliper",
                &[
                    ("gasket", "width"),
                    ("gasket", "height over the rim plane"),
                    ("gasket", "stands into the opening"),
                ],
            ),
            (
                "23",
                "Hinge",
                "which wall; pin's middle beyond the opening's edge and above the rim plane",
                "square, calliper",
                &[
                    ("hinge", "axis beyond the opening"),
                    ("hinge", "axis above the rim plane"),
                ],
            ),
            (
                "24",
                "Lid opens to",
                "as far as it goes by itself, held by hand",
                "digital protractor",
                &[("hinge", "opens to")],
            ),
        ],
    ),
    (
        "The record",
        &[
            (
                "",
                "Sample, mould revision",
                "number on the case; mark in the mould, often under the base",
                "lamp",
                &[],
            ),
            (
                "",
                "Who, when, unit",
                "name, date, the one unit of this sheet",
                "",
                &[],
            ),
            (
                "",
                "Photos",
                "lid open from above; each side closed; every fitting; with this sheet's numbers",
                "camera",
                &[],
            ),
        ],
    ),
];

pub(crate) fn groups(shell: Option<&Shell>) -> Vec<Value> {
    let readings = shell.map(Shell::readings).unwrap_or_default();
    GROUPS
        .into_iter()
        .map(|(title, rows)| {
            let rows: Vec<Value> = rows
                .iter()
                .map(|(number, what, place, tool, keys)| {
                    json!([number, what, place, tool, last(&readings, keys)])
                })
                .collect();
            json!({ "title": title, "rows": rows })
        })
        .collect()
}

/// What the survey at hand says.
fn last(readings: &[Reading], keys: &[(&str, &str)]) -> String {
    let said: Vec<String> = keys
        .iter()
        .filter_map(|(of, what)| readings.iter().find(|r| r.of == *of && r.what == *what))
        .map(with_band)
        .collect();
    said.join(", ")
}

fn with_band(reading: &Reading) -> String {
    match &reading.plus_minus {
        Some(band) => format!("{} ± {band}", reading.value),
        None => reading.value.clone(),
    }
}

/// Name, attached to, what the survey says, whether it may be knocked off; then blank rows.
pub(crate) fn intrusions(shell: Option<&Shell>) -> Vec<Value> {
    let mut rows = Vec::new();
    if let Some(shell) = shell {
        let readings = shell.readings();
        for half in [&shell.base, &shell.lid] {
            let of = match half.side {
                caddis_survey::HalfSide::Base => "base",
                caddis_survey::HalfSide::Lid => "lid",
            };
            for intrusion in &half.intrusions {
                let name = format!("{of}: {}", intrusion.name);
                let said: Vec<String> = readings
                    .iter()
                    .filter(|r| r.of == name)
                    .map(|r| format!("{} {}", r.what, r.value))
                    .collect();
                let attached = match (intrusion.outline.attached_to(), of) {
                    ("floor", "lid") => "crown",
                    (other, _) => other,
                };
                rows.push(json!([
                    name,
                    attached,
                    said.join(", "),
                    if intrusion.removable { "yes" } else { "" }
                ]));
            }
        }
    }
    let blank = if rows.is_empty() {
        INTRUSIONS
    } else {
        BLANK_INTRUSIONS
    };
    rows.extend((0..blank).map(|_| json!(["", "", "", ""])));
    rows
}

/// Group, name, count; then blank rows for every group on a blank sheet.
pub(crate) fn fittings(shell: Option<&Shell>) -> Vec<Value> {
    const USUAL: [(FittingGroup, &[&str]); 5] = [
        (FittingGroup::Closing, &["latch", "padlock point", "hinge"]),
        (FittingGroup::Moving, &["wheel", "pull handle", "carrying handle"]),
        (FittingGroup::Sealing, &["gasket", "pressure valve"]),
        (FittingGroup::Stacking, &["stacking feature"]),
        (FittingGroup::Marking, &["flat place for a label"]),
    ];
    let mut rows: Vec<Value> = shell
        .iter()
        .flat_map(|shell| &shell.fittings)
        .map(|fitting| {
            json!([
                fitting.group.title(),
                fitting.name,
                fitting.count.to_string(),
                fitting.state.words()
            ])
        })
        .collect();
    if rows.is_empty() {
        for (group, names) in USUAL {
            rows.extend(names.iter().map(|name| json!([group.title(), name, "", ""])));
        }
    }
    rows.extend((0..BLANK_FITTINGS).map(|_| json!(["", "", "", ""])));
    rows
}
