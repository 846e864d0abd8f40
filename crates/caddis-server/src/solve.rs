//! Long work: arrange, verify, make, in a thread of its own, with progress, and stopped when asked.

use crate::app::{App, Event, OpenJob};
use crate::clock::now;
use crate::error::Problem;
use caddis_basis::{Finding, Flow, Outcome, Progress, sort_findings};
use caddis_design::{
    ArrangeOptions, Blocked, Checks, Interior, Release, Verification, arrange, release, verify,
};
use caddis_files::Job;
use caddis_shop::{ShopSet, make};
use caddis_store::Work;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// Solved revisions kept at most.
const KEPT: usize = 8;
/// Search workers.
const WORKERS: usize = 2;
/// The least change of progress that is told.
const LEAST_TOLD: f64 = 0.005;

/// A design, finished.
pub(crate) struct Design {
    pub(crate) open: Arc<OpenJob>,
    pub(crate) interior: Interior,
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

/// How far a revision has come.
#[derive(Clone)]
pub(crate) enum State {
    /// Under way.
    Running {
        stop: Arc<AtomicBool>,
        stage: String,
        fraction: f64,
        best: Option<String>,
    },
    /// Done.
    Done(Arc<Design>),
    /// It cannot be: every reason.
    Impossible(Arc<Vec<Finding>>),
    /// It went wrong, or was stopped before there was anything.
    Failed(Problem),
}

/// What has been asked for, by job and revision.
#[derive(Default)]
pub(crate) struct Solves {
    states: Mutex<BTreeMap<(String, u64), State>>,
}

impl Solves {
    pub(crate) fn state(&self, name: &str, revision: u64) -> Option<State> {
        self.lock().get(&(name.to_owned(), revision)).cloned()
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<(String, u64), State>> {
        self.states.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, name: &str, revision: u64, state: State) {
        let mut states = self.lock();
        let finished: Vec<_> = states
            .iter()
            .filter(|(_, state)| !matches!(state, State::Running { .. }))
            .map(|(key, _)| key.clone())
            .collect();
        if finished.len() >= KEPT
            && let Some(oldest) = finished.iter().min_by_key(|(_, revision)| *revision)
        {
            states.remove(oldest);
        }
        states.insert((name.to_owned(), revision), state);
    }

    /// Asks the work on a revision to stop; it ends with the best it has.
    pub(crate) fn stop(&self, name: &str, revision: u64) {
        if let Some(State::Running { stop, .. }) = self.state(name, revision) {
            stop.store(true, Ordering::Relaxed);
        }
    }
}

/// Starts the work unless it is under way or done.
pub(crate) fn start(app: &Arc<App>, name: &str, number: Option<u64>) -> Result<u64, Problem> {
    let open = app.job(name, number)?;
    let revision = open.revision.number;
    if let Err(error) = &open.job {
        return Err(error.clone().into());
    }
    let stop = Arc::new(AtomicBool::new(false));
    {
        let mut states = app.solves.lock();
        match states.get(&(name.to_owned(), revision)) {
            Some(State::Running { .. } | State::Done(_) | State::Impossible(_)) => return Ok(revision),
            Some(State::Failed(_)) | None => {}
        }
        // Work on an older revision of the same job answers a question nobody asks any more.
        for ((job, _), state) in states.iter() {
            if let (true, State::Running { stop, .. }) = (job == name, state) {
                stop.store(true, Ordering::Relaxed);
            }
        }
        states.insert(
            (name.to_owned(), revision),
            State::Running {
                stop: stop.clone(),
                stage: "read".to_owned(),
                fraction: 0.0,
                best: None,
            },
        );
    }
    let work = Work {
        name: name.to_owned(),
        task: "solve".to_owned(),
        revision,
    };
    app.store.begin_work(&work)?;
    let app = app.clone();
    std::thread::spawn(move || {
        let listener = Listener {
            app: &app,
            name: &work.name,
            revision,
            stop,
            told: Mutex::new((String::new(), -1.0)),
        };
        let state = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| run(&open, &listener)))
            .unwrap_or_else(|_| {
                State::Failed(Problem::internal(
                    "the program failed at this job; the job itself is kept",
                ))
            });
        app.solves.set(&work.name, revision, state);
        // A note that cannot be removed only means that the work is done once more at the next start.
        let _ = app.store.end_work(&work);
        let _ = app.events.send(Event::Solved {
            job: work.name,
            revision,
        });
    });
    Ok(revision)
}

/// Starts again what a crash interrupted.
pub(crate) fn resume(app: &Arc<App>) {
    for work in app.store.interrupted_work().unwrap_or_default() {
        if start(app, &work.name, Some(work.revision)).is_err() {
            let _ = app.store.end_work(&work);
        }
    }
}

fn run(open: &Arc<OpenJob>, listener: &Listener<'_>) -> State {
    let job = match &open.job {
        Ok(job) => job,
        Err(error) => return State::Failed(error.clone().into()),
    };
    let options = ArrangeOptions {
        seed: job.seed,
        steps: job.steps,
        workers: WORKERS,
    };
    let (interior, stopped) = match arrange(&job.brief, &options, listener) {
        Outcome::Complete(interior) => (interior, false),
        Outcome::Stopped {
            best: Some(interior), ..
        } => (interior, true),
        Outcome::Stopped { best: None, .. } => {
            return State::Failed(
                Problem::broken("stopped before there was any layout")
                    .hint("let it run longer, or give it more steps"),
            );
        }
        Outcome::Impossible { reasons } => return State::Impossible(Arc::new(reasons)),
    };
    let mut verification = verify(&interior, &job.brief, &Checks::default(), listener);
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
    app: &'a App,
    name: &'a str,
    revision: u64,
    stop: Arc<AtomicBool>,
    told: Mutex<(String, f64)>,
}

impl Progress for Listener<'_> {
    fn report(&self, stage: &str, fraction: f64, best: Option<&str>) -> Flow {
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        if told.0 != stage || fraction - told.1 >= LEAST_TOLD {
            *told = (stage.to_owned(), fraction);
            let mut states = self.app.solves.lock();
            if let Some(State::Running {
                stage: s,
                fraction: f,
                best: b,
                ..
            }) = states.get_mut(&(self.name.to_owned(), self.revision))
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
                revision: self.revision,
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
