//! Runs `caddis` and the second opinions as the user would: as programs.

use crate::place::workspace_root;
use serde_json::Value;
use std::ffi::OsStr;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// A run that takes longer has hung: the demonstration takes seconds.
const PATIENCE: Duration = Duration::from_mins(15);

/// What a program did.
#[derive(Debug, Clone)]
pub struct Ran {
    /// Exit code; `None` when a signal ended it.
    pub exit: Option<i32>,
    /// Data.
    pub stdout: String,
    /// Words.
    pub stderr: String,
}

impl Ran {
    /// Standard output as JSON.
    ///
    /// # Panics
    /// It is none.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| {
            panic!(
                "stdout is not JSON ({error}):\n{}\nstderr:\n{}",
                self.stdout, self.stderr
            )
        })
    }
}

/// The release binary that was built together with these tests; built first where `scripts/test` has not done so.
fn binary() -> &'static Path {
    static BINARY: OnceLock<PathBuf> = OnceLock::new();
    BINARY.get_or_init(|| {
        if let Some(path) = std::env::var_os("CADDIS_BINARY") {
            return path.into();
        }
        let built = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
            .args(["build", "--release", "--quiet", "-p", "caddis"])
            .current_dir(workspace_root())
            .status()
            .expect("cargo starts");
        assert!(built.success(), "cargo build --release -p caddis failed");
        // A test program is <target>/release/deps/NAME, a bench the same.
        let own = std::env::current_exe().expect("a running program has a path");
        own.ancestors()
            .nth(2)
            .expect("it lies in <target>/release/deps")
            .join("caddis")
    })
}

/// Runs `caddis` in a folder.
///
/// # Panics
/// It cannot be built or started, or does not end within two and a half minutes.
pub fn caddis<I, S>(folder: &Path, arguments: I, environment: &[(&str, &str)]) -> Ran
where
    I: IntoIterator<Item = S>,
    S: AsRef<OsStr>,
{
    let mut child = Command::new(binary())
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("RUST_BACKTRACE")
        .envs(environment.iter().copied())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{} does not start: {error}", binary().display()));
    let (stdout, stderr) = (read_aside(child.stdout.take()), read_aside(child.stderr.take()));
    let start = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("a child can be asked") {
            break status;
        }
        if start.elapsed() > PATIENCE {
            let _ = child.kill();
            let _ = child.wait();
            panic!("caddis was stopped after {} s", PATIENCE.as_secs());
        }
        std::thread::sleep(Duration::from_millis(10));
    };
    let text = |reader: JoinHandle<Vec<u8>>| {
        String::from_utf8_lossy(&reader.join().expect("a pipe can be read")).into_owned()
    };
    Ran {
        exit: status.code(),
        stdout: text(stdout),
        stderr: text(stderr),
    }
}

/// Reads a pipe to its end beside the waiting, so that a talkative program never blocks.
fn read_aside(pipe: Option<impl Read + Send + 'static>) -> JoinHandle<Vec<u8>> {
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut pipe) = pipe {
            pipe.read_to_end(&mut bytes).expect("a pipe can be read");
        }
        bytes
    })
}

/// Asks a Python library for its answer: `tests/oracle/second_opinion.py QUESTION ARGUMENT...`, which prints JSON.
///
/// # Panics
/// The Python environment is missing, or the library refuses the question.
pub fn second_opinion<I, S>(question: &str, arguments: I) -> Value
where
    I: IntoIterator<Item = S>,
    S: AsRef<OsStr>,
{
    python("tests/oracle/second_opinion.py", question, arguments)
}

/// Runs the reference side of a bench: `tests/benches/BENCH_reference.py QUESTION ARGUMENT...`.
///
/// # Panics
/// As [`second_opinion`].
pub fn reference<I, S>(bench: &str, question: &str, arguments: I) -> Value
where
    I: IntoIterator<Item = S>,
    S: AsRef<OsStr>,
{
    python(
        &format!("tests/benches/{bench}_reference.py"),
        question,
        arguments,
    )
}

fn python<I, S>(script: &str, question: &str, arguments: I) -> Value
where
    I: IntoIterator<Item = S>,
    S: AsRef<OsStr>,
{
    let python = std::env::var_os("CADDIS_PYTHON")
        .map_or_else(|| workspace_root().join(".venv/bin/python"), PathBuf::from);
    assert!(
        python.is_file(),
        "the oracle tests need {}: run scripts/test, which makes it",
        python.display()
    );
    let output = Command::new(&python)
        .arg(workspace_root().join(script))
        .arg(question)
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .expect("python starts");
    assert!(
        output.status.success(),
        "{script} {question} failed:\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("the answer is JSON")
}
