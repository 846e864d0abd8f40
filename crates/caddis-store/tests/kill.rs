//! Every acknowledged write is there after `kill -9`, a hundred times over, and what is there is whole.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_store::{Draft, Store, Subject};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const KILLS: u64 = 100;
const FOLDER: &str = "CADDIS_KILL_TEST_FOLDER";

fn draft(number: u64) -> Draft {
    // Sizes from a few bytes to a few pages, so that kills hit writes of every shape.
    let body = format!("revision {number} ").repeat(1 + (number as usize * 37) % 3000);
    Draft {
        files: BTreeMap::from([
            ("job.toml".to_owned(), body.into_bytes()),
            (
                "shapes/same.stl".to_owned(),
                b"the same in every revision".to_vec(),
            ),
        ]),
        at: "2026-11-27T00:00:00Z".to_owned(),
        author: "kill test".to_owned(),
        note: format!("number {number}"),
    }
}

/// The writer: a child process of the test below, killed while it writes. On its own it does nothing.
#[test]
fn writer() {
    let Some(folder) = std::env::var_os(FOLDER) else {
        return;
    };
    let store = Store::open(&Path::new(&folder).join("store.sqlite")).unwrap();
    let subject = Subject::job("kill");
    let mut base = match store.revision(&subject, None) {
        Ok(revision) => revision.number,
        Err(_) => store.create(&subject, &draft(1)).unwrap(),
    };
    let mut out = std::fs::File::create(Path::new(&folder).join("acknowledged")).unwrap();
    loop {
        writeln!(out, "{base}").unwrap();
        base = store.append(&subject, base, &draft(base + 1)).unwrap();
    }
}

fn acknowledged(folder: &Path) -> Option<u64> {
    let file = std::fs::File::open(folder.join("acknowledged")).ok()?;
    // A last line without its end was cut short by the kill: the one before it counts.
    BufReader::new(file)
        .split(b'\n')
        .map_while(Result::ok)
        .filter_map(|line| String::from_utf8(line).ok()?.parse().ok())
        .max()
}

#[test]
fn acknowledged_writes_survive_a_hundred_kills() {
    let folder = std::env::temp_dir().join(format!("caddis-kill-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let subject = Subject::job("kill");
    let mut kept = 0;
    let mut writes = 0;
    for kill in 0..KILLS {
        let _ = std::fs::remove_file(folder.join("acknowledged"));
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writer", "--nocapture"])
            .env(FOLDER, &folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let patience = Instant::now();
        while acknowledged(&folder).is_none_or(|number| number <= kept) {
            assert!(child.try_wait().unwrap().is_none(), "the writer ended by itself");
            assert!(
                patience.elapsed() < Duration::from_mins(1),
                "the writer writes nothing"
            );
            std::thread::sleep(Duration::from_millis(1));
        }
        std::thread::sleep(Duration::from_micros((kill * 7919) % 15_000));
        // On Unix this is SIGKILL.
        child.kill().unwrap();
        child.wait().unwrap();

        let told = acknowledged(&folder).unwrap();
        let store = Store::open(&folder.join("store.sqlite")).unwrap();
        let newest = store.revision(&subject, None).unwrap();
        assert!(
            newest.number >= told,
            "kill {kill}: {told} was acknowledged, {} is there",
            newest.number
        );
        for number in kept.max(1)..=newest.number {
            let revision = store.revision(&subject, Some(number)).unwrap();
            assert_eq!(
                store.files(&revision).unwrap(),
                draft(number).files,
                "kill {kill}, revision {number}"
            );
        }
        writes += newest.number - kept;
        kept = newest.number;
    }
    assert!(writes >= KILLS, "{writes} writes in {KILLS} lives");
    std::fs::remove_dir_all(&folder).unwrap();
}
