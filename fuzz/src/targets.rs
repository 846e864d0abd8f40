//! The readers, each as a function that takes any bytes. What it gives back is the kind of answer, so that the fuzzer can
//! tell a new one from one it has seen; the suite replays the corpus through the same functions.

use crate::packed::packed;
use caddis_basis::{BenchUnit, Certainty, Currency, Length, Name, Source};
use caddis_survey::{Profile, ProfileStep};
use std::io::{Read, Write};
use std::process::{Command, Stdio};

/// A reader: its name, which is also its corpus' folder, and what it does with bytes.
pub(crate) type Target = (&'static str, fn(&[u8]) -> String);

/// Readers whose files are in the repository already: where.
pub(crate) const FOLDERS: &[(&str, &str)] = &[
    ("job", "jobs/tindra-ridge"),
    ("shell", "library/shells"),
    ("foam", "library/foams"),
    ("shop", "library/shop"),
    ("process", "library/processes"),
    ("limits", "library/journey"),
];

/// What the shop works by while its own file is changed.
const PROCESS: &[u8] = include_bytes!("../../library/processes/router-8mm.toml");

/// All of them.
pub(crate) const TARGETS: &[Target] = &[
    ("stl", |bytes| mesh(bytes, "part.stl")),
    ("obj", |bytes| mesh(bytes, "part.obj")),
    ("ply", |bytes| mesh(bytes, "part.ply")),
    ("3mf", |bytes| mesh(bytes, "part.3mf")),
    ("glb", |bytes| mesh(bytes, "part.glb")),
    ("3mf-model", |bytes| {
        mesh(
            &packed(&[("_rels/.rels", MODEL_AT), ("3D/3dmodel.model", bytes)]),
            "part.3mf",
        )
    }),
    ("step", step),
    ("step-answer", |bytes| step_answer(b"ISO-10303-21;", bytes)),
    ("dxf", |bytes| outline(bytes, "part.dxf")),
    ("svg", |bytes| outline(bytes, "part.svg")),
    ("csv", |bytes| list(caddis_files::read_list(bytes, "list.csv"))),
    ("xlsx", workbook),
    ("xlsx-sheet", |bytes| {
        workbook(&packed(&[
            ("_rels/.rels", WORKBOOK_AT),
            ("xl/workbook.xml", WORKBOOK),
            ("xl/_rels/workbook.xml.rels", RELATIONS),
            ("xl/sharedStrings.xml", STRINGS),
            ("xl/styles.xml", STYLES),
            ("xl/worksheets/sheet1.xml", bytes),
        ]))
    }),
    ("job", |bytes| {
        said(caddis_files::read_job_file(bytes, "job.toml"))
    }),
    ("shell", |bytes| {
        said(caddis_files::read_shell(bytes, "shell", "shell.toml"))
    }),
    ("foam", |bytes| {
        let vibration = said(caddis_files::read_foam_vibration(bytes, "foam.toml"));
        said(caddis_files::read_foam(bytes, "foam", "foam.toml")) + &vibration
    }),
    ("shop", |bytes| {
        let mut process = |_: &str| caddis_files::read_process(PROCESS, "process.toml");
        let offer = said(caddis_files::read_shop_offer(bytes, "shop.toml"));
        said(caddis_files::read_shop(bytes, "shop.toml", None, &mut process)) + &offer
    }),
    ("offcuts", |bytes| {
        let Ok(currency) = Currency::parse("EUR") else {
            return String::new();
        };
        let shops = ["coldwater".to_owned()];
        said(caddis_files::read_offcuts(
            bytes,
            "rack.toml",
            ("coldwater", &shops),
            currency,
        ))
    }),
    ("process", |bytes| {
        said(caddis_files::read_process(bytes, "process.toml"))
    }),
    ("delivered", |bytes| {
        said(caddis_files::read_delivered(bytes, "result.json"))
    }),
    ("limits", |bytes| {
        said(caddis_files::read_carriage_limits(bytes, "limits.toml"))
    }),
    ("results", |bytes| {
        let table = said(caddis_files::read_test_results(bytes, "results.csv", "job"));
        said(caddis_files::read_test_results(bytes, "results.toml", "job")) + &table
    }),
    ("numbers", |bytes| {
        let source = Source::new("the fuzzer", Certainty::Invented);
        let spectrum = said(caddis_files::read_spectrum(bytes, "floor", source, "floor.csv"));
        let tests = said(caddis_files::read_foam_tests(bytes, "tests.csv"));
        said(caddis_files::read_recording(bytes, "ride.csv")) + &spectrum + &tests
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
        has_holes: bytes.len().is_multiple_of(2),
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

fn step_answer(file: &[u8], answer: &[u8]) -> String {
    match caddis_survey::read_step_answer(file, answer, &Name::new("part.step"), None) {
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

/// Through the program that `CADDIS_STEP` names; its death is an answer, since `caddis` takes it as one.
fn step(bytes: &[u8]) -> String {
    let Some(program) = std::env::var_os("CADDIS_STEP") else {
        return "CADDIS_STEP names no program".to_owned();
    };
    let child = Command::new(program)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let mut child = child.expect("CADDIS_STEP can be started");
    // These files are smaller than what a pipe holds, so that neither side waits for the other.
    if let Some(mut input) = child.stdin.take() {
        let _ = input.write_all(bytes);
    }
    let mut answer = Vec::new();
    if let Some(mut output) = child.stdout.take() {
        let _ = output.read_to_end(&mut answer);
    }
    let ended = child.wait().expect("the program can be waited for");
    assert!(
        ended.success() || answer.is_empty(),
        "it failed after it had answered"
    );
    if answer.is_empty() {
        return format!("it died: {ended}");
    }
    step_answer(bytes, &answer)
}

fn list(read: Result<caddis_files::PackingList, caddis_files::FileError>) -> String {
    match read {
        Ok(list) => {
            let items = list.as_items("list.csv");
            let problems: Vec<&str> = list.unusable.iter().map(|row| row.problem.as_str()).collect();
            format!("{:?} {:?} {}", list.columns, problems, items.len().min(1))
        }
        Err(error) => error.to_string(),
    }
}

fn workbook(bytes: &[u8]) -> String {
    match caddis_files::read_workbook(bytes) {
        Ok(sheets) => list(caddis_files::read_sheets(&sheets, "list.xlsx")),
        Err(problem) => problem,
    }
}

const MODEL_AT: &[u8] = br#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;
const WORKBOOK_AT: &[u8] = br#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="xl/workbook.xml" Id="r" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument"/></Relationships>"#;
const WORKBOOK: &[u8] = br#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="list" sheetId="1" r:id="a"/></sheets></workbook>"#;
const RELATIONS: &[u8] = br#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="a" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;
const STRINGS: &[u8] = br#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="1" uniqueCount="1"><si><t>Item</t></si></sst>"#;
const STYLES: &[u8] = br#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>"#;
