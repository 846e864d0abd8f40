//! The shop as data: stock, rates, how it quotes and draws.

use crate::{BudgetPractice, Fittings, OffcutPractice, Process};
use caddis_basis::{Currency, Duration, Length, Money, Source};
use caddis_design::LayerColour;
use caddis_geometry::{Region, Side, Vec2};
use std::collections::BTreeMap;

/// Between the name of a sheet and that of an offcut of it.
pub(crate) const OFFCUT: &str = ", offcut ";

/// A sheet the shop buys, or an offcut it keeps.
#[derive(Debug, Clone, PartialEq)]
pub struct StockSheet {
    /// Name on the bill.
    pub name: String,
    /// The foam's id in the library.
    pub foam: String,
    /// Thickness.
    pub thickness: Length,
    /// Length.
    pub length: Length,
    /// Width.
    pub width: Length,
    /// Left unused along every edge.
    pub trim: Length,
    /// What there is of it where it is no whole rectangle, from its lower left corner, metres.
    pub outline: Option<Region>,
    /// How many there are; `None` for as many as are bought.
    pub number: Option<u32>,
    /// Price of one sheet.
    pub price: Money,
    /// Its colour, where several are stocked.
    pub colour: Option<LayerColour>,
    /// Skinned, coloured on one face or laminated: parts must not be turned over (they never are).
    pub one_good_face: bool,
    /// Where the row comes from, with its date.
    pub source: Source,
}

impl StockSheet {
    /// Area of one, square metres, trim included.
    pub fn area(&self) -> f64 {
        match &self.outline {
            Some(outline) => outline.area(),
            None => (self.length * self.width).si(),
        }
    }

    /// What there is of it, from its lower left corner, metres.
    pub fn plan(&self) -> Region {
        match &self.outline {
            Some(outline) => outline.clone(),
            None => Region::rectangle(Vec2::ZERO, Vec2::new(self.length.si(), self.width.si())),
        }
    }

    /// What of it is used: within its trim.
    pub fn usable(&self) -> Region {
        let trim = self.trim.si();
        if let Some(outline) = &self.outline {
            return outline.offset(-trim, Side::Inner);
        }
        let low = Vec2::new(trim, trim);
        Region::rectangle(low, Vec2::new(self.length.si(), self.width.si()) - low)
    }

    /// The name of what it was cut from, where it is an offcut.
    pub(crate) fn plain_name(&self) -> &str {
        match self.name.split_once(OFFCUT) {
            Some((name, _)) if self.number.is_some() => name,
            _ => &self.name,
        }
    }

    /// Its name, with its colour where it states one.
    pub fn described(&self) -> String {
        match &self.colour {
            Some(colour) => format!("{}, {}", self.name, colour.name),
            None => self.name.clone(),
        }
    }
}

/// What time and adhesive cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// Per hour of setup and machine.
    pub machine_per_hour: Money,
    /// Per hour by hand.
    pub labour_per_hour: Money,
    /// Machine setup per job.
    pub setup: Duration,
    /// Handling per layer (load, unload, vacuum).
    pub handling_per_layer: Duration,
    /// Gluing by hand per joint.
    pub gluing_per_joint: Duration,
    /// Adhesive per square metre.
    pub adhesive_per_m2: Money,
    /// Overhead on setup, machine and labour, as a fraction.
    pub overhead: f64,
    /// Scrap on direct cost, as a fraction.
    pub scrap: f64,
    /// Margin on the price, as a fraction of the price (price = cost / (1 - margin)).
    pub margin: f64,
    /// Source, with its date.
    pub source: Source,
}

/// How the shop quotes: its letterhead and terms, all in its own words. What is left out prints as a blank to write in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Quoting {
    /// Lines under the shop's name: address, telephone, registration.
    pub letterhead: Vec<String>,
    /// Days a price holds, from the date of the paper.
    pub valid_days: Option<u32>,
    /// Quantities priced, rising, the first being 1.
    pub quantities: Vec<u32>,
    /// What the price includes beyond the case and its interior.
    pub included: Vec<String>,
    /// What it does not.
    pub not_included: Vec<String>,
    /// Delivery, payment, tax, liability: one sentence each.
    pub terms: Vec<String>,
    /// What the shop asks for an empty shell, by its name in the library.
    pub shells: BTreeMap<String, Money>,
}

impl Quoting {
    /// Quantities priced where the shop names none.
    ///
    /// # Source
    /// Common practice, no source.
    pub const QUANTITIES: [u32; 4] = [1, 5, 10, 25];
    /// The most of one job that is priced.
    pub const MOST: u32 = 10_000;
}

/// Paper of the shop's drawings, landscape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SheetSize {
    /// 297 x 210 mm.
    A4,
    /// 420 x 297 mm.
    #[default]
    A3,
    /// 594 x 420 mm.
    A2,
    /// 841 x 594 mm.
    A1,
    /// 11 x 8.5 in.
    Letter,
    /// 17 x 11 in.
    B,
    /// 22 x 17 in.
    C,
    /// 34 x 22 in.
    D,
}

/// Units of dimensions on drawings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DrawingUnits {
    /// Millimetres.
    #[default]
    Millimetres,
    /// Inches.
    Inches,
    /// Millimetres with inches in brackets.
    Dual,
}

/// Where the views of a drawing lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Projection {
    /// What is seen from above lies below.
    #[default]
    FirstAngle,
    /// What is seen from above lies above.
    ThirdAngle,
}

/// How the shop draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DrawingPractice {
    /// Paper.
    pub paper: SheetSize,
    /// Units.
    pub units: DrawingUnits,
    /// Projection.
    pub projection: Projection,
}

/// The shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Shop {
    /// Name on shop papers.
    pub name: String,
    /// Currency of everything.
    pub currency: Currency,
    /// Sheets.
    pub stock: Vec<StockSheet>,
    /// The process used.
    pub process: Process,
    /// Rates.
    pub rates: Rates,
    /// Adhesive is held back this far from a cavity's edge.
    pub glue_holdback: Length,
    /// Names of the equipment are engraved beside its cavities.
    pub engraves_names: bool,
    /// What it fits beside foam.
    pub fittings: Fittings,
    /// What it keeps of cut sheets.
    pub offcuts: OffcutPractice,
    /// Letterhead and terms.
    pub quoting: Quoting,
    /// Paper, units and projection of its drawings.
    pub drawing: DrawingPractice,
    /// What its finished jobs say of jobs not yet designed.
    pub budget: Option<BudgetPractice>,
}
