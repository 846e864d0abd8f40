//! The stages of a job, run in order and timed.

use crate::arguments::{JobOptions, LibraryOptions};
use crate::failure::Failure;
use crate::shape_child::ChildReader;
use crate::terminal::Line;
use caddis_basis::Outcome;
use caddis_design::{
    ArrangeOptions, Blocked, Checks, Interior, Release, Verification, arrange, release, verify,
};
use caddis_files::{Job, read_job};
use caddis_shop::{ShopSet, make};
use std::path::Path;
use std::time::{Duration, Instant};

/// How long each stage took, in order.
#[derive(Debug, Default)]
pub(crate) struct Times(pub(crate) Vec<(&'static str, Duration)>);

impl Times {
    /// Runs one stage and notes its time.
    pub(crate) fn stage<T>(&mut self, name: &'static str, work: impl FnOnce() -> T) -> T {
        let start = Instant::now();
        let result = work();
        self.0.push((name, start.elapsed()));
        result
    }
}

/// Reads a job.
pub(crate) fn read(job: &Path, library: &LibraryOptions, times: &mut Times) -> Result<Job, Failure> {
    let library = crate::library_folder::find(library, Some(job))?;
    times
        .stage("read", || read_job(job, &library, &ChildReader))
        .map_err(Failure::from)
}

/// Arranges it.
pub(crate) fn arranged(job: &Job, options: &JobOptions, times: &mut Times) -> Result<Interior, Failure> {
    let search = ArrangeOptions {
        seed: options.seed.unwrap_or(job.seed),
        steps: options.steps.unwrap_or(job.steps),
        workers: usize::from(options.threads),
    };
    let line = Line::new();
    match times.stage("arrange", || arrange(&job.brief, &search, &line)) {
        Outcome::Complete(interior)
        | Outcome::Stopped {
            best: Some(interior), ..
        } => Ok(interior),
        Outcome::Stopped { best: None, steps } => Err(Failure::Use {
            problem: format!("no layout was found within {steps} steps"),
            hint: "give it more with --steps, or another --seed".to_owned(),
        }),
        Outcome::Impossible { reasons } => Err(Failure::DoesNotFit(reasons)),
    }
}

/// Verifies it.
pub(crate) fn verified(job: &Job, interior: &Interior, times: &mut Times) -> Verification {
    let line = Line::new();
    times.stage("verify", || {
        verify(interior, &job.brief, &Checks::default(), &line)
    })
}

/// Makes it. The shop's own findings join the verification's, so that they too block release.
pub(crate) fn made(
    job: &Job,
    interior: &Interior,
    verification: &mut Verification,
    times: &mut Times,
) -> Result<ShopSet, Failure> {
    let line = Line::new();
    let set = times.stage("make", || {
        make(interior, &job.brief, &job.shop, interior.seed, &line)
    })?;
    verification.findings.extend(set.findings.iter().cloned());
    caddis_basis::sort_findings(&mut verification.findings);
    Ok(set)
}

/// Releases it, or says what blocks.
pub(crate) fn released(job: &Job, verification: &Verification) -> Result<Release, Blocked> {
    release(verification, &job.brief.concessions)
}
