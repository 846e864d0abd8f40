//! One case: a folder with `case.toml` and, where the whole text is fixed, `stdout.txt`.

use caddis_tests::{Folder, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use std::fs;
use std::path::{Path, PathBuf};
use toml::{Table, Value};

const STAGES: [&str; 11] = [
    "new", "survey", "budget", "contents", "select", "arrange", "verify", "make", "present", "run", "foam",
];

/// What a case says, its keys checked: a misspelt key would be a test that checks nothing.
struct Case {
    folder: PathBuf,
    /// What it shows, in a sentence.
    shows: String,
    /// Arguments; `JOB`, `OUT` and `ROOT` stand for the job's copy, the output folder and the repository.
    command: Vec<String>,
    /// The folder that is copied to `JOB`.
    job: Option<String>,
    /// Edits of the copy.
    edits: Vec<Edit>,
    /// Exit code.
    exit: i32,
    /// Fragments that must stand on stderr.
    stderr: Vec<String>,
    /// Fragments that must stand on stdout.
    stdout: Vec<String>,
    /// Files that must be in `OUT` afterwards.
    files: Vec<String>,
    /// Files that must not be in `OUT` afterwards.
    no_files: Vec<String>,
    /// Whether `OUT` holds files of someone else instead of an earlier output.
    foreign_output: bool,
}

enum Edit {
    /// In `file`, the one place where `find` stands becomes `replace`.
    Replace {
        file: String,
        find: String,
        replace: String,
    },
    /// `file` holds `text` instead.
    Write { file: String, text: String },
    /// `file` is not there.
    Remove { file: String },
}

/// All cases as tests, stage by stage.
pub(crate) fn trials() -> Vec<Trial> {
    let suite = workspace_root().join("tests/suite");
    let mut trials = Vec::new();
    for stage in STAGES {
        let mut folders: Vec<PathBuf> = fs::read_dir(suite.join(stage))
            .map(|entries| {
                entries
                    .flatten()
                    .map(|entry| entry.path())
                    .filter(|path| path.is_dir())
                    .collect()
            })
            .unwrap_or_default();
        folders.sort();
        for folder in folders {
            let name = format!(
                "{stage}::{}",
                folder.file_name().unwrap_or_default().to_string_lossy()
            );
            trials.push(Trial::test(name, move || Case::read(&folder)?.run()));
        }
    }
    trials
}

impl Case {
    fn read(folder: &Path) -> Result<Self, Failed> {
        let path = folder.join("case.toml");
        let text = fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        let mut table: Table = text
            .parse()
            .map_err(|error| format!("{}: {error}", path.display()))?;
        let mut strings = |key: &str| -> Result<Vec<String>, String> {
            match table.remove(key) {
                None => Ok(Vec::new()),
                Some(Value::Array(items)) => items
                    .into_iter()
                    .map(|item| {
                        item.as_str()
                            .map(str::to_owned)
                            .ok_or_else(|| format!("{key} holds strings"))
                    })
                    .collect(),
                Some(_) => Err(format!("{key} is a list of strings")),
            }
        };
        let command = strings("command")?;
        let (stderr, stdout) = (strings("stderr")?, strings("stdout")?);
        let (files, no_files) = (strings("files")?, strings("no_files")?);
        let mut edits = Vec::new();
        for edit in table
            .remove("edit")
            .and_then(|edits| edits.as_array().cloned())
            .unwrap_or_default()
        {
            edits.push(Edit::read(edit.as_table().cloned().unwrap_or_default())?);
        }
        let text = |value: Option<Value>| value.and_then(|value| value.as_str().map(str::to_owned));
        let case = Self {
            folder: folder.to_owned(),
            shows: text(table.remove("shows")).ok_or("a case says what it `shows`")?,
            command,
            job: text(table.remove("job")),
            edits,
            exit: table
                .remove("exit")
                .and_then(|exit| exit.as_integer())
                .ok_or("a case needs its `exit` code")? as i32,
            stderr,
            stdout,
            files,
            no_files,
            foreign_output: table.remove("foreign_output") == Some(Value::Boolean(true)),
        };
        if let Some(key) = table.keys().next() {
            return Err(format!("{}: unknown key {key}", path.display()).into());
        }
        if case.command.is_empty() {
            return Err("a case needs a `command`".into());
        }
        if case.exit >= 2 && case.stderr.is_empty() {
            return Err("a case that fails needs the words that say why".into());
        }
        Ok(case)
    }

    fn run(&self) -> Result<(), Failed> {
        let work = Folder::new();
        if let Some(job) = &self.job {
            let from = workspace_root().join(job);
            if !from.is_dir() {
                return Err(format!("{} is no folder", from.display()).into());
            }
            work.copy(&from, "job");
        }
        for edit in &self.edits {
            edit.apply(&work.path().join("job"))?;
        }
        // An earlier output is there whenever the case writes: what fails must leave it as it is.
        let out = work.path().join("out");
        let writes = self.command.iter().any(|argument| argument.contains("OUT"));
        if writes {
            fs::create_dir_all(&out)?;
            // The program replaces only what it wrote itself: a folder with a manifest.
            fs::write(out.join("report.pdf"), "an earlier report")?;
            if !self.foreign_output {
                fs::write(out.join("manifest.json"), "{}")?;
            }
        }
        let before = Folder::files(&out);
        let root = workspace_root().display().to_string();
        let arguments = self.command.iter().map(|argument| {
            argument
                .replace("JOB", "job")
                .replace("OUT", "out")
                .replace("ROOT", &root)
        });
        let ran = caddis(
            work.path(),
            arguments,
            &[("CADDIS_LIBRARY", &format!("{root}/library"))],
        );
        let mut wrong = Vec::new();
        if ran.exit != Some(self.exit) {
            wrong.push(format!("exit code {:?}, expected {}", ran.exit, self.exit));
        }
        for fragment in &self.stderr {
            if !ran.stderr.contains(fragment.as_str()) {
                wrong.push(format!("stderr does not say: {fragment}"));
            }
        }
        for fragment in &self.stdout {
            if !ran.stdout.contains(fragment.as_str()) {
                wrong.push(format!("stdout does not say: {fragment}"));
            }
        }
        for sign in [
            "panicked at",
            "RUST_BACKTRACE",
            "stack overflow",
            "overflowed its stack",
        ] {
            if ran.stderr.contains(sign) || ran.stdout.contains(sign) {
                wrong.push(format!("it prints the text of a crash: {sign}"));
            }
        }
        if writes && self.exit >= 2 && Folder::files(&out) != before {
            wrong.push("the earlier output was touched".into());
        }
        for entry in fs::read_dir(work.path())?.flatten() {
            let name = entry.file_name();
            if name != "job" && name != "out" {
                wrong.push(format!("it left {} behind", name.to_string_lossy()));
            }
        }
        for file in &self.files {
            if !out.join(file).exists() {
                wrong.push(format!("the output has no {file}"));
            }
        }
        for file in &self.no_files {
            if out.join(file).exists() {
                wrong.push(format!("the output has {file}"));
            }
        }
        self.whole_stdout(&ran.stdout, &mut wrong)?;
        if wrong.is_empty() {
            return Ok(());
        }
        Err(format!(
            "{}\n- {}\nstdout:\n{}\nstderr:\n{}",
            self.shows,
            wrong.join("\n- "),
            ran.stdout,
            ran.stderr
        )
        .into())
    }

    /// Where `stdout.txt` is there, stdout is exactly that; `CADDIS_BLESS=1` writes it anew.
    fn whole_stdout(&self, stdout: &str, wrong: &mut Vec<String>) -> Result<(), Failed> {
        let path = self.folder.join("stdout.txt");
        if !path.exists() {
            return Ok(());
        }
        if std::env::var_os("CADDIS_BLESS").is_some() {
            fs::write(&path, stdout)?;
        }
        if fs::read_to_string(&path)? != stdout {
            wrong.push(format!("stdout is not {}", path.display()));
        }
        Ok(())
    }
}

impl Edit {
    fn read(mut table: Table) -> Result<Self, Failed> {
        let mut text = |key: &str| {
            table
                .remove(key)
                .and_then(|value| value.as_str().map(str::to_owned))
        };
        let file = text("file").ok_or("an edit names its `file`")?;
        let edit = match (text("find"), text("replace"), text("write")) {
            (Some(find), Some(replace), None) => Self::Replace { file, find, replace },
            (None, None, Some(text)) => Self::Write { file, text },
            (None, None, None) if table.remove("remove") == Some(Value::Boolean(true)) => {
                Self::Remove { file }
            }
            _ => return Err("an edit is `find` and `replace`, or `write`, or `remove = true`".into()),
        };
        match table.keys().next() {
            Some(key) => Err(format!("unknown key {key} in an edit").into()),
            None => Ok(edit),
        }
    }

    fn apply(&self, job: &Path) -> Result<(), Failed> {
        match self {
            Self::Replace { file, find, replace } => {
                let path = job.join(file);
                let text =
                    fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
                match text.matches(find.as_str()).count() {
                    1 => fs::write(path, text.replacen(find, replace, 1))?,
                    n => return Err(format!("{find:?} stands {n} times in {file}, not once").into()),
                }
            }
            Self::Write { file, text } => {
                let path = job.join(file);
                if let Some(folder) = path.parent() {
                    fs::create_dir_all(folder)?;
                }
                fs::write(path, text)?;
            }
            Self::Remove { file } => fs::remove_file(job.join(file))?,
        }
        Ok(())
    }
}
