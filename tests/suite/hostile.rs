//! Files made to hurt a reader, and the fuzzer's corpus: each is refused with its own sentence, or read, and never ends
//! the program.

use crate::targets;
use caddis_tests::{Folder, caddis, second_opinion, workspace_root};
use libtest_mimic::{Failed, Trial};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// Each file's ending or name, and what its refusal says.
const SAYS: [(&str, &str); 49] = [
    ("billion.stl", "declares 4000000000 triangles"),
    ("billion.ply", "declares 4000000000 rows of `vertex`"),
    ("billion-faces.ply", "declares 4000000000 rows of `face`"),
    ("billion.glb", "reaches past its buffer view"),
    ("billion.obj", "`4000000000` names no vertex"),
    ("billion.dxf", "no closed outline"),
    ("bomb.3mf", "unpacks to more than 1073741824 bytes"),
    ("deep.glb", "no triangles"),
    ("deep.svg", "nodes limit"),
    ("entities.3mf", "document type"),
    ("external.3mf", "document type"),
    ("entities.svg", "entity reference loop"),
    ("external.svg", "unknown entity"),
    ("nan.stl", "not a finite length"),
    ("nan.obj", "not a finite length"),
    ("nan.ply", "not a finite length"),
    ("nan.3mf", "not a finite length"),
    ("nan.glb", "not a finite length"),
    ("nan.dxf", "not a finite length"),
    ("nan.svg", "nothing is drawn"),
    ("far.stl", "not a finite length"),
    ("far.obj", "not a finite length"),
    ("far.ply", "not a finite length"),
    ("far.3mf", "not a finite length"),
    ("far.glb", "not a finite length"),
    ("far.dxf", "not a finite length"),
    ("far.svg", "nothing is drawn"),
    ("empty.stl", "is empty"),
    ("empty.obj", "is empty"),
    ("empty.ply", "is empty"),
    ("empty.3mf", "is empty"),
    ("empty.glb", "is empty"),
    ("empty.step", "is empty"),
    ("empty.dxf", "is empty"),
    ("empty.svg", "is empty"),
    ("empty.csv", "is empty"),
    ("empty.xlsx", "is empty"),
    ("folder.stl", "it is a folder"),
    ("folder.obj", "it is a folder"),
    ("folder.ply", "it is a folder"),
    ("folder.3mf", "it is a folder"),
    ("folder.glb", "it is a folder"),
    ("folder.step", "it is a folder"),
    ("folder.dxf", "it is a folder"),
    ("folder.svg", "it is a folder"),
    ("folder.csv", "it is a folder"),
    ("folder.xlsx", "it is a folder"),
    ("missing.stl", "missing.stl"),
    ("missing.csv", "missing.csv"),
];

/// All of them, written once.
static MADE: LazyLock<(Folder, Vec<String>)> = LazyLock::new(|| {
    let folder = Folder::new();
    let names = second_opinion("hostile", [folder.path().as_os_str()]);
    let names = names.as_array().expect("names").iter();
    let names = names
        .filter_map(|name| name.as_str().map(str::to_owned))
        .collect();
    (folder, names)
});

pub(crate) fn trials() -> Vec<Trial> {
    let mut trials = vec![
        Trial::test("contents::hostile_files_are_refused", refused),
        Trial::test("contents::corpus_of_step", corpus_of_step),
        Trial::test("run::folders_given_as_files", folders),
    ];
    trials.extend(targets::TARGETS.iter().map(|&(name, read)| {
        Trial::test(format!("contents::corpus_of_the_{name}_reader"), move || {
            replayed(name, read)
        })
    }));
    trials
}

fn refused() -> Result<(), Failed> {
    let (folder, names) = &*MADE;
    for name in names {
        if !SAYS.iter().any(|(known, _)| known == name) {
            return Err(format!("nothing is expected of {name}").into());
        }
    }
    for (name, words) in SAYS {
        let mut arguments = vec!["contents"];
        match Path::new(name).extension().and_then(|ending| ending.to_str()) {
            Some("csv" | "xlsx") => arguments.extend(["--list", name]),
            Some("dxf" | "svg") => {
                arguments.extend(["--shape", name, "--unit", "mm", "--depth", "9 mm"]);
            }
            _ => arguments.extend(["--shape", name, "--unit", "mm"]),
        }
        let ran = caddis(folder.path(), arguments, &[]);
        let is_said = ran.stderr.contains(words) && ran.stderr.contains(name);
        if ran.exit != Some(3) || !is_said || ran.stderr.contains("panicked") {
            return Err(format!("{name}: exit {:?}: {}", ran.exit, ran.stderr).into());
        }
    }
    Ok(())
}

/// A job whose files are folders, and a folder that is a file.
fn folders() -> Result<(), Failed> {
    let folder = Folder::new();
    let root = workspace_root();
    let shapes = folder.copy(&root.join("jobs/tindra-ridge"), "job").join("shapes");
    folder.copy(&root.join("library"), "library");
    let shape = fs::read_dir(&shapes)?.flatten().next().ok_or("a shape")?.path();
    let cases = [
        (shape.clone(), "folder"),
        (folder.path().join("job/job.toml"), "folder"),
    ];
    for (file, words) in cases {
        let kept = fs::read(&file)?;
        fs::remove_file(&file)?;
        fs::create_dir(&file)?;
        let ran = caddis(folder.path(), ["contents", "job", "--library", "library"], &[]);
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        if ran.exit != Some(3) || !ran.stderr.contains(words) || !ran.stderr.contains(&*name) {
            return Err(format!("{}: exit {:?}: {}", file.display(), ran.exit, ran.stderr).into());
        }
        fs::remove_dir(&file)?;
        fs::write(&file, kept)?;
    }
    let ran = caddis(folder.path(), ["contents", "job/job.toml"], &[]);
    if ran.exit == Some(3) && ran.stderr.contains("job.toml") {
        Ok(())
    } else {
        Err(format!("a file as a job: exit {:?}: {}", ran.exit, ran.stderr).into())
    }
}

fn files(folder: &Path) -> Result<Vec<PathBuf>, Failed> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(|error| format!("{}: {error}", folder.display()))?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.is_file())
        .collect();
    files.sort();
    if files.is_empty() {
        return Err(format!("{} holds nothing", folder.display()).into());
    }
    Ok(files)
}

/// The corpus of one reader, and the files of the repository that it starts from: a panic is the failure.
fn replayed(name: &str, read: fn(&[u8]) -> String) -> Result<(), Failed> {
    let root = workspace_root();
    let folders = targets::FOLDERS.iter().filter(|(target, _)| *target == name);
    let mut all: Vec<PathBuf> = folders.map(|(_, folder)| root.join(folder)).collect();
    let own = root.join("fuzz/corpus").join(name);
    if own.is_dir() {
        all.push(own);
    }
    if all.is_empty() {
        return Err(format!("no corpus for {name}").into());
    }
    for folder in all {
        for file in files(&folder)? {
            let answer = read(&fs::read(&file)?);
            if answer.is_empty() {
                return Err(format!("{}: no answer", file.display()).into());
            }
        }
    }
    Ok(())
}

/// STEP through the program, which finds its reader beside it.
fn corpus_of_step() -> Result<(), Failed> {
    for file in files(&workspace_root().join("fuzz/corpus/step"))? {
        let shown = file.display().to_string();
        let ran = caddis(
            workspace_root().as_path(),
            ["contents", "--shape", &shown, "--json"],
            &[],
        );
        if !matches!(ran.exit, Some(0 | 3)) || ran.stderr.contains("panicked") {
            return Err(format!("{shown}: exit {:?}: {}", ran.exit, ran.stderr).into());
        }
        if file.ends_with("box.step")
            && ran.json()["volume_m3"]
                .as_f64()
                .is_none_or(|v| (v - 9e-6).abs() > 1e-12)
        {
            return Err(format!("the box is not itself: {}", ran.stdout).into());
        }
    }
    Ok(())
}
