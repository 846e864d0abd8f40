//! Outlines and a profile become one closed mesh.

use super::chain::{Chained, chained};
use super::{CHORD, Path, Profile, ProfileStep};
use crate::read::Doubt;
use caddis_geometry::{Contour, Mesh, Region, Side};

/// Outlines of more corners are simplified before they are offset, metres on the outside.
const MANY_CORNERS: usize = 800;
const SIMPLER: f64 = 2e-5;

/// The solid and what was done for it.
#[derive(Debug)]
pub(super) struct Built {
    pub(super) mesh: Mesh,
    /// Separate pieces in plan.
    pub(super) pieces: usize,
    pub(super) said: Vec<String>,
    pub(super) doubts: Vec<Doubt>,
}

/// Why there is none.
#[derive(Debug)]
pub(super) enum Trouble {
    NoLoop { open: usize, widest_gap: f64 },
    NoLayer(String),
    NothingLeft { step: usize },
}

/// Paths in metres.
pub(super) fn build(paths: &[Path], profile: &Profile) -> Result<Built, Trouble> {
    let mut built = Built {
        mesh: Mesh::default(),
        pieces: 0,
        said: Vec::new(),
        doubts: Vec::new(),
    };
    // Steps of one outline make one prism.
    let mut runs: Vec<(usize, &ProfileStep, u32)> = Vec::new();
    for (index, step) in profile.steps.iter().enumerate() {
        match runs.last_mut() {
            Some((_, last, height)) if last.inset == step.inset && last.layer == step.layer => {
                *height += step.height;
            }
            _ => runs.push((index, step, step.height)),
        }
    }
    let mut plans: Vec<(&Option<String>, Region)> = Vec::new();
    let mut low = 0_u32;
    for (index, step, height) in runs {
        let plan = if let Some((_, plan)) = plans.iter().find(|(layer, _)| **layer == step.layer) {
            plan.clone()
        } else {
            let plan = plan_of(paths, step, profile.has_holes, &mut built)?;
            plans.push((&step.layer, plan.clone()));
            plan
        };
        let plan = if step.inset == 0 {
            plan
        } else {
            offset(&plan, -f64::from(step.inset) * 1e-6)
        };
        if plan.is_empty() {
            return Err(Trouble::NothingLeft { step: index });
        }
        built.pieces = built.pieces.max(plan.shapes.len());
        let metres = |micrometres: u32| f64::from(micrometres) * 1e-6;
        built
            .mesh
            .append(&Mesh::prism(&plan, metres(low), metres(low + height)));
        low += height;
    }
    if built.pieces > 1 {
        built.doubts.push(Doubt::Pieces(built.pieces));
    }
    Ok(built)
}

fn offset(plan: &Region, distance: f64) -> Region {
    let corners: usize = plan.contours().map(|c| c.vertices.len()).sum();
    if corners > MANY_CORNERS {
        plan.simplified(SIMPLER, Side::Outer)
            .offset(distance, Side::Outer)
    } else {
        plan.offset(distance, Side::Outer)
    }
}

/// The region the lines of a step's layer enclose, arcs as chords on the outside.
fn plan_of(
    paths: &[Path],
    step: &ProfileStep,
    has_holes: bool,
    built: &mut Built,
) -> Result<Region, Trouble> {
    let is_on = |path: &&Path| {
        step.layer
            .as_ref()
            .is_none_or(|layer| path.layer.eq_ignore_ascii_case(layer))
    };
    if let Some(layer) = &step.layer
        && !paths.iter().any(|path| is_on(&path))
    {
        return Err(Trouble::NoLayer(layer.clone()));
    }
    let found = chained(paths.iter().filter(is_on));
    say(&found, built);
    let plan = if has_holes {
        Region::from_contours(&found.loops)
    } else {
        let alone: Vec<Region> = found
            .loops
            .iter()
            .map(|one| Region::from_contours(std::slice::from_ref(one)))
            .collect();
        let mut whole = Region::union_all(&alone);
        let inner = found.loops.len().saturating_sub(whole.shapes.len());
        let holes: usize = whole.shapes.iter().map(|shape| shape.holes.len()).sum();
        if inner + holes > 0 {
            built.said.push(format!(
                "outlines inside others, filled as details of the surface: {}",
                inner + holes
            ));
        }
        for shape in &mut whole.shapes {
            shape.holes.clear();
        }
        whole
    };
    if plan.is_empty() {
        return Err(Trouble::NoLoop {
            open: found.open,
            widest_gap: found.widest_gap,
        });
    }
    let polygons: Vec<Contour> = plan
        .contours()
        .map(|contour| Contour::polygon(contour.flattened(CHORD, Side::Outer)))
        .collect();
    Ok(Region::from_contours(&polygons))
}

fn say(found: &Chained, built: &mut Built) {
    if found.gaps > 0 {
        built.said.push(format!(
            "gaps between line ends closed: {}, the widest {:.3} mm",
            found.gaps,
            found.widest_closed * 1e3
        ));
    }
    if found.doubles > 0 {
        built
            .said
            .push(format!("lines that stood twice dropped: {}", found.doubles));
    }
    if found.open > 0 && !found.loops.is_empty() {
        built
            .said
            .push(format!("lines that close nothing, not used: {}", found.open));
    }
}
