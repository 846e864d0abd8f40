//! Shapes of equipment: taken in, and shown.

use crate::api::jobs::view;
use crate::api::{binary, blocking};
use crate::app::{App, plain_name};
use crate::body::{File, Json, Query};
use crate::clock::now;
use crate::error::Problem;
use crate::job_text;
use axum::extract::{Path, State};
use axum::response::Response;
use caddis_basis::{BenchUnit, Name};
use caddis_files::{ShapeReader, ShapeRequest, document_to_toml, read_job_file};
use caddis_store::{Draft, Subject};
use serde_json::json;
use std::sync::Arc;
use utoipa::IntoParams;

/// What a dropped file is.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct Dropped {
    /// The revision it is added to.
    base: u64,
    /// The file's name as the person knows it.
    file: String,
    /// The unit of its numbers where the format carries none (mm, cm, in, m).
    unit: Option<String>,
    /// The item that gets this shape; a new item when left out.
    item: Option<String>,
    /// Which tab.
    author: String,
}

impl Dropped {
    fn of(query: &Query) -> Result<Self, Problem> {
        Ok(Self {
            base: query
                .number("base")?
                .ok_or_else(|| Problem::broken("`base` is missing").field("base"))?,
            file: query.needed("file")?,
            unit: query.text("unit"),
            item: query.text("item"),
            author: query.needed("author")?,
        })
    }
}

/// A shape file dropped in: read under limits, kept, and given to an item.
#[utoipa::path(post, path = "/api/jobs/{name}/shapes", params(("name" = String, Path), Dropped),
    request_body(content_type = "application/octet-stream", content = Vec<u8>),
    responses((status = 200, body = crate::api::jobs::JobView), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn add_shape(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
    File(bytes): File,
) -> Result<Json<crate::api::jobs::JobView>, Problem> {
    blocking(app, move |app| {
        let dropped = Dropped::of(&query)?;
        let unit = dropped
            .unit
            .as_deref()
            .map(BenchUnit::parse)
            .transpose()
            .map_err(|error| Problem::broken(error.to_string()).field("unit"))?;
        let shown = Name::new(&dropped.file);
        let request = ShapeRequest {
            bytes: &bytes,
            name: &shown,
            unit,
            profile: None,
        };
        app.shapes.read(&request).map_err(|message| {
            let (sentence, hint) = match message.split_once("; ") {
                Some((sentence, hint)) => (sentence.to_owned(), Some(hint.to_owned())),
                None => (message, None),
            };
            let mut problem = Problem::broken(sentence).field("file");
            problem.hint = hint;
            problem.file = Some(dropped.file.clone());
            problem
        })?;
        let subject = Subject::job(&name);
        let base = app.store.revision(&subject, Some(dropped.base))?;
        let mut files = app.store.files(&base)?;
        let mut job = read_job_file(job_text::of(&files)?, job_text::JOB)?;
        let (stem, ending) = dropped
            .file
            .rsplit_once('.')
            .unwrap_or((dropped.file.as_str(), "stl"));
        let stem = plain_name(stem.rsplit(['/', '\\']).next().unwrap_or(stem));
        let path = format!("shapes/{stem}.{}", plain_name(ending));
        let mut mesh = json!({ "file": path });
        if let Some(unit) = unit {
            mesh["unit"] = json!(unit.as_str());
        }
        let shape =
            serde_json::from_value(json!({ "mesh": mesh })).map_err(|e| Problem::internal(e.to_string()))?;
        if let Some(id) = &dropped.item {
            let item = job
                .items
                .iter_mut()
                .find(|item| item.id == *id)
                .ok_or_else(|| Problem::missing(format!("item `{id}`")))?;
            item.shape = shape;
        } else {
            let taken = |id: &str| job.items.iter().any(|item| item.id == id);
            let id = (1..=job.items.len() + 1)
                .map(|n| {
                    if n == 1 {
                        stem.clone()
                    } else {
                        format!("{stem}-{n}")
                    }
                })
                .find(|id| !taken(id))
                .unwrap_or_else(|| stem.clone());
            let item = json!({
                "id": id, "name": stem.replace('-', " "), "mass": "1 kg ± 0.5 kg", "fragility": "unknown",
                "shape": { "mesh": mesh }, "size_tolerance": "1 mm",
                "source": "typed on the page, weigh it (invented)",
            });
            job.items
                .push(serde_json::from_value(item).map_err(|e| Problem::internal(e.to_string()))?);
        }
        files.insert(path.clone(), bytes.to_vec());
        files.insert(
            "job.toml".to_owned(),
            document_to_toml(&job).map_err(Problem::broken)?.into_bytes(),
        );
        let draft = Draft {
            files,
            at: now(),
            author: dropped.author,
            note: format!("shape {path}"),
        };
        let revision = app.store.append(&subject, dropped.base, &draft)?;
        app.tell(&name, revision, &draft.author);
        let open = app.job(&name, Some(revision))?;
        Ok(Json(view(app, &name, &open, app.store.steps(&subject)?)?))
    })
    .await
}

/// One item in its own frame as a 3D shape (binary glTF, metres, y up).
#[utoipa::path(get, path = "/api/jobs/{name}/items/{item}/scene.glb",
    params(("name" = String, Path), ("item" = String, Path)),
    responses((status = 200, content_type = "model/gltf-binary"), (status = 404, body = Problem)))]
pub(crate) async fn item_scene(
    State(app): State<Arc<App>>,
    Path((name, item)): Path<(String, String)>,
) -> Result<Response, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, None)?;
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let found = job
            .brief
            .items
            .iter()
            .find(|found| found.id.to_string() == item)
            .ok_or_else(|| Problem::missing(format!("item `{item}`")))?;
        let scene = caddis_documents::item_scene(found);
        Ok(binary(scene.media_type, scene.bytes))
    })
    .await
}
