//! Where everything lies in a revision: laid out once, prepared once for dragging, kept as a file of the next revision.

use crate::app::{App, OpenJob};
use crate::clock::now;
use crate::error::Problem;
use crate::solve::content;
use caddis_basis::{Finding, InstanceId};
use caddis_design::{Arrangement, Interior, Live, lay_out};
use caddis_files::{PLACES, read_places, write_places};
use caddis_store::{Draft, StoreError, Subject};
use caddis_survey::{Turn, Up};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Interiors, and prepared arrangements, kept at most.
const KEPT: usize = 6;
/// How many revisions are looked back through for one that lies.
const BACK: u64 = 40;

/// What has been laid out, by job and content.
#[derive(Default)]
pub(crate) struct LaidOut {
    interiors: Mutex<BTreeMap<(String, String), Arc<Interior>>>,
    /// By job and revision: asked on every frame, so no content is looked up.
    lives: Mutex<BTreeMap<(String, u64), Arc<Live>>>,
    /// For one piece that would lie obliquely, the last of a revision.
    across: Mutex<BTreeMap<(String, u64), Arc<Live>>>,
}

fn keep<K: Ord + Clone, V>(map: &Mutex<BTreeMap<K, V>>, key: K, value: V) {
    let mut map = map.lock().unwrap_or_else(PoisonError::into_inner);
    if map.len() >= KEPT {
        map.pop_first();
    }
    map.insert(key, value);
}

/// Reasons as one problem: the first in full.
pub(crate) fn refused(reasons: &[Finding]) -> Problem {
    let Some(first) = reasons.first() else {
        return Problem::broken("it cannot be laid out");
    };
    let mut problem = Problem::broken(first.sentence.as_str());
    problem.hint = first.remedy.as_ref().map(ToString::to_string);
    problem
}

/// Where everything lies in a revision.
pub(crate) fn places(open: &OpenJob) -> Result<Arrangement, Problem> {
    let bytes = open.files.get(PLACES).ok_or_else(|| {
        Problem::missing(format!("arrangement of revision {}", open.revision.number)).hint("arrange it first")
    })?;
    Ok(read_places(bytes)?)
}

impl App {
    /// The interior of what lies there.
    pub(crate) fn laid(&self, name: &str, open: &OpenJob) -> Result<Arc<Interior>, Problem> {
        let key = (name.to_owned(), content(&open.revision));
        let known = self
            .laid_out
            .interiors
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(&key)
            .cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let places = places(open)?;
        let interior = lay_out(&job.brief, &places).map_err(|reasons| refused(&reasons))?;
        Ok(self.remember_laid(name, open, interior))
    }

    /// The newest interior up to this revision: its own, or what lay there before an edit that cannot be laid out.
    pub(crate) fn laid_before(&self, name: &str, open: &OpenJob) -> Result<Arc<Interior>, Problem> {
        let newest = open.revision.number;
        let mut first = None;
        for number in (newest.saturating_sub(BACK).max(1)..=newest).rev() {
            let earlier = self.job(name, Some(number))?;
            match self.laid(name, &earlier) {
                Ok(interior) => return Ok(interior),
                Err(problem) => first = first.or(Some(problem)),
            }
        }
        Err(first.unwrap_or_else(|| Problem::missing("arrangement")))
    }

    pub(crate) fn remember_laid(&self, name: &str, open: &OpenJob, interior: Interior) -> Arc<Interior> {
        let interior = Arc::new(interior);
        let key = (name.to_owned(), content(&open.revision));
        keep(&self.laid_out.interiors, key, interior.clone());
        interior
    }

    /// A revision's arrangement, prepared for dragging.
    pub(crate) fn live(&self, name: &str, number: u64) -> Result<Arc<Live>, Problem> {
        match self.prepared_live(name, number) {
            Some(known) => Ok(known),
            None => self.prepare(name, number),
        }
    }

    /// The same, prepared for a piece to lie a certain way as well: an oblique one is prepared when it is first asked for.
    pub(crate) fn live_turned(
        &self,
        name: &str,
        number: u64,
        (piece, up, turn): &(InstanceId, Up, Turn),
    ) -> Result<Arc<Live>, Problem> {
        let live = self.live(name, number)?;
        if turn.is_square() || live.knows(piece, *up, *turn) {
            return Ok(live);
        }
        if let Some(known) = self.prepared_across(name, number, piece, *up, *turn) {
            return Ok(known);
        }
        let open = self.job(name, Some(number))?;
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let Some(across) = live.across(&job.brief, piece, *up, *turn) else {
            return Ok(live);
        };
        let across = Arc::new(across);
        keep(&self.laid_out.across, (name.to_owned(), number), across.clone());
        Ok(across)
    }

    /// The same where it was the last that was asked for obliquely.
    pub(crate) fn prepared_across(
        &self,
        name: &str,
        number: u64,
        piece: &InstanceId,
        up: Up,
        turn: Turn,
    ) -> Option<Arc<Live>> {
        let kept = self
            .laid_out
            .across
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let known = kept.get(&(name.to_owned(), number))?;
        known.knows(piece, up, turn).then(|| known.clone())
    }

    fn prepare(&self, name: &str, number: u64) -> Result<Arc<Live>, Problem> {
        let open = self.job(name, Some(number))?;
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let places = places(&open)?;
        let live = Arc::new(Live::new(&job.brief, &places).map_err(|reasons| refused(&reasons))?);
        keep(&self.laid_out.lives, (name.to_owned(), number), live.clone());
        Ok(live)
    }

    /// Prepares a revision for dragging beside other work, so that the first drag need not wait. Where pieces only moved, the
    /// preparation of the revision before does until then.
    pub(crate) fn prepare_live(
        self: &Arc<Self>,
        name: &str,
        number: u64,
        moved: Option<(u64, &Arrangement)>,
    ) {
        if let Some((before, arrangement)) = moved
            && let Some(known) = self.prepared_live(name, before)
            && let Some(live) = known.after(arrangement)
        {
            keep(&self.laid_out.lives, (name.to_owned(), number), Arc::new(live));
        }
        let (app, name) = (self.clone(), name.to_owned());
        std::thread::spawn(move || {
            // What cannot be prepared says why when it is asked for.
            let _ = app.prepare(&name, number);
        });
    }

    /// The same where it is prepared already.
    pub(crate) fn prepared_live(&self, name: &str, number: u64) -> Option<Arc<Live>> {
        self.laid_out
            .lives
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(&(name.to_owned(), number))
            .cloned()
    }

    /// Keeps where everything lies as a revision on top of the one it was found for; `None` where another edit came first.
    pub(crate) fn keep_places(
        &self,
        name: &str,
        open: &OpenJob,
        interior: &Interior,
        note: &str,
    ) -> Result<Option<Arc<OpenJob>>, Problem> {
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let text = write_places(&Arrangement::of(interior, &job.brief)).map_err(Problem::internal)?;
        let mut files = open.files.clone();
        files.insert(PLACES.to_owned(), text.into_bytes());
        let draft = Draft {
            files,
            at: now(),
            author: "this machine".to_owned(),
            note: note.to_owned(),
        };
        match self
            .store
            .append(&Subject::job(name), open.revision.number, &draft)
        {
            Ok(number) => Ok(Some(self.job(name, Some(number))?)),
            Err(StoreError::Conflict { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }
}
