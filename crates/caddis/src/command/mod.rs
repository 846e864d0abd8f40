//! One file per command.

pub(crate) mod budget;
pub(crate) mod contents;
mod fit_scan;
pub(crate) mod foam;
mod goes_in;
pub(crate) mod job;
pub(crate) mod list;
pub(crate) mod new;
mod papers;
pub(crate) mod select;
pub(crate) mod serve;
pub(crate) mod shape;
mod since;
pub(crate) mod survey;
pub(crate) mod tests;

use crate::failure::Failure;
use caddis_files::FileError;
use std::io::Write;
use std::path::Path;

/// The bytes of a file that the command line names; `what` it should be.
pub(crate) fn bytes_of(path: &Path, what: &str) -> Result<Vec<u8>, Failure> {
    let shown = path.display().to_string();
    if path.is_dir() {
        return Err(Failure::Input(FileError::content(
            shown,
            format!("it is a folder, not a {what}"),
            Some("name one file in it".to_owned()),
        )));
    }
    std::fs::read(path).map_err(|reason| {
        Failure::Input(if reason.kind() == std::io::ErrorKind::NotFound {
            FileError::content(
                shown,
                "there is no such file".to_owned(),
                Some(format!("name a {what} that is there")),
            )
        } else {
            FileError::unreadable(shown, &reason)
        })
    })
}

/// Prints data on standard output.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| {
            if text.ends_with('\n') {
                Ok(())
            } else {
                out.write_all(b"\n")
            }
        })
        .and_then(|()| out.flush())
        .or_else(|reason| match reason.kind() {
            // `caddis … | head` closes the pipe: the reader has what it wanted.
            std::io::ErrorKind::BrokenPipe => Ok(()),
            _ => Err(Failure::Write {
                path: "standard output".to_owned(),
                reason,
            }),
        })
}

/// Prints a JSON value, pretty.
pub(crate) fn print_json(value: &serde_json::Value) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|e| Failure::Internal(e.to_string()))?;
    print(&text)
}
