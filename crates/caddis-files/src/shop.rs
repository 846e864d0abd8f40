//! A shop of the library as a file: stock, the processes it offers, rates and the clearances it works to.

use crate::document::Document;
use crate::error::{Fault, FileError, join};
use crate::fittings::{FittingsFile, fittings};
use crate::job::ClearancesFile;
use crate::stock::{StockFile, rows, stock_colour};
use crate::written::{Bench, Written, parse_source};
use caddis_basis::{Currency, Duration, Length, Money};
use caddis_design::{Clearances, LayerColour};
use caddis_shop::{
    BudgetPractice, DrawingPractice, DrawingUnits, Machine, OffcutPractice, Process, Projection, Quoting,
    Rates, SheetSize, Shop, Spread,
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
    /// Tag of the language of its papers.
    pub language: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ShopFile {
    #[serde(rename = "schema")]
    _schema: u32,
    name: String,
    currency: String,
    /// Of papers; English where it is left out.
    language: Option<String>,
    glue_holdback: Written,
    #[serde(default)]
    engrave_names: bool,
    /// The process used where a job names none, by its name in the library.
    process: String,
    /// What the shop asks for each process it offers, by its name in the library.
    processes: BTreeMap<String, TermsFile>,
    rates: RatesFile,
    clearances: ClearancesFile,
    stock: Vec<StockFile>,
    #[serde(default)]
    fittings: FittingsFile,
    #[serde(default)]
    offcuts: OffcutPracticeFile,
    #[serde(default)]
    quotation: QuotationFile,
    #[serde(default)]
    drawings: DrawingsFile,
    budget: Option<BudgetFile>,
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

/// What is kept of cut sheets.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OffcutPracticeFile {
    length: Option<Written>,
    width: Option<Written>,
    price_share: Option<f64>,
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

/// What a shop asks for a process.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TermsFile {
    machine_per_hour: String,
    setup: Written,
    handling_per_layer: Written,
    /// Whether machine programs go with the cut files.
    #[serde(default)]
    write_programs: bool,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RatesFile {
    labour_per_hour: String,
    gluing_per_joint: Written,
    adhesive_per_m2: String,
    overhead: f64,
    scrap: f64,
    margin: f64,
    source: String,
}

/// What a shop lets a job choose.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopOffer {
    /// Its name on papers.
    pub name: String,
    /// The process it uses where a job names none.
    pub process: String,
    /// Every process it offers, by name in the library.
    pub processes: Vec<String>,
    /// Layer thicknesses it stacks from unless a job says otherwise.
    pub layer_thicknesses: Vec<Length>,
    /// Its pull strap, as the bill names it.
    pub pull_strap: Option<String>,
    /// Its board behind a lid pad, as the bill names it.
    pub board: Option<String>,
    /// Whether it bevels edges.
    pub bevels: bool,
    /// The colours it stocks each foam in, every one once, in the order of the stock.
    pub colours: Vec<OfferedColour>,
}

/// A colour that a foam is stocked in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferedColour {
    /// The foam, by its name in the library.
    pub foam: String,
    /// Name and shade.
    pub colour: LayerColour,
}

/// What a shop lets a job choose; `file` is what messages call it.
///
/// # Errors
/// Anything that is not a shop, with file, line, field and what would do.
pub fn read_shop_offer(bytes: &[u8], file: &str) -> Result<ShopOffer, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ShopFile = document.parse()?;
    let bench = Bench::new(None).map_err(|fault| document.locate(fault))?;
    let layer_thicknesses = written
        .clearances
        .layer_thicknesses
        .iter()
        .flatten()
        .enumerate()
        .map(|(index, thickness)| {
            bench.positive(thickness, &format!("clearances.layer_thicknesses[{index}]"))
        })
        .collect::<Result<_, _>>()
        .map_err(|fault| document.locate(fault))?;
    let mut colours: Vec<OfferedColour> = Vec::new();
    for (index, row) in written.stock.iter().enumerate() {
        let stocked =
            stock_colour(row, &format!("stock[{index}]")).map_err(|fault| document.locate(fault))?;
        let Some(colour) = stocked else { continue };
        let is_known = |known: &OfferedColour| known.foam == row.foam && known.colour.name == colour.name;
        if !colours.iter().any(is_known) {
            colours.push(OfferedColour {
                foam: row.foam.clone(),
                colour,
            });
        }
    }
    let (pull_strap, board, bevels) = written.fittings.offered();
    Ok(ShopOffer {
        name: written.name,
        process: written.process,
        processes: written.processes.into_keys().collect(),
        layer_thicknesses,
        pull_strap,
        board,
        bevels,
        colours,
    })
}

/// Reads a shop as it works by `process`, or by the process it uses where nothing else is asked; `file` is what messages
/// call it, `read` gives a process by its name in the library.
///
/// # Errors
/// Anything that is not a shop, with file, line, field and what would do; a process it does not offer; whatever `read` says.
pub fn read_shop(
    bytes: &[u8],
    file: &str,
    process: Option<&str>,
    read: &mut dyn FnMut(&str) -> Result<Process, FileError>,
) -> Result<ShopEntry, FileError> {
    let document = Document::new(bytes, file)?;
    let written: ShopFile = document.parse()?;
    let locate = |fault| document.locate(fault);
    let name = process.unwrap_or(&written.process);
    let Some(terms) = written.processes.get(name) else {
        let offered: Vec<&str> = written.processes.keys().map(String::as_str).collect();
        let asked_by = if process.is_some() { "the job" } else { "`process`" };
        return Err(locate(
            Fault::new(
                "processes",
                format!("{asked_by} asks for `{name}`, which the shop does not offer"),
            )
            .hint(format!(
                "it offers {}; name one of them, or state `[processes.{name}]`",
                offered.join(", ")
            )),
        ));
    };
    let mut process = read(name)?;
    process.machine = process.machine.map(|machine| Machine {
        write_programs: terms.write_programs,
        ..machine
    });
    if terms.write_programs && process.machine.is_none() {
        let field = format!("processes.{name}.write_programs");
        return Err(locate(
            Fault::new(
                field,
                format!("`{name}` describes no machine that follows programs"),
            )
            .hint("leave it out, or state `[machine]` in the process's file"),
        ));
    }
    convert(&written, process, terms, &format!("processes.{name}")).map_err(locate)
}

fn convert(
    written: &ShopFile,
    process: Process,
    terms: &TermsFile,
    terms_at: &str,
) -> Result<ShopEntry, Fault> {
    let bench = Bench::new(None)?;
    let currency =
        Currency::parse(&written.currency).map_err(|error| split("currency", &error.to_string()))?;
    let mut stock = Vec::new();
    for (index, row) in written.stock.iter().enumerate() {
        stock.extend(rows(&bench, row, currency, &format!("stock[{index}]"))?);
    }
    let clearances = written.clearances.whole(&bench, "clearances", &process)?;
    Ok(ShopEntry {
        language: written
            .language
            .clone()
            .unwrap_or_else(|| crate::OWN_LANGUAGE.to_owned()),
        shop: Shop {
            name: written.name.clone(),
            currency,
            stock,
            process,
            rates: rates(&bench, (&written.rates, terms, terms_at), currency)?,
            glue_holdback: bench.not_negative(&written.glue_holdback, "glue_holdback")?,
            engraves_names: written.engrave_names,
            fittings: fittings(&bench, &written.fittings, currency)?,
            offcuts: offcuts(&bench, &written.offcuts)?,
            quoting: quoting(&written.quotation, currency)?,
            drawing: drawing(&written.drawings)?,
            budget: written
                .budget
                .as_ref()
                .map(|file| budget(&bench, file))
                .transpose()?,
        },
        clearances,
    })
}

fn rates(
    bench: &Bench,
    (written, terms, terms_at): (&RatesFile, &TermsFile, &str),
    currency: Currency,
) -> Result<Rates, Fault> {
    let at = |key: &str| join(terms_at, key);
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
        machine_per_hour: money(&terms.machine_per_hour, currency, &at("machine_per_hour"))?,
        labour_per_hour: money(&written.labour_per_hour, currency, "rates.labour_per_hour")?,
        setup: bench.not_negative(&terms.setup, &at("setup"))?,
        handling_per_layer: bench.not_negative(&terms.handling_per_layer, &at("handling_per_layer"))?,
        gluing_per_joint: bench.not_negative(&written.gluing_per_joint, "rates.gluing_per_joint")?,
        adhesive_per_m2: money(&written.adhesive_per_m2, currency, "rates.adhesive_per_m2")?,
        overhead: share(written.overhead, "overhead", 10.0)?,
        scrap: share(written.scrap, "scrap", 10.0)?,
        margin: share(written.margin, "margin", 1.0)?,
        source: parse_source(&written.source, "rates.source")?,
    })
}

fn offcuts(bench: &Bench, written: &OffcutPracticeFile) -> Result<OffcutPractice, Fault> {
    let mut practice = OffcutPractice::default();
    if let Some(length) = &written.length {
        practice.length = bench.positive(length, "offcuts.length")?;
    }
    if let Some(width) = &written.width {
        practice.width = bench.positive(width, "offcuts.width")?;
    }
    if let Some(share) = written.price_share {
        if !(0.0..=1.0).contains(&share) {
            return Err(Fault::new(
                "offcuts.price_share",
                format!("{share} is not a share from 0 to 1"),
            )
            .hint("write half of the sheet's price, by area, as 0.5"));
        }
        practice.price_share = share;
    }
    Ok(practice)
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
pub(crate) fn named<T: Copy + Default>(
    text: Option<&str>,
    names: &[(&str, T)],
    field: &str,
) -> Result<T, Fault> {
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

pub(crate) fn money(text: &str, currency: Currency, field: &str) -> Result<Money, Fault> {
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
