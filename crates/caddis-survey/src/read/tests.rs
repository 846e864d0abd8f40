//! Readers on small sound files of every format, on broken ones and on noise.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
#![expect(clippy::format_push_string, reason = "small files, written readably")]

use super::*;
use proptest::prelude::*;
use std::io::Write;

/// A tetrahedron 30 x 20 x 10.
const CORNERS: [[f32; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [30.0, 0.0, 0.0],
    [0.0, 20.0, 0.0],
    [0.0, 0.0, 10.0],
];
const FACES: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
const VOLUME: f64 = 30.0 * 20.0 * 10.0 / 6.0 * 1e-9;

fn name(text: &str) -> Name {
    Name::new(text)
}

fn stl() -> Vec<u8> {
    let mut bytes = b"solid that is binary all the same".to_vec();
    bytes.resize(80, b' ');
    bytes.extend(4_u32.to_le_bytes());
    for face in FACES {
        bytes.extend([0; 12]);
        for corner in face {
            bytes.extend(CORNERS[corner as usize].iter().flat_map(|v| v.to_le_bytes()));
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn stl_text() -> String {
    let mut text = "solid tetra\n".to_owned();
    for face in FACES {
        text.push_str("facet normal 0 0 0\n outer loop\n");
        for corner in face {
            let [x, y, z] = CORNERS[corner as usize];
            text.push_str(&format!("  vertex {x} {y:e} {z}\n"));
        }
        text.push_str(" endloop\nendfacet\n");
    }
    text + "endsolid tetra\n"
}

fn obj() -> String {
    let mut text = "# tetra\no tetra\n".to_owned();
    for [x, y, z] in CORNERS {
        text.push_str(&format!("v {x} {y} {z}\n"));
    }
    text.push_str("f 1 3 2\nf 1/1 2/2 4/3\nf -3//1 -2//1 -1//1\nf 3 1 \\\n4\n");
    text
}

fn ply_text() -> String {
    let mut text = "ply\nformat ascii 1.0\ncomment tetra\nelement vertex 4\nproperty float x\nproperty float y\n\
                    property float z\nproperty uchar red\nelement face 4\nproperty list uchar int vertex_indices\nend_header\n"
        .to_owned();
    for [x, y, z] in CORNERS {
        text.push_str(&format!("{x} {y} {z} 255\n"));
    }
    for [a, b, c] in FACES {
        text.push_str(&format!("3 {a} {b} {c}\n"));
    }
    text
}

fn ply(is_big: bool) -> Vec<u8> {
    let form = if is_big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut bytes = format!(
        "ply\nformat {form} 1.0\nelement vertex 4\nproperty double x\nproperty float y\nproperty float z\n\
         element face 4\nproperty list uint8 uint vertex_index\nend_header\n"
    )
    .into_bytes();
    for [x, y, z] in CORNERS {
        let (x, y, z) = (f64::from(x).to_le_bytes(), y.to_le_bytes(), z.to_le_bytes());
        for mut number in [x.to_vec(), y.to_vec(), z.to_vec()] {
            if is_big {
                number.reverse();
            }
            bytes.extend(number);
        }
    }
    for face in FACES {
        bytes.push(3);
        for corner in face {
            bytes.extend(if is_big {
                corner.to_be_bytes()
            } else {
                corner.to_le_bytes()
            });
        }
    }
    bytes
}

fn glb_of(json: &str, binary: &[u8]) -> Vec<u8> {
    let mut json = json.as_bytes().to_vec();
    json.resize(json.len().div_ceil(4) * 4, b' ');
    let mut bytes = b"glTF".to_vec();
    bytes.extend(2_u32.to_le_bytes());
    bytes.extend(((28 + json.len() + binary.len()) as u32).to_le_bytes());
    bytes.extend((json.len() as u32).to_le_bytes());
    bytes.extend(b"JSON");
    bytes.extend(json);
    bytes.extend((binary.len() as u32).to_le_bytes());
    bytes.extend(b"BIN\0");
    bytes.extend(binary);
    bytes
}

/// The tetrahedron in millimetres, scaled to metres by its node and stood up: z of the solid is y of the file.
fn glb() -> Vec<u8> {
    let mut binary: Vec<u8> = CORNERS
        .iter()
        .flat_map(|&[x, y, z]| [x, z, -y])
        .flat_map(f32::to_le_bytes)
        .collect();
    binary.extend(FACES.iter().flatten().flat_map(|&i| (i as u16).to_le_bytes()));
    glb_of(
        r#"{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],
            "nodes":[{"children":[1],"scale":[0.001,0.001,0.001]},{"mesh":0}],
            "meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],
            "accessors":[{"bufferView":0,"componentType":5126,"count":4,"type":"VEC3"},
                         {"bufferView":1,"componentType":5123,"count":12,"type":"SCALAR"}],
            "bufferViews":[{"buffer":0,"byteOffset":0,"byteLength":48},{"buffer":0,"byteOffset":48,"byteLength":24}],
            "buffers":[{"byteLength":72}]}"#,
        &binary,
    )
}

fn zip_of(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (path, text) in parts {
        writer
            .start_file(
                *path,
                zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored),
            )
            .unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

const RELATIONS: &str = r#"<?xml version="1.0"?><Relationships><Relationship Id="r" Target="/3D/3dmodel.model"
    Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;

/// The tetrahedron as a component of another object, turned a half turn about z by the build.
fn model(unit: &str, transform: &str) -> String {
    let mut text = format!(
        r#"<?xml version="1.0"?><model unit="{unit}" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
        <resources><object id="1"><mesh><vertices>"#
    );
    for [x, y, z] in CORNERS {
        text.push_str(&format!(r#"<vertex x="{x}" y="{y}" z="{z}"/>"#));
    }
    text.push_str("</vertices><triangles>");
    for [a, b, c] in FACES {
        text.push_str(&format!(r#"<triangle v1="{a}" v2="{b}" v3="{c}"/>"#));
    }
    text.push_str(&format!(
        r#"</triangles></mesh></object><object id="2"><components><component objectid="1"/></components></object></resources>
        <build><item objectid="2" transform="{transform}"/></build></model>"#
    ));
    text
}

fn three_mf(unit: &str, transform: &str) -> Vec<u8> {
    zip_of(&[
        ("_rels/.rels", RELATIONS),
        ("3D/3dmodel.model", &model(unit, transform)),
    ])
}

fn check_tetra(mesh: &Mesh, report: &MeshReport) {
    assert!(
        report.is_closed && report.triangles == 4 && report.bodies == 1,
        "{report:?}"
    );
    assert_eq!(mesh.positions.len(), 4);
    let volume = mesh.mass_properties().volume;
    assert!((volume / VOLUME - 1.0).abs() < 1e-6, "{volume}");
    let size = mesh.bounds().unwrap().size();
    assert!(size.distance(Vec3::new(0.03, 0.02, 0.01)) < 1e-8, "{size:?}");
}

#[test]
fn every_format_gives_the_same_solid() {
    let files: [(&str, Vec<u8>); 8] = [
        ("part.stl", stl()),
        ("part.STL", stl_text().into_bytes()),
        ("part.obj", obj().into_bytes()),
        ("part.ply", ply_text().into_bytes()),
        ("part.ply", ply(false)),
        ("part.ply", ply(true)),
        ("part.glb", glb()),
        ("part.3mf", three_mf("millimeter", "-1 0 0 0 -1 0 0 0 1 5 5 5")),
    ];
    for (file, bytes) in files {
        let needs_unit = !(file.ends_with("glb") || file.ends_with("3mf"));
        let (mesh, report) =
            read_mesh(&bytes, &name(file), needs_unit.then_some(BenchUnit::Millimetre)).unwrap();
        check_tetra(&mesh, &report);
        assert!(report.repairs.is_empty(), "{file}: {:?}", report.repairs);
    }
}

#[test]
fn a_unit_is_asked_for_where_the_format_has_none() {
    for (file, bytes) in [
        ("part.stl", stl()),
        ("part.obj", obj().into_bytes()),
        ("part.ply", ply_text().into_bytes()),
    ] {
        let message = read_mesh(&bytes, &name(file), None).unwrap_err().to_string();
        for word in ["`unit`", file, "30.0", "`unit = \"mm\"`"] {
            assert!(message.contains(word), "{message}");
        }
    }
    let small: String = obj().replace("30 ", "0.3 ").replace(" 20 ", " 0.2 ");
    let small = small.replace("0 0 10", "0 0 0.1");
    let message = read_mesh(small.as_bytes(), &name("part.obj"), None)
        .unwrap_err()
        .to_string();
    assert!(
        message.contains("300.0 mm") && message.contains("`unit = \"m\"`"),
        "{message}"
    );
}

#[test]
fn three_mf_units_scale_and_a_given_unit_overrules() {
    let plain = "1 0 0 0 1 0 0 0 1 0 0 0";
    for (unit, metres) in [
        ("micron", 1e-6),
        ("inch", 0.0254),
        ("foot", 0.3048),
        ("meter", 1.0),
        ("centimeter", 0.01),
    ] {
        let (mesh, report) = match read_mesh(&three_mf(unit, plain), &name("a.3mf"), None) {
            Ok(read) => read,
            Err(error) => panic!("{unit}: {error}"),
        };
        assert_eq!(report.metres_per_unit, metres);
        assert!((mesh.bounds().unwrap().size().x / (30.0 * metres) - 1.0).abs() < 1e-12);
    }
    let (_, report) = read_mesh(
        &three_mf("inch", plain),
        &name("a.3mf"),
        Some(BenchUnit::Millimetre),
    )
    .unwrap();
    assert_eq!(report.unit, "mm");
    assert!(report.repairs[0].contains("it states in"), "{:?}", report.repairs);
    let error = read_mesh(&three_mf("furlong", plain), &name("a.3mf"), None).unwrap_err();
    assert!(error.to_string().contains("furlong"));
}

#[test]
fn a_mirroring_placement_keeps_the_outside_outside() {
    let bytes = three_mf("millimeter", "-1 0 0 0 1 0 0 0 1 0 0 0");
    let (mesh, report) = read_mesh(&bytes, &name("a.3mf"), None).unwrap();
    assert!(
        mesh.mass_properties().volume > 0.0 && report.repairs.is_empty(),
        "{report:?}"
    );
}

#[test]
fn an_inside_out_solid_is_turned_and_said() {
    let text = obj().replace(
        "f 1 3 2\nf 1/1 2/2 4/3\nf -3//1 -2//1 -1//1\nf 3 1 \\\n4",
        "f 1 2 3\nf 1 4 2\nf 2 4 3\nf 3 4 1",
    );
    let (mesh, report) = read_mesh(text.as_bytes(), &name("a.obj"), Some(BenchUnit::Millimetre)).unwrap();
    assert!(mesh.mass_properties().volume > 0.0);
    assert!(
        report.repairs.iter().any(|r| r.contains("inside out")),
        "{report:?}"
    );
}

#[test]
fn content_outranks_the_ending_and_says_so() {
    let (_, report) = read_mesh(&glb(), &name("part.stl"), None).unwrap();
    assert_eq!(report.format, MeshFormat::Glb);
    assert!(report.repairs[0].contains("GLB"));
}

#[test]
fn broken_files_give_their_own_errors() {
    let fails = |file: &str, bytes: &[u8], words: &[&str]| {
        let message = match read_mesh(bytes, &name(file), Some(BenchUnit::Millimetre)) {
            Ok(_) => panic!("{file} was read"),
            Err(error) => error.to_string(),
        };
        for word in words.iter().chain(&[file]) {
            assert!(message.contains(word), "`{message}` lacks `{word}`");
        }
    };
    fails("a.stl", b"", &["empty"]);
    fails("a.txt", b"hello", &["STL, 3MF, GLB, OBJ, PLY or STEP"]);
    fails("a.stl", b"hello", &["not sound STL"]);
    let mut huge = stl();
    huge[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    huge[..5].copy_from_slice(b"other");
    fails("a.stl", &huge, &["4294967295 triangles", "room for 4"]);
    let mut empty = stl();
    empty.truncate(84);
    empty[80..84].copy_from_slice(&0_u32.to_le_bytes());
    fails("a.stl", &empty, &["no triangles"]);
    let mut nan = stl();
    nan[96..100].copy_from_slice(&f32::NAN.to_le_bytes());
    fails("a.stl", &nan, &["vertex 0", "finite"]);
    fails(
        "a.stl",
        b"solid x\nfacet normal 0 0 0\nvertex 1 2 q\n",
        &["line 3", "`q`"],
    );
    fails(
        "a.stl",
        b"solid x\nfacet normal 0 0 0\nvertex 1 2 3\nendfacet\n",
        &["line 4", "1 vertices"],
    );
    fails("a.obj", b"v 0 0 0\nf 1 2 9\n", &["line 2", "`2`"]);
    fails("a.obj", b"v 0 0 0\nf 0 0 0\n", &["line 2"]);
    fails("a.obj", b"v 0 0 zero\n", &["`zero`"]);
    fails("a.obj", b"v 0 0 0\n", &["no triangles"]);
    fails(
        "a.ply",
        b"ply\nformat ascii 1.0\nelement vertex 99999999999\nproperty float x\n",
        &["end_header"],
    );
    fails(
        "a.ply",
        b"ply\nformat ascii 1.0\nelement vertex 99999999999\nproperty float x\nend_header\n0\n",
        &["99999999999 rows"],
    );
    fails("a.ply", b"ply\nformat odd 1.0\nend_header\n", &["format odd"]);
    fails("a.glb", b"glTF\x02\0\0\0\x01\0\0\0", &["no JSON"]);
    fails("a.glb", b"glTF\x01\0\0\0\x01\0\0\0", &["version 1"]);
    fails(
        "a.glb",
        &glb_of(r#"{"nodes":[{"children":[0]}],"scenes":[{"nodes":[0]}]}"#, b""),
        &["ring"],
    );
    fails(
        "a.glb",
        &glb_of(r#"{"extensionsRequired":["KHR_draco_mesh_compression"]}"#, b""),
        &["draco"],
    );
    fails(
        "a.glb",
        &glb_of(
            r#"{"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"scenes":[{"nodes":[]}],
                "accessors":[{"bufferView":0,"componentType":5126,"count":18446744073709551615,"type":"VEC3"}],
                "bufferViews":[{"buffer":0,"byteLength":4}],"buffers":[{}]}"#,
            b"0000",
        ),
        &["accessor 0"],
    );
    fails("a.3mf", b"PK\x03\x04nothing", &["zip"]);
    fails("a.3mf", &zip_of(&[("x", "y")]), &["_rels/.rels is not there"]);
    fails(
        "a.3mf",
        &zip_of(&[("_rels/.rels", RELATIONS)]),
        &["3dmodel.model is not there"],
    );
    let broken = |from: &str, to: &str| {
        let plain = "1 0 0 0 1 0 0 0 1 0 0 0";
        zip_of(&[
            ("_rels/.rels", RELATIONS),
            ("3D/3dmodel.model", &model("millimeter", plain).replace(from, to)),
        ])
    };
    fails("a.3mf", &broken("v3=\"3\"", "v3=\"9\""), &["vertex 9 of 4"]);
    fails("a.3mf", &broken("x=\"30\"", "x=\"wide\""), &["vertex without"]);
    fails(
        "a.3mf",
        &broken("component objectid=\"1\"", "component objectid=\"2\""),
        &["ring"],
    );
    fails(
        "a.3mf",
        &broken("item objectid=\"2\"", "item objectid=\"7\""),
        &["object 7"],
    );
    fails(
        "a.3mf",
        &broken("1 0 0 0 1 0 0 0 1 0 0 0", "1 0 0"),
        &["transform"],
    );
    fails("a.3mf", &broken("</model>", "</modell>"), &["byte"]);
}

#[test]
fn doubled_components_cannot_fill_the_memory() {
    // Thirty objects, each holding the one before twice: 2^30 tetrahedra if it were followed blindly.
    let mut objects = String::new();
    for k in 3..33 {
        objects.push_str(&format!(
            r#"<object id="{k}"><components><component objectid="{p}"/><component objectid="{p}"/></components></object>"#,
            p = k - 1
        ));
    }
    let text = model("millimeter", "1 0 0 0 1 0 0 0 1 0 0 0")
        .replace("</resources>", &format!("{objects}</resources>"))
        .replace("item objectid=\"2\"", "item objectid=\"32\"");
    let bytes = zip_of(&[("_rels/.rels", RELATIONS), ("3D/3dmodel.model", &text)]);
    let message = read_mesh(&bytes, &name("a.3mf"), None).unwrap_err().to_string();
    assert!(message.contains("far too many"), "{message}");
}

/// Every sound file above.
fn sound() -> Vec<(&'static str, Vec<u8>)> {
    vec![
        ("a.stl", stl()),
        ("a.stl", stl_text().into_bytes()),
        ("a.obj", obj().into_bytes()),
        ("a.ply", ply_text().into_bytes()),
        ("a.ply", ply(false)),
        ("a.ply", ply(true)),
        ("a.glb", glb()),
        ("a.3mf", three_mf("millimeter", "1 0 0 0 1 0 0 0 1 0 0 0")),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_noise_panics(bytes in prop::collection::vec(any::<u8>(), 0..400), which in 0..5_usize, mark in 0..4_usize) {
        let file = ["a.stl", "a.3mf", "a.glb", "a.obj", "a.ply"][which];
        let marks: [&[u8]; 4] = [b"", b"glTF\x02\0\0\0", b"PK\x03\x04", b"ply\nformat ascii 1.0\n"];
        let bytes = [marks[mark], &bytes].concat();
        let _ = read_mesh(&bytes, &name(file), Some(BenchUnit::Millimetre));
    }

    #[test]
    fn no_mutation_panics(which in 0..8_usize, cut in 0.0..1.2_f64, changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..8)) {
        let (file, mut bytes) = sound().swap_remove(which);
        if cut < 1.0 {
            bytes.truncate((bytes.len() as f64 * cut) as usize);
        }
        for (index, value) in changes {
            if !bytes.is_empty() {
                let at = index.index(bytes.len());
                bytes[at] = value;
            }
        }
        let _ = read_mesh(&bytes, &name(file), Some(BenchUnit::Millimetre));
    }
}
