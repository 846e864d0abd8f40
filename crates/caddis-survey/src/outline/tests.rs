use super::*;
use std::fmt::Write;

fn depth(mm: f64) -> Profile {
    Profile::of_depth(Length::mm(mm)).expect("a depth")
}

fn read(
    bytes: &[u8],
    name: &str,
    unit: Option<&str>,
    profile: &Profile,
) -> Result<(Mesh, MeshReport), ReadError> {
    let unit = unit.map(|unit| BenchUnit::parse(unit).expect("a unit"));
    read_outline(bytes, &Name::new(name), unit, profile)
}

fn dxf(header: &str, entities: &str) -> Vec<u8> {
    format!("  0\nSECTION\n  2\nHEADER\n{header}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n")
        .into_bytes()
}

const MM: &str = "  9\n$INSUNITS\n 70\n4\n";

fn line(layer: &str, a: [f64; 2], b: [f64; 2]) -> String {
    format!(
        "  0\nLINE\n  8\n{layer}\n 10\n{}\n 20\n{}\n 11\n{}\n 21\n{}\n",
        a[0], a[1], b[0], b[1]
    )
}

fn square(layer: &str, side: f64) -> String {
    let corners = [[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]];
    // The second line runs the other way, and the order is mixed.
    [
        line(layer, corners[2], corners[3]),
        line(layer, corners[2], corners[1]),
        line(layer, corners[0], corners[1]),
        line(layer, corners[3], corners[0]),
    ]
    .concat()
}

fn millilitres(mesh: &Mesh) -> f64 {
    mesh.mass_properties().volume * 1e6
}

#[test]
fn lines_in_any_order_and_sense_close_to_a_prism() {
    let (mesh, report) = read(&dxf(MM, &square("0", 40.0)), "plate.dxf", None, &depth(10.0)).expect("sound");
    assert!(report.is_closed && report.repairs.is_empty(), "{report:?}");
    assert_eq!(
        (report.unit.as_str(), report.unit_source),
        ("mm", UnitSource::File)
    );
    assert!((millilitres(&mesh) - 16.0).abs() < 1e-9, "{}", millilitres(&mesh));
}

#[test]
fn arcs_stand_off_outwards_by_a_hundredth_of_a_millimetre_at_most() {
    let circle = "  0\nCIRCLE\n  8\n0\n 10\n5\n 20\n5\n 40\n30\n";
    let (mesh, _) = read(&dxf(MM, circle), "disc.dxf", None, &depth(10.0)).expect("sound");
    let exact = std::f64::consts::PI * 9.0;
    let found = millilitres(&mesh);
    assert!(
        found >= exact && found < exact * (1.0 + 2.0 * 0.011 / 30.0),
        "{found}, exact {exact}"
    );
}

#[test]
fn a_mirrored_half_ring_of_arcs_and_a_block_array() {
    // A bulge of 1 is a half circle; seen from below it lies on the other side of y.
    let half = "  0\nLWPOLYLINE\n  8\n0\n 70\n1\n230\n-1\n 10\n0\n 20\n0\n 42\n1\n 10\n20\n 20\n0\n";
    let (mesh, _) = read(&dxf(MM, half), "half.dxf", None, &depth(10.0)).expect("sound");
    let bounds = mesh.bounds().expect("a box");
    assert!(
        (bounds.min.x + 0.02).abs() < 2e-5 && bounds.max.x.abs() < 2e-5,
        "{bounds:?}"
    );
    let block = format!(
        "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nPIN\n 10\n0\n 20\n0\n{}  0\nENDBLK\n  0\nENDSEC\n",
        square("0", 2.0)
    );
    let insert =
        "  0\nINSERT\n  8\npins\n  2\npin\n 10\n100\n 20\n0\n 41\n2\n 42\n1\n 50\n90\n 70\n3\n 44\n10\n";
    let text = String::from_utf8(dxf(MM, insert)).expect("text");
    let text = text.replacen("  0\nENDSEC\n", &format!("  0\nENDSEC\n{block}"), 1);
    let (mesh, report) = read(text.as_bytes(), "pins.dxf", None, &depth(10.0)).expect("sound");
    assert_eq!(report.bodies, 3, "{report:?}");
    assert!((millilitres(&mesh) - 3.0 * 0.08).abs() < 1e-9);
    let size = mesh.bounds().expect("a box").size();
    assert!(
        (size.x - 0.002).abs() < 1e-9 && (size.y - 0.024).abs() < 1e-9,
        "{size:?}"
    );
    assert!(report.doubts[0].said().contains("3 separate pieces"));
}

#[test]
fn a_rational_spline_of_a_circle_has_its_area() {
    // The usual nine points with weights 1 and 1/sqrt 2.
    let w = 0.5f64.sqrt();
    let ring = [
        (1.0, 0.0),
        (1.0, 1.0),
        (0.0, 1.0),
        (-1.0, 1.0),
        (-1.0, 0.0),
        (-1.0, -1.0),
        (0.0, -1.0),
        (1.0, -1.0),
        (1.0, 0.0),
    ];
    let mut text = "  0\nSPLINE\n  8\n0\n 70\n5\n 71\n2\n".to_owned();
    for knot in [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4] {
        let _ = write!(text, " 40\n{knot}\n");
    }
    for (k, (x, y)) in ring.iter().enumerate() {
        let weight = if k % 2 == 1 { w } else { 1.0 };
        let _ = write!(text, " 41\n{weight}\n 10\n{}\n 20\n{}\n", x * 25.0, y * 25.0);
    }
    let (mesh, _) = read(&dxf(MM, &text), "ring.dxf", None, &depth(1.0)).expect("sound");
    let exact = std::f64::consts::PI * 625.0 * 1e-3;
    assert!(
        (millilitres(&mesh) / exact - 1.0).abs() < 1e-3,
        "{}",
        millilitres(&mesh)
    );
}

#[test]
fn inner_outlines_are_filled_unless_they_go_through() {
    let hole = "  0\nCIRCLE\n  8\nholes\n 10\n20\n 20\n20\n 40\n5\n";
    let bytes = dxf(MM, &(square("body", 40.0) + hole));
    let (mesh, report) = read(&bytes, "a.dxf", None, &depth(10.0)).expect("sound");
    assert!((millilitres(&mesh) - 16.0).abs() < 1e-9);
    assert!(
        report.repairs[0].contains("filled as details of the surface: 1"),
        "{report:?}"
    );
    let through = Profile {
        has_holes: true,
        ..depth(10.0)
    };
    let (mesh, _) = read(&bytes, "a.dxf", None, &through).expect("sound");
    let exact = 16.0 - std::f64::consts::PI * 0.25;
    let found = millilitres(&mesh);
    // On the outside of the solid is on the inside of the hole.
    assert!(found >= exact && found < exact + 0.002, "{found}, exact {exact}");
}

#[test]
fn a_profile_steps_by_insets_and_by_layers() {
    let bytes = dxf(MM, &(square("body", 40.0) + &square("knob", 10.0)));
    let step = |height: f64, inset: f64, layer: Option<&str>| {
        ProfileStep::new(Length::mm(height), Length::mm(inset), layer.map(str::to_owned)).expect("a step")
    };
    let profile = Profile {
        steps: vec![
            step(10.0, 0.0, Some("BODY")),
            step(2.0, 5.0, Some("BODY")),
            step(8.0, 0.0, Some("knob")),
        ],
        has_holes: false,
    };
    let (mesh, report) = read(&bytes, "a.dxf", None, &profile).expect("sound");
    assert!(report.is_closed && report.doubts.is_empty(), "{report:?}");
    assert!(
        (millilitres(&mesh) - (16.0 + 1.8 + 0.8)).abs() < 1e-6,
        "{}",
        millilitres(&mesh)
    );
    assert!((mesh.bounds().expect("a box").size().z - 0.02).abs() < 1e-12);
    let lost = Profile {
        steps: vec![step(1.0, 0.0, Some("lid"))],
        has_holes: false,
    };
    let error = read(&bytes, "a.dxf", None, &lost)
        .expect_err("no layer")
        .to_string();
    assert!(
        error.contains("`lid`") && error.contains("`body`, `knob`"),
        "{error}"
    );
    let eaten = Profile {
        steps: vec![step(1.0, 25.0, Some("body"))],
        has_holes: false,
    };
    let error = read(&bytes, "a.dxf", None, &eaten)
        .expect_err("nothing left")
        .to_string();
    assert!(error.contains("inset of step 1"), "{error}");
}

#[test]
fn what_may_be_outline_and_is_not_read_is_doubted() {
    let hatch = "  0\nHATCH\n  8\n0\n 10\n0\n 20\n0\n";
    let fitted = "  0\nSPLINE\n  8\n0\n 71\n3\n 74\n2\n 11\n0\n 21\n0\n 11\n9\n 21\n9\n";
    let text = "  0\nTEXT\n  8\n0\n 10\n0\n 20\n0\n  1\nwords\n";
    let drawn = |more: &str| {
        let bytes = dxf("", &(square("0", 40.0) + more));
        read(&bytes, "part.dxf", Some("mm"), &depth(9.0))
            .expect("a square")
            .1
    };
    assert!(drawn(text).doubts.is_empty());
    for (more, word) in [(hatch, "1 HATCH"), (fitted, "1 SPLINE without control points")] {
        let report = drawn(more);
        assert!(report.doubts[0].said().contains(word), "{:?}", report.doubts);
    }
    for (alone, word) in [(hatch, "only 1 HATCH"), (fitted, "only 1 SPLINE")] {
        let refused = read(&dxf("", alone), "part.dxf", Some("mm"), &depth(9.0)).expect_err("no outline");
        assert!(refused.to_string().contains(word), "{refused}");
    }
}

#[test]
fn what_is_no_outline_is_refused_with_its_own_sentence() {
    let refused = |bytes: &[u8], name: &str, words: &[&str]| {
        let error = read(bytes, name, None, &depth(10.0)).expect_err(name).to_string();
        for word in words {
            assert!(error.contains(word), "`{error}` lacks `{word}`");
        }
    };
    refused(b"", "a.dxf", &["a.dxf is empty"]);
    refused(b"hello\nworld\n", "a.dxf", &["line 1", "group code"]);
    refused(&dxf(MM, ""), "a.dxf", &["nothing is drawn"]);
    refused(&dxf(MM, "  0\nTEXT\n  8\n0\n"), "a.dxf", &["only 1 TEXT"]);
    let open = line("0", [0.0, 0.0], [40.0, 0.0]) + &line("0", [40.0, 0.0], [40.0, 5.0]);
    refused(&dxf(MM, &open), "a.dxf", &["none closes", "40.31 mm"]);
    refused(&dxf("", &square("0", 40.0)), "a.dxf", &["`unit`", "mm", "40.0"]);
    refused(
        &dxf("  9\n$MEASUREMENT\n 70\n0\n", &square("0", 4.0)),
        "a.dxf",
        &["\"in\"", "$MEASUREMENT says inches"],
    );
    refused(&dxf(MM, &square("0", 1e300)), "a.dxf", &["finite length"]);
    refused(&dxf(MM, &square("0", f64::NAN)), "a.dxf", &["finite length"]);
    let own =
        "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nA\n  0\nINSERT\n  2\nA\n  0\nENDBLK\n  0\nENDSEC\n";
    let insert = String::from_utf8(dxf(MM, "  0\nINSERT\n  2\nA\n")).expect("text");
    let text = insert.replacen("  0\nENDSEC\n", &format!("  0\nENDSEC\n{own}"), 1);
    refused(text.as_bytes(), "a.dxf", &["blocks", "hold themselves"]);
    refused(b"<svg", "a.svg", &["XML"]);
    refused(b"\x1f\x8b\x08", "a.svgz", &["compressed"]);
    refused(
        b"<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm'/>",
        "a.svg",
        &["nothing is drawn"],
    );
}

#[test]
fn an_array_bomb_is_refused() {
    let mut blocks = format!(
        "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nB0\n{}  0\nENDBLK\n",
        square("0", 1.0)
    );
    for k in 1..9 {
        let _ = write!(
            blocks,
            "  0\nBLOCK\n  2\nB{k}\n  0\nINSERT\n  2\nB{}\n 70\n10000\n 71\n10000\n 44\n1\n 45\n1\n  0\nENDBLK\n",
            k - 1
        );
    }
    blocks += "  0\nENDSEC\n";
    let insert = String::from_utf8(dxf(MM, "  0\nINSERT\n  2\nB8\n")).expect("text");
    let text = insert.replacen("  0\nENDSEC\n", &format!("  0\nENDSEC\n{blocks}"), 1);
    let error = read(text.as_bytes(), "a.dxf", None, &depth(1.0))
        .expect_err("a bomb")
        .to_string();
    assert!(error.contains("more than 400000"), "{error}");
}

fn svg(attributes: &str, body: &str) -> Vec<u8> {
    format!("<svg xmlns='http://www.w3.org/2000/svg' {attributes}>{body}</svg>").into_bytes()
}

#[test]
fn svg_sizes_transforms_and_curves() {
    let body =
        "<g id='body' transform='translate(10 10) rotate(90)'><rect width='40' height='20' rx='5'/></g>";
    let bytes = svg("width='100mm' height='50mm' viewBox='0 0 200 100'", body);
    let (mesh, report) = read(&bytes, "a.svg", None, &depth(10.0)).expect("sound");
    assert_eq!(
        (report.unit.as_str(), report.unit_source),
        ("mm", UnitSource::File)
    );
    let size = mesh.bounds().expect("a box").size();
    // Two numbers of the view box to a millimetre, turned by a quarter.
    assert!(
        (size.x - 0.01).abs() < 1e-5 && (size.y - 0.02).abs() < 1e-5,
        "{size:?}"
    );
    let exact = (40.0 * 20.0 - (4.0 - std::f64::consts::PI) * 25.0) / 4.0 * 1e-2;
    assert!(
        (millilitres(&mesh) / exact - 1.0).abs() < 2e-3,
        "{} {exact}",
        millilitres(&mesh)
    );
}

#[test]
fn svg_without_a_physical_size_asks_for_the_unit() {
    let bytes = svg("viewBox='0 0 200 100'", "<path d='M0 0H100V50H0'/><text>x</text>");
    let error = read(&bytes, "a.svg", None, &depth(10.0))
        .expect_err("no unit")
        .to_string();
    assert!(error.contains("`unit`") && error.contains("100.0"), "{error}");
    let (mesh, report) = read(&bytes, "a.svg", Some("mm"), &depth(10.0)).expect("sound");
    assert!((millilitres(&mesh) - 50.0).abs() < 1e-3);
    assert!(
        report.repairs.iter().any(|said| said.contains("closed straight")),
        "{report:?}"
    );
    assert!(
        report.repairs.iter().any(|said| said.contains("1 <text>")),
        "{report:?}"
    );
}

#[test]
fn entities_that_multiply_are_refused() {
    let mut dtd = "<!DOCTYPE svg [<!ENTITY a0 'aaaaaaaaaa'>".to_owned();
    for k in 1..12 {
        let _ = write!(dtd, "<!ENTITY a{k} '{}'>", format!("&a{};", k - 1).repeat(10));
    }
    let bytes = [
        format!("{dtd}]>").into_bytes(),
        svg("width='1mm' height='1mm'", "<text>&a11;</text>"),
    ]
    .concat();
    let error = read(&bytes, "bomb.svg", None, &depth(1.0))
        .expect_err("a bomb")
        .to_string();
    assert!(error.contains("XML"), "{error}");
}
