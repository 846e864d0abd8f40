//! Arranging by hand: how a piece would lie, asked on every frame, and what was moved, turned, pinned, kept as a revision.

use crate::api::blocking;
use crate::api::jobs::{JobView, view};
use crate::app::{App, OpenJob};
use crate::body::Json;
use crate::clock::now;
use crate::error::Problem;
use crate::laid::{places, refused};
use crate::pins::with_pins;
use crate::solve::options;
use axum::extract::{Path, State};
use caddis_basis::{Finding, InstanceId, ItemId, Outcome, Quiet};
use caddis_design::{Arrangement, Breach, Brief, Change, Interior, Lie, Live, Spot, lay_out, rearrange};
use caddis_files::{FindingResult, Job, PLACES, RegionResult, write_places};
use caddis_geometry::Vec2;
use caddis_store::{Draft, StoreError, Subject};
use caddis_survey::{Turn, Up};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use utoipa::ToSchema;

/// A place so near to the one asked for is taken in its stead without a word, metres: less than a tape tells.
const SILENT: f64 = 1e-3;
/// Steps of a search that makes way for one piece, of those that a whole arrangement gets.
const MAKE_WAY: u64 = 4;

/// How would this piece lie there?
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct LieRequest {
    /// The revision whose arrangement it is.
    revision: u64,
    /// `item/number`.
    piece: String,
    /// Its way up.
    up: String,
    /// Whole degrees, counter-clockwise from above.
    turn_deg: u16,
    /// 0 at the bottom; the lid, where it has pockets, after those of the base.
    tier: usize,
    /// Plan centre of its box.
    at_m: [f64; 2],
}

/// Foam on one side of a piece.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SideView {
    /// left, right, front, back, below or above.
    side: String,
    /// What it lies towards.
    towards: String,
    /// Foam at the thinnest; left out where nothing is in that way.
    #[serde(skip_serializing_if = "Option::is_none")]
    foam_m: Option<f64>,
    /// What is needed there.
    need_m: f64,
}

/// A demand that the piece would break.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BrokenView {
    /// cushion, web, collision, way-out, depth or way.
    kind: String,
    /// What it meets.
    with: String,
    /// How much is missing.
    missing_m: f64,
    /// All of it.
    sentence: String,
}

/// How a piece would lie.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LieView {
    /// Nothing is broken by more than foam is cut to.
    is_allowed: bool,
    /// What is broken, the worst first.
    broken: Vec<BrokenView>,
    /// Foam left, right, front, back, below, above.
    sides: Vec<SideView>,
    /// Height of its lowest point.
    bottom_m: f64,
    /// Its plan there, at its largest.
    outline: RegionResult,
}

/// Where a piece lies, or could.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SpotView {
    up: String,
    /// Whole degrees, counter-clockwise from above.
    turn_deg: u16,
    tier: usize,
    at_m: [f64; 2],
}

/// One change by hand.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub(crate) enum HandChange {
    /// Put a piece here.
    Move {
        /// `item/number`.
        piece: String,
        /// Plan centre of its box.
        at_m: [f64; 2],
    },
    /// Lay it another way.
    Turn {
        /// `item/number`.
        piece: String,
        /// Which of its own faces is up.
        up: String,
        /// Whole degrees, counter-clockwise from above.
        turn_deg: u16,
    },
    /// Hang it in another tier, or lay it in the lid.
    Tier {
        /// `item/number`.
        piece: String,
        /// 0 at the bottom; the lid after those of the base.
        tier: usize,
    },
    /// Keep it where it lies, or let it go again.
    Pin {
        /// `item/number`.
        piece: String,
        /// Keep it.
        on: bool,
    },
}

/// Changes by hand, made together.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct HandChanges {
    /// The revision they are made on.
    base: u64,
    /// What is changed, in order.
    changes: Vec<HandChange>,
    /// The others make way where they can: a search, from how they lie.
    #[serde(default)]
    make_way: bool,
    /// Which tab.
    author: String,
}

/// What became of changes by hand: the job as it is now, or why not.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct HandAnswer {
    /// The job with the change; left out where it was refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    job: Option<JobView>,
    /// How the piece would lie where it was refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    refused: Option<LieView>,
    /// The nearest place that would do.
    #[serde(skip_serializing_if = "Option::is_none")]
    nearest: Option<SpotView>,
    /// Why the others cannot make way.
    reasons: Vec<FindingResult>,
}

/// How a piece would lie at a place: what it would break and by how much, and the foam on every side.
#[utoipa::path(post, path = "/api/jobs/{name}/lie", params(("name" = String, Path)), request_body = LieRequest,
    responses((status = 200, body = LieView), (status = 404, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn lie(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<LieRequest>,
) -> Result<Json<LieView>, Problem> {
    // Prepared already, it is answered at once: microseconds, on the thread that heard the question.
    if let Some(live) = app.prepared_live(&name, request.revision)
        && !asks_for_pockets(&live, &request)
    {
        let (piece, up, turn) = way_asked(&request)?;
        let live = if turn.is_square() || live.knows(&piece, up, turn) {
            Some(live)
        } else {
            app.prepared_across(&name, request.revision, &piece, up, turn)
        };
        if let Some(live) = live {
            return answered(&live, &request).map(Json);
        }
    }
    blocking(app, move |app| {
        let live = app.live_turned(&name, request.revision, &way_asked(&request)?)?;
        if asks_for_pockets(&live, &request) {
            return answered(&with_pockets(app, &name, &request)?, &request).map(Json);
        }
        answered(&live, &request).map(Json)
    })
    .await
}

/// The piece and the way it would lie.
fn way_asked(request: &LieRequest) -> Result<(InstanceId, Up, Turn), Problem> {
    let turn = Turn::degrees(request.turn_deg);
    Ok((piece(&request.piece)?, up(&request.up)?, turn))
}

/// Whether a piece would be the first in the lid.
fn asks_for_pockets(live: &Live, request: &LieRequest) -> bool {
    request.tier == live.tiers() && !live.has_pockets()
}

/// What lies, as it would with this piece in the lid.
fn with_pockets(app: &App, name: &str, request: &LieRequest) -> Result<Live, Problem> {
    let open = app.job(name, Some(request.revision))?;
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let into_lid = HandChange::Tier {
        piece: request.piece.clone(),
        tier: request.tier,
    };
    let before = places(&open)?;
    let change = design_change(&into_lid, &before, &job.brief)?;
    let after = before
        .after(&job.brief, &[change])
        .map_err(|reasons| refused(&reasons).field("tier"))?;
    Live::new(&job.brief, &after).map_err(|reasons| refused(&reasons))
}

/// Moves, turns, pins by hand: kept as a revision, or refused with what would be broken and the nearest place that would do.
#[utoipa::path(post, path = "/api/jobs/{name}/changes", params(("name" = String, Path)), request_body = HandChanges,
    responses((status = 200, body = HandAnswer), (status = 404, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn change(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Json(request): Json<HandChanges>,
) -> Result<Json<HandAnswer>, Problem> {
    blocking(app, move |app| changed(app, &name, &request).map(Json)).await
}

fn answered(live: &Live, request: &LieRequest) -> Result<LieView, Problem> {
    let (piece, up, turn) = way_asked(request)?;
    let spot = Spot {
        up,
        turn,
        at: point(request.at_m)?,
        tier: request.tier,
        in_lid: live.has_pockets() && request.tier == live.tiers(),
    };
    if request.tier >= live.tiers() && !spot.in_lid {
        return Err(Problem::broken(format!(
            "there are {} tiers, none is number {}",
            live.tiers(),
            request.tier + 1
        ))
        .field("tier"));
    }
    live.lie(&piece, &spot)
        .map(|lie| lie_view(&lie))
        .ok_or_else(|| Problem::missing(format!("piece `{}` that may lie so", request.piece)))
}

fn changed(app: &Arc<App>, name: &str, request: &HandChanges) -> Result<HandAnswer, Problem> {
    let open = app.job(name, None)?;
    let current = open.revision.number;
    if current != request.base {
        return Err(StoreError::Conflict {
            base: request.base,
            current,
        }
        .into());
    }
    let job = open.job.as_ref().map_err(|error| Problem::from(error.clone()))?;
    let before = places(&open)?;
    let changes: Vec<Change> = request
        .changes
        .iter()
        .map(|change| design_change(change, &before, &job.brief))
        .collect::<Result<_, _>>()?;
    if changes.is_empty() {
        return Err(Problem::broken("nothing is changed").field("changes"));
    }
    let mut after = before
        .after(&job.brief, &changes)
        .map_err(|reasons| refused(&reasons))?;
    let moved = moved(&before, &after);
    if !request.make_way {
        let live = match moved.as_slice() {
            // Pockets in the lid come and go with what lies there, and the layers with them.
            [] if after.has_pockets() == before.has_pockets() => app.live(name, current)?,
            [piece] if after.has_pockets() == before.has_pockets() => match after.spot(piece) {
                Some(spot) => app.live_turned(name, current, &(piece.clone(), spot.up, spot.turn))?,
                None => app.live(name, current)?,
            },
            _ => Arc::new(Live::new(&job.brief, &after).map_err(|reasons| refused(&reasons))?),
        };
        for piece in &moved {
            let Some(spot) = after.spot(piece) else { continue };
            let lie = live
                .lie(piece, &spot)
                .ok_or_else(|| Problem::missing(format!("piece `{piece}` that may lie so")))?;
            if lie.broken.iter().all(|broken| broken.missing <= 0.0) {
                continue;
            }
            let nearest = live.nearest(piece, &spot);
            if let Some(near) = nearest.filter(|near| near.at.distance(spot.at) <= SILENT) {
                put(&mut after, piece, near);
            } else if !lie.is_allowed {
                return Ok(HandAnswer {
                    job: None,
                    refused: Some(lie_view(&lie)),
                    nearest: nearest.map(|spot| spot_view(&spot)),
                    reasons: Vec::new(),
                });
            }
        }
    }
    let text = with_pins(&open, &after, &changes)?;
    let mut files = open.files.clone();
    files.insert("job.toml".to_owned(), text.into_bytes());
    let read = app.read(&files)?.map_err(|error| Problem::from(error.clone()))?;
    let interior = if request.make_way {
        match made_way(app, name, &open, &read, &changes)? {
            Ok(interior) => interior,
            Err(reasons) => {
                return Ok(HandAnswer {
                    job: None,
                    refused: None,
                    nearest: None,
                    reasons: reasons.iter().map(Into::into).collect(),
                });
            }
        }
    } else {
        lay_out(&read.brief, &after).map_err(|reasons| refused(&reasons))?
    };
    let places = write_places(&Arrangement::of(&interior, &read.brief)).map_err(Problem::internal)?;
    files.insert(PLACES.to_owned(), places.into_bytes());
    let draft = Draft {
        files,
        at: now(),
        author: request.author.clone(),
        note: note(job, &after, &changes),
    };
    let subject = Subject::job(name);
    let revision = app.store.append(&subject, request.base, &draft)?;
    app.tell(name, revision, &draft.author);
    let kept = app.job(name, Some(revision))?;
    let lies = Arrangement::of(&interior, &read.brief);
    app.remember_laid(name, &kept, interior);
    app.prepare_live(name, revision, Some((current, &lies)));
    Ok(HandAnswer {
        job: Some(view(app, name, &kept, app.store.steps(&subject)?)?),
        refused: None,
        nearest: None,
        reasons: Vec::new(),
    })
}

/// The interior after the others made way, or why they cannot.
fn made_way(
    app: &Arc<App>,
    name: &str,
    open: &OpenJob,
    read: &Job,
    changes: &[Change],
) -> Result<Result<Interior, Vec<Finding>>, Problem> {
    let lying = app.laid(name, open)?;
    let mut options = options(read);
    options.steps /= MAKE_WAY;
    Ok(match rearrange(&lying, &read.brief, changes, &options, &Quiet) {
        Outcome::Complete(interior)
        | Outcome::Stopped {
            best: Some(interior), ..
        } => Ok(interior),
        Outcome::Stopped { best: None, .. } => Err(Vec::new()),
        Outcome::Impossible { reasons } => Err(reasons),
    })
}

/// The pieces that lie otherwise than before.
fn moved(before: &Arrangement, after: &Arrangement) -> Vec<InstanceId> {
    after
        .spots
        .iter()
        .filter(|(piece, spot)| before.spot(piece) != Some(*spot))
        .map(|(piece, _)| piece.clone())
        .collect()
}

fn put(arrangement: &mut Arrangement, piece: &InstanceId, spot: Spot) {
    if let Some((_, its)) = arrangement.spots.iter_mut().find(|(known, _)| known == piece) {
        *its = spot;
    }
}

/// What was changed, for the history.
fn note(job: &Job, after: &Arrangement, changes: &[Change]) -> String {
    let name = |piece: &InstanceId| {
        let item = job.brief.items.iter().find(|item| item.id == piece.item);
        match item {
            Some(item) if item.quantity > 1 => format!("{} {}", item.name, piece.number),
            Some(item) => item.name.clone(),
            None => piece.to_string(),
        }
    };
    let said: Vec<String> = changes
        .iter()
        .filter_map(|change| match change {
            Change::Move(piece, _) => {
                let at = after.spot(piece)?.at;
                Some(format!(
                    "{} put at {:.0}, {:.0} mm",
                    name(piece),
                    at.x * 1e3,
                    at.y * 1e3
                ))
            }
            Change::Turn(piece, up, turns) => Some(format!(
                "{} laid with {} up, turned {}°",
                name(piece),
                up.as_str(),
                turns.as_degrees()
            )),
            Change::SetTier(piece, 0) => Some(format!("{} into the base", name(piece))),
            Change::SetTier(piece, _) => Some(format!("{} into the tray", name(piece))),
            Change::SetInLid(piece) => Some(format!("{} into the lid", name(piece))),
            Change::Pin(piece, true) => Some(format!("{} pinned", name(piece))),
            Change::Pin(piece, false) => Some(format!("{} let go", name(piece))),
            _ => None,
        })
        .collect();
    said.join("; ")
}

/// A change by hand of an arrangement: the lid comes after the tiers that it has, for what may lie there.
fn design_change(change: &HandChange, before: &Arrangement, brief: &Brief) -> Result<Change, Problem> {
    let may_lie_in_lid = |piece: &InstanceId| {
        let mut items = brief.items.iter();
        items.any(|item| item.id == piece.item && item.may_lie_in_lid)
    };
    Ok(match change {
        HandChange::Move { piece: name, at_m } => Change::Move(piece(name)?, point(*at_m)?),
        HandChange::Turn {
            piece: name,
            up: word,
            turn_deg,
        } => Change::Turn(piece(name)?, up(word)?, Turn::degrees(*turn_deg)),
        HandChange::Tier { piece: name, tier } => {
            let piece = piece(name)?;
            if *tier == before.tiers() && may_lie_in_lid(&piece) {
                Change::SetInLid(piece)
            } else {
                Change::SetTier(piece, *tier)
            }
        }
        HandChange::Pin { piece: name, on } => Change::Pin(piece(name)?, *on),
    })
}

fn piece(text: &str) -> Result<InstanceId, Problem> {
    let wrong = || {
        Problem::broken(format!("`{text}` names no piece"))
            .hint("write e.g. `digitiser/1`")
            .field("piece")
    };
    let (item, number) = text.rsplit_once('/').ok_or_else(wrong)?;
    Ok(InstanceId::new(
        ItemId::new(item),
        number.parse().map_err(|_| wrong())?,
    ))
}

fn up(text: &str) -> Result<Up, Problem> {
    Up::parse(text).ok_or_else(|| {
        Problem::broken(format!("`{text}` is no way up"))
            .hint("use +z, -z, +x, -x, +y or -y")
            .field("up")
    })
}

fn point(at: [f64; 2]) -> Result<Vec2, Problem> {
    // Beyond a kilometre nobody means it, and sums of it would no longer be exact.
    if at.iter().all(|value| value.abs() < 1e3) {
        Ok(Vec2::new(at[0], at[1]))
    } else {
        Err(Problem::broken("that is no place in a case").field("at_m"))
    }
}

fn lie_view(lie: &Lie) -> LieView {
    const SIDES: [&str; 6] = ["left", "right", "front", "back", "below", "above"];
    LieView {
        is_allowed: lie.is_allowed,
        broken: lie
            .broken
            .iter()
            .map(|broken| BrokenView {
                kind: match broken.breach {
                    Breach::Cushion => "cushion",
                    Breach::Web => "web",
                    Breach::Collision => "collision",
                    Breach::WayOut => "way-out",
                    Breach::Depth => "depth",
                    Breach::Way => "way",
                }
                .to_owned(),
                with: broken.with.clone(),
                missing_m: broken.missing,
                sentence: broken.sentence.clone(),
            })
            .collect(),
        sides: SIDES
            .iter()
            .zip(&lie.sides)
            .map(|(side, room)| SideView {
                side: (*side).to_owned(),
                towards: room.towards.clone(),
                foam_m: room.foam.is_finite().then_some(room.foam),
                need_m: room.need,
            })
            .collect(),
        bottom_m: lie.bottom,
        outline: (&lie.outline).into(),
    }
}

fn spot_view(spot: &Spot) -> SpotView {
    SpotView {
        up: spot.up.as_str().to_owned(),
        turn_deg: spot.turn.as_degrees(),
        tier: spot.tier,
        at_m: [spot.at.x, spot.at.y],
    }
}
