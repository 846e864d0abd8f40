//! The tool path of every sheet, compensated for the cutter, and its time; for a router its machine program and the check of it.
//!
//! Guarantees: nothing is cut outside the design's voids (the program is read back and the cutter swept along it); inside before
//! outside; rapid moves in the plan only at the safe height. Names and part marks are a program of their own, with a tool of its own.
//! Knows one tool in a program and no clamps: the operator does.

mod contours;
mod cuts;
mod engraving;
mod machine;
mod path;
mod read;
mod route;
mod sweep;
mod time;
mod verify;
mod write;

pub(crate) use engraving::engraving;
pub use machine::{EngravingTool, Machine};

use crate::bill::{figure, short};
use crate::{LayerPart, ProcessKind, SheetNest, Shop, StockSheet};
use caddis_basis::{Certainty, Domain, Duration, Finding, Length, Margin, Severity, Source, said};
use engraving::{EngravingPath, engraving_path};
use path::{ToolPath, Way};
use route::Settings;

/// The tool path of one sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPath {
    /// Index into the set's nests.
    pub nest: usize,
    /// Time at the machine, spindle start and moves with acceleration and corner speed, engraving included; loading not counted.
    pub time: Duration,
    /// Way of the cutter in foam.
    pub cutting: Length,
    /// Way in the air.
    pub air: Length,
    path: ToolPath,
    /// Its names and marks; `None` where nothing is engraved.
    engraving: Option<EngravingPath>,
}

impl SheetPath {
    /// What of its time goes into engraving names and part marks, with the change of tool.
    pub fn engraving_time(&self) -> Option<Duration> {
        self.engraving.as_ref().map(|engraving| engraving.time)
    }
}

/// Paths of all sheets; none for a router whose data the shop does not give.
pub(crate) fn sheet_paths(
    layers: &[LayerPart],
    nests: &[SheetNest],
    shop: &Shop,
) -> (Vec<SheetPath>, Vec<Finding>) {
    let (mut paths, mut findings) = (Vec::new(), Vec::new());
    let process = &shop.process;
    let router = match (process.kind, &process.machine) {
        (ProcessKind::Router, Some(machine)) if process.kerf.si() > 0.0 => Some(machine),
        (ProcessKind::Router, _) => return (paths, findings),
        _ => None,
    };
    let feed = process.feed.si();
    let settings = Settings {
        feed,
        // What cuts through at once moves in the plan alone.
        plunge: router.map_or(feed, |machine| machine.plunge_feed.si()),
        safe: router.map_or(0.0, |machine| machine.safe_height.si()),
        approach: router.map_or(0.0, |machine| machine.plunge_from().si()),
        link: 2.0 * process.kerf.si(),
    };
    let limits = time::Limits {
        acceleration: process.motion.acceleration.si(),
        corner_deviation: process.motion.corner_deviation.si(),
        rapid: process.motion.rapid.si(),
    };
    for (index, nest) in nests.iter().enumerate() {
        let mut parts = Vec::new();
        let mut entries = contours::Entries::default();
        for nested in &nest.parts {
            let Some(part) = layers.iter().find(|part| part.id == nested.layer) else {
                continue;
            };
            let cuts = if let Some(machine) = router {
                findings.extend(too_short(part, machine));
                cuts::part_cuts(part, &nested.placement, process, machine)
            } else {
                contours::part_cuts(part, &nested.placement, process)
            };
            entries += contours::entries(part, &cuts, process);
            findings.extend(too_narrow(part, &cuts, shop));
            parts.push(cuts);
        }
        let path = route::route(parts, &settings);
        let (mut cutting, air) = lengths(&path);
        cutting += entries.length;
        let engraving = router
            .zip(process.engraving.as_ref())
            .and_then(|(machine, tool)| engraving_path(layers, nest, tool, machine, &limits));
        let (more_time, more_cutting, more_air) = engraving
            .as_ref()
            .map_or_else(Default::default, |way| (way.time, way.cutting, way.air));
        let waits = entries.starts * process.start.si() + router.map_or(0.0, |machine| machine.spin_up.si());
        paths.push(SheetPath {
            nest: index,
            time: Duration::from_si(time::path_time(&path, &limits) + entries.length / feed + waits)
                + more_time,
            cutting: Length::from_si(cutting) + more_cutting,
            air: Length::from_si(air) + more_air,
            path,
            engraving,
        });
    }
    (paths, findings)
}

/// Way of a path in foam and in the air, metres.
fn lengths(path: &ToolPath) -> (f64, f64) {
    let (mut cutting, mut air) = (0.0, 0.0);
    for (from, step) in path.legs() {
        let length = path::length(from, step);
        if step.way == Way::Rapid || (from.z >= 0.0 && step.to.z >= 0.0) {
            air += length;
        } else {
            cutting += length;
        }
    }
    (cutting, air)
}

/// The program of a sheet, after its check.
///
/// # Errors
/// What the swept cutter takes or leaves against the design: an error of ours, never of the design.
pub(crate) fn program(
    path: &SheetPath,
    layers: &[LayerPart],
    nest: &SheetNest,
    stock: &StockSheet,
    shop: &Shop,
    stamp: &[String],
) -> Result<String, String> {
    let Some(machine) = &shop.process.machine else {
        return Err("the process has no machine".to_owned());
    };
    let header = header(path, nest, stock, shop, machine, stamp);
    let text = write::write(&path.path, &header);
    let read = read::read(&text).map_err(|error| error.to_string())?;
    verify::verify(&read, layers, nest, stock, shop, machine)?;
    Ok(text)
}

fn header(
    path: &SheetPath,
    nest: &SheetNest,
    stock: &StockSheet,
    shop: &Shop,
    machine: &Machine,
    stamp: &[String],
) -> write::Header {
    let mm = |length: Length| short(length.as_mm());
    let mut comments = sheet_words("", nest, stock, stamp);
    comments.push(format!(
        "COMPENSATED for a cutter of {} mm diameter; do not compensate again",
        mm(shop.process.kerf)
    ));
    comments.push(format!(
        "machine {}, units mm, absolute, one tool, cutting edge at least {} mm",
        machine.name,
        mm(stock.thickness)
    ));
    comments.push(format!(
        "zero: x y lower left corner of the {} x {} mm sheet, z its top",
        mm(stock.length),
        mm(stock.width)
    ));
    comments.push(format!(
        "sheet {} mm thick; {} mm skin left under holes and outlines, part them by hand",
        mm(stock.thickness),
        mm(machine.skin)
    ));
    comments.extend(height_words(machine, stock));
    comments.extend(travel_words(&path.path));
    let engraving = path.engraving_time().unwrap_or(Duration::ZERO);
    comments.push(format!(
        "estimated {:.1} min at the machine without loading",
        (path.time - engraving).si() / 60.0
    ));
    comments.push(if path.engraving.is_some() {
        "marks and names are in the program of this sheet that ends in -engrave: run that one first"
            .to_owned()
    } else {
        "marks and names are not cut: mark and engrave parts from the layer drawings".to_owned()
    });
    comments.extend(cautions(shop));
    write::Header {
        comments,
        spindle_rpm: machine.spindle_rpm,
        spin_up: machine.spin_up.si(),
    }
}

/// Which sheet it is, of which job, with which parts.
fn sheet_words(what: &str, nest: &SheetNest, stock: &StockSheet, stamp: &[String]) -> Vec<String> {
    let mut words = vec![format!("{what}{}, sheet {}", stock.name, nest.number)];
    words.extend(stamp.iter().cloned());
    let parts: Vec<&str> = nest.parts.iter().map(|part| part.layer.as_str()).collect();
    words.push(format!("parts {}", parts.join(" ")));
    words
}

/// Where rapid moves go.
fn height_words(machine: &Machine, stock: &StockSheet) -> Vec<String> {
    let mm = |length: Length| short(length.as_mm());
    let mut words = vec![format!(
        "safe height {} mm above the sheet; keep clamps outside the trim of {} mm",
        mm(machine.safe_height),
        mm(stock.trim)
    )];
    if let Some(approach) = machine.approach_height {
        words.push(format!(
            "rapid moves come down to {} mm above the sheet: lay it flat and hold it down",
            mm(approach)
        ));
    }
    words
}

/// Where the tool goes, to hold against the machine's travel.
fn travel_words(path: &ToolPath) -> Option<String> {
    let ends = path.moves.iter().map(|m| (m.to, m.to));
    let (low, high) = ends.reduce(|l, r| (l.0.min(r.0), l.1.max(r.1)))?;
    Some(format!(
        "travel x {:.1} to {:.1}, y {:.1} to {:.1}, z {:.1} to {:.1} mm",
        low.x * 1e3,
        high.x * 1e3,
        low.y * 1e3,
        high.y * 1e3,
        low.z * 1e3,
        high.z * 1e3
    ))
}

fn cautions(shop: &Shop) -> Vec<String> {
    let ours = [
        "CAUTION: run in the air first; mind the spindle, dust and fire; stay with the machine".to_owned(),
        "CAUTION: the machine's manual, local codes and licensed practice come first".to_owned(),
    ];
    let of_process = shop.process.cautions.iter();
    ours.into_iter()
        .chain(of_process.map(|caution| format!("CAUTION: {caution}")))
        .collect()
}

/// A layer thicker than the cutting edge is long.
fn too_short(part: &LayerPart, machine: &Machine) -> Option<Finding> {
    let (needed, have) = (
        part.stock.as_mm() - machine.skin.as_mm(),
        machine.flute_length.as_mm(),
    );
    (needed > have + 1e-9).then(|| {
        Finding::new(
            "cutter-too-short",
            Domain::Shop,
            Severity::Failing,
            said!("layer {part}", part = part.id),
            said!(
                "the cut is {needed:.1} mm deep; the cutting edge is {edge:.1} mm long",
                needed,
                edge = have
            ),
            machine.source.clone(),
        )
        .margin(Margin::at_most(needed, have, "mm"))
        .remedy(said!(
            "take a longer cutter, or split the layer into thinner stock"
        ))
    })
}

/// Pockets and holes the cutter does not enter at all.
fn too_narrow(part: &LayerPart, cuts: &cuts::PartCuts, shop: &Shop) -> Option<Finding> {
    (cuts.too_narrow > 0).then(|| {
        Finding::new(
            "cutter-too-wide",
            Domain::Shop,
            Severity::Failing,
            said!("layer {part}", part = part.id),
            said!(
                "{openings} pockets or holes are narrower than the {width} mm that {process} takes and would not be cut",
                openings = cuts.too_narrow,
                width = figure(shop.process.kerf.as_mm()),
                process = shop.process.name
            ),
            Source::new(
                "the width of the cut against the opening",
                Certainty::CommonPractice,
            ),
        )
        .remedy(said!("take a thinner cutter, or widen the opening"))
    })
}

#[cfg(test)]
mod tests;
