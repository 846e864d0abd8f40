//! A shop of the library as a file: stock, process, rates and the clearances it works to.

use crate::document::Document;
use crate::error::{Fault, FileError, join};
use crate::job::ClearancesFile;
use crate::written::{Bench, Written, parse_source};
use caddis_basis::{Currency, Duration, Length, Money};
use caddis_design::Clearances;
use caddis_shop::{
    BudgetPractice, DrawingPractice, DrawingUnits, Machine, Process, ProcessKind, Projection, Quoting, Rates,
    SheetSize, Shop, Spread, StockSheet, ToleranceRow,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A shop and the clearances it works to unless a job says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopEntry {
    /// Stock, process, rates.
    pub shop: Shop,
    /// Geometric defaults.
    pub clearances: Clearances,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ShopFile {
    #[serde(rename = "schema")]
    _schema: u32,
    name: String,
    currency: String,
    glue_holdback: Written,
    process: ProcessFile,
    machine: Option<MachineFile>,
    rates: RatesFile,
    clearances: ClearancesFile,
    stock: Vec<StockFile>,
    #[serde(default)]
    quotation: QuotationFile,
    #[serde(default)]
    drawings: DrawingsFile,
    budget: Option<BudgetFile>,
}

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum ProcessKindFile {
    Router,
    WaterJet,
    Knife,
    HotWire,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ProcessFile {
    name: String,
    kind: ProcessKindFile,
    kerf: Written,
    least_radius: Written,
    gap: Written,
    greatest_thickness: Written,
    feed: Written,
    pass_depth: Written,
    tolerance: String,
    #[serde(default)]
    tolerances: Vec<ToleranceFile>,
    #[serde(default)]
    cautions: Vec<String>,
    source: String,
}

/// A row of the tolerance table.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ToleranceFile {
    up_to: Written,
    plan: Written,
    depth: Written,
}

/// What the shop's finished jobs say: least, expected, most.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BudgetFile {
    /// Cheapest first.
    foam_yield: [f64; 3],
    cavity_time: [Written; 3],
    layer_time: [Written; 3],
    source: String,
}

/// How the shop draws.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct DrawingsFile {
    paper: Option<String>,
    units: Option<String>,
    projection: Option<String>,
}

/// How the shop quotes; what is left out prints as a blank.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct QuotationFile {
    #[serde(default)]
    letterhead: Vec<String>,
    valid_days: Option<u32>,
    #[serde(default)]
    quantities: Vec<u32>,
    #[serde(default)]
    included: Vec<String>,
    #[serde(default)]
    not_included: Vec<String>,
    #[serde(default)]
    terms: Vec<String>,
    /// Price of an empty shell by its name in the library.
    #[serde(default)]
    shells: BTreeMap<String, String>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MachineFile {
    name: String,
    #[serde(default)]
    write_programs: bool,
    flute_length: Written,
    /// Revolutions per minute.
    spindle_rpm: f64,
    plunge_feed: Written,
    rapid: Written,
    acceleration: Written,
    corner_deviation: Written,
    safe_height: Written,
    stepover: f64,
    skin: Written,
    spin_up: Written,
    source: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RatesFile {
    machine_per_hour: String,
    labour_per_hour: String,
    setup: Written,
    handling_per_layer: Written,
    gluing_per_joint: Written,
    adhesive_per_m2: String,
    overhead: f64,
    scrap: f64,
    margin: f64,
    source: String,
}

/// One or more sheets that differ in thickness and price only.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StockFile {
    name: String,
    foam: String,
    length: Written,
    width: Written,
    trim: Written,
    #[serde(default)]
    one_good_face: bool,
    source: String,
    sheets: Vec<SheetFile>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetFile {
    thickness: Written,
    price: String,
}

/// Reads a shop; `file` is what messages call it.
///
/// # Errors
/// Anything that is not a shop, with file, line, field and what would do.
pub fn read_shop(bytes: &[u8], file: &str) -> Result<ShopEntry, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ShopFile = document.parse()?;
    convert(&written).map_err(|fault| document.locate(fault))
}

fn convert(written: &ShopFile) -> Result<ShopEntry, Fault> {
    let bench = Bench::new(None)?;
    let currency =
        Currency::parse(&written.currency).map_err(|error| split("currency", &error.to_string()))?;
    let mut stock = Vec::new();
    for (index, row) in written.stock.iter().enumerate() {
        let path = format!("stock[{index}]");
        let at = |key: &str| join(&path, key);
        let length: Length = bench.positive(&row.length, &at("length"))?;
        let width: Length = bench.positive(&row.width, &at("width"))?;
        let trim: Length = bench.not_negative(&row.trim, &at("trim"))?;
        if trim * 2.0 >= length.min(width) {
            return Err(Fault::new(
                at("trim"),
                format!("a trim of {trim} leaves nothing of the sheet"),
            )
            .hint("give the strip left unused along every edge, e.g. `15 mm`"));
        }
        let source = parse_source(&row.source, &at("source"))?;
        for (number, sheet) in row.sheets.iter().enumerate() {
            let sheet_at = |key: &str| format!("{path}.sheets[{number}].{key}");
            stock.push(StockSheet {
                name: row.name.clone(),
                foam: row.foam.clone(),
                thickness: bench.positive(&sheet.thickness, &sheet_at("thickness"))?,
                length,
                width,
                trim,
                price: money(&sheet.price, currency, &sheet_at("price"))?,
                one_good_face: row.one_good_face,
                source: source.clone(),
            });
        }
    }
    Ok(ShopEntry {
        shop: Shop {
            name: written.name.clone(),
            currency,
            stock,
            process: process(&bench, &written.process)?,
            machine: written.machine.as_ref().map(|m| machine(&bench, m)).transpose()?,
            rates: rates(&bench, &written.rates, currency)?,
            glue_holdback: bench.not_negative(&written.glue_holdback, "glue_holdback")?,
            quoting: quoting(&written.quotation, currency)?,
            drawing: drawing(&written.drawings)?,
            budget: written
                .budget
                .as_ref()
                .map(|file| budget(&bench, file))
                .transpose()?,
        },
        clearances: written.clearances.whole(&bench, "clearances")?,
    })
}

fn process(bench: &Bench, written: &ProcessFile) -> Result<Process, Fault> {
    let kerf: Length = bench.not_negative(&written.kerf, "process.kerf")?;
    let gap: Length = bench.not_negative(&written.gap, "process.gap")?;
    if gap < kerf {
        return Err(Fault::new(
            "process.gap",
            format!("a gap of {gap} is less than the kerf of {kerf}"),
        )
        .hint("parts on a sheet need at least the kerf between them"));
    }
    Ok(Process {
        name: written.name.clone(),
        kind: match written.kind {
            ProcessKindFile::Router => ProcessKind::Router,
            ProcessKindFile::WaterJet => ProcessKind::WaterJet,
            ProcessKindFile::Knife => ProcessKind::Knife,
            ProcessKindFile::HotWire => ProcessKind::HotWire,
        },
        kerf,
        least_radius: bench.not_negative(&written.least_radius, "process.least_radius")?,
        gap,
        greatest_thickness: bench.positive(&written.greatest_thickness, "process.greatest_thickness")?,
        feed: bench.positive(&written.feed, "process.feed")?,
        pass_depth: bench.positive(&written.pass_depth, "process.pass_depth")?,
        tolerance: written.tolerance.clone(),
        tolerances: tolerances(bench, &written.tolerances)?,
        cautions: written.cautions.clone(),
        source: parse_source(&written.source, "process.source")?,
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
    Ok(Machine {
        name: written.name.clone(),
        write_programs: written.write_programs,
        flute_length: bench.positive(&written.flute_length, "machine.flute_length")?,
        spindle_rpm: written.spindle_rpm,
        plunge_feed: bench.positive(&written.plunge_feed, "machine.plunge_feed")?,
        rapid: bench.positive(&written.rapid, "machine.rapid")?,
        acceleration: bench.positive(&written.acceleration, "machine.acceleration")?,
        corner_deviation: bench.positive(&written.corner_deviation, "machine.corner_deviation")?,
        safe_height: bench.positive(&written.safe_height, "machine.safe_height")?,
        stepover: written.stepover,
        skin: bench.not_negative(&written.skin, "machine.skin")?,
        spin_up: bench.not_negative(&written.spin_up, "machine.spin_up")?,
        source: parse_source(&written.source, "machine.source")?,
    })
}

fn rates(bench: &Bench, written: &RatesFile, currency: Currency) -> Result<Rates, Fault> {
    let share = |value: f64, name: &str, below: f64| {
        if value.is_finite() && (0.0..below).contains(&value) {
            Ok(value)
        } else {
            Err(Fault::new(
                format!("rates.{name}"),
                format!("{value} is not a fraction from 0 to {below}"),
            )
            .hint("write 35 % as 0.35"))
        }
    };
    Ok(Rates {
        machine_per_hour: money(&written.machine_per_hour, currency, "rates.machine_per_hour")?,
        labour_per_hour: money(&written.labour_per_hour, currency, "rates.labour_per_hour")?,
        setup: bench.not_negative(&written.setup, "rates.setup")?,
        handling_per_layer: bench.not_negative(&written.handling_per_layer, "rates.handling_per_layer")?,
        gluing_per_joint: bench.not_negative(&written.gluing_per_joint, "rates.gluing_per_joint")?,
        adhesive_per_m2: money(&written.adhesive_per_m2, currency, "rates.adhesive_per_m2")?,
        overhead: share(written.overhead, "overhead", 10.0)?,
        scrap: share(written.scrap, "scrap", 10.0)?,
        margin: share(written.margin, "margin", 1.0)?,
        source: parse_source(&written.source, "rates.source")?,
    })
}

fn tolerances(bench: &Bench, written: &[ToleranceFile]) -> Result<Vec<ToleranceRow>, Fault> {
    let mut rows: Vec<ToleranceRow> = Vec::new();
    for (index, row) in written.iter().enumerate() {
        let at = |key: &str| format!("process.tolerances[{index}].{key}");
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

fn quoting(written: &QuotationFile, currency: Currency) -> Result<Quoting, Fault> {
    if written.valid_days.is_some_and(|days| !(1..=3650).contains(&days)) {
        return Err(Fault::new(
            "quotation.valid_days",
            "a price holds for 1 to 3650 days",
        ));
    }
    let mut quantities = if written.quantities.is_empty() {
        Quoting::QUANTITIES.to_vec()
    } else {
        written.quantities.clone()
    };
    let is_rising = quantities.windows(2).all(|pair| pair[0] < pair[1]);
    if !is_rising
        || quantities
            .iter()
            .any(|quantity| !(1..=Quoting::MOST).contains(quantity))
    {
        return Err(Fault::new(
            "quotation.quantities",
            format!(
                "{quantities:?} are not rising quantities from 1 to {}",
                Quoting::MOST
            ),
        )
        .hint("write e.g. `quantities = [1, 5, 10, 25]`"));
    }
    if quantities[0] != 1 {
        quantities.insert(0, 1);
    }
    let mut shells = BTreeMap::new();
    for (name, text) in &written.shells {
        shells.insert(
            name.clone(),
            money(text, currency, &format!("quotation.shells.{name}"))?,
        );
    }
    Ok(Quoting {
        letterhead: written.letterhead.clone(),
        valid_days: written.valid_days,
        quantities,
        included: written.included.clone(),
        not_included: written.not_included.clone(),
        terms: written.terms.clone(),
        shells,
    })
}

fn budget(bench: &Bench, written: &BudgetFile) -> Result<BudgetPractice, Fault> {
    let [least, expected, most] = written.foam_yield;
    let is_falling = 1.0 >= least && least >= expected && expected >= most && most > 0.0;
    if !is_falling {
        return Err(Fault::new(
            "budget.foam_yield",
            format!(
                "{:?} are not falling shares from 1 down to above 0",
                written.foam_yield
            ),
        )
        .hint("the cheapest case first, e.g. `foam_yield = [0.5, 0.2, 0.1]`"));
    }
    let times = |rows: &[Written; 3], field: &str| -> Result<Spread<Duration>, Fault> {
        let [least, expected, most] = [0, 1, 2].map(|index| bench.not_negative(&rows[index], field));
        let (least, expected, most): (Duration, Duration, Duration) = (least?, expected?, most?);
        if least > expected || expected > most {
            return Err(Fault::new(field, "the times do not rise")
                .hint("the cheapest case first, e.g. `[\"1 min\", \"2.5 min\", \"5 min\"]`"));
        }
        Ok(Spread {
            least,
            expected,
            most,
        })
    };
    Ok(BudgetPractice {
        foam_yield: Spread {
            least,
            expected,
            most,
        },
        cavity_time: times(&written.cavity_time, "budget.cavity_time")?,
        layer_time: times(&written.layer_time, "budget.layer_time")?,
        source: parse_source(&written.source, "budget.source")?,
    })
}

fn drawing(written: &DrawingsFile) -> Result<DrawingPractice, Fault> {
    let papers = [
        ("A4", SheetSize::A4),
        ("A3", SheetSize::A3),
        ("A2", SheetSize::A2),
        ("A1", SheetSize::A1),
        ("Letter", SheetSize::Letter),
        ("B", SheetSize::B),
        ("C", SheetSize::C),
        ("D", SheetSize::D),
    ];
    let units = [
        ("mm", DrawingUnits::Millimetres),
        ("inch", DrawingUnits::Inches),
        ("dual", DrawingUnits::Dual),
    ];
    let projections = [
        ("first-angle", Projection::FirstAngle),
        ("third-angle", Projection::ThirdAngle),
    ];
    Ok(DrawingPractice {
        paper: named(written.paper.as_deref(), &papers, "drawings.paper")?,
        units: named(written.units.as_deref(), &units, "drawings.units")?,
        projection: named(written.projection.as_deref(), &projections, "drawings.projection")?,
    })
}

/// One of a few names; the default where none is written.
fn named<T: Copy + Default>(text: Option<&str>, names: &[(&str, T)], field: &str) -> Result<T, Fault> {
    let Some(text) = text else {
        return Ok(T::default());
    };
    if let Some((_, value)) = names.iter().find(|(name, _)| *name == text) {
        return Ok(*value);
    }
    let all: Vec<&str> = names.iter().map(|(name, _)| *name).collect();
    Err(Fault::new(field, format!("`{text}` is none of them"))
        .hint(format!("write one of {}", all.join(", "))))
}

/// An amount that is not negative.
pub(crate) fn amount(text: &str, field: &str) -> Result<Money, Fault> {
    let money = Money::parse(text).map_err(|error| split(field, &error.to_string()))?;
    if money.minor() < 0 {
        return Err(Fault::new(field, format!("`{text}` is negative")).hint("give zero or more"));
    }
    Ok(money)
}

fn money(text: &str, currency: Currency, field: &str) -> Result<Money, Fault> {
    let money = amount(text, field)?;
    if money.currency() != currency {
        return Err(
            Fault::new(field, format!("`{text}` is not in {}", currency.code()))
                .hint("all money of one shop is in its one currency"),
        );
    }
    Ok(money)
}

fn split(field: &str, message: &str) -> Fault {
    match message.split_once("; ") {
        Some((problem, hint)) => Fault::new(field, problem).hint(hint),
        None => Fault::new(field, message),
    }
}
