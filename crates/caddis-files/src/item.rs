//! Equipment on the packing list as written.

use crate::error::{Fault, join};
use crate::journey::BatteryFile;
use crate::vibration::ResonanceFile;
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{BenchUnit, ItemId, Length, Measured};
use caddis_geometry::Vec3;
use caddis_survey::{
    ClearRoom, Declared, FoamWish, Fragility, FragilityClass, Item, ItemShape, Part, Primitive, Profile,
    ProfileStep, Requirement, Softness, Up,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One kind of equipment.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ItemFile {
    /// Id, unique in the job: letters, digits and hyphens.
    pub id: String,
    /// Name on papers.
    pub name: String,
    /// How many; 1 when left out.
    #[serde(default = "one")]
    pub quantity: u32,
    /// Mass of one.
    pub mass: WrittenMeasure,
    /// `"60 G"`, `"unknown"` or `"none"`.
    pub fragility: WrittenMeasure,
    /// What it looks like.
    pub shape: ShapeFile,
    /// Worst-case half-width on every outside dimension.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_tolerance: Option<Written>,
    /// Centre of mass in its own frame; the centre of volume when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre_of_mass: Option<[Written; 3]>,
    /// Ways up it may lie.
    #[serde(default = "upright")]
    pub ways_up: Vec<String>,
    /// May be turned about the vertical.
    #[serde(default = "yes")]
    pub may_turn: bool,
    /// Faces that carry no load in storage.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub no_load: Vec<String>,
    /// Room beside it that foam keeps out of: a name and two corners in its own frame each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keep_clear: Vec<ClearFile>,
    /// Faces by which fingers may take it; any when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub grips: Vec<String>,
    /// Upper tier.
    #[serde(default)]
    pub reach_first: bool,
    /// May lie in a pocket of the lid pad.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub may_lie_in_lid: bool,
    /// Soft goods.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soft: Option<SoftFile>,
    /// Batteries in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub batteries: Vec<BatteryFile>,
    /// What it asks of the foam that touches it: `static-dissipative`, `flame-rated`, …
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub requires: Vec<String>,
    /// The hottest its packed case gets, as in a vehicle left in the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hottest: Option<WrittenMeasure>,
    /// The colour its foam must have, by the name on the supplier's list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam_colour: Option<String>,
    /// Least and most firmness of its foam: compression stress at 40 % by ISO 3386-1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam_firmness: Option<[Written; 2]>,
    /// Who signs for a fragility written as a class (`fragility = "class delicate"`).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fragility_signed_by: Option<String>,
    /// Its own resonances under vibration.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub resonances: Vec<ResonanceFile>,
    /// Below this velocity change no shock harms it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub critical_velocity_change: Option<WrittenMeasure>,
    /// Points whose acceleration is followed in falls: a name and a place in its own frame each.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub points: BTreeMap<String, [Written; 3]>,
    /// Remarks for whoever packs it.
    #[serde(default)]
    pub note: String,
    /// Serial numbers, piece by piece.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub serials: Vec<String>,
    /// Value of one for customs: `"4200.00 EUR"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// Country of origin for customs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<String>,
    /// Code of the customs tariff.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tariff_code: Option<String>,
    /// Where its data come from, with certainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// Room for a cable or a connector, or before what must not be touched.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClearFile {
    /// What it is for.
    pub name: String,
    /// Its lowest corner, in the item's own frame.
    pub from: [Written; 3],
    /// Its highest corner.
    pub to: [Written; 3],
}

fn one() -> u32 {
    1
}

fn yes() -> bool {
    true
}

fn upright() -> Vec<String> {
    vec!["+z".to_owned()]
}

/// What an item looks like.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShapeFile {
    /// A box.
    Box(CuboidFile),
    /// A cylinder about its z.
    Cylinder(CylinderFile),
    /// Several solids.
    Compound(Vec<PartFile>),
    /// A mesh file in the job's folder.
    Mesh(MeshFile),
    /// A drawing in the job's folder, with a depth or steps.
    Outline(OutlineFile),
    /// The block that soft goods are pressed into.
    Pocket(PocketFile),
}

/// The block that soft goods are pressed into: what is left out follows from their volume and least bend radius.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PocketFile {
    /// Along x.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Written>,
    /// Along y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Written>,
    /// Along z.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Written>,
}

/// A box.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CuboidFile {
    /// Along x.
    pub length: Written,
    /// Along y.
    pub width: Written,
    /// Along z.
    pub height: Written,
}

/// A cylinder.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CylinderFile {
    /// Diameter.
    pub diameter: Written,
    /// Along z.
    pub height: Written,
}

/// A solid of a compound.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartFile {
    /// A box, or …
    #[serde(default, rename = "box", skip_serializing_if = "Option::is_none")]
    pub cuboid: Option<CuboidFile>,
    /// … a cylinder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinder: Option<CylinderFile>,
    /// Where the centre of its foot lies in the item's frame.
    pub at: [Written; 3],
    /// Which of its own directions points to the item's +z.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up: Option<String>,
}

/// A mesh file.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeshFile {
    /// Path inside the job's folder.
    pub file: String,
    /// Unit of its numbers, for formats that carry none (STL, OBJ, PLY).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Its convex hull stands for it: for a mesh that is no solid.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hull: bool,
}

/// A drawing (DXF, SVG) whose closed outlines, given a depth or steps, make the piece.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlineFile {
    /// Path inside the job's folder.
    pub file: String,
    /// Unit of its numbers, where the drawing states none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// How high the piece is all over, or …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<Written>,
    /// … its steps from the bottom up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepFile>,
    /// The layer the outline is on; all of them when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// Inner outlines go through the piece; otherwise they are details of its surface.
    #[serde(default)]
    pub holes: bool,
}

/// One step of a profile.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepFile {
    /// How high it is.
    pub height: Written,
    /// How far its side lies inside the outline; outside where negative.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inset: Option<Written>,
    /// The layer of its own outline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
}

/// Steps of a profile at most.
const MOST_STEPS: usize = 40;

/// What makes soft goods.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoftFile {
    /// Least volume it can be pressed to.
    pub volume: Written,
    /// Least bend radius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_bend_radius: Option<Written>,
}

/// Reads the shape file an item names: given the field, the file name, its unit, and its profile where it is a drawing.
pub(crate) type ReadShape<'a> =
    dyn FnMut(&str, &str, Option<BenchUnit>, Option<&Profile>) -> Result<ItemShape, ItemFault> + 'a;

/// A fault, or an error that knows its own place.
pub(crate) enum ItemFault {
    Fault(Fault),
    File(crate::FileError),
}

impl From<Fault> for ItemFault {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

/// The item of the job at `path`.
pub(crate) fn item(
    bench: &Bench,
    written: &ItemFile,
    path: &str,
    read: &mut ReadShape<'_>,
) -> Result<Item, ItemFault> {
    let at = |key: &str| join(path, key);
    check_id(&written.id, &at("id"))?;
    let source = written
        .source
        .as_ref()
        .map(|text| parse_source(text, &at("source")))
        .transpose()?
        .or_else(|| bench.default_source.clone())
        .ok_or_else(|| {
            Fault::new(
                at("source"),
                "neither the item nor the job names a source for its data",
            )
            .hint("write e.g. `source = \"data sheet (published)\"` here, or once at the top of the job")
        })?;
    let bench = &Bench {
        default_source: Some(source.clone()),
        ..bench.clone()
    };
    let softness = softness(bench, written, &at("soft"))?;
    let shape = match &written.shape {
        ShapeFile::Box(cuboid) => ItemShape::Primitive(convert_cuboid(bench, cuboid, &at("shape.box"))?),
        ShapeFile::Cylinder(cylinder) => {
            ItemShape::Primitive(convert_cylinder(bench, cylinder, &at("shape.cylinder"))?)
        }
        ShapeFile::Compound(parts) => ItemShape::Compound(
            parts
                .iter()
                .enumerate()
                .map(|(index, part)| convert_part(bench, part, &at(&format!("shape.compound[{index}]"))))
                .collect::<Result<_, _>>()?,
        ),
        ShapeFile::Mesh(mesh) => {
            let unit = unit(mesh.unit.as_deref(), &at("shape.mesh.unit"))?;
            read(&at("shape.mesh.file"), &mesh.file, unit, None)?
        }
        ShapeFile::Pocket(sides) => {
            let field = at("shape.pocket");
            let goods = softness.as_ref().ok_or_else(|| {
                Fault::new(
                    field.clone(),
                    "a pocket takes its size from soft goods, and these state none",
                )
                .hint("write e.g. `soft = { volume = \"1.8 L\", least_bend_radius = \"45 mm\" }`")
            })?;
            ItemShape::Primitive(pocket(bench, sides, goods, &field)?)
        }
        ShapeFile::Outline(outline) => {
            let unit = unit(outline.unit.as_deref(), &at("shape.outline.unit"))?;
            let profile = profile(bench, outline, &at("shape.outline"))?;
            read(&at("shape.outline.file"), &outline.file, unit, Some(&profile))?
        }
    };
    let item = Item {
        id: ItemId::new(written.id.clone()),
        name: written.name.clone(),
        quantity: written.quantity,
        shape,
        size_tolerance: written
            .size_tolerance
            .as_ref()
            .map_or(Ok(Length::ZERO), |t| bench.not_negative(t, &at("size_tolerance")))?,
        mass: bench.measured_positive(&written.mass, &at("mass"))?,
        centre_of_mass: written
            .centre_of_mass
            .as_ref()
            .map(|centre| bench.point3(centre, &at("centre_of_mass")))
            .transpose()?,
        fragility: fragility(bench, &written.fragility, &at("fragility"))?,
        softness,
        ways_up: ways(&written.ways_up, &at("ways_up"))?,
        may_turn: written.may_turn,
        no_load: ways(&written.no_load, &at("no_load"))?,
        keep_clear: rooms(bench, &written.keep_clear, &at("keep_clear"))?,
        grips: ways(&written.grips, &at("grips"))?,
        reach_first: written.reach_first,
        may_lie_in_lid: written.may_lie_in_lid,
        requires: requirements(&written.requires, &at("requires"))?,
        foam: wish(bench, written, path)?,
        fragility_assumed_by: signer(written, path)?,
        points: points(bench, &written.points, &at("points"))?,
        note: written.note.clone(),
        declared: declared(written, path)?,
        source,
    };
    item.validated().map_err(|error| {
        let message = error.to_string();
        // "`id`: `field` is …": the path already says which item.
        let rest = message
            .split_once("`: ")
            .map_or(message.as_str(), |(_, rest)| rest);
        ItemFault::Fault(Fault::from_core(path, rest))
    })
}

/// What makes it soft goods; a fragility beside it would be held by nothing.
fn softness(bench: &Bench, written: &ItemFile, path: &str) -> Result<Option<Softness>, Fault> {
    let Some(soft) = &written.soft else {
        return Ok(None);
    };
    let fragility = written.fragility.value.to_string();
    if fragility.trim() != "none" {
        return Err(Fault::new(
            path,
            format!(
                "soft goods get no cushions, but their fragility is `{}`",
                fragility.trim()
            ),
        )
        .hint("write `fragility = \"none\"`; what is rigid in them is an item of its own"));
    }
    Ok(Some(Softness {
        least_bend_radius: soft
            .least_bend_radius
            .as_ref()
            .map(|radius| bench.positive(radius, &join(path, "least_bend_radius")))
            .transpose()?,
        volume: bench.positive(&soft.volume, &join(path, "volume"))?,
    }))
}

fn pocket(bench: &Bench, written: &PocketFile, goods: &Softness, path: &str) -> Result<Primitive, Fault> {
    let side = |side: &Option<Written>, key: &str| {
        side.as_ref()
            .map(|side| bench.positive(side, &join(path, key)))
            .transpose()
    };
    let sides = [
        side(&written.length, "length")?,
        side(&written.width, "width")?,
        side(&written.height, "height")?,
    ];
    goods.pocket(sides).map_err(|sentence| {
        Fault::new(path, sentence)
            .hint("leave out a side, and it follows from the volume and the bend radius")
    })
}

/// What papers for customs say of it: only what is written.
fn declared(written: &ItemFile, path: &str) -> Result<Declared, Fault> {
    let at = |key: &str| join(path, key);
    if written.serials.len() > written.quantity as usize {
        return Err(Fault::new(
            at("serials"),
            format!(
                "{} serial numbers for {} of it",
                written.serials.len(),
                written.quantity
            ),
        )
        .hint("give one for each piece, or none"));
    }
    let value = written
        .value
        .as_ref()
        .map(|text| crate::shop::amount(text, &at("value")))
        .transpose()?;
    let words = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
    Ok(Declared {
        serials: written.serials.clone(),
        value,
        origin: words(&written.origin),
        tariff_code: words(&written.tariff_code),
    })
}

fn unit(written: Option<&str>, field: &str) -> Result<Option<BenchUnit>, Fault> {
    written
        .map(|text| {
            BenchUnit::parse(text)
                .map_err(|error| Fault::new(field, error.to_string()).hint("use one of mm, cm, m, in"))
        })
        .transpose()
}

fn profile(bench: &Bench, written: &OutlineFile, path: &str) -> Result<Profile, Fault> {
    const ASKED: &str = "give `depth = \"20 mm\"`, or `steps = [{ height = \"12 mm\" }, { height = \"8 mm\", inset = \"3 mm\" }]`";
    let steps = match (&written.depth, written.steps.as_slice()) {
        (Some(depth), []) => {
            let field = join(path, "depth");
            let depth = bench.positive(depth, &field)?;
            vec![
                ProfileStep::new(depth, Length::ZERO, written.layer.clone())
                    .map_err(|sentence| Fault::new(field, sentence))?,
            ]
        }
        (None, steps) if (1..=MOST_STEPS).contains(&steps.len()) => steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                let field = format!("{path}.steps[{index}]");
                let height = bench.positive(&step.height, &join(&field, "height"))?;
                let inset = step.inset.as_ref().map_or(Ok(Length::ZERO), |inset| {
                    bench.signed(inset, &join(&field, "inset"))
                })?;
                let layer = step.layer.clone().or_else(|| written.layer.clone());
                ProfileStep::new(height, inset, layer).map_err(|sentence| Fault::new(field, sentence))
            })
            .collect::<Result<_, _>>()?,
        (None, []) => {
            return Err(Fault::new(
                path,
                "a drawing has no height, and neither `depth` nor `steps` states one",
            )
            .hint(ASKED));
        }
        (Some(_), _) => return Err(Fault::new(path, "it has both a depth and steps").hint(ASKED)),
        (None, steps) => {
            return Err(Fault::new(
                path,
                format!("it has {} steps; {MOST_STEPS} are the most", steps.len()),
            )
            .hint(ASKED));
        }
    };
    Ok(Profile {
        steps,
        has_holes: written.holes,
    })
}

fn check_id(id: &str, field: &str) -> Result<(), Fault> {
    let good = !id.is_empty()
        && id.len() <= 60
        && id
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        && !id.starts_with('-');
    if good {
        Ok(())
    } else {
        Err(Fault::new(field, format!("`{id}` is not an id"))
            .hint("use lower-case letters, digits and hyphens, e.g. `gnss-antenna`"))
    }
}

fn convert_cuboid(bench: &Bench, written: &CuboidFile, path: &str) -> Result<Primitive, Fault> {
    Ok(Primitive::Cuboid {
        length: bench.positive(&written.length, &join(path, "length"))?,
        width: bench.positive(&written.width, &join(path, "width"))?,
        height: bench.positive(&written.height, &join(path, "height"))?,
    })
}

fn convert_cylinder(bench: &Bench, written: &CylinderFile, path: &str) -> Result<Primitive, Fault> {
    Ok(Primitive::Cylinder {
        diameter: bench.positive(&written.diameter, &join(path, "diameter"))?,
        height: bench.positive(&written.height, &join(path, "height"))?,
    })
}

fn convert_part(bench: &Bench, written: &PartFile, path: &str) -> Result<Part, Fault> {
    let solid = match (&written.cuboid, &written.cylinder) {
        (Some(cuboid), None) => convert_cuboid(bench, cuboid, &join(path, "box"))?,
        (None, Some(cylinder)) => convert_cylinder(bench, cylinder, &join(path, "cylinder"))?,
        _ => {
            return Err(Fault::new(path, "a part of a compound needs one solid")
                .hint("give either `box = { length, width, height }` or `cylinder = { diameter, height }`"));
        }
    };
    Ok(Part {
        solid,
        at: bench.point3(&written.at, &join(path, "at"))?,
        up: written
            .up
            .as_ref()
            .map_or(Ok(Up::PlusZ), |up| way(up, &join(path, "up")))?,
    })
}

/// Points by name, in the order of their names.
fn points(
    bench: &Bench,
    written: &BTreeMap<String, [Written; 3]>,
    field: &str,
) -> Result<Vec<(String, Vec3)>, Fault> {
    written
        .iter()
        .map(|(name, at)| {
            if name.trim().is_empty() {
                return Err(Fault::new(field, "a point has no name")
                    .hint("write e.g. `points = { \"sensor head\" = [\"0 mm\", \"0 mm\", \"90 mm\"] }`"));
            }
            Ok((name.clone(), bench.point3(at, &format!("{field}.{name}"))?))
        })
        .collect()
}

fn rooms(bench: &Bench, written: &[ClearFile], field: &str) -> Result<Vec<ClearRoom>, Fault> {
    written
        .iter()
        .enumerate()
        .map(|(index, room)| {
            let at = |key: &str| format!("{field}[{index}].{key}");
            if room.name.trim().is_empty() {
                return Err(Fault::new(at("name"), "the room does not say what it is for")
                    .hint("write e.g. `name = \"cable exit\"`"));
            }
            Ok(ClearRoom {
                name: room.name.clone(),
                from: bench.point3(&room.from, &at("from"))?,
                to: bench.point3(&room.to, &at("to"))?,
            })
        })
        .collect()
}

fn ways(written: &[String], field: &str) -> Result<Vec<Up>, Fault> {
    let mut ways = Vec::new();
    for (index, text) in written.iter().enumerate() {
        let up = way(text, &format!("{field}[{index}]"))?;
        if !ways.contains(&up) {
            ways.push(up);
        }
    }
    Ok(ways)
}

pub(crate) fn way(text: &str, field: &str) -> Result<Up, Fault> {
    Up::parse(text).ok_or_else(|| {
        Fault::new(field, format!("`{text}` is no direction")).hint("use one of +z, -z, +x, -x, +y, -y")
    })
}

fn requirements(written: &[String], field: &str) -> Result<Vec<Requirement>, Fault> {
    let known = Requirement::ALL.map(Requirement::as_str);
    let mut out = Vec::new();
    for (index, text) in written.iter().enumerate() {
        let requirement = Requirement::parse(text).ok_or_else(|| {
            Fault::new(
                format!("{field}[{index}]"),
                format!("`{text}` is nothing that a foam can be asked"),
            )
            .hint(crate::document::one_of(text, &known))
        })?;
        if !out.contains(&requirement) {
            out.push(requirement);
        }
    }
    Ok(out)
}

/// What it asks of its foam by value.
fn wish(bench: &Bench, written: &ItemFile, path: &str) -> Result<FoamWish, Fault> {
    let at = |key: &str| join(path, key);
    let colour = written.foam_colour.as_ref().map(|name| name.trim().to_owned());
    if colour.as_ref().is_some_and(String::is_empty) {
        return Err(Fault::new(at("foam_colour"), "the colour has no name")
            .hint("write it as the foam's supplier does, e.g. `foam_colour = \"black\"`, or leave it out"));
    }
    Ok(FoamWish {
        hottest: written
            .hottest
            .as_ref()
            .map(|hottest| bench.measured_positive(hottest, &at("hottest")))
            .transpose()?,
        colour,
        firmness: written
            .foam_firmness
            .as_ref()
            .map(|range| bench.range(range, &at("foam_firmness")))
            .transpose()?,
    })
}

/// The class that a fragility is written as.
fn class_of(written: &WrittenMeasure) -> Option<String> {
    written
        .value
        .to_string()
        .trim()
        .strip_prefix("class ")
        .map(|class| class.trim().to_owned())
}

/// Who signs for an assumed class: needed with a class, out of place without one.
fn signer(written: &ItemFile, path: &str) -> Result<Option<String>, Fault> {
    let field = join(path, "fragility_signed_by");
    let name = written
        .fragility_signed_by
        .as_deref()
        .map(str::trim)
        .filter(|name| !name.is_empty());
    match (class_of(&written.fragility), name) {
        (Some(_), Some(name)) => Ok(Some(name.to_owned())),
        (Some(class), None) => Err(Fault::new(field, format!("nobody signs for the class `{class}`"))
            .hint("write the name of the person who assumes it")),
        (None, Some(_)) => Err(Fault::new(
            field,
            "the fragility is not a class, so there is nothing to sign for",
        )
        .hint("write `fragility = \"class delicate\"`, or leave the name out")),
        (None, None) => Ok(None),
    }
}

fn class(text: &str, field: &str) -> Result<Fragility, Fault> {
    let known = FragilityClass::ALL.map(FragilityClass::as_str);
    let class = FragilityClass::parse(text).ok_or_else(|| {
        Fault::new(field, format!("`{text}` is no class of fragility"))
            .hint(crate::document::one_of(text, &known))
    })?;
    Ok(Fragility::Known(Measured {
        value: class.least(),
        plus_minus: None,
        source: Some(class.source()),
    }))
}

fn fragility(bench: &Bench, written: &WrittenMeasure, field: &str) -> Result<Fragility, Fault> {
    if let Some(text) = class_of(written) {
        return class(&text, field);
    }
    match written.value.to_string().trim() {
        "unknown" => Ok(Fragility::Unknown),
        "none" => Ok(Fragility::None),
        _ => bench
            .measured_positive(written, field)
            .map(Fragility::Known)
            .map_err(|fault| {
                let hint = fault.hint.clone().unwrap_or_default();
                fault.hint(format!(
                    "{hint}; or write \"unknown\", \"none\" or a class like \"class delicate\""
                ))
            }),
    }
}

/// Names item ids twice used.
pub(crate) fn check_unique(items: &[ItemFile]) -> Result<(), Fault> {
    for (index, item) in items.iter().enumerate() {
        if let Some(first) = items[..index].iter().position(|other| other.id == item.id) {
            return Err(Fault::new(
                format!("items[{index}].id"),
                format!("`{}` is the id of items[{first}] already", item.id),
            )
            .hint("use `quantity` for several of a kind, or another id"));
        }
    }
    Ok(())
}
