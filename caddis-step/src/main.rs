//! Reads one STEP file from standard input and answers with triangles on standard output.
//!
//! Runs as a child of `caddis`, under limits it sets itself at start: `OpenCASCADE` may crash, hang or eat memory on a
//! damaged file, and then only this program ends. It judges nothing: `caddis` checks the answer.
//!
//! The answer: the line `caddis-step 1`; a line of JSON, either `{"error": "…"}` or what was found; then for each body its
//! positions (3 × f64, millimetres) and triangles (3 × u32), little-endian.
#![expect(clippy::print_stderr, reason = "words for the person go to standard error")]

mod bridge;

use rustix::fs::{MemfdFlags, memfd_create};
use rustix::process::{Resource, Rlimit, setrlimit};
use serde_json::json;
use std::fs::File;
use std::io::{Read, Write};
use std::os::fd::AsRawFd;
use std::process::ExitCode;

/// Processor time, seconds: the largest file tried took two.
const CPU_SECONDS: u64 = 60;
/// Address space, bytes: the largest file tried took a tenth of a GiB.
const MEMORY_BYTES: u64 = 4 << 30;
/// Larger files are refused, bytes.
const MOST_BYTES: u64 = 256 << 20;
/// How far chords may leave the exact faces, mm: inscribed chords shrink a piece by this much at most.
const CHORD: f64 = 0.02;
/// How far neighbouring chords may turn, radians.
const ANGLE: f64 = 0.35;
/// First line of an answer.
const MARK: &str = "caddis-step 1\n";

fn main() -> ExitCode {
    if std::env::args().any(|argument| argument == "--version") {
        println!("caddis-step {}", env!("CARGO_PKG_VERSION"));
        return ExitCode::SUCCESS;
    }
    if std::env::args().len() > 1 {
        eprintln!("caddis-step reads a STEP file from standard input and takes no arguments; caddis runs it");
        return ExitCode::from(2);
    }
    for (resource, value) in [
        (Resource::Cpu, CPU_SECONDS),
        (Resource::As, MEMORY_BYTES),
        (Resource::Core, 0),
    ] {
        let limit = Rlimit {
            current: Some(value),
            maximum: Some(value),
        };
        if setrlimit(resource, limit).is_err() {
            return ExitCode::from(4);
        }
    }
    let answer = match read() {
        Ok(model) => encoded(&model),
        Err(error) => format!("{MARK}{}\n", json!({ "error": error })).into_bytes(),
    };
    let mut out = std::io::stdout().lock();
    match out.write_all(&answer).and_then(|()| out.flush()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(4),
    }
}

fn read() -> Result<bridge::Model, String> {
    let mut bytes = Vec::new();
    std::io::stdin()
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| format!("it could not be taken in: {error}"))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(format!("it has more than the {MOST_BYTES} bytes that are read"));
    }
    // The library reads files by name. A file in memory has one, and goes with this process however it ends.
    let aside = |error: std::io::Error| format!("it could not be put aside: {error}");
    let memory = memfd_create("part.step", MemfdFlags::CLOEXEC).map_err(|error| aside(error.into()))?;
    let mut file = File::from(memory);
    file.write_all(&bytes).map_err(aside)?;
    drop(bytes);
    bridge::read(&format!("/proc/self/fd/{}", file.as_raw_fd()), CHORD, ANGLE)
}

fn encoded(model: &bridge::Model) -> Vec<u8> {
    let head = json!({
        "chord_mm": CHORD,
        "units": model.units,
        "load_fails": model.load_fails,
        "transfer_fails": model.transfer_fails,
        "bodies": model.bodies.iter().map(|body| json!({
            "name": body.name,
            "product": body.product,
            "is_solid": body.is_solid,
            "is_valid": body.is_valid,
            "exact_volume_mm3": body.exact_volume,
            "exact_area_mm2": body.exact_area,
            "unmeshed": body.unmeshed,
            "positions": body.positions.len() / 3,
            "triangles": body.triangles.len() / 3,
        })).collect::<Vec<_>>(),
    });
    let mut answer = format!("{MARK}{head}\n").into_bytes();
    for body in &model.bodies {
        answer.extend(body.positions.iter().flat_map(|value| value.to_le_bytes()));
        answer.extend(body.triangles.iter().flat_map(|value| value.to_le_bytes()));
    }
    answer
}
