//! Alternatives: arrangements kept side by side with what each is judged by, and the one that becomes the job's.

use crate::alternatives::{Alternative, compared, drop_one, search, set_aside, take};
use crate::api::blocking;
use crate::api::jobs::{JobView, Which, view};
use crate::app::{App, OpenJob};
use crate::body::{Json, Query};
use crate::error::Problem;
use axum::extract::{Path, State};
use caddis_files::{InteriorSection, Job};
use caddis_store::Subject;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use utoipa::ToSchema;

/// An arrangement to compare.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AlternativeView {
    /// Its number; left out for the job's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<u32>,
    /// Where everything lies, with its score term by term and its wishes.
    interior: InteriorSection,
    /// Sum of the score's terms.
    points: f64,
    /// Failing findings without simulated falls.
    failing: usize,
}

/// One that can no longer be laid out.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LostView {
    /// Its number; 0 for the job's own.
    id: u32,
    /// Why.
    why: String,
}

/// A search for another, under way.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AnotherView {
    seed: u64,
    fraction: f64,
    /// How it ended, where nothing came of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    ended: Option<Problem>,
}

/// All arrangements of a revision.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AlternativesView {
    revision: u64,
    /// The job's own first.
    kept: Vec<AlternativeView>,
    lost: Vec<LostView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    another: Option<AnotherView>,
}

/// What to do about alternatives.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum About {
    /// Search for another, from a seed that none has yet.
    Search,
    /// End that search with the best it has.
    Stop,
    /// Set what lies there aside.
    SetAside,
    /// Make this one the job's own.
    Take(u32),
    /// Let this one go.
    Drop(u32),
}

/// What to do, on which revision.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct AboutAlternatives {
    /// The revision this is asked on.
    base: u64,
    what: About,
    /// Which tab.
    author: String,
}

/// The job's arrangement and its alternatives, with what each is judged by.
#[utoipa::path(get, path = "/api/jobs/{name}/alternatives", params(("name" = String, Path), Which),
    responses((status = 200, body = AlternativesView), (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn alternatives(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<AlternativesView>, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        Ok(Json(shown(app, &name, &open)?))
    })
    .await
}

/// Searches for another, sets aside, takes one up or lets one go; the answer is the job as it is then.
#[utoipa::path(post, path = "/api/jobs/{name}/alternatives", params(("name" = String, Path)),
    request_body = AboutAlternatives,
    responses((status = 200, body = JobView), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn about(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<AboutAlternatives>,
) -> Result<Json<JobView>, Problem> {
    blocking(app, move |app| {
        let (base, author) = (request.base, request.author.as_str());
        let open = match request.what {
            About::Search => {
                search(app, &name, base)?;
                app.job(&name, Some(base))?
            }
            About::Stop => {
                app.searches.stop(&name);
                app.job(&name, Some(base))?
            }
            About::SetAside => set_aside(app, &name, base, author)?,
            About::Take(id) => take(app, &name, base, id, author)?,
            About::Drop(id) => drop_one(app, &name, base, id, author)?,
        };
        Ok(Json(view(
            app,
            &name,
            &open,
            app.store.steps(&Subject::job(&name))?,
        )?))
    })
    .await
}

fn shown(app: &App, name: &str, open: &OpenJob) -> Result<AlternativesView, Problem> {
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let (kept, lost) = compared(app, name, open)?;
    Ok(AlternativesView {
        revision: open.revision.number,
        kept: kept.iter().map(|one| alternative(job, one)).collect(),
        lost: lost
            .into_iter()
            .map(|(id, problem)| LostView {
                id,
                why: problem.sentence,
            })
            .collect(),
        another: app.searches.of(name).map(|another| AnotherView {
            seed: another.seed,
            fraction: if another.fraction.is_finite() {
                another.fraction
            } else {
                0.0
            },
            ended: another.ended,
        }),
    })
}

fn alternative(job: &Job, one: &Alternative) -> AlternativeView {
    let interior = InteriorSection::of(&one.interior, &job.brief);
    AlternativeView {
        id: one.id,
        points: interior.score.iter().map(|term| term.points).sum(),
        interior,
        failing: one.failing,
    }
}
