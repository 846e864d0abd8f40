//! Every library file and the demonstration job read; every kind of bad input names its field and what would do.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{Certainty, Length, Pressure};
use caddis_files::{
    DirectReader, EntryKind, FileError, Job, JobFile, Library, ShopEntry, find_process, find_template,
    new_job, read_foam, read_job, read_process, read_shell, read_shop,
};
use caddis_protection::{LawKind, gibson_ashby};
use caddis_survey::{Fragility, ItemShape};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

fn library() -> Library {
    Library::new(vec![root().join("library")])
}

fn demo() -> Job {
    read_job(&root().join("jobs/tindra-ridge"), &library(), &DirectReader)
        .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()))
}

/// A shop's text with the library's processes.
fn shop_of(text: &str, process: Option<&str>) -> Result<ShopEntry, FileError> {
    let library = library();
    read_shop(text.as_bytes(), "x.toml", process, &mut |name| {
        find_process(&library, name, "x.toml")
    })
}

/// A folder of its own below the build's, made fresh.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// The template with one text replaced, read as a job.
fn spoiled(name: &str, from: &str, to: &str) -> FileError {
    let folder = folder(name);
    let path = new_job(&folder, None).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "the template does not hold `{from}`");
    fs::write(&path, text.replacen(from, to, 1)).unwrap();
    read_job(&folder, &library(), &DirectReader)
        .err()
        .unwrap_or_else(|| panic!("{name}: it was read"))
}

fn check(error: &FileError, field: &str, line: Option<&str>, problem: &str, hint: &str) {
    let message = error.to_string();
    assert_eq!(error.place().field, field, "{message}");
    assert!(message.contains(problem), "{message}");
    assert!(
        error.hint().unwrap_or_default().contains(hint),
        "{message}\nhint: {:?}",
        error.hint()
    );
    if let Some(expected) = line {
        let text = fs::read_to_string(&error.place().file).unwrap();
        let number = error.place().line.unwrap_or_else(|| panic!("{message}: no line"));
        let found = text.lines().nth(number - 1).unwrap();
        assert!(
            found.contains(expected),
            "line {number} is `{found}`, not `{expected}`"
        );
    }
}

#[test]
fn every_shell_reads_and_holds_together() {
    let names = library().names(EntryKind::Shell);
    assert!(names.len() >= 5, "{names:?}");
    for name in names {
        let path = library().path(EntryKind::Shell, &name).unwrap();
        let shell = read_shell(&fs::read(&path).unwrap(), &name, &path.display().to_string())
            .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()));
        assert_eq!(shell.source.certainty, Certainty::Invented);
        assert!(shell.base.rim.length.plus_minus.is_some() && shell.base.rim.length.source.is_some());
        let failing: Vec<_> = shell
            .check()
            .into_iter()
            .filter(|finding| finding.severity == caddis_basis::Severity::Failing)
            .collect();
        assert!(failing.is_empty(), "{name}: {failing:?}");
        for (inside, outside) in [(&shell.base.rim.length, 0), (&shell.base.rim.width, 1)] {
            assert!(inside.most() < shell.outside[outside].least(), "{name}");
        }
    }
}

#[test]
fn the_main_shell_is_what_the_job_needs() {
    let shell = demo().brief.shell;
    assert!((shell.base.rim.length.value.as_mm() - 640.0).abs() < 20.0);
    assert!((shell.base.rim.width.value.as_mm() - 400.0).abs() < 20.0);
    assert!((shell.base.depth.value.as_mm() - 240.0).abs() < 1.0);
    assert_eq!(shell.lid.intrusions.iter().filter(|boss| boss.removed).count(), 2);
    let linear: Length = shell.outside.iter().map(caddis_basis::Measured::most).sum();
    assert!(linear.as_mm() < 1575.0, "{linear}");
}

#[test]
fn every_foam_reads() {
    let names = library().names(EntryKind::Foam);
    assert!(names.len() >= 4, "{names:?}");
    for name in names {
        let path = library().path(EntryKind::Foam, &name).unwrap();
        let foam = read_foam(&fs::read(&path).unwrap(), &name, &path.display().to_string())
            .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()));
        assert!(!foam.law.is_measured_dynamic, "{name}: no entry has impact data");
        match foam.law.kind {
            LawKind::Table(points) => {
                assert_eq!(foam.law.source.certainty, Certainty::Measured);
                // The reference's own interpolated value of the dataset: 57.273 kPa at 25 %.
                let after = points.iter().position(|p| p.0 >= 0.25).unwrap();
                let (a, b) = (points[after - 1], points[after]);
                let stress = a.1 + (b.1 - a.1) * (0.25 - a.0) / (b.0 - a.0);
                assert!((stress - 57_273.0).abs() < 1.0, "{stress}");
                assert_eq!(points.len(), 200);
            }
            _ => assert_eq!(foam.law.source.certainty, Certainty::Model, "{name}"),
        }
    }
}

/// A foam file with this law.
fn foam_with(law: &str) -> Result<caddis_protection::Foam, caddis_files::FileError> {
    let text = format!(
        "schema = 1\ntitle = \"test\"\nmaterial = \"test\"\nsource = \"made up (invented)\"\ndensity = \"30 kg/m3\"\n\
         cells = \"open\"\ncavity_clearance = \"0 mm\"\nwall_squeeze = [\"0 mm\", \"1 mm\"]\nleast_web = \"12 mm\"\n\
         colour = \"#101010\"\n{law}"
    );
    read_foam(text.as_bytes(), "test", "test.toml")
}

const LAW_HEAD: &str = "source = \"made up (invented)\"\ngravity_in_fit = true\nmeasured_dynamic = false\n";

#[test]
fn every_form_of_a_law_reads() {
    let gas = "{ source = \"x (invented)\", gravity_in_fit = false, measured_dynamic = false, range = { \
         greatest_strain = 0.8 }, closed_cell_gas = { s0 = \"20 kPa\", p0 = \"101 kPa\", r = 0.03 } }";
    let curve = |height: &str, peaks: &str| {
        format!(
            "[[law.cushion_curves]]\nthickness = \"50 mm\"\ndrop_height = \"{height}\"\n\
             static_stress = [\"1 kPa\", \"2 kPa\", \"4 kPa\"]\npeak = [{peaks}]\n"
        )
    };
    for (form, law) in [
        (
            "spring",
            format!(
                "[law]\n{LAW_HEAD}spring = {{ form = \"hyperbolic-tangent\", modulus = \"200 kPa\", ceiling = \"60 kPa\" }}\n\
                 range = {{ greatest_strain = 0.7 }}\n"
            ),
        ),
        (
            "cushion curves",
            format!(
                "[law]\n{LAW_HEAD}{}{}",
                curve("0.6 m", "\"60 G\", \"45 G\", \"70 G\""),
                curve("0.9 m", "\"80 G\", \"65 G\", \"120 G\"")
            ),
        ),
        (
            "stack",
            format!(
                "[law]\n{LAW_HEAD}stack = {{ order = \"series\", parts = [{{ share = 0.4, law = {gas} }}, {{ share = 0.6, law = {gas} }}] }}\n"
            ),
        ),
        (
            "convoluted",
            format!("[law]\n{LAW_HEAD}convoluted = {{ finger_share = 0.2, law = {gas} }}\n"),
        ),
    ] {
        let foam =
            foam_with(&law).unwrap_or_else(|error| panic!("{form}: {error}\nhint: {:?}", error.hint()));
        let point = foam
            .law
            .cushion_point(
                caddis_basis::Pressure::kpa(2.0),
                Length::mm(700.0),
                Length::mm(50.0),
            )
            .unwrap_or_else(|error| panic!("{form}: {error}"));
        assert!(point.peak.as_g() > 10.0, "{form}: {}", point.peak);
    }
}

#[test]
fn a_wrong_law_names_its_field() {
    let curve = "[[law.cushion_curves]]\nthickness = \"50 mm\"\ndrop_height = \"0.6 m\"\nstatic_stress = [\"1 kPa\", \
                 \"2 kPa\"]\n";
    for (law, words) in [
        (
            format!("[law]\n{LAW_HEAD}{curve}peak = [\"60 G\"]\n"),
            "1 peaks stand beside 2",
        ),
        (
            format!("[law]\n{LAW_HEAD}{curve}peak = [\"60 G\", \"-4 G\"]\n"),
            "law.cushion_curves[0].peak[1]",
        ),
        (
            format!("[law]\n{LAW_HEAD}spring = {{ form = \"linear\", modulus = \"200 kPa\" }}\n"),
            "the law has no range",
        ),
        (
            format!(
                "[law]\n{LAW_HEAD}[law.convoluted]\nfinger_share = 1.2\nlaw = {{ source = \"x (invented)\", gravity_in_fit = false, \
                 measured_dynamic = false, range = {{ greatest_strain = 0.7 }}, spring = {{ form = \"linear\", modulus = \"200 kPa\" }} }}\n"
            ),
            "law.convoluted.finger_share",
        ),
        (
            format!(
                "[law]\n{LAW_HEAD}spring = {{ form = \"linear\", modulus = \"200 kPa\" }}\nrange = {{ greatest_strain = 0.7 }}\n\
                 [properties]\nflame-ratd = {{ has = true, source = \"x (invented)\" }}\n"
            ),
            "flame-ratd",
        ),
    ] {
        let error = foam_with(&law).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
        assert!(error.hint().is_some(), "{error}");
    }
}

#[test]
fn the_shop_stocks_every_layer_of_every_foam() {
    let path = library().path(EntryKind::Shop, "coldwater").unwrap();
    let entry = shop_of(&fs::read_to_string(&path).unwrap(), None)
        .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()));
    for foam in library().names(EntryKind::Foam) {
        for thickness in &entry.clearances.layer_thicknesses {
            assert!(
                entry
                    .shop
                    .stock
                    .iter()
                    .any(|sheet| sheet.foam == foam && sheet.thickness == *thickness),
                "no {foam} {thickness}"
            );
        }
    }
}

/// Entries that say their numbers come from the model keep to it, within rounding.
#[test]
fn model_foams_are_the_model() {
    let mut met = 0;
    for name in library().names(EntryKind::Foam) {
        let path = library().path(EntryKind::Foam, &name).unwrap();
        let foam = read_foam(&fs::read(&path).unwrap(), &name, &path.display().to_string()).unwrap();
        let LawKind::ClosedCellGas { s0, p0, r } = foam.law.kind else {
            continue;
        };
        let model = gibson_ashby(
            Pressure::from_si(200e6),
            caddis_basis::Density::from_si(920.0),
            foam.density,
        );
        let LawKind::ClosedCellGas {
            s0: of_model,
            r: relative,
            ..
        } = model
        else {
            panic!("{model:?}");
        };
        assert!(
            (s0 / of_model - 1.0).abs() < 0.03,
            "{name}: {s0} Pa, model {of_model} Pa"
        );
        assert!((r - relative).abs() < 6e-4 && p0 == 101_325.0, "{name}: {r}");
        assert!(foam.law.source.citation.contains("Gibson and Ashby"), "{name}");
        met += 1;
    }
    assert_eq!(met, 4);
}

#[test]
fn the_demonstration_reads_whole() {
    let job = demo();
    assert!(job.brief.items.len() >= 10);
    assert!(job.brief.items.iter().any(|item| item.quantity == 2));
    assert!(job.brief.items.iter().any(|item| item.softness.is_some()));
    assert!(
        job.brief
            .items
            .iter()
            .any(|item| item.fragility == Fragility::Unknown)
    );
    let mass: f64 = job
        .brief
        .items
        .iter()
        .map(|item| item.mass.most().si() * f64::from(item.quantity))
        .sum();
    assert!(mass + job.brief.shell.empty_mass.most().si() < 22.0, "{mass}");
    let meshes: Vec<_> = job
        .brief
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            ItemShape::Mesh { mesh, .. } => Some((item.id.to_string(), mesh)),
            _ => None,
        })
        .collect();
    assert!(meshes.len() >= 3);
    for (id, mesh) in meshes {
        let report = &job.meshes[&id];
        assert!(report.is_closed, "{id}: {report:?}");
        assert!((5_000..=100_000).contains(&report.triangles), "{id}: {report:?}");
        assert!(mesh.mass_properties().volume > 0.0, "{id} is inside out");
    }
    let formats: std::collections::BTreeSet<String> = job
        .meshes
        .values()
        .map(|report| report.format.to_string())
        .collect();
    assert_eq!(formats.into_iter().collect::<Vec<_>>(), ["3MF", "GLB", "STL"]);
    assert_eq!(job.inputs[0].path, "job.toml");
    assert!(
        job.inputs
            .iter()
            .any(|input| input.path == "shapes/seismometer.3mf")
    );
    assert_eq!(job.brief.batteries.len(), 1);
}

#[test]
fn the_template_works() {
    let folder = folder("template");
    new_job(&folder, None).unwrap();
    let job = read_job(&folder, &library(), &DirectReader)
        .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()));
    assert_eq!(job.brief.items.len(), 1);
    let again = new_job(&folder, None).unwrap_err();
    assert!(again.to_string().contains("already"), "{again}");
}

#[test]
fn every_template_of_the_library_works() {
    let library = library();
    let names = library.names(EntryKind::Template);
    assert!(names.len() >= 3, "{names:?}");
    for name in names {
        let (text, file) = find_template(&library, &name).unwrap();
        let folder = folder(&format!("template-{name}"));
        new_job(&folder, Some(&text)).unwrap();
        let job = read_job(&folder, &library, &DirectReader)
            .unwrap_or_else(|error| panic!("{name}: {error}\nhint: {:?}", error.hint()));
        assert_eq!(job.brief.items.len(), 1, "{name}");
        assert_eq!(job.brief.title, file.title, "{name}");
        assert!(!job.brief.journey.legs.is_empty(), "{name}");
    }
    let error = find_template(&library, "field-kit").unwrap_err();
    assert!(
        error.hint().unwrap_or_default().contains("field-kit-rolled"),
        "{error}"
    );
    assert!(find_template(&library, "../shop/coldwater").is_err());
}

#[test]
fn a_job_survives_writing_and_reading() {
    for path in [
        "jobs/tindra-ridge/job.toml",
        "crates/caddis-files/src/template.toml",
    ] {
        let text = fs::read_to_string(root().join(path)).unwrap();
        let job: JobFile = toml::from_str(&text).unwrap();
        let json = serde_json::to_string(&job).unwrap();
        let back: JobFile = serde_json::from_str(&json).unwrap();
        assert_eq!(serde_json::to_string(&back).unwrap(), json, "{path}");
    }
}

#[test]
fn a_wrong_unit_names_the_field_and_the_unit_meant() {
    let error = spoiled("inn", "length = \"200 mm\"", "length = \"24.5 inn\"");
    check(
        &error,
        "items[0].shape.box.length",
        Some("24.5 inn"),
        "`inn` in `24.5 inn`",
        "did you mean `in`? use one of mm, cm, m, in",
    );
    let error = spoiled("grams", "mass = \"2.5 kg ± 0.1 kg\"", "mass = \"2.5 mm\"");
    check(&error, "items[0].mass", Some("2.5 mm"), "`mm`", "kg");
}

#[test]
fn a_bare_number_is_refused_unless_the_file_states_its_unit() {
    let error = spoiled("bare", "length = \"200 mm\"", "length = 200");
    check(
        &error,
        "items[0].shape.box.length",
        Some("length = 200"),
        "`200` has no unit",
        "620 mm",
    );
    let error = spoiled("bare-text", "height = \"60 mm\"", "height = \"60\"");
    check(
        &error,
        "items[0].shape.box.height",
        Some("\"60\""),
        "has no unit",
        "620 mm",
    );

    let folder = folder("bench");
    let path = new_job(&folder, None).unwrap();
    let text = fs::read_to_string(&path)
        .unwrap()
        .replace("# units = \"in\"", "units = \"in\"")
        .replace("length = \"200 mm\"", "length = \"7 7/8\"")
        .replace("width = \"140 mm\"", "width = 5.5");
    fs::write(&path, text).unwrap();
    let job = read_job(&folder, &library(), &DirectReader).unwrap();
    let bounds = job.brief.items[0].mesh().bounds().unwrap().size();
    assert!((bounds.x - 7.875 * 0.0254).abs() < 1e-12, "{bounds:?}");
    assert!((bounds.y - 5.5 * 0.0254).abs() < 1e-12, "{bounds:?}");
}

/// A drawing of a 40 x 20 mm plate, in millimetres.
const PLATE: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nbody\n70\n1\n\
    10\n0\n20\n0\n10\n40\n20\n0\n10\n40\n20\n20\n10\n0\n20\n20\n0\nENDSEC\n0\nEOF\n";

#[test]
fn a_drawing_with_steps_is_an_item() {
    let with_shape = |name: &str, shape: &str| {
        let folder = folder(name);
        let path = new_job(&folder, None).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        let start = text.find("[items.shape.box]").expect("the template has a box");
        let last = "height = \"60 mm\"";
        let end = start + text[start..].find(last).expect("its last key") + last.len();
        fs::write(&path, format!("{}{shape}{}", &text[..start], &text[end..])).unwrap();
        fs::write(folder.join("plate.dxf"), PLATE).unwrap();
        read_job(&folder, &library(), &DirectReader)
    };
    let steps = "shape = { outline = { file = \"plate.dxf\", layer = \"body\", steps = [{ height = \"10 mm\" }, { height = \"5 mm\", inset = \"2 mm\" }] } }";
    let job = with_shape("outline", steps).unwrap();
    let item = &job.brief.items[0];
    let volume = item.volume().si() * 1e9;
    assert!(
        (volume - (40.0 * 20.0 * 10.0 + 36.0 * 16.0 * 5.0)).abs() < 1e-3,
        "{volume}"
    );
    assert!(job.meshes.contains_key(item.id.as_str()));
    for (name, shape, field, words) in [
        (
            "outline-flat",
            "shape = { outline = { file = \"plate.dxf\" } }",
            "shape.outline",
            "no height",
        ),
        (
            "outline-layer",
            "shape = { outline = { file = \"plate.dxf\", depth = \"3 mm\", layer = \"lid\" } }",
            "shape.outline.file",
            "draws nothing on `lid`",
        ),
        (
            "outline-mesh",
            "shape = { mesh = { file = \"plate.dxf\" } }",
            "shape.mesh.file",
            "`depth` is missing",
        ),
    ] {
        let error = with_shape(name, shape)
            .err()
            .unwrap_or_else(|| panic!("{name}: it was read"));
        assert!(error.to_string().contains(words), "{error}");
        assert!(error.place().field.contains(field), "{error:?}");
    }
}

#[test]
fn an_unknown_key_gets_a_suggestion() {
    let error = spoiled("key", "fragility = \"85 G\"", "fragilty = \"85 G\"");
    check(
        &error,
        "items[0].fragilty",
        Some("fragilty"),
        "`fragilty` is not a key",
        "did you mean `fragility`?",
    );
    let error = spoiled("top", "customer =", "custommer =");
    check(
        &error,
        "custommer",
        Some("custommer"),
        "not a key",
        "did you mean `customer`?",
    );
    let error = spoiled("leg", "kind = \"courier-road\"", "kind = \"courier-rode\"");
    check(
        &error,
        "journey.legs[0].kind",
        Some("courier-rode"),
        "`courier-rode`",
        "did you mean `courier-road`?",
    );
    let error = spoiled("shape", "[items.shape.box]", "[items.shape.bx]");
    assert!(error.hint().unwrap().contains("did you mean `box`?"), "{error}");
}

#[test]
fn a_missing_key_is_named() {
    let error = spoiled("missing", "mass = \"2.5 kg ± 0.1 kg\"\n", "");
    check(
        &error,
        "items[0].mass",
        Some("[[items]]"),
        "`mass` is missing",
        "mass = ",
    );
    let error = spoiled("no-schema", "schema = 1\n", "");
    check(&error, "schema", None, "missing", "schema = 1");
    let error = spoiled("newer", "schema = 1\n", "schema = 7\n");
    check(&error, "schema", Some("schema = 7"), "schema 7", "schema = 1");
}

#[test]
fn negative_and_zero_sizes_are_refused() {
    let error = spoiled("negative", "width = \"140 mm\"", "width = \"-140 mm\"");
    check(
        &error,
        "items[0].shape.box.width",
        Some("-140"),
        "`-140 mm` is negative",
        "zero or more",
    );
    let error = spoiled("zero", "width = \"140 mm\"", "width = \"0 mm\"");
    check(
        &error,
        "items[0].shape.box.width",
        Some("0 mm"),
        "is zero",
        "above zero",
    );
    let error = spoiled(
        "band",
        "mass = \"2.5 kg ± 0.1 kg\"",
        "mass = \"2.5 kg ± -0.1 kg\"",
    );
    check(&error, "items[0].mass", Some("-0.1"), "negative", "zero or more");
    let error = spoiled(
        "wide-band",
        "mass = \"2.5 kg ± 0.1 kg\"",
        "mass = \"2.5 kg ± 3 kg\"",
    );
    assert_eq!(error.place().field, "items[0].mass", "{error}");
    let error = spoiled("none", "quantity = 1", "quantity = 0");
    check(
        &error,
        "items[0].quantity",
        Some("quantity = 0"),
        "`quantity` is 0",
        "at least 1",
    );
    let error = spoiled("huge", "length = \"200 mm\"", "length = \"200 m\"");
    assert!(error.to_string().contains("more than"), "{error}");
}

#[test]
fn missing_entries_and_files_say_where_they_were_looked_for() {
    let error = spoiled("shell", "shell = \"ridgeback-640\"", "shell = \"ridgebak-640\"");
    check(
        &error,
        "shell",
        Some("ridgebak"),
        "library/shells/ridgebak-640.toml",
        "did you mean `ridgeback-640`?",
    );
    let error = spoiled("foam", "base = \"tarn-29\"", "base = \"nosuch\"");
    check(
        &error,
        "foams.base",
        Some("nosuch"),
        "foams/nosuch.toml",
        "tarn-29",
    );
    let mesh = "[items.shape.mesh]\nfile = \"shapes/nothing.stl\"\n#";
    let error = spoiled("mesh", "[items.shape.box]", &format!("{mesh}[items.shape.box]"));
    // The box's sizes are left over after the mesh table: unknown keys are found first.
    assert!(error.to_string().contains("not a key"), "{error}");
    let error = spoiled_shape("mesh-missing", "file = \"shapes/nothing.stl\"");
    check(
        &error,
        "items[0].shape.mesh.file",
        Some("nothing.stl"),
        "shapes/nothing.stl",
        "job's folder",
    );
    let error = read_job(&folder("empty"), &library(), &DirectReader).unwrap_err();
    assert!(error.to_string().contains("job.toml"), "{error}");
    assert!(error.hint().unwrap().contains("caddis new"), "{error}");
}

/// A box of 100 x 80 x 60 mm without its lid and one side: its rim is uneven, so nothing closes it.
const OPEN_BOX: &str = "v 0 0 0\nv 100 0 0\nv 100 80 0\nv 0 80 0\nv 0 0 60\nv 100 0 60\nv 100 80 60\nv 0 80 60\n\
    f 1 4 3 2\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";

#[test]
fn the_hull_stands_for_a_mesh_that_is_no_solid() {
    let with_shape = |name: &str, more: &str| {
        let folder = folder(name);
        let path = new_job(&folder, None).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        let start = text.find("[items.shape.box]").unwrap();
        let last = "height = \"60 mm\"";
        let end = start + text[start..].find(last).unwrap() + last.len();
        let shape = format!("shape = {{ mesh = {{ file = \"open.obj\", unit = \"mm\"{more} }} }}");
        fs::write(&path, format!("{}{shape}{}", &text[..start], &text[end..])).unwrap();
        fs::write(folder.join("open.obj"), OPEN_BOX).unwrap();
        read_job(&folder, &library(), &DirectReader).unwrap()
    };
    let codes = |more: &str, name: &str| {
        let job = with_shape(name, more);
        let found = job.brief.items[0].check();
        let mesh = job.brief.items[0].mesh();
        (found, mesh)
    };
    let (found, _) = codes("", "hull-not-asked");
    let open = found.iter().find(|f| f.code == "mesh-open").expect("it is open");
    assert!(open.remedy.as_ref().unwrap().contains("hull = true"));
    let (found, mesh) = codes(", hull = true", "hull");
    assert!(found.iter().all(|f| f.code != "mesh-open"));
    let doubt = found
        .iter()
        .find(|f| f.code == "shape-doubtful")
        .expect("it says so");
    assert!(doubt.sentence.contains("convex hull"), "{}", doubt.sentence);
    assert!(
        doubt.sentence.contains("may still stand out"),
        "{}",
        doubt.sentence
    );
    assert!((mesh.mass_properties().volume - 0.1 * 0.08 * 0.06).abs() < 1e-8);
}

/// The template with its box replaced by a mesh.
fn spoiled_shape(name: &str, file: &str) -> FileError {
    let folder = folder(name);
    let path = new_job(&folder, None).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    let start = text.find("[items.shape.box]").unwrap();
    let end = text.find("# [[concessions]]").unwrap();
    let text = format!("{}[items.shape.mesh]\n{file}\n\n{}", &text[..start], &text[end..]);
    fs::write(&path, text).unwrap();
    fs::write(folder.join("broken.stl"), "this is no mesh").unwrap();
    read_job(&folder, &library(), &DirectReader)
        .err()
        .unwrap_or_else(|| panic!("{name}: it was read"))
}

#[test]
fn shapes_never_leave_the_folder() {
    for (name, file) in [
        ("climb", "../../secret.stl"),
        ("absolute", "/etc/hostname"),
        ("hidden", "shapes/../../x.stl"),
    ] {
        let error = spoiled_shape(name, &format!("file = \"{file}\""));
        check(
            &error,
            "items[0].shape.mesh.file",
            Some(file),
            "outside the job's folder",
            "copy the file into",
        );
    }
    #[cfg(unix)]
    {
        let folder = folder("link");
        let path = new_job(&folder, None).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        let start = text.find("[items.shape.box]").unwrap();
        let text = format!("{}[items.shape.mesh]\nfile = \"link.stl\"\n", &text[..start]);
        fs::write(&path, text).unwrap();
        std::os::unix::fs::symlink("/etc/hostname", folder.join("link.stl")).unwrap();
        let error = read_job(&folder, &library(), &DirectReader).unwrap_err();
        assert!(error.to_string().contains("a link in it leads out"), "{error}");
    }
}

#[test]
fn a_mesh_that_is_none_is_an_error() {
    let error = spoiled_shape("broken-mesh", "file = \"broken.stl\"\nunit = \"mm\"");
    assert_eq!(error.place().field, "items[0].shape.mesh.file", "{error}");
    assert!(error.to_string().contains("broken.stl"), "{error}");
    let error = spoiled_shape("bad-unit", "file = \"broken.stl\"\nunit = \"mile\"");
    check(
        &error,
        "items[0].shape.mesh.unit",
        Some("mile"),
        "`mile`",
        "mm, cm, m, in",
    );
}

#[test]
fn choices_of_words_are_checked() {
    let error = spoiled(
        "auto",
        "shell = \"ridgeback-640\"",
        "removed = [\"lid boss 2\"]\nshell = \"auto\"",
    );
    check(
        &error,
        "removed",
        Some("removed"),
        "the shell is chosen",
        "leave `removed` out",
    );
    let error = spoiled("rank", "seed = 1", "seed = 1\nrank_by = \"gros-mass\"");
    check(
        &error,
        "choices.rank_by",
        Some("gros-mass"),
        "`gros-mass`",
        "gross-mass",
    );
    let error = spoiled("valve", "valve = \"unknown\"", "valve = \"workin\"");
    check(
        &error,
        "valve",
        Some("workin"),
        "`workin`",
        "did you mean `working`?",
    );
    let error = spoiled("way", "ways_up = [\"+z\"]", "ways_up = [\"up\"]");
    check(
        &error,
        "items[0].ways_up[0]",
        Some("up"),
        "`up` is no direction",
        "+z, -z",
    );
    let error = spoiled(
        "source",
        "source = \"agree it with the customer (common-practice)\"",
        "source = \"agreed\"",
    );
    check(
        &error,
        "handling.drop_height.source",
        Some("agreed"),
        "how sure",
        "(measured)",
    );
    let error = spoiled("certainty", "replace them (invented)", "replace them (inventd)");
    check(
        &error,
        "source",
        Some("inventd"),
        "`inventd`",
        "did you mean `invented`?",
    );
    let error = spoiled("fragility", "fragility = \"85 G\"", "fragility = \"soft\"");
    check(
        &error,
        "items[0].fragility",
        Some("soft"),
        "`soft`",
        "a class like",
    );
    let error = spoiled("id", "id = \"instrument\"", "id = \"My Instrument\"");
    check(
        &error,
        "items[0].id",
        Some("My Instrument"),
        "not an id",
        "gnss-antenna",
    );
    let error = spoiled(
        "removed",
        "# removed = [\"lid boss 2\"]",
        "removed = [\"floor rib 1\"] #",
    );
    check(
        &error,
        "removed[0]",
        Some("floor rib 1"),
        "cannot be removed",
        "removable",
    );
    let error = spoiled(
        "leg-temperature",
        "label = \"by road\"",
        "label = \"by road\"\nlowest_temperature = \"30 degC\"\nhighest_temperature = \"10 degC\"",
    );
    assert_eq!(error.place().field, "journey.legs[0]", "{error}");
}

#[test]
fn concessions_read_with_their_margin() {
    let folder = folder("concession");
    let path = new_job(&folder, None).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    let start = text.find("# [[concessions]]").unwrap();
    let signed = text[start..]
        .lines()
        .map(|line| line.trim_start_matches("# "))
        .collect::<Vec<_>>()
        .join("\n");
    fs::write(&path, format!("{}{signed}\n", &text[..start])).unwrap();
    let job = read_job(&folder, &library(), &DirectReader)
        .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()));
    let concession = &job.brief.concessions[0];
    assert!(concession.signer.is_customer);
    assert_eq!(concession.margin.as_ref().unwrap().room(), -6.0);

    fs::write(
        &path,
        format!("{}{}\n", &text[..start], signed.replace("at_most = 85.0, ", "")),
    )
    .unwrap();
    let error = read_job(&folder, &library(), &DirectReader).unwrap_err();
    check(
        &error,
        "concessions[0].margin",
        Some("margin"),
        "one limit",
        "at_most",
    );
    fs::write(
        &path,
        format!(
            "{}{}\n",
            &text[..start],
            signed.replace("2026-11-25", "2026-02-30")
        ),
    )
    .unwrap();
    let error = read_job(&folder, &library(), &DirectReader).unwrap_err();
    check(
        &error,
        "concessions[0].date",
        Some("2026-02-30"),
        "not a date",
        "2026-11-25",
    );
}

#[test]
fn a_survey_that_contradicts_itself_is_an_error() {
    let path = library().path(EntryKind::Shell, "ridgeback-640").unwrap();
    let text = fs::read_to_string(path).unwrap();
    let read = |text: &str| read_shell(text.as_bytes(), "x", "x.toml").unwrap_err();
    let error = read(&text.replace("length = \"632.9 mm ± 1 mm\"", "length = \"660 mm ± 1 mm\""));
    assert_eq!(error.place().field, "base.floor.length", "{error}");
    assert!(
        error.place().line.is_some() && error.to_string().contains("660 mm"),
        "{error}"
    );
    let error = read(&text.replace(
        "centre = [\"-272 mm\", \"172 mm\"]",
        "centre = [\"-900 mm\", \"172 mm\"]",
    ));
    assert_eq!(error.place().field, "base.intrusions[0]", "{error}");
    assert!(error.to_string().contains("outside the walls"), "{error}");
    let error = read(&text.replacen("depth = \"240 mm ± 1 mm\"", "depth = \"-240 mm\"", 1));
    assert_eq!(error.place().field, "base.depth", "{error}");
    let error = read(&text.replace("kind = \"boss\"", "kind = \"bos\""));
    assert!(error.hint().unwrap().contains("did you mean `boss`?"), "{error}");
    let error = read(&text.replacen("fillet = ", "filet = ", 1));
    assert!(
        error.hint().unwrap().contains("did you mean `fillet`?"),
        "{error}"
    );
}

#[test]
fn broken_foams_and_shops_are_errors() {
    let path = library().path(EntryKind::Foam, "tarn-29").unwrap();
    let text = fs::read_to_string(path).unwrap();
    let read = |text: &str| read_foam(text.as_bytes(), "x", "x.toml").unwrap_err();
    let error = read(&text.replace("r = 0.031", "r = 1.031"));
    assert_eq!(error.place().field, "law.closed_cell_gas.r", "{error}");
    let error = read(&text.replace("greatest_strain = 0.8", "greatest_strain = 0.98"));
    assert_eq!(error.place().field, "law.range.greatest_strain", "{error}");
    let error = read(&text.replace("cells = \"closed\"", "cells = \"shut\""));
    assert_eq!(error.place().field, "cells", "{error}");
    let error = read(&text.replace("\"#3d4650\"", "\"grey\""));
    assert_eq!(error.place().field, "colour", "{error}");
    let path = library().path(EntryKind::Shop, "coldwater").unwrap();
    let text = fs::read_to_string(path).unwrap();
    let read = |text: &str| shop_of(text, None).unwrap_err();
    let error = read(&text.replacen("16.80 EUR", "16.80 USD", 1));
    assert_eq!(error.place().field, "stock[0].sheets[0].price", "{error}");
    let error = read(&text.replace("cavity_step = \"5 mm\"\n", ""));
    assert_eq!(error.place().field, "clearances.cavity_step", "{error}");
    let error = read(&text.replace("margin = 0.35", "margin = 1.35"));
    assert_eq!(error.place().field, "rates.margin", "{error}");
    let error = read(&text.replace("quantities = [1, 5, 10, 25]", "quantities = [1, 10, 5]"));
    assert_eq!(error.place().field, "quotation.quantities", "{error}");
    let error = read(&text.replace("valid_days = 30", "valid_days = 0"));
    assert_eq!(error.place().field, "quotation.valid_days", "{error}");
    let error = read(&text.replace("318.00 EUR", "318.00 USD"));
    assert_eq!(error.place().field, "quotation.shells.ridgeback-640", "{error}");
    let error = read(&text.replacen("\"60.00 EUR\"", "\"60.00 USD\"", 1));
    assert_eq!(
        error.place().field,
        "processes.router-8mm.machine_per_hour",
        "{error}"
    );
    let error = read(&text.replacen("write_programs = true\n", "write_programs = maybe\n", 1));
    assert!(error.hint().is_some(), "{error}");
    let error = read(&text.replace("process = \"router-8mm\"", "process = \"saw\""));
    assert_eq!(error.place().field, "processes", "{error}");
    assert!(error.hint().unwrap().contains("water-jet"), "{error}");
    let error = shop_of(&text, Some("saw")).unwrap_err();
    assert!(error.to_string().contains("the job asks for `saw`"), "{error}");
    let programs = text.replace(
        "[processes.knife]\n",
        "[processes.knife]\nwrite_programs = true\n",
    );
    let error = shop_of(&programs, Some("knife")).unwrap_err();
    assert_eq!(error.place().field, "processes.knife.write_programs", "{error}");
    let silent = text
        .replace("quantities = [1, 5, 10, 25]\n", "")
        .replace("valid_days = 30\n", "");
    let entry = shop_of(&silent, None).unwrap();
    assert_eq!(entry.shop.quoting.quantities, caddis_shop::Quoting::QUANTITIES);
    assert_eq!(entry.shop.quoting.valid_days, None);
}

#[test]
fn processes_are_read_whole_or_refused() {
    let text = |name: &str| fs::read_to_string(library().path(EntryKind::Process, name).unwrap()).unwrap();
    let read = |text: &str| read_process(text.as_bytes(), "x.toml");
    for name in library().names(EntryKind::Process) {
        let process = read(&text(&name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(!process.cautions.is_empty(), "{name}");
        assert_eq!(process.cuts_through(), !name.starts_with("router"), "{name}");
    }
    let router = text("router-8mm");
    let knife = text("knife");
    let engraves = "engraving = { tool = \"pen\", diameter = \"1 mm\", depth = \"1 mm\", feed = \"0.1 m/s\", \
                    change = \"0 s\", source = \"own (common-practice)\" }\ntolerance = \"cut";
    let tool = read(&router).unwrap().engraving.unwrap();
    assert_eq!((tool.diameter, tool.depth), (Length::mm(1.5), Length::mm(1.0)));
    for (from, spoilt, field) in [
        (&router, ("gap = \"10 mm\"", "gap = \"2 mm\""), "gap"),
        (
            &router,
            ("up_to = \"63 mm\"", "up_to = \"40 mm\""),
            "tolerances[1].up_to",
        ),
        (&router, ("pass_depth = \"30 mm\"\n", ""), "pass_depth"),
        (&router, ("stepover = 0.45", "stepover = 0.9"), "machine.stepover"),
        (&router, ("kind = \"router\"", "kind = \"water-jet\""), "machine"),
        (
            &router,
            ("diameter = \"1.5 mm\"", "diameter = \"3 mm\""),
            "engraving.diameter",
        ),
        (
            &router,
            ("depth = \"1 mm\" # seen", "depth = \"4 mm\" # seen"),
            "engraving.depth",
        ),
        (&knife, ("tolerance = \"cut", engraves), "engraving"),
        (&knife, ("12 deg", "85 deg"), "blade.edge_angle"),
        (&knife, ("\"knife\"", "\"hot-wire\""), "blade"),
        (
            &knife,
            ("start = \"0.8 s\"", "pass_depth = \"5 mm\"\nstart = \"0.8 s\""),
            "pass_depth",
        ),
    ] {
        let changed = from.replacen(spoilt.0, spoilt.1, 1);
        assert_ne!(&changed, from, "{field}");
        let error = read(&changed).unwrap_err();
        assert_eq!(error.place().field, field, "{error}");
        assert!(error.hint().is_some(), "{error}");
    }
    let blade = knife.find("blade = ").unwrap();
    let end = blade + knife[blade..].find('\n').unwrap();
    let bare = format!("{}{}", &knife[..blade], &knife[end..]);
    assert_eq!(read(&bare).unwrap_err().place().field, "least_radius");
}

#[test]
fn customs_data_are_kept_as_written_and_never_more_than_the_pieces() {
    let job = demo();
    let antenna = job.brief.items.iter().find(|item| item.quantity == 2).unwrap();
    assert_eq!(antenna.declared.serials.len(), 2);
    assert_eq!(antenna.declared.origin, None);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../jobs/tindra-ridge");
    let folder = folder("serials");
    fs::create_dir_all(folder.join("shapes")).unwrap();
    for entry in fs::read_dir(path.join("shapes")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), folder.join("shapes").join(entry.file_name())).unwrap();
    }
    let text = fs::read_to_string(path.join("job.toml")).unwrap();
    let refused = |from: &str, to: &str| {
        assert!(text.contains(from));
        fs::write(folder.join("job.toml"), text.replace(from, to)).unwrap();
        read_job(&folder, &library(), &DirectReader).unwrap_err()
    };
    let error = refused("[\"TRO-S-0017\"]", "[\"TRO-S-0017\", \"TRO-S-0018\"]");
    assert_eq!(error.place().field, "items[0].serials", "{error}");
    let error = refused("9800.00 EUR", "9800,00 EUR");
    assert_eq!(error.place().field, "items[0].value", "{error}");
}

#[test]
fn what_is_not_toml_says_so() {
    let error = spoiled("syntax", "title = \"New job\"", "title = New job");
    assert!(
        error.to_string().contains("not TOML") && error.place().line == Some(6),
        "{error}"
    );
    let error = read_shell(&[0xff, 0xfe, 0x00], "x", "x.toml").unwrap_err();
    assert!(error.to_string().contains("UTF-8"), "{error}");
}

#[test]
fn a_drop_by_mass_is_the_harshest_of_the_legs_for_the_lightest_case() {
    let folder = folder("by-mass");
    let path = new_job(&folder, None).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    let from = text.find("drop_height = ").unwrap();
    let to = from + text[from..].find('\n').unwrap();
    let text = format!("{}drop_height = \"by mass\"{}", &text[..from], &text[to..]);
    fs::write(&path, text).unwrap();
    let brief = read_job(&folder, &library(), &DirectReader)
        .unwrap_or_else(|error| panic!("{error}\nhint: {:?}", error.hint()))
        .brief;
    let items: f64 = brief
        .items
        .iter()
        .map(|item| item.mass.least().si() * f64::from(item.quantity))
        .sum();
    let lightest = brief.shell.empty_mass.least().si() + brief.sundries.least().si() + items;
    let harshest = brief
        .journey
        .legs
        .iter()
        .map(|leg| {
            caddis_journey::DropHeights::of(leg.handling_class())
                .height(caddis_basis::Mass::from_si(lightest))
                .unwrap()
                .value
        })
        .fold(Length::ZERO, Length::max);
    assert!(harshest > Length::ZERO);
    assert_eq!(brief.handling.drop_height.value, harshest);
    assert_eq!(brief.handling.source.certainty, Certainty::Memory);
    assert!(brief.handling.source.citation.contains("without the foam"));
}
