//! What all requests share: the store, the library, the jobs that are open.

use crate::alternatives::Searches;
use crate::clock::now;
use crate::error::Problem;
use crate::laid::LaidOut;
use crate::serve::{ServeError, ServeOptions};
use crate::shapes::{RememberingReader, SheetReader};
use crate::solve::{FlatView, Solves};
use caddis_design::FallMemory;
use caddis_files::{EntryKind, FileError, Job, Library, SurveySection, job_files, read_job, sha256_hex};
use caddis_store::{Draft, Kind, Revision, Store, StoreError, Subject};
use caddis_survey::Shell;
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::broadcast;

/// Open revisions kept at most.
const OPEN: usize = 8;
/// Surveys kept at most.
const SURVEYS: usize = 32;

/// Something happened to a job.
#[derive(Debug, Clone)]
pub(crate) enum Event {
    /// It has a new revision.
    Revision {
        job: String,
        revision: u64,
        author: String,
    },
    /// Long work goes on.
    Progress {
        job: String,
        revision: u64,
        stage: String,
        fraction: f64,
        best: Option<String>,
    },
    /// What flat falls say of every item, while all directions are simulated.
    Flat {
        job: String,
        revision: u64,
        items: Vec<FlatView>,
    },
    /// Long work on this revision has ended, however it ended.
    Solved { job: String, revision: u64 },
}

impl Event {
    /// Which job.
    pub(crate) fn job(&self) -> &str {
        match self {
            Self::Revision { job, .. }
            | Self::Progress { job, .. }
            | Self::Flat { job, .. }
            | Self::Solved { job, .. } => job,
        }
    }
}

/// One revision of a job, read.
pub(crate) struct OpenJob {
    pub(crate) revision: Revision,
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// The question it asks, or why it asks none yet.
    pub(crate) job: Result<Job, FileError>,
}

/// What all requests share.
pub(crate) struct App {
    pub(crate) store: Store,
    pub(crate) shipped: Library,
    /// The person's own entries first, then what ships.
    pub(crate) library: Library,
    /// Working folder; its names are made here and nowhere else.
    work: PathBuf,
    pub(crate) shapes: RememberingReader,
    pub(crate) sheets: SheetReader,
    open: Mutex<BTreeMap<String, Arc<OpenJob>>>,
    surveys: Mutex<BTreeMap<String, SurveySection>>,
    numbers: AtomicU64,
    pub(crate) events: broadcast::Sender<Event>,
    pub(crate) solves: Solves,
    pub(crate) laid_out: LaidOut,
    pub(crate) searches: Searches,
    /// Falls simulated before: most edits move nothing.
    pub(crate) memory: FallMemory,
}

impl App {
    /// Opens the store, puts the person's own library entries in place and takes in jobs.
    pub(crate) fn open(options: ServeOptions) -> Result<(Self, Vec<String>), ServeError> {
        let data = |reason: std::io::Error| ServeError::Data {
            folder: options.data.clone(),
            reason: reason.to_string(),
        };
        let work = options.data.join("work");
        // Whatever an earlier process left there can be made again from the store.
        match std::fs::remove_dir_all(&work) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(data(error)),
            _ => {}
        }
        let own = work.join("library");
        std::fs::create_dir_all(own.join(EntryKind::Shell.folder())).map_err(data)?;
        let store = Store::open(&options.data.join("caddis.sqlite"))?;
        let app = Self {
            store,
            shipped: Library::new(vec![options.library.clone()]),
            library: Library::new(vec![own, options.library]),
            work,
            shapes: RememberingReader::new(options.shapes),
            sheets: options.sheets,
            open: Mutex::new(BTreeMap::new()),
            surveys: Mutex::new(BTreeMap::new()),
            numbers: AtomicU64::new(0),
            events: broadcast::channel(256).0,
            solves: Solves::default(),
            laid_out: LaidOut::default(),
            searches: Searches::default(),
            memory: FallMemory::default(),
        };
        for name in app.store.names(Kind::Shell)? {
            let revision = app.store.revision(&Subject::shell(&name), None)?;
            if let Some(bytes) = app.store.files(&revision)?.get("shell.toml") {
                app.place_shell(&name, bytes).map_err(data)?;
            }
        }
        let mut taken_in = Vec::new();
        for folder in &options.jobs {
            let name = folder
                .canonicalize()
                .ok()
                .and_then(|path| path.file_name().map(|name| plain_name(&name.to_string_lossy())));
            let name = name.unwrap_or_else(|| "job".to_owned());
            let draft = Draft {
                files: job_files(folder)?,
                at: now(),
                author: "this machine".to_owned(),
                note: "taken in from a folder".to_owned(),
            };
            match app.store.create(&Subject::job(&name), &draft) {
                Ok(_) => taken_in.push(name),
                // What is kept has edits that the folder does not know.
                Err(StoreError::Taken { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Ok((app, taken_in))
    }

    /// Makes a stored shell visible to jobs, under the name it has in the store.
    pub(crate) fn place_shell(&self, name: &str, bytes: &[u8]) -> std::io::Result<()> {
        let folder = self.work.join("library").join(EntryKind::Shell.folder());
        let path = folder.join(format!("{}.toml", plain_name(name)));
        let partial = folder.join(format!(".{}", self.numbers.fetch_add(1, Ordering::Relaxed)));
        std::fs::write(&partial, bytes)?;
        std::fs::rename(partial, path)?;
        self.open.lock().unwrap_or_else(PoisonError::into_inner).clear();
        Ok(())
    }

    /// A revision of a job, read; the newest without a number.
    pub(crate) fn job(&self, name: &str, number: Option<u64>) -> Result<Arc<OpenJob>, Problem> {
        let revision = self.store.revision(&Subject::job(name), number)?;
        let key = format!("{name}/{:020}", revision.number);
        if let Some(open) = self.open.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return Ok(open.clone());
        }
        let files = self.store.files(&revision)?;
        let job = self.read(&files)?;
        let opened = Arc::new(OpenJob { revision, files, job });
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if open.len() >= OPEN {
            open.pop_first();
        }
        open.insert(key, opened.clone());
        Ok(opened)
    }

    /// Reads a job from its files, through a folder of its own that is gone afterwards.
    pub(crate) fn read(&self, files: &BTreeMap<String, Vec<u8>>) -> Result<Result<Job, FileError>, Problem> {
        let folder = self
            .work
            .join(format!("job-{}", self.numbers.fetch_add(1, Ordering::Relaxed)));
        let written = write_files(&folder, files);
        let job = written.map(|()| read_job(&folder, &self.library, &self.shapes));
        let _ = std::fs::remove_dir_all(&folder);
        job.map_err(|error| Problem::internal(format!("the working folder cannot be used: {error}")))
    }

    /// What a shell offers; volumes take a while, so each shell is looked at once.
    pub(crate) fn survey(&self, shell: &Shell) -> SurveySection {
        let key = sha256_hex(format!("{shell:?}").as_bytes());
        if let Some(known) = self
            .surveys
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(&key)
        {
            return known.clone();
        }
        let section = SurveySection::of(shell);
        let mut surveys = self.surveys.lock().unwrap_or_else(PoisonError::into_inner);
        if surveys.len() >= SURVEYS {
            surveys.pop_first();
        }
        surveys.insert(key, section.clone());
        section
    }

    /// Tells every tab.
    pub(crate) fn tell(&self, job: &str, revision: u64, author: &str) {
        // Nobody listening is no fault.
        let _ = self.events.send(Event::Revision {
            job: job.to_owned(),
            revision,
            author: author.to_owned(),
        });
    }
}

fn write_files(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    for (path, bytes) in files {
        let relative = Path::new(path);
        if !is_inside(relative) {
            return Err(std::io::Error::other(format!("`{path}` leads out of the job")));
        }
        let full = folder.join(relative);
        if let Some(parent) = full.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(full, bytes)?;
    }
    Ok(())
}

fn is_inside(path: &Path) -> bool {
    path.components()
        .all(|component| matches!(component, Component::Normal(_) | Component::CurDir))
}

/// A name of letters, digits and hyphens made from any text; never empty, never more than 60 long.
pub(crate) fn plain_name(text: &str) -> String {
    let mut name = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            name.push(c);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
        if name.len() >= 60 {
            break;
        }
    }
    let name = name.trim_matches('-');
    if name.is_empty() {
        // Texts without a letter of ours stay apart by what they are.
        format!("job-{}", &sha256_hex(text.as_bytes())[..8])
    } else {
        name.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::{is_inside, plain_name};
    use std::path::Path;

    #[test]
    fn names_are_plain_whatever_was_typed() {
        assert_eq!(
            plain_name("Seismic station kit, one case"),
            "seismic-station-kit-one-case"
        );
        assert_eq!(plain_name("../../etc/passwd"), "etc-passwd");
        assert!(plain_name("").starts_with("job-"));
        assert_ne!(plain_name("гора"), plain_name("снег"));
        assert!(plain_name(&"x".repeat(900)).len() <= 60);
    }

    #[test]
    fn paths_that_lead_out_are_seen() {
        assert!(is_inside(Path::new("shapes/a.stl")));
        assert!(!is_inside(Path::new("../a.stl")));
        assert!(!is_inside(Path::new("/etc/passwd")));
        assert!(!is_inside(Path::new("shapes/../../a.stl")));
    }
}
