//! From the written form to the shell.

use super::form::{
    CalloutForm, CornerForm, DraftForm, FittingForm, GroupForm, HalfForm, IntrusionForm, KindForm,
    OpeningForm, ShellForm, StateForm, StepForm, TracedForm, WallForm,
};
use crate::document::Document;
use crate::error::{Fault, FileError, join};
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Angle, Length, Mass, Measured};
use caddis_geometry::{Contour, Region, Vec2};
use caddis_survey::{
    Callout, Corner, Dome, Fitting, FittingGroup, FittingState, GasketRim, HalfSide, Hinge, Intrusion,
    IntrusionKind, Opening, OutlineShape, Photo, Position, Shell, ShellHalf, Step, SurveyRecord,
    TracedSection, Wall,
};

/// Reads a shell; `name` is its id in the library, `file` what messages call it.
///
/// # Errors
/// Anything that is not a shell, with file, line, field and what would do; a survey that contradicts itself.
pub fn read_shell(bytes: &[u8], name: &str, file: &str) -> Result<Shell, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ShellForm = document.parse()?;
    let shell = convert(&written, name).map_err(|fault| document.locate(fault))?;
    shell
        .validated()
        .map_err(|error| document.locate(Fault::from_core("", &error.to_string())))
}

fn convert(written: &ShellForm, name: &str) -> Result<Shell, Fault> {
    let mut bench = Bench::new(written.units.as_deref())?;
    let source = parse_source(&written.source, "source")?;
    bench.default_source = Some(source.clone());
    let bench = &bench;
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
    let gasket = written.gasket.as_ref().map(|gasket| {
        Ok(GasketRim {
            width: bench.measured_positive(&gasket.width, "gasket.width")?,
            height: bench.measured_positive(&gasket.height, "gasket.height")?,
            stands_in: or_nought(bench, gasket.stands_in.as_ref(), "gasket.stands_in")?,
        })
    });
    let hinge = written.hinge.as_ref().map(|hinge| {
        Ok(Hinge {
            wall: wall(hinge.wall),
            beyond: bench.measured_signed(&hinge.beyond, "hinge.beyond")?,
            above_rim: bench.measured_signed(&hinge.above_rim, "hinge.above_rim")?,
            opens_to: hinge
                .opens_to
                .as_ref()
                .map(|angle| bench.measured_positive(angle, "hinge.opens_to"))
                .transpose()?,
        })
    });
    Ok(Shell {
        name: name.to_owned(),
        title: written.title.clone(),
        base: half(bench, &written.base, HalfSide::Base, "base")?,
        lid: half(bench, &written.lid, HalfSide::Lid, "lid")?,
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
        total_depth: written
            .total_depth
            .as_ref()
            .map(|total| bench.measured_positive(total, "total_depth"))
            .transpose()?,
        gasket: gasket.transpose()?,
        hinge: hinge.transpose()?,
        fittings: written
            .fittings
            .iter()
            .enumerate()
            .map(|(index, written)| fitting(bench, written, &format!("fittings[{index}]")))
            .collect::<Result<_, _>>()?,
        photos: written
            .photos
            .iter()
            .map(|photo| Photo {
                file: photo.file.clone(),
                shows: photo.shows.clone(),
            })
            .collect(),
        record: SurveyRecord {
            sample: written.record.sample.clone(),
            mould_revision: written.record.mould_revision.clone(),
            measured_by: written.record.measured_by.clone(),
            measured_on: written.record.measured_on.clone(),
            bench_unit: bench.unit,
        },
        source,
    })
}

/// A measured value that may be left out and is then exactly zero.
fn or_nought<Q>(bench: &Bench, written: Option<&WrittenMeasure>, path: &str) -> Result<Measured<Q>, Fault>
where
    Q: caddis_basis::Parse + PartialOrd + Copy,
{
    written.map_or_else(
        || Ok(Measured::exact(Q::of_si(0.0))),
        |written| bench.measured(written, path),
    )
}

fn half(bench: &Bench, written: &HalfForm, side: HalfSide, path: &str) -> Result<ShellHalf, Fault> {
    let rim = opening(bench, &written.rim, &join(path, "rim"))?;
    let depth: Measured<Length> = bench.measured_positive(&written.depth, &join(path, "depth"))?;
    let dome = written
        .dome
        .as_ref()
        .map(|dome| {
            Ok(Dome {
                rise: bench.measured_positive(&dome.rise, &join(path, "dome.rise"))?,
                flat: opening(bench, &dome.flat, &join(path, "dome.flat"))?,
            })
        })
        .transpose()?;
    let drafts = written
        .draft
        .as_ref()
        .map(|draft| drafts(bench, draft, &join(path, "draft")))
        .transpose()?;
    let (floor, stated_drafts) = match (&written.floor, drafts) {
        (Some(floor), stated) => (opening(bench, floor, &join(path, "floor"))?, stated),
        (None, Some(drafts)) => {
            let rise = dome.as_ref().map_or(Length::ZERO, |dome: &Dome| dome.rise.value);
            let floor = drafted(&rim, depth.value - rise, &drafts, &join(path, "draft"))?;
            (floor, None)
        }
        (None, None) => {
            return Err(Fault::new(path, "neither the floor's size nor a draft is given")
                .hint(format!("add a table `[{path}.floor]`, or `draft = \"1.8 deg\"`")));
        }
    };
    let steps = written
        .steps
        .iter()
        .enumerate()
        .map(|(index, written)| step(bench, written, &format!("{path}.steps[{index}]")))
        .collect::<Result<_, _>>()?;
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
        wall: bench.measured_positive(&written.wall, &join(path, "wall"))?,
        steps,
        dome,
        stated_drafts,
        intrusions,
        traced: written
            .traced
            .iter()
            .enumerate()
            .map(|(index, written)| traced(bench, written, &format!("{path}.traced[{index}]")))
            .collect::<Result<_, _>>()?,
    })
}

fn traced(bench: &Bench, written: &TracedForm, path: &str) -> Result<TracedSection, Fault> {
    let contours = written
        .outlines
        .iter()
        .enumerate()
        .map(|(index, points)| closed_line(bench, points, &format!("{path}.outlines[{index}]")))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(TracedSection {
        at: bench.measured_positive(&written.at, &join(path, "at"))?,
        room: Region::from_contours(&contours),
        plus_minus: written
            .plus_minus
            .as_ref()
            .map(|off| bench.not_negative(off, &join(path, "plus_minus")))
            .transpose()?,
    })
}

/// Corners in order, either way round.
fn closed_line(bench: &Bench, points: &[[Written; 2]], path: &str) -> Result<Contour, Fault> {
    if points.len() < 3 {
        return Err(Fault::new(
            path,
            format!("has {} corners, a closed line has at least three", points.len()),
        )
        .hint(
            "give the corners in order as `[x, y]` from the middle of the opening; the line closes itself",
        ));
    }
    let points = points
        .iter()
        .enumerate()
        .map(|(index, point)| bench.point(point, &format!("{path}[{index}]")))
        .collect::<Result<Vec<_>, _>>()?;
    let contour = Contour::polygon(points);
    let alone = Region::from_contours(std::slice::from_ref(&contour));
    let (area, signed) = (alone.area(), contour.signed_area().abs());
    if alone.shapes.len() > 1 || (area - signed).abs() > 1e-6 * area.max(1e-4) {
        return Err(Fault::new(path, "the line crosses itself")
            .hint("give the corners in the order in which one walks round the outline"));
    }
    Ok(contour)
}

fn step(bench: &Bench, written: &StepForm, path: &str) -> Result<Step, Fault> {
    let below = opening(bench, &written.below, &join(path, "below"))?;
    Ok(Step {
        at: bench.measured_positive(&written.at, &join(path, "at"))?,
        above: written.above.as_ref().map_or_else(
            || Ok(below.clone()),
            |above| opening(bench, above, &join(path, "above")),
        )?,
        below,
    })
}

/// Left, right, front, back.
fn drafts(bench: &Bench, written: &DraftForm, path: &str) -> Result<[Measured<Angle>; 4], Fault> {
    Ok(match written {
        DraftForm::All(draft) => {
            let draft: Measured<Angle> = bench.measured(draft, path)?;
            std::array::from_fn(|_| draft.clone())
        }
        DraftForm::Each(each) => [
            bench.measured(&each.left, &join(path, "left"))?,
            bench.measured(&each.right, &join(path, "right"))?,
            bench.measured(&each.front, &join(path, "front"))?,
            bench.measured(&each.back, &join(path, "back"))?,
        ],
    })
}

/// The floor that the walls' drafts leave: each side loses depth × tan(draft).
///
/// # Source
/// Definition of draft.
fn drafted(
    rim: &Opening,
    depth: Length,
    drafts: &[Measured<Angle>; 4],
    field: &str,
) -> Result<Opening, Fault> {
    let [left, right, front, back] = drafts.each_ref().map(|draft| depth * draft.value.si().tan());
    let shrink = |size: &Measured<Length>, loss: Length| Measured {
        value: size.value - loss,
        ..size.clone()
    };
    let floor = Opening {
        length: shrink(&rim.length, left + right),
        width: shrink(&rim.width, front + back),
        corner_radius: rim.corner_radius.clone(),
        centre: rim.centre + Vec2::new((left - right).si(), (front - back).si()) / 2.0,
    };
    let steepest = drafts
        .iter()
        .map(|draft| draft.value)
        .fold(Angle::ZERO, Angle::max);
    if steepest.as_degrees() > 45.0 || floor.length.value <= Length::ZERO || floor.width.value <= Length::ZERO
    {
        return Err(
            Fault::new(field, format!("a draft of {steepest} leaves no floor"))
                .hint("moulded walls lean 0.5 to 5 deg"),
        );
    }
    Ok(floor)
}

fn opening(bench: &Bench, written: &OpeningForm, path: &str) -> Result<Opening, Fault> {
    Ok(Opening {
        length: bench.measured_positive(&written.length, &join(path, "length"))?,
        width: bench.measured_positive(&written.width, &join(path, "width"))?,
        corner_radius: bench.measured(&written.corner_radius, &join(path, "corner_radius"))?,
        centre: written.centre.as_ref().map_or(Ok(Vec2::ZERO), |centre| {
            bench.point(centre, &join(path, "centre"))
        })?,
    })
}

fn position(bench: &Bench, written: &[WrittenMeasure; 2], path: &str) -> Result<Position, Fault> {
    Ok(Position {
        x: bench.measured_signed(&written[0], &format!("{path}[0]"))?,
        y: bench.measured_signed(&written[1], &format!("{path}[1]"))?,
    })
}

fn place(bench: &Bench, written: &[WrittenMeasure; 3], path: &str) -> Result<[Measured<Length>; 3], Fault> {
    Ok([
        bench.measured_signed(&written[0], &format!("{path}[0]"))?,
        bench.measured_signed(&written[1], &format!("{path}[1]"))?,
        bench.measured_signed(&written[2], &format!("{path}[2]"))?,
    ])
}

fn intrusion(bench: &Bench, written: &IntrusionForm, path: &str) -> Result<Intrusion, Fault> {
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
            KindForm::WheelHousing => IntrusionKind::WheelHousing,
            KindForm::PullHandleHousing => IntrusionKind::PullHandleHousing,
            KindForm::Rib => IntrusionKind::Rib,
            KindForm::Boss => IntrusionKind::Boss,
            KindForm::HingePocket => IntrusionKind::HingePocket,
            KindForm::LatchPocket => IntrusionKind::LatchPocket,
            KindForm::Other => IntrusionKind::Other,
        },
        outline: outline(bench, written, path)?,
        from: or_nought(bench, written.from.as_ref(), &join(path, "from"))?,
        to: bench.measured_positive(&written.to, &join(path, "to"))?,
        draft: or_nought(bench, written.draft.as_ref(), &join(path, "draft"))?,
        fillet: or_nought(bench, written.fillet.as_ref(), &join(path, "fillet"))?,
        removable: written.removable,
        removed: written.removed,
    })
}

fn outline(bench: &Bench, written: &IntrusionForm, path: &str) -> Result<OutlineShape, Fault> {
    let radius = |written: &Option<WrittenMeasure>, path: &str| {
        or_nought(bench, written.as_ref(), &join(path, "corner_radius"))
    };
    let given = [
        written.rectangle.is_some(),
        written.circle.is_some(),
        written.polygon.is_some(),
        written.on_wall.is_some(),
        written.in_corner.is_some(),
    ];
    if given.into_iter().filter(|given| *given).count() > 1 {
        return Err(Fault::new(path, "an intrusion has one outline, here are several")
            .hint("keep one of `rectangle`, `circle`, `polygon`, `on_wall` and `in_corner`"));
    }
    if let Some(rectangle) = &written.rectangle {
        let path = join(path, "rectangle");
        return Ok(OutlineShape::Rectangle {
            centre: position(bench, &rectangle.centre, &join(&path, "centre"))?,
            length: bench.measured_positive(&rectangle.length, &join(&path, "length"))?,
            width: bench.measured_positive(&rectangle.width, &join(&path, "width"))?,
            corner_radius: radius(&rectangle.corner_radius, &path)?,
        });
    }
    if let Some(circle) = &written.circle {
        let path = join(path, "circle");
        return Ok(OutlineShape::Circle {
            centre: position(bench, &circle.centre, &join(&path, "centre"))?,
            radius: bench.measured_positive(&circle.radius, &join(&path, "radius"))?,
        });
    }
    if let Some(polygon) = &written.polygon {
        let path = join(path, "polygon");
        return Ok(OutlineShape::Polygon {
            points: polygon
                .points
                .iter()
                .enumerate()
                .map(|(index, point)| position(bench, point, &format!("{path}.points[{index}]")))
                .collect::<Result<_, _>>()?,
            corner_radius: radius(&polygon.corner_radius, &path)?,
        });
    }
    if let Some(on_wall) = &written.on_wall {
        let path = join(path, "on_wall");
        return Ok(OutlineShape::OnWall {
            wall: wall(on_wall.wall),
            along: bench.measured_signed(&on_wall.along, &join(&path, "along"))?,
            width: bench.measured_positive(&on_wall.width, &join(&path, "width"))?,
            stands_in: bench.measured_positive(&on_wall.stands_in, &join(&path, "stands_in"))?,
            corner_radius: radius(&on_wall.corner_radius, &path)?,
        });
    }
    if let Some(in_corner) = &written.in_corner {
        let path = join(path, "in_corner");
        return Ok(OutlineShape::InCorner {
            corner: match in_corner.corner {
                CornerForm::LeftFront => Corner::LeftFront,
                CornerForm::LeftBack => Corner::LeftBack,
                CornerForm::RightFront => Corner::RightFront,
                CornerForm::RightBack => Corner::RightBack,
            },
            length: bench.measured_positive(&in_corner.length, &join(&path, "length"))?,
            width: bench.measured_positive(&in_corner.width, &join(&path, "width"))?,
            corner_radius: radius(&in_corner.corner_radius, &path)?,
        });
    }
    Err(Fault::new(path, "an intrusion needs one outline").hint(
        "give one of `rectangle = { centre, length, width }`, `circle = { centre, radius }`, `polygon = { points }`, \
         `on_wall = { wall, along, width, stands_in }` and `in_corner = { corner, length, width }`",
    ))
}

fn wall(written: WallForm) -> Wall {
    match written {
        WallForm::Left => Wall::Left,
        WallForm::Right => Wall::Right,
        WallForm::Front => Wall::Front,
        WallForm::Back => Wall::Back,
    }
}

fn fitting(bench: &Bench, written: &FittingForm, path: &str) -> Result<Fitting, Fault> {
    Ok(Fitting {
        name: written.name.clone(),
        group: match written.group {
            GroupForm::Closing => FittingGroup::Closing,
            GroupForm::Moving => FittingGroup::Moving,
            GroupForm::Sealing => FittingGroup::Sealing,
            GroupForm::Stacking => FittingGroup::Stacking,
            GroupForm::Marking => FittingGroup::Marking,
        },
        count: written.count,
        note: written.note.clone(),
        state: match written.state {
            StateForm::Good => FittingState::Good,
            StateForm::Worn => FittingState::Worn,
            StateForm::Damaged => FittingState::Damaged,
            StateForm::Missing => FittingState::Missing,
            StateForm::NotChecked => FittingState::NotChecked,
        },
        is_wear_part: written.wear_part,
        is_field_replaceable: written.field_replaceable,
        places: written
            .places
            .iter()
            .enumerate()
            .map(|(index, at)| place(bench, at, &format!("{path}.places[{index}]")))
            .collect::<Result<_, _>>()?,
        size: written
            .size
            .as_ref()
            .map(|size| place(bench, size, &join(path, "size")))
            .transpose()?,
        grip_height: written
            .grip_height
            .as_ref()
            .map(|height| bench.measured_positive(height, &join(path, "grip_height")))
            .transpose()?,
        callouts: written
            .callouts
            .iter()
            .enumerate()
            .map(|(index, written)| callout(written, &format!("{path}.callouts[{index}]")))
            .collect::<Result<_, _>>()?,
    })
}

fn callout(written: &CalloutForm, path: &str) -> Result<Callout, Fault> {
    if let Some(at) = written.at
        && !at.iter().all(|share| (0.0..=1.0).contains(share))
    {
        return Err(Fault::new(
            join(path, "at"),
            format!("{} and {} are no shares of the photo", at[0], at[1]),
        )
        .hint("give how far from its left and from its top, between 0 and 1, e.g. `at = [0.4, 0.25]`"));
    }
    Ok(Callout {
        photo: written.photo.clone(),
        number: written.number,
        at: written.at,
    })
}
