//! Parts on sheets.

use crate::offcut::kept;
use crate::{LayerPart, MakeError, Shop, StockSheet};
use caddis_basis::{LayerId, Length, Money, Progress, Quiet};
use caddis_geometry::{Bounds2, Placement2, Region};
use caddis_layout::{Nesting, PreparedNesting, SearchOptions, Sheet, SheetPart, UnplacedReason};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};

/// A part on a sheet; never turned over.
#[derive(Debug, Clone, PartialEq)]
pub struct NestedPart {
    /// Which layer.
    pub layer: LayerId,
    /// From the part's frame to the sheet (origin at the sheet's lower left corner).
    pub placement: Placement2,
}

/// One sheet and what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetNest {
    /// Index into the shop's stock.
    pub stock: usize,
    /// Which sheet of that stock, from 1.
    pub number: u32,
    /// The parts.
    pub parts: Vec<NestedPart>,
    /// Area of the parts' outlines over sheet area; what is cut out of a part is waste that lies inside it.
    pub foam_yield: f64,
    /// Length of all cuts on the sheet.
    pub cut_length: Length,
    /// What is left and kept, in whole millimetres, the largest first; metres on the sheet.
    pub kept: Vec<Bounds2>,
}

/// Two thicknesses closer than this are the same stock, metres.
pub(crate) const SAME_THICKNESS: f64 = 5e-5;

/// Positions the search evaluates per foam and thickness: parts are few and large, more finds nothing better.
const STEPS: u64 = 40_000;

/// Parts of one foam and thickness share sheets; quarter turns, never turned over, on as cheap a set of sheets as the search
/// of `caddis-layout` finds. Free gap at least the kerf.
///
/// # Errors
/// No stock of a foam and thickness, none large enough, or an outline without area.
pub(crate) fn nest(
    parts: &[LayerPart],
    shop: &Shop,
    seed: u64,
    progress: &dyn Progress,
) -> Result<Vec<SheetNest>, MakeError> {
    let workers = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let options = SearchOptions {
        seed,
        steps: STEPS,
        workers,
    };
    let mut nests: Vec<SheetNest> = Vec::new();
    for members in groups(parts) {
        let stocks = stocks_for(&parts[members[0]], shop)?;
        let sheets: Vec<Sheet> = stocks
            .iter()
            .map(|stock| sheet(&shop.stock[*stock], shop))
            .collect();
        let wanted: Vec<SheetPart> = members.iter().map(|index| wanted(&parts[*index], 1)).collect();
        let nesting = caddis_layout::nest(&wanted, &sheets, &options, progress);
        refuse_unplaced(&nesting, parts, &members)?;
        for filled in nesting.sheets {
            let stock = stocks[filled.sheet];
            let number = 1 + nests.iter().filter(|nest| nest.stock == stock).count() as u32;
            let held = filled
                .parts
                .iter()
                .map(|placed| (&parts[members[placed.part]], placed.placement));
            let outlines: Vec<Region> = held
                .clone()
                .map(|(part, placement)| part.outline.placed(&placement))
                .collect();
            nests.push(SheetNest {
                stock,
                number,
                kept: kept(&sheets[filled.sheet], &outlines, shop),
                foam_yield: filled.yield_share,
                cut_length: held.clone().map(|(part, _)| part.cut_length).sum(),
                parts: held
                    .map(|(part, placement)| NestedPart {
                        layer: part.id.clone(),
                        placement,
                    })
                    .collect(),
            });
        }
    }
    Ok(nests)
}

/// Indices of the parts that share sheets, by foam, thickness and colour.
pub(crate) fn groups(parts: &[LayerPart]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<(&str, i64, Option<&str>), Vec<usize>> = BTreeMap::new();
    for (index, part) in parts.iter().enumerate() {
        // Micrometres: thicknesses are typed in tenths of millimetres or fractions of inches.
        groups
            .entry((
                &part.foam,
                (part.stock.si() * 1e6).round() as i64,
                part.colour.as_deref(),
            ))
            .or_default()
            .push(index);
    }
    groups.into_values().collect()
}

/// What the sheets for every number of copies of one group cost, and how many they are, from one copy to `largest`; what one costs is
/// `bought`, where that is known. A number that can cost no less than smaller ones put together is not nested. Only what is
/// bought as often as wanted counts: an offcut is there once. `None` where the group's foam is not.
///
/// # Errors
/// As [`nest`].
pub(crate) fn prices_of(
    parts: &[LayerPart],
    members: &[usize],
    (bought, largest): (Option<(i64, u32)>, u32),
    shop: &Shop,
    options: &SearchOptions,
) -> Result<Option<Vec<(i64, u32)>>, MakeError> {
    let mut stocks = stocks_for(&parts[members[0]], shop)?;
    stocks.retain(|stock| shop.stock[*stock].number.is_none());
    if stocks.is_empty() {
        return Ok(None);
    }
    let sheets: Vec<Sheet> = stocks
        .iter()
        .map(|stock| sheet(&shop.stock[*stock], shop))
        .collect();
    // Where all sheets cost the same, equal cost is an equal number of sheets.
    let is_one_price = sheets.iter().all(|sheet| sheet.cost == sheets[0].cost);
    let one_of_each = members.iter().map(|index| wanted(&parts[*index], 1)).collect();
    let mut prepared = PreparedNesting::new(one_of_each, &sheets);
    let mut batches = Vec::from_iter(bought);
    for copies in batches.len() as u32 + 1..=largest {
        let asked: Vec<SheetPart> = members
            .iter()
            .map(|index| wanted(&parts[*index], copies))
            .collect();
        let least = least_cost(&asked, &sheets);
        let together = (1..copies as usize)
            .map(|size| {
                let (one, other) = (batches[size - 1], batches[copies as usize - size - 1]);
                (one.0.saturating_add(other.0), one.1 + other.1)
            })
            .min();
        if let Some(together) = together
            && is_one_price
            && Money::from_minor(together.0, shop.currency).major() <= least * (1.0 + 1e-12)
        {
            batches.push(together);
            continue;
        }
        let nesting = prepared.nest_copies(copies, least, options, &Quiet);
        refuse_unplaced(&nesting, parts, members)?;
        let minor = nesting
            .sheets
            .iter()
            .map(|filled| shop.stock[stocks[filled.sheet]].price.minor())
            .fold(0_i64, i64::saturating_add);
        batches.push((minor, nesting.sheets.len() as u32));
    }
    Ok(Some(batches))
}

/// What sheets for these parts cost at the very least: whole sheets for their area where all cost the same, else the cheapest area.
///
/// # Source
/// Derived: no nesting uses less than the area of its parts.
fn least_cost(wanted: &[SheetPart], sheets: &[Sheet]) -> f64 {
    let area: f64 = wanted
        .iter()
        .map(|part| part.outline.area() * f64::from(part.quantity))
        .sum();
    let usable = |sheet: &Sheet| {
        let within = (sheet.length - 2.0 * sheet.trim).max(0.0) * (sheet.width - 2.0 * sheet.trim).max(0.0);
        within.min(sheet.area()).max(1e-9)
    };
    let cheapest = sheets
        .iter()
        .map(|sheet| sheet.cost)
        .fold(f64::INFINITY, f64::min);
    if sheets.iter().all(|sheet| sheet.cost == cheapest) {
        let largest = sheets.iter().map(usable).fold(0.0, f64::max);
        return (area / largest * (1.0 - 1e-9)).ceil() * cheapest;
    }
    let by_area = sheets
        .iter()
        .map(|sheet| sheet.cost / usable(sheet) * area)
        .fold(f64::INFINITY, f64::min);
    by_area.max(cheapest)
}

fn refuse_unplaced(nesting: &Nesting, parts: &[LayerPart], members: &[usize]) -> Result<(), MakeError> {
    let Some(unplaced) = nesting.unplaced.first() else {
        return Ok(());
    };
    let layer = parts[members[unplaced.part]].id.to_string();
    Err(match unplaced.reason {
        UnplacedReason::TooLarge => MakeError::TooLarge { layer },
        reason => MakeError::NotNested {
            layer,
            reason: format!("{reason:?}"),
        },
    })
}

fn sheet(stock: &StockSheet, shop: &Shop) -> Sheet {
    Sheet {
        name: stock.name.clone(),
        length: stock.length.si(),
        width: stock.width.si(),
        trim: stock.trim.si().max(0.0),
        gap: shop.process.gap.max(shop.process.kerf).si().max(0.0),
        limit: stock.number,
        cost: stock.price.major(),
        outline: stock.outline.clone(),
        defects: Vec::new(),
    }
}

fn wanted(part: &LayerPart, quantity: u32) -> SheetPart {
    SheetPart {
        name: part.id.to_string(),
        outline: part.outline.clone(),
        quantity,
        rotations: vec![0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2],
        quality: 1,
    }
}

/// Whether a part may be cut from a sheet of this foam, thickness and colour.
pub(crate) fn is_stock_of(sheet: &StockSheet, part: &LayerPart) -> bool {
    let colour = sheet.colour.as_ref().map(|colour| colour.name.as_str());
    sheet.foam == part.foam
        && (sheet.thickness - part.stock).abs().si() < SAME_THICKNESS
        && part.colour.as_deref().is_none_or(|asked| colour == Some(asked))
}

/// Stock rows of the part's foam, thickness and colour; of one colour, the shop's first, where any will do.
fn stocks_for(part: &LayerPart, shop: &Shop) -> Result<Vec<usize>, MakeError> {
    let mut stocks: Vec<usize> = (0..shop.stock.len())
        .filter(|i| is_stock_of(&shop.stock[*i], part))
        .collect();
    if let Some(first) = stocks.first() {
        let colour = shop.stock[*first].colour.clone();
        stocks.retain(|i| shop.stock[*i].colour == colour);
    } else {
        return Err(MakeError::NoStock {
            foam: part.foam.clone(),
            thickness: format!("{} mm", crate::bill::short(part.stock.as_mm())),
            colour: part
                .colour
                .as_ref()
                .map_or_else(String::new, |colour| format!(" in {colour}")),
        });
    }
    Ok(stocks)
}
