//! STEP files, through the answer that `caddis-step` gives about one of them. The kernel behind it opens damaged files with
//! parts missing, so nothing is believed: the triangles must close and must enclose what the exact faces enclose.

use super::{
    BodyNamed, Doubt, EXPORT_AGAIN, MOST_TRIANGLES, MeshFormat, MeshPart, MeshReport, ReadError, UnitSource,
    WELD,
};
use caddis_basis::{BenchUnit, Name};
use caddis_geometry::{Mesh, Vec3};
use serde::Deserialize;

/// First line of an answer; the number counts up when its form changes.
const MARK: &[u8] = b"caddis-step 1\n";
/// What the triangles may enclose more or less than the exact faces, as a share.
const VOLUME_SHARE: f64 = 0.01;

/// Names that are kept of one file.
const MOST_PARTS: usize = 1000;

/// Whether a file is STEP, by its content (ISO 10303-21 clear text) or its name's ending.
pub fn is_step(bytes: &[u8], name: &Name) -> bool {
    let start = &bytes[..bytes.len().min(512)];
    let lower = name.as_str().to_lowercase();
    start.windows(12).any(|window| window == b"ISO-10303-21")
        || [".step", ".stp", ".p21"]
            .iter()
            .any(|ending| lower.ends_with(ending))
}

#[derive(Debug, Deserialize)]
struct Head {
    error: Option<String>,
    #[serde(default)]
    chord_mm: f64,
    #[serde(default)]
    units: Vec<String>,
    #[serde(default)]
    load_fails: u64,
    #[serde(default)]
    transfer_fails: u64,
    #[serde(default)]
    bodies: Vec<Body>,
}

#[derive(Debug, Deserialize)]
struct Body {
    /// What the file calls it, if anything.
    #[serde(default)]
    name: String,
    /// What it calls the product that the body belongs to.
    #[serde(default)]
    product: String,
    is_solid: bool,
    exact_volume_mm3: Option<f64>,
    exact_area_mm2: Option<f64>,
    unmeshed: u64,
    positions: usize,
    triangles: usize,
}

/// Reads what `caddis-step` answered about the STEP file `file`.
///
/// # Units
/// The mesh comes in metres. The unit is the file's own; a `unit` given overrules it and the report says so.
///
/// # Accuracy
/// Chords lie within 0.02 mm of the exact faces. The volume of the triangles must be that of the exact faces to 1 % and
/// what such chords can take; bodies are mended one by one, as [`Mesh::repaired`].
///
/// # Errors
/// The file holds no shape (with the names of other files it asks for), is damaged, or its triangles do not enclose what its
/// faces do.
pub fn read_step_answer(
    file: &[u8],
    answer: &[u8],
    name: &Name,
    unit: Option<BenchUnit>,
) -> Result<(Mesh, MeshReport), ReadError> {
    let broken = |found: String, remedy: &'static str| ReadError::Broken {
        name: name.clone(),
        format: MeshFormat::Step,
        found,
        remedy,
    };
    let lost = || broken("its reader's answer was not whole".to_owned(), EXPORT_AGAIN);
    let rest = answer.strip_prefix(MARK).ok_or_else(lost)?;
    let end = rest.iter().position(|&b| b == b'\n').ok_or_else(lost)?;
    let head: Head = serde_json::from_slice(&rest[..end]).map_err(|_| lost())?;
    if let Some(error) = head.error {
        let others = other_files(file);
        return Err(if error.starts_with("no shape") && !others.is_empty() {
            broken(
                format!(
                    "it holds no shape of its own, but names other files: {}",
                    others.join(", ")
                ),
                "export the whole assembly into one STEP file",
            )
        } else {
            broken(error, EXPORT_AGAIN)
        });
    }
    let declared: usize = head
        .bodies
        .iter()
        .fold(0, |sum, b| sum.saturating_add(b.triangles));
    if declared > MOST_TRIANGLES {
        return Err(ReadError::TooManyTriangles {
            name: name.clone(),
            most: MOST_TRIANGLES,
        });
    }
    if declared == 0 {
        return Err(broken(
            "it holds no faces that give triangles".to_owned(),
            EXPORT_AGAIN,
        ));
    }
    let (own, doubt) = unit_of(&head.units);
    let metres = unit.map_or(own.metres(), BenchUnit::metres);
    // The kernel converts by the file's own unit.
    let scale = metres / own.metres();
    let mut found = Found::default();
    found.doubts.extend(doubt);
    let (mut mesh, mut data) = (Mesh::default(), &rest[end + 1..]);
    for (index, body) in head.bodies.iter().enumerate() {
        let raw = taken(&mut data, body).ok_or_else(lost)?;
        if raw.triangles.is_empty() {
            found.doubts.push(Doubt::EmptyBody(body.called(index)));
            continue;
        }
        let checked = raw.validated().map_err(|error| ReadError::Mesh {
            name: name.clone(),
            error,
        })?;
        let mended = found
            .judge(&checked, body, index, head.chord_mm)
            .map_err(|problem| broken(problem, "export that part again, or as STL or 3MF"))?;
        mesh.append(&mended);
    }
    if !data.is_empty() {
        return Err(lost());
    }
    for p in &mut mesh.positions {
        *p = *p * scale;
    }
    let mesh = mesh.validated().map_err(|error| ReadError::Mesh {
        name: name.clone(),
        error,
    })?;
    let complaints = head.load_fails.saturating_add(head.transfer_fails);
    if complaints > 0 {
        found.doubts.push(Doubt::Complaints(complaints));
    }
    let (unit_name, unit_source) = match unit {
        Some(given) if given != own => {
            found.repairs.push(format!(
                "it states {}, but `unit` says {}: read in {}",
                own.as_str(),
                given.as_str(),
                given.as_str()
            ));
            (given.as_str(), UnitSource::Given)
        }
        _ => (own.as_str(), UnitSource::File),
    };
    let check = mesh.check();
    let report = MeshReport {
        format: MeshFormat::Step,
        unit: unit_name.to_owned(),
        metres_per_unit: metres,
        unit_source,
        triangles: mesh.triangles.len(),
        bodies: check.bodies,
        is_closed: check.is_closed,
        boundary_edges: check.boundary_edges,
        widest_hole: found.widest_hole * scale,
        repairs: found.repairs,
        doubts: found.doubts,
        parts: parts(&head.bodies),
    };
    Ok((mesh, report))
}

impl Body {
    /// Its number in the file, and its names where it has any.
    fn called(&self, index: usize) -> BodyNamed {
        BodyNamed {
            number: index + 1,
            name: printable(&self.name),
            product: printable(&self.product),
        }
    }
}

/// A name as it can be printed in a sentence.
fn printable(name: &str) -> String {
    name.trim().chars().filter(|c| !c.is_control()).take(60).collect()
}

/// Bodies of the same names together, in the order of the file; those without any name left out.
fn parts(bodies: &[Body]) -> Vec<MeshPart> {
    let mut parts: Vec<MeshPart> = Vec::new();
    for body in bodies {
        let (product, entity) = (printable(&body.product), printable(&body.name));
        if product.is_empty() && entity.is_empty() {
            continue;
        }
        let same = parts
            .iter_mut()
            .find(|part| part.product == product && part.entity == entity);
        if let Some(part) = same {
            part.bodies += 1;
        } else if parts.len() < MOST_PARTS {
            parts.push(MeshPart {
                product,
                entity,
                bodies: 1,
            });
        }
    }
    parts
}

/// What was seen over all bodies.
#[derive(Debug, Default)]
struct Found {
    repairs: Vec<String>,
    doubts: Vec<Doubt>,
    widest_hole: f64,
}

impl Found {
    /// The body mended, if its triangles can stand for its faces.
    fn judge(&mut self, raw: &Mesh, body: &Body, index: usize, chord: f64) -> Result<Mesh, String> {
        let (mesh, done) = raw.repaired(WELD);
        let which = body.called(index);
        let said = which.said();
        // Vertices that stand once for each face are how triangles come, not damage.
        for sentence in done.sentences() {
            if done.filled + done.stitched + done.turned + done.inverted > 0 {
                self.repairs.push(format!("{said}: {sentence}"));
            }
        }
        self.widest_hole = self.widest_hole.max(done.widest_open);
        if body.unmeshed > 0 {
            self.doubts.push(Doubt::LostFaces(body.unmeshed, which.clone()));
        }
        if !body.is_solid {
            self.doubts.push(Doubt::LooseSurface(which));
            return Ok(mesh);
        }
        let (Some(exact), Some(area)) = (body.exact_volume_mm3, body.exact_area_mm2) else {
            return Err(format!("{said} has no exact volume"));
        };
        let found = mesh.mass_properties().volume * 1e9;
        let allowed = VOLUME_SHARE * exact.abs() + area.abs() * chord.abs();
        if (found - exact.abs()).abs() > allowed || !found.is_finite() {
            return Err(format!(
                "the triangles of {said} enclose {found:.4} mm³, its exact faces {:.4} mm³",
                exact.abs()
            ));
        }
        Ok(mesh)
    }
}

/// The next body's triangles, from millimetres in metres.
fn taken(data: &mut &[u8], body: &Body) -> Option<Mesh> {
    let positions = data.split_off(..body.positions.checked_mul(24)?)?;
    let triangles = data.split_off(..body.triangles.checked_mul(12)?)?;
    let float = |chunk: &[u8]| chunk.try_into().ok().map(f64::from_le_bytes);
    let index = |chunk: &[u8]| chunk.try_into().ok().map(u32::from_le_bytes);
    Some(Mesh {
        positions: positions
            .chunks_exact(24)
            .map(|c| Some(Vec3::new(float(&c[..8])?, float(&c[8..16])?, float(&c[16..])?) * 1e-3))
            .collect::<Option<_>>()?,
        triangles: triangles
            .chunks_exact(12)
            .map(|c| Some([index(&c[..4])?, index(&c[4..8])?, index(&c[8..])?]))
            .collect::<Option<_>>()?,
    })
}

/// The length unit of the file, and a doubt where there is none or more than one that is known here.
fn unit_of(names: &[String]) -> (BenchUnit, Option<Doubt>) {
    let mut known: Vec<BenchUnit> = names
        .iter()
        .filter_map(|name| match name.trim().to_lowercase().as_str() {
            "millimetre" | "millimeter" | "mm" => BenchUnit::parse("mm").ok(),
            "centimetre" | "centimeter" | "cm" => BenchUnit::parse("cm").ok(),
            "metre" | "meter" | "m" => BenchUnit::parse("m").ok(),
            "inch" | "inches" | "in" => BenchUnit::parse("in").ok(),
            _ => None,
        })
        .collect();
    known.dedup();
    match known.as_slice() {
        [one] => (*one, None),
        _ => (
            BenchUnit::Millimetre,
            (names.len() != 1).then_some(Doubt::Units(names.len())),
        ),
    }
}

/// Other files the file refers to, at most eight.
fn other_files(file: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(file);
    let mut names: Vec<String> = Vec::new();
    for entity in text.split(';') {
        if !(entity.contains("DOCUMENT_FILE") || entity.contains("EXTERNALLY_DEFINED")) {
            continue;
        }
        for quoted in entity.split('\'').skip(1).step_by(2) {
            let lower = quoted.to_lowercase();
            let is_name = [".stp", ".step", ".p21", ".prt", ".sat"]
                .iter()
                .any(|e| lower.ends_with(e));
            if is_name && names.len() < 8 && !names.iter().any(|name| name == quoted) {
                names.push(quoted.chars().take(60).collect());
            }
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(head: &str, mesh: &Mesh) -> Vec<u8> {
        let mut bytes = MARK.to_vec();
        bytes.extend(head.as_bytes());
        bytes.push(b'\n');
        for p in &mesh.positions {
            bytes.extend([p.x, p.y, p.z].into_iter().flat_map(f64::to_le_bytes));
        }
        bytes.extend(mesh.triangles.iter().flatten().flat_map(|i| i.to_le_bytes()));
        bytes
    }

    fn cube(volume: f64, units: &str) -> Vec<u8> {
        let mesh = Mesh::cuboid(Vec3::ZERO, Vec3::new(10.0, 10.0, 10.0));
        answer(
            &format!(
                r#"{{"chord_mm":0.02,"units":[{units}],"load_fails":0,"transfer_fails":0,"bodies":[{{"name":"Lid","is_solid":true,
                "exact_volume_mm3":{volume},"exact_area_mm2":600,"unmeshed":0,"positions":{},"triangles":{}}}]}}"#,
                mesh.positions.len(),
                mesh.triangles.len()
            )
            .replace('\n', " "),
            &mesh,
        )
    }

    fn read(bytes: &[u8], unit: Option<BenchUnit>) -> Result<(Mesh, MeshReport), ReadError> {
        read_step_answer(b"ISO-10303-21;", bytes, &Name::new("part.step"), unit)
    }

    #[test]
    fn a_body_whose_volume_agrees_is_read_in_the_files_unit() {
        let (mesh, report) = read(&cube(1000.0, "\"millimetre\""), None).expect("sound");
        assert!(report.is_closed && report.doubts.is_empty(), "{report:?}");
        assert_eq!(
            (report.unit.as_str(), report.unit_source),
            ("mm", UnitSource::File)
        );
        assert!((mesh.mass_properties().volume - 1e-6).abs() < 1e-15);
        let inch = BenchUnit::parse("in").expect("a unit");
        let (mesh, report) = read(&cube(1000.0, "\"millimetre\""), Some(inch)).expect("sound");
        assert_eq!(report.unit_source, UnitSource::Given);
        assert!((mesh.mass_properties().volume / 1e-6 - 25.4f64.powi(3)).abs() < 1e-6);
    }

    #[test]
    fn bodies_are_named_by_product_and_entity() {
        let body = |product: &str, name: &str| Body {
            name: name.to_owned(),
            product: product.to_owned(),
            is_solid: true,
            exact_volume_mm3: None,
            exact_area_mm2: None,
            unmeshed: 0,
            positions: 0,
            triangles: 0,
        };
        let bodies = [
            body("nut", "Solid1"),
            body("plate", "plate"),
            body("nut", "Solid1"),
            body("", ""),
        ];
        let found = parts(&bodies);
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!((found[0].product.as_str(), found[0].bodies), ("nut", 2));
        let called: Vec<String> = bodies
            .iter()
            .enumerate()
            .map(|(k, b)| b.called(k).said().to_string())
            .collect();
        assert_eq!(
            called,
            [
                "body 1 (`Solid1` of `nut`)",
                "body 2 (of `plate`)",
                "body 3 (`Solid1` of `nut`)",
                "body 4"
            ]
        );
        assert_eq!(body("", "Lid").called(0).said(), "body 1 (`Lid`)");
    }

    #[test]
    fn triangles_that_enclose_something_else_are_refused() {
        let error = read(&cube(1080.0, "\"millimetre\""), None)
            .expect_err("8 % off")
            .to_string();
        assert!(
            error.contains("the triangles of body 1 (`Lid`) enclose 1000.0000 mm³") && error.contains("1080"),
            "{error}"
        );
    }

    #[test]
    fn every_cut_of_an_answer_is_refused() {
        let whole = cube(1000.0, "\"millimetre\"");
        for end in 0..whole.len() {
            assert!(read(&whole[..end], None).is_err(), "{end} bytes were read");
        }
        let mut longer = whole;
        longer.push(0);
        assert!(read(&longer, None).is_err());
    }

    #[test]
    fn a_file_that_names_other_files_is_told_from_a_damaged_one() {
        let file = b"ISO-10303-21; #1=DOCUMENT_FILE('foot.stp','',$,#2,'',$); #3=X('not.stp');";
        let error = read_step_answer(
            file,
            &answer(r#"{"error":"no shape in it"}"#, &Mesh::default()),
            &Name::new("top.stp"),
            None,
        )
        .expect_err("no shape")
        .to_string();
        assert!(
            error.contains("other files: foot.stp;") && error.contains("one STEP file"),
            "{error}"
        );
    }

    #[test]
    fn complaints_and_missing_units_are_doubts() {
        let bytes = cube(1000.0, "");
        let (_, report) = read(&bytes, None).expect("sound");
        assert!(report.doubts[0].said().contains("0 length units"), "{report:?}");
    }
}
