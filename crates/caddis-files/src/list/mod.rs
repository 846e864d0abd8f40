//! A customer's packing list from a spreadsheet: CSV or XLSX in, rows that can be packed out, and every row that cannot, with why.

mod column;
mod csv;
mod group;
mod row;
mod template;
mod workbook;

pub use template::{list_template, list_template_workbook};
pub use workbook::{Sheet, is_workbook, read_workbook};

use crate::FileError;
use crate::quoted::quoted;
use caddis_basis::{Length, Mass};
use column::Columns;
use std::collections::BTreeSet;
use std::fmt::Write;

/// Larger lists are refused, bytes.
const MOST_BYTES: usize = 8 << 20;
/// More rows are refused.
const MOST_ROWS: usize = 5000;
/// The headers stand in one of the first rows.
const HEADER_WITHIN: usize = 30;

/// A list as it was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct PackingList {
    /// Each header and what it was taken for, as printed; `None` where it was passed over.
    pub columns: Vec<(String, Option<&'static str>)>,
    /// Rows that can be packed.
    pub rows: Vec<ListRow>,
    /// Rows that cannot.
    pub unusable: Vec<UnusableRow>,
    /// Sheets of the workbook that name columns of a list too but were not read: one list is one case's.
    pub other_lists: Vec<String>,
}

/// One kind of equipment of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ListRow {
    /// Row of the sheet, from 1.
    pub row: usize,
    /// Id made from the name, unique in the list.
    pub id: String,
    /// Name.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// What it looks like.
    pub size: ListSize,
    /// Mass of one.
    pub mass: Mass,
    /// `60 G`, `unknown` or `none`.
    pub fragility: String,
    /// Serial numbers and remarks.
    pub note: String,
}

/// The outside of an entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ListSize {
    /// Length, width, height.
    Cuboid([Length; 3]),
    /// Diameter, height.
    Cylinder([Length; 2]),
}

/// A row that cannot be packed as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusableRow {
    /// Row of the sheet, from 1.
    pub row: usize,
    /// The header of the column at fault.
    pub column: String,
    /// What is wrong, a sentence without a full stop.
    pub problem: String,
    /// What would do.
    pub remedy: String,
}

/// Reads a packing list: comma, semicolon or tab separated text, or an XLSX workbook. Headers are told by their words, in any order, with the unit
/// in the header (`Length (mm)`) or in each cell (`300 mm`).
///
/// # Errors
/// The file is empty, too large, a damaged workbook, not text, or no row of it names columns for a name, a size and a mass.
pub fn read_list(bytes: &[u8], file: &str) -> Result<PackingList, FileError> {
    let refuse = |problem: String, hint: &str| Err(FileError::content(file, problem, Some(hint.to_owned())));
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return refuse(
            "the list is empty".to_owned(),
            "`caddis contents --template` writes one to fill in",
        );
    }
    if bytes.len() > MOST_BYTES {
        return refuse(
            format!(
                "the list has {} bytes, more than the {MOST_BYTES} that are read",
                bytes.len()
            ),
            "keep only the sheet with the equipment",
        );
    }
    if is_workbook(bytes) {
        return read_sheets(
            &read_workbook(bytes).map_err(|message| sheets_refused(&message, file))?,
            file,
        );
    }
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return refuse(
            "this is a workbook of the old kind (XLS), or one locked with a password".to_owned(),
            "save it as XLSX without a password, or the sheet as CSV (UTF-8)",
        );
    }
    let Ok(text) = std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)) else {
        return refuse(
            "the list is not UTF-8 text".to_owned(),
            "save the sheet as CSV (UTF-8)",
        );
    };
    let (cells, comma_is_decimal) = csv::read(text).map_err(|problem| {
        FileError::content(
            file,
            problem,
            Some("save the sheet as CSV (UTF-8) again".to_owned()),
        )
    })?;
    from_cells(&cells, comma_is_decimal, file)
}

/// A message of [`read_workbook`] as an error of the file.
pub fn sheets_refused(message: &str, file: &str) -> FileError {
    match message.split_once("; ") {
        Some((problem, hint)) => FileError::content(file, problem.to_owned(), Some(hint.to_owned())),
        None => FileError::content(file, message.to_owned(), None),
    }
}

/// The packing list of a workbook: of the sheet whose headers tell most, the first of equals.
///
/// # Errors
/// As [`read_list`].
pub fn read_sheets(sheets: &[Sheet], file: &str) -> Result<PackingList, FileError> {
    let told = |sheet: &Sheet| header_of(&sheet.rows).map_or(0, |header| header.columns.count());
    let best = sheets
        .iter()
        .enumerate()
        .max_by_key(|(at, sheet)| (told(sheet), std::cmp::Reverse(*at)));
    match best {
        Some((at, sheet)) if !sheet.rows.is_empty() => {
            let mut list = from_cells(&sheet.rows, false, &format!("{file} ({})", sheet.name))?;
            list.other_lists = sheets
                .iter()
                .enumerate()
                .filter(|(other, sheet)| *other != at && told(sheet) > 0)
                .map(|(_, sheet)| sheet.name.clone())
                .collect();
            Ok(list)
        }
        _ => Err(FileError::content(
            file,
            "the workbook holds no text".to_owned(),
            Some("`caddis contents --template` writes a list to fill in".to_owned()),
        )),
    }
}

/// The headers of a list.
struct Header {
    /// The row they end in.
    at: usize,
    columns: Columns,
    /// As printed.
    shown: Vec<(String, Option<&'static str>)>,
}

/// The row that names most columns, alone or under a row of groups (`Size (mm)` above `L`, `W`, `H`), if it names enough.
fn header_of(cells: &[Vec<String>]) -> Option<Header> {
    let within = &cells[..cells.len().min(HEADER_WITHIN)];
    let alone = within.iter().enumerate().map(|(at, row)| (at, row.clone()));
    let grouped = within
        .windows(2)
        .enumerate()
        .filter(|(_, rows)| rows[1].iter().all(|cell| !has_digit(cell)))
        .map(|(at, rows)| (at + 1, group::joined(&rows[0], &rows[1])));
    // Of equals the first, and a row alone before one with its groups.
    alone
        .chain(grouped)
        .map(|(at, row)| (at, Columns::of(&row), row))
        .enumerate()
        .max_by_key(|(order, (_, columns, _))| (columns.told(), std::cmp::Reverse(*order)))
        .filter(|(_, (_, columns, _))| columns.is_enough())
        .map(|(_, (at, columns, row))| Header {
            at,
            shown: columns.shown(&row),
            columns,
        })
}

/// A row with numbers holds equipment, not headers.
fn has_digit(cell: &str) -> bool {
    cell.contains(|c: char| c.is_ascii_digit())
}

fn from_cells(cells: &[Vec<String>], comma_is_decimal: bool, file: &str) -> Result<PackingList, FileError> {
    let refuse = |problem: String, hint: &str| Err(FileError::content(file, problem, Some(hint.to_owned())));
    if cells.len() > MOST_ROWS {
        return refuse(
            format!(
                "the list has {} rows, more than the {MOST_ROWS} that are read",
                cells.len()
            ),
            "give one list for each case",
        );
    }
    let Some(Header { at, columns, shown }) = header_of(cells) else {
        let first = cells.first().map(|row| row.join(", ")).unwrap_or_default();
        return refuse(
            format!(
                "no row names columns for a name, a size and a mass; the first row is `{}`",
                first.chars().take(80).collect::<String>()
            ),
            "name the columns, e.g. Item, Qty, Length (mm), Width (mm), Height (mm), Weight (kg); \
             `caddis contents --template` writes them",
        );
    };
    let mut list = PackingList {
        columns: shown,
        rows: Vec::new(),
        unusable: Vec::new(),
        other_lists: Vec::new(),
    };
    let mut ids = BTreeSet::new();
    for (index, cells) in cells.iter().enumerate().skip(at + 1) {
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        match row::read(cells, &columns, comma_is_decimal) {
            Ok(mut row) => {
                row.row = index + 1;
                row.id = unique_id(&row.name, &mut ids);
                list.rows.push(row);
            }
            Err(mut unusable) => {
                unusable.row = index + 1;
                list.unusable.push(unusable);
            }
        }
    }
    Ok(list)
}

fn unique_id(name: &str, ids: &mut BTreeSet<String>) -> String {
    let mut id = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
    }
    let id: String = id.chars().take(50).collect();
    let id = id.trim_end_matches('-');
    let base = if id.is_empty() { "item" } else { id };
    let mut unique = base.to_owned();
    let mut n = 2;
    while !ids.insert(unique.clone()) {
        unique = format!("{base}-{n}");
        n += 1;
    }
    unique
}

impl PackingList {
    /// The rows as `[[items]]` of a `job.toml`; `file` is named as their source.
    pub fn as_items(&self, file: &str) -> String {
        let mut text = String::new();
        for row in &self.rows {
            let mm = |length: Length| format!("\"{} mm\"", shortest(length.as_mm()));
            let shape = match row.size {
                ListSize::Cuboid([l, w, h]) => {
                    format!(
                        "box = {{ length = {}, width = {}, height = {} }}",
                        mm(l),
                        mm(w),
                        mm(h)
                    )
                }
                ListSize::Cylinder([d, h]) => {
                    format!("cylinder = {{ diameter = {}, height = {} }}", mm(d), mm(h))
                }
            };
            // Writing to a string cannot fail.
            let _ = write!(
                text,
                "[[items]]\nid = {}\nname = {}\nquantity = {}\nmass = \"{} kg\"\nfragility = {}\nnote = {}\nsource = {}\nshape = {{ {shape} }}\n\n",
                quoted(&row.id),
                quoted(&row.name),
                row.quantity,
                shortest(row.mass.si()),
                quoted(&row.fragility),
                quoted(&row.note),
                quoted(&format!("packing list {file}, row {} (secondary)", row.row)),
            );
        }
        text
    }
}

/// A number without the noise of unit conversion.
fn shortest(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

#[cfg(test)]
mod tests;
