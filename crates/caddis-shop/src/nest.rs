//! Parts on sheets.

use crate::{LayerPart, MakeError, Shop};
use caddis_basis::{Flow, LayerId, Length, Progress};
use caddis_geometry::{Bounds2, Placement2, Vec2};
use std::f64::consts::FRAC_PI_2;

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
    /// Net part area over sheet area.
    pub foam_yield: f64,
    /// Length of all cuts on the sheet.
    pub cut_length: Length,
}
/// Two thicknesses closer than this are the same stock, metres.
const SAME_THICKNESS: f64 = 5e-5;

/// Coordinates closer than this touch, metres.
const TOUCH: f64 = 1e-9;

/// A sheet being filled.
struct Open {
    stock: usize,
    boxes: Vec<Bounds2>,
    parts: Vec<(usize, Placement2)>,
}

/// Parts of one foam and thickness share sheets: largest first, each as low and then as far left as its box goes, turned by
/// quarter turns, never turned over. A part that fits on no open sheet opens one of the cheapest stock that holds it.
///
/// # Errors
/// No stock of a foam and thickness, or none large enough.
pub(crate) fn nest(
    parts: &[LayerPart],
    shop: &Shop,
    progress: &dyn Progress,
) -> Result<Vec<SheetNest>, MakeError> {
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| {
        parts[*b]
            .outline
            .area()
            .total_cmp(&parts[*a].outline.area())
            .then_with(|| parts[*a].id.cmp(&parts[*b].id))
    });
    let gap = shop.process.gap.max(shop.process.kerf).si().max(0.0);
    let mut open: Vec<Open> = Vec::new();
    for (done, index) in order.into_iter().enumerate() {
        let part = &parts[index];
        let stocks = stocks_for(part, shop)?;
        let on_open = open
            .iter_mut()
            .filter(|sheet| stocks.contains(&sheet.stock))
            .find_map(|sheet| lowest(part, sheet, shop, gap).map(|found| (sheet, found)));
        if let Some((sheet, (bounds, placement))) = on_open {
            sheet.boxes.push(bounds);
            sheet.parts.push((index, placement));
        } else {
            let fresh = stocks.iter().find_map(|stock| {
                let sheet = Open {
                    stock: *stock,
                    boxes: Vec::new(),
                    parts: Vec::new(),
                };
                lowest(part, &sheet, shop, gap).map(|found| (sheet, found))
            });
            let (mut sheet, (bounds, placement)) = fresh.ok_or_else(|| MakeError::TooLarge {
                layer: part.id.to_string(),
            })?;
            sheet.boxes.push(bounds);
            sheet.parts.push((index, placement));
            open.push(sheet);
        }
        // Nesting takes milliseconds; a wish to stop is honoured by whoever asked for the whole set.
        let _: Flow = progress.report("nest", (done + 1) as f64 / parts.len() as f64, None);
    }
    open.sort_by_key(|sheet| sheet.stock);
    let mut nests: Vec<SheetNest> = Vec::new();
    for sheet in open {
        let number = 1 + nests.iter().filter(|nest| nest.stock == sheet.stock).count() as u32;
        let stock = &shop.stock[sheet.stock];
        let net: f64 = sheet
            .parts
            .iter()
            .map(|(index, _)| parts[*index].outline.area())
            .sum();
        nests.push(SheetNest {
            stock: sheet.stock,
            number,
            foam_yield: net / (stock.length * stock.width).si(),
            cut_length: sheet
                .parts
                .iter()
                .map(|(index, _)| parts[*index].cut_length)
                .sum(),
            parts: sheet
                .parts
                .into_iter()
                .map(|(index, placement)| NestedPart {
                    layer: parts[index].id.clone(),
                    placement,
                })
                .collect(),
        });
    }
    Ok(nests)
}

/// Stock rows of the part's foam and thickness, cheapest first.
fn stocks_for(part: &LayerPart, shop: &Shop) -> Result<Vec<usize>, MakeError> {
    let mut stocks: Vec<usize> = (0..shop.stock.len())
        .filter(|i| {
            let sheet = &shop.stock[*i];
            sheet.foam == part.foam && (sheet.thickness - part.stock).abs().si() < SAME_THICKNESS
        })
        .collect();
    stocks.sort_by_key(|i| (shop.stock[*i].price.minor(), *i));
    if stocks.is_empty() {
        return Err(MakeError::NoStock {
            foam: part.foam.clone(),
            thickness: format!("{} mm", crate::bill::short(part.stock.as_mm())),
        });
    }
    Ok(stocks)
}

/// The lowest, then leftmost, place of the part's box on the sheet, in either quarter turn.
fn lowest(part: &LayerPart, sheet: &Open, shop: &Shop, gap: f64) -> Option<(Bounds2, Placement2)> {
    let stock = shop.stock.get(sheet.stock)?;
    let trim = stock.trim.si().max(0.0);
    let limit = Vec2::new(stock.length.si() - trim, stock.width.si() - trim);
    let mut best: Option<(Bounds2, Placement2)> = None;
    for angle in [0.0, FRAC_PI_2] {
        let turn = Placement2 {
            angle,
            shift: Vec2::ZERO,
        };
        let bounds = part.outline.placed(&turn).bounds()?;
        let size = bounds.size();
        let xs = std::iter::once(trim).chain(sheet.boxes.iter().map(|b| b.max.x + gap));
        for x in xs {
            let ys = std::iter::once(trim).chain(sheet.boxes.iter().map(|b| b.max.y + gap));
            for y in ys {
                let min = Vec2::new(x, y);
                let placed = Bounds2 { min, max: min + size };
                if placed.max.x > limit.x + TOUCH || placed.max.y > limit.y + TOUCH {
                    continue;
                }
                let is_free = sheet.boxes.iter().all(|b| {
                    placed.min.x >= b.max.x + gap - TOUCH
                        || placed.max.x <= b.min.x - gap + TOUCH
                        || placed.min.y >= b.max.y + gap - TOUCH
                        || placed.max.y <= b.min.y - gap + TOUCH
                });
                let is_better = best.as_ref().is_none_or(|(b, _)| {
                    (placed.max.y, placed.max.x) < (b.max.y - TOUCH, f64::INFINITY)
                        || ((placed.max.y - b.max.y).abs() <= TOUCH && placed.max.x < b.max.x - TOUCH)
                });
                if is_free && is_better {
                    best = Some((
                        placed,
                        Placement2 {
                            angle,
                            shift: min - bounds.min,
                        },
                    ));
                }
            }
        }
    }
    best
}
