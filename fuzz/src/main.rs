//! Feeds mutated files to one reader until the time is over: `caddis-fuzz TARGET [SECONDS] [SEED]`.
//!
//! In this process, with panics caught and a watchdog beside it. What a reader answers tells whether a file is of a new kind
//! and worth changing further. A file that makes a reader panic, take longer than ten seconds, or end the process is left in
//! `fuzz/findings`; mended, it goes to `fuzz/corpus`, which the suite replays.
#![expect(clippy::print_stderr, reason = "a tool that talks")]

mod mutate;
mod packed;
mod targets;

use mutate::{Random, mutated};
use std::collections::BTreeSet;
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// A file that keeps a reader busy for longer is a finding.
const PATIENCE: Duration = Duration::from_secs(10);
/// Kinds of answers that are followed further.
const MOST_KINDS: usize = 4000;

/// Milliseconds since the start at which the reader was last fed; 0 while it rests.
static FED: AtomicU64 = AtomicU64::new(0);

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let name = arguments.next().unwrap_or_default();
    let Some(&(name, read)) = targets::TARGETS.iter().find(|(known, _)| *known == name) else {
        let known: Vec<&str> = targets::TARGETS.iter().map(|(known, _)| *known).collect();
        eprintln!(
            "usage: caddis-fuzz TARGET [SECONDS] [SEED]; targets: {}",
            known.join(" ")
        );
        return ExitCode::from(2);
    };
    let mut number = |otherwise: u64| {
        arguments
            .next()
            .and_then(|text| text.parse().ok())
            .unwrap_or(otherwise)
    };
    let (seconds, seed) = (number(600), number(1));
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let findings = root.join("findings").join(name);
    let mut files = corpus(&root.join("corpus").join(name));
    for (_, folder) in targets::FOLDERS.iter().filter(|(target, _)| *target == name) {
        files.extend(corpus(&root.join("..").join(folder)));
    }
    if let Some(more) = std::env::var_os("CADDIS_FUZZ_FILES") {
        files.extend(corpus(Path::new(&more)));
    }
    if files.is_empty() {
        files.push(Vec::new());
    }
    if let Err(error) = std::fs::create_dir_all(&findings) {
        eprintln!("{}: {error}", findings.display());
        return ExitCode::from(4);
    }
    eprintln!(
        "{name}: {} files to begin with, {seconds} s, seed {seed}",
        files.len()
    );
    let current = findings.join("current");
    let mut kept_open = match std::fs::File::create(&current) {
        Ok(file) => file,
        Err(error) => {
            eprintln!("{}: {error}", current.display());
            return ExitCode::from(4);
        }
    };
    let start = Instant::now();
    watch(start);
    std::panic::set_hook(Box::new(|_| {}));
    let (mut random, mut kinds) = (Random(seed), BTreeSet::new());
    // What each reader says of the files it starts from and of changed ones, to see that the changes reach it.
    let talks = std::env::var_os("CADDIS_FUZZ_TALKS").is_some();
    let (mut runs, mut found, mut next) = (0_u64, 0_u32, 0_usize);
    while start.elapsed().as_secs() < seconds {
        let file = if next < files.len() {
            files[next].clone()
        } else {
            let (one, other) = (random.below(files.len()), random.below(files.len()));
            mutated(&files[one], &files[other], &mut random)
        };
        next += 1;
        runs += 1;
        // Written before it is read, so that it is there when the process does not live to say so. The file stays open: one
        // that is emptied and closed again goes to the disk each time.
        if rewritten(&mut kept_open, &file).is_err() {
            return ExitCode::from(4);
        }
        FED.store(millis(start).max(1), Ordering::Relaxed);
        let outcome = std::panic::catch_unwind(|| read(&file));
        FED.store(0, Ordering::Relaxed);
        match outcome {
            Ok(answer) => {
                if talks {
                    eprintln!("{name}: {answer}");
                }
                let is_new = kinds.len() < MOST_KINDS && kinds.insert(kind_of(&answer));
                if is_new && next > files.len() {
                    files.push(file);
                    next = files.len();
                }
            }
            Err(panic) => {
                let words = panic
                    .downcast_ref::<String>()
                    .map(String::as_str)
                    .or_else(|| panic.downcast_ref::<&str>().copied())
                    .unwrap_or("no words");
                if kinds.insert(format!("PANIC {}", kind_of(words))) {
                    found += 1;
                    let kept = findings.join(format!("panic-{found}"));
                    eprintln!("{name}: panic `{words}`, kept as {}", kept.display());
                    let _ = std::fs::write(&kept, &file);
                }
            }
        }
    }
    let _ = std::fs::remove_file(&current);
    eprintln!(
        "{name}: {runs} files in {} s, {} kinds of answers, {found} findings",
        start.elapsed().as_secs(),
        kinds.len()
    );
    ExitCode::from(u8::from(found > 0))
}

fn rewritten(file: &mut std::fs::File, bytes: &[u8]) -> std::io::Result<()> {
    file.seek(SeekFrom::Start(0))?;
    file.write_all(bytes)?;
    file.set_len(bytes.len() as u64)
}

fn millis(start: Instant) -> u64 {
    u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX)
}

/// Ends the process when a reader does not end; the file is the one named `current`.
fn watch(start: Instant) {
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_millis(500));
            let fed = FED.load(Ordering::Relaxed);
            if fed > 0 && Duration::from_millis(millis(start).saturating_sub(fed)) > PATIENCE {
                eprintln!(
                    "the reader did not end within {} s; its file is `current`",
                    PATIENCE.as_secs()
                );
                std::process::exit(3);
            }
        }
    });
}

/// An answer without its numbers and names.
fn kind_of(answer: &str) -> String {
    let mut kind = String::new();
    let mut in_quotes = false;
    for c in answer.chars().take(300) {
        if c == '`' {
            in_quotes = !in_quotes;
        }
        if in_quotes || c.is_ascii_digit() || c == '.' || c == '-' {
            continue;
        }
        kind.push(c);
    }
    kind
}

/// The files of a folder, by name.
fn corpus(folder: &Path) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .map(|entries| entries.flatten().map(|entry| entry.path()).collect())
        .unwrap_or_default();
    paths.sort();
    paths.retain(|path| path.is_file());
    paths.iter().filter_map(|path| std::fs::read(path).ok()).collect()
}
