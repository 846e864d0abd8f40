//! The stages of a job, run in order and timed.

use crate::arguments::{JobOptions, LibraryOptions};
use crate::failure::Failure;
use crate::shape_child::ChildReader;
use crate::terminal::Line;
use caddis_basis::{Money, Outcome, Quiet};
use caddis_design::{
    ArrangeOptions, Arrangement, Blocked, Brief, Checks, Interior, Pricing, Release, SelectOptions,
    Selection, Standing, Verification, alternatives, arrange, arrange_from, release, select, verify,
};
use caddis_files::{Choice, Job, SelectionSection, read_foams, read_job_cut_by, read_shells};
use caddis_shop::{Shop, ShopSet, make};
use caddis_survey::Shell;
use std::path::Path;
use std::time::{Duration, Instant};

/// How many of the best shells are arranged in full where a job leaves the choice open.
const IN_FULL: usize = 2;

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
pub(crate) fn read(
    job: &Path,
    library: &LibraryOptions,
    process: Option<&str>,
    times: &mut Times,
) -> Result<Job, Failure> {
    let library = crate::library_folder::find(library, Some(job))?;
    times
        .stage("read", || read_job_cut_by(job, &library, &ChildReader, process))
        .map_err(Failure::from)
}

/// A shell chosen for a job that left the choice open.
#[derive(Debug)]
pub(crate) struct Chosen {
    /// Every shell tried.
    pub(crate) section: SelectionSection,
    selection: Selection,
}

impl Chosen {
    /// The interior, arranged in full while choosing.
    pub(crate) fn interior(&self) -> Option<&Interior> {
        match &self.selection.best()?.standing {
            Standing::Arranged { interior, .. } => Some(interior),
            Standing::LaidOut { .. } | Standing::Passed | Standing::Refused(_) => None,
        }
    }
}

/// Prices as the shop makes them: interiors only, since nobody prices shells yet.
pub(crate) struct ShopPricing<'a>(pub(crate) &'a Shop);

impl Pricing for ShopPricing<'_> {
    fn price(&self, brief: &Brief, interior: &Interior) -> Option<Money> {
        make(interior, brief, self.0, interior.seed, &Quiet)
            .ok()
            .map(|set| set.bill.price)
    }
}

/// Selects a shell where the job leaves the choice open, and puts it into the brief.
pub(crate) fn chosen(
    job: &mut Job,
    options: &JobOptions,
    times: &mut Times,
) -> Result<Option<Chosen>, Failure> {
    let Choice::Auto { shells, by } = &job.choice else {
        return Ok(None);
    };
    let search = SelectOptions {
        by: *by,
        arrange: ArrangeOptions {
            seed: options.seed.unwrap_or(job.seed),
            steps: options.steps.unwrap_or(job.steps),
            workers: usize::from(options.threads),
        },
        in_full: IN_FULL,
        best: None,
        most_mass: None,
        most_cases: 1,
    };
    let line = Line::new();
    let selection = times.stage("select", || {
        select(&job.brief, shells, &ShopPricing(&job.shop), &search, &line)
    });
    let section = SelectionSection::of(&selection, &job.brief, shells);
    let Some(shell) = selection.best().and_then(|best| shells.get(best.shell)).cloned() else {
        return Err(no_shell(&selection, shells));
    };
    eprintln!("selected {} ({}) by {}", shell.name, shell.title, by.as_str());
    job.brief.shell = shell;
    Ok(Some(Chosen { section, selection }))
}

/// Shells that are told where none does.
const TOLD: usize = 3;

/// Why no shell does, one reason a shell for those that lack least.
pub(crate) fn no_shell(selection: &Selection, shells: &[Shell]) -> Failure {
    let refused = selection.candidates.iter();
    let reasons = refused.filter_map(|candidate| match &candidate.standing {
        Standing::Refused(finding) => {
            let shell = shells.get(candidate.shell)?;
            Some((shell.name.clone(), finding.as_ref().clone()))
        }
        _ => None,
    });
    Failure::NoShell {
        tried: selection.candidates.len(),
        reasons: reasons.take(TOLD).collect(),
    }
}

/// Arranges it, keeping what it can of an arrangement of former times.
pub(crate) fn arranged(
    job: &Job,
    options: &JobOptions,
    before: Option<&Arrangement>,
    times: &mut Times,
) -> Result<Interior, Failure> {
    let search = ArrangeOptions {
        seed: options.seed.unwrap_or(job.seed),
        steps: options.steps.unwrap_or(job.steps),
        workers: usize::from(options.threads),
    };
    let line = Line::new();
    match times.stage("arrange", || match before {
        Some(before) => arrange_from(before, &job.brief, &search, &line),
        None => arrange(&job.brief, &search, &line),
    }) {
        Outcome::Complete(interior)
        | Outcome::Stopped {
            best: Some(interior), ..
        } => Ok(interior),
        Outcome::Stopped { best: None, steps } => Err(Failure::Use {
            problem: format!("no layout was found within {steps} steps"),
            hint: "give it more with --steps, or another --seed".to_owned(),
        }),
        Outcome::Impossible { mut reasons } => {
            // The smallest changes that the library offers are tried as well.
            let library = crate::library_folder::find(&options.library, Some(&options.job))?;
            let (shells, foams) = (read_shells(&library)?, read_foams(&library)?);
            reasons.extend(times.stage("library", || {
                alternatives(&job.brief, &shells, &foams, &search, &line)
            }));
            Err(Failure::DoesNotFit(reasons))
        }
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
