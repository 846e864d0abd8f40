//! A cutting process of the library as a file.

use crate::document::Document;
use crate::error::{Fault, FileError, FilePlace};
use crate::files::shown;
use crate::library::{EntryKind, Library};
use crate::written::{Bench, Written, parse_source};
use caddis_basis::{Angle, Duration, Length};
use caddis_shop::{Blade, EngravingTool, Machine, Motion, Process, ProcessKind, ToleranceRow};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum KindFile {
    Router,
    WaterJet,
    Knife,
    HotWire,
}

impl KindFile {
    fn kind(self) -> ProcessKind {
        match self {
            Self::Router => ProcessKind::Router,
            Self::WaterJet => ProcessKind::WaterJet,
            Self::Knife => ProcessKind::Knife,
            Self::HotWire => ProcessKind::HotWire,
        }
    }
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ProcessFile {
    #[serde(rename = "schema")]
    _schema: u32,
    name: String,
    kind: KindFile,
    kerf: Written,
    /// Left out for a knife with a `blade`, which says it.
    least_radius: Option<Written>,
    gap: Written,
    greatest_thickness: Written,
    feed: Written,
    /// For a router; whatever cuts through does it at once.
    pass_depth: Option<Written>,
    rapid: Written,
    acceleration: Written,
    corner_deviation: Written,
    start: Option<Written>,
    lead_in: Option<Written>,
    blade: Option<BladeFile>,
    #[serde(default)]
    suits: Vec<String>,
    machine: Option<MachineFile>,
    engraving: Option<EngravingFile>,
    tolerance: String,
    #[serde(default)]
    tolerances: Vec<ToleranceFile>,
    #[serde(default)]
    cautions: Vec<String>,
    source: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BladeFile {
    width: Written,
    side_error: Written,
    edge_angle: Written,
}

/// A row of the tolerance table.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ToleranceFile {
    up_to: Written,
    plan: Written,
    depth: Written,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MachineFile {
    name: String,
    flute_length: Written,
    /// Revolutions per minute.
    spindle_rpm: f64,
    plunge_feed: Written,
    safe_height: Written,
    approach_height: Option<Written>,
    stepover: f64,
    skin: Written,
    spin_up: Written,
    source: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct EngravingFile {
    tool: String,
    diameter: Written,
    depth: Written,
    feed: Written,
    change: Written,
    source: String,
}

/// Reads a process; `file` is what messages call it.
///
/// # Errors
/// Anything that is not a process, with file, line, field and what would do.
pub fn read_process(bytes: &[u8], file: &str) -> Result<Process, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ProcessFile = document.parse()?;
    convert(&written).map_err(|fault| document.locate(fault))
}

/// The process `name` of a library, which the file `asked_by` names.
///
/// # Errors
/// No such entry, with those there are; as [`read_process`].
pub fn find_process(library: &Library, name: &str, asked_by: &str) -> Result<Process, FileError> {
    let place = FilePlace {
        file: asked_by.to_owned(),
        line: None,
        field: "process".to_owned(),
    };
    let found = library.find(EntryKind::Process, name, place)?;
    read_process(&found.bytes, &shown(&found.path))
}

fn convert(written: &ProcessFile) -> Result<Process, Fault> {
    let bench = Bench::new(None)?;
    let kind = written.kind.kind();
    let kerf: Length = bench.not_negative(&written.kerf, "kerf")?;
    let gap: Length = bench.not_negative(&written.gap, "gap")?;
    if gap < kerf {
        return Err(
            Fault::new("gap", format!("a gap of {gap} is less than the kerf of {kerf}"))
                .hint("parts on a sheet need at least the kerf between them"),
        );
    }
    let is_router = kind == ProcessKind::Router;
    if written.machine.is_some() && !is_router {
        return Err(Fault::new("machine", "only a router is described so")
            .hint("leave it out: other machines have programs of their own makers"));
    }
    if written.engraving.is_some() && written.machine.is_none() {
        return Err(
            Fault::new("engraving", "only a router described in `[machine]` engraves by program").hint(
                "leave it out: names and part marks lie on layers of their own in the cut files, for other machines or by hand",
            ),
        );
    }
    if written.blade.is_some() && kind != ProcessKind::Knife {
        return Err(Fault::new("blade", "only a knife has a blade").hint("leave it out"));
    }
    let blade = written
        .blade
        .as_ref()
        .map(|file| blade(&bench, file))
        .transpose()?;
    let greatest_thickness = bench.positive(&written.greatest_thickness, "greatest_thickness")?;
    let optional = |written: &Option<Written>, field: &str| -> Result<Option<Length>, Fault> {
        written
            .as_ref()
            .map(|value| bench.not_negative(value, field))
            .transpose()
    };
    let least_radius = match (optional(&written.least_radius, "least_radius")?, &blade) {
        (Some(radius), _) => radius,
        (None, Some(blade)) => blade.least_radius(),
        (None, None) => {
            return Err(Fault::new("least_radius", "`least_radius` is missing").hint(
                "the least radius of a curve that turns inward; for a router half its cutter's diameter",
            ));
        }
    };
    let pass_depth = match &written.pass_depth {
        Some(written) if is_router => bench.positive(written, "pass_depth")?,
        Some(_) => {
            return Err(Fault::new("pass_depth", "this kind cuts through at once").hint("leave it out"));
        }
        None if is_router => {
            return Err(Fault::new("pass_depth", "`pass_depth` is missing")
                .hint("how deep a router goes at once, e.g. \"30 mm\""));
        }
        None => greatest_thickness,
    };
    Ok(Process {
        name: written.name.clone(),
        kind,
        kerf,
        least_radius,
        gap,
        greatest_thickness,
        feed: bench.positive(&written.feed, "feed")?,
        pass_depth,
        motion: Motion {
            rapid: bench.positive(&written.rapid, "rapid")?,
            acceleration: bench.positive(&written.acceleration, "acceleration")?,
            corner_deviation: bench.positive(&written.corner_deviation, "corner_deviation")?,
        },
        start: written
            .start
            .as_ref()
            .map(|value| bench.not_negative(value, "start"))
            .transpose()?
            .unwrap_or(Duration::ZERO),
        lead_in: optional(&written.lead_in, "lead_in")?.unwrap_or(Length::ZERO),
        blade,
        suits: written.suits.clone(),
        machine: written.machine.as_ref().map(|m| machine(&bench, m)).transpose()?,
        engraving: written
            .engraving
            .as_ref()
            .map(|tool| engraving(&bench, tool))
            .transpose()?,
        tolerance: written.tolerance.clone(),
        tolerances: tolerances(&bench, &written.tolerances)?,
        cautions: written.cautions.clone(),
        source: parse_source(&written.source, "source")?,
    })
}

fn blade(bench: &Bench, written: &BladeFile) -> Result<Blade, Fault> {
    let angle: Angle = bench.not_negative(&written.edge_angle, "blade.edge_angle")?;
    if angle.as_degrees() > 80.0 {
        return Err(Fault::new(
            "blade.edge_angle",
            format!("{angle} is no lean of a cutting edge"),
        )
        .hint("from the vertical, 0 to 80 deg"));
    }
    Ok(Blade {
        width: bench.positive(&written.width, "blade.width")?,
        side_error: bench.positive(&written.side_error, "blade.side_error")?,
        edge_angle: angle.si(),
    })
}

fn machine(bench: &Bench, written: &MachineFile) -> Result<Machine, Fault> {
    if !(written.stepover.is_finite() && (0.05..=0.5).contains(&written.stepover)) {
        return Err(Fault::new(
            "machine.stepover",
            format!("{} is not a fraction from 0.05 to 0.5", written.stepover),
        )
        .hint("the distance between clearing passes over the cutter's diameter, e.g. 0.45"));
    }
    if !(written.spindle_rpm.is_finite() && (100.0..=100_000.0).contains(&written.spindle_rpm)) {
        return Err(Fault::new(
            "machine.spindle_rpm",
            format!("{} is not a spindle speed", written.spindle_rpm),
        )
        .hint("revolutions per minute, from 100 to 100000"));
    }
    let safe_height: Length = bench.positive(&written.safe_height, "machine.safe_height")?;
    let approach_height = match &written.approach_height {
        Some(stated) => Some(bench.positive(stated, "machine.approach_height")?),
        None => None,
    };
    if let Some(approach) = approach_height.filter(|approach| *approach > safe_height) {
        return Err(Fault::new(
            "machine.approach_height",
            format!("{approach} is above the safe height of {safe_height}"),
        )
        .hint("where rapid moves down end and the plunge begins, e.g. 3 mm; without it plunges begin at the safe height"));
    }
    Ok(Machine {
        name: written.name.clone(),
        // The shop says whether it wants programs.
        write_programs: false,
        flute_length: bench.positive(&written.flute_length, "machine.flute_length")?,
        spindle_rpm: written.spindle_rpm,
        plunge_feed: bench.positive(&written.plunge_feed, "machine.plunge_feed")?,
        safe_height,
        approach_height,
        stepover: written.stepover,
        skin: bench.not_negative(&written.skin, "machine.skin")?,
        spin_up: bench.not_negative(&written.spin_up, "machine.spin_up")?,
        source: parse_source(&written.source, "machine.source")?,
    })
}

fn engraving(bench: &Bench, written: &EngravingFile) -> Result<EngravingTool, Fault> {
    let diameter: Length = bench.positive(&written.diameter, "engraving.diameter")?;
    if diameter > EngravingTool::GREATEST_DIAMETER {
        return Err(Fault::new(
            "engraving.diameter",
            format!("a line {diameter} wide fills letters of 5 mm"),
        )
        .hint(format!("at most {}", EngravingTool::GREATEST_DIAMETER)));
    }
    let depth: Length = bench.positive(&written.depth, "engraving.depth")?;
    if depth > EngravingTool::GREATEST_DEPTH {
        return Err(Fault::new(
            "engraving.depth",
            format!("lines {depth} deep take foam that is counted on as whole"),
        )
        .hint(format!("at most {}", EngravingTool::GREATEST_DEPTH)));
    }
    Ok(EngravingTool {
        name: written.tool.clone(),
        diameter,
        depth,
        feed: bench.positive(&written.feed, "engraving.feed")?,
        change: bench.not_negative(&written.change, "engraving.change")?,
        source: parse_source(&written.source, "engraving.source")?,
    })
}

fn tolerances(bench: &Bench, written: &[ToleranceFile]) -> Result<Vec<ToleranceRow>, Fault> {
    let mut rows: Vec<ToleranceRow> = Vec::new();
    for (index, row) in written.iter().enumerate() {
        let at = |key: &str| format!("tolerances[{index}].{key}");
        let up_to: Length = bench.positive(&row.up_to, &at("up_to"))?;
        if rows.last().is_some_and(|last| up_to <= last.up_to) {
            return Err(
                Fault::new(at("up_to"), format!("{up_to} is not more than the row before it"))
                    .hint("write the rows by rising nominal size"),
            );
        }
        rows.push(ToleranceRow {
            up_to,
            plan: bench.positive(&row.plan, &at("plan"))?,
            depth: bench.positive(&row.depth, &at("depth"))?,
        });
    }
    Ok(rows)
}
