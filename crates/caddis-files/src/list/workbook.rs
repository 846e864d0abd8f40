//! XLSX workbooks as sheets of texts, through `calamine`. Reading is for a child process under limits: the library holds all
//! shared texts at once, whatever they unpack to.

use calamine::{DataRef, DataType, Reader, Xlsx};
use std::io::Cursor;

/// Larger workbooks are refused, bytes.
const MOST_BYTES: usize = 32 << 20;
/// Workbooks that unpack to more are refused, bytes; one that lies about it ends with its reader.
const MOST_UNPACKED: u64 = 256 << 20;
/// Sheets looked at.
const MOST_SHEETS: usize = 20;
/// More rows or columns are refused.
const MOST_ROWS: usize = super::MOST_ROWS + super::HEADER_WITHIN;
const MOST_COLUMNS: usize = 200;
/// Longest text of a cell that is kept, characters.
const LONGEST: usize = 2000;

/// One sheet of a workbook.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// Its name.
    pub name: String,
    /// Rows of cells from the sheet's first row and column; a number as its shortest text.
    pub rows: Vec<Vec<String>>,
}

/// Whether a file is a workbook of the kind that is read, or at least a packed folder.
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

const AGAIN: &str = "save it again as XLSX, or the sheet as CSV (UTF-8)";

/// Reads the sheets of an XLSX workbook. A formula counts as the value that was saved with it, a date as its text; of cells
/// that were merged the first holds the text.
///
/// # Errors
/// A sentence without a full stop, and after `; ` what would do.
pub fn read_workbook(bytes: &[u8]) -> Result<Vec<Sheet>, String> {
    // The library adds up the letters and digits of cell names as they come, and sums are checked here: what it stumbles
    // over is a damaged file, not a mistake of ours.
    std::panic::catch_unwind(|| sheets_of(bytes))
        .unwrap_or_else(|_| Err(format!("this is no sound XLSX workbook; {AGAIN}")))
}

fn sheets_of(bytes: &[u8]) -> Result<Vec<Sheet>, String> {
    if bytes.len() > MOST_BYTES {
        return Err(format!(
            "the workbook has {} bytes, more than the {MOST_BYTES} that are read; keep only the sheet with the equipment",
            bytes.len()
        ));
    }
    let unpacked = unpacked(bytes);
    if unpacked > MOST_UNPACKED {
        return Err(format!(
            "the workbook unpacks to {unpacked} bytes, more than the {MOST_UNPACKED} that are read; keep only the sheet with \
             the equipment"
        ));
    }
    let mut workbook = Xlsx::new(Cursor::new(bytes)).map_err(|error| match error {
        calamine::XlsxError::Password => {
            "the workbook is locked with a password; save it without one".to_owned()
        }
        other => format!("this is no XLSX workbook ({other}); {AGAIN}"),
    })?;
    let names = workbook.sheet_names();
    let mut sheets = Vec::new();
    for name in names.into_iter().take(MOST_SHEETS) {
        let mut sheet = Sheet {
            name: name.clone(),
            rows: Vec::new(),
        };
        // A chart has a sheet without cells.
        let Ok(mut cells) = workbook.worksheet_cells_reader(&name) else {
            continue;
        };
        while let Some(cell) = cells
            .next_cell()
            .map_err(|error| format!("sheet `{name}` is damaged ({error}); {AGAIN}"))?
        {
            let text = text_of(cell.get_value());
            if text.is_empty() {
                continue;
            }
            let (row, column) = cell.get_position();
            let (row, column) = (row as usize, column as usize);
            if row >= MOST_ROWS || column >= MOST_COLUMNS {
                return Err(format!(
                    "sheet `{name}` has text in row {}, column {}, beyond the {MOST_ROWS} rows and {MOST_COLUMNS} columns \
                     that are read; keep only the sheet with the equipment",
                    row + 1,
                    column + 1
                ));
            }
            if sheet.rows.len() <= row {
                sheet.rows.resize(row + 1, Vec::new());
            }
            let cells = &mut sheet.rows[row];
            if cells.len() <= column {
                cells.resize(column + 1, String::new());
            }
            cells[column] = text;
        }
        sheets.push(sheet);
    }
    Ok(sheets)
}

/// What the parts of the archive say they unpack to, bytes; an archive that cannot be opened is told by its reader.
fn unpacked(bytes: &[u8]) -> u64 {
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else {
        return 0;
    };
    (0..archive.len())
        .filter_map(|at| archive.by_index_raw(at).ok().map(|part| part.size()))
        .fold(0, u64::saturating_add)
}

fn text_of(value: &DataRef<'_>) -> String {
    let text = match value {
        DataRef::Int(whole) => whole.to_string(),
        // Twelve digits: what is beyond is noise of the spreadsheet's own sums.
        DataRef::Float(number) => shortest(*number),
        DataRef::Bool(flag) => flag.to_string(),
        DataRef::Error(error) => error.to_string(),
        DataRef::DateTime(date) if date.is_datetime() => {
            let (year, month, day, hour, minute, ..) = date.to_ymd_hms_milli();
            let time = if (hour, minute) == (0, 0) {
                String::new()
            } else {
                format!(" {hour:02}:{minute:02}")
            };
            format!("{year:04}-{month:02}-{day:02}{time}")
        }
        DataRef::DateTime(span) => shortest(span.as_f64()),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        other => other.as_string().unwrap_or_default(),
    };
    text.trim().chars().take(LONGEST).collect()
}

fn shortest(number: f64) -> String {
    let rounded: f64 = format!("{number:.11e}").parse().unwrap_or(number);
    rounded.to_string()
}
