//! Bill of material and cost.

use crate::fitting::Fitted;
use crate::{LayerPart, Process, ProcessKind, Rates, SheetNest, SheetPath, Shop};
use caddis_basis::{Currency, Duration, Money, Said, said};
use caddis_geometry::Region;

/// One line of material.
#[derive(Debug, Clone, PartialEq)]
pub struct BillLine {
    /// Position, from 1.
    pub position: u32,
    /// What.
    pub description: Said,
    /// How much, with its unit in `unit`.
    pub quantity: f64,
    /// "sheet", "m²" or "piece".
    pub unit: Said,
    /// Price of one, where the shop prices it.
    pub unit_price: Option<Money>,
    /// The line's total, rounded once.
    pub total: Option<Money>,
}

/// One line of cost.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// "material", "setup", "machine", "gluing", "overhead", "scrap", "margin".
    pub name: Said,
    /// How it was computed, with numbers and units.
    pub basis: Said,
    /// The amount, rounded once.
    pub amount: Money,
}

/// Bill and cost of one interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// Material.
    pub lines: Vec<BillLine>,
    /// Cost, in the order it adds up.
    pub costs: Vec<CostLine>,
    /// What it costs the shop.
    pub cost: Money,
    /// What the customer pays for the interior (price = cost / (1 - margin)).
    pub price: Money,
    /// Net foam over bought foam: the parts' outlines times stock thickness over the volume of whole sheets.
    pub foam_yield: f64,
    /// The hours behind the cost.
    pub work: Work,
}

/// Hours and money that go into a job, before rounding.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Effort {
    /// Material, major units.
    pub(crate) material: f64,
    /// Setup, hours.
    pub(crate) setup: f64,
    /// Machine with handling, hours.
    pub(crate) machine: f64,
    /// Gluing by hand, hours.
    pub(crate) gluing: f64,
}

/// Cost lines, cost and price of an effort; `bases` are the words of the first four lines.
///
/// # Source
/// cost = material + setup + machine + gluing + overhead (on setup, machine, gluing) + scrap (on material, setup, machine,
/// gluing); price = cost / (1 - margin). Shop arithmetic, common practice.
pub(crate) fn cost_lines(
    effort: Effort,
    rates: &Rates,
    currency: Currency,
    bases: [Said; 4],
) -> (Vec<CostLine>, Money, Money) {
    let machine_rate = rates.machine_per_hour.major();
    let labour_rate = rates.labour_per_hour.major();
    let setup = effort.setup * machine_rate;
    let machine = effort.machine * machine_rate;
    let gluing = effort.gluing * labour_rate;
    let work = setup + machine + gluing;
    let direct = effort.material + work;
    let [material_basis, setup_basis, machine_basis, gluing_basis] = bases;
    let rows = [
        (said!("material"), material_basis, effort.material),
        (said!("setup"), setup_basis, setup),
        (said!("machine"), machine_basis, machine),
        (said!("gluing"), gluing_basis, gluing),
        (
            said!("overhead"),
            said!(
                "{share:.1} % of setup, machine and gluing",
                share = rates.overhead * 100.0
            ),
            work * rates.overhead,
        ),
        (
            said!("scrap"),
            said!(
                "{share:.1} % of material, setup, machine and gluing",
                share = rates.scrap * 100.0
            ),
            direct * rates.scrap,
        ),
    ];
    let mut lines: Vec<CostLine> = rows
        .into_iter()
        .map(|(name, basis, amount)| CostLine {
            name,
            basis,
            amount: Money::rounded(amount, currency),
        })
        .collect();
    let total = lines
        .iter()
        .fold(0_i64, |sum, line| sum.saturating_add(line.amount.minor()));
    let cost = Money::from_minor(total, currency);
    let margin = if (0.0..1.0).contains(&rates.margin) {
        rates.margin
    } else {
        0.0
    };
    let price = Money::rounded(cost.major() / (1.0 - margin), currency);
    lines.push(CostLine {
        name: said!("margin"),
        basis: said!(
            "{share:.1} % of the price: price = cost / (1 - {margin:.4})",
            share = margin * 100.0,
            margin
        ),
        amount: Money::from_minor(price.minor().saturating_sub(cost.minor()), currency),
    });
    (lines, cost, price)
}

/// Length the cutter travels in the foam of one part, pockets cleared with half-kerf steps, metres.
///
/// # Source
/// Passes = depth over pass depth, rounded up; clearing travel = pocket area over stepover (half the kerf) per pass.
/// Common practice.
pub(crate) fn travel(part: &LayerPart, process: &Process) -> f64 {
    let pass = process.pass_depth.si();
    let passes = |depth: f64| {
        if pass > 0.0 {
            (depth / pass - 1e-9).ceil().max(1.0)
        } else {
            0.0
        }
    };
    let through =
        part.outline.boundary_length() + part.through.iter().map(Region::boundary_length).sum::<f64>();
    let mut travel = through * passes(part.stock.si());
    for pocket in &part.pockets {
        travel += pocket.region.boundary_length() * passes(pocket.depth.si());
    }
    let stepover = process.kerf.si() / 2.0;
    if process.kind == ProcessKind::Router && stepover > 0.0 {
        for (floor, above, area) in part.pocket_steps() {
            travel += area / stepover * passes(floor - above);
        }
    }
    travel
}

/// Seconds at the machine, and how they were found: along the tool paths where there are any, else travel over feed.
fn cutting(parts: &[LayerPart], paths: &[SheetPath], shop: &Shop) -> (f64, Said) {
    if paths.is_empty() {
        let travel: f64 = parts.iter().map(|part| travel(part, &shop.process)).sum();
        let feed = shop.process.feed.si();
        let seconds = if feed > 0.0 { travel / feed } else { 0.0 };
        let basis = said!(
            "{travel:.1} m of cutter travel at {feed:.2} m/min is {minutes:.1} min",
            travel,
            feed = feed * 60.0,
            minutes = seconds / 60.0
        );
        return (seconds, basis);
    }
    let seconds: f64 = paths.iter().map(|path| path.time.si()).sum();
    let cutting: f64 = paths.iter().map(|path| path.cutting.si()).sum();
    let air: f64 = paths.iter().map(|path| path.air.si()).sum();
    let basis = said!(
        "tool paths of {sheets} sheets, {cutting:.1} m in foam and {air:.1} m in the air with acceleration and corner speed, \
         {minutes:.1} min",
        sheets = paths.len(),
        cutting,
        air,
        minutes = seconds / 60.0
    );
    (seconds, basis)
}

/// The work in one interior, setup not counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// At the machine.
    pub cutting: Duration,
    /// How the machine's time was found.
    pub cutting_basis: Said,
    /// Handling of layers.
    pub handling: Duration,
    /// Gluing and fitting by hand.
    pub gluing: Duration,
}

impl Work {
    /// The work of one set of parts.
    fn of_one(parts: &[LayerPart], paths: &[SheetPath], fitting: Duration, shop: &Shop) -> Self {
        let joints = parts.iter().filter(|part| part.glue.is_some()).count();
        let (cutting, cutting_basis) = cutting(parts, paths, shop);
        Self {
            cutting: Duration::from_si(cutting),
            cutting_basis,
            handling: shop.rates.handling_per_layer * parts.len() as f64,
            gluing: shop.rates.gluing_per_joint * joints as f64 + fitting,
        }
    }

    /// What so many interiors take that are made in one go: the machine is set up once.
    pub(crate) fn effort(&self, interiors: u32, material: Money, rates: &Rates) -> Effort {
        let count = f64::from(interiors);
        Effort {
            material: material.major(),
            setup: rates.setup.si() / 3600.0,
            machine: count * (self.cutting + self.handling).si() / 3600.0,
            gluing: count * self.gluing.si() / 3600.0,
        }
    }
}

/// The bill of a set of parts on their sheets.
pub(crate) fn bill(
    parts: &[LayerPart],
    nests: &[SheetNest],
    paths: &[SheetPath],
    fitted: Fitted,
    shop: &Shop,
) -> Bill {
    let mut lines = Vec::new();
    let mut bought = 0.0;
    for (index, sheet) in shop.stock.iter().enumerate() {
        let count = nests.iter().filter(|nest| nest.stock == index).count();
        if count == 0 {
            continue;
        }
        bought += count as f64 * sheet.area() * sheet.thickness.si();
        lines.push(BillLine {
            position: 0,
            description: said!(
                "{sheet}, {length:.0} x {width:.0} x {thickness} mm",
                sheet = sheet.described(),
                length = sheet.length.as_mm(),
                width = sheet.width.as_mm(),
                thickness = figure(sheet.thickness.as_mm())
            ),
            quantity: count as f64,
            unit: said!("sheet"),
            unit_price: Some(sheet.price),
            total: Some(Money::rounded(sheet.price.major() * count as f64, shop.currency)),
        });
    }
    let joints = parts.iter().filter(|part| part.glue.is_some()).count();
    let glued: f64 = parts
        .iter()
        .filter_map(|part| part.glue.as_ref())
        .map(|glue| glue.region.area())
        .sum();
    if joints > 0 {
        lines.push(BillLine {
            position: 0,
            description: said!(
                "adhesive, {joints} joints, held {holdback} mm back from cavities",
                joints,
                holdback = figure(shop.glue_holdback.as_mm())
            ),
            quantity: glued,
            unit: Said::name("m²"),
            unit_price: Some(shop.rates.adhesive_per_m2),
            total: Some(Money::rounded(
                shop.rates.adhesive_per_m2.major() * glued,
                shop.currency,
            )),
        });
    }
    let is_fitted = !fitted.lines.is_empty();
    let by_hand = fitted.time.si() > 0.0;
    lines.extend(fitted.lines);
    for (position, line) in (1..).zip(&mut lines) {
        line.position = position;
    }
    let material = lines
        .iter()
        .filter_map(|line| line.total)
        .fold(0_i64, |sum, t| sum.saturating_add(t.minor()));
    let rates = &shop.rates;
    let work = Work::of_one(parts, paths, fitted.time, shop);
    let effort = work.effort(1, Money::from_minor(material, shop.currency), rates);
    let bases = [
        if is_fitted {
            said!(
                "{sheets} sheets charged whole, adhesive by area, fittings by number",
                sheets = nests.len()
            )
        } else {
            said!(
                "{sheets} sheets charged whole, adhesive by area",
                sheets = nests.len()
            )
        },
        said!(
            "{minutes:.0} min at {rate} per hour",
            minutes = rates.setup.si() / 60.0,
            rate = rates.machine_per_hour
        ),
        said!(
            "{cutting}, {layers} layers handled {minutes:.1} min, at {rate} per hour",
            cutting = work.cutting_basis,
            layers = parts.len(),
            minutes = work.handling.si() / 60.0,
            rate = rates.machine_per_hour
        ),
        if by_hand {
            said!(
                "{joints} joints and what is fitted, {minutes:.0} min at {rate} per hour",
                joints,
                minutes = work.gluing.si() / 60.0,
                rate = rates.labour_per_hour
            )
        } else {
            said!(
                "{joints} joints, {minutes:.0} min at {rate} per hour",
                joints,
                minutes = work.gluing.si() / 60.0,
                rate = rates.labour_per_hour
            )
        },
    ];
    let (costs, cost, price) = cost_lines(effort, rates, shop.currency, bases);
    let net: f64 = parts
        .iter()
        .map(|part| part.outline.area() * part.stock.si())
        .sum();
    Bill {
        lines,
        costs,
        cost,
        price,
        foam_yield: if bought > 0.0 { net / bought } else { 0.0 },
        work,
    }
}

/// A number with at most two decimals: it prints as [`short`] writes it.
pub(crate) fn figure(value: f64) -> f64 {
    short(value).parse().unwrap_or(value)
}

/// A number with at most two decimals and no trailing zeros.
pub(crate) fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}
