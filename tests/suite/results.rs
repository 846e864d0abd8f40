//! The demonstration's whole output: every file is listed with its hash, the result keeps its schema, the times of the
//! stages are printed.

use caddis_tests::{Folder, Ran, caddis, second_opinion, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;

const STAGES: [&str; 5] = ["read", "arrange", "verify", "make", "present"];

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("run::demonstration_is_released_and_whole", whole),
        Trial::test("run::demonstration_replaces_an_earlier_output", replaced),
        Trial::test("present::result_keeps_its_schema", schema),
        Trial::test("run::every_stage_is_timed", timed),
    ]
}

fn run(folder: &Folder, more: &[&str]) -> Result<Ran, Failed> {
    let job = workspace_root().join("jobs/tindra-ridge").display().to_string();
    let mut arguments = vec!["run", &job, "--out", "out", "--date", "2026-11-25"];
    arguments.extend(more);
    let ran = caddis(folder.path(), arguments, &[]);
    if ran.exit == Some(0) {
        Ok(ran)
    } else {
        Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into())
    }
}

fn whole() -> Result<(), Failed> {
    let folder = Folder::new();
    let ran = run(&folder, &[])?;
    let out = folder.path().join("out");
    let files = Folder::files(&out);
    let manifest: Value = serde_json::from_str(&fs::read_to_string(out.join("manifest.json"))?)?;
    let mut listed = BTreeSet::new();
    for file in manifest["files"].as_array().ok_or("the manifest lists files")? {
        let path = file["path"].as_str().ok_or("a file has a path")?;
        let bytes = files
            .get(std::path::Path::new(path))
            .ok_or_else(|| format!("{path} is listed, not there"))?;
        let mut hash = String::new();
        for byte in Sha256::digest(bytes) {
            write!(hash, "{byte:02x}")?;
        }
        if file["sha256"] != hash.as_str() || file["bytes"] != bytes.len() {
            return Err(format!("{path} is not what the manifest says").into());
        }
        listed.insert(path.to_owned());
    }
    let there: BTreeSet<String> = files
        .keys()
        .map(|path| path.to_string_lossy().into_owned())
        .filter(|path| path != "manifest.json")
        .collect();
    if there != listed {
        return Err(format!("not listed: {:?}", there.difference(&listed).collect::<Vec<_>>()).into());
    }
    for needed in ["report.pdf", "scene.glb", "result.json"] {
        if !there.contains(needed) {
            return Err(format!("no {needed}").into());
        }
    }
    for (folder, ending) in [("layers/", ".dxf"), ("layers/", ".svg"), ("nests/", ".dxf")] {
        if !there
            .iter()
            .any(|path| path.starts_with(folder) && path.ends_with(ending))
        {
            return Err(format!("no {ending} in {folder}").into());
        }
    }
    if !ran.stderr.contains("conceded:") {
        return Err("the demonstration shows one concession".into());
    }
    Ok(())
}

fn replaced() -> Result<(), Failed> {
    let folder = Folder::new();
    run(&folder, &[])?;
    let out = folder.path().join("out");
    fs::write(out.join("stale.txt"), "from an earlier output")?;
    run(&folder, &[])?;
    if out.join("stale.txt").exists() {
        return Err("a file of the earlier output is still there".into());
    }
    let beside: Vec<_> = fs::read_dir(folder.path())?
        .flatten()
        .map(|entry| entry.file_name())
        .collect();
    if beside != ["out"] {
        return Err(format!("left beside the output: {beside:?}").into());
    }
    Ok(())
}

fn schema() -> Result<(), Failed> {
    let folder = Folder::new();
    run(&folder, &[])?;
    for (rules, document) in [
        ("result.schema.json", "result.json"),
        ("manifest.schema.json", "manifest.json"),
    ] {
        let rules = workspace_root().join("docs").join(rules);
        let document = folder.path().join("out").join(document);
        let faults = second_opinion("schema", [rules.as_os_str(), document.as_os_str()]);
        if faults.as_array().is_none_or(|faults| !faults.is_empty()) {
            return Err(format!("{}: {faults}", document.display()).into());
        }
    }
    Ok(())
}

fn timed() -> Result<(), Failed> {
    let folder = Folder::new();
    let ran = run(&folder, &["--json"])?;
    let answer = ran.json();
    for stage in STAGES {
        if answer["seconds"][stage]
            .as_f64()
            .is_none_or(|seconds| seconds.is_nan() || seconds < 0.0)
        {
            return Err(format!("no time of {stage} in the answer").into());
        }
        if !ran
            .stderr
            .lines()
            .any(|line| line.starts_with(stage) && line.ends_with(" s"))
        {
            return Err(format!("the time of {stage} is not printed").into());
        }
    }
    Ok(())
}
