//! Drawings of a finished design, as they stand in the papers.

use crate::api::jobs::Which;
use crate::api::results::design;
use crate::api::{binary, blocking};
use crate::app::App;
use crate::body::Query;
use crate::error::Problem;
use crate::solve::Design;
use axum::extract::{Path, State};
use axum::response::Response;
use caddis_documents::{
    Section, Sheet, Stamp, item_cushion, layer_drawing, nest_drawing, section_drawing, svg,
};
use std::sync::Arc;

/// One drawing as SVG: `section-long`, `section-cross`, `layer-2` and `nest-1` (counted from 1), `cushion-3` (by number on the
/// packing plan).
#[utoipa::path(get, path = "/api/jobs/{name}/figures/{figure}",
    params(("name" = String, Path), ("figure" = String, Path), Which),
    responses((status = 200, content_type = "image/svg+xml"), (status = 404, body = Problem)))]
pub(crate) async fn figure(
    State(app): State<Arc<App>>,
    Path((name, figure)): Path<(String, String)>,
    query: Query,
) -> Result<Response, Problem> {
    blocking(app, move |app| {
        let design = design(app, &name, query.number("revision")?)?;
        let sheet =
            sheet(&design, &figure)?.ok_or_else(|| Problem::missing(format!("drawing `{figure}`")))?;
        Ok(binary("image/svg+xml", svg(&sheet).into_bytes()))
    })
    .await
}

fn sheet(design: &Design, figure: &str) -> Result<Option<Sheet>, Problem> {
    let job = design.job()?;
    let brief = &job.brief;
    let words = crate::set::words_of(&job.language)?;
    let (kind, which) = figure.split_once('-').unwrap_or((figure, ""));
    let section = |section| Some(section_drawing(words, brief, &design.interior, section));
    let number: Option<usize> = which.parse().ok();
    let index = number.and_then(|number| number.checked_sub(1));
    let (layers, nests) = (&design.set.layers, &design.set.nests);
    let stamp = |number: usize| Stamp {
        job: brief.job.clone(),
        owner: job.shop.name.clone(),
        revision: super::results::PAPER_REVISION.to_owned(),
        date: design.date.clone(),
        tolerance: job.shop.process.tolerance.clone(),
        released: design.release.is_ok(),
        number,
        of: layers.len() + nests.len(),
    };
    Ok(match (kind, which, index) {
        ("section", "long", _) => section(Section::Long),
        ("section", "cross", _) => section(Section::Cross),
        ("layer", _, Some(index)) => layers
            .get(index)
            .map(|layer| layer_drawing(words, layer, &stamp(index + 1))),
        ("nest", _, Some(index)) => nests
            .get(index)
            .map(|nest| {
                nest_drawing(
                    words,
                    nest,
                    &design.set,
                    &job.shop,
                    &stamp(layers.len() + index + 1),
                )
            })
            .transpose()
            .map_err(|error| Problem::internal(error.to_string()))?,
        ("cushion", ..) => design
            .verification
            .items
            .iter()
            .find(|item| Some(item.number as usize) == number)
            .and_then(|item| item_cushion(words, brief, design.verification.drop_height, item)),
        _ => None,
    })
}
