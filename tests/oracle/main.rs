//! Checks against the outside: one file for each source, its citation first. Each computes rows (method, problem,
//! source, certainty, expected, got, tolerance); tests assert them, and one holds `docs/verification.md` against all of
//! them. `CADDIS_BLESS=1` writes the page anew.
#![cfg(test)]
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod bell_system_technical_journal;
mod carriage;
mod common_practice;
mod damage_boundary;
mod drawing_libraries;
mod exchange_libraries;
mod foam_fit;
mod gas_filled_foam;
mod geometry_libraries;
mod ideal_cushions;
mod lifting;
mod machine_programs;
mod moisture;
mod nist_foam;
#[path = "../../crates/caddis-documents/tests/specimen/pseudo.rs"]
mod pseudo;
mod rebound;
mod resting_poses;
mod scene_libraries;
mod signal_library;
mod simulated_drop;
mod standard_atmosphere;
mod stress_energy;
mod test_drops;
mod vibration;

use caddis_tests::{Folder, Row, caddis, manual, workspace_root};
use std::ffi::OsStr;
use std::path::PathBuf;

/// One section of the manual.
struct Chapter {
    title: &'static str,
    about: &'static str,
    rows: Vec<Row>,
}

impl Chapter {
    /// Every row must agree, and there must be some.
    fn assert(&self) {
        assert!(!self.rows.is_empty(), "{} checks nothing", self.title);
        for row in &self.rows {
            row.assert();
        }
    }
}

/// All sections in the order of the stages.
fn chapters() -> Vec<Chapter> {
    let (_folder, out) = demonstration();
    vec![
        common_practice::chapter(),
        geometry_libraries::chapter(),
        resting_poses::chapter(),
        standard_atmosphere::chapter(),
        carriage::chapter(),
        lifting::chapter(),
        moisture::chapter(),
        test_drops::chapter(),
        ideal_cushions::chapter(),
        bell_system_technical_journal::chapter(),
        stress_energy::chapter(),
        gas_filled_foam::chapter(),
        nist_foam::chapter(),
        foam_fit::chapter(),
        simulated_drop::chapter(),
        rebound::chapter(),
        damage_boundary::chapter(),
        vibration::chapter(),
        signal_library::chapter(),
        drawing_libraries::chapter(&out),
        machine_programs::chapter(&out),
        scene_libraries::chapter(&out),
        exchange_libraries::chapter(&out),
    ]
}

/// Asserts every row of every chapter, then the page. The chapters that ask other programs have no test of their own:
/// their answers take a minute.
#[test]
fn every_check_holds_and_the_manual_is_current() {
    let chapters = chapters();
    for chapter in &chapters {
        chapter.assert();
    }
    let parts: Vec<_> = chapters
        .iter()
        .map(|chapter| (chapter.title, chapter.about, chapter.rows.clone()))
        .collect();
    let page = manual(&parts);
    let path = workspace_root().join("docs/verification.md");
    if std::env::var_os("CADDIS_BLESS").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &page).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    if let Some((line, (new, old))) = page
        .lines()
        .zip(kept.lines().chain(std::iter::repeat("")))
        .enumerate()
        .find(|(_, (new, old))| new != old)
    {
        panic!(
            "docs/verification.md is stale at line {}:\nkept: {old}\nnow:  {new}\nCADDIS_BLESS=1 writes it",
            line + 1
        );
    }
    assert_eq!(page, kept, "docs/verification.md has lines too many");
}

/// The demonstration's output, made anew in a folder that lives as long as the first value.
fn demonstration() -> (Folder, PathBuf) {
    let folder = Folder::new();
    let out = folder.path().join("out");
    let job = workspace_root().join("jobs/tindra-ridge");
    let mut arguments = vec!["run".as_ref(), job.as_os_str(), "--out".as_ref(), out.as_os_str()];
    arguments.extend(["--date", "2026-11-25"].map(AsRef::<OsStr>::as_ref));
    let ran = caddis(folder.path(), arguments, &[]);
    assert_eq!(
        ran.exit,
        Some(0),
        "the demonstration is not released:\n{}",
        ran.stderr
    );
    (folder, out)
}
