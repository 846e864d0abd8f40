//! The journey on its page: what stands against each leg, what the legs share, what the job does not state.

use super::PaperInput;
use super::sources::Sources;
use crate::words::say;
use caddis_basis::{Severity, Verdict};
use caddis_journey::{SpaceKind, SummaryRow, handling_limits, journey_summary, load_fit, marks_to_print};
use serde_json::{Value, json};

/// What the template prints of the journey.
pub(super) fn journey(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let words = input.words;
    let journey = &input.brief.journey;
    let parcel = &input.verification.parcel;
    let summary = journey_summary(journey, &input.verification.legs);
    let numbers = |legs: &[usize]| {
        let list: Vec<String> = legs.iter().map(|leg| (leg + 1).to_string()).collect();
        list.join(", ")
    };
    let mut row = |row: &SummaryRow| {
        let rule = words.one_of("rule", row.rule);
        let rule = match &row.part {
            Some(part) => format!("{rule}, {}", words.told(part)),
            None => rule,
        };
        let remedy = match row.severity {
            None | Some(Severity::Note) if row.verdict != Verdict::Fails => String::new(),
            _ => words.told_if(row.remedy.as_ref()),
        };
        json!([
            rule,
            row.verdict.words(),
            words.told(&row.sentence),
            row.margin
                .as_ref()
                .map_or_else(String::new, |margin| words.told(&margin.said())),
            sources.cite(&row.source),
            remedy,
            numbers(&row.legs),
        ])
    };
    let shared: Vec<Value> = summary.shared.iter().map(&mut row).collect();
    let legs: Vec<Value> = summary
        .legs
        .iter()
        .enumerate()
        .map(|(index, leg)| {
            json!({
                "number": (index + 1).to_string(),
                "title": words.told(&leg.title),
                "fails": leg.fails.to_string(),
                "passes": leg.passes.to_string(),
                "open": leg.open.to_string(),
                "rows": leg.rows.iter().map(&mut row).collect::<Vec<_>>(),
            })
        })
        .collect();
    let not_stated: Vec<Value> = summary
        .not_stated
        .iter()
        .map(|entry| {
            let rules: Vec<String> = entry
                .rules
                .iter()
                .map(|rule| words.one_of("rule", rule))
                .collect();
            json!([words.told(&entry.what), rules.join(", "), numbers(&entry.legs)])
        })
        .collect();
    let lifting: Vec<Value> = handling_limits(parcel, &journey.limits)
        .into_iter()
        .map(|limit| {
            json!([
                words.told(&limit.practice),
                limit.persons.to_string(),
                say!(words, "paper-kg", mass = words.number(limit.limit.si(), 1)),
                limit.verdict.words(),
                sources.cite(&limit.source),
            ])
        })
        .collect();
    let marks: Vec<Value> = marks_to_print(parcel, journey)
        .into_iter()
        .map(|mark| {
            let name = words.one_of("mark", mark.name);
            let name = match &mark.figure {
                Some(figure) => say!(words, "data-mark", mark = name, figure = words.told(figure)),
                None => name,
            };
            json!([
                mark.number.to_string(),
                name,
                words.told(&mark.why),
                sources.cite(&mark.source)
            ])
        })
        .collect();
    let loads: Vec<Value> = load_fit(
        parcel.largest_sides(),
        parcel.gross_mass.most(),
        journey.cases,
        &journey.limits,
    )
    .into_iter()
    .filter(|fit| fit.kind != SpaceKind::UnitLoadDevice || fit.cases > 0)
    .map(|fit| {
        json!([
            words.told(&fit.name),
            words.one_of("space", fit.kind.words()),
            if fit.by_mass {
                say!(words, "data-by-mass", count = fit.cases)
            } else {
                say!(words, "data-a-layer", count = fit.cases, layer = fit.per_layer)
            },
            fit.spaces
                .map_or_else(|| say!(words, "data-none-fits"), |spaces| spaces.to_string()),
            sources.cite(&fit.source),
        ])
    })
    .collect();
    json!({
        "title": journey.title,
        "loads_title": say!(words, "report-loads", count = journey.cases),
        "shared": shared,
        "legs": legs,
        "not_stated": not_stated,
        "lifting": lifting,
        "gross": say!(words, "paper-kg", mass = words.number(parcel.gross_mass.most().si(), 1)),
        "marks": marks,
        "loads": loads,
    })
}
