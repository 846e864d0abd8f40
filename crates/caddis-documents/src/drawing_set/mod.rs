//! The drawings of a job as a set of sheets: general arrangement, lists, a sheet a layer, the table of features.

mod characteristic;
mod frame;
mod general;
mod isometric;
mod layer_sheet;
mod paper_size;

pub(crate) use characteristic::{Characteristic, measured};

use crate::date::ymd;
use crate::drawing::{NARROW, TYPE};
use crate::dxf::dxf;
use crate::press::Job;
use crate::sheet::Anchor;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Sheet, svg};
use general::Inset;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The sheets of a job's drawings in their order, on the paper and in the units the shop draws in.
///
/// # Units
/// Paper millimetres; net sizes.
pub fn drawing_sheets(input: &PaperInput) -> DrawingSheets {
    DrawingSheets(sheets(input))
}

/// Finished sheets, each with the room of a picture that is set into it.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawingSheets(Vec<(Sheet, Option<Inset>)>);

impl DrawingSheets {
    /// The sheets in their order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Sheet> {
        self.0.iter().map(|(sheet, _)| sheet)
    }
}

fn sheets(input: &PaperInput) -> Vec<(Sheet, Option<Inset>)> {
    let parts = measured(&input.set.layers, &input.shop.process);
    let tables = layer_sheet::table_count(input, &parts);
    let views = general::arrangement_count(input);
    let of = views + 2 + parts.len() + tables;
    let mut sheets: Vec<(Sheet, Option<Inset>)> = general::arrangements(input, of)
        .into_iter()
        .map(|sheet| (sheet, None))
        .collect();
    sheets.push((general::open_view(input, (views + 1, of)), None));
    let (lists, inset) = general::lists(input, (views + 2, of));
    sheets.push((lists, inset));
    for (index, part) in parts.iter().enumerate() {
        sheets.push((
            layer_sheet::layer_sheet(input, part, (views + 3 + index, of)),
            None,
        ));
    }
    for table in layer_sheet::table_sheets(input, &parts, views + 3 + parts.len(), of) {
        sheets.push((table, None));
    }
    sheets
}

/// Every sheet of the drawings as DXF, `drawings/sheet-01.dxf` and on; the picture that is set into one of them stands in
/// `drawings.pdf` alone.
///
/// # Units
/// Paper millimetres; net sizes.
pub fn drawing_files(input: &PaperInput, sheets: &DrawingSheets) -> Vec<Document> {
    let paper = paper_size::name(input.shop.drawing.paper);
    let of = sheets.0.len();
    let written = |(index, (sheet, inset)): (usize, &(Sheet, Option<Inset>))| {
        let mut sheet = sheet.clone();
        if let Some(Inset { at, size }) = *inset {
            sheet.rectangle(at, at + size, Some(NARROW), None);
            let middle = at + size / 2.0;
            sheet.text(
                middle,
                say!(input.words, "sheet-picture-elsewhere"),
                TYPE,
                Anchor::Middle,
            );
        }
        let state = if input.release.is_some() {
            "RELEASED"
        } else {
            "NOT RELEASED: not for cutting"
        };
        let comments = vec![
            format!(
                "Caddis {}: {}, revision {}, {}",
                input.version, input.brief.job, input.revision, input.date
            ),
            format!(
                "sheet {} of {of}; {state}; NET sizes; a drawing to read: cut from the files in layers",
                index + 1
            ),
            format!(
                "millimetres of paper, {paper}, {} x {}; face Noto Sans",
                sheet.width, sheet.height
            ),
        ];
        Document {
            name: format!("drawings/sheet-{:02}.dxf", index + 1),
            media_type: "image/vnd.dxf",
            bytes: dxf(&sheet, paper, comments),
        }
    };
    sheets.0.iter().enumerate().map(written).collect()
}

/// Prints the drawings.
///
/// # Errors
/// A date that is none; sheets that cannot be written.
pub fn drawings(input: &PaperInput, sheets: &DrawingSheets) -> Result<Document, DocumentError> {
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut pages: Vec<Value> = Vec::new();
    for (index, (sheet, inset)) in sheets.0.iter().enumerate() {
        let path = format!("sheet-{}.svg", index + 1);
        pages.push(json!({
            "path": path,
            "title": sheet.title,
            "width": sheet.width,
            "height": sheet.height,
            "inset": inset.map(|inset| json!({
                "x": inset.at.x,
                "y": sheet.height - inset.at.y - inset.size.y,
                "width": inset.size.x,
                "height": inset.size.y,
            })),
        }));
        files.insert(path, svg(sheet).into_bytes());
    }
    files.insert("apart.png".to_owned(), input.pictures.apart.clone());
    let data = json!({ "title": input.brief.title, "shop_name": input.shop.name, "pages": pages });
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("../typst/drawings.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!("{} {} {} drawings", input.brief.job, input.revision, input.date),
    };
    job.document("drawings.pdf")
}
