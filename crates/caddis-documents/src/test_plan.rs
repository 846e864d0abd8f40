//! The test plan: what to do with the packed case, with boxes for what comes out.

use crate::date::ymd;
use crate::press::Job;
use crate::report::capital;
use crate::{Document, DocumentError};
use caddis_basis::Source;
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
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} test plan", input.brief.job, input.revision, input.date),
    };
    job.document("test-plan.pdf")
}

fn data(input: &TestPlanInput) -> Result<Value, DocumentError> {
    let plan = input.plan;
    let mm = |length: caddis_basis::Length| format!("{:.0} mm", length.as_mm());
    let minutes = |time: caddis_basis::Duration| format!("{:.0} min", time.si() / 60.0);
    let worst = |landing: &Landing| -> String {
        input
            .predictions
            .iter()
            .filter(|prediction| prediction.landing == *landing)
            .filter_map(|prediction| Some((prediction.peak?.as_g(), &prediction.item)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(
                || "not calculated".to_owned(),
                |(peak, item)| format!("{peak:.0} G, {item}"),
            )
    };
    let drops: Vec<Value> = plan
        .drops
        .iter()
        .map(|step| {
            let landing = step.landing.to_string();
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
                step.axis,
                format!("{:.2} G rms", step.level),
                minutes(step.time),
                step.source.to_string()
            ])
        })
        .collect();
    let handling: Vec<Value> = plan
        .handling
        .iter()
        .map(|step| {
            let severity = match step.severity {
                HandlingSeverity::Raised(height) => mm(height),
                HandlingSeverity::Speed(speed) => format!(
                    "{:.2} m/s, as a fall of {}",
                    speed.si(),
                    mm(equivalent_height(speed, 0.0))
                ),
            };
            let faces: Vec<&str> = step.faces.iter().map(|face| face.words()).collect();
            json!([step.what, faces.join(", "), severity, step.source.to_string()])
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
                step.what,
                format!("{load:.0} N ({mass:.0} kg)"),
                step.source.to_string()
            ])
        })
        .collect();
    let temperatures: Vec<Value> = plan
        .temperatures
        .iter()
        .map(|step| json!([format!("{:.0} degC", step.temperature.as_celsius()), step.leg]))
        .collect();
    let altitude: Vec<Value> = plan
        .altitude
        .iter()
        .map(|step| {
            json!([
                step.what,
                format!("{:.0} m", step.altitude.si()),
                minutes(step.hold),
                step.source.to_string()
            ])
        })
        .collect();
    let ingress: Vec<Value> = plan
        .ingress
        .iter()
        .map(|test| json!([test.code, test.condition, test.source.to_string()]))
        .collect();
    let band = ComparisonBand::default();
    let per_cent = |fraction: f64| format!("{:.0} %", fraction * 100.0);
    Ok(json!({
        "job": input.brief.job,
        "title": input.brief.title,
        "customer": input.brief.customer,
        "case": input.brief.shell.title,
        "gross": input.verification.parcel.gross_mass.to_string(),
        "date": input.date,
        "revision": input.revision,
        "version": input.version,
        "released": input.is_released,
        "schedule": capital(&plan.schedule),
        "source": if plan.schedule.contains(&plan.source.citation) {
            plan.source.certainty.to_string()
        } else {
            plan.source.to_string()
        },
        "design_height": mm(input.brief.handling.drop_height.value),
        "design_source": source(&input.brief.handling.source),
        "standard_height": mm(plan.standard_height),
        "manner": plan.manner,
        "drops": drops,
        "faces": CaseFace::ALL.map(CaseFace::words),
        "items": items(input),
        "handling": handling,
        "vibration": vibration,
        "spectra": spectra,
        "compression": compression,
        "temperatures": temperatures,
        "altitude": altitude,
        "ingress": ingress,
        "cautions": plan.cautions,
        "band": format!("{} to {}", per_cent(band.low), per_cent(band.high)),
    }))
}

/// Break points of what the laboratory programs: the legs' own spectra, then, where a leg by road states none, the three axes of the
/// common carrier.
fn spectra(input: &TestPlanInput) -> Result<Vec<Value>, DocumentError> {
    let points = |spectrum: &Spectrum| -> String {
        spectrum
            .points_in_g()
            .iter()
            .map(|(frequency, density)| format!("{frequency:.0} Hz {density:.2e}"))
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
                format!("leg {}, {label}: {}", leg.leg + 1, leg.spectrum.title),
                format!("{:.2} G rms", leg.spectrum.overall().as_g()),
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
                    published.spectrum.title,
                    format!("{:.2} G rms", published.spectrum.overall().as_g()),
                    points(&published.spectrum),
                ])
            }),
    );
    Ok(out)
}

fn source(source: &Source) -> String {
    source.to_string()
}

/// Each item with its calculated peak on each face and what it bears.
fn items(input: &TestPlanInput) -> Vec<Value> {
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
                        prediction
                            .peak
                            .map_or_else(|| "bottoms".to_owned(), |peak| format!("{:.0}", peak.as_g()))
                    })
            })
            .collect();
        let limit = of_item()
            .find_map(|prediction| prediction.limit)
            .map_or_else(|| "not known".to_owned(), |limit| format!("{:.0}", limit.as_g()));
        rows.push(json!({ "item": instance, "name": item.name, "peaks": peaks, "limit": limit }));
    }
    rows
}
