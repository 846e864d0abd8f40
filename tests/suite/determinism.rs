//! Same job and steps, same bytes: on a second run, and with one worker or two.

use caddis_tests::{Folder, caddis, workspace_root};
use libtest_mimic::{Failed, Trial};
use std::collections::BTreeMap;
use std::path::PathBuf;

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("run::same_bytes_on_a_second_run", || same(&["2", "2"])),
        Trial::test("run::same_bytes_with_one_worker_or_two", || same(&["1", "2"])),
    ]
}

fn run(workers: &str) -> Result<BTreeMap<PathBuf, Vec<u8>>, Failed> {
    let folder = Folder::new();
    let job = workspace_root().join("jobs/tindra-ridge");
    let ran = caddis(
        folder.path(),
        [
            "run".as_ref(),
            job.as_os_str(),
            "--out".as_ref(),
            "out".as_ref(),
            "--threads".as_ref(),
            workers.as_ref(),
            "--date".as_ref(),
            "2026-11-25".as_ref(),
        ],
        &[("RAYON_NUM_THREADS", workers)],
    );
    if ran.exit != Some(0) {
        return Err(format!("exit code {:?}\n{}", ran.exit, ran.stderr).into());
    }
    Ok(Folder::files(&folder.path().join("out")))
}

fn same(workers: &[&str; 2]) -> Result<(), Failed> {
    let (one, other) = (run(workers[0])?, run(workers[1])?);
    let names = |files: &BTreeMap<PathBuf, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    if one.len() < 5 {
        return Err(format!("only {} files came out", one.len()).into());
    }
    if names(&one) != names(&other) {
        return Err(format!("other files: {:?} and {:?}", names(&one), names(&other)).into());
    }
    let differing: Vec<_> = one.keys().filter(|name| one[*name] != other[*name]).collect();
    if differing.is_empty() {
        Ok(())
    } else {
        Err(format!("differing bytes in {differing:?}").into())
    }
}
