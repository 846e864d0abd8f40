//! 3MF: a zip archive of XML models, objects made of triangles or of other objects, placed by the build.
//!
//! # Source
//! 3MF Consortium, 3MF core specification 1.3 (from memory) and its production extension (paths to other models).

use super::{MOST_TRIANGLES, Placement, Raw, Trouble};
use caddis_geometry::Vec3;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};

/// Unpacked models larger than this are refused, bytes.
const MOST_UNPACKED: u64 = 1 << 30;
/// Components within components.
const MOST_DEPTH: usize = 32;
/// More placed objects than this are refused.
const MOST_PLACED: usize = 100_000;

#[derive(Default)]
struct Object {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    components: Vec<Reference>,
}

/// An object named by a component or a build item.
#[derive(Clone)]
struct Reference {
    /// Part of the package; the model's own when empty.
    path: String,
    id: u32,
    placement: Placement,
}

#[derive(Default)]
struct Model {
    unit: Option<String>,
    objects: BTreeMap<u32, Object>,
    build: Option<Vec<Reference>>,
    has_beams: bool,
}

type Archive<'a> = zip::ZipArchive<Cursor<&'a [u8]>>;

pub(super) fn read(bytes: &[u8]) -> Result<Raw, Trouble> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes))
        .map_err(|error| Trouble::broken(format!("its zip archive: {error}")))?;
    let mut left = MOST_UNPACKED;
    let start = root_path(&mut archive, &mut left)?;
    let mut models: BTreeMap<String, Model> = BTreeMap::new();
    let mut waiting = vec![start.clone()];
    while let Some(path) = waiting.pop() {
        if models.contains_key(&path) {
            continue;
        }
        let model = parse(&part(&mut archive, &path, &mut left)?, &path)?;
        let references = model.build.iter().flatten();
        let references = references.chain(model.objects.values().flat_map(|object| &object.components));
        waiting.extend(references.filter(|r| !r.path.is_empty()).map(|r| r.path.clone()));
        models.insert(path, model);
    }
    let Some(root) = models.get(&start) else {
        return Err(Trouble::broken("it has no model"));
    };
    let unit = match root.unit.as_deref().unwrap_or("millimeter") {
        "micron" => ("micron", 1e-6),
        "millimeter" => ("mm", 1e-3),
        "centimeter" => ("cm", 1e-2),
        "meter" => ("m", 1.0),
        "inch" => ("in", 0.0254),
        "foot" => ("ft", 0.3048),
        other => return Err(Trouble::broken(format!("`{other}` is not a 3MF unit"))),
    };
    let Some(build) = &root.build else {
        return Err(Trouble::broken("its model has no build"));
    };
    let mut raw = Raw {
        unit: Some(unit),
        ..Raw::default()
    };
    if models.values().any(|model| model.has_beams) {
        raw.notes.push("its beam lattice is passed over".to_owned());
    }
    let mut placed = 0;
    for item in build {
        place(
            &models,
            &start,
            item,
            &Placement::IDENTITY,
            0,
            &mut placed,
            &mut raw,
        )?;
    }
    if raw.mesh.triangles.is_empty() && !raw.notes.is_empty() {
        return Err(Trouble::with_remedy(
            "it holds a beam lattice and no triangles",
            "export the lattice as a closed mesh",
        ));
    }
    Ok(raw)
}

fn place(
    models: &BTreeMap<String, Model>,
    here: &str,
    reference: &Reference,
    outer: &Placement,
    depth: usize,
    placed: &mut usize,
    raw: &mut Raw,
) -> Result<(), Trouble> {
    *placed += 1;
    if depth > MOST_DEPTH || *placed > MOST_PLACED {
        return Err(Trouble::broken(
            "its components hold each other in a ring, or are far too many",
        ));
    }
    let path = if reference.path.is_empty() {
        here
    } else {
        &reference.path
    };
    let object = models
        .get(path)
        .and_then(|model| model.objects.get(&reference.id))
        .ok_or_else(|| {
            Trouble::broken(format!(
                "it places object {}, which is not in {path}",
                reference.id
            ))
        })?;
    let placement = outer.after(&reference.placement);
    placement.place(&mut raw.mesh, &object.positions, &object.triangles)?;
    for component in &object.components {
        place(models, path, component, &placement, depth + 1, placed, raw)?;
    }
    Ok(())
}

/// One part of the package, unpacked within the limit whatever its entry declares.
fn part(archive: &mut Archive<'_>, path: &str, left: &mut u64) -> Result<Vec<u8>, Trouble> {
    let wanted = path.trim_start_matches('/');
    let index = (0..archive.len()).find(|&k| {
        archive
            .name_for_index(k)
            .and_then(Result::ok)
            .is_some_and(|name| name.trim_start_matches('/').eq_ignore_ascii_case(wanted))
    });
    let Some(index) = index else {
        return Err(Trouble::broken(format!("its part {path} is not there")));
    };
    let unreadable = |error: &dyn std::fmt::Display| Trouble::broken(format!("its part {path}: {error}"));
    let entry = archive.by_index(index).map_err(|error| unreadable(&error))?;
    let mut bytes = Vec::new();
    entry
        .take(*left + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| unreadable(&error))?;
    *left = left
        .checked_sub(bytes.len() as u64)
        .ok_or_else(|| Trouble::broken(format!("it unpacks to more than {MOST_UNPACKED} bytes")))?;
    Ok(bytes)
}

/// The path of the model that the package's relations name.
fn root_path(archive: &mut Archive<'_>, left: &mut u64) -> Result<String, Trouble> {
    let relations = part(archive, "_rels/.rels", left)?;
    let mut reader = Reader::from_str(utf8(&relations, "_rels/.rels")?);
    loop {
        match reader.read_event() {
            Ok(Event::Start(tag) | Event::Empty(tag)) if tag.local_name().as_ref() == "Relationship" => {
                let kind = attribute(&tag, "Type").unwrap_or_default();
                if kind.ends_with("/3dmodel") {
                    return attribute(&tag, "Target")
                        .ok_or_else(|| Trouble::broken("its relation to the model has no target"));
                }
            }
            Ok(Event::Eof) => return Err(Trouble::broken("its relations name no model")),
            Ok(_) => {}
            Err(error) => return Err(Trouble::broken(format!("its relations: {error}"))),
        }
    }
}

fn utf8<'a>(bytes: &'a [u8], path: &str) -> Result<&'a str, Trouble> {
    std::str::from_utf8(bytes).map_err(|error| {
        Trouble::with_remedy(
            format!("its part {path} is not UTF-8 text (byte {})", error.valid_up_to()),
            "export it again with UTF-8 models",
        )
    })
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    tag.attributes()
        .filter_map(Result::ok)
        .find(|a| a.key.local_name().as_ref() == name)
        .map(|a| a.value.into_owned())
}

fn parse(bytes: &[u8], path: &str) -> Result<Model, Trouble> {
    let mut reader = Reader::from_str(utf8(bytes, path)?);
    let mut model = Model::default();
    // The object being read, if any.
    let mut current: Option<(u32, Object)> = None;
    loop {
        let at = reader.buffer_position();
        let broken = |what: &str| Trouble::broken(format!("{path} at byte {at}: {what}"));
        let (tag, is_empty) = match reader.read_event() {
            Ok(Event::Start(tag)) => (tag, false),
            Ok(Event::Empty(tag)) => (tag, true),
            // The specification forbids them, and what they name grows without end.
            Ok(Event::DocType(_)) => return Err(broken("a document type, which 3MF forbids")),
            Ok(Event::End(tag)) => {
                if tag.local_name().as_ref() == "object"
                    && let Some((id, object)) = current.take()
                {
                    finish(&mut model, id, object, path)?;
                }
                continue;
            }
            Ok(Event::Eof) => break,
            Ok(_) => continue,
            Err(error) => return Err(broken(&error.to_string())),
        };
        match tag.local_name().as_ref() {
            "model" => model.unit = attribute(&tag, "unit"),
            "object" => {
                let id = number(&tag, "id").ok_or_else(|| broken("an object without id"))?;
                if is_empty {
                    finish(&mut model, id, Object::default(), path)?;
                } else {
                    current = Some((id, Object::default()));
                }
            }
            "vertex" => {
                if let Some((_, object)) = &mut current {
                    let [x, y, z] = numbers::<f64>(&tag, ["x", "y", "z"])
                        .ok_or_else(|| broken("a vertex without x, y and z"))?;
                    object.positions.push(Vec3::new(x, y, z));
                }
            }
            "triangle" => {
                if let Some((_, object)) = &mut current {
                    let corners = numbers::<u32>(&tag, ["v1", "v2", "v3"])
                        .ok_or_else(|| broken("a triangle without v1, v2 and v3"))?;
                    if object.triangles.len() >= MOST_TRIANGLES {
                        return Err(Trouble::TooManyTriangles);
                    }
                    object.triangles.push(corners);
                }
            }
            "component" => {
                if let Some((_, object)) = &mut current {
                    let reference = reference(&tag)
                        .ok_or_else(|| broken("a component without a sound object or transform"))?;
                    object.components.push(reference);
                }
            }
            "beamlattice" => model.has_beams = true,
            "build" => model.build = Some(Vec::new()),
            "item" => {
                if let Some(build) = &mut model.build {
                    build.push(
                        reference(&tag)
                            .ok_or_else(|| broken("an item without a sound object or transform"))?,
                    );
                }
            }
            _ => {}
        }
    }
    if current.is_some() {
        return Err(Trouble::broken(format!("{path} ends inside an object")));
    }
    Ok(model)
}

fn finish(model: &mut Model, id: u32, object: Object, path: &str) -> Result<(), Trouble> {
    let count = object.positions.len();
    if let Some(wrong) = object.triangles.iter().flatten().find(|&&v| v as usize >= count) {
        return Err(Trouble::broken(format!(
            "a triangle of object {id} in {path} names vertex {wrong} of {count}"
        )));
    }
    if model.objects.insert(id, object).is_some() {
        return Err(Trouble::broken(format!("{path} holds object {id} twice")));
    }
    Ok(())
}

fn number(tag: &BytesStart<'_>, name: &str) -> Option<u32> {
    attribute(tag, name)?.trim().parse().ok()
}

/// Three attributes in one pass: models have hundreds of thousands of these tags.
fn numbers<T: std::str::FromStr + Copy>(tag: &BytesStart<'_>, names: [&str; 3]) -> Option<[T; 3]> {
    let mut found = [None; 3];
    for a in tag.attributes() {
        let a = a.ok()?;
        if let Some(k) = names.iter().position(|name| *name == a.key.as_ref()) {
            found[k] = Some(a.value.trim().parse().ok()?);
        }
    }
    match found {
        [Some(a), Some(b), Some(c)] => Some([a, b, c]),
        _ => None,
    }
}

fn reference(tag: &BytesStart<'_>) -> Option<Reference> {
    let placement = match attribute(tag, "transform") {
        None => Placement::IDENTITY,
        Some(text) => {
            let m: Vec<f64> = text
                .split_ascii_whitespace()
                .map(str::parse)
                .collect::<Result<_, _>>()
                .ok()?;
            if m.len() != 12 || m.iter().any(|v| !v.is_finite()) {
                return None;
            }
            // Four rows of three act on row vectors.
            Placement {
                rows: [0, 1, 2].map(|c| [m[c], m[3 + c], m[6 + c], m[9 + c]]),
            }
        }
    };
    Some(Reference {
        path: attribute(tag, "path").unwrap_or_default(),
        id: number(tag, "objectid")?,
        placement,
    })
}
