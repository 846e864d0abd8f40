//! Jobs: the list, a new one, one as it stands, its edits and its history.

use crate::api::blocking;
use crate::api::survey::Saved;
use crate::app::{App, OpenJob, plain_name};
use crate::body::{Json, Query};
use crate::clock::now;
use crate::error::Problem;
use crate::job_text;
use axum::extract::{Path, State};
use caddis_files::{
    ContentsSection, JobFile, PLACES, SurveySection, document_to_json, document_to_toml, find_template,
    job_template, read_job_file,
};
use caddis_store::{Draft, Kind, Revision, RevisionKind, Steps, StoreError, Subject};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;
use utoipa::{IntoParams, ToSchema};

/// A job at a glance.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct JobSummary {
    name: String,
    title: String,
    customer: String,
    shell: String,
    /// Kinds of equipment.
    items: usize,
    revision: u64,
    /// Time of the newest revision, ISO.
    at: String,
}

/// What a new job starts from.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct NewJob {
    title: String,
    customer: String,
    /// A shell of the library.
    shell: String,
    /// A template of the library to start from.
    #[serde(default)]
    template: Option<String>,
    /// A job kept here to start from: all it asks, and where everything lies if the shell is the same; nothing that was signed for.
    #[serde(default)]
    like: Option<String>,
    /// Which tab.
    author: String,
}

/// A job as it stands.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct JobView {
    name: String,
    revision: u64,
    at: String,
    author: String,
    /// The job as written: the keys of `job.toml`.
    #[schema(value_type = Object)]
    document: Value,
    /// Shapes it has, by path.
    shapes: Vec<String>,
    /// Why it asks no question that can be answered yet.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
    #[serde(skip_serializing_if = "Option::is_none")]
    survey: Option<SurveySection>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contents: Option<ContentsSection>,
    can_undo: bool,
    can_redo: bool,
}

/// Which revision.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct Which {
    /// The newest when left out.
    #[expect(dead_code, reason = "describes the parameter; it is read by name")]
    revision: Option<u64>,
}

/// A job to keep.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct SaveJob {
    /// The revision the edit was made on.
    base: u64,
    #[schema(value_type = Object)]
    document: Value,
    /// What changed, in words.
    note: String,
    /// Which tab.
    author: String,
}

/// An older state to take up again.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct BringBack {
    /// The revision this is asked on.
    base: u64,
    /// undo, redo, or the revision to restore.
    what: Back,
    /// Which tab.
    author: String,
}

/// What to bring back.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Back {
    /// Take the last edit back.
    Undo,
    /// Do it again.
    Redo,
    /// Take up this revision.
    Revision(u64),
}

/// One revision of the history.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RevisionView {
    number: u64,
    /// edit, undo, redo or restore.
    kind: String,
    same_as: Option<u64>,
    at: String,
    author: String,
    note: String,
}

/// All jobs, the newest edit first.
#[utoipa::path(get, path = "/api/jobs", responses((status = 200, body = Vec<JobSummary>)))]
pub(crate) async fn jobs(State(app): State<Arc<App>>) -> Result<Json<Vec<JobSummary>>, Problem> {
    blocking(app, |app| {
        let mut jobs = Vec::new();
        for name in app.store.names(Kind::Job)? {
            let revision = app.store.revision(&Subject::job(&name), None)?;
            let bytes = match revision.files.get("job.toml") {
                Some(hash) => app.store.blob(hash)?,
                None => Vec::new(),
            };
            let file = read_job_file(&bytes, "job.toml").ok();
            let text =
                |get: fn(&JobFile) -> &String| file.as_ref().map_or_else(String::new, |f| get(f).clone());
            jobs.push(JobSummary {
                title: text(|f| &f.title),
                customer: text(|f| &f.customer),
                shell: text(|f| &f.shell),
                items: file.as_ref().map_or(0, |f| f.items.len()),
                revision: revision.number,
                at: revision.at,
                name,
            });
        }
        jobs.sort_by(|a, b| b.at.cmp(&a.at).then_with(|| a.name.cmp(&b.name)));
        Ok(Json(jobs))
    })
    .await
}

/// A new job: from a template, like another, or from the example that names every key.
#[utoipa::path(post, path = "/api/jobs", request_body = NewJob,
    responses((status = 200, body = Saved), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn new_job(
    State(app): State<Arc<App>>,
    Json(request): Json<NewJob>,
) -> Result<Json<Saved>, Problem> {
    blocking(app, move |app| {
        if request.title.trim().is_empty() {
            return Err(Problem::broken("the title is empty").field("title"));
        }
        let (mut file, mut files) = beginning(app, &request)?;
        request.title.trim().clone_into(&mut file.title);
        request.customer.trim().clone_into(&mut file.customer);
        file.shell = request.shell;
        let text = document_to_toml(&file).map_err(Problem::broken)?;
        files.insert(job_text::JOB.to_owned(), text.into_bytes());
        let draft = Draft {
            files,
            at: now(),
            author: request.author,
            note: match (&request.template, &request.like) {
                (Some(template), _) => format!("new job from the template {template}"),
                (_, Some(other)) => format!("new job like {other}"),
                _ => "new job".to_owned(),
            },
        };
        // The first free name of the title's own.
        let plain = plain_name(&file.title);
        let mut name = plain.clone();
        let mut number = 1;
        loop {
            match app.store.create(&Subject::job(&name), &draft) {
                Ok(revision) => return Ok(Json(Saved { name, revision })),
                Err(StoreError::Taken { .. }) => {
                    number += 1;
                    name = format!("{plain}-{number}");
                }
                Err(error) => return Err(error.into()),
            }
        }
    })
    .await
}

/// What a new job begins with: its text, and the files beside it.
fn beginning(app: &App, request: &NewJob) -> Result<(JobFile, BTreeMap<String, Vec<u8>>), Problem> {
    let other = match (&request.template, &request.like) {
        (Some(_), Some(_)) => {
            return Err(
                Problem::broken("a job starts from a template or like another job, not both")
                    .field("template")
                    .hint("leave one of `template` and `like` out"),
            );
        }
        (Some(template), None) => return Ok((find_template(&app.library, template)?.1, BTreeMap::new())),
        (None, None) => {
            let file = read_job_file(job_template().as_bytes(), job_text::JOB)?;
            return Ok((file, BTreeMap::new()));
        }
        (None, Some(other)) => other,
    };
    let revision = app.store.revision(&Subject::job(other), None)?;
    let mut files = app.store.files(&revision)?;
    let mut file = read_job_file(job_text::of(&files)?, job_text::JOB)?;
    files.retain(|path, _| !path.starts_with(crate::alternatives::ALTERNATIVES));
    if file.shell != request.shell {
        // Both name what is in the other shell.
        file.removed.clear();
        files.remove(PLACES);
    }
    // Its own number, date and signatures stay with it.
    let blank = read_job_file(job_template().as_bytes(), job_text::JOB)?;
    file.id = blank.id;
    file.date = None;
    file.concessions.clear();
    Ok((file, files))
}

/// A job as it stands, or as it stood.
#[utoipa::path(get, path = "/api/jobs/{name}", params(("name" = String, Path), Which),
    responses((status = 200, body = JobView), (status = 404, body = Problem)))]
pub(crate) async fn job(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<JobView>, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        let steps = app.store.steps(&Subject::job(&name))?;
        Ok(Json(view(app, &name, &open, steps)?))
    })
    .await
}

/// Keeps an edited job. What does not read yet is kept too, and the answer of the job says what is wrong.
#[utoipa::path(put, path = "/api/jobs/{name}", params(("name" = String, Path)), request_body = SaveJob,
    responses((status = 200, body = JobView), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn save_job(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<SaveJob>,
) -> Result<Json<JobView>, Problem> {
    blocking(app, move |app| {
        let file: JobFile =
            serde_json::from_value(request.document).map_err(|error| Problem::broken(error.to_string()))?;
        let text = document_to_toml(&file).map_err(Problem::broken)?;
        let subject = Subject::job(&name);
        let base = app.store.revision(&subject, Some(request.base))?;
        let mut files = app.store.files(&base)?;
        files.insert("job.toml".to_owned(), text.into_bytes());
        let draft = Draft {
            files,
            at: now(),
            author: request.author,
            note: request.note,
        };
        let revision = app.store.append(&subject, request.base, &draft)?;
        app.tell(&name, revision, &draft.author);
        let open = app.job(&name, Some(revision))?;
        Ok(Json(view(app, &name, &open, app.store.steps(&subject)?)?))
    })
    .await
}

/// Every revision, oldest first.
#[utoipa::path(get, path = "/api/jobs/{name}/history", params(("name" = String, Path)),
    responses((status = 200, body = Vec<RevisionView>), (status = 404, body = Problem)))]
pub(crate) async fn history(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<Json<Vec<RevisionView>>, Problem> {
    blocking(app, move |app| {
        let history = app.store.history(&Subject::job(&name))?;
        Ok(Json(history.into_iter().map(revision_view).collect()))
    })
    .await
}

/// Undo, redo, or any older revision, as a new one.
#[utoipa::path(post, path = "/api/jobs/{name}/back", params(("name" = String, Path)), request_body = BringBack,
    responses((status = 200, body = JobView), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn bring_back(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<BringBack>,
) -> Result<Json<JobView>, Problem> {
    blocking(app, move |app| {
        let subject = Subject::job(&name);
        let steps = app.store.steps(&subject)?;
        let (old, kind) = match request.what {
            Back::Undo => (steps.undo, RevisionKind::Undo),
            Back::Redo => (steps.redo, RevisionKind::Redo),
            Back::Revision(number) => (Some(number), RevisionKind::Restore),
        };
        let old = old.ok_or_else(|| Problem::broken(format!("there is nothing to {}", kind.word())))?;
        let draft = Draft {
            at: now(),
            author: request.author,
            note: format!("{} to revision {old}", kind.word()),
            ..Draft::default()
        };
        let revision = app
            .store
            .bring_back(&subject, (request.base, old), kind, &draft)?;
        app.tell(&name, revision, &draft.author);
        let open = app.job(&name, Some(revision))?;
        Ok(Json(view(app, &name, &open, app.store.steps(&subject)?)?))
    })
    .await
}

fn revision_view(revision: Revision) -> RevisionView {
    RevisionView {
        number: revision.number,
        kind: revision.kind.word().to_owned(),
        same_as: revision.same_as,
        at: revision.at,
        author: revision.author,
        note: revision.note,
    }
}

pub(crate) fn view(app: &App, name: &str, open: &OpenJob, steps: Steps) -> Result<JobView, Problem> {
    let bytes = job_text::of(&open.files)?;
    // Through the typed form, so that every key has its default.
    let file = read_job_file(bytes, "job.toml");
    let document = match &file {
        Ok(file) => serde_json::to_value(file).map_err(|error| Problem::internal(error.to_string()))?,
        Err(_) => document_to_json(bytes, "job.toml").unwrap_or_default(),
    };
    let job = open.job.as_ref();
    Ok(JobView {
        name: name.to_owned(),
        revision: open.revision.number,
        at: open.revision.at.clone(),
        author: open.revision.author.clone(),
        document,
        shapes: open
            .files
            .keys()
            .filter(|path| {
                *path != "job.toml" && *path != PLACES && !path.starts_with(crate::alternatives::ALTERNATIVES)
            })
            .cloned()
            .collect(),
        problem: job.err().map(|error| error.clone().into()),
        survey: job.ok().map(|job| app.survey(&job.brief.shell)),
        contents: job.ok().map(|job| ContentsSection::of(&job.brief, &job.meshes)),
        can_undo: steps.undo.is_some(),
        can_redo: steps.redo.is_some(),
    })
}
