//! Shape files are read by a child process of this program, under limits it sets itself at start: its death is an
//! ordinary error of the job, never the death of the program.

use caddis_basis::{BenchUnit, Name};
use caddis_files::{DirectReader, ShapeReader, ShapeRequest};
use caddis_geometry::{Mesh, Vec3};
use caddis_survey::{
    Doubt, MeshFormat, MeshPart, MeshReport, Profile, ProfileStep, ReadError, UnitSource, is_step,
    read_step_answer,
};
use rustix::process::{Resource, Rlimit, setrlimit};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

/// Processor time a reader may use, seconds: a mesh of 8 million triangles reads in a few.
const CPU_SECONDS: u64 = 60;
/// Address space a reader may use, bytes.
const MEMORY_BYTES: u64 = 6 << 30;
/// Wall time the program waits, seconds.
const WALL_SECONDS: u64 = 120;

/// Reads shapes in child processes, STEP in the separate `caddis-step`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ChildReader;

impl ShapeReader for ChildReader {
    fn read(&self, request: &ShapeRequest<'_>) -> Result<(Mesh, MeshReport), String> {
        if request.bytes.is_empty() {
            return Err(ReadError::Empty {
                name: request.name.clone(),
            }
            .to_string());
        }
        let answer = if is_step(request.bytes, request.name) {
            if request.profile.is_some() {
                return Err(ReadError::DepthOfSolid {
                    name: request.name.clone(),
                    format: MeshFormat::Step,
                }
                .to_string());
            }
            let program = step_program().ok_or_else(|| {
                ReadError::StepProgramMissing {
                    name: request.name.clone(),
                }
                .to_string()
            })?;
            let answer = asked(Command::new(program), request.bytes)?;
            if answer.is_empty() {
                None
            } else {
                Some(
                    read_step_answer(request.bytes, &answer, request.name, request.unit)
                        .map_err(|error| error.to_string()),
                )
            }
        } else {
            let program =
                std::env::current_exe().map_err(|e| format!("the reader could not be found: {e}"))?;
            let mut command = Command::new(program);
            command.arg("read-shape").arg("--name").arg(request.name.as_str());
            if let Some(unit) = request.unit {
                command.arg("--unit").arg(unit.as_str());
            }
            if let Some(profile) = request.profile {
                command.arg("--profile").arg(written(profile).to_string());
            }
            decoded(&asked(command, request.bytes)?)
        };
        answer.unwrap_or_else(|| {
            Err(format!(
                "{} could not be read within the limits of {CPU_SECONDS} s and {} GiB; export a smaller mesh",
                request.name,
                MEMORY_BYTES >> 30
            ))
        })
    }
}

/// `caddis-step`: what `CADDIS_STEP` names, else the one beside this program.
pub(crate) fn step_program() -> Option<PathBuf> {
    let named = std::env::var_os("CADDIS_STEP").map(PathBuf::from);
    let beside = || Some(std::env::current_exe().ok()?.with_file_name("caddis-step"));
    named.or_else(beside).filter(|path| path.is_file())
}

/// What a child answers to bytes on its standard input; empty or cut short when it died.
pub(crate) fn asked(mut command: Command, bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|e| format!("the reader could not be started: {e}"))?;
    let (Some(mut input), Some(mut output)) = (child.stdin.take(), child.stdout.take()) else {
        return Err("the reader could not be spoken to".to_owned());
    };
    std::thread::scope(|scope| {
        scope.spawn(move || {
            // A reader that stops listening early has its own say on its output.
            let _ = input.write_all(bytes);
        });
        let listener = scope.spawn(move || {
            let mut bytes = Vec::new();
            output.read_to_end(&mut bytes).map(|_| bytes)
        });
        let ended = wait(&mut child);
        let bytes = listener
            .join()
            .map_err(|_| "the reader's answer was lost".to_owned())?;
        ended.and_then(|()| bytes.map_err(|e| format!("the reader's answer was lost: {e}")))
    })
}

/// Waits for the child, kills it when it takes too long.
fn wait(child: &mut Child) -> Result<(), String> {
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(_)) => return Ok(()),
            Ok(None) if start.elapsed() > Duration::from_secs(WALL_SECONDS) => {
                let _ = child.kill();
                let _ = child.wait();
                return Ok(());
            }
            Ok(None) => std::thread::sleep(Duration::from_millis(2)),
            Err(error) => return Err(format!("the reader could not be waited for: {error}")),
        }
    }
}

/// The child's side: reads standard input, answers on standard output.
pub(crate) fn serve(name: &str, unit: Option<&str>, profile: Option<&str>) -> ExitCode {
    let Some(bytes) = limited_input(MEMORY_BYTES) else {
        return ExitCode::from(crate::failure::INTERNAL);
    };
    let unit = match unit.map(BenchUnit::parse).transpose() {
        Ok(unit) => unit,
        Err(error) => return answer(&encoded(&Err(error.to_string()))),
    };
    let profile = match profile
        .map(|text| profile_of(text).ok_or("the profile is not whole"))
        .transpose()
    {
        Ok(profile) => profile,
        Err(problem) => return answer(&encoded(&Err(problem.to_owned()))),
    };
    let name = Name::new(name);
    answer(&encoded(&DirectReader.read(&ShapeRequest {
        bytes: &bytes,
        name: &name,
        unit,
        profile: profile.as_ref(),
    })))
}

/// Sets this process's limits, then takes in its standard input; `None` where either fails.
pub(crate) fn limited_input(memory: u64) -> Option<Vec<u8>> {
    for (resource, value) in [(Resource::Cpu, CPU_SECONDS), (Resource::As, memory)] {
        let limit = Rlimit {
            current: Some(value),
            maximum: Some(value),
        };
        setrlimit(resource, limit).ok()?;
    }
    let mut bytes = Vec::new();
    std::io::stdin().read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

fn written(profile: &Profile) -> Value {
    let steps: Vec<Value> = profile
        .steps
        .iter()
        .map(|step| json!({ "height": step.height, "inset": step.inset, "layer": step.layer }))
        .collect();
    json!({ "holes": profile.has_holes, "steps": steps })
}

fn profile_of(text: &str) -> Option<Profile> {
    let written: Value = serde_json::from_str(text).ok()?;
    let steps = written.get("steps")?.as_array()?;
    Some(Profile {
        has_holes: written.get("holes")?.as_bool()?,
        steps: steps
            .iter()
            .map(|step| {
                Some(ProfileStep {
                    height: step.get("height")?.as_u64()?.try_into().ok()?,
                    inset: step.get("inset")?.as_i64()?.try_into().ok()?,
                    layer: step.get("layer")?.as_str().map(str::to_owned),
                })
            })
            .collect::<Option<_>>()?,
    })
}

pub(crate) fn answer(bytes: &[u8]) -> ExitCode {
    match std::io::stdout()
        .write_all(bytes)
        .and_then(|()| std::io::stdout().flush())
    {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(crate::failure::INTERNAL),
    }
}

/// A line of JSON, then positions (3 x f64) and triangles (3 x u32), little-endian.
fn encoded(read: &Result<(Mesh, MeshReport), String>) -> Vec<u8> {
    let head = match read {
        Err(message) => json!({ "error": message }),
        Ok((mesh, report)) => json!({
            "format": report.format.to_string(),
            "unit": report.unit,
            "metres_per_unit": report.metres_per_unit,
            "unit_source": report.unit_source.as_str(),
            "widest_hole": report.widest_hole,
            "triangles": report.triangles,
            "bodies": report.bodies,
            "is_closed": report.is_closed,
            "boundary_edges": report.boundary_edges,
            "repairs": report.repairs,
            "doubts": report.doubts.iter().map(Doubt::texts).collect::<Vec<_>>(),
            "parts": report.parts.iter()
                .map(|part| json!([part.product, part.entity, part.bodies]))
                .collect::<Vec<_>>(),
            "positions": mesh.positions.len(),
        }),
    };
    let mut bytes = head.to_string().into_bytes();
    bytes.push(b'\n');
    if let Ok((mesh, _)) = read {
        for p in &mesh.positions {
            bytes.extend([p.x, p.y, p.z].into_iter().flat_map(f64::to_le_bytes));
        }
        bytes.extend(mesh.triangles.iter().flatten().flat_map(|i| i.to_le_bytes()));
    }
    bytes
}

/// `None` when the answer is not whole.
fn decoded(bytes: &[u8]) -> Option<Result<(Mesh, MeshReport), String>> {
    let end = bytes.iter().position(|b| *b == b'\n')?;
    let head: Value = serde_json::from_slice(&bytes[..end]).ok()?;
    if let Some(message) = head.get("error").and_then(Value::as_str) {
        return Some(Err(message.to_owned()));
    }
    let number = |key: &str| {
        head.get(key)
            .and_then(Value::as_u64)
            .and_then(|n| usize::try_from(n).ok())
    };
    let format = MeshFormat::ALL
        .into_iter()
        .find(|format| head.get("format").and_then(Value::as_str) == Some(&format.to_string()))?;
    let report = MeshReport {
        format,
        unit: head.get("unit")?.as_str()?.to_owned(),
        metres_per_unit: head.get("metres_per_unit")?.as_f64()?,
        unit_source: UnitSource::ALL
            .into_iter()
            .find(|source| head.get("unit_source").and_then(Value::as_str) == Some(source.as_str()))?,
        triangles: number("triangles")?,
        bodies: number("bodies")?,
        is_closed: head.get("is_closed")?.as_bool()?,
        boundary_edges: number("boundary_edges")?,
        widest_hole: head.get("widest_hole")?.as_f64()?,
        repairs: sentences(&head, "repairs")?,
        doubts: head
            .get("doubts")?
            .as_array()?
            .iter()
            .map(|texts| {
                let texts = texts
                    .as_array()?
                    .iter()
                    .map(|text| text.as_str().map(str::to_owned));
                Doubt::of_texts(&texts.collect::<Option<Vec<_>>>()?)
            })
            .collect::<Option<_>>()?,
        parts: head
            .get("parts")?
            .as_array()?
            .iter()
            .map(|part| {
                Some(MeshPart {
                    product: part.get(0)?.as_str()?.to_owned(),
                    entity: part.get(1)?.as_str()?.to_owned(),
                    bodies: usize::try_from(part.get(2)?.as_u64()?).ok()?,
                })
            })
            .collect::<Option<Vec<_>>>()?,
    };
    let body = &bytes[end + 1..];
    let (count, triangles) = (number("positions")?, report.triangles);
    let split = count.checked_mul(24)?;
    if body.len() != split.checked_add(triangles.checked_mul(12)?)? {
        return None;
    }
    let float = |chunk: &[u8]| chunk.try_into().ok().map(f64::from_le_bytes);
    let positions = body[..split]
        .chunks_exact(24)
        .map(|c| Some(Vec3::new(float(&c[..8])?, float(&c[8..16])?, float(&c[16..])?)))
        .collect::<Option<Vec<_>>>()?;
    let index = |chunk: &[u8]| chunk.try_into().ok().map(u32::from_le_bytes);
    let triangles = body[split..]
        .chunks_exact(12)
        .map(|c| Some([index(&c[..4])?, index(&c[4..8])?, index(&c[8..])?]))
        .collect::<Option<Vec<_>>>()?;
    Some(Ok((Mesh { positions, triangles }, report)))
}

fn sentences(head: &Value, key: &str) -> Option<Vec<String>> {
    head.get(key)?
        .as_array()?
        .iter()
        .map(|text| text.as_str().map(str::to_owned))
        .collect()
}
