//! Shells, foams, shops and templates to choose from.

use crate::api::blocking;
use crate::api::survey::{ShellDocument, shell_of};
use crate::app::App;
use crate::body::Json;
use crate::error::Problem;
use axum::extract::{Path, State};
use caddis_basis::Length;
use caddis_files::{EntryKind, RegionResult, find_process, find_template, read_foam, read_shop_offer};
use caddis_store::{Kind, Subject};
use caddis_survey::{FragilityClass, HalfSide};
use serde::Serialize;
use std::sync::Arc;
use utoipa::ToSchema;

/// What there is to choose from.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LibraryView {
    shells: Vec<ShellSummary>,
    foams: Vec<FoamSummary>,
    shops: Vec<ShopSummary>,
    templates: Vec<TemplateSummary>,
    fragility_classes: Vec<FragilityClassView>,
}

/// A class of fragility, for an item of which nothing better is known.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FragilityClassView {
    /// The word in a job.
    name: String,
    /// Its low edge, in standard gravities.
    least_g: f64,
    /// Where it comes from, and how sure that is.
    source: String,
}

/// A job to start from, at a glance.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct TemplateSummary {
    /// Its name in the library.
    name: String,
    title: String,
    /// The shell it suggests.
    shell: String,
    /// Its journey in words.
    journey: String,
}

/// A shop, and what a job may choose of it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ShopSummary {
    /// Its name in the library.
    name: String,
    title: String,
    /// The process where a job names none.
    process: String,
    processes: Vec<ProcessSummary>,
    layer_thicknesses_m: Vec<f64>,
    /// Its pull strap for trays; without one a job cannot ask for straps.
    pull_strap: Option<String>,
    /// Its board behind a lid pad; without one a job cannot ask for it.
    board: Option<String>,
    /// Whether it bevels edges.
    bevels: bool,
    /// The colours it stocks foams in.
    colours: Vec<ColourSummary>,
}

/// A colour that a shop stocks a foam in.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ColourSummary {
    /// The foam, by its name in the library.
    foam: String,
    /// The colour's name on the stock.
    name: String,
    /// How pictures show it, sRGB.
    shade: [u8; 3],
}

/// A process at a glance.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ProcessSummary {
    /// Its name in the library.
    name: String,
    title: String,
}

/// A shell at a glance.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ShellSummary {
    /// Its name in the library.
    name: String,
    title: String,
    /// Surveyed here, not shipped.
    is_own: bool,
    outside_m: [f64; 3],
    /// Free height from floor to crown.
    inside_height_m: f64,
    usable_volume_m3: f64,
    empty_mass_kg: f64,
    /// The free plan at the rim, for its picture.
    rim: Option<RegionResult>,
    /// The free plan just over the floor.
    floor: Option<RegionResult>,
    /// Why it cannot be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
}

/// A foam at a glance.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FoamSummary {
    name: String,
    title: String,
    material: String,
    density_kg_m3: f64,
    closed_cell: bool,
    /// Its colour on drawings, sRGB.
    colour: [u8; 3],
}

/// The library: shells, foams, shops, templates.
#[utoipa::path(get, path = "/api/library", responses((status = 200, body = LibraryView)))]
pub(crate) async fn library(State(app): State<Arc<App>>) -> Result<Json<LibraryView>, Problem> {
    blocking(app, |app| {
        let own = app.store.names(Kind::Shell)?;
        let shells = app
            .library
            .names(EntryKind::Shell)
            .into_iter()
            .map(|name| shell_summary(app, name, &own))
            .collect();
        let foams = app
            .library
            .names(EntryKind::Foam)
            .into_iter()
            .filter_map(|name| {
                let path = app.library.path(EntryKind::Foam, &name)?;
                let foam = read_foam(&std::fs::read(path).ok()?, &name, &name).ok()?;
                Some(FoamSummary {
                    name,
                    title: foam.title.clone(),
                    material: foam.material.clone(),
                    density_kg_m3: foam.density.si(),
                    closed_cell: foam.closed_cell,
                    colour: foam.colour,
                })
            })
            .collect();
        Ok(Json(LibraryView {
            shells,
            foams,
            shops: app
                .library
                .names(EntryKind::Shop)
                .into_iter()
                .filter_map(|name| shop_summary(app, name))
                .collect(),
            templates: app
                .library
                .names(EntryKind::Template)
                .into_iter()
                .filter_map(|name| template_summary(app, name))
                .collect(),
            fragility_classes: FragilityClass::ALL
                .into_iter()
                .map(|class| FragilityClassView {
                    name: class.as_str().to_owned(),
                    least_g: class.least().as_g(),
                    source: class.source().to_string(),
                })
                .collect(),
        }))
    })
    .await
}

/// A shop that reads; one that does not says why where a job names it.
fn shop_summary(app: &App, name: String) -> Option<ShopSummary> {
    let path = app.library.path(EntryKind::Shop, &name)?;
    let offer = read_shop_offer(&std::fs::read(path).ok()?, &name).ok()?;
    let processes = offer
        .processes
        .into_iter()
        .map(|name| ProcessSummary {
            title: find_process(&app.library, &name, "the shop")
                .map_or_else(|_| name.clone(), |process| process.name),
            name,
        })
        .collect();
    Some(ShopSummary {
        name,
        title: offer.name,
        process: offer.process,
        processes,
        layer_thicknesses_m: offer.layer_thicknesses.iter().map(|t| t.si()).collect(),
        pull_strap: offer.pull_strap,
        board: offer.board,
        bevels: offer.bevels,
        colours: offer
            .colours
            .into_iter()
            .map(|offered| ColourSummary {
                foam: offered.foam,
                name: offered.colour.name,
                shade: offered.colour.shade,
            })
            .collect(),
    })
}

/// A template that reads; one that does not says why where a job is to start from it.
fn template_summary(app: &App, name: String) -> Option<TemplateSummary> {
    let (_, job) = find_template(&app.library, &name).ok()?;
    Some(TemplateSummary {
        name,
        title: job.title,
        shell: job.shell,
        journey: job.journey.title,
    })
}

fn shell_summary(app: &App, name: String, own: &[String]) -> ShellSummary {
    let is_own = own.contains(&name);
    match shell_bytes(app, &name).and_then(|bytes| Ok(caddis_files::read_shell(&bytes, &name, &name)?)) {
        Ok(shell) => ShellSummary {
            title: shell.title.clone(),
            is_own,
            outside_m: shell.outside.each_ref().map(|side| side.value.si()),
            inside_height_m: shell.crown_height().si(),
            usable_volume_m3: (shell.usable_volume(HalfSide::Base) + shell.usable_volume(HalfSide::Lid)).si(),
            empty_mass_kg: shell.empty_mass.value.si(),
            rim: Some((&shell.wall_section(shell.rim_height().si())).into()),
            floor: Some((&shell.section(0.5 * shell.base.fillet.value.max(Length::ZERO).si() + 1e-3)).into()),
            problem: None,
            name,
        },
        Err(problem) => ShellSummary {
            title: name.clone(),
            is_own,
            outside_m: [0.0; 3],
            inside_height_m: 0.0,
            usable_volume_m3: 0.0,
            empty_mass_kg: 0.0,
            rim: None,
            floor: None,
            problem: Some(problem),
            name,
        },
    }
}

/// The bytes of a shell: the person's own newest revision, else the one that ships.
pub(crate) fn shell_bytes(app: &App, name: &str) -> Result<Vec<u8>, Problem> {
    let subject = Subject::shell(name);
    if app.store.names(Kind::Shell)?.iter().any(|own| own == name) {
        let revision = app.store.revision(&subject, None)?;
        return app
            .store
            .files(&revision)?
            .remove("shell.toml")
            .ok_or_else(|| Problem::missing(format!("survey of shell `{name}`")));
    }
    // Only names the library itself lists become paths.
    let listed = app
        .shipped
        .names(EntryKind::Shell)
        .iter()
        .any(|known| known == name);
    listed
        .then(|| app.shipped.path(EntryKind::Shell, name))
        .flatten()
        .and_then(|path| std::fs::read(path).ok())
        .ok_or_else(|| Problem::missing(format!("shell `{name}`")))
}

/// A shell's survey sheet as it is written.
#[utoipa::path(get, path = "/api/shells/{name}", params(("name" = String, Path)),
    responses((status = 200, body = ShellDocument), (status = 404, body = Problem)))]
pub(crate) async fn shell(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<Json<ShellDocument>, Problem> {
    blocking(app, move |app| Ok(Json(shell_of(app, &name)?))).await
}
