//! The worst falls in the report: what items see in them, to what they are held from where, and what a sequence does.

use super::PaperInput;
use super::figures::Figures;
use super::sources::Sources;
use crate::Words;
use crate::drawing::{ShockCurves, shock_plot};
use crate::words::say;
use caddis_basis::Acceleration;
use caddis_design::ItemVerdict;
use serde_json::{Value, json};

/// Items drawn: those nearest their limits.
const DRAWN: usize = 2;

/// Histories and spectra of the items nearest their limits, in the order given.
pub(super) fn figures(words: &Words, items: &[(usize, &ItemVerdict)], figures: &mut Figures) {
    for (_, item) in items.iter().take(DRAWN) {
        let Some(falls) = &item.falls else { continue };
        let Some(shock) = &falls.shock else { continue };
        let names: Vec<String> = shock.traces.iter().map(|trace| words.told(&trace.name)).collect();
        let curves = ShockCurves {
            step: shock.step,
            histories: names
                .iter()
                .zip(&shock.traces)
                .map(|(name, trace)| (name.as_str(), trace.along.as_slice()))
                .collect(),
            spectrum: shock
                .spectrum
                .points
                .iter()
                .map(|point| (point.frequency, point.maximax()))
                .collect(),
            limit: item.directions.iter().find_map(|d| d.limit),
        };
        let title = say!(
            words,
            "figure-shock",
            number = item.number,
            item = item.name.as_str(),
            fall = words.told(&falls.worst.words),
            q = words.number(0.5 / shock.spectrum.damping, 0),
        );
        let figure = figures.add(
            format!("figures/shock-{}.svg", item.number),
            &shock_plot(words, &title, &curves),
        );
        figures.shocks.push(figure);
    }
}

pub(super) fn data(input: &PaperInput, figures: &Figures, sources: &mut Sources<'_>) -> Value {
    let (verification, words) = (input.verification, input.words);
    let g = |a: Acceleration| words.number(a.as_g(), 0);
    let rows: Vec<Value> = verification
        .items
        .iter()
        .filter_map(|item| {
            let falls = item.falls.as_ref()?;
            let held: Vec<String> = falls
                .held_from
                .iter()
                .map(|held| words.told(&held.words()))
                .collect();
            let shock = falls.shock.as_ref();
            let centre = shock.and_then(|shock| shock.traces.first());
            let points: Vec<String> = shock
                .iter()
                .flat_map(|shock| shock.traces.iter().skip(1))
                .map(|trace| {
                    format!(
                        "{} {}",
                        words.told(&trace.name),
                        say!(words, "deck-peak", peak = g(trace.peak))
                    )
                })
                .collect();
            Some(json!([
                item.number.to_string(),
                if points.is_empty() {
                    item.name.clone()
                } else {
                    format!("{} ({})", item.name, points.join(", "))
                },
                centre.map_or_else(|| "–".to_owned(), |trace| g(trace.peak)),
                centre.map_or_else(|| "–".to_owned(), |trace| g(trace.filtered)),
                shock.map_or_else(
                    || "–".to_owned(),
                    |shock| words.number(shock.velocity_change.si(), 1)
                ),
                shock.map_or_else(
                    || "–".to_owned(),
                    |shock| {
                        // A pulse that is not over when the simulation stops following it.
                        let time = words.number(shock.duration.si() * 1e3, 0);
                        if shock.duration.si() > 0.0395 {
                            say!(words, "data-over", time = time)
                        } else {
                            time
                        }
                    }
                ),
                held.join(", "),
            ]))
        })
        .collect();
    let sequence = verification.sequence.as_ref().map(|sequence| {
        json!({
            "title": say!(
                words,
                "data-drops",
                count = sequence.drops.len(),
                height = words.figures(&format!("{:.0}", sequence.height)),
                schedule = words.told(&sequence.schedule),
                source = sources.cite(&sequence.source),
            ),
            "assumptions": sequence.assumptions.iter().map(|one| words.told(one)).collect::<Vec<String>>(),
            "rows": sequence
                .items
                .iter()
                .map(|item| json!([item.number.to_string(), item.name, item.verdict.words(), words.told(&item.sentence)]))
                .collect::<Vec<Value>>(),
        })
    });
    json!({
        "rows": rows,
        "figures": figures.shocks.iter().map(|f| json!({ "path": f.path, "title": f.title })).collect::<Vec<Value>>(),
        "sequence": sequence,
    })
}
