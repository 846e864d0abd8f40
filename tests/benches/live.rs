//! The page in a real browser on the demonstration: first paint, the frame of a drag, twenty clients at once.
//!
//! There is no reference to hold it against; the figures are the machine's of the day. The measuring itself is
//! `web/tests/live`, beside the tests whose browser it uses.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_tests::{Folder, workspace_root};
use std::process::Command;

fn main() {
    let folder = Folder::new();
    let out = folder.path().join("live.jsonl");
    let said = Command::new("npm")
        .args(["run", "--silent", "live"])
        .current_dir(workspace_root().join("web"))
        .env("CADDIS_LIVE", &out)
        .output()
        .unwrap();
    assert!(
        said.status.success(),
        "the page could not be measured: {}",
        String::from_utf8_lossy(&said.stdout)
    );
    print!("{}", std::fs::read_to_string(&out).unwrap());
}
