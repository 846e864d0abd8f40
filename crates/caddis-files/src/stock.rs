//! Stock as files write it: sheets that a shop buys, and offcuts that it keeps.

use crate::document::{Document, SCHEMA, one_of};
use crate::error::{Fault, FileError, join};
use crate::foam::colour;
use crate::shop::money;
use crate::written::{Bench, Written, certainty_word, parse_source};
use caddis_basis::{Currency, Length};
use caddis_design::LayerColour;
use caddis_geometry::{Contour, Region, Shape, Vec2};
use caddis_shop::StockSheet;
use serde::{Deserialize, Serialize};

/// One or more sheets that differ in thickness and price only.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StockFile {
    name: String,
    pub(crate) foam: String,
    length: Written,
    width: Written,
    trim: Written,
    /// Corners of what is no whole rectangle, from its lower left corner.
    #[serde(skip_serializing_if = "Option::is_none")]
    outline: Option<Vec<[Written; 2]>>,
    /// How many there are of each; as many as are bought where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    number: Option<u32>,
    /// Its colour by the supplier's name, where several are stocked, and how pictures show it.
    #[serde(skip_serializing_if = "Option::is_none")]
    colour: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shade: Option<String>,
    #[serde(default)]
    one_good_face: bool,
    source: String,
    sheets: Vec<SheetFile>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetFile {
    thickness: Written,
    price: String,
}

/// What is left of cut sheets and lies on a shop's rack.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OffcutsFile {
    schema: u32,
    /// The shop on whose rack they lie, by its name in the library.
    shop: String,
    #[serde(default)]
    stock: Vec<StockFile>,
}

/// The offcuts of a file that lie on the rack of `shop`, none where they are another's of the `shops` in the library; `file` is what
/// messages call it.
///
/// # Errors
/// Anything that is no list of offcuts, with file, line, field and what would do; a shop that the library does not hold.
pub fn read_offcuts(
    bytes: &[u8],
    file: &str,
    (shop, shops): (&str, &[String]),
    currency: Currency,
) -> Result<Vec<StockSheet>, FileError> {
    let document = Document::new(bytes, file)?;
    let written: OffcutsFile = document.parse()?;
    if written.shop != shop && !shops.contains(&written.shop) {
        let known: Vec<&str> = shops.iter().map(String::as_str).collect();
        return Err(document.locate(
            Fault::new("shop", format!("the library holds no shop `{}`", written.shop))
                .hint(one_of(&written.shop, &known)),
        ));
    }
    if written.shop != shop {
        return Ok(Vec::new());
    }
    let bench = Bench::new(None).map_err(|fault| document.locate(fault))?;
    let mut found = Vec::new();
    for (index, row) in written.stock.iter().enumerate() {
        let path = format!("stock[{index}]");
        let rows = rows(&bench, row, currency, &path).map_err(|fault| document.locate(fault))?;
        if rows.iter().any(|row| row.number.is_none()) {
            return Err(document.locate(
                Fault::new(join(&path, "number"), "an offcut that there is without number")
                    .hint("say how many there are, e.g. `number = 1`"),
            ));
        }
        found.extend(rows);
    }
    Ok(found)
}

/// Offcuts as the file that [`read_offcuts`] reads, for the rack of `shop`.
///
/// # Errors
/// Never for stock that was read; what the TOML writer says otherwise.
pub fn write_offcuts(offcuts: &[StockSheet], shop: &str) -> Result<String, String> {
    let file = OffcutsFile {
        schema: SCHEMA,
        shop: shop.to_owned(),
        stock: offcuts.iter().map(written).collect(),
    };
    let text = toml::to_string(&file).map_err(|error| error.to_string())?;
    Ok(format!(
        "# Measure each piece and write its name on it. Lay this file into the library's folder `offcuts`, and take a piece out of it\n\
         # when it is used: the next nesting counts on what is written here.\n{text}"
    ))
}

fn written(sheet: &StockSheet) -> StockFile {
    // Sums of whole millimetres carry rounding.
    let length = |value: Length| Written::Text(format!("{} mm", (value.as_mm() * 1e6).round() / 1e6));
    StockFile {
        name: sheet.name.clone(),
        foam: sheet.foam.clone(),
        length: length(sheet.length),
        width: length(sheet.width),
        trim: length(sheet.trim),
        outline: sheet.outline.as_ref().and_then(|outline| {
            let corner = |at: Vec2| [at.x, at.y].map(|v| length(Length::from_si(v)));
            let outer = &outline.shapes.first()?.outer;
            Some(outer.vertices.iter().map(|vertex| corner(vertex.at)).collect())
        }),
        number: sheet.number,
        colour: sheet.colour.as_ref().map(|colour| colour.name.clone()),
        shade: sheet.colour.as_ref().map(|colour| {
            let [r, g, b] = colour.shade;
            format!("#{r:02x}{g:02x}{b:02x}")
        }),
        one_good_face: sheet.one_good_face,
        source: format!(
            "{} ({})",
            sheet.source.citation,
            certainty_word(sheet.source.certainty)
        ),
        sheets: vec![SheetFile {
            thickness: length(sheet.thickness),
            price: sheet.price.to_string(),
        }],
    }
}

/// The sheets of a row.
pub(crate) fn rows(
    bench: &Bench,
    row: &StockFile,
    currency: Currency,
    path: &str,
) -> Result<Vec<StockSheet>, Fault> {
    let at = |key: &str| join(path, key);
    let length: Length = bench.positive(&row.length, &at("length"))?;
    let width: Length = bench.positive(&row.width, &at("width"))?;
    let trim: Length = bench.not_negative(&row.trim, &at("trim"))?;
    if trim * 2.0 >= length.min(width) {
        return Err(Fault::new(
            at("trim"),
            format!("a trim of {trim} leaves nothing of the sheet"),
        )
        .hint("give the strip left unused along every edge, e.g. `15 mm`"));
    }
    let outline = row
        .outline
        .as_ref()
        .map(|corners| outline(bench, corners, (length, width), &at("outline")))
        .transpose()?;
    let source = parse_source(&row.source, &at("source"))?;
    let colour = stock_colour(row, path)?;
    let sheets = row.sheets.iter().enumerate().map(|(number, sheet)| {
        let sheet_at = |key: &str| format!("{path}.sheets[{number}].{key}");
        Ok(StockSheet {
            name: row.name.clone(),
            foam: row.foam.clone(),
            thickness: bench.positive(&sheet.thickness, &sheet_at("thickness"))?,
            length,
            width,
            trim,
            outline: outline.clone(),
            number: row.number,
            price: money(&sheet.price, currency, &sheet_at("price"))?,
            colour: colour.clone(),
            one_good_face: row.one_good_face,
            source: source.clone(),
        })
    });
    sheets.collect()
}

/// The outline of an offcut from its corners, within its length and width.
fn outline(
    bench: &Bench,
    corners: &[[Written; 2]],
    (length, width): (Length, Length),
    field: &str,
) -> Result<Region, Fault> {
    let mut points = Vec::with_capacity(corners.len());
    for (index, [x, y]) in corners.iter().enumerate() {
        let at = format!("{field}[{index}]");
        let (x, y): (Length, Length) = (bench.not_negative(x, &at)?, bench.not_negative(y, &at)?);
        if x.si() > length.si() + SLACK || y.si() > width.si() + SLACK {
            return Err(
                Fault::new(at, format!("{x}, {y} lies beyond the sheet's length and width"))
                    .hint("measure corners from the lower left corner of the box around the piece"),
            );
        }
        points.push(Vec2::new(x.si(), y.si()));
    }
    let contour = Contour::polygon(points);
    let contour = if contour.signed_area() < 0.0 {
        contour.reversed()
    } else {
        contour
    };
    let drawn = Region {
        shapes: vec![Shape {
            outer: contour.clone(),
            holes: Vec::new(),
        }],
    };
    // An outline that crosses itself encloses less, or more pieces, than it says.
    let clean = Region::union_all([&drawn]);
    let is_one = clean.shapes.len() == 1 && (clean.area() - contour.signed_area()).abs() < SLACK;
    if contour.vertices.len() < 3 || !is_one || clean.area() < SLACK {
        return Err(Fault::new(field, "the corners make no single closed outline")
            .hint("list them in turn round the piece, e.g. `[[\"0 mm\", \"0 mm\"], [\"600 mm\", \"0 mm\"], [\"0 mm\", \"400 mm\"]]`"));
    }
    Ok(drawn)
}

/// Rounding of a corner or an area, metres and square metres.
const SLACK: f64 = 1e-6;

/// The colour of a row of stock and its shade.
pub(crate) fn stock_colour(row: &StockFile, path: &str) -> Result<Option<LayerColour>, Fault> {
    match (&row.colour, &row.shade) {
        (None, None) => Ok(None),
        (Some(name), Some(shade)) if !name.trim().is_empty() => Ok(Some(LayerColour {
            name: name.trim().to_owned(),
            shade: colour(shade, &join(path, "shade"))?,
        })),
        (Some(_), _) => Err(
            Fault::new(join(path, "colour"), "a colour has a name and a shade")
                .hint("write e.g. `colour = \"amber\"` and `shade = \"#d9a420\"`, or leave both out"),
        ),
        (None, Some(_)) => Err(Fault::new(join(path, "shade"), "a shade belongs to a colour")
            .hint("write e.g. `colour = \"amber\"` beside it, or leave it out")),
    }
}
