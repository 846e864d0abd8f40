//! Survey: what a shell really offers inside, as its sheet is being typed.

use crate::api::library::shell_bytes;
use crate::api::{binary, blocking};
use crate::app::{App, plain_name};
use crate::body::Json;
use crate::clock::now;
use crate::error::Problem;
use axum::extract::{Path, State};
use axum::response::Response;
use caddis_documents::shell_scene;
use caddis_files::{RegionResult, SurveySection, document_to_json, document_to_toml, read_shell};
use caddis_geometry::Vec2;
use caddis_store::{Draft, Kind, Subject};
use caddis_survey::{HalfSide, Shell};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::sync::Arc;
use utoipa::ToSchema;

/// Points along a section.
const SECTION_POINTS: usize = 600;
/// Points along the longer side of the depth map.
const DEPTH_POINTS: usize = 54;

/// A survey sheet as written: the keys of a shell file.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ShellDocument {
    name: String,
    /// Surveyed here, not shipped; a shipped one is saved under a new name.
    is_own: bool,
    /// The newest revision; 0 for a shipped shell.
    revision: u64,
    #[schema(value_type = Object)]
    document: Value,
}

/// A sheet as it stands in the form, and where to cut the pictures.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct SurveyRequest {
    #[schema(value_type = Object)]
    document: Value,
    /// Height of the plan over the floor; mid-depth when left out.
    z_m: Option<f64>,
    /// Where the long section cuts, along y.
    y_m: Option<f64>,
    /// Where the cross section cuts, along x.
    x_m: Option<f64>,
}

/// A sheet to keep.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct SaveShell {
    /// The revision the edit was made on; 0 for a new one.
    base: u64,
    #[schema(value_type = Object)]
    document: Value,
    /// Which tab.
    author: String,
}

/// What was kept.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Saved {
    /// The name it goes by.
    pub(crate) name: String,
    /// The newest revision.
    pub(crate) revision: u64,
}

/// What a shell offers, cut open.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SurveyView {
    survey: SurveySection,
    /// Height of the plan.
    z_m: f64,
    /// The free plan there.
    plan: RegionResult,
    /// Walls there, without what stands in.
    walls: RegionResult,
    /// The rim opening.
    rim: RegionResult,
    /// What stands in, in plan, with its heights.
    bodies: Vec<BodyView>,
    /// The long section.
    along: SectionView,
    /// The cross section.
    across: SectionView,
    /// Clear depth below the rim plane.
    depth: DepthMap,
    rim_height_m: f64,
    crown_height_m: f64,
}

/// Matter that stands into the room.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BodyView {
    name: String,
    outline: RegionResult,
    low_m: f64,
    high_m: f64,
}

/// Heights of floor and crown along a line through the case.
#[derive(Debug, Serialize, ToSchema)]
#[expect(clippy::struct_field_names, reason = "keys name their unit")]
pub(crate) struct SectionView {
    /// Where it cuts.
    at_m: f64,
    /// Positions along it.
    along_m: Vec<f64>,
    /// Height of the base's matter there; `null` outside the opening.
    floor_m: Vec<Option<f64>>,
    /// Height of the lid's matter there; `null` outside the opening.
    crown_m: Vec<Option<f64>>,
}

/// Clear depth on a grid, row by row from the front.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct DepthMap {
    columns: usize,
    rows: usize,
    /// Extent of the grid in plan.
    x_m: [f64; 2],
    y_m: [f64; 2],
    /// `null` outside the opening.
    depth_m: Vec<Option<f64>>,
}

/// Reads a sheet as it stands in the form and cuts it open; a field that does not read is named.
#[utoipa::path(post, path = "/api/survey", request_body = SurveyRequest,
    responses((status = 200, body = SurveyView), (status = 422, body = Problem)))]
pub(crate) async fn survey(
    State(app): State<Arc<App>>,
    Json(request): Json<SurveyRequest>,
) -> Result<Json<SurveyView>, Problem> {
    blocking(app, move |_| {
        let shell = typed(&request.document)?;
        Ok(Json(view(&shell, &request)))
    })
    .await
}

/// The sheet as a 3D shape (binary glTF, metres, y up).
#[utoipa::path(post, path = "/api/survey/scene.glb", request_body = SurveyRequest,
    responses((status = 200, content_type = "model/gltf-binary"), (status = 422, body = Problem)))]
pub(crate) async fn survey_scene(
    State(app): State<Arc<App>>,
    Json(request): Json<SurveyRequest>,
) -> Result<Response, Problem> {
    blocking(app, move |_| {
        let scene = shell_scene(&typed(&request.document)?);
        Ok(binary(scene.media_type, scene.bytes))
    })
    .await
}

/// Keeps a sheet under the person's own shells.
#[utoipa::path(put, path = "/api/shells/{name}", params(("name" = String, Path)), request_body = SaveShell,
    responses((status = 200, body = Saved), (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn save_shell(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<SaveShell>,
) -> Result<Json<Saved>, Problem> {
    blocking(app, move |app| {
        let name = plain_name(&name);
        let shipped = app.shipped.names(caddis_files::EntryKind::Shell);
        let is_own = app.store.names(Kind::Shell)?.contains(&name);
        if !is_own && shipped.contains(&name) {
            return Err(
                Problem::broken(format!("`{name}` ships with the program and stays as it is"))
                    .hint("save it under another name")
                    .field("name"),
            );
        }
        // A sheet that jobs cannot read would break them: it has to read before it is kept.
        typed(&request.document)?;
        let text = document_to_toml(&request.document).map_err(Problem::broken)?;
        let draft = Draft {
            files: [("shell.toml".to_owned(), text.clone().into_bytes())].into(),
            at: now(),
            author: request.author,
            note: "survey sheet".to_owned(),
        };
        let subject = Subject::shell(&name);
        let revision = if request.base == 0 {
            app.store.create(&subject, &draft)?
        } else {
            app.store.append(&subject, request.base, &draft)?
        };
        app.place_shell(&name, text.as_bytes())
            .map_err(|error| Problem::internal(format!("the working folder cannot be used: {error}")))?;
        Ok(Json(Saved { name, revision }))
    })
    .await
}

/// A shell's sheet as it is kept.
pub(crate) fn shell_of(app: &App, name: &str) -> Result<ShellDocument, Problem> {
    let bytes = shell_bytes(app, name)?;
    let is_own = app.store.names(Kind::Shell)?.iter().any(|own| own == name);
    Ok(ShellDocument {
        name: name.to_owned(),
        is_own,
        revision: if is_own {
            app.store.revision(&Subject::shell(name), None)?.number
        } else {
            0
        },
        document: document_to_json(&bytes, "shell.toml")?,
    })
}

fn typed(document: &Value) -> Result<Shell, Problem> {
    let text = document_to_toml(document).map_err(Problem::broken)?;
    Ok(read_shell(text.as_bytes(), "shell", "shell.toml")?)
}

fn view(shell: &Shell, request: &SurveyRequest) -> SurveyView {
    let (rim, crown) = (shell.rim_height().si(), shell.crown_height().si());
    let finite = |value: Option<f64>| value.filter(|value| value.is_finite());
    let z = finite(request.z_m).unwrap_or(rim / 2.0).clamp(0.0, crown);
    let (length, width) = (shell.base.rim.length.value.si(), shell.base.rim.width.value.si());
    let half = Vec2::new(length / 2.0, width / 2.0);
    let y = finite(request.y_m).unwrap_or(0.0).clamp(-half.y, half.y);
    let x = finite(request.x_m).unwrap_or(0.0).clamp(-half.x, half.x);
    let bodies = [HalfSide::Base, HalfSide::Lid]
        .into_iter()
        .flat_map(|side| shell.obstacles(side))
        .filter(|obstacle| !obstacle.name.ends_with("fillet"))
        .map(|obstacle| BodyView {
            outline: (&obstacle.outline).into(),
            low_m: obstacle.low,
            high_m: obstacle.high,
            name: obstacle.name,
        })
        .collect();
    SurveyView {
        survey: SurveySection::of(shell),
        z_m: z,
        plan: (&shell.section(z)).into(),
        walls: (&shell.wall_section(z)).into(),
        rim: (&shell.base.rim_region()).into(),
        bodies,
        along: section(shell, y, half.x, |along| Vec2::new(along, y)),
        across: section(shell, x, half.y, |along| Vec2::new(x, along)),
        depth: depth(shell, half),
        rim_height_m: rim,
        crown_height_m: crown,
    }
}

fn section(shell: &Shell, at: f64, half: f64, point: impl Fn(f64) -> Vec2) -> SectionView {
    let along: Vec<f64> = (0..=SECTION_POINTS)
        .map(|i| half * (2.0 * i as f64 / SECTION_POINTS as f64 - 1.0))
        .collect();
    let points: Vec<Vec2> = along.iter().map(|&a| point(a)).collect();
    SectionView {
        at_m: at,
        floor_m: shell.floor_heights(&points),
        crown_m: points.iter().map(|&p| shell.crown_height_at(p)).collect(),
        along_m: along,
    }
}

fn depth(shell: &Shell, half: Vec2) -> DepthMap {
    let cell = (2.0 * half.x.max(half.y) / DEPTH_POINTS as f64).max(1e-3);
    let columns = (2.0 * half.x / cell).round().clamp(1.0, 200.0) as usize;
    let rows = (2.0 * half.y / cell).round().clamp(1.0, 200.0) as usize;
    let points: Vec<Vec2> = (0..rows)
        .flat_map(|row| {
            (0..columns).map(move |column| {
                Vec2::new(
                    half.x * (2.0 * (column as f64 + 0.5) / columns as f64 - 1.0),
                    half.y * (2.0 * (row as f64 + 0.5) / rows as f64 - 1.0),
                )
            })
        })
        .collect();
    let rim = shell.rim_height().si();
    DepthMap {
        columns,
        rows,
        x_m: [-half.x, half.x],
        y_m: [-half.y, half.y],
        depth_m: shell
            .floor_heights(&points)
            .into_iter()
            .map(|height| height.map(|height| (rim - height).max(0.0)))
            .collect(),
    }
}
