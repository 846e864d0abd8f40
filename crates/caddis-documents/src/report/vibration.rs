//! Vibration in the report: the legs' spectra with what reaches the items, and a line for each item.

use super::PaperInput;
use super::figures::Figures;
use super::sources::Sources;
use crate::Words;
use crate::drawing::{SpectrumCurve, spectrum_plot};
use crate::words::say;
use caddis_basis::Frequency;
use caddis_design::VibrationVerdict;
use caddis_protection::vibration::{
    Oscillator, Spectrum, USUAL_AMPLIFICATION, USUAL_NATURAL_FREQUENCY, usual_range_words,
};
use serde_json::{Value, json};

/// Curves of one plot besides the floor's: more would hide each other.
const CURVES: usize = 3;

/// One plot for each leg that states a spectrum.
pub(super) fn figures(input: &PaperInput, figures: &mut Figures) {
    let (verdicts, words) = (&input.verification.vibration, input.words);
    for (index, leg) in input.brief.vibration.legs.iter().enumerate() {
        let label = label(input, leg.leg);
        let mut curves: Vec<(String, Spectrum)> = known(words, verdicts, index)
            .into_iter()
            .filter_map(|(name, o)| Some((name, o.response_spectrum(&leg.spectrum).ok()?)))
            .collect();
        if curves.is_empty() {
            curves = usual(words, &leg.spectrum);
        }
        let marks: Vec<(String, Frequency)> = verdicts
            .iter()
            .filter_map(|verdict| Some((verdict, verdict.legs.get(index)?)))
            .flat_map(|(verdict, leg)| leg.resonances.iter().map(move |seen| (verdict, seen)))
            .map(|(verdict, seen)| {
                (
                    say!(
                        words,
                        "figure-resonance",
                        number = verdict.number,
                        frequency = format!("{:.0}", seen.resonance.frequency),
                    ),
                    seen.resonance.frequency,
                )
            })
            .collect();
        let floor = say!(
            words,
            "figure-floor",
            level = words.number(leg.spectrum.overall().as_g(), 2)
        );
        let drawn: Vec<SpectrumCurve<'_>> = curves
            .iter()
            .map(|(name, spectrum)| SpectrumCurve { name, spectrum })
            .collect();
        let sheet = spectrum_plot(
            input.words,
            &say!(
                words,
                "figure-leg",
                number = leg.leg + 1,
                leg = label,
                spectrum = words.told(&leg.spectrum.title),
            ),
            SpectrumCurve {
                name: &floor,
                spectrum: &leg.spectrum,
            },
            &drawn,
            &marks,
        );
        let figure = figures.add(format!("figures/vibration-{}.svg", index + 1), &sheet);
        figures.vibration.push(figure);
    }
}

fn label(input: &PaperInput, leg: usize) -> String {
    input
        .brief
        .journey
        .legs
        .get(leg)
        .map_or_else(String::new, |leg| leg.label.clone())
}

/// The items whose cushion is known with the highest levels on a leg, one for each kind.
fn known(words: &Words, verdicts: &[VibrationVerdict], leg: usize) -> Vec<(String, Oscillator)> {
    let mut list: Vec<(f64, &VibrationVerdict, Oscillator)> = verdicts
        .iter()
        .filter_map(|verdict| {
            let level = verdict.legs.get(leg)?.response?.level.as_g();
            Some((level, verdict, verdict.oscillator?))
        })
        .collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.number.cmp(&b.1.number)));
    let mut seen: Vec<&str> = Vec::new();
    list.retain(|(_, verdict, _)| {
        let kind = verdict.instance.item.as_str();
        let is_new = !seen.contains(&kind);
        seen.push(kind);
        is_new
    });
    list.into_iter()
        .take(CURVES)
        .map(|(level, verdict, o)| {
            (
                (say!(
                    words,
                    "figure-item",
                    number = verdict.number,
                    level = words.number(level, 2)
                )),
                o,
            )
        })
        .collect()
}

/// The ends of the usual range of cushions, at the higher amplification.
fn usual(words: &Words, spectrum: &Spectrum) -> Vec<(String, Spectrum)> {
    [USUAL_NATURAL_FREQUENCY.0, USUAL_NATURAL_FREQUENCY.1]
        .into_iter()
        .filter_map(|natural| {
            let o = Oscillator::of_amplification(natural, USUAL_AMPLIFICATION.1).ok()?;
            let level = o.response(spectrum).level.as_g();
            Some((
                say!(
                    words,
                    "figure-usual",
                    frequency = format!("{natural:.0}"),
                    times = words.number(USUAL_AMPLIFICATION.1, 0),
                    level = words.number(level, 2),
                ),
                o.response_spectrum(spectrum).ok()?,
            ))
        })
        .collect()
}

/// The words and numbers.
pub(super) fn data(input: &PaperInput, figures: &Figures, sources: &mut Sources<'_>) -> Value {
    let (verdicts, words) = (&input.verification.vibration, input.words);
    let legs: Vec<Value> = input
        .brief
        .vibration
        .legs
        .iter()
        .map(|leg| {
            json!([
                say!(
                    words,
                    "data-named",
                    leg = label(input, leg.leg),
                    spectrum = words.told(&leg.spectrum.title)
                ),
                words.number(leg.spectrum.overall().as_g(), 2),
                words.number(leg.duration.si() / 3600.0, 1),
                sources.cite(&leg.spectrum.source),
            ])
        })
        .collect();
    let data = input
        .brief
        .vibration
        .foams
        .get(input.brief.base_foam)
        .and_then(Option::as_ref);
    let note = match data {
        Some(data) => say!(words, "data-stiffness", source = sources.cite(&data.source)),
        None => say!(
            words,
            "data-no-stiffness",
            range = words.told(&usual_range_words())
        ),
    };
    let items = item_rows(words, verdicts);
    let mut resonances: Vec<Value> = Vec::new();
    for verdict in verdicts {
        for leg in &verdict.legs {
            for seen in &leg.resonances {
                let number = |value: Option<f64>, digits: usize| {
                    value.map_or_else(|| "–".to_owned(), |v| words.number(v, digits))
                };
                let exposure = seen.exposure;
                resonances.push(json!([
                    verdict.number.to_string(),
                    format!("{}, {}", verdict.name, leg.label),
                    format!("{:.0}", seen.resonance.frequency.si()),
                    words.number(seen.resonance.amplification, 0),
                    number(exposure.map(|e| e.cushion_passes), 2),
                    number(exposure.map(|e| e.design_peak().as_g()), 2),
                    number(seen.resonance.limit.map(caddis_basis::Acceleration::as_g), 1),
                    exposure.and_then(|e| e.at_risk).map_or_else(
                        || say!(words, "data-not-known"),
                        |time| say!(words, "data-seconds", time = words.number(time.si(), 1)),
                    ),
                ]));
            }
        }
    }
    json!({
        "legs": legs,
        "note": note,
        "figures": figures.vibration.iter().map(|f| json!({ "path": f.path, "title": f.title })).collect::<Vec<_>>(),
        "items": items,
        "resonances": resonances,
        "settling": settling(words, verdicts),
    })
}

/// A row for each finding, its items listed: where nothing is measured, one sentence holds for all of them.
fn item_rows(words: &Words, verdicts: &[VibrationVerdict]) -> Vec<Value> {
    struct Row {
        numbers: Vec<String>,
        names: Vec<String>,
        verdict: &'static str,
        words: String,
    }
    let mut rows: Vec<Row> = Vec::new();
    for verdict in verdicts {
        let sentence = match &verdict.shock {
            Some(shock) => say!(
                words,
                "data-boundary",
                sentence = words.told(&verdict.sentence),
                shock = words.told(&shock.sentence)
            ),
            None => words.told(&verdict.sentence),
        };
        let (number, name) = (verdict.number.to_string(), verdict.name.clone());
        let verdict = verdict.verdict.words();
        if let Some(row) = rows
            .iter_mut()
            .find(|row| row.verdict == verdict && row.words == sentence)
        {
            row.numbers.push(number);
            if !row.names.contains(&name) {
                row.names.push(name);
            }
        } else {
            rows.push(Row {
                numbers: vec![number],
                names: vec![name],
                verdict,
                words: sentence,
            });
        }
    }
    rows.into_iter()
        .map(|row| {
            json!([
                row.numbers.join(", "),
                row.names.join("; "),
                row.verdict,
                row.words
            ])
        })
        .collect()
}

/// The settling words of the item that presses hardest.
fn settling(words: &Words, verdicts: &[VibrationVerdict]) -> String {
    verdicts
        .iter()
        .max_by(|a, b| {
            a.static_stress
                .si()
                .total_cmp(&b.static_stress.si())
                .then(b.number.cmp(&a.number))
        })
        .map_or_else(String::new, |verdict| {
            say!(
                words,
                "data-settling",
                item = verdict.name.as_str(),
                number = verdict.number,
                settling = words.told(&verdict.settling),
            )
        })
}
