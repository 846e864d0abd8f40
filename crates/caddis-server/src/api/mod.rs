//! The handlers, one file a noun. Every handler describes itself.

mod alternatives;
mod events;
mod figures;
mod jobs;
mod library;
mod lists;
mod places;
mod price;
mod results;
mod shapes;
mod survey;

use crate::app::App;
use crate::error::Problem;
use crate::openapi::Description;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Every handler at its address.
pub(crate) fn router() -> OpenApiRouter<Arc<App>> {
    OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(description))
        .routes(routes!(library::library))
        .routes(routes!(library::shell, survey::save_shell))
        .routes(routes!(survey::survey))
        .routes(routes!(survey::survey_scene))
        .routes(routes!(jobs::jobs, jobs::new_job))
        .routes(routes!(jobs::job, jobs::save_job))
        .routes(routes!(jobs::history))
        .routes(routes!(jobs::bring_back))
        .routes(routes!(lists::add_list))
        .routes(routes!(shapes::add_shape))
        .routes(routes!(shapes::item_scene))
        .routes(routes!(shapes::item_picture))
        .routes(routes!(events::events))
        .routes(routes!(alternatives::alternatives, alternatives::about))
        .routes(routes!(places::lie))
        .routes(routes!(places::change))
        .routes(routes!(price::price))
        .routes(routes!(results::solve))
        .routes(routes!(results::stop))
        .routes(routes!(results::result))
        .routes(routes!(results::result_scene))
        .routes(routes!(results::download))
        .routes(routes!(figures::figure))
}

/// This description.
#[utoipa::path(get, path = "/api/openapi.json", responses((status = 200, body = Object)))]
async fn description() -> Result<Response, Problem> {
    let text = crate::openapi::openapi_json().map_err(Problem::internal)?;
    Ok(([(header::CONTENT_TYPE, "application/json")], text).into_response())
}

/// Runs work that computes or touches the disk, off the threads that answer.
async fn blocking<T: Send + 'static>(
    app: Arc<App>,
    work: impl FnOnce(&Arc<App>) -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    tokio::task::spawn_blocking(move || work(&app))
        .await
        .unwrap_or_else(|_| {
            Err(Problem::internal(
                "the program failed at this; nothing was changed",
            ))
        })
}

/// A binary answer.
fn binary(media_type: &'static str, bytes: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, media_type)], bytes).into_response()
}
