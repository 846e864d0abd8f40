//! The report's chapter of the case: figures of the survey with their sources, fittings.

use super::PaperInput;
use super::sources::Sources;
use crate::Words;
use crate::words::say;
use caddis_basis::{Length, Measured, Source, said};
use caddis_survey::{Fitting, FittingGroup, HalfSide, Shell, ShellHalf};
use serde_json::{Value, json};

pub(super) fn case(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let words = input.words;
    let shell = &input.brief.shell;
    let mut rows: Vec<Value> = Vec::new();
    let mut row = |what: String, value: String, source: Option<&Source>, sources: &mut Sources| {
        let source = sources.cite_some(Some(source.unwrap_or(&shell.source)));
        rows.push(json!([what, words.figures(&value), source]));
    };
    for (name, half) in [
        (say!(words, "half-base"), &shell.base),
        (say!(words, "half-lid"), &shell.lid),
    ] {
        half_rows(words, &name, half, &mut |what, measured| {
            row(what, measured.to_string(), measured.source.as_ref(), sources);
        });
        row(
            say!(words, "data-wall", half = name.as_str()),
            half.wall.to_string(),
            half.wall.source.as_ref(),
            sources,
        );
        let side = half.side;
        let drafts: Vec<String> = shell
            .drafts(side)
            .iter()
            .map(|draft| format!("{:.1}°", draft.as_degrees()))
            .collect();
        let derived = Source::derived(said!("drafts from the two openings and the depth of each half"));
        row(
            say!(words, "data-drafts", half = name.as_str()),
            drafts.join(", "),
            Some(&derived),
            sources,
        );
        for (index, intrusion) in half.intrusions.iter().enumerate() {
            let letter = char::from(b'a' + (index % 26) as u8);
            let mark = if side == HalfSide::Base {
                format!(" ({letter})")
            } else {
                String::new()
            };
            let what = format!("{}{mark}", capital(&intrusion.name));
            let height = intrusion.to.to_string();
            let value = if side == HalfSide::Base {
                say!(words, "data-reaches-floor", height = height)
            } else {
                say!(words, "data-reaches-crown", height = height)
            };
            let value = if intrusion.removed {
                say!(words, "data-taken-off", reach = value)
            } else {
                value
            };
            row(what, value, intrusion.to.source.as_ref(), sources);
        }
    }
    for (name, side) in [
        say!(words, "data-outside-length"),
        say!(words, "data-outside-width"),
        say!(words, "data-outside-height"),
    ]
    .into_iter()
    .zip(&shell.outside)
    {
        row(name, side.to_string(), side.source.as_ref(), sources);
    }
    row(
        say!(words, "data-empty-mass"),
        shell.empty_mass.to_string(),
        shell.empty_mass.source.as_ref(),
        sources,
    );
    let ledger: Vec<Value> = shell
        .volume_ledger()
        .into_iter()
        .map(|(cause, lost)| json!([capital(&words.told(&cause)), signed(words, -lost.as_litres())]))
        .collect();
    let (base, lid) = (
        shell.usable_volume(HalfSide::Base),
        shell.usable_volume(HalfSide::Lid),
    );
    let nominal = shell.nominal_volume();
    let usable = base.as_litres() + lid.as_litres();
    let share = if nominal.as_litres() > 0.0 {
        100.0 * usable / nominal.as_litres()
    } else {
        0.0
    };
    let record = &shell.record;
    let fittings: Vec<Value> = FittingGroup::ALL
        .into_iter()
        .flat_map(|group| {
            let of_group = shell.fittings.iter().filter(move |f| f.group == group);
            of_group.enumerate().map(move |(index, f)| {
                let head = if index == 0 {
                    words.one_of("fittings", group.words())
                } else {
                    String::new()
                };
                json!([head, f.count.to_string(), f.name, fitting_state(words, f)])
            })
        })
        .collect();
    json!({
        "title": shell.title,
        "record": say!(
            words,
            "data-record",
            sample = said(words, &record.sample),
            mould = said(words, &record.mould_revision),
            by = said(words, &record.measured_by),
            on = said(words, &record.measured_on),
        ),
        "rows": rows,
        "nominal": words.number(nominal.as_litres(), 2),
        "ledger": ledger,
        "usable": words.number(usable, 2),
        "usable_words": say!(
            words,
            "data-usable",
            base = words.figures(&base.to_string()),
            lid = words.figures(&lid.to_string()),
            share = words.number(share, 0),
            nominal = words.figures(&nominal.to_string()),
        ),
        "fittings": fittings,
        "fitting_words": fitting_words(words, shell),
    })
}

fn fitting_state(words: &Words, fitting: &Fitting) -> String {
    let mut said = vec![capital(&words.told(&fitting.condition()))];
    if let Some(height) = &fitting.grip_height {
        said.push(say!(
            words,
            "data-grip",
            height = words.figures(&height.to_string())
        ));
    }
    if !fitting.note.is_empty() {
        said.push(fitting.note.clone());
    }
    said.extend(fitting.callouts.iter().map(|callout| {
        say!(
            words,
            "data-see",
            number = callout.number,
            photo = callout.photo.as_str()
        )
    }));
    said.join("; ")
}

/// What the fittings add up to for the customer's questions.
fn fitting_words(words: &Words, shell: &Shell) -> Vec<String> {
    let mut said: Vec<String> = shell
        .unlocked_spans()
        .into_iter()
        .map(|span| {
            say!(
                words,
                "data-span",
                ends = words.told(&span.held_by),
                length = words.number(span.length.as_mm(), 0),
                x = words.number(span.middle.x * 1e3, 0),
                y = words.number(span.middle.y * 1e3, 0),
            )
        })
        .collect();
    said.push(match &shell.stacking_rating {
        Some(rating) => say!(
            words,
            "data-stacking",
            rating = words.figures(&rating.to_string())
        ),
        None => say!(words, "data-no-stacking"),
    });
    said
}

/// Two decimals, and no minus before nought.
fn signed(words: &Words, value: f64) -> String {
    let text = format!("{value:.2}");
    let text = if text == "-0.00" { "0.00" } else { &text };
    words.figures(text).replace('-', "−")
}

fn half_rows(words: &Words, name: &str, half: &ShellHalf, row: &mut dyn FnMut(String, &Measured<Length>)) {
    row(say!(words, "data-opening-length", half = name), &half.rim.length);
    row(say!(words, "data-opening-width", half = name), &half.rim.width);
    row(
        say!(words, "data-opening-radius", half = name),
        &half.rim.corner_radius,
    );
    let [length, width, radius, fillet] = if half.side == HalfSide::Base {
        [
            say!(words, "data-floor-length", half = name),
            say!(words, "data-floor-width", half = name),
            say!(words, "data-floor-radius", half = name),
            say!(words, "data-floor-fillet", half = name),
        ]
    } else {
        [
            say!(words, "data-crown-length", half = name),
            say!(words, "data-crown-width", half = name),
            say!(words, "data-crown-radius", half = name),
            say!(words, "data-crown-fillet", half = name),
        ]
    };
    row(length, &half.floor.length);
    row(width, &half.floor.width);
    row(radius, &half.floor.corner_radius);
    row(say!(words, "data-depth", half = name), &half.depth);
    row(fillet, &half.fillet);
}

fn said(words: &Words, text: &str) -> String {
    if text.trim().is_empty() {
        say!(words, "data-not-stated")
    } else {
        text.to_owned()
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
