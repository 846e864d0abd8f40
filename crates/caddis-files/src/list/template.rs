//! An empty packing list to hand to a customer, as text and as a workbook.

use crate::FileError;
use rust_xlsxwriter::{
    DataValidation, DataValidationRule, DocProperties, ExcelDateTime, Format, Workbook, XlsxError,
};

/// A column: header, width in characters, what the cell below is, and what to write there.
struct Column {
    header: &'static str,
    width: u32,
    example: Example,
    says: &'static str,
}

enum Example {
    Text(&'static str),
    Number(f64),
    Empty,
}

/// Rows below the header that say what may stand in them.
const ROWS: u32 = 500;

const COLUMNS: [Column; 10] = [
    Column {
        header: "Item",
        width: 34,
        example: Example::Text("Example receiver (delete this row)"),
        says: "what it is called",
    },
    Column {
        header: "Qty",
        width: 6,
        example: Example::Number(1.0),
        says: "how many of it, a whole number",
    },
    Column {
        header: "Length (mm)",
        width: 13,
        example: Example::Number(180.0),
        says: "outside, with knobs and sockets",
    },
    Column {
        header: "Width (mm)",
        width: 13,
        example: Example::Number(120.0),
        says: "outside, with knobs and sockets",
    },
    Column {
        header: "Height (mm)",
        width: 13,
        example: Example::Number(60.0),
        says: "as it stands",
    },
    Column {
        header: "Diameter (mm)",
        width: 14,
        example: Example::Empty,
        says: "of round things, instead of length and width",
    },
    Column {
        header: "Weight (kg)",
        width: 13,
        example: Example::Number(1.4),
        says: "of one",
    },
    Column {
        header: "Fragility",
        width: 12,
        example: Example::Text("unknown"),
        says: "the shock it stands, e.g. 60 G, as its maker states it; else unknown, or none",
    },
    Column {
        header: "Serial",
        width: 16,
        example: Example::Empty,
        says: "printed as it stands",
    },
    Column {
        header: "Notes",
        width: 60,
        example: Example::Text("boxes need length width height; round things diameter and height"),
        says: "printed as it stands",
    },
];

/// An empty list with the columns that are read, and one invented row: comma separated text.
pub fn list_template() -> String {
    let headers: Vec<&str> = COLUMNS.iter().map(|column| column.header).collect();
    let cells: Vec<String> = COLUMNS
        .iter()
        .map(|column| match column.example {
            Example::Text(text) => text.to_owned(),
            Example::Number(number) => number.to_string(),
            Example::Empty => String::new(),
        })
        .collect();
    format!("{}\n{}\n", headers.join(","), cells.join(","))
}

/// The same as an XLSX workbook, where every column says what belongs in it and refuses sizes that are no numbers.
///
/// # Errors
/// It cannot be put together.
pub fn list_template_workbook() -> Result<Vec<u8>, FileError> {
    written().map_err(|error| FileError::content("list.xlsx", error.to_string(), None))
}

fn written() -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // Without it the writer asks the clock, and no two files are alike.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    workbook.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let heading = Format::new().set_bold().set_text_wrap();
    let sheet = workbook.add_worksheet();
    sheet.set_name("Packing list")?;
    sheet.set_freeze_panes(1, 0)?;
    for (at, column) in (0_u16..).zip(&COLUMNS) {
        sheet.set_column_width(at, column.width)?;
        sheet.write_string_with_format(0, at, column.header, &heading)?;
        match column.example {
            Example::Text(text) => sheet.write_string(1, at, text)?,
            Example::Number(number) => sheet.write_number(1, at, number)?,
            Example::Empty => sheet,
        };
        let validation = match column.header {
            "Qty" => DataValidation::new().allow_whole_number(DataValidationRule::Between(1, 9999)),
            header if header.contains('(') => {
                DataValidation::new().allow_decimal_number(DataValidationRule::GreaterThan(0.0))
            }
            _ => DataValidation::new(),
        };
        let validation = validation
            .set_input_title(column.header)?
            .set_input_message(column.says)?
            .set_error_title("A number")?
            .set_error_message("Give a number in the unit of the heading.")?;
        sheet.add_data_validation(1, at, ROWS, at, &validation)?;
    }
    workbook.save_to_buffer()
}
