//! The page and its HTTP interface, on this machine alone.
//!
//! Guarantees: listens on a loopback address and refuses any other; answers only requests that name this address and,
//! from a browser, come from this page; no path from a client reaches the file system; uploads are bounded; everything
//! an answer acknowledges is in the store; no input makes it fail with 500. The interface describes itself (`OpenAPI` 3.1,
//! from the handlers). Knows nothing about the terminal.

mod alternatives;
mod api;
mod app;
mod body;
mod clock;
mod error;
mod guard;
mod job_text;
mod laid;
mod openapi;
mod page;
mod pins;
mod serve;
mod set;
mod shapes;
mod solve;
mod workers;

pub use clock::now;
pub use openapi::openapi_json;
pub use page::has_page;
pub use serve::{ServeError, ServeOptions, Served, serve};
pub use set::{CustomerPaper, JobSet, SetFile, words_of};
pub use shapes::{SharedReader, SheetReader};
