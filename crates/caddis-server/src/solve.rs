//! Long work: arrange, verify, make, in a thread of its own, with progress, and stopped when asked.
//!
//! What a search found is kept as a revision as soon as it is found, before it is verified: `places.json` beside `job.toml`.

use crate::alternatives::ALTERNATIVES;
use crate::app::{App, Event, OpenJob};
use crate::clock::now;
use crate::error::Problem;
use caddis_basis::{Finding, Flow, Outcome, Progress, sort_findings};
use caddis_design::{
    ArrangeOptions, Blocked, Checks, Interior, ItemVerdict, Onlooker, Release, Verification, arrange,
    rearrange, release, verify_before,
};
use caddis_files::{Job, sha256_hex};
use caddis_shop::{ShopSet, make};
use caddis_store::{Revision, StoreError, Work};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use utoipa::ToSchema;

/// Solved revisions kept at most.
const KEPT: usize = 8;
/// Search workers.
const WORKERS: usize = 2;
/// The least change of progress that is told.
const LEAST_TOLD: f64 = 0.005;

/// A design, finished.
pub(crate) struct Design {
    pub(crate) open: Arc<OpenJob>,
    pub(crate) interior: Arc<Interior>,
    pub(crate) verification: Verification,
    pub(crate) set: ShopSet,
    pub(crate) release: Result<Release, Blocked>,
    pub(crate) date: String,
    /// The search was stopped before it was satisfied.
    pub(crate) stopped: bool,
}

impl Design {
    /// The job; a design is only ever made of one that reads.
    pub(crate) fn job(&self) -> Result<&Job, Problem> {
        self.open.job.as_ref().map_err(|error| error.clone().into())
    }
}

/// An item in six flat falls: what is known before falls in every direction are.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct FlatView {
    /// `item/number`.
    instance: String,
    /// Number on the packing plan.
    number: u32,
    name: String,
    /// holds, indicative, fails, not known.
    verdict: String,
    sentence: String,
}

impl FlatView {
    fn of(item: &ItemVerdict) -> Self {
        Self {
            instance: item.instance.to_string(),
            number: item.number,
            name: item.name.clone(),
            verdict: item.verdict.words().to_owned(),
            sentence: item.sentence.to_string(),
        }
    }
}

/// How far a revision has come.
#[derive(Clone)]
pub(crate) enum State {
    /// Under way.
    Running {
        stop: Arc<AtomicBool>,
        stage: String,
        fraction: f64,
        best: Option<String>,
        /// Every item in six flat falls, once they are known.
        flat: Vec<FlatView>,
    },
    /// Stopped while it was verified: it lies as it lies, and nothing is said of it.
    Stopped,
    /// Done.
    Done(Arc<Design>),
    /// It cannot be: every reason.
    Impossible(Arc<Vec<Finding>>),
    /// It went wrong, or was stopped before there was anything.
    Failed(Problem),
}

/// What work starts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum From {
    /// Nothing: every place is searched for.
    Nothing,
    /// What lies there: kept where it can be.
    Kept,
    /// What lies there, exactly: verified and made, not searched.
    Laid,
}

impl From {
    /// As the page writes it.
    pub(crate) fn parse(word: &str) -> Option<Self> {
        match word {
            "nothing" => Some(Self::Nothing),
            "kept" => Some(Self::Kept),
            "laid" => Some(Self::Laid),
            _ => None,
        }
    }

    /// The task's word in the store.
    fn task(self) -> &'static str {
        match self {
            Self::Nothing => "solve",
            Self::Kept => "solve-kept",
            Self::Laid => "check",
        }
    }
}

/// What has been asked for, by job and content: an undo finds again what was found before.
#[derive(Default)]
pub(crate) struct Solves {
    states: Mutex<BTreeMap<(String, String), (u64, State)>>,
}

impl Solves {
    pub(crate) fn state(&self, name: &str, revision: &Revision) -> Option<State> {
        let key = (name.to_owned(), content(revision));
        self.lock().get(&key).map(|(_, state)| state.clone())
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<(String, String), (u64, State)>> {
        self.states.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, name: &str, revision: &Revision, state: State) {
        let mut states = self.lock();
        let finished: Vec<_> = states
            .iter()
            .filter(|(_, (_, state))| !matches!(state, State::Running { .. }))
            .map(|(key, (number, _))| (*number, key.clone()))
            .collect();
        if finished.len() >= KEPT
            && let Some((_, oldest)) = finished.into_iter().min()
        {
            states.remove(&oldest);
        }
        states.insert((name.to_owned(), content(revision)), (revision.number, state));
    }

    fn forget(&self, name: &str, revision: &Revision) {
        self.lock().remove(&(name.to_owned(), content(revision)));
    }

    /// Asks the work on a revision to stop; it ends with the best it has.
    pub(crate) fn stop(&self, name: &str, revision: &Revision) {
        if let Some(State::Running { stop, .. }) = self.state(name, revision) {
            stop.store(true, Ordering::Relaxed);
        }
    }
}

/// What a revision asks, as one hash: alternatives that are kept beside it ask nothing.
pub(crate) fn content(revision: &Revision) -> String {
    let all: Vec<String> = revision
        .files
        .iter()
        .filter(|(path, _)| !path.starts_with(ALTERNATIVES))
        .map(|(path, hash)| format!("{path}\n{hash}"))
        .collect();
    sha256_hex(all.join("\n").as_bytes())
}

/// Starts the work unless it is under way or done.
pub(crate) fn start(app: &Arc<App>, name: &str, number: Option<u64>, from: From) -> Result<u64, Problem> {
    let open = app.job(name, number)?;
    let revision = open.revision.number;
    if let Err(error) = &open.job {
        return Err(error.clone().into());
    }
    let stop = Arc::new(AtomicBool::new(false));
    {
        let mut states = app.solves.lock();
        let key = (name.to_owned(), content(&open.revision));
        match states.get(&key) {
            Some((_, State::Running { .. })) => return Ok(revision),
            // To search again is a wish; what was checked as it lies is checked.
            Some((_, State::Done(_) | State::Impossible(_))) if from == From::Laid => return Ok(revision),
            _ => {}
        }
        // Work on another revision of the same job answers a question nobody asks any more.
        for ((job, _), (_, state)) in states.iter() {
            if let (true, State::Running { stop, .. }) = (job == name, state) {
                stop.store(true, Ordering::Relaxed);
            }
        }
        states.insert(key, (revision, running(&stop, "read")));
    }
    let work = Work {
        name: name.to_owned(),
        task: from.task().to_owned(),
        revision,
    };
    app.store.begin_work(&work)?;
    let app = app.clone();
    std::thread::spawn(move || {
        let shown = Mutex::new(open.clone());
        let listener = Listener {
            app: &app,
            name: &work.name,
            shown: &shown,
            stop,
            told: Mutex::new((String::new(), -1.0)),
        };
        let state = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| run(&open, &listener, from)))
            .unwrap_or_else(|_| {
                State::Failed(Problem::internal(
                    "the program failed at this job; the job itself is kept",
                ))
            });
        let shown = shown.into_inner().unwrap_or_else(PoisonError::into_inner);
        app.solves.set(&work.name, &shown.revision, state);
        // A note that cannot be removed only means that the work is done once more at the next start.
        let _ = app.store.end_work(&work);
        let _ = app.events.send(Event::Solved {
            job: work.name,
            revision: shown.revision.number,
        });
    });
    Ok(revision)
}

fn running(stop: &Arc<AtomicBool>, stage: &str) -> State {
    State::Running {
        stop: stop.clone(),
        stage: stage.to_owned(),
        fraction: 0.0,
        best: None,
        flat: Vec::new(),
    }
}

/// Starts again what a crash interrupted. Work whose job no longer reads is struck off: opening the job says why.
///
/// # Errors
/// The store does not read.
pub(crate) fn resume(app: &Arc<App>) -> Result<(), StoreError> {
    for work in app.store.interrupted_work()? {
        let from = [From::Kept, From::Laid]
            .into_iter()
            .find(|from| from.task() == work.task)
            .unwrap_or(From::Nothing);
        if start(app, &work.name, Some(work.revision), from).is_err() {
            app.store.end_work(&work)?;
        }
    }
    Ok(())
}

fn run(open: &Arc<OpenJob>, listener: &Listener<'_>, from: From) -> State {
    match searched(open, listener, from) {
        Ok((open, interior, stopped)) => checked(&open, interior, stopped, listener),
        Err(state) => state,
    }
}

/// The interior, and the revision that keeps where everything lies.
fn searched(
    open: &Arc<OpenJob>,
    listener: &Listener<'_>,
    from: From,
) -> Result<(Arc<OpenJob>, Arc<Interior>, bool), State> {
    let (app, name) = (listener.app, listener.name);
    let job = open
        .job
        .as_ref()
        .map_err(|error| State::Failed(error.clone().into()))?;
    let options = options(job);
    let outcome = match from {
        From::Laid => {
            let laid = app.laid(name, open).map_err(State::Failed)?;
            return Ok((open.clone(), laid, false));
        }
        From::Nothing => arrange(&job.brief, &options, listener),
        From::Kept => {
            let before = app.laid_before(name, open).map_err(State::Failed)?;
            rearrange(&before, &job.brief, &[], &options, listener)
        }
    };
    let (interior, stopped) = match outcome {
        Outcome::Complete(interior) => (interior, false),
        Outcome::Stopped {
            best: Some(interior), ..
        } => (interior, true),
        Outcome::Stopped { best: None, .. } => {
            return Err(State::Failed(
                Problem::broken("stopped before there was any layout")
                    .hint("let it run longer, or give it more steps"),
            ));
        }
        Outcome::Impossible { reasons } => return Err(State::Impossible(Arc::new(reasons))),
    };
    let note = match from {
        From::Kept => "arranged again, keeping what lies well",
        _ => "arranged",
    };
    let kept = app
        .keep_places(name, open, &interior, note)
        .map_err(State::Failed)?;
    let Some(kept) = kept else {
        // Another edit came first: what was found is shown with the revision it answers.
        return Ok((open.clone(), Arc::new(interior), stopped));
    };
    let laid = app.remember_laid(name, &kept, interior);
    app.prepare_live(name, kept.revision.number, None);
    app.solves
        .set(name, &kept.revision, running(&listener.stop, "verify"));
    if content(&kept.revision) != content(&open.revision) {
        app.solves.forget(name, &open.revision);
    }
    *listener.shown.lock().unwrap_or_else(PoisonError::into_inner) = kept.clone();
    app.tell(name, kept.revision.number, "this machine");
    Ok((kept, laid, stopped))
}

/// How hard a job wants to be searched.
pub(crate) fn options(job: &Job) -> ArrangeOptions {
    ArrangeOptions {
        seed: job.seed,
        steps: job.steps,
        workers: WORKERS,
    }
}

fn checked(open: &Arc<OpenJob>, interior: Arc<Interior>, stopped: bool, listener: &Listener<'_>) -> State {
    let job = match &open.job {
        Ok(job) => job,
        Err(error) => return State::Failed(error.clone().into()),
    };
    // A search that was stopped because the job asks something else by now: nobody waits for this verdict.
    let asks_otherwise = |newest: Arc<OpenJob>| content(&newest.revision) != content(&open.revision);
    if stopped && listener.app.job(listener.name, None).is_ok_and(asks_otherwise) {
        return State::Stopped;
    }
    // A stop that was asked of the search has been heard.
    listener.stop.store(false, Ordering::Relaxed);
    let onlooker = Onlooker {
        progress: listener,
        flat: &|items| listener.flat(items),
        memory: &listener.app.memory,
    };
    let Some(mut verification) = verify_before(&interior, &job.brief, &Checks::default(), &onlooker) else {
        return State::Stopped;
    };
    let set = match make(&interior, &job.brief, &job.shop, interior.seed, listener) {
        Ok(set) => set,
        Err(error) => return State::Failed(Problem::broken(error.to_string())),
    };
    verification.findings.extend(set.findings.iter().cloned());
    sort_findings(&mut verification.findings);
    let release = release(&verification, &job.brief.concessions);
    State::Done(Arc::new(Design {
        date: job
            .date
            .clone()
            .unwrap_or_else(|| now().chars().take(10).collect()),
        open: open.clone(),
        interior,
        verification,
        set,
        release,
        stopped,
    }))
}

/// Passes progress on to every tab.
struct Listener<'a> {
    app: &'a Arc<App>,
    name: &'a str,
    /// What is shown: the revision that keeps what was found, once there is one.
    shown: &'a Mutex<Arc<OpenJob>>,
    stop: Arc<AtomicBool>,
    told: Mutex<(String, f64)>,
}

impl Listener<'_> {
    fn shown_revision(&self) -> Revision {
        let shown = self.shown.lock().unwrap_or_else(PoisonError::into_inner);
        shown.revision.clone()
    }

    /// Passes on what flat falls say.
    fn flat(&self, items: &[ItemVerdict]) {
        let shown = self.shown_revision();
        let views: Vec<FlatView> = items.iter().map(FlatView::of).collect();
        let key = (self.name.to_owned(), content(&shown));
        if let Some((_, State::Running { flat, .. })) = self.app.solves.lock().get_mut(&key) {
            flat.clone_from(&views);
        }
        let _ = self.app.events.send(Event::Flat {
            job: self.name.to_owned(),
            revision: shown.number,
            items: views,
        });
    }
}

impl Progress for Listener<'_> {
    fn report(&self, stage: &str, fraction: f64, best: Option<&str>) -> Flow {
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        if told.0 != stage || fraction - told.1 >= LEAST_TOLD {
            *told = (stage.to_owned(), fraction);
            let shown = self.shown_revision();
            let mut states = self.app.solves.lock();
            if let Some((
                _,
                State::Running {
                    stage: s,
                    fraction: f,
                    best: b,
                    ..
                },
            )) = states.get_mut(&(self.name.to_owned(), content(&shown)))
            {
                stage.clone_into(s);
                *f = fraction;
                if let Some(best) = best {
                    *b = Some(best.to_owned());
                }
            }
            drop(states);
            let _ = self.app.events.send(Event::Progress {
                job: self.name.to_owned(),
                revision: shown.number,
                stage: stage.to_owned(),
                fraction,
                best: best.map(str::to_owned),
            });
        }
        if self.stop.load(Ordering::Relaxed) {
            Flow::Stop
        } else {
            Flow::Continue
        }
    }
}
