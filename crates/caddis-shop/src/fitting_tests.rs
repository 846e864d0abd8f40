//! Coloured stock and what is fitted beside foam, on the bill and in the price.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::testing::{brief, interior, released, shop};
use crate::{Board, MakeError, PullStrap, Shop, cut_files, make, price_breaks};
use caddis_basis::{Currency, Duration, Length, Money, Quiet};
use caddis_design::{BlockKind, HeldBy, LayerColour, LayerColours, TrayLift};
use caddis_geometry::{Prism, Region, Vec2};

fn euro(amount: &str) -> Money {
    Money::parse(amount).unwrap()
}

fn fitting_shop() -> Shop {
    let mut shop = shop();
    assert_eq!(shop.currency, Currency::parse("EUR").unwrap());
    shop.fittings.pull_strap = Some(PullStrap {
        name: "webbing loop".to_owned(),
        price: euro("1.90 EUR"),
        time: Duration::from_si(180.0),
    });
    shop.fittings.board = Some(Board {
        name: "board".to_owned(),
        thickness: Length::mm(4.0),
        mass_per_area: 0.9,
        bending_modulus: None,
        price_per_m2: euro("10.00 EUR"),
        fixing: "strip".to_owned(),
        fixings: 4,
        fixing_price: euro("0.50 EUR"),
        time: Duration::from_si(600.0),
    });
    shop
}

#[test]
fn straps_boards_and_adhesive_stand_on_the_bill() {
    let mut interior = interior();
    interior.blocks[0].kind = BlockKind::Tray(1);
    let mut brief = brief();
    let shop = fitting_shop();
    let plain = make(&interior, &brief, &shop, 1, &Quiet).unwrap();
    brief.furnishing.tray_lift = TrayLift::Straps;
    brief.furnishing.lid_held_by = HeldBy::Board;
    let fitted = make(&interior, &brief, &shop, 1, &Quiet).unwrap();
    let more = &fitted.bill.lines[plain.bill.lines.len()..];
    let told: Vec<(f64, &str, i64)> = more
        .iter()
        .map(|line| (line.quantity, line.unit.as_str(), line.total.unwrap().minor()))
        .collect();
    let pad = interior
        .blocks
        .iter()
        .find(|block| block.kind == BlockKind::LidPad)
        .unwrap();
    let area = pad.layers.last().unwrap().outline.area();
    let board = (area * 1000.0).round() as i64;
    let adhesive = (area * shop.rates.adhesive_per_m2.major() * 100.0).round() as i64;
    assert_eq!(
        told,
        [
            (2.0, "piece", 380),
            (area, "m²", board),
            (area, "m²", adhesive),
            (4.0, "piece", 200)
        ]
    );
    let positions: Vec<u32> = fitted.bill.lines.iter().map(|line| line.position).collect();
    assert!(positions.windows(2).all(|pair| pair[1] == pair[0] + 1));
    // By hand: two straps of 3 min, the board's 10 min, and one joint more.
    let longer = fitted.bill.work.gluing - plain.bill.work.gluing;
    let expected = Duration::from_si(2.0 * 180.0 + 600.0) + shop.rates.gluing_per_joint;
    assert!((longer.si() - expected.si()).abs() < 1e-9, "{longer:?}");
    assert!(fitted.bill.price.minor() > plain.bill.price.minor());
    // The price of one is the bill's, fittings included.
    let breaks = price_breaks(&fitted, &shop, 1, &[1, 3]).unwrap();
    assert_eq!(breaks[0].price, fitted.bill.price);
}

/// The test interior's base block as a tray with a board between its two layers.
#[test]
fn a_tray_is_made_around_its_board() {
    let mut interior = interior();
    let outline = Region::rectangle(Vec2::new(-0.15, -0.1), Vec2::new(0.15, 0.1));
    let hole = Region::circle(Vec2::new(0.1, 0.0), 0.02);
    let tray = &mut interior.blocks[0];
    tray.kind = BlockKind::Tray(1);
    let plain = make(&interior, &brief(), &fitting_shop(), 1, &Quiet).unwrap();
    let tray = &mut interior.blocks[0];
    tray.layers[1].low = 0.053;
    tray.board = Some(Prism {
        region: outline.difference(&hole),
        low: 0.049,
        high: 0.053,
    });
    interior.cavities[0].steps[0].low = 0.060;
    interior.cavities[1].steps.remove(0);
    let shop = fitting_shop();
    let set = make(&interior, &brief(), &shop, 1, &Quiet).unwrap();
    // The layers are glued to the board, not to each other; the lower one is cut from its underside.
    assert!(plain.layers[1].glue.is_some() && set.layers[1].glue.is_none());
    let faces: Vec<(&str, bool)> = set
        .layers
        .iter()
        .map(|part| (part.face_up, part.mirrored))
        .collect();
    assert_eq!(faces, [("underside", true), ("top", false), ("underside", true)]);
    let board = set.board.as_ref().unwrap();
    assert_eq!(board.between.each_ref().map(ToString::to_string), ["B1", "B2"]);
    assert!(board.region.area() < outline.area());
    let lines: Vec<(f64, i64)> = set
        .bill
        .lines
        .iter()
        .filter(|line| line.description.contains("board"))
        .map(|line| (line.quantity, line.total.unwrap().minor()))
        .collect();
    let glued = 2.0 * board.region.area();
    let adhesive = (glued * shop.rates.adhesive_per_m2.major() * 100.0).round() as i64;
    assert_eq!(lines.len(), 2);
    assert!((lines[0].0 - 0.06).abs() < 1e-9 && lines[0].1 == 60, "{lines:?}");
    assert_eq!(lines[1], (glued, adhesive));
    // A board of 10 min and its two faces, less the joint that is none any more.
    let longer = set.bill.work.gluing - plain.bill.work.gluing;
    let expected = Duration::from_si(600.0) + shop.rates.gluing_per_joint;
    assert!((longer.si() - expected.si()).abs() < 1e-9, "{longer:?}");
    let files = cut_files(&set, &shop, "test-1", "B", &released()).files;
    let drawn = files.iter().find(|file| file.path == "boards/tray.dxf").unwrap();
    let text = String::from_utf8(drawn.bytes.clone()).unwrap();
    assert!(
        text.contains("between layers B1 (below) and B2 (above)"),
        "{text}"
    );
    assert!(files.iter().any(|file| file.path == "boards/tray.svg"));
}

#[test]
fn a_colour_is_cut_from_its_own_stock() {
    let interior = interior();
    let mut brief = brief();
    let colour = |name: &str| LayerColour {
        name: name.to_owned(),
        shade: [1, 2, 3],
    };
    let (grey, amber) = (colour("grey"), colour("amber"));
    let mut shop = shop();
    let amber_stock: Vec<_> = shop
        .stock
        .iter()
        .cloned()
        .map(|mut sheet| {
            sheet.colour = Some(amber.clone());
            sheet
        })
        .collect();
    for sheet in &mut shop.stock {
        sheet.colour = Some(grey.clone());
    }
    let grey_rows = shop.stock.len();
    shop.stock.extend(amber_stock);
    // Any colour: the first the shop states, never two.
    let plain = make(&interior, &brief, &shop, 1, &Quiet).unwrap();
    assert!(plain.nests.iter().all(|nest| nest.stock < grey_rows));
    brief.furnishing.colours = Some(LayerColours {
        top: grey,
        floors: amber,
    });
    let set = make(&interior, &brief, &shop, 1, &Quiet).unwrap();
    for part in &set.layers {
        let base = interior
            .blocks
            .iter()
            .find(|block| block.kind == part.block)
            .unwrap();
        let expected = match (part.block, part.number as usize == base.layers.len()) {
            (BlockKind::LidPad, _) => None,
            (_, true) => Some("grey"),
            (_, false) => Some("amber"),
        };
        assert_eq!(part.colour.as_deref(), expected, "{}", part.id);
        let nest = set
            .nests
            .iter()
            .find(|nest| nest.parts.iter().any(|p| p.layer == part.id))
            .unwrap();
        if let Some(colour) = expected {
            assert_eq!(shop.stock[nest.stock].colour.as_ref().unwrap().name, colour);
            assert!(part.foam_title.starts_with(colour));
        }
    }
    shop.stock.truncate(grey_rows);
    let error = make(&interior, &brief, &shop, 1, &Quiet).unwrap_err();
    assert!(
        matches!(error, MakeError::NoStock { .. }) && error.to_string().contains("amber"),
        "{error}"
    );
}
