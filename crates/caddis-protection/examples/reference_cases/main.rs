//! Simulates every case of a drop reference file and prints one JSON object per case, under the file's own output names.
//!
//! `cargo run --release -p caddis-protection --example reference_cases -- FILE.json`
#![expect(clippy::print_stdout, reason = "an example prints its result on stdout")]

mod case;

use case::Case;
use serde_json::Value;
use std::process::ExitCode;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(complaint) => {
            eprintln!("error: {complaint}");
            ExitCode::from(3)
        }
    }
}

fn run() -> Result<(), String> {
    let path = std::env::args()
        .nth(1)
        .ok_or("name a file of drop reference cases")?;
    let text = std::fs::read_to_string(&path).map_err(|e| format!("failed to read {path}: {e}"))?;
    let file: Value = serde_json::from_str(&text).map_err(|e| format!("{path} is not JSON: {e}"))?;
    let cases = file["cases"]
        .as_array()
        .ok_or_else(|| format!("{path} has no list \"cases\""))?;
    for case in cases {
        let name = case["id"].as_str().unwrap_or("a case without id");
        let outputs = Case::read(case)
            .and_then(|case| case.outputs())
            .map_err(|complaint| format!("{path}, case {name}: {complaint}"))?;
        println!("{outputs}");
    }
    Ok(())
}
