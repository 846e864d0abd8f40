//! One file per command.

pub(crate) mod contents;
mod goes_in;
pub(crate) mod job;
pub(crate) mod new;
pub(crate) mod survey;

use crate::failure::Failure;
use std::io::Write;

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
