//! What the worksheet asks for.
//!
//! Where and with what to measure is common practice, no source.

use crate::Words;
use crate::words::say;
use caddis_basis::said;
use caddis_survey::{FittingGroup, HalfSide, Reading, Shell};
use serde_json::{Value, json};

/// Blank rows below what the shell's survey lists.
const BLANK_INTRUSIONS: usize = 5;
const BLANK_FITTINGS: usize = 4;
/// Rows of a blank sheet.
const INTRUSIONS: usize = 9;

/// One thing to measure: its number in the picture or its name, which end the names of its messages (`worksheet-what-…`,
/// `worksheet-how-…`); the end of that of its tool; and (of, what) of the survey's reading.
type Row = (
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

const GROUPS: [(&str, &[Row]); 5] = [
    (
        "outside",
        &[
            ("1", "steel-tape-two-squares", &[("outside, closed", "length")]),
            ("2", "steel-tape-two-squares", &[("outside, closed", "width")]),
            ("3", "steel-tape-square", &[("outside, closed", "height")]),
            ("4", "scale", &[("outside, closed", "empty mass")]),
            (
                "5",
                "telescopic-rod-clay",
                &[("inside, closed", "height, floor to crown")],
            ),
        ],
    ),
    (
        "base",
        &[
            ("6", "inside-rule-or-tape", &[("base", "opening length")]),
            ("7", "inside-rule-or-tape", &[("base", "opening width")]),
            (
                "8",
                "radius-gauge-or-card-templates",
                &[("base", "opening corner radius")],
            ),
            (
                "9",
                "straight-edge-depth-gauge",
                &[("base", "depth, rim plane to floor")],
            ),
            ("10", "inside-rule", &[("base", "floor length")]),
            ("11", "inside-rule", &[("base", "floor width")]),
            ("12", "radius-gauge", &[("base", "floor corner radius")]),
            (
                "13",
                "digital-protractor",
                &[
                    ("base", "draft left"),
                    ("base", "draft right"),
                    ("base", "draft front"),
                    ("base", "draft back"),
                ],
            ),
            ("14", "radius-gauge", &[("base", "floor fillet")]),
            ("15", "calliper-ultrasonic-gauge", &[("base", "wall")]),
            (
                "16",
                "depth-gauge-inside-rule",
                &[("base step 1", "from the floor")],
            ),
        ],
    ),
    (
        "lid",
        &[
            (
                "17",
                "straight-edge-depth-gauge",
                &[("lid", "depth, rim plane to crown")],
            ),
            (
                "18",
                "inside-rule",
                &[("lid", "opening length"), ("lid", "opening width")],
            ),
            (
                "19",
                "inside-rule",
                &[("lid", "crown length"), ("lid", "crown width")],
            ),
            (
                "20",
                "radius-gauge",
                &[
                    ("lid", "opening corner radius"),
                    ("lid", "crown corner radius"),
                    ("lid", "crown fillet"),
                ],
            ),
            ("21", "straight-edge-depth-gauge", &[("lid dome", "rise")]),
        ],
    ),
    (
        "gasket",
        &[
            (
                "22",
                "calliper",
                &[
                    ("gasket", "width"),
                    ("gasket", "height over the rim plane"),
                    ("gasket", "stands into the opening"),
                ],
            ),
            (
                "23",
                "square-calliper",
                &[
                    ("hinge", "axis beyond the opening"),
                    ("hinge", "axis above the rim plane"),
                ],
            ),
            ("24", "digital-protractor", &[("hinge", "opens to")]),
        ],
    ),
    (
        "record",
        &[
            ("sample", "lamp", &[]),
            ("who", "", &[]),
            ("photos", "camera", &[]),
        ],
    ),
];

pub(crate) fn groups(words: &Words, shell: Option<&Shell>) -> Vec<Value> {
    let readings = shell.map(Shell::readings).unwrap_or_default();
    GROUPS
        .into_iter()
        .map(|(title, rows)| {
            let rows: Vec<Value> = rows
                .iter()
                .map(|(name, tool, keys)| {
                    let is_numbered = name.starts_with(|c: char| c.is_ascii_digit());
                    let tool = if tool.is_empty() {
                        String::new()
                    } else {
                        words.one_of("worksheet-tool", tool)
                    };
                    json!([
                        if is_numbered { name } else { "" },
                        words.one_of("worksheet-what", name),
                        words.one_of("worksheet-how", name),
                        tool,
                        last(words, &readings, keys)
                    ])
                })
                .collect();
            json!({ "title": words.one_of("worksheet-group", title), "rows": rows })
        })
        .collect()
}

/// What the survey at hand says.
fn last(words: &Words, readings: &[Reading], keys: &[(&str, &str)]) -> String {
    let said: Vec<String> = keys
        .iter()
        .filter_map(|(of, what)| readings.iter().find(|r| r.of == *of && r.what == *what))
        .map(|reading| with_band(words, reading))
        .collect();
    said.join(", ")
}

fn with_band(words: &Words, reading: &Reading) -> String {
    match &reading.plus_minus {
        Some(band) => words.figures(&format!("{} ± {band}", reading.value)),
        None => words.figures(&reading.value),
    }
}

/// Name, attached to, what the survey says, whether it may be knocked off; then blank rows.
pub(crate) fn intrusions(words: &Words, shell: Option<&Shell>) -> Vec<Value> {
    let mut rows = Vec::new();
    if let Some(shell) = shell {
        let readings = shell.readings();
        for half in [&shell.base, &shell.lid] {
            for intrusion in &half.intrusions {
                let name = said!(
                    "{half}: {intrusion}",
                    half = half.side.said(),
                    intrusion = intrusion.name
                );
                let said: Vec<String> = readings
                    .iter()
                    .filter(|r| r.of == name)
                    .map(|r| format!("{} {}", words.told(&r.what), words.figures(&r.value)))
                    .collect();
                let attached = match (intrusion.outline.attached_to(), half.side) {
                    ("floor", HalfSide::Lid) => "crown",
                    (other, _) => other,
                };
                let attached = words.one_of("worksheet-on", attached);
                rows.push(json!([
                    words.told(&name),
                    attached,
                    said.join(", "),
                    if intrusion.removable {
                        say!(words, "survey-yes")
                    } else {
                        String::new()
                    }
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
pub(crate) fn fittings(words: &Words, shell: Option<&Shell>) -> Vec<Value> {
    const USUAL: [(FittingGroup, &[&str]); 5] = [
        (FittingGroup::Closing, &["latch", "padlock-point", "hinge"]),
        (FittingGroup::Moving, &["wheel", "pull-handle", "carrying-handle"]),
        (FittingGroup::Sealing, &["gasket", "pressure-valve"]),
        (FittingGroup::Stacking, &["stacking-feature"]),
        (FittingGroup::Marking, &["label-place"]),
    ];
    let mut rows: Vec<Value> = shell
        .iter()
        .flat_map(|shell| &shell.fittings)
        .map(|fitting| {
            json!([
                words.one_of("fittings", fitting.group.words()),
                fitting.name,
                fitting.count.to_string(),
                words.one_of("fitting", fitting.state.words())
            ])
        })
        .collect();
    if rows.is_empty() {
        for (group, names) in USUAL {
            rows.extend(names.iter().map(|name| {
                json!([
                    words.one_of("fittings", group.words()),
                    words.one_of("worksheet-fitting", name),
                    "",
                    ""
                ])
            }));
        }
    }
    rows.extend((0..BLANK_FITTINGS).map(|_| json!(["", "", "", ""])));
    rows
}
