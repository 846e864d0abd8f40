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
use caddis_basis::{BenchUnit, Length, Name, Parse};
use caddis_files::{JobFile, ShapeReader, ShapeRequest, document_to_toml, read_job_file};
use caddis_store::{Draft, Subject};
use caddis_survey::{Item, Profile, outline_format};
use serde_json::{Value, json};
use std::collections::BTreeMap;
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
    /// How high the piece of a drawing (DXF, SVG) is, with its unit; solids do not ask.
    depth: Option<String>,
    /// The item that gets this shape; a new item when left out.
    item: Option<String>,
    /// `true` to let the new item stand for all items there are.
    replace: Option<bool>,
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
            depth: query.text("depth"),
            item: query.text("item"),
            replace: query.flag("replace")?,
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
        let read = read(app, &dropped, &bytes)?;
        let subject = Subject::job(&name);
        let base = app.store.revision(&subject, Some(dropped.base))?;
        let mut files = app.store.files(&base)?;
        let mut job = read_job_file(job_text::of(&files)?, job_text::JOB)?;
        let (stem, ending) = dropped
            .file
            .rsplit_once('.')
            .unwrap_or((dropped.file.as_str(), "stl"));
        let stem = plain_name(stem.rsplit(['/', '\\']).next().unwrap_or(stem));
        let path = free_path(&files, &stem, &plain_name(ending), &bytes);
        let shape = shape(&read, &path);
        if let Some(id) = &dropped.item {
            let item = job
                .items
                .iter_mut()
                .find(|item| item.id == *id)
                .ok_or_else(|| Problem::missing(format!("item `{id}`")))?;
            item.shape = serde_json::from_value(shape).map_err(|e| Problem::internal(e.to_string()))?;
        } else {
            if dropped.replace == Some(true) {
                job.clear_items();
            }
            let id = free_id(&job, &stem);
            let item = json!({
                "id": id, "name": stem.replace('-', " "), "mass": "1 kg ± 0.5 kg", "fragility": "unknown",
                "shape": shape, "size_tolerance": "1 mm",
                "source": "typed on the page, weigh it (invented)",
            });
            job.items
                .push(serde_json::from_value(item).map_err(|e| Problem::internal(e.to_string()))?);
        }
        files.insert(path.clone(), bytes.to_vec());
        files.insert(
            job_text::JOB.to_owned(),
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

/// What a file was read as.
struct ReadAs {
    unit: Option<BenchUnit>,
    /// The depth of a drawing, as it was written.
    depth: Option<String>,
}

/// Reads a file, so that what does not read is never kept.
fn read(app: &App, dropped: &Dropped, bytes: &[u8]) -> Result<ReadAs, Problem> {
    let unit = dropped
        .unit
        .as_deref()
        .map(BenchUnit::parse)
        .transpose()
        .map_err(|error| Problem::broken(error.to_string()).field("unit"))?;
    let shown = Name::new(&dropped.file);
    // A depth stands for a whole folder of files: solids in it have their own.
    let depth = dropped
        .depth
        .clone()
        .filter(|_| outline_format(bytes, &shown).is_some());
    let profile = depth
        .as_deref()
        .map(|text| {
            let depth = Length::parse(text).map_err(|error| error.to_string())?;
            Profile::of_depth(depth)
        })
        .transpose()
        .map_err(|sentence| Problem::broken(sentence).field("depth"))?;
    let request = ShapeRequest {
        bytes,
        name: &shown,
        unit,
        profile: profile.as_ref(),
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
    Ok(ReadAs { unit, depth })
}

/// A shape as the job writes it.
fn shape(read: &ReadAs, path: &str) -> Value {
    let mut file = json!({ "file": path });
    if let Some(unit) = read.unit {
        file["unit"] = json!(unit.as_str());
    }
    if let Some(depth) = &read.depth {
        file["depth"] = json!(depth);
        return json!({ "outline": file });
    }
    json!({ "mesh": file })
}

/// A path that holds nothing yet, or these very bytes: files of one name in two folders are two shapes.
fn free_path(files: &BTreeMap<String, Vec<u8>>, stem: &str, ending: &str, bytes: &[u8]) -> String {
    let mut number = 1;
    let mut path = format!("shapes/{stem}.{ending}");
    while files.get(&path).is_some_and(|other| other != bytes) {
        number += 1;
        path = format!("shapes/{stem}-{number}.{ending}");
    }
    path
}

/// An id that no item has.
fn free_id(job: &JobFile, stem: &str) -> String {
    let mut number = 1;
    let mut id = stem.to_owned();
    while job.items.iter().any(|item| item.id == id) {
        number += 1;
        id = format!("{stem}-{number}");
    }
    id
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
        let scene = of_item(app, &name, &item, caddis_documents::item_scene)?;
        Ok(binary(scene.media_type, scene.bytes))
    })
    .await
}

/// Width and height of an item's picture, pixels.
const PICTURE: (usize, usize) = (192, 144);

/// One item in its own frame as a small picture (PNG).
#[utoipa::path(get, path = "/api/jobs/{name}/items/{item}/picture.png",
    params(("name" = String, Path), ("item" = String, Path)),
    responses((status = 200, content_type = "image/png"), (status = 404, body = Problem)))]
pub(crate) async fn item_picture(
    State(app): State<Arc<App>>,
    Path((name, item)): Path<(String, String)>,
) -> Result<Response, Problem> {
    blocking(app, move |app| {
        let picture = of_item(app, &name, &item, |item| {
            caddis_documents::item_picture(item, PICTURE.0, PICTURE.1)
        })?;
        let bytes = picture
            .png()
            .map_err(|error| Problem::internal(error.to_string()))?;
        Ok(binary("image/png", bytes))
    })
    .await
}

/// What is drawn of an item of the newest revision.
fn of_item<T>(app: &App, name: &str, id: &str, drawn: impl FnOnce(&Item) -> T) -> Result<T, Problem> {
    let open = app.job(name, None)?;
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    job.brief
        .items
        .iter()
        .find(|found| found.id.to_string() == id)
        .map(drawn)
        .ok_or_else(|| Problem::missing(format!("item `{id}`")))
}
