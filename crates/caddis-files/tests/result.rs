//! The written result: fresh schemas, every section from core values, stable bytes.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_files::{
    ContentsSection, DirectReader, Library, Manifest, ResultFile, ResultHead, SurveySection, manifest_schema,
    read_job, result_schema, to_json,
};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

fn result() -> ResultFile {
    let library = Library::new(vec![root().join("library")]);
    let job = read_job(&root().join("jobs/tindra-ridge"), &library, &DirectReader).unwrap();
    let mut result = ResultFile::new(ResultHead {
        version: "0.1.0".to_owned(),
        date: "2026-11-25".to_owned(),
        job: job.brief.job.clone(),
        title: job.brief.title.clone(),
        customer: job.brief.customer.clone(),
    });
    result.survey = Some(SurveySection::of(&job.brief.shell));
    result.contents = Some(ContentsSection::of(&job.brief, &job.meshes));
    result
}

/// Set `CADDIS_WRITE=1` to write the schemas anew.
#[test]
fn the_schemas_in_docs_are_fresh() {
    for (name, text) in [
        ("result.schema.json", result_schema().unwrap()),
        ("manifest.schema.json", manifest_schema().unwrap()),
    ] {
        let path = root().join("docs").join(name);
        if std::env::var_os("CADDIS_WRITE").is_some() {
            fs::write(&path, &text).unwrap();
        }
        let kept = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == text,
            "docs/{name} is stale: run the test with CADDIS_WRITE=1 and commit it"
        );
    }
}

#[test]
fn every_reference_in_the_schema_leads_somewhere() {
    fn walk(value: &Value, root: &Value) {
        match value {
            Value::Object(map) => {
                if let Some(Value::String(target)) = map.get("$ref") {
                    let pointer = target.strip_prefix('#').unwrap();
                    assert!(root.pointer(pointer).is_some(), "{target} leads nowhere");
                }
                map.values().for_each(|value| walk(value, root));
            }
            Value::Array(values) => values.iter().for_each(|value| walk(value, root)),
            _ => {}
        }
    }
    for text in [result_schema().unwrap(), manifest_schema().unwrap()] {
        let schema: Value = serde_json::from_str(&text).unwrap();
        walk(&schema, &schema);
        assert_eq!(schema["type"], "object");
    }
}

#[test]
fn a_result_reads_back_and_its_bytes_are_stable() {
    let result = result();
    let text = result.to_json().unwrap();
    assert_eq!(text, self::result().to_json().unwrap());
    let back: ResultFile = serde_json::from_str(&text).unwrap();
    assert!(back == result, "what was read is not what was written");
    let value: Value = serde_json::from_str(&text).unwrap();
    let usable = value["survey"]["usable_volume_m3"].as_f64().unwrap();
    let nominal = value["survey"]["nominal_volume_m3"].as_f64().unwrap();
    let lost: f64 = value["survey"]["volume_ledger"]
        .as_array()
        .unwrap()
        .iter()
        .map(|loss| loss["volume_m3"].as_f64().unwrap())
        .sum();
    assert!(
        (nominal - lost - usable).abs() < 1e-6,
        "{nominal} - {lost} is not {usable}"
    );
    assert_eq!(value["contents"]["pieces"], 12);
}

#[test]
fn numbers_json_cannot_hold_are_errors() {
    let mut result = result();
    result.survey.as_mut().unwrap().usable_volume_m3 = f64::NAN;
    let error = result.to_json().unwrap_err();
    assert!(
        error.contains("survey") && error.contains("usable_volume_m3"),
        "{error}"
    );
    assert!(to_json(&[1.0, f64::INFINITY]).is_err());
}

#[test]
fn a_manifest_reads_back() {
    let mut manifest = Manifest::new("0.1.0", "TR-0417", 417, 1000);
    manifest.add("report.pdf", b"abc");
    let back: Manifest = serde_json::from_str(&manifest.to_json().unwrap()).unwrap();
    assert_eq!(back, manifest);
    assert_eq!(back.files[0].bytes, 3);
}
