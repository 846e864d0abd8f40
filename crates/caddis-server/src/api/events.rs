//! What happens to a job, as it happens: edits of other tabs, progress of long work.

use crate::app::{App, Event};
use crate::error::Problem;
use axum::extract::{Path, State};
use axum::response::sse::{KeepAlive, Sse};
use caddis_store::Subject;
use futures_util::stream::{self, Stream};
use std::convert::Infallible;
use std::sync::Arc;
use tokio::sync::broadcast::error::RecvError;

/// Server-sent events: `revision`, `progress`, `flat`, `solved`.
#[utoipa::path(get, path = "/api/jobs/{name}/events", params(("name" = String, Path)),
    responses((status = 200, content_type = "text/event-stream"), (status = 404, body = Problem)))]
pub(crate) async fn events(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<Sse<impl Stream<Item = Result<axum::response::sse::Event, Infallible>>>, Problem> {
    app.store.revision(&Subject::job(&name), None)?;
    let receiver = app.events.subscribe();
    let stream = stream::unfold((receiver, name), |(mut receiver, name)| async move {
        loop {
            match receiver.recv().await {
                Ok(event) if event.job() == name => return Some((Ok(written(&event)), (receiver, name))),
                // A tab that fell behind hears the next event, which carries the newest state anyway.
                Ok(_) | Err(RecvError::Lagged(_)) => {}
                Err(RecvError::Closed) => return None,
            }
        }
    });
    Ok(Sse::new(stream).keep_alive(KeepAlive::default()))
}

fn written(event: &Event) -> axum::response::sse::Event {
    let (kind, data) = match event {
        Event::Revision { revision, author, .. } => (
            "revision",
            serde_json::json!({ "revision": revision, "author": author }),
        ),
        Event::Progress {
            revision,
            stage,
            fraction,
            best,
            ..
        } => (
            "progress",
            serde_json::json!({ "revision": revision, "stage": stage, "fraction": fraction, "best": best }),
        ),
        Event::Flat { revision, items, .. } => {
            ("flat", serde_json::json!({ "revision": revision, "flat": items }))
        }
        Event::Solved { revision, .. } => ("solved", serde_json::json!({ "revision": revision })),
    };
    axum::response::sse::Event::default()
        .event(kind)
        .data(data.to_string())
}
