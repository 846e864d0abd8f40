//! What is left of sheets, and cut from again.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::testing::{at, brief, euro, interior, made, mm, shop};
use crate::{Shop, StockSheet, make, offcuts, price_breaks};
use caddis_basis::Quiet;
use caddis_geometry::{Contour, Region, Shape};

#[test]
fn what_is_left_lies_clear_of_the_parts_in_whole_millimetres() {
    let (set, shop) = (made(), shop());
    let gap = shop.process.gap.si();
    let mut count = 0;
    for nest in &set.nests {
        let sheet = shop.stock[nest.stock].plan();
        for kept in &nest.kept {
            let piece = Region::rectangle(kept.min, kept.max);
            assert!(piece.difference(&sheet).area() < 1e-9);
            assert!(kept.size().x.max(kept.size().y) >= 0.3 && kept.size().x.min(kept.size().y) >= 0.15);
            for v in [kept.min.x, kept.min.y, kept.max.x, kept.max.y] {
                assert!((v * 1e3 - (v * 1e3).round()).abs() < 1e-9, "{v}");
            }
            for part in &nest.parts {
                let layer = set.layers.iter().find(|layer| layer.id == part.layer).unwrap();
                assert!(layer.outline.placed(&part.placement).distance(&piece) >= gap - 1e-6);
            }
            count += 1;
        }
    }
    assert!(count > 0, "nothing is kept");
}

#[test]
fn the_next_job_is_cut_from_what_the_last_one_left() {
    let (set, mut shop) = (made(), shop());
    shop.offcuts.price_share = 0.5;
    let rack = offcuts(&set.nests, &shop, "FIRST");
    let pieces: usize = set.nests.iter().map(|nest| nest.kept.len()).sum();
    assert_eq!(rack.len(), pieces);
    for piece in &rack {
        let sheet = shop
            .stock
            .iter()
            .find(|sheet| piece.name.starts_with(&sheet.name))
            .unwrap();
        let share = piece.area() / sheet.area() * 0.5;
        assert!(
            (piece.price.major() - sheet.price.major() * share).abs() < 0.0051,
            "{piece:?}"
        );
        assert_eq!((piece.number, piece.thickness), (Some(1), sheet.thickness));
    }
    let again = with(&shop, rack);
    let next = make(&interior(), &brief(), &again, 1, &Quiet).unwrap();
    assert!(
        next.nests.iter().any(|nest| nest.stock >= shop.stock.len()),
        "no offcut is used"
    );
    assert!(next.bill.price.minor() < set.bill.price.minor());
    // Of the piece itself something may be left again, under the name of the sheet it once was.
    for piece in offcuts(&next.nests, &again, "SECOND") {
        assert_eq!(piece.name.matches("offcut").count(), 1, "{}", piece.name);
    }
    // A piece is there once: ten interiors take it once and the rest from whole sheets.
    let breaks = price_breaks(&next, &again, 1, &[1, 10]).unwrap();
    assert_eq!(breaks[0].price, next.bill.price);
    let whole = price_breaks(&set, &shop, 1, &[10]).unwrap();
    assert!(breaks[1].price.minor() <= whole[0].price.minor());
    assert_eq!(breaks[1].sheets, whole[0].sheets);
    // What can only be cut from pieces that are there once has a price for one and for no more.
    let mut last = again.clone();
    for sheet in &mut last.stock {
        sheet.number = Some(1);
    }
    let rest = make(&interior(), &brief(), &last, 1, &Quiet).unwrap();
    let breaks = price_breaks(&rest, &last, 1, &[1, 10]).unwrap();
    assert_eq!(breaks.len(), 1);
    assert_eq!((breaks[0].quantity, breaks[0].price), (1, rest.bill.price));
}

#[test]
fn an_offcut_of_any_outline_is_cut_within_it() {
    let shop = shop();
    let corners = [
        at(0.0, 0.0),
        at(620.0, 0.0),
        at(620.0, 380.0),
        at(470.0, 460.0),
        at(0.0, 460.0),
    ];
    let outline = Region {
        shapes: vec![Shape {
            outer: Contour::polygon(corners),
            holes: Vec::new(),
        }],
    };
    let piece = StockSheet {
        name: "corner".to_owned(),
        length: mm(620.0),
        width: mm(460.0),
        trim: mm(5.0),
        outline: Some(outline),
        number: Some(1),
        price: euro(0.0),
        ..shop.stock[1].clone()
    };
    let again = with(&shop, vec![piece]);
    let set = make(&interior(), &brief(), &again, 1, &Quiet).unwrap();
    let nest = set
        .nests
        .iter()
        .find(|nest| nest.stock == shop.stock.len())
        .unwrap();
    let usable = again.stock[nest.stock].usable();
    for part in &nest.parts {
        let layer = set.layers.iter().find(|layer| layer.id == part.layer).unwrap();
        let plan = layer.outline.placed(&part.placement);
        assert!(plan.difference(&usable).area() < 1e-6);
    }
}

fn with(shop: &Shop, rack: Vec<StockSheet>) -> Shop {
    let mut shop = shop.clone();
    shop.stock.extend(rack);
    shop
}
