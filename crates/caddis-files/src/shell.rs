//! A shell of the library as a file: the survey as it was taken.

use crate::document::{Document, one_of};
use crate::error::{Fault, FileError, join};
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Angle, Length, Mass, Measured};
use caddis_geometry::Vec2;
use caddis_survey::{
    Fitting, FittingGroup, HalfSide, Intrusion, IntrusionKind, Opening, OutlineShape, Shell, ShellHalf,
    SurveyRecord,
};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ShellFile {
    #[serde(rename = "schema")]
    _schema: u32,
    title: String,
    #[serde(default)]
    units: Option<String>,
    source: String,
    base: HalfFile,
    lid: HalfFile,
    outside: BoxFile,
    empty_mass: WrittenMeasure,
    #[serde(default)]
    nominal_inside: Option<PlainBoxFile>,
    #[serde(default)]
    stacking_rating: Option<WrittenMeasure>,
    #[serde(default)]
    fittings: Vec<FittingFile>,
    #[serde(default)]
    record: RecordFile,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct HalfFile {
    depth: WrittenMeasure,
    fillet: WrittenMeasure,
    wall: Written,
    rim: OpeningFile,
    /// The floor of the base or the crown of the lid; or `draft` instead.
    #[serde(default, alias = "crown")]
    floor: Option<OpeningFile>,
    #[serde(default)]
    draft: Option<Written>,
    #[serde(default)]
    intrusions: Vec<IntrusionFile>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OpeningFile {
    length: WrittenMeasure,
    width: WrittenMeasure,
    corner_radius: WrittenMeasure,
    #[serde(default)]
    centre: Option<[Written; 2]>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BoxFile {
    length: WrittenMeasure,
    width: WrittenMeasure,
    height: WrittenMeasure,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlainBoxFile {
    length: Written,
    width: Written,
    height: Written,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum KindFile {
    WheelHousing,
    PullHandleHousing,
    Rib,
    Boss,
    Other,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct IntrusionFile {
    name: String,
    kind: KindFile,
    #[serde(default)]
    rectangle: Option<RectangleFile>,
    #[serde(default)]
    circle: Option<CircleFile>,
    #[serde(default)]
    from: Option<Written>,
    to: WrittenMeasure,
    #[serde(default)]
    draft: Option<Written>,
    #[serde(default)]
    removable: bool,
    #[serde(default)]
    removed: bool,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RectangleFile {
    centre: [Written; 2],
    length: Written,
    width: Written,
    #[serde(default)]
    corner_radius: Option<Written>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CircleFile {
    centre: [Written; 2],
    radius: Written,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum GroupFile {
    Closing,
    Moving,
    Sealing,
    Stacking,
    Marking,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FittingFile {
    name: String,
    group: GroupFile,
    #[serde(default = "one")]
    count: u32,
    #[serde(default)]
    note: String,
}

fn one() -> u32 {
    1
}

#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RecordFile {
    #[serde(default)]
    sample: String,
    #[serde(default)]
    measured_by: String,
    #[serde(default)]
    measured_on: String,
}

/// Reads a shell; `name` is its id in the library, `file` what messages call it.
///
/// # Errors
/// Anything that is not a shell, with file, line, field and what would do; a survey that contradicts itself.
pub fn read_shell(bytes: &[u8], name: &str, file: &str) -> Result<Shell, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ShellFile = document.parse()?;
    let shell = convert(&written, name).map_err(|fault| document.locate(fault))?;
    shell
        .validated()
        .map_err(|error| document.locate(Fault::from_core("", &error.to_string())))
}

fn convert(written: &ShellFile, name: &str) -> Result<Shell, Fault> {
    let mut bench = Bench::new(written.units.as_deref())?;
    let source = parse_source(&written.source, "source")?;
    bench.default_source = Some(source.clone());
    let outside = &written.outside;
    let nominal_inside = written
        .nominal_inside
        .as_ref()
        .map(|nominal| {
            Ok([
                bench.positive(&nominal.length, "nominal_inside.length")?,
                bench.positive(&nominal.width, "nominal_inside.width")?,
                bench.positive(&nominal.height, "nominal_inside.height")?,
            ])
        })
        .transpose()?;
    Ok(Shell {
        name: name.to_owned(),
        title: written.title.clone(),
        base: half(&bench, &written.base, HalfSide::Base, "base")?,
        lid: half(&bench, &written.lid, HalfSide::Lid, "lid")?,
        outside: [
            bench.measured_positive(&outside.length, "outside.length")?,
            bench.measured_positive(&outside.width, "outside.width")?,
            bench.measured_positive(&outside.height, "outside.height")?,
        ],
        empty_mass: bench.measured_positive::<Mass>(&written.empty_mass, "empty_mass")?,
        nominal_inside,
        stacking_rating: written
            .stacking_rating
            .as_ref()
            .map(|rating| bench.measured_positive(rating, "stacking_rating"))
            .transpose()?,
        fittings: written.fittings.iter().map(fitting).collect(),
        record: SurveyRecord {
            sample: written.record.sample.clone(),
            measured_by: written.record.measured_by.clone(),
            measured_on: written.record.measured_on.clone(),
        },
        source,
    })
}

fn half(bench: &Bench, written: &HalfFile, side: HalfSide, path: &str) -> Result<ShellHalf, Fault> {
    let rim = opening(bench, &written.rim, &join(path, "rim"))?;
    let depth: Measured<Length> = bench.measured_positive(&written.depth, &join(path, "depth"))?;
    let floor = match (&written.floor, &written.draft) {
        (Some(floor), None) => opening(bench, floor, &join(path, "floor"))?,
        (None, Some(draft)) => {
            let field = join(path, "draft");
            let draft: Angle = bench.not_negative(draft, &field)?;
            drafted(&rim, &depth, draft, &field)?
        }
        (Some(_), Some(_)) => {
            return Err(
                Fault::new(join(path, "draft"), "both the floor's size and a draft are given")
                    .hint("keep one of `floor` and `draft`: each follows from the other"),
            );
        }
        (None, None) => {
            return Err(Fault::new(path, "neither the floor's size nor a draft is given")
                .hint(format!("add a table `[{path}.floor]`, or `draft = \"1.8 deg\"`")));
        }
    };
    let intrusions = written
        .intrusions
        .iter()
        .enumerate()
        .map(|(index, written)| intrusion(bench, written, &format!("{path}.intrusions[{index}]")))
        .collect::<Result<_, _>>()?;
    Ok(ShellHalf {
        side,
        rim,
        floor,
        depth,
        fillet: bench.measured(&written.fillet, &join(path, "fillet"))?,
        wall: bench.positive(&written.wall, &join(path, "wall"))?,
        intrusions,
    })
}

/// The floor that the same draft on all four walls leaves: each side loses depth × tan(draft).
///
/// # Source
/// Definition of draft.
fn drafted(rim: &Opening, depth: &Measured<Length>, draft: Angle, field: &str) -> Result<Opening, Fault> {
    let loss = depth.value * (2.0 * draft.si().tan());
    let shrink = |size: &Measured<Length>| Measured {
        value: size.value - loss,
        ..size.clone()
    };
    let floor = Opening {
        length: shrink(&rim.length),
        width: shrink(&rim.width),
        ..rim.clone()
    };
    if draft.as_degrees() > 45.0 || floor.length.value <= Length::ZERO || floor.width.value <= Length::ZERO {
        return Err(Fault::new(field, format!("a draft of {draft} leaves no floor"))
            .hint("moulded walls lean 0.5 to 5 deg"));
    }
    Ok(floor)
}

fn opening(bench: &Bench, written: &OpeningFile, path: &str) -> Result<Opening, Fault> {
    Ok(Opening {
        length: bench.measured_positive(&written.length, &join(path, "length"))?,
        width: bench.measured_positive(&written.width, &join(path, "width"))?,
        corner_radius: bench.measured(&written.corner_radius, &join(path, "corner_radius"))?,
        centre: written.centre.as_ref().map_or(Ok(Vec2::ZERO), |centre| {
            bench.point(centre, &join(path, "centre"))
        })?,
    })
}

fn intrusion(bench: &Bench, written: &IntrusionFile, path: &str) -> Result<Intrusion, Fault> {
    let outline = match (&written.rectangle, &written.circle) {
        (Some(rectangle), None) => {
            let path = join(path, "rectangle");
            OutlineShape::Rectangle {
                centre: bench.point(&rectangle.centre, &join(&path, "centre"))?,
                length: bench.positive(&rectangle.length, &join(&path, "length"))?,
                width: bench.positive(&rectangle.width, &join(&path, "width"))?,
                corner_radius: rectangle.corner_radius.as_ref().map_or(Ok(Length::ZERO), |r| {
                    bench.not_negative(r, &join(&path, "corner_radius"))
                })?,
            }
        }
        (None, Some(circle)) => {
            let path = join(path, "circle");
            OutlineShape::Circle {
                centre: bench.point(&circle.centre, &join(&path, "centre"))?,
                radius: bench.positive(&circle.radius, &join(&path, "radius"))?,
            }
        }
        _ => {
            return Err(Fault::new(path, "an intrusion needs one outline").hint(
                "give either `rectangle = { centre, length, width }` or `circle = { centre, radius }`",
            ));
        }
    };
    if written.removed && !written.removable {
        return Err(Fault::new(
            join(path, "removed"),
            format!("`{}` is removed but not removable", written.name),
        )
        .hint("set `removable = true` if it may be taken off"));
    }
    Ok(Intrusion {
        name: written.name.clone(),
        kind: match written.kind {
            KindFile::WheelHousing => IntrusionKind::WheelHousing,
            KindFile::PullHandleHousing => IntrusionKind::PullHandleHousing,
            KindFile::Rib => IntrusionKind::Rib,
            KindFile::Boss => IntrusionKind::Boss,
            KindFile::Other => IntrusionKind::Other,
        },
        outline,
        from: written.from.as_ref().map_or(Ok(Length::ZERO), |from| {
            bench.not_negative(from, &join(path, "from"))
        })?,
        to: bench.measured_positive(&written.to, &join(path, "to"))?,
        draft: written.draft.as_ref().map_or(Ok(Angle::ZERO), |draft| {
            bench.not_negative(draft, &join(path, "draft"))
        })?,
        removable: written.removable,
        removed: written.removed,
    })
}

fn fitting(written: &FittingFile) -> Fitting {
    Fitting {
        name: written.name.clone(),
        group: match written.group {
            GroupFile::Closing => FittingGroup::Closing,
            GroupFile::Moving => FittingGroup::Moving,
            GroupFile::Sealing => FittingGroup::Sealing,
            GroupFile::Stacking => FittingGroup::Stacking,
            GroupFile::Marking => FittingGroup::Marking,
        },
        count: written.count,
        note: written.note.clone(),
    }
}

/// Names the removable intrusions of both halves that a job takes off.
pub(crate) fn remove_intrusions(shell: &mut Shell, names: &[String], path: &str) -> Result<(), Fault> {
    for (index, name) in names.iter().enumerate() {
        let field = format!("{path}[{index}]");
        let mut known = Vec::new();
        let mut found = false;
        for intrusion in shell.base.intrusions.iter_mut().chain(&mut shell.lid.intrusions) {
            if intrusion.removable {
                known.push(intrusion.name.clone());
            }
            if intrusion.name == *name {
                if !intrusion.removable {
                    return Err(Fault::new(field, format!("`{name}` cannot be removed"))
                        .hint("only what the shell's survey marks `removable = true` can be taken off"));
                }
                intrusion.removed = true;
                found = true;
            }
        }
        if !found {
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            return Err(
                Fault::new(field, format!("`{name}` is no intrusion of this shell"))
                    .hint(one_of(name, &known)),
            );
        }
    }
    Ok(())
}
