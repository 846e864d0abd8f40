//! `caddis contents --list FILE`: a customer's packing list.

use crate::command::{bytes_of, print, print_json};
use crate::failure::{DONE, Failure};
use caddis_files::{
    FileError, ListRow, ListSize, PackingList, is_workbook, list_template, list_template_workbook, read_list,
    read_sheets, sheets_refused,
};
use serde_json::{Value, json};
use std::path::Path;

/// `caddis contents --template [FILE]`: an empty list to fill in; `-` is standard output.
pub(crate) fn template(path: &Path) -> Result<u8, Failure> {
    if path == Path::new("-") {
        return print(&list_template()).map(|()| DONE);
    }
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    let bytes = match ending.as_deref() {
        Some("csv") => list_template().into_bytes(),
        Some("xlsx") => list_template_workbook().map_err(Failure::Input)?,
        _ => {
            return Err(Failure::Use {
                problem: format!("{} ends in neither .csv nor .xlsx", path.display()),
                hint: "name the file list.csv or list.xlsx".to_owned(),
            });
        }
    };
    if path.exists() {
        return Err(Failure::Use {
            problem: format!("{} is there already", path.display()),
            hint: "give another name; a list that was filled in is never written over".to_owned(),
        });
    }
    std::fs::write(path, bytes).map_err(|error| crate::out_folder::write_failure(path, error))?;
    eprintln!("{}: an empty packing list", path.display());
    Ok(DONE)
}

pub(crate) fn run(path: &Path, as_json: bool) -> Result<u8, Failure> {
    let shown = path.display().to_string();
    let bytes = bytes_of(path, "packing list")?;
    let list = if is_workbook(&bytes) {
        let sheets =
            crate::workbook_child::read(&bytes).map_err(|message| sheets_refused(&message, &shown))?;
        read_sheets(&sheets, &shown)?
    } else {
        read_list(&bytes, &shown)?
    };
    if as_json {
        print_json(&as_value(&shown, &list))?;
    } else {
        for sheet in &list.other_lists {
            eprintln!(
                "  sheet `{sheet}` names columns too and was passed over; a list of its own needs a file of its own"
            );
        }
        for (header, _) in list.columns.iter().filter(|c| c.1.is_none() && !c.0.is_empty()) {
            eprintln!("  column `{header}` passed over");
        }
        for row in &list.unusable {
            eprintln!(
                "  row {}, {}: {}; {}",
                row.row, row.column, row.problem, row.remedy
            );
        }
        eprintln!("  {} rows used, {} not", list.rows.len(), list.unusable.len());
    }
    if list.rows.is_empty() {
        return Err(Failure::Input(FileError::content(
            shown,
            "no row of the list can be used".to_owned(),
            Some("mend the rows named above; `caddis contents --template` shows the form".to_owned()),
        )));
    }
    if !as_json {
        let name = path
            .file_name()
            .map_or_else(|| shown.clone(), |name| name.to_string_lossy().into_owned());
        print(&list.as_items(&name))?;
    }
    Ok(DONE)
}

fn as_value(file: &str, list: &PackingList) -> Value {
    json!({
        "file": file,
        "columns": list.columns.iter().map(|(header, taken)| json!({ "header": header, "taken_for": taken })).collect::<Vec<_>>(),
        "rows": list.rows.iter().map(row).collect::<Vec<_>>(),
        "unusable": list
            .unusable
            .iter()
            .map(|u| json!({ "row": u.row, "column": u.column, "problem": u.problem, "remedy": u.remedy }))
            .collect::<Vec<_>>(),
        "sheets_passed_over": list.other_lists,
    })
}

fn row(row: &ListRow) -> Value {
    let (shape, size) = match row.size {
        ListSize::Cuboid(sides) => ("box", sides.map(caddis_basis::Length::si).to_vec()),
        ListSize::Cylinder(sides) => ("cylinder", sides.map(caddis_basis::Length::si).to_vec()),
    };
    json!({
        "row": row.row,
        "id": row.id,
        "name": row.name,
        "quantity": row.quantity,
        "shape": shape,
        "size_m": size,
        "mass_kg": row.mass.si(),
        "fragility": row.fragility,
        "note": row.note,
    })
}
