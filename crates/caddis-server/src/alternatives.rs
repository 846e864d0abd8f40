//! Arrangements kept beside the one that the job has: found from other seeds, or set aside by hand. Files of the revision like
//! everything else, so that they are undone, restored and survive a crash alike.

use crate::app::{App, OpenJob};
use crate::clock::now;
use crate::error::Problem;
use crate::job_text;
use crate::laid::refused;
use crate::solve::options;
use caddis_basis::{Flow, Outcome, Progress, Quiet, Severity};
use caddis_design::{Arrangement, Checks, Interior, arrange, lay_out, verify};
use caddis_files::{Job, PLACES, read_places, sha256_hex, write_places};
use caddis_store::{Draft, Subject};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// The folder of them in a revision.
pub(crate) const ALTERNATIVES: &str = "alternatives/";
/// So many are kept at most: more than anybody compares.
const MOST: usize = 12;

/// A search for another arrangement, under way.
#[derive(Clone)]
pub(crate) struct Another {
    stop: Arc<AtomicBool>,
    pub(crate) seed: u64,
    pub(crate) fraction: f64,
    /// How the last one ended, where nothing came of it.
    pub(crate) ended: Option<Problem>,
}

/// Arrangements judged before are kept at most.
const JUDGED: usize = 32;

/// Searches for others, by job, and what was judged already, by what it was judged on.
#[derive(Default)]
pub(crate) struct Searches {
    under_way: Mutex<BTreeMap<String, Another>>,
    judged: Mutex<BTreeMap<String, (Arc<Interior>, usize)>>,
}

impl Searches {
    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, Another>> {
        self.under_way.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn of(&self, name: &str) -> Option<Another> {
        self.lock().get(name).cloned()
    }

    pub(crate) fn stop(&self, name: &str) {
        if let Some(another) = self.lock().get(name) {
            another.stop.store(true, Ordering::Relaxed);
        }
    }
}

/// One arrangement to compare.
pub(crate) struct Alternative {
    /// `None` for the job's own.
    pub(crate) id: Option<u32>,
    pub(crate) interior: Arc<Interior>,
    /// Failing findings of flat falls, stack and webs; simulated falls are left to the verification.
    pub(crate) failing: usize,
}

/// The alternatives of a revision by their number.
fn kept(open: &OpenJob) -> Vec<(u32, &[u8])> {
    open.files
        .iter()
        .filter_map(|(path, bytes)| {
            let number = path.strip_prefix(ALTERNATIVES)?.strip_suffix(".json")?;
            Some((number.parse().ok()?, bytes.as_slice()))
        })
        .collect()
}

fn path(id: u32) -> String {
    format!("{ALTERNATIVES}{id:03}.json")
}

/// Arrangements to compare, and those that can no longer be laid out: by number, and why.
pub(crate) type Compared = (Vec<Alternative>, Vec<(u32, Problem)>);

/// The job's own arrangement and its alternatives.
pub(crate) fn compared(app: &App, name: &str, open: &OpenJob) -> Result<Compared, Problem> {
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let own = open.files.get(PLACES).map(|bytes| (None, bytes.as_slice()));
    let all = own
        .into_iter()
        .chain(kept(open).into_iter().map(|(id, bytes)| (Some(id), bytes)));
    let (mut found, mut lost) = (Vec::new(), Vec::new());
    for (id, bytes) in all {
        match judged(app, name, (open, job), id, bytes) {
            Ok((interior, failing)) => found.push(Alternative {
                id,
                interior,
                failing,
            }),
            Err(problem) => lost.push((id.unwrap_or(0), problem)),
        }
    }
    Ok((found, lost))
}

/// The interior of kept places and how many findings fail, judged once.
fn judged(
    app: &App,
    name: &str,
    (open, job): (&OpenJob, &Job),
    id: Option<u32>,
    bytes: &[u8],
) -> Result<(Arc<Interior>, usize), Problem> {
    let asked: Vec<&str> = open
        .revision
        .files
        .iter()
        .filter(|(path, _)| *path != PLACES && !path.starts_with(ALTERNATIVES))
        .map(|(_, hash)| hash.as_str())
        .collect();
    let key = format!("{}/{}", asked.join("/"), sha256_hex(bytes));
    let lock = || app.searches.judged.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = lock().get(&key).cloned() {
        return Ok(known);
    }
    let interior = if id.is_none() {
        app.laid(name, open)?
    } else {
        let places = read_places(bytes)?;
        Arc::new(lay_out(&job.brief, &places).map_err(|reasons| refused(&reasons))?)
    };
    let checks = Checks {
        falls: None,
        spread: None,
        ..Checks::default()
    };
    let verification = verify(&interior, &job.brief, &checks, &Quiet);
    let failing = verification
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Failing)
        .count();
    let mut judged = lock();
    if judged.len() >= JUDGED {
        judged.pop_first();
    }
    judged.insert(key, (interior.clone(), failing));
    Ok((interior, failing))
}

/// Sets what lies there aside, to be compared with.
pub(crate) fn set_aside(app: &App, name: &str, base: u64, author: &str) -> Result<Arc<OpenJob>, Problem> {
    let open = app.job(name, Some(base))?;
    let mut files = open.files.clone();
    let places = files.get(PLACES).cloned().ok_or_else(|| {
        Problem::missing(format!("arrangement of revision {base}")).hint("arrange it first")
    })?;
    let id = add(&open, &mut files, places)?;
    append(
        app,
        name,
        base,
        files,
        author,
        &format!("arrangement set aside as {id}"),
    )
}

/// Makes an alternative the job's own; what lay there is set aside in its stead, and the job takes its seed.
pub(crate) fn take(
    app: &Arc<App>,
    name: &str,
    base: u64,
    id: u32,
    author: &str,
) -> Result<Arc<OpenJob>, Problem> {
    let open = app.job(name, Some(base))?;
    let mut files = open.files.clone();
    let taken = files
        .remove(&path(id))
        .ok_or_else(|| Problem::missing(format!("alternative {id}")))?;
    let seed = read_places(&taken)?.seed;
    if let Some(before) = files.insert(PLACES.to_owned(), taken) {
        files.insert(path(id), before);
    }
    let (text, ()) = job_text::edited(job_text::of(&files)?, |document| {
        document["choices"]["seed"] = seed.into();
        Ok(())
    })?;
    files.insert(job_text::JOB.to_owned(), text.into_bytes());
    let kept = append(app, name, base, files, author, &format!("alternative {id} taken"))?;
    app.prepare_live(name, kept.revision.number, None);
    Ok(kept)
}

/// Lets an alternative go.
pub(crate) fn drop_one(
    app: &App,
    name: &str,
    base: u64,
    id: u32,
    author: &str,
) -> Result<Arc<OpenJob>, Problem> {
    let open = app.job(name, Some(base))?;
    let mut files = open.files.clone();
    files
        .remove(&path(id))
        .ok_or_else(|| Problem::missing(format!("alternative {id}")))?;
    append(
        app,
        name,
        base,
        files,
        author,
        &format!("alternative {id} let go"),
    )
}

fn add(open: &OpenJob, files: &mut BTreeMap<String, Vec<u8>>, places: Vec<u8>) -> Result<u32, Problem> {
    let known = kept(open);
    if known.len() >= MOST {
        return Err(
            Problem::broken(format!("{MOST} alternatives are kept already")).hint("let one of them go")
        );
    }
    let id = known.iter().map(|(id, _)| *id).max().unwrap_or(0) + 1;
    files.insert(path(id), places);
    Ok(id)
}

fn append(
    app: &App,
    name: &str,
    base: u64,
    files: BTreeMap<String, Vec<u8>>,
    author: &str,
    note: &str,
) -> Result<Arc<OpenJob>, Problem> {
    let draft = Draft {
        files,
        at: now(),
        author: author.to_owned(),
        note: note.to_owned(),
    };
    let revision = app.store.append(&Subject::job(name), base, &draft)?;
    app.tell(name, revision, author);
    app.job(name, Some(revision))
}

/// Searches for another arrangement from a seed that none has yet, and keeps it beside the others.
pub(crate) fn search(app: &Arc<App>, name: &str, base: u64) -> Result<Another, Problem> {
    let open = app.job(name, Some(base))?;
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let seeds = kept(&open)
        .into_iter()
        .map(|(_, bytes)| bytes)
        .chain(open.files.get(PLACES).map(Vec::as_slice))
        .filter_map(|bytes| read_places(bytes).ok())
        .map(|places| places.seed);
    let seed = seeds.max().unwrap_or(job.seed).max(job.seed) + 1;
    let another = Another {
        stop: Arc::new(AtomicBool::new(false)),
        seed,
        fraction: 0.0,
        ended: None,
    };
    {
        let mut searches = app.searches.lock();
        if let Some(under_way) = searches.get(name).filter(|known| known.ended.is_none()) {
            return Ok(under_way.clone());
        }
        searches.insert(name.to_owned(), another.clone());
    }
    let (app, name, stop) = (app.clone(), name.to_owned(), another.stop.clone());
    std::thread::spawn(move || {
        let listener = Listener {
            app: &app,
            name: &name,
            stop,
        };
        let found = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| found(&open, seed, &listener)))
            .unwrap_or_else(|_| {
                Err(Problem::internal(
                    "the program failed at this search; nothing was changed",
                ))
            });
        let ended = found.and_then(|interior| keep(&app, &name, &interior, seed));
        let mut searches = app.searches.lock();
        match ended {
            Ok(()) => {
                searches.remove(&name);
            }
            Err(problem) => {
                if let Some(another) = searches.get_mut(&name) {
                    another.ended = Some(problem);
                }
            }
        }
        drop(searches);
        let _ = app.events.send(crate::app::Event::Solved {
            job: name,
            revision: base,
        });
    });
    Ok(another)
}

fn found(open: &OpenJob, seed: u64, listener: &Listener<'_>) -> Result<Interior, Problem> {
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let mut options = options(job);
    options.seed = seed;
    match arrange(&job.brief, &options, listener) {
        Outcome::Complete(interior)
        | Outcome::Stopped {
            best: Some(interior), ..
        } => Ok(interior),
        Outcome::Stopped { best: None, .. } => {
            Err(Problem::broken("stopped before there was any other arrangement"))
        }
        Outcome::Impossible { reasons } => Err(refused(&reasons)),
    }
}

/// On top of whatever the newest revision is by now: an alternative is in nobody's way.
fn keep(app: &App, name: &str, interior: &Interior, seed: u64) -> Result<(), Problem> {
    let open = app.job(name, None)?;
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let text = write_places(&Arrangement::of(interior, &job.brief)).map_err(Problem::internal)?;
    let mut files = open.files.clone();
    let id = add(&open, &mut files, text.into_bytes())?;
    let note = format!("alternative {id} found from seed {seed}");
    append(app, name, open.revision.number, files, "this machine", &note)?;
    Ok(())
}

struct Listener<'a> {
    app: &'a App,
    name: &'a str,
    stop: Arc<AtomicBool>,
}

impl Progress for Listener<'_> {
    fn report(&self, _: &str, fraction: f64, _: Option<&str>) -> Flow {
        if let Some(another) = self.app.searches.lock().get_mut(self.name) {
            another.fraction = fraction;
        }
        if self.stop.load(Ordering::Relaxed) {
            Flow::Stop
        } else {
            Flow::Continue
        }
    }
}
