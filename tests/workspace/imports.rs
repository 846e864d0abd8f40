//! The import table of the design (section 2), exact: folders are the pipeline, and no stage looks downstream.

use caddis_tests::workspace_root;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

const CORE: [&str; 8] = [
    "caddis-basis",
    "caddis-geometry",
    "caddis-journey",
    "caddis-survey",
    "caddis-protection",
    "caddis-layout",
    "caddis-design",
    "caddis-shop",
];

/// Crate by crate, what it may import.
fn table() -> BTreeMap<&'static str, Vec<&'static str>> {
    let all: Vec<_> = CORE
        .into_iter()
        .chain(["caddis-documents", "caddis-files", "caddis-store"])
        .collect();
    let with_server: Vec<_> = all.iter().copied().chain(["caddis-server"]).collect();
    let with_binary: Vec<_> = with_server.iter().copied().chain(["caddis"]).collect();
    BTreeMap::from([
        ("caddis-basis", vec![]),
        ("caddis-geometry", vec!["caddis-basis"]),
        ("caddis-journey", vec!["caddis-basis"]),
        ("caddis-survey", vec!["caddis-basis", "caddis-geometry"]),
        ("caddis-protection", vec!["caddis-basis", "caddis-geometry"]),
        ("caddis-layout", vec!["caddis-basis", "caddis-geometry"]),
        ("caddis-design", CORE[..6].to_vec()),
        ("caddis-shop", CORE[..7].to_vec()),
        ("caddis-documents", CORE.to_vec()),
        ("caddis-files", CORE.to_vec()),
        ("caddis-store", vec!["caddis-basis", "caddis-files"]),
        ("caddis-server", all),
        ("caddis", with_server),
        ("caddis-tests", with_binary),
    ])
}

/// Third-party crates that may be named in one place only: what the others "never know about".
const ONLY_IN: [(&str, &[&str]); 8] = [
    ("typst", &["caddis-documents"]),
    ("clap", &["caddis"]),
    ("miette", &["caddis"]),
    ("indicatif", &["caddis"]),
    ("axum", &["caddis-server"]),
    ("rusqlite", &["caddis-store"]),
    ("toml", &["caddis-files", "caddis-tests"]),
    ("schemars", &["caddis-files", "caddis-server"]),
];

struct Package {
    name: String,
    dependencies: BTreeSet<String>,
}

fn packages() -> Vec<Package> {
    let output = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
        .args(["metadata", "--format-version", "1", "--no-deps"])
        .current_dir(workspace_root())
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    metadata["packages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|package| Package {
            name: text(&package["name"]),
            dependencies: package["dependencies"]
                .as_array()
                .unwrap()
                .iter()
                .map(|dependency| text(&dependency["name"]))
                .collect(),
        })
        .collect()
}

/// Says what breaks the table; an empty answer is a workspace that keeps it.
fn offences(packages: &[Package]) -> Vec<String> {
    let table = table();
    let mut offences = Vec::new();
    for Package { name, dependencies } in packages {
        let Some(allowed) = table.get(name.as_str()) else {
            offences.push(format!("{name} is not a crate of the design"));
            continue;
        };
        for dependency in dependencies {
            if dependency.starts_with("caddis") && !allowed.contains(&dependency.as_str()) {
                offences.push(format!(
                    "{name} imports {dependency}, which it may not know about"
                ));
            }
            for (third_party, places) in ONLY_IN {
                if dependency == third_party && !places.contains(&name.as_str()) {
                    offences.push(format!(
                        "{name} imports {third_party}, which belongs in {places:?} alone"
                    ));
                }
            }
            if name == "caddis-basis" && dependency.starts_with("serde") {
                offences.push("caddis-basis knows about serde".into());
            }
        }
    }
    offences
}

#[test]
fn every_crate_imports_only_what_the_table_allows() {
    let packages = packages();
    assert!(
        packages.iter().any(|package| package.name == "caddis-design"),
        "cargo metadata lists the crates"
    );
    assert_eq!(offences(&packages), Vec::<String>::new());
}

#[test]
fn crates_that_the_table_needs_are_there() {
    let names: BTreeSet<String> = packages().into_iter().map(|package| package.name).collect();
    let missing: Vec<_> = table()
        .into_keys()
        .filter(|name| !names.contains(*name))
        .collect();
    assert_eq!(missing, Vec::<&str>::new());
}

#[test]
fn an_import_against_the_stream_is_noticed() {
    let package = |name: &str, dependency: &str| Package {
        name: name.into(),
        dependencies: BTreeSet::from([dependency.into()]),
    };
    assert_eq!(
        offences(&[package("caddis-protection", "caddis-layout")]).len(),
        1
    );
    assert_eq!(
        offences(&[package("caddis-layout", "caddis-protection")]).len(),
        1
    );
    assert_eq!(offences(&[package("caddis-shop", "typst")]).len(), 1);
    assert_eq!(offences(&[package("caddis-extra", "caddis-basis")]).len(), 1);
    assert_eq!(offences(&[package("caddis-shop", "caddis-design")]).len(), 0);
}
