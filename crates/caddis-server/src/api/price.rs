//! What an arrangement costs as it lies, before anything is verified.

use crate::api::blocking;
use crate::api::jobs::Which;
use crate::app::App;
use crate::body::{Json, Query};
use crate::error::Problem;
use axum::extract::{Path, State};
use caddis_basis::{Quiet, failing};
use caddis_files::{BillSection, FindingResult};
use caddis_shop::make;
use serde::Serialize;
use std::sync::Arc;
use utoipa::ToSchema;

/// A price, and what it is made of.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PriceView {
    /// The job's revision this is about.
    revision: u64,
    /// The process it is cut by.
    process: String,
    /// Foam of the base, and of the lid pad, as papers name them.
    foams: [String; 2],
    /// Layers to cut.
    layers: usize,
    /// Sheets to buy.
    sheets: usize,
    /// Bill and cost.
    bill: BillSection,
    /// What the shop cannot do.
    failing: Vec<FindingResult>,
}

/// What a revision costs as it lies there: layers, nests and bill, without verification.
#[utoipa::path(get, path = "/api/jobs/{name}/price", params(("name" = String, Path), Which),
    responses((status = 200, body = PriceView), (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn price(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    query: Query,
) -> Result<Json<PriceView>, Problem> {
    blocking(app, move |app| {
        let open = app.job(&name, query.number("revision")?)?;
        let laid = app.laid(&name, &open)?;
        let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
        let set = make(&laid, &job.brief, &job.shop, laid.seed, &Quiet)
            .map_err(|error| Problem::broken(error.to_string()))?;
        let foam = |index: usize| {
            let foam = job.brief.foams.get(index);
            foam.map_or_else(String::new, |foam| foam.title.clone())
        };
        Ok(Json(PriceView {
            revision: open.revision.number,
            process: job.shop.process.name.clone(),
            foams: [foam(job.brief.base_foam), foam(job.brief.lid_foam)],
            layers: set.layers.len(),
            sheets: set.nests.len(),
            bill: BillSection::of(&set.bill),
            failing: failing(&set.findings).map(Into::into).collect(),
        }))
    })
    .await
}
