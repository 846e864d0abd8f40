//! The test plan: what to do with the packed case, with boxes for what comes out.

use crate::date::ymd;
use crate::press::Job;
use crate::report::capital;
use crate::words::say;
use crate::{Document, DocumentError, Words};

use caddis_design::{Brief, Verification};
use caddis_journey::{CaseFace, ComparisonBand, HandlingSeverity, Landing, Prediction, TestPlan};
use caddis_protection::equivalent_height;
use caddis_protection::vibration::{Spectrum, published_spectra};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What the test plan prints.
#[derive(Debug, Clone, Copy)]
pub struct TestPlanInput<'a> {
    /// The question.
    pub brief: &'a Brief,
    /// What verification says of the design.
    pub verification: &'a Verification,
    /// What to test.
    pub plan: &'a TestPlan,
    /// What is calculated for it.
    pub predictions: &'a [Prediction],
    /// Whether the design is released; without it every page says NOT RELEASED.
    pub is_released: bool,
    /// The language.
    pub words: &'a Words,
    /// ISO date, year-month-day.
    pub date: &'a str,
    /// Revision of the job.
    pub revision: &'a str,
    /// Version of the program.
    pub version: &'a str,
}

/// Sets the test plan.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn test_plan_document(input: &TestPlanInput) -> Result<Document, DocumentError> {
    let mut files = BTreeMap::new();
    files.insert("data.json".to_owned(), data(input)?.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/test_plan.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} test plan", input.brief.job, input.revision, input.date),
    };
    job.document("test-plan.pdf")
}

fn data(input: &TestPlanInput) -> Result<Value, DocumentError> {
    let (plan, words) = (input.plan, input.words);
    let mm = |length: caddis_basis::Length| say!(words, "paper-mm", size = words.number(length.as_mm(), 0));
    let minutes = |time: caddis_basis::Duration| {
        say!(words, "test-minutes", minutes = words.number(time.si() / 60.0, 0))
    };
    let worst = |landing: &Landing| -> String {
        input
            .predictions
            .iter()
            .filter(|prediction| prediction.landing == *landing)
            .filter_map(|prediction| Some((prediction.peak?.as_g(), &prediction.item)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(
                || say!(words, "test-not-calculated"),
                |(peak, item)| {
                    say!(
                        words,
                        "test-peak",
                        peak = words.number(peak, 0),
                        item = item.as_str()
                    )
                },
            )
    };
    let drops: Vec<Value> = plan
        .drops
        .iter()
        .map(|step| {
            let landing = words.told(&step.landing.said());
            json!([
                step.number.to_string(),
                landing,
                mm(step.height),
                worst(&step.landing)
            ])
        })
        .collect();
    let vibration: Vec<Value> = plan
        .vibration
        .iter()
        .map(|step| {
            json!([
                step.leg,
                words.told(&step.axis),
                say!(words, "test-level-rms", level = words.number(step.level, 2)),
                minutes(step.time),
                words.told(&step.source.said())
            ])
        })
        .collect();
    let handling: Vec<Value> = plan
        .handling
        .iter()
        .map(|step| {
            let severity = match step.severity {
                HandlingSeverity::Raised(height) => mm(height),
                HandlingSeverity::Speed(speed) => say!(
                    words,
                    "test-speed",
                    speed = words.number(speed.si(), 2),
                    height = mm(equivalent_height(speed, 0.0)),
                ),
            };
            let faces: Vec<String> = step
                .faces
                .iter()
                .map(|face| words.one_of("face", face.words()))
                .collect();
            json!([
                words.told(&step.what),
                faces.join(", "),
                severity,
                words.told(&step.source.said())
            ])
        })
        .collect();
    let spectra = spectra(input)?;
    let compression: Vec<Value> = plan
        .compression
        .iter()
        .map(|step| {
            let load = step.load.si();
            let mass = load / caddis_basis::STANDARD_GRAVITY;
            json!([
                words.told(&step.what),
                say!(
                    words,
                    "test-newtons",
                    load = words.number(load, 0),
                    mass = words.number(mass, 0)
                ),
                words.told(&step.source.said())
            ])
        })
        .collect();
    let temperatures: Vec<Value> = plan
        .temperatures
        .iter()
        .map(|step| {
            json!([
                say!(
                    words,
                    "test-degrees",
                    degrees = words.number(step.temperature.as_celsius(), 0)
                ),
                step.leg
            ])
        })
        .collect();
    let altitude: Vec<Value> = plan
        .altitude
        .iter()
        .map(|step| {
            json!([
                words.told(&step.what),
                say!(words, "test-metres", metres = words.number(step.altitude.si(), 0)),
                minutes(step.hold),
                words.told(&step.source.said())
            ])
        })
        .collect();
    let ingress: Vec<Value> = plan
        .ingress
        .iter()
        .map(|test| {
            json!([
                words.told(&test.code),
                words.told(&test.condition),
                words.told(&test.source.said())
            ])
        })
        .collect();
    let band = ComparisonBand::default();
    let per_cent = |fraction: f64| words.number(fraction * 100.0, 0);
    Ok(json!({
        "job": input.brief.job,
        "title": input.brief.title,
        "customer": input.brief.customer,
        "case": input.brief.shell.title,
        "gross": words.figures(&input.verification.parcel.gross_mass.to_string()),
        "date": input.date,
        "revision": input.revision,
        "version": input.version,
        "released": input.is_released,
        "schedule": capital(&words.told(&plan.schedule)),
        "source": if plan.schedule.contains(plan.source.citation.as_str()) {
            words.told(&plan.source.certainty.said())
        } else {
            words.told(&plan.source.said())
        },
        "design_height": mm(input.brief.handling.drop_height.value),
        "design_source": words.told(&input.brief.handling.source.said()),
        "standard_height": mm(plan.standard_height),
        "manner": words.told(&plan.manner),
        "drops": drops,
        "faces": CaseFace::ALL.map(|face| words.one_of("face", face.words())),
        "items": items(input),
        "handling": handling,
        "vibration": vibration,
        "spectra": spectra,
        "compression": compression,
        "temperatures": temperatures,
        "altitude": altitude,
        "ingress": ingress,
        "cautions": plan.cautions.iter().map(|caution| words.told(caution)).collect::<Vec<_>>(),
        "band": [per_cent(band.low), per_cent(band.high)],
    }))
}

/// Break points of what the laboratory programs: the legs' own spectra, then, where a leg by road states none, the three axes of the
/// common carrier.
fn spectra(input: &TestPlanInput) -> Result<Vec<Value>, DocumentError> {
    let words = input.words;
    let points = |spectrum: &Spectrum| -> String {
        spectrum
            .points_in_g()
            .iter()
            .map(|(frequency, density)| words.figures(&format!("{frequency:.0} Hz {density:.2e}")))
            .collect::<Vec<_>>()
            .join("; ")
    };
    let mut out: Vec<Value> = input
        .brief
        .vibration
        .legs
        .iter()
        .map(|leg| {
            let label = input
                .brief
                .journey
                .legs
                .get(leg.leg)
                .map_or_else(String::new, |leg| leg.label.clone());
            json!([
                say!(
                    words,
                    "test-leg-spectrum",
                    number = leg.leg + 1,
                    leg = label,
                    spectrum = words.told(&leg.spectrum.title),
                ),
                say!(
                    words,
                    "test-level-rms",
                    level = words.number(leg.spectrum.overall().as_g(), 2)
                ),
                points(&leg.spectrum),
            ])
        })
        .collect();
    let legs = &input.brief.vibration.legs;
    let is_carried = input.brief.journey.legs.iter().enumerate().any(|(index, leg)| {
        matches!(
            leg.kind,
            caddis_journey::LegKind::CourierRoad | caddis_journey::LegKind::PalletFreight
        ) && legs.iter().all(|stated| stated.leg != index)
    });
    if !is_carried {
        return Ok(out);
    }
    let carrier = published_spectra().map_err(|error| DocumentError::Mismatch(error.to_string()))?;
    out.extend(
        carrier
            .iter()
            .filter(|published| published.name.starts_with("common-carrier"))
            .map(|published| {
                json!([
                    words.told(&published.spectrum.title),
                    say!(
                        words,
                        "test-level-rms",
                        level = words.number(published.spectrum.overall().as_g(), 2)
                    ),
                    points(&published.spectrum),
                ])
            }),
    );
    Ok(out)
}

/// Each item with its calculated peak on each face and what it bears.
fn items(input: &TestPlanInput) -> Vec<Value> {
    let words = input.words;
    let mut rows: Vec<Value> = Vec::new();
    for item in input
        .verification
        .items
        .iter()
        .filter(|item| !item.directions.is_empty())
    {
        let instance = item.instance.to_string();
        let of_item = || {
            input
                .predictions
                .iter()
                .filter(|prediction| prediction.item == instance)
        };
        let peaks: Vec<String> = CaseFace::ALL
            .iter()
            .map(|&face| {
                of_item()
                    .find(|prediction| prediction.landing == Landing::on(face))
                    .map_or_else(String::new, |prediction| {
                        prediction.peak.map_or_else(
                            || say!(words, "test-bottoms"),
                            |peak| words.number(peak.as_g(), 0),
                        )
                    })
            })
            .collect();
        let limit = of_item().find_map(|prediction| prediction.limit).map_or_else(
            || say!(words, "test-not-known"),
            |limit| words.number(limit.as_g(), 0),
        );
        rows.push(json!({ "item": instance, "name": item.name, "peaks": peaks, "limit": limit }));
    }
    rows
}
