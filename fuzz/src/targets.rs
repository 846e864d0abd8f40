//! The readers, each as a function that takes any bytes. What it gives back is the kind of answer, so that the fuzzer can
//! tell a new one from one it has seen; the suite replays the corpus through the same functions.

use caddis_basis::{BenchUnit, Length, Name};
use caddis_survey::{Profile, ProfileStep};

/// A reader: its name, which is also its corpus' folder, and what it does with bytes.
pub(crate) type Target = (&'static str, fn(&[u8]) -> String);

/// All of them.
pub(crate) const TARGETS: &[Target] = &[
    ("stl", |bytes| mesh(bytes, "part.stl")),
    ("obj", |bytes| mesh(bytes, "part.obj")),
    ("ply", |bytes| mesh(bytes, "part.ply")),
    ("3mf", |bytes| mesh(bytes, "part.3mf")),
    ("glb", |bytes| mesh(bytes, "part.glb")),
    ("step-answer", step_answer),
    ("dxf", |bytes| outline(bytes, "part.dxf")),
    ("svg", |bytes| outline(bytes, "part.svg")),
    ("csv", |bytes| list(bytes, "list.csv")),
    ("job", |bytes| {
        said(caddis_files::read_job_file(bytes, "job.toml"))
    }),
    ("shell", |bytes| {
        said(caddis_files::read_shell(bytes, "shell", "shell.toml"))
    }),
    ("foam", |bytes| {
        said(caddis_files::read_foam(bytes, "foam", "foam.toml"))
    }),
];

fn said<T, E: std::fmt::Display>(read: Result<T, E>) -> String {
    match read {
        Ok(_) => "read".to_owned(),
        Err(error) => error.to_string(),
    }
}

fn mesh(bytes: &[u8], name: &str) -> String {
    match caddis_survey::read_mesh(bytes, &Name::new(name), Some(BenchUnit::Millimetre)) {
        Ok((mesh, report)) => {
            assert_eq!(
                mesh.triangles.len(),
                report.triangles,
                "the report counts other triangles"
            );
            assert!(
                mesh.positions.iter().all(|p| p.is_finite()),
                "a coordinate is not finite"
            );
            let _ = caddis_survey::mesh_findings(&mesh, &report, name);
            format!("closed {} repairs {:?}", report.is_closed, report.repairs)
        }
        Err(error) => error.to_string(),
    }
}

fn outline(bytes: &[u8], name: &str) -> String {
    let step = |height: f64, inset: f64| {
        ProfileStep::new(Length::mm(height), Length::mm(inset), None).expect("a step is a step")
    };
    let profile = Profile {
        steps: vec![step(10.0, 0.0), step(5.0, 1.0)],
        has_holes: bytes.len() % 2 == 0,
    };
    match caddis_survey::read_outline(bytes, &Name::new(name), Some(BenchUnit::Millimetre), &profile) {
        Ok((mesh, report)) => {
            assert!(
                mesh.positions.iter().all(|p| p.is_finite()),
                "a coordinate is not finite"
            );
            format!(
                "closed {} {:?} {:?}",
                report.is_closed, report.repairs, report.doubts
            )
        }
        Err(error) => error.to_string(),
    }
}

fn step_answer(bytes: &[u8]) -> String {
    said(caddis_survey::read_step_answer(
        b"ISO-10303-21;",
        bytes,
        &Name::new("part.step"),
        None,
    ))
}

fn list(bytes: &[u8], name: &str) -> String {
    match caddis_files::read_list(bytes, name) {
        Ok(list) => {
            let items = list.as_items(name);
            let problems: Vec<&str> = list.unusable.iter().map(|row| row.problem.as_str()).collect();
            format!("{:?} {:?} {}", list.columns, problems, items.len().min(1))
        }
        Err(error) => error.to_string(),
    }
}
