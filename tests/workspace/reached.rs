//! Every test file is compiled: a file that no target names would sit there and never run.

use caddis_tests::workspace_root;
use std::fs;
use std::path::Path;

/// Files of a target's folder that its `main.rs` does not declare as a module.
fn orphans(folder: &Path) -> Vec<String> {
    let main = fs::read_to_string(folder.join("main.rs")).unwrap();
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter_map(|name| name.strip_suffix(".rs").map(str::to_owned))
        .filter(|name| name != "main")
        .collect();
    names.sort();
    names.retain(|name| !main.lines().any(|line| line.trim_end() == format!("mod {name};")));
    names
}

#[test]
fn every_test_file_belongs_to_a_target() {
    let tests = workspace_root().join("tests");
    let manifest = fs::read_to_string(tests.join("Cargo.toml")).unwrap();
    for target in ["suite", "oracle", "workspace"] {
        assert!(
            manifest.contains(&format!("path = \"{target}/main.rs\"")),
            "{target} is not a test target"
        );
        assert_eq!(
            orphans(&tests.join(target)),
            Vec::<String>::new(),
            "in tests/{target}"
        );
    }
}

#[test]
fn every_bench_is_a_target() {
    let tests = workspace_root().join("tests");
    let manifest = fs::read_to_string(tests.join("Cargo.toml")).unwrap();
    for entry in fs::read_dir(tests.join("benches")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if std::path::Path::new(&name)
            .extension()
            .is_some_and(|ending| ending == "rs")
        {
            assert!(
                manifest.contains(&format!("path = \"benches/{name}\"")),
                "{name} is not a bench target"
            );
        }
    }
}
