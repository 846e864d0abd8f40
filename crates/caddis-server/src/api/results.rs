//! Arrange, verify, make: asked for, watched, stopped, looked at, taken away.

use crate::api::jobs::Which;
use crate::api::{binary, blocking};
use crate::app::{App, OpenJob};
use crate::body::{Json, Query};
use crate::error::Problem;
use crate::set::{CustomerPaper, JobSet, SetFile};
use crate::solve::{Design, FlatView, From, State as Solve, start};
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use caddis_design::Interior;
use caddis_documents::{fall_scene, scene};
use caddis_files::{FindingResult, InteriorSection, Job, PLACES, ResultFile, ResultHead};
use caddis_store::Subject;
use serde::Serialize;
use std::sync::Arc;
use utoipa::{IntoParams, ToSchema};

/// The revision on papers made from the page.
pub(super) const PAPER_REVISION: &str = "A";

/// How far a revision has come, and what came out.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ResultView {
    /// The job's revision this is about.
    revision: u64,
    /// none, laid (arranged, not verified), running, stopped (arranged, its verification stopped), done, impossible or failed.
    state: String,
    /// Where running work is.
    #[serde(skip_serializing_if = "Option::is_none")]
    stage: Option<String>,
    /// How far it is in the stage.
    #[serde(skip_serializing_if = "Option::is_none")]
    fraction: Option<f64>,
    /// The best so far, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    best: Option<String>,
    /// Every item in six flat falls, while falls in every direction are simulated; empty otherwise.
    flat: Vec<FlatView>,
    /// The search was stopped before it was satisfied.
    stopped: bool,
    /// What came out.
    #[serde(skip_serializing_if = "Option::is_none")]
    result: Option<ResultFile>,
    /// Why it cannot be.
    reasons: Vec<FindingResult>,
    /// What went wrong.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
}

/// What to start from.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct Start {
    /// `nothing` (every place is searched for; when left out), `kept` (what lies there stays where it can) or `laid` (what lies
    /// there is verified and made as it is).
    #[expect(dead_code, reason = "describes the parameter; it is read by name")]
    from: Option<String>,
}

/// Starts arranging, verifying and making a revision; progress comes as events, and where everything lies is kept as a
/// revision as soon as it is found.
#[utoipa::path(post, path = "/api/jobs/{name}/solve", params(("name" = String, Path), Which, Start),
    responses((status = 200, body = ResultView), (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn solve(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<ResultView>, Problem> {
    blocking(app, move |app| {
        let from = match query.text("from") {
            None => From::Nothing,
            Some(word) => From::parse(&word).ok_or_else(|| {
                Problem::broken(format!("`{word}` is nothing to start from"))
                    .hint("use nothing, kept or laid")
                    .field("from")
            })?,
        };
        let revision = start(app, &name, query.number("revision")?, from)?;
        Ok(Json(view(app, &name, &*app.job(&name, Some(revision))?)?))
    })
    .await
}

/// Stops the work on a revision: a search ends with the best it has, a verification with nothing.
#[utoipa::path(post, path = "/api/jobs/{name}/stop", params(("name" = String, Path), Which),
    responses((status = 200, body = ResultView), (status = 404, body = Problem)))]
pub(crate) async fn stop(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<ResultView>, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        app.solves.stop(&name, &open.revision);
        Ok(Json(view(app, &name, &open)?))
    })
    .await
}

/// What came out of a revision so far.
#[utoipa::path(get, path = "/api/jobs/{name}/result", params(("name" = String, Path), Which),
    responses((status = 200, body = ResultView), (status = 404, body = Problem)))]
pub(crate) async fn result(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<ResultView>, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        Ok(Json(view(app, &name, &open)?))
    })
    .await
}

/// The packed case as a 3D shape (binary glTF, metres, y up).
#[utoipa::path(get, path = "/api/jobs/{name}/scene.glb", params(("name" = String, Path), Which),
    responses((status = 200, content_type = "model/gltf-binary"), (status = 404, body = Problem)))]
pub(crate) async fn result_scene(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Response, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        let interior = app.laid(&name, &open)?;
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let scene = scene(&job.brief, &interior);
        Ok(binary(scene.media_type, scene.bytes))
    })
    .await
}

/// One file of the finished set: `report.pdf`, a customer's paper such as `quotation.pdf`, `result.json`, `falls.glb` or `set.zip`.
#[utoipa::path(get, path = "/api/jobs/{name}/files/{file}",
    params(("name" = String, Path), ("file" = String, Path), Which),
    responses((status = 200, content_type = "application/octet-stream"), (status = 404, body = Problem)))]
pub(crate) async fn download(
    State(app): State<Arc<App>>,
    Path((name, file)): Path<(String, String)>,
    query: Query,
) -> Result<Response, Problem> {
    blocking(app, move |app| {
        let design = design(app, &name, query.number("revision")?)?;
        let (media_type, bytes) = match file.as_str() {
            "report.pdf" => ("application/pdf", report_of(&design)?),
            name if paper_named(name).is_some() => (media_type(name), paper_of(&design, name)?),
            "result.json" => ("application/json", result_of(app, &design)?),
            "set.zip" => ("application/zip", zipped(&set_of(app, &design)?)?),
            "falls.glb" => fall_scene(&design.job()?.brief, &design.verification)
                .map(|scene| (scene.media_type, scene.bytes))
                .ok_or_else(|| {
                    Problem::missing("fall map on the case").hint("no item states what it stands")
                })?,
            _ => return Err(Problem::missing(format!("file `{file}`"))),
        };
        let disposition = if media_type == "application/zip" {
            format!("attachment; filename=\"{}.zip\"", crate::app::plain_name(&name))
        } else {
            "inline".to_owned()
        };
        Ok((
            [
                (header::CONTENT_TYPE, media_type.to_owned()),
                (header::CONTENT_DISPOSITION, disposition),
            ],
            bytes,
        )
            .into_response())
    })
    .await
}

pub(super) fn view(app: &App, name: &str, open: &OpenJob) -> Result<ResultView, Problem> {
    let mut view = ResultView {
        revision: open.revision.number,
        state: "none".to_owned(),
        stage: None,
        fraction: None,
        best: None,
        flat: Vec::new(),
        stopped: false,
        result: None,
        reasons: Vec::new(),
        problem: None,
    };
    let state = app.solves.state(name, &open.revision);
    match state {
        None => {}
        Some(Solve::Running {
            stage,
            fraction,
            best,
            flat,
            ..
        }) => {
            "running".clone_into(&mut view.state);
            view.stage = Some(stage);
            view.fraction = Some(fraction).filter(|fraction| fraction.is_finite());
            view.best = best;
            view.flat = flat;
        }
        Some(Solve::Stopped) => "stopped".clone_into(&mut view.state),
        Some(Solve::Done(design)) => {
            "done".clone_into(&mut view.state);
            view.stopped = design.stopped;
            view.result = Some(result_file(app, &design)?);
        }
        Some(Solve::Impossible(reasons)) => {
            "impossible".clone_into(&mut view.state);
            view.reasons = reasons.iter().map(Into::into).collect();
        }
        Some(Solve::Failed(problem)) => {
            "failed".clone_into(&mut view.state);
            view.problem = Some(problem);
        }
    }
    if view.result.is_none()
        && let (Ok(job), true) = (&open.job, open.files.contains_key(PLACES))
    {
        match app.laid(name, open) {
            Ok(interior) => {
                if view.state == "none" {
                    "laid".clone_into(&mut view.state);
                }
                view.result = Some(laid_file(job, &interior));
            }
            Err(problem) if view.state == "none" => view.problem = Some(problem),
            Err(_) => {}
        }
    }
    Ok(view)
}

/// What is known of a design that lies but is not verified.
fn laid_file(job: &Job, interior: &Interior) -> ResultFile {
    let brief = &job.brief;
    let mut result = ResultFile::new(ResultHead {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        date: job.date.clone().unwrap_or_default(),
        job: brief.job.clone(),
        title: brief.title.clone(),
        customer: brief.customer.clone(),
    });
    result.interior = Some(InteriorSection::of(interior, brief));
    result
}

pub(super) fn design(app: &App, name: &str, revision: Option<u64>) -> Result<Arc<Design>, Problem> {
    let revision = app.store.revision(&Subject::job(name), revision)?;
    match app.solves.state(name, &revision) {
        Some(Solve::Done(design)) => Ok(design),
        _ => Err(
            Problem::missing(format!("finished design of revision {}", revision.number))
                .hint("arrange and verify it first"),
        ),
    }
}

fn job_set(design: &Design) -> Result<JobSet<'_>, Problem> {
    let job = design.job()?;
    Ok(JobSet {
        job,
        words: crate::set::words_of(&job.language)?,
        interior: &design.interior,
        verification: &design.verification,
        release: &design.release,
        date: &design.date,
        revision: PAPER_REVISION,
    })
}

fn result_file(app: &App, design: &Design) -> Result<ResultFile, Problem> {
    let set = job_set(design)?;
    Ok(set.result(app.survey(&set.job.brief.shell), Some(&design.set)))
}

fn result_of(app: &App, design: &Design) -> Result<Vec<u8>, Problem> {
    let text = result_file(app, design)?.to_json().map_err(Problem::internal)?;
    Ok(text.into_bytes())
}

fn report_of(design: &Design) -> Result<Vec<u8>, Problem> {
    let (_, bytes) = job_set(design)?
        .report(&design.set)
        .map_err(|error| Problem::internal(error.to_string()))?;
    Ok(bytes)
}

/// What a browser is told of one of the customer's papers.
fn media_type(file: &str) -> &'static str {
    match file.rsplit('.').next() {
        Some("xlsx") => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        Some("csv") => "text/csv; charset=utf-8",
        Some("step") => "model/step",
        Some("3mf") => "model/3mf",
        Some("stl") => "model/stl",
        _ => "application/pdf",
    }
}

/// The customer's paper of a file name.
fn paper_named(file: &str) -> Option<CustomerPaper> {
    CustomerPaper::ALL
        .into_iter()
        .find(|paper| paper.file_name() == file)
}

fn paper_of(design: &Design, file: &str) -> Result<Vec<u8>, Problem> {
    let paper = paper_named(file).ok_or_else(|| Problem::missing(format!("file `{file}`")))?;
    let (_, bytes) = job_set(design)?
        .paper(paper, &design.set)
        .map_err(|error| Problem::internal(error.to_string()))?;
    Ok(bytes)
}

/// The whole set: cut files only with a release.
fn set_of(app: &App, design: &Design) -> Result<Vec<SetFile>, Problem> {
    let set = job_set(design)?;
    let mut files = set.cut(&design.set).map_err(Problem::internal)?;
    files.extend(
        set.papers(&design.set)
            .map_err(|error| Problem::internal(error.to_string()))?,
    );
    files.push(("result.json".to_owned(), result_of(app, design)?));
    files.push(set.manifest(&files).map_err(Problem::internal)?);
    Ok(files)
}

fn zipped(files: &[SetFile]) -> Result<Vec<u8>, Problem> {
    use std::io::Write;
    let fail =
        |error: &dyn std::fmt::Display| Problem::internal(format!("the set cannot be zipped: {error}"));
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (path, bytes) in files {
        zip.start_file(path.as_str(), zip::write::SimpleFileOptions::default())
            .map_err(|error| fail(&error))?;
        zip.write_all(bytes).map_err(|error| fail(&error))?;
    }
    Ok(zip.finish().map_err(|error| fail(&error))?.into_inner())
}
