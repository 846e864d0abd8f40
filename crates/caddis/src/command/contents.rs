//! `caddis contents JOB`; with `--shape`, `--list` or `--template` it looks at one file, or prints one.

use crate::arguments::ContentsOptions;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure, NOT_RELEASED};
use crate::stages::{Times, read};
use caddis_basis::{Severity, failing};
use caddis_files::{ContentsSection, Job, to_json};
use caddis_survey::{Fragility, Item};
use serde_json::json;
use std::fmt::Write;
use std::path::Path;

pub(crate) fn run(options: &ContentsOptions) -> Result<u8, Failure> {
    let json = options.output.json;
    if let Some(file) = &options.template {
        return super::list::template(file);
    }
    match (&options.job, &options.shape, &options.list) {
        (_, Some(shape), _) => super::shape::run(shape, options, json),
        (_, _, Some(list)) => super::list::run(list, json),
        (Some(job), None, None) => packing_list(job, options),
        (None, None, None) => Err(Failure::Use {
            problem: "there is nothing to look at".to_owned(),
            hint: "name a job folder, a shape file with --shape or a packing list with --list".to_owned(),
        }),
    }
}

fn packing_list(job: &Path, options: &ContentsOptions) -> Result<u8, Failure> {
    let job = read(job, &options.library, None, &mut Times::default())?;
    let findings: Vec<_> = job.brief.items.iter().flat_map(Item::check).collect();
    if options.output.json {
        print_json(&as_json(&job)?)?;
    } else {
        print(&as_text(&job))?;
    }
    crate::words::findings(&findings);
    for finding in findings.iter().filter(|f| f.severity == Severity::Caution) {
        eprintln!("  caution {}: {}", finding.code, finding.sentence);
    }
    Ok(if failing(&findings).next().is_some() {
        NOT_RELEASED
    } else {
        DONE
    })
}

fn fragility(item: &Item) -> String {
    match &item.fragility {
        Fragility::Known(limit) => limit.to_string(),
        Fragility::Unknown => "unknown".to_owned(),
        Fragility::None => "none".to_owned(),
    }
}

fn size(item: &Item) -> Option<[f64; 3]> {
    item.mesh().bounds().map(|bounds| {
        let size = bounds.size();
        [size.x, size.y, size.z]
    })
}

fn as_json(job: &Job) -> Result<serde_json::Value, Failure> {
    let contents = to_json(&ContentsSection::of(&job.brief, &job.meshes)).map_err(Failure::Internal)?;
    let contents: serde_json::Value =
        serde_json::from_str(&contents).map_err(|e| Failure::Internal(e.to_string()))?;
    let findings: Vec<_> = job
        .brief
        .items
        .iter()
        .flat_map(Item::check)
        .map(|f| json!({ "code": f.code, "severity": f.severity.to_string(), "place": f.place.as_str(), "sentence": f.sentence.as_str() }))
        .collect();
    let resting: Vec<_> = job
        .brief
        .items
        .iter()
        .map(|item| {
            let poses: Vec<_> = item.resting_poses().iter().map(super::shape::pose).collect();
            json!({ "item": item.id.as_str(), "poses": poses })
        })
        .collect();
    Ok(json!({ "job": job.brief.job, "contents": contents, "resting": resting, "findings": findings }))
}

fn as_text(job: &Job) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{:<26} {:>3} {:>24} {:>10} {:>10}  ways up",
        "item", "qty", "size, mm", "mass", "stands"
    );
    for item in &job.brief.items {
        let size = size(item).map_or_else(String::new, |s| {
            s.map(|side| format!("{:.1}", side * 1e3)).join(" x ")
        });
        let ways: Vec<&str> = item.ways_up.iter().map(|up| up.as_str()).collect();
        let _ = writeln!(
            text,
            "{:<26} {:>3} {:>24} {:>10} {:>10}  {}",
            item.name,
            item.quantity,
            size,
            item.mass.value.to_string(),
            fragility(item),
            ways.join(" ")
        );
    }
    text
}
