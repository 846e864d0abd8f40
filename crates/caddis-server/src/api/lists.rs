//! A customer's packing list dropped in: its usable rows become items, every other row is told with why.

use crate::api::blocking;
use crate::api::jobs::{JobView, view};
use crate::app::App;
use crate::body::{File, Json, Query};
use crate::clock::now;
use crate::error::Problem;
use crate::job_text;
use axum::extract::{Path, State};
use caddis_files::{PackingList, document_to_json, is_workbook, read_list, read_sheets, sheets_refused};
use caddis_store::{Draft, Subject};
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::Arc;
use utoipa::{IntoParams, ToSchema};

/// What a dropped list is.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct DroppedList {
    /// The revision it is added to.
    #[expect(dead_code, reason = "describes the parameter; it is read by name")]
    base: u64,
    /// The file's name as the person knows it.
    #[expect(dead_code, reason = "as above")]
    file: String,
    /// `true` to let the list stand for all items there are; they are kept where left out.
    #[expect(dead_code, reason = "as above")]
    replace: Option<bool>,
    /// Which tab.
    #[expect(dead_code, reason = "as above")]
    author: String,
}

/// A header and what it was taken for.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ColumnView {
    header: String,
    /// Left out where the column was passed over.
    #[serde(skip_serializing_if = "Option::is_none")]
    taken_for: Option<String>,
}

/// A row that cannot be packed as it stands.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct UnusableView {
    /// Row of the sheet, from 1.
    row: usize,
    /// The header of the column at fault.
    column: String,
    problem: String,
    /// What would do.
    remedy: String,
}

/// What a list was understood as.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ListView {
    /// The job with the items; left out where no row can be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    job: Option<JobView>,
    file: String,
    columns: Vec<ColumnView>,
    /// Names of the items that came of it, in the order of the rows.
    used: Vec<String>,
    /// Every row that cannot be used.
    unusable: Vec<UnusableView>,
    /// Sheets that name columns too but were not read.
    sheets_passed_over: Vec<String>,
}

/// A packing list (CSV or XLSX) dropped in: usable rows become items, every other row is told with why.
#[utoipa::path(post, path = "/api/jobs/{name}/list", params(("name" = String, Path), DroppedList),
    request_body(content_type = "application/octet-stream", content = Vec<u8>),
    responses((status = 200, body = ListView), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn add_list(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
    File(bytes): File,
) -> Result<Json<ListView>, Problem> {
    blocking(app, move |app| {
        let base = query
            .number("base")?
            .ok_or_else(|| Problem::broken("`base` is missing").field("base"))?;
        let file = query.needed("file")?;
        let author = query.needed("author")?;
        let replaces = query.flag("replace")? == Some(true);
        // Only the file's own name: it is printed as the source of what it says.
        let shown = file.rsplit(['/', '\\']).next().unwrap_or(&file).to_owned();
        let list = read(app, &bytes, &shown)?;
        let subject = Subject::job(&name);
        let base = app.store.revision(&subject, Some(base))?;
        let mut job = None;
        let mut used = Vec::new();
        if !list.rows.is_empty() {
            let mut files = app.store.files(&base)?;
            let items = list.as_items(&shown);
            let (text, names) = job_text::edited(job_text::of(&files)?, |document| {
                add_items(document, &items, replaces)
            })?;
            files.insert(job_text::JOB.to_owned(), text.into_bytes());
            let draft = Draft {
                files,
                at: now(),
                author,
                note: format!("{} rows of {shown}", names.len()),
            };
            let revision = app.store.append(&subject, base.number, &draft)?;
            app.tell(&name, revision, &draft.author);
            let open = app.job(&name, Some(revision))?;
            job = Some(view(app, &name, &open, app.store.steps(&subject)?)?);
            used = names;
        }
        Ok(Json(listed(list, shown, used, job)))
    })
    .await
}

fn read(app: &App, bytes: &[u8], file: &str) -> Result<PackingList, Problem> {
    if is_workbook(bytes) {
        let sheets = (app.sheets)(bytes).map_err(|message| Problem::from(sheets_refused(&message, file)))?;
        return Ok(read_sheets(&sheets, file)?);
    }
    Ok(read_list(bytes, file)?)
}

/// Adds the items of a list, written as `[[items]]`, to a job; their names.
fn add_items(document: &mut Value, items: &str, replaces: bool) -> Result<Vec<String>, Problem> {
    // Every document says its schema; the items are read as one.
    let new = document_to_json(format!("schema = 1\n{items}").as_bytes(), "list")?;
    let new = new
        .get("items")
        .and_then(Value::as_array)
        .cloned()
        .ok_or_else(|| Problem::internal("the rows of a list are no items"))?;
    let list = document
        .as_object_mut()
        .map(|job| job.entry("items").or_insert_with(|| json!([])))
        .and_then(Value::as_array_mut)
        .ok_or_else(|| Problem::internal("the items of a job are no list"))?;
    if replaces {
        list.clear();
    }
    let mut taken: BTreeSet<String> = list
        .iter()
        .filter_map(|item| item.get("id")?.as_str().map(str::to_owned))
        .collect();
    let mut names = Vec::new();
    for mut item in new {
        let id = item
            .get("id")
            .and_then(Value::as_str)
            .unwrap_or("item")
            .to_owned();
        let mut free = id.clone();
        let mut number = 1;
        while !taken.insert(free.clone()) {
            number += 1;
            free = format!("{id}-{number}");
        }
        names.push(
            item.get("name")
                .and_then(Value::as_str)
                .unwrap_or(&free)
                .to_owned(),
        );
        item["id"] = json!(free);
        list.push(item);
    }
    if replaces && let Some(job) = document.as_object_mut() {
        // Wishes and signatures name items that are gone.
        job.remove("wishes");
        job.remove("concessions");
    }
    Ok(names)
}

fn listed(list: PackingList, file: String, used: Vec<String>, job: Option<JobView>) -> ListView {
    ListView {
        job,
        file,
        columns: list
            .columns
            .into_iter()
            .map(|(header, taken)| ColumnView {
                header,
                taken_for: taken.map(str::to_owned),
            })
            .collect(),
        used,
        unusable: list
            .unusable
            .into_iter()
            .map(|row| UnusableView {
                row: row.row,
                column: row.column,
                problem: row.problem,
                remedy: row.remedy,
            })
            .collect(),
        sheets_passed_over: list.other_lists,
    }
}
