//! What is fitted beside foam: pull straps, boards behind the lid pad and in trays, adhesive to the shell.

use crate::bill::figure;
use crate::{BillLine, Shop};
use caddis_basis::{Duration, Length, Money, Pressure, Said, said};
use caddis_design::{Block, BlockKind, Brief, HeldBy, Interior, TrayLift};

/// Straps on one tray, one at each of two ends.
const STRAPS: usize = 2;
/// Strips to a cover in the lid: one near each corner (common practice, no source).
const STRIPS: usize = 4;

/// A strap by which a tray is pulled out.
#[derive(Debug, Clone, PartialEq)]
pub struct PullStrap {
    /// Name on the bill.
    pub name: String,
    /// Price of one.
    pub price: Money,
    /// Time to fit one by hand.
    pub time: Duration,
}

/// A board glued behind the lid pad and fixed in the lid, or glued into a tray.
#[derive(Debug, Clone, PartialEq)]
pub struct Board {
    /// Name on the bill.
    pub name: String,
    /// Thickness.
    pub thickness: Length,
    /// Mass of a square metre, kilograms.
    pub mass_per_area: f64,
    /// Its modulus in bending, where its maker states one.
    pub bending_modulus: Option<Pressure>,
    /// Price of a square metre.
    pub price_per_m2: Money,
    /// What fixes it in the lid.
    pub fixing: String,
    /// How many of them.
    pub fixings: u32,
    /// Price of one.
    pub fixing_price: Money,
    /// Time to cut and fit one board by hand.
    pub time: Duration,
}

/// What a shop fits beside foam; what it does not state it cannot be asked for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fittings {
    /// Pull straps.
    pub pull_strap: Option<PullStrap>,
    /// Strips that fasten the cover under what lies in the lid.
    pub lid_strip: Option<PullStrap>,
    /// Boards.
    pub board: Option<Board>,
    /// Time by hand to bevel the edge of one layer as the wall runs.
    pub bevel_per_layer: Option<Duration>,
}

/// What one interior takes beside its foam.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Fitted {
    /// Lines of the bill, not yet numbered.
    pub(crate) lines: Vec<BillLine>,
    /// Time by hand.
    pub(crate) time: Duration,
}

/// What the job asks for, at the shop's prices, for blocks of these kinds.
pub(crate) fn fitted(interior: &Interior, brief: &Brief, shop: &Shop, made: &[BlockKind]) -> Fitted {
    let wished = &brief.furnishing;
    let mut fitted = Fitted::default();
    for block in interior.blocks.iter().filter(|block| made.contains(&block.kind)) {
        if let (true, Some(time)) = (wished.bevelled_edges, shop.fittings.bevel_per_layer) {
            fitted.time += time * block.layers.len() as f64;
        }
        if block.board.is_some() {
            fitted.boarded_tray(shop, block);
        }
        match (block.kind, wished.tray_lift) {
            (BlockKind::Tray(number), TrayLift::Straps) => {
                let straps = shop.fittings.pull_strap.as_ref();
                fitted.strapped(shop, straps, (STRAPS, &said!("tray {number}", number)));
            }
            (BlockKind::Base, _) if wished.base_held_by == HeldBy::Adhesive => {
                fitted.glued(
                    shop,
                    said!("adhesive, base block to the shell"),
                    face(block, false),
                );
            }
            (BlockKind::LidPad, _) => {
                if block.cover.is_some() {
                    let strips = shop.fittings.lid_strip.as_ref();
                    fitted.strapped(shop, strips, (STRIPS, &said!("cover in the lid")));
                }
                match wished.lid_held_by {
                    HeldBy::Squeeze => {}
                    HeldBy::Adhesive => {
                        fitted.glued(shop, said!("adhesive, lid pad to the shell"), face(block, true));
                    }
                    HeldBy::Board => fitted.boarded(shop, block),
                }
            }
            (BlockKind::Tray(_) | BlockKind::Base, _) => {}
        }
    }
    fitted
}

impl Fitted {
    fn add(&mut self, shop: &Shop, description: Said, (quantity, unit): (f64, Said), unit_price: Money) {
        self.lines.push(BillLine {
            position: 0,
            description,
            quantity,
            unit,
            unit_price: Some(unit_price),
            total: Some(Money::rounded(unit_price.major() * quantity, shop.currency)),
        });
    }

    /// So many straps or strips at a place; none where the shop states none.
    fn strapped(&mut self, shop: &Shop, strap: Option<&PullStrap>, (count, place): (usize, &Said)) {
        let Some(strap) = strap else {
            return;
        };
        let count = count as f64;
        self.add(
            shop,
            said!("{strap}, {place}", strap = strap.name, place),
            (count, said!("piece")),
            strap.price,
        );
        self.time += strap.time * count;
    }

    /// The face of a block that lies on the shell, glued.
    fn glued(&mut self, shop: &Shop, description: Said, area: f64) {
        let price = shop.rates.adhesive_per_m2;
        self.add(shop, description, square_metres(area), price);
        self.time += shop.rates.gluing_per_joint;
    }

    fn boarded(&mut self, shop: &Shop, pad: &Block) {
        let Some(board) = &shop.fittings.board else {
            return;
        };
        let area = face(pad, true);
        let outline = pad
            .layers
            .last()
            .map_or_else(String::new, |layer| layer.id.to_string());
        let thickness = figure(board.thickness.as_mm());
        self.add(
            shop,
            said!(
                "{board}, {thickness} mm, cut to the outline of {outline}",
                board = board.name,
                thickness,
                outline
            ),
            square_metres(area),
            board.price_per_m2,
        );
        let adhesive = said!("adhesive, lid pad to its board");
        self.add(shop, adhesive, square_metres(area), shop.rates.adhesive_per_m2);
        let fixings = (f64::from(board.fixings), said!("piece"));
        self.add(shop, Said::name(&board.fixing), fixings, board.fixing_price);
        self.time += board.time + shop.rates.gluing_per_joint;
    }
}

impl Fitted {
    /// The board in a tray, bought as its outline's box, and glued on both faces.
    fn boarded_tray(&mut self, shop: &Shop, tray: &Block) {
        let (Some(board), Some(prism)) = (&shop.fittings.board, &tray.board) else {
            return;
        };
        let Some(size) = prism.region.bounds().map(|bounds| bounds.size()) else {
            return;
        };
        let mm = |metres: f64| figure((metres * 1e4).round() / 10.0);
        let (length, width) = (mm(size.x), mm(size.y));
        let thickness = figure(board.thickness.as_mm());
        self.add(
            shop,
            said!(
                "{board}, {thickness} mm, in the tray, {length} by {width} mm over all",
                board = board.name,
                thickness,
                length,
                width
            ),
            square_metres(size.x * size.y),
            board.price_per_m2,
        );
        let glued = 2.0 * prism.region.area();
        let adhesive = said!("adhesive, tray to its board on both faces");
        self.add(shop, adhesive, square_metres(glued), shop.rates.adhesive_per_m2);
        self.time += board.time + shop.rates.gluing_per_joint * 2.0;
    }
}

/// An area as a bill counts it.
fn square_metres(area: f64) -> (f64, Said) {
    (area, Said::name("m²"))
}

/// Area of a block's uppermost or lowest outline, square metres.
fn face(block: &Block, at_top: bool) -> f64 {
    let layer = if at_top {
        block.layers.last()
    } else {
        block.layers.first()
    };
    layer.map_or(0.0, |layer| layer.outline.area())
}
