//! Workbooks are read by a child process of this program under limits, as shapes are: a packed file may unpack to anything.

use crate::shape_child::{answer, asked, limited_input};
use caddis_files::{Sheet, read_workbook};
use serde_json::{Value, json};
use std::process::{Command, ExitCode};

/// Address space the reader may use, bytes: a list of 5000 rows takes a few megabytes.
const MEMORY_BYTES: u64 = 1 << 30;

/// The sheets of a workbook.
///
/// # Errors
/// What the reader says of it, or that it did not live to say anything.
pub(crate) fn read(bytes: &[u8]) -> Result<Vec<Sheet>, String> {
    let program = std::env::current_exe().map_err(|e| format!("the reader could not be found: {e}"))?;
    let mut command = Command::new(program);
    command.arg("read-workbook");
    decoded(&asked(command, bytes)?).unwrap_or_else(|| {
        Err(format!(
            "the workbook could not be read within the limits of time and {} GiB; save only the sheet with the equipment as CSV (UTF-8)",
            MEMORY_BYTES >> 30
        ))
    })
}

/// The child's side.
pub(crate) fn serve() -> ExitCode {
    let Some(bytes) = limited_input(MEMORY_BYTES) else {
        return ExitCode::from(crate::failure::INTERNAL);
    };
    let said = match read_workbook(&bytes) {
        Err(message) => json!({ "error": message }),
        Ok(sheets) => json!({
            "sheets": sheets
                .iter()
                .map(|sheet| json!({ "name": sheet.name, "rows": sheet.rows }))
                .collect::<Vec<_>>()
        }),
    };
    answer(said.to_string().as_bytes())
}

/// `None` when the answer is not whole.
fn decoded(answer: &[u8]) -> Option<Result<Vec<Sheet>, String>> {
    let said: Value = serde_json::from_slice(answer).ok()?;
    if let Some(message) = said.get("error").and_then(Value::as_str) {
        return Some(Err(message.to_owned()));
    }
    let sheets = said.get("sheets")?.as_array()?.iter().map(|sheet| {
        let rows = sheet.get("rows")?.as_array()?.iter().map(|row| {
            let cells = row.as_array()?.iter();
            cells
                .map(|cell| cell.as_str().map(str::to_owned))
                .collect::<Option<Vec<_>>>()
        });
        Some(Sheet {
            name: sheet.get("name")?.as_str()?.to_owned(),
            rows: rows.collect::<Option<_>>()?,
        })
    });
    sheets.collect::<Option<_>>().map(Ok)
}
