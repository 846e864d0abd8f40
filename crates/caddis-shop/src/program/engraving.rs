//! Names and part marks of a sheet as a program of its own: their strokes on the centre line, at one shallow depth.

use super::machine::{EngravingTool, Machine};
use super::path::ToolPath;
use super::route::{Settings, strokes};
use super::sweep::{compare, swept};
use super::time::{Limits, path_time};
use super::verify::{moves_safely, near, tolerance};
use super::{cautions, height_words, lengths, sheet_words, travel_words, write};
use crate::bill::short;
use crate::{LayerPart, SheetNest, SheetPath, Shop, StockSheet};
use caddis_basis::{Duration, Length};
use caddis_geometry::{Placement2, Region, Side, Vec2};

/// What a sheet's engraving takes.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct EngravingPath {
    pub(crate) path: ToolPath,
    /// Putting the tool in, spindle start and moves.
    pub(crate) time: Duration,
    /// Way in foam.
    pub(crate) cutting: Length,
    /// Way in the air.
    pub(crate) air: Length,
}

/// Every stroke of names and marks on a sheet, sheet frame, metres.
fn lines(layers: &[LayerPart], nest: &SheetNest) -> Vec<Vec<Vec2>> {
    let mut all = Vec::new();
    for (part, place) in laid(layers, nest) {
        let names = part.engravings.iter().flat_map(|name| &name.strokes);
        for line in names.chain(part.mark.iter().flatten()) {
            all.push(line.iter().map(|point| place.apply(*point)).collect());
        }
    }
    all
}

fn laid<'a>(
    layers: &'a [LayerPart],
    nest: &'a SheetNest,
) -> impl Iterator<Item = (&'a LayerPart, Placement2)> {
    nest.parts.iter().filter_map(|nested| {
        let part = layers.iter().find(|part| part.id == nested.layer)?;
        Some((part, nested.placement))
    })
}

/// The way along all of it; `None` where the sheet bears neither name nor mark.
pub(crate) fn engraving_path(
    layers: &[LayerPart],
    nest: &SheetNest,
    tool: &EngravingTool,
    machine: &Machine,
    limits: &Limits,
) -> Option<EngravingPath> {
    let lines = lines(layers, nest);
    if lines.is_empty() {
        return None;
    }
    let settings = Settings {
        feed: tool.feed.si(),
        plunge: machine.plunge_feed.si().min(tool.feed.si()),
        safe: machine.safe_height.si(),
        approach: machine.plunge_from().si(),
        link: 0.0,
    };
    let path = strokes(lines, tool.depth.si(), &settings);
    let (cutting, air) = lengths(&path);
    Some(EngravingPath {
        time: tool.change + machine.spin_up + Duration::from_si(path_time(&path, limits)),
        cutting: Length::from_si(cutting),
        air: Length::from_si(air),
        path,
    })
}

/// The engraving program of a sheet, after its check; `None` where the process engraves nothing or the sheet bears nothing.
///
/// # Errors
/// What the swept tool takes that is no stroke, or leaves of one: an error of ours, never of the design.
pub(crate) fn engraving(
    path: &SheetPath,
    layers: &[LayerPart],
    nest: &SheetNest,
    stock: &StockSheet,
    shop: &Shop,
    stamp: &[String],
) -> Result<Option<String>, String> {
    let (Some(engraved), Some(tool), Some(machine)) =
        (&path.engraving, &shop.process.engraving, &shop.process.machine)
    else {
        return Ok(None);
    };
    let mm = |length: Length| short(length.as_mm());
    let mut comments = sheet_words("ENGRAVING of ", nest, stock, stamp);
    comments.push(format!(
        "tool {}, {} mm wide, its middle on the lines: nothing is compensated",
        tool.name,
        mm(tool.diameter)
    ));
    comments.push(format!("lines {} mm deep in the face", mm(tool.depth)));
    comments.push(format!("machine {}, units mm, absolute, one tool", machine.name));
    comments.push(format!(
        "zero: x y lower left corner of the {} x {} mm sheet, z its top: find z anew with this tool where the parts lie",
        mm(stock.length),
        mm(stock.width)
    ));
    comments.push(
        "run it before the other program of the sheet, while nothing is cut yet, and do not move the sheet between"
            .to_owned(),
    );
    comments.extend(height_words(machine, stock));
    comments.extend(travel_words(&engraved.path));
    comments.push(format!(
        "estimated {:.1} min at the machine with the change of tool",
        engraved.time.si() / 60.0
    ));
    let unmarked: Vec<&str> = laid(layers, nest)
        .filter(|(part, _)| part.mark.is_none())
        .map(|(part, _)| part.id.as_str())
        .collect();
    if !unmarked.is_empty() {
        comments.push(format!(
            "no room for the mark of {}: mark it by hand",
            unmarked.join(" ")
        ));
    }
    comments.extend(cautions(shop));
    let header = write::Header {
        comments,
        spindle_rpm: machine.spindle_rpm,
        spin_up: machine.spin_up.si(),
    };
    let text = write::write(&engraved.path, &header);
    let read = super::read::read(&text).map_err(|error| error.to_string())?;
    verify(&read, layers, nest, stock, tool, machine)?;
    Ok(Some(text))
}

/// # Errors
/// A sentence: moves that are not safe, lines deeper or shallower than said, foam taken beside the lines, above all of a wall or
/// outside the parts, or lines that are not cut.
pub(crate) fn verify(
    path: &ToolPath,
    layers: &[LayerPart],
    nest: &SheetNest,
    stock: &StockSheet,
    tool: &EngravingTool,
    machine: &Machine,
) -> Result<(), String> {
    moves_safely(path, stock, machine)?;
    let depth = tool.depth.si();
    if let Some(odd) = path
        .moves
        .iter()
        .map(|step| -step.to.z)
        .find(|below| *below > 1e-9 && (below - depth).abs() > 1e-7)
    {
        return Err(format!(
            "a line is {} mm deep instead of {}",
            short(odd * 1e3),
            short(depth * 1e3)
        ));
    }
    let radius = tool.diameter.si() / 2.0;
    let wanted: Vec<Region> = lines(layers, nest)
        .iter()
        .flat_map(|line| line.windows(2))
        .map(|pair| Region::slot(pair[0], pair[1], radius))
        .collect();
    let wanted = Region::union_all(&wanted);
    let taken = swept(path, radius, depth - 1e-6, f64::INFINITY);
    let faces: Vec<Region> = laid(layers, nest)
        .map(|(part, place)| {
            let voids = part
                .through
                .iter()
                .chain(part.pockets.iter().map(|pocket| &pocket.region));
            part.outline.difference(&Region::union_all(voids)).placed(&place)
        })
        .collect();
    let outside = taken.difference(&Region::union_all(&faces).offset(tolerance(), Side::Outer));
    if outside.area() > 0.0 {
        return Err(format!(
            "the engraving leaves the faces of the parts by {:.2} mm²{}",
            outside.area() * 1e6,
            near(&outside)
        ));
    }
    let reach = taken.union(&wanted).bounds();
    let around = reach.map_or_else(Region::empty, |b| Region::rectangle(b.min, b.max));
    let difference = compare(&taken, &around.difference(&wanted), &wanted, tolerance());
    let areas = (difference.gouged.area(), difference.left.area());
    if areas.0 > 0.0 || areas.1 > 0.0 {
        return Err(format!(
            "the engraving takes {:.2} mm² beside its lines{} and leaves {:.2} mm² of them{}",
            areas.0 * 1e6,
            near(&difference.gouged),
            areas.1 * 1e6,
            near(&difference.left)
        ));
    }
    Ok(())
}
