//! What is left of cut sheets and goes back into stock.

use crate::stock::OFFCUT;
use crate::{SheetNest, Shop, StockSheet};
use caddis_basis::{Certainty, Length, Money, Source};
use caddis_geometry::{Bounds2, Region, Vec2};
use caddis_layout::{Keepable, Sheet, left_of};

/// What a piece must measure to be worth a place on the rack, and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffcutPractice {
    /// The longer side at least.
    pub length: Length,
    /// The shorter side at least.
    pub width: Length,
    /// Share of the sheet's price, by area, that a later job is asked for a piece: nought where the first job paid the sheet whole.
    pub price_share: f64,
}

impl Default for OffcutPractice {
    /// # Source
    /// Common practice, no source.
    fn default() -> Self {
        Self {
            length: Length::from_si(0.3),
            width: Length::from_si(0.15),
            price_share: 0.0,
        }
    }
}

/// Rectangles of a sheet that are kept, in whole millimetres, the largest first; `outlines` are the parts cut from it.
pub(crate) fn kept(sheet: &Sheet, outlines: &[Region], shop: &Shop) -> Vec<Bounds2> {
    let least = Keepable {
        length: shop.offcuts.length.si(),
        width: shop.offcuts.width.si(),
    };
    left_of(sheet, outlines, &least)
        .into_iter()
        .map(whole_millimetres)
        .collect()
}

/// A rectangle in whole millimetres within another.
fn whole_millimetres(bounds: Bounds2) -> Bounds2 {
    // A hair of rounding costs no millimetre.
    let (up, down) = (
        |v: f64| (v * 1e3 - 1e-6).ceil() / 1e3,
        |v: f64| (v * 1e3 + 1e-6).floor() / 1e3,
    );
    Bounds2 {
        min: Vec2::new(up(bounds.min.x), up(bounds.min.y)),
        max: Vec2::new(down(bounds.max.x), down(bounds.max.y)),
    }
}

/// The pieces kept of all sheets as rows of stock, each once, by the name that is to be written on it: `job` and a number.
pub fn offcuts(nests: &[SheetNest], shop: &Shop, job: &str) -> Vec<StockSheet> {
    let mut rows = Vec::new();
    for nest in nests {
        let Some(stock) = shop.stock.get(nest.stock) else {
            continue;
        };
        for bounds in &nest.kept {
            let size = bounds.size();
            let share = size.x * size.y / stock.area().max(1e-9) * shop.offcuts.price_share;
            rows.push(StockSheet {
                name: format!("{}{OFFCUT}{job}-{}", stock.plain_name(), rows.len() + 1),
                length: Length::from_si(size.x),
                width: Length::from_si(size.y),
                outline: None,
                number: Some(1),
                price: Money::rounded(stock.price.major() * share, shop.currency),
                source: Source::new(
                    format!("left of {}, sheet {}, job {job}", stock.name, nest.number),
                    Certainty::Derived,
                ),
                ..stock.clone()
            });
        }
    }
    rows
}
