//! Every document of the specimen job: written twice the same, and what a reader of it would find.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "specimen/input.rs"]
mod input;
mod specimen;
#[path = "specimen/texts.rs"]
mod texts;

use caddis_design::{BlockKind, release};
use caddis_documents::{
    DocumentError, PaperInput, Section, Sheet, Text, Words, case_plan, packing_plan, report, scene,
    section_drawing, svg,
};
use input::input;
use specimen::{job, specimen};
use texts::texts;

fn sheets() -> Vec<Sheet> {
    let s = specimen();
    vec![
        case_plan(Words::english(), &s.brief, &s.interior),
        section_drawing(Words::english(), &s.brief, &s.interior, Section::Long),
        section_drawing(Words::english(), &s.brief, &s.interior, Section::Cross),
        packing_plan(Words::english(), &s.brief, &s.interior, Some(0)),
        packing_plan(Words::english(), &s.brief, &s.interior, None),
    ]
}

#[test]
fn type_is_legible_and_on_the_sheet() {
    for sheet in sheets() {
        let words = texts(&sheet.marks);
        assert!(words.len() > 5, "{}", sheet.title);
        for text in words {
            assert!(
                text.height >= Text::LEAST_HEIGHT,
                "{}: {}",
                sheet.title,
                text.words
            );
            let inside =
                (0.0..=sheet.width).contains(&text.at.x) && (0.0..=sheet.height).contains(&text.at.y);
            assert!(
                inside,
                "{}: `{}` at {:?} lies off the sheet",
                sheet.title, text.words, text.at
            );
        }
    }
}

#[test]
fn drawings_carry_the_surveyed_sizes_and_repeat() {
    let plan = &sheets()[0];
    let words: Vec<&str> = texts(&plan.marks).iter().map(|t| t.words.as_str()).collect();
    for wanted in [
        "opening 640 ±1",
        "floor 624.6 ±1",
        "opening 400 ±1",
        "R 45 ±1",
        "scale 1:5",
    ] {
        assert!(words.contains(&wanted), "{wanted} is missing from {words:?}");
    }
    let pairs = sheets().into_iter().zip(sheets());
    for (first, second) in pairs {
        assert_eq!(svg(&first), svg(&second));
        assert!(svg(&first).ends_with("</svg>\n"));
        assert!(!svg(&first).contains("NaN") && !svg(&first).contains("inf"));
    }
}

#[test]
fn every_item_is_on_the_plan_of_its_tier() {
    let s = specimen();
    for place in &s.interior.places {
        let sheet = packing_plan(Words::english(), &s.brief, &s.interior, Some(place.tier));
        let number = place.number.to_string();
        assert!(
            texts(&sheet.marks).iter().any(|t| t.bold && t.words == number),
            "{number}"
        );
    }
}

#[test]
fn the_report_is_a_pdf_and_repeats() {
    let s = specimen();
    let shop = job::shop();
    let right = release(&s.verification, &s.brief.concessions);
    let input = PaperInput {
        release: right.as_ref().ok(),
        ..input(&shop)
    };
    let first = report(&input).unwrap();
    assert_eq!(
        (first.name.as_str(), first.media_type),
        ("report.pdf", "application/pdf")
    );
    assert!(first.bytes.starts_with(b"%PDF-1."));
    assert!(first.bytes.trim_ascii_end().ends_with(b"%%EOF"));
    assert!(first.bytes.len() > 50_000);
    assert_eq!(first.bytes, report(&input).unwrap().bytes);
    let other_day = report(&PaperInput {
        date: "2026-11-26",
        ..input
    })
    .unwrap();
    assert_ne!(first.bytes, other_day.bytes);
    let bad = report(&PaperInput {
        date: "yesterday",
        ..input
    })
    .unwrap_err();
    assert_eq!(bad, DocumentError::Date("yesterday".to_owned()));
}

#[test]
fn names_that_look_like_markup_stay_words() {
    let s = specimen();
    let shop = job::shop();
    let mut brief = s.brief.clone();
    brief.title = "#panic() *bold* $x$ </svg> [kit] \"quoted\" \\ ".to_owned();
    brief.items[0].name = "<b>battery</b> & #eval(\"1\")".to_owned();
    let input = PaperInput {
        brief: &brief,
        revision: "#r",
        ..input(&shop)
    };
    assert!(report(&input).unwrap().bytes.starts_with(b"%PDF-1."));
}

#[test]
fn the_scene_is_binary_gltf_in_metres_with_y_up() {
    let s = specimen();
    let document = scene(&s.brief, &s.interior);
    let bytes = &document.bytes;
    assert_eq!(bytes, &scene(&s.brief, &s.interior).bytes);
    let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!(&bytes[..4], b"glTF");
    assert_eq!((word(4), word(8)), (2, bytes.len()));
    let json_length = word(12);
    assert_eq!(&bytes[16..20], b"JSON");
    let root: serde_json::Value = serde_json::from_slice(&bytes[20..20 + json_length]).unwrap();
    assert_eq!(&bytes[20 + json_length + 4..20 + json_length + 8], b"BIN\0");
    let binary = &bytes[20 + json_length + 8..];
    assert_eq!(binary.len(), word(20 + json_length));
    let names: Vec<&str> = root["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n["name"].as_str().unwrap())
        .collect();
    assert!(names.contains(&"base shell") && names.contains(&"lid shell"));
    for place in &s.interior.places {
        assert!(
            names.contains(&format!("item {}", place.instance).as_str()),
            "{}",
            place.instance
        );
    }
    let layers: usize = s.interior.blocks.iter().map(|b| b.layers.len()).sum();
    assert_eq!(names.iter().filter(|n| n.starts_with("foam ")).count(), layers);
    assert!(s.interior.blocks.iter().any(|b| b.kind == BlockKind::LidPad));

    // The base shell: 640 + 2 x 5 mm long, from 5 mm below the floor to the rim at 240 mm, y up.
    let mesh = root["nodes"][names.iter().position(|n| *n == "base shell").unwrap()]["mesh"]
        .as_u64()
        .unwrap();
    let attributes = &root["meshes"][mesh as usize]["primitives"][0]["attributes"];
    let accessor = &root["accessors"][attributes["POSITION"].as_u64().unwrap() as usize];
    let corner = |key: &str, i: usize| accessor[key][i].as_f64().unwrap();
    assert!((corner("max", 0) - corner("min", 0) - 0.650).abs() < 1e-4);
    assert!((corner("min", 1) + 0.005).abs() < 1e-5 && (corner("max", 1) - 0.240).abs() < 1e-5);
    assert!((corner("max", 2) - corner("min", 2) - 0.410).abs() < 1e-4);

    // Every normal has length one.
    for mesh in root["meshes"].as_array().unwrap() {
        let index = mesh["primitives"][0]["attributes"]["NORMAL"].as_u64().unwrap() as usize;
        let accessor = &root["accessors"][index];
        let view = &root["bufferViews"][accessor["bufferView"].as_u64().unwrap() as usize];
        let offset = view["byteOffset"].as_u64().unwrap() as usize;
        for k in 0..accessor["count"].as_u64().unwrap() as usize {
            let part =
                |i: usize| f32::from_le_bytes(binary[offset + 12 * k + 4 * i..][..4].try_into().unwrap());
            let length = (part(0).powi(2) + part(1).powi(2) + part(2).powi(2)).sqrt();
            assert!(
                (length - 1.0).abs() < 1e-4,
                "{} normal {k} has length {length}",
                mesh["name"]
            );
        }
    }
}

#[test]
fn the_closed_shell_is_outward() {
    // Signed volume of the translucent base: wall times area, positive when the triangles face outward.
    let s = specimen();
    let document = scene(&s.brief, &s.interior);
    let json_length = u32::from_le_bytes(document.bytes[12..16].try_into().unwrap()) as usize;
    let root: serde_json::Value = serde_json::from_slice(&document.bytes[20..20 + json_length]).unwrap();
    let binary = &document.bytes[28 + json_length..];
    for name in ["base shell", "lid shell"] {
        let node = root["nodes"]
            .as_array()
            .unwrap()
            .iter()
            .find(|n| n["name"] == name)
            .unwrap();
        let mesh = &root["meshes"][node["mesh"].as_u64().unwrap() as usize];
        let index = mesh["primitives"][0]["attributes"]["POSITION"].as_u64().unwrap() as usize;
        let accessor = &root["accessors"][index];
        let view = &root["bufferViews"][accessor["bufferView"].as_u64().unwrap() as usize];
        let offset = view["byteOffset"].as_u64().unwrap() as usize;
        let count = accessor["count"].as_u64().unwrap() as usize;
        let point = |k: usize| -> [f64; 3] {
            std::array::from_fn(|i| {
                f64::from(f32::from_le_bytes(
                    binary[offset + 12 * k + 4 * i..][..4].try_into().unwrap(),
                ))
            })
        };
        let volume: f64 = (0..count / 3)
            .map(|t| {
                let [a, b, c] = [point(3 * t), point(3 * t + 1), point(3 * t + 2)];
                (a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0]))
                    / 6.0
            })
            .sum();
        assert!((1e-3..5e-3).contains(&volume), "{name}: {volume} m³");
    }
}
