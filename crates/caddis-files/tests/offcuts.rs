//! Offcuts as files: what a job leaves is what the next one reads.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::Currency;
use caddis_files::{FileError, read_offcuts, write_offcuts};
use caddis_shop::StockSheet;

const RACK: &str = r##"schema = 1
shop = "coldwater"
[[stock]]
name = "closed-cell polyethylene 29 soft, offcut ABC-1"
foam = "tarn-29"
colour = "charcoal"
shade = "#3d4650"
length = "812 mm"
width = "410.5 mm"
trim = "15 mm"
number = 1
source = "left of sheet 1, job ABC (derived)"
sheets = [{ thickness = "50 mm", price = "4.20 EUR" }]
[[stock]]
name = "corner"
foam = "tarn-29"
length = "600 mm"
width = "400 mm"
trim = "0 mm"
outline = [["0 mm", "0 mm"], ["600 mm", "0 mm"], ["600 mm", "150 mm"], ["0 mm", "400 mm"]]
number = 2
one_good_face = true
source = "tape (measured)"
sheets = [{ thickness = "30 mm", price = "0.00 EUR" }]
"##;

fn read(text: &str, shop: &str) -> Result<Vec<StockSheet>, FileError> {
    let shops = ["another".to_owned(), "coldwater".to_owned()];
    read_offcuts(
        text.as_bytes(),
        "x.toml",
        (shop, &shops),
        Currency::parse("EUR").unwrap(),
    )
}

#[test]
fn a_rack_reads_and_survives_writing() {
    let rack = read(RACK, "coldwater").unwrap();
    assert_eq!(rack.len(), 2);
    assert_eq!(
        rack.iter().map(|row| row.number).collect::<Vec<_>>(),
        [Some(1), Some(2)]
    );
    assert!((rack[0].area() - 0.812 * 0.4105).abs() < 1e-12);
    // A trapezoid: 600 long, 400 and 150 high.
    assert!((rack[1].area() - 0.6 * (0.4 + 0.15) / 2.0).abs() < 1e-12);
    let text = write_offcuts(&rack, "coldwater").unwrap();
    assert_eq!(read(&text, "coldwater").unwrap(), rack, "{text}");
    assert!(read(RACK, "another").unwrap().is_empty());
}

#[test]
fn a_wrong_rack_names_its_field() {
    let field = |from: &str, to: &str| {
        let text = RACK.replacen(from, to, 1);
        assert_ne!(text, RACK, "{from}");
        let error = read(&text, "coldwater").unwrap_err();
        assert!(error.hint().is_some(), "{error}");
        error.place().field.clone()
    };
    assert_eq!(field("\"coldwater\"", "\"coldwatr\""), "shop");
    assert_eq!(field("number = 1\n", ""), "stock[0].number");
    assert_eq!(
        field("\"600 mm\", \"150 mm\"", "\"601 mm\", \"150 mm\""),
        "stock[1].outline[2]"
    );
    assert_eq!(
        field(
            "[\"600 mm\", \"150 mm\"], [\"0 mm\", \"400 mm\"]",
            "[\"0 mm\", \"400 mm\"], [\"600 mm\", \"150 mm\"]"
        ),
        "stock[1].outline"
    );
    assert_eq!(
        field(
            "[\"600 mm\", \"150 mm\"], [\"0 mm\", \"400 mm\"]",
            "[\"300 mm\", \"0 mm\"]"
        ),
        "stock[1].outline"
    );
    assert_eq!(field("4.20 EUR", "4.20 USD"), "stock[0].sheets[0].price");
    assert_eq!(field("trim = \"15 mm\"", "trim = \"300 mm\""), "stock[0].trim");
    assert_eq!(field("shade = \"#3d4650\"\n", ""), "stock[0].colour");
}
