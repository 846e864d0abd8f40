//! Papers of the survey: what a shell offers and in what state it is, and the worksheet to measure one by.

pub(crate) mod rows;

use crate::date::ymd;
use crate::drawing::{clear_sizes_plot, depth_map_plot, worksheet_picture};
use crate::photo;
use crate::press::Job;
use crate::svg::svg;
use crate::words::say;
use crate::{Document, DocumentError, Words};
use caddis_basis::{BenchUnit, Finding, Length};
use caddis_survey::{ClearSize, DepthMap, FittingGroup, HalfSide, Shell};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What the survey's paper prints.
#[derive(Debug, Clone)]
pub struct SurveyInput<'a> {
    /// The shell.
    pub shell: &'a Shell,
    /// What its survey says against itself.
    pub findings: &'a [Finding],
    /// Clear depth of the base and closed.
    pub maps: [&'a DepthMap; 2],
    /// The largest blocks and cylinders: closed, and in the base alone.
    pub clear: [&'a [ClearSize]; 2],
    /// Photos that the survey names, PNG or JPEG, by the name it gives them.
    pub photos: &'a BTreeMap<String, Vec<u8>>,
    /// The language.
    pub words: &'a Words,
    /// ISO date.
    pub date: &'a str,
    /// Version of the program.
    pub version: &'a str,
}

/// Sets the survey's paper: figures with ± and source, volume ledger, maps, curves, condition and fittings, photos.
///
/// # Errors
/// A date that is none; a photo that is neither PNG nor JPEG; a template that does not fit its data.
pub fn survey_paper(input: &SurveyInput) -> Result<Document, DocumentError> {
    let (shell, words) = (input.shell, input.words);
    let mut files = BTreeMap::new();
    for (name, sheet) in [
        ("depth-base.svg", depth_map_plot(words, shell, input.maps[0])),
        ("depth-closed.svg", depth_map_plot(words, shell, input.maps[1])),
        (
            "clear-sizes.svg",
            clear_sizes_plot(words, shell, input.clear[0], input.clear[1]),
        ),
    ] {
        files.insert(name.to_owned(), svg(&sheet).into_bytes());
    }
    let photos = photo::placed(shell, input.photos, &mut files)?;
    let volumes = volumes(words, shell);
    let data = json!({
        "title": shell.title,
        "name": shell.name,
        "date": input.date,
        "version": input.version,
        "record": [
            [say!(words, "survey-sample"), said(words, &shell.record.sample)],
            [say!(words, "survey-mould"), said(words, &shell.record.mould_revision)],
            [say!(words, "survey-by"), said(words, &shell.record.measured_by)],
            [say!(words, "survey-on"), said(words, &shell.record.measured_on)],
            [say!(words, "survey-source"), words.told(&shell.source.said())],
        ],
        "volumes": volumes,
        "readings": readings(words, shell),
        "findings": input
            .findings
            .iter()
            .map(|f| json!([words.one_of("severity", &f.severity.to_string()), words.told(&f.place), words.told(&f.sentence), words.told_if(f.remedy.as_ref())]))
            .collect::<Vec<_>>(),
        "groups": groups(words, shell),
        "spans": shell
            .unlocked_spans()
            .into_iter()
            .map(|span| say!(
                words,
                "survey-span",
                ends = words.told(&span.held_by),
                length = words.figures(&unit(shell).print(span.length)),
            ))
            .collect::<Vec<_>>(),
        "stacking": shell.stacking_rating.as_ref().map_or_else(
            || say!(words, "survey-no-stacking"),
            |rating| say!(words, "survey-stacking", rating = words.figures(&rating.to_string())),
        ),
        "photos": photos,
    });
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("../typst/survey.typ"),
        words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} survey", shell.name, input.date),
    };
    job.document("survey.pdf")
}

/// Sets the worksheet: what to measure, where and with what, with places to write; with a shell also what its survey says.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn worksheet(
    words: &Words,
    shell: Option<&Shell>,
    date: &str,
    version: &str,
) -> Result<Document, DocumentError> {
    let data = json!({
        "title": shell.map_or_else(|| say!(words, "worksheet-shell"), |shell| shell.title.clone()),
        "name": shell.map_or("", |shell| shell.name.as_str()),
        "date": date,
        "version": version,
        "groups": rows::groups(words, shell),
        "intrusions": rows::intrusions(words, shell),
        "fittings": rows::fittings(words, shell),
        "has_shell": shell.is_some(),
    });
    let files = BTreeMap::from([
        ("data.json".to_owned(), data.to_string().into_bytes()),
        (
            "picture.svg".to_owned(),
            svg(&worksheet_picture(words)).into_bytes(),
        ),
    ]);
    let job = Job {
        main: include_str!("../typst/worksheet.typ"),
        words,
        files,
        date: ymd(date)?,
        ident: format!(
            "worksheet {} {date}",
            shell.map_or("blank", |shell| shell.name.as_str())
        ),
    };
    job.document("worksheet.pdf")
}

/// The bench's unit.
fn unit(shell: &Shell) -> BenchUnit {
    shell.record.bench_unit.unwrap_or(BenchUnit::Millimetre)
}

fn said(words: &Words, text: &str) -> String {
    if text.is_empty() {
        say!(words, "survey-not-stated")
    } else {
        text.to_owned()
    }
}

/// Every number; a source only where it is not the survey's own.
fn readings(words: &Words, shell: &Shell) -> Vec<Value> {
    let own = shell.source.to_string();
    shell
        .readings()
        .into_iter()
        .map(|reading| {
            let source = if reading.source == own {
                String::new()
            } else {
                reading.source
            };
            let band = reading
                .plus_minus
                .map_or_else(|| say!(words, "survey-not-stated"), |band| words.figures(&band));
            json!([
                words.told(&reading.of),
                words.told(&reading.what),
                words.figures(&reading.value),
                band,
                source
            ])
        })
        .collect()
}

/// The ledger from the nominal box to what is left.
fn volumes(words: &Words, shell: &Shell) -> Vec<Value> {
    let litres = |volume: caddis_basis::Volume| words.number(volume.as_litres(), 3);
    let mut rows = vec![json!([
        if shell.nominal_inside.is_some() {
            say!(words, "survey-nominal")
        } else {
            say!(words, "survey-no-nominal")
        },
        litres(shell.nominal_volume()),
        true
    ])];
    for (cause, volume) in shell.volume_ledger() {
        let lost = volume.as_litres();
        rows.push(json!([
            words.told(&cause),
            words.figures(&format!("{:+.3}", if lost == 0.0 { 0.0 } else { -lost })),
            false
        ]));
    }
    let usable = shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid);
    rows.push(json!([say!(words, "survey-usable"), litres(usable), true]));
    rows
}

/// Fittings by what a customer asks.
fn groups(words: &Words, shell: &Shell) -> Vec<Value> {
    FittingGroup::ALL
        .into_iter()
        .map(|group| {
            let rows: Vec<Value> = shell
                .fittings
                .iter()
                .filter(|fitting| fitting.group == group)
                .map(|fitting| {
                    let yes = |said: Option<bool>| match said {
                        None => say!(words, "survey-not-stated"),
                        Some(true) => say!(words, "survey-yes"),
                        Some(false) => say!(words, "survey-no"),
                    };
                    let mut remarks = Vec::new();
                    if let Some(height) = &fitting.grip_height {
                        let length = |length: Length| words.figures(&unit(shell).print(length));
                        remarks.push(say!(words, "survey-grip", height = length(height.value)));
                    }
                    if !fitting.note.is_empty() {
                        remarks.push(fitting.note.clone());
                    }
                    let seen: Vec<String> = fitting
                        .callouts
                        .iter()
                        .map(|callout| {
                            say!(
                                words,
                                "survey-seen",
                                number = callout.number,
                                photo = callout.photo.as_str()
                            )
                        })
                        .collect();
                    json!([
                        format!("{} × {}", fitting.count, fitting.name),
                        words.one_of("fitting", fitting.state.words()),
                        yes(fitting.is_wear_part),
                        yes(fitting.is_field_replaceable),
                        seen.join(", "),
                        remarks.join("; "),
                    ])
                })
                .collect();
            json!({
                "kind": group.words(),
                "title": words.one_of("fittings", group.words()),
                "rows": rows
            })
        })
        .collect()
}
