//! What must hold for the workspace as a whole: who may import whom, and that every test file is really run.
#![cfg(test)]
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod imports;
mod reached;
