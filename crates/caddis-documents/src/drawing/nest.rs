//! A nest: parts on a stock sheet.

use super::case::bounds_on_paper;
use super::dimension::{horizontal, mm, vertical};
use super::frame::{Stamp, framed};
use super::view::{BAR, HATCH, MIDDLE, NARROW, PAPER, View, WIDE, scale_bar, scale_for};
use crate::sheet::{Anchor, Dash, Fill, INK, Sheet, Text};
use crate::words::say;
use crate::{DocumentError, Words};
use caddis_geometry::{Bounds2, Region, Vec2};
use caddis_shop::{SheetNest, Shop, ShopSet};

/// Letters on what is kept, mm.
const KEPT_HEIGHT: f64 = 2.5;

/// The drawing of one nest: the sheet, its trim, the parts with their marks, what is left and kept.
///
/// # Units
/// Drawn in millimetres at the stated scale, net size.
///
/// # Errors
/// A nest that names a sheet or a layer that is not there.
pub fn nest_drawing(
    words: &Words,
    nest: &SheetNest,
    set: &ShopSet,
    shop: &Shop,
    stamp: &Stamp,
) -> Result<Sheet, DocumentError> {
    let stock = shop
        .stock
        .get(nest.stock)
        .ok_or_else(|| DocumentError::Mismatch(format!("a nest lies on stock sheet {}", nest.stock)))?;
    let size = Vec2::new(stock.length.si(), stock.width.si());
    let scale = scale_for(size, Vec2::new(152.0, 78.0));
    let paper = size * (1000.0 / scale);
    let title = say!(
        words,
        "draw-nest",
        thickness = mm(words, stock.thickness.si()),
        number = nest.number,
    );
    let mut sheet = Sheet::blank(title, PAPER, super::frame::BLOCK + paper.y + BAR + 15.0);
    let facts = [
        (say!(words, "stamp-stock"), stock.name.clone()),
        (say!(words, "stamp-thickness"), mm(words, stock.thickness.si())),
        (
            say!(words, "stamp-parts"),
            say!(words, "draw-nest-parts", count = nest.parts.len()),
        ),
        (
            say!(words, "stamp-yield"),
            say!(
                words,
                "draw-nest-yield",
                yield = words.number(nest.foam_yield * 100.0, 0),
                length = words.number(nest.cut_length.si(), 1),
            ),
        ),
    ];
    let (low, high) = framed(&mut sheet, words, stamp, &facts);
    let at = Vec2::new(
        f64::midpoint(low.x, high.x) + 5.0,
        low.y + BAR + 11.0 + paper.y / 2.0,
    );
    let view = View::centred(scale, size / 2.0, at);
    let whole = stock.plan();
    sheet.region(&whole, view.map(), Some(WIDE), Some(Fill { colour: [0xfa; 3] }));
    sheet.region(
        &stock.usable(),
        view.map(),
        Some(NARROW.dashed(Dash::Dashed)),
        None,
    );
    for kept in &nest.kept {
        draw_kept(&mut sheet, words, view, kept);
    }
    for nested in &nest.parts {
        let part = set
            .layers
            .iter()
            .find(|part| part.id == nested.layer)
            .ok_or_else(|| DocumentError::Mismatch(format!("a nest holds the layer {}", nested.layer)))?;
        let outline = part.outline.placed(&nested.placement);
        sheet.region(
            &outline,
            view.map(),
            Some(MIDDLE),
            Some(Fill {
                colour: [0xe6, 0xec, 0xf2],
            }),
        );
        for region in part.through.iter().map(|r| r.placed(&nested.placement)) {
            sheet.region(&region, view.map(), Some(NARROW), Some(Fill { colour: [255; 3] }));
            sheet.hatch(&region, view.map(), 45.0, 2.0, HATCH);
        }
        for pocket in &part.pockets {
            sheet.region(
                &pocket.region.placed(&nested.placement),
                view.map(),
                Some(NARROW),
                None,
            );
        }
        if let Some(centre) = outline.bounds().map(|b| b.centre()) {
            let mark = part.id.to_string();
            let half = super::dimension::width_of(&mark, 3.5) / 2.0 + 1.0;
            let at = view.point(centre);
            sheet.rectangle(
                at - Vec2::new(half, 2.8),
                at + Vec2::new(half, 2.8),
                None,
                Some(Fill { colour: [255; 3] }),
            );
            sheet.words(Text {
                at: at - Vec2::new(0.0, 1.75),
                words: mark,
                height: 3.5,
                anchor: Anchor::Middle,
                turned: 0.0,
                bold: true,
                colour: INK,
            });
        }
    }
    let (a, b) = bounds_on_paper(&Region::rectangle(Vec2::ZERO, size), view);
    horizontal(&mut sheet, (a.x, b.x), (a.y, a.y), a.y - 8.0, &mm(words, size.x));
    vertical(&mut sheet, (a.y, b.y), (a.x, a.x), a.x - 8.0, &mm(words, size.y));
    scale_bar(&mut sheet, words, view, Vec2::new(low.x + 3.0, low.y + 1.0));
    Ok(sheet)
}

/// A piece that is left and kept, with its size where there is room for the words.
fn draw_kept(sheet: &mut Sheet, words: &Words, view: View, kept: &Bounds2) {
    let line = NARROW.dashed(Dash::LongDashDotDot);
    sheet.region(
        &Region::rectangle(kept.min, kept.max),
        view.map(),
        Some(line),
        None,
    );
    let size = kept.size();
    let text = say!(
        words,
        "draw-nest-kept",
        length = words.number(size.x * 1e3, 0),
        width = words.number(size.y * 1e3, 0),
    );
    let (a, b) = (view.point(kept.min), view.point(kept.max));
    let (across, up) = ((b.x - a.x).abs(), (b.y - a.y).abs());
    let needed = super::dimension::width_of(&text, KEPT_HEIGHT) + 3.0;
    let turned = needed > across;
    if needed > across.max(up) || across.min(up) < KEPT_HEIGHT + 2.0 {
        return;
    }
    let middle = view.point(kept.centre());
    let below = KEPT_HEIGHT / 2.0;
    sheet.words(Text {
        at: if turned {
            middle + Vec2::new(below, 0.0)
        } else {
            middle - Vec2::new(0.0, below)
        },
        words: text,
        height: KEPT_HEIGHT,
        anchor: Anchor::Middle,
        turned: if turned { 90.0 } else { 0.0 },
        bold: false,
        colour: INK,
    });
}
