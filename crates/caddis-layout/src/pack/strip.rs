//! Strip packing: everything in a strip of given width, as short as the search finds.

use super::budget::Budget;
use super::explore::{Explorer, length_of};
use super::fill::filled;
use super::forms::Forms;
use super::separate::Lanes;
use super::state::{Pose, Scene};
use super::verdict::strip_referee;
use crate::grid::on_grid;
use crate::random::Random;
use caddis_basis::Progress;
use caddis_geometry::{Placement2, Region as Plan, Vec2};
use std::sync::Arc;
use thiserror::Error;

/// A flat part to be placed so many times.
#[derive(Debug, Clone, PartialEq)]
pub struct StripPart {
    /// Outline in the part's own frame, holes included; smaller copies may lie in holes.
    pub outline: Plan,
    /// Copies.
    pub quantity: u32,
    /// Turns it may lie at, radians counter-clockwise; empty means as it is.
    pub rotations: Vec<f64>,
}

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripOptions {
    /// Seed.
    pub seed: u64,
    /// Step budget: places evaluated. The same seed and budget give the same packing.
    pub steps: u64,
    /// Threads; never changes the result, only the time.
    pub workers: usize,
    /// Extra stop, seconds; a packing that is stopped by it depends on the machine.
    pub seconds: Option<f64>,
}

/// A packing of the strip.
#[derive(Debug, Clone, PartialEq)]
pub struct StripPacking {
    /// Length used, from 0 to the farthest part.
    pub length: f64,
    /// Part and placement of every copy, by part.
    pub placements: Vec<(usize, Placement2)>,
    /// Area of the parts over length times width.
    pub density: f64,
    /// Places evaluated.
    pub steps: u64,
}

/// Why there is no packing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum StripError {
    /// The width is not a positive number.
    #[error("pack: the strip's width must be a positive number")]
    Width,
    /// Nothing is asked for.
    #[error("pack: no part is asked for")]
    Nothing,
    /// More than a search can hold.
    #[error("pack: {0} copies, at most {MOST_COPIES} are packed at once")]
    TooMany(usize),
    /// A part has no area or an outline that is not finite.
    #[error("pack part {0}: its outline has no area")]
    NoOutline(usize),
    /// A part does not fit across the strip at any of its turns.
    #[error("pack part {0}: wider than the strip at every turn it may take")]
    TooWide(usize),
    /// The referee refuses every packing found: a fault of the search.
    #[error("pack: the referee refuses every packing found")]
    Refused,
}

/// Figures of two parts at a turn that a search makes: where there are more, it turns parts by fewer steps.
const MOST_FIGURES: usize = 6000;
/// So many turns are tried all the same.
const LEAST_TURNS: usize = 4;
/// Copies one search takes.
const MOST_COPIES: usize = 2000;
/// Grid of the outlines that are searched, share of the strip's width: a power of two, far below what counts as touching.
const GRID: f64 = 1.0 / (1_u64 << 27) as f64;
/// Depth that counts as touching, share of the strip's width.
const TOUCHING: f64 = 1e-7;

/// Packs all copies into a strip of the given width (any unit), as short as it finds within the budget.
///
/// # Accuracy
/// What is returned has passed [`strip_referee`] with a tolerance of 1e-7 of the width. Outlines of more than a dozen corners
/// are searched with up to 0.05 % of area added, never less than they are.
///
/// # Errors
/// As [`StripError`].
///
/// # Source
/// Guided local search on overlaps: J. Egeblad, B. K. Nielsen, A. Odgaard, Fast neighborhood search for two- and
/// three-dimensional nesting problems, 2007; restarts from disturbed layouts and compression after J. Gardeyn,
/// G. Vanden Berghe, T. Wauters, An open-source heuristic to reboot 2D nesting research, 2025 (arXiv 2509.13329).
pub fn pack_strip(
    width: f64,
    parts: &[StripPart],
    options: &StripOptions,
    progress: &dyn Progress,
) -> Result<StripPacking, StripError> {
    if !(width.is_finite() && width > 0.0) {
        return Err(StripError::Width);
    }
    let count: usize = parts.iter().map(|part| part.quantity as usize).sum();
    if count == 0 {
        return Err(StripError::Nothing);
    }
    if count > MOST_COPIES {
        return Err(StripError::TooMany(count));
    }
    for (index, part) in parts.iter().enumerate() {
        let is_sound = |plan: &Plan| {
            let mut vertices = plan.contours().flat_map(|contour| &contour.vertices);
            vertices.all(|vertex| vertex.at.is_finite() && vertex.bulge.is_finite()) && plan.area() > 0.0
        };
        if !is_sound(&part.outline) || part.rotations.iter().any(|angle| !angle.is_finite()) {
            return Err(StripError::NoOutline(index));
        }
    }
    let budget = Budget::new(options.steps, options.seconds, progress);
    // A strip of width one, every part from the corner of its own box: the search knows no unit and no drawing's origin.
    let corners: Vec<Vec2> = parts
        .iter()
        .map(|part| part.outline.bounds().map_or(Vec2::ZERO, |bounds| bounds.min))
        .collect();
    // Parts that are alike are one kind: one figure for all of them.
    let mut outlines: Vec<(Plan, Vec<f64>)> = Vec::new();
    let mut kinds = Vec::with_capacity(parts.len());
    for ((part, &corner), turns) in parts.iter().zip(&corners).zip(turns_tried(parts, width)) {
        let own = (on_grid(&part.outline, corner, width, GRID), turns);
        let alike = outlines.iter().position(|outline| *outline == own);
        kinds.push(alike.unwrap_or(outlines.len()));
        if alike.is_none() {
            outlines.push(own);
        }
    }
    let part_of: Vec<usize> = (0..parts.len())
        .flat_map(|part| std::iter::repeat_n(part, parts[part].quantity as usize))
        .collect();
    let scene = Scene::new(
        Arc::new(Forms::new(&outlines, outlines.len(), 0.0)),
        part_of.iter().map(|&part| kinds[part]).collect(),
        vec![0; outlines.len()],
    );
    let fits = |part: usize| scene.forms.kinds[kinds[part]].shortest_within(1.0).is_finite();
    if let Some(part) = (0..parts.len()).find(|&part| !fits(part)) {
        return Err(StripError::TooWide(part));
    }
    let mut random = Random::new(options.seed, 7);
    let mut state = filled(&scene, &mut random).ok_or(StripError::Nothing)?;
    let mut explorer = Explorer {
        scene: &scene,
        budget: &budget,
        lanes: Lanes::new(options.seed, options.workers),
        random,
    };
    let mut found = explorer.run(&mut state);
    // As a rule the last one passes.
    while let Some((_, poses)) = found.pop() {
        let packing = packed((width, parts), &scene, (&part_of, &corners), &poses, state.steps);
        if strip_referee(width, parts, &packing, TOUCHING).is_empty() {
            return Ok(packing);
        }
    }
    Err(StripError::Refused)
}

/// The turns of each part that the search tries. Every pair of parts has a figure for each turn of one against the other: many kinds at
/// many turns would spend the search on making figures, so of longer lists every second turn is left out until they are few
/// enough. A part that fits across the strip at none of those keeps all of its own.
fn turns_tried(parts: &[StripPart], width: f64) -> Vec<Vec<f64>> {
    let most = parts.iter().map(|part| part.rotations.len()).max().unwrap_or(0);
    let pairs = parts.len() * (parts.len() + 1) / 2;
    let mut stride = 1;
    while pairs * most / stride > MOST_FIGURES && most / (2 * stride) >= LEAST_TURNS {
        stride *= 2;
    }
    let fits = |part: &StripPart, angle: f64| {
        let shift = Vec2::ZERO;
        let turned = part.outline.placed(&Placement2 { angle, shift });
        turned.bounds().is_some_and(|bounds| bounds.size().y <= width)
    };
    parts
        .iter()
        .map(|part| {
            let mut turns = part.rotations.clone();
            turns.sort_by(f64::total_cmp);
            let few: Vec<f64> = turns.iter().copied().step_by(stride).collect();
            if few.len() >= LEAST_TURNS && few.iter().any(|&angle| fits(part, angle)) {
                few
            } else {
                part.rotations.clone()
            }
        })
        .collect()
}

fn packed(
    (width, parts): (f64, &[StripPart]),
    scene: &Scene,
    (part_of, corners): (&[usize], &[Vec2]),
    poses: &[Pose],
    steps: u64,
) -> StripPacking {
    let length = length_of(scene, poses);
    let kinds = &scene.forms.kinds;
    let area: f64 = part_of.iter().map(|&part| parts[part].outline.area()).sum();
    let placements = poses
        .iter()
        .zip(&scene.kind_of)
        .zip(part_of)
        .map(|((pose, &kind), &part)| {
            let turn = scene.forms.turns[pose.turn as usize];
            let shift = (pose.at - turn.apply(kinds[kind].middle)) * width - turn.apply(corners[part]);
            (
                part,
                Placement2 {
                    angle: turn.angle,
                    shift,
                },
            )
        })
        .collect();
    StripPacking {
        length: length * width,
        placements,
        density: area / (length * width * width),
        steps,
    }
}
