//! Vibration in the report: the legs' spectra with what reaches the items, and a line for each item.

use super::PaperInput;
use super::figures::Figures;
use super::sources::Sources;
use crate::drawing::{SpectrumCurve, spectrum_plot};
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
    let verdicts = &input.verification.vibration;
    for (index, leg) in input.brief.vibration.legs.iter().enumerate() {
        let label = label(input, leg.leg);
        let mut curves: Vec<(String, Spectrum)> = known(verdicts, index)
            .into_iter()
            .filter_map(|(name, o)| Some((name, o.response_spectrum(&leg.spectrum).ok()?)))
            .collect();
        if curves.is_empty() {
            curves = usual(&leg.spectrum);
        }
        let marks: Vec<(String, Frequency)> = verdicts
            .iter()
            .filter_map(|verdict| Some((verdict, verdict.legs.get(index)?)))
            .flat_map(|(verdict, leg)| leg.resonances.iter().map(move |seen| (verdict, seen)))
            .map(|(verdict, seen)| {
                (
                    format!("no {} {:.0}", verdict.number, seen.resonance.frequency),
                    seen.resonance.frequency,
                )
            })
            .collect();
        let floor = format!("floor, {:.2} G rms", leg.spectrum.overall().as_g());
        let drawn: Vec<SpectrumCurve<'_>> = curves
            .iter()
            .map(|(name, spectrum)| SpectrumCurve { name, spectrum })
            .collect();
        let sheet = spectrum_plot(
            input.words,
            &format!("Leg {}, {label}: {}", leg.leg + 1, leg.spectrum.title),
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
fn known(verdicts: &[VibrationVerdict], leg: usize) -> Vec<(String, Oscillator)> {
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
        .map(|(level, verdict, o)| (format!("no {}, {level:.2} G rms", verdict.number), o))
        .collect()
}

/// The ends of the usual range of cushions, at the higher amplification.
fn usual(spectrum: &Spectrum) -> Vec<(String, Spectrum)> {
    [USUAL_NATURAL_FREQUENCY.0, USUAL_NATURAL_FREQUENCY.1]
        .into_iter()
        .filter_map(|natural| {
            let o = Oscillator::of_amplification(natural, USUAL_AMPLIFICATION.1).ok()?;
            let level = o.response(spectrum).level.as_g();
            Some((
                format!("on {natural:.0}, ×{:.0}: {level:.2} G rms", USUAL_AMPLIFICATION.1),
                o.response_spectrum(spectrum).ok()?,
            ))
        })
        .collect()
}

/// The words and numbers.
pub(super) fn data(input: &PaperInput, figures: &Figures, sources: &mut Sources) -> Value {
    let verdicts = &input.verification.vibration;
    let legs: Vec<Value> = input
        .brief
        .vibration
        .legs
        .iter()
        .map(|leg| {
            json!([
                format!("{}: {}", label(input, leg.leg), leg.spectrum.title),
                format!("{:.2}", leg.spectrum.overall().as_g()),
                format!("{:.1}", leg.duration.si() / 3600.0),
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
        Some(data) => format!(
            "How stiff that foam is to small motion was measured: {}. An item whose resonances nobody states is not known.",
            sources.cite(&data.source)
        ),
        None => format!(
            "No dynamic modulus or transmissibility of that foam is in hand, so no natural frequency is known; the broken lines \
             show what cushions do {}.",
            usual_range_words()
        ),
    };
    let items = item_rows(verdicts);
    let mut resonances: Vec<Value> = Vec::new();
    for verdict in verdicts {
        for leg in &verdict.legs {
            for seen in &leg.resonances {
                let number = |value: Option<f64>, digits: usize| {
                    value.map_or_else(|| "–".to_owned(), |v| format!("{v:.digits$}"))
                };
                let exposure = seen.exposure;
                resonances.push(json!([
                    verdict.number.to_string(),
                    format!("{}, {}", verdict.name, leg.label),
                    format!("{:.0}", seen.resonance.frequency.si()),
                    format!("{:.0}", seen.resonance.amplification),
                    number(exposure.map(|e| e.cushion_passes), 2),
                    number(exposure.map(|e| e.design_peak().as_g()), 2),
                    number(seen.resonance.limit.map(caddis_basis::Acceleration::as_g), 1),
                    exposure
                        .and_then(|e| e.at_risk)
                        .map_or_else(|| "not known".to_owned(), |time| format!("{:.1} s", time.si())),
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
        "settling": settling(verdicts),
    })
}

/// A row for each finding, its items listed: where nothing is measured, one sentence holds for all of them.
fn item_rows(verdicts: &[VibrationVerdict]) -> Vec<Value> {
    struct Row {
        numbers: Vec<String>,
        names: Vec<String>,
        verdict: &'static str,
        words: String,
    }
    let mut rows: Vec<Row> = Vec::new();
    for verdict in verdicts {
        let words = match &verdict.shock {
            Some(shock) => format!("{}. Damage boundary: {}", verdict.sentence, shock.sentence),
            None => verdict.sentence.clone(),
        };
        let (number, name) = (verdict.number.to_string(), verdict.name.clone());
        let verdict = verdict.verdict.words();
        if let Some(row) = rows
            .iter_mut()
            .find(|row| row.verdict == verdict && row.words == words)
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
                words,
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
fn settling(verdicts: &[VibrationVerdict]) -> String {
    verdicts
        .iter()
        .max_by(|a, b| {
            a.static_stress
                .si()
                .total_cmp(&b.static_stress.si())
                .then(b.number.cmp(&a.number))
        })
        .map_or_else(String::new, |verdict| {
            format!(
                "Settling, {} (no {}): {}.",
                verdict.name, verdict.number, verdict.settling
            )
        })
}
