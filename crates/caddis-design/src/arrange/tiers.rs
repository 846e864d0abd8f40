//! Tiers: one block up to the rim, or a tray over a base block, and where the boundary lies.

use super::question::Question;
use super::ways::Way;
use crate::cushion::{Level, Load, needs};
use crate::stack::{Pile, Stacking, base_piles, stack_one, stack_two, suited_base};

/// Boundaries tried besides no boundary at all.
const BOUNDARIES: usize = 2;
/// Boundaries closer together than this are one choice, metres.
const APART: f64 = 0.012;
/// What a layer more weighs against a tier filled by this share more.
const LAYER_WEIGHT: f64 = 0.02;
/// Piles looked at more closely.
const SHORTLIST: usize = 12;

/// The stackings to try, fewest trays first; where there was an interior before, its own first.
pub(super) fn stackings(question: &Question<'_>) -> Vec<Stacking> {
    let heights = heights(question);
    let one = stack_one(question.brief, &heights);
    let mut two = boundaries(question, &heights);
    let mut found: Vec<Stacking> = Vec::new();
    if let Some(before) = question.boundary.filter(|boundary| *boundary > 0.0) {
        let same = base_piles(question.brief)
            .into_iter()
            .find(|pile| (pile.height - before).abs() < 1e-4)
            .and_then(|pile| stack_two(question.brief, &pile, &heights));
        if let Some(same) = same {
            two.retain(|other| (other.boundary() - same.boundary()).abs() > 1e-4);
            found.push(same);
        }
    }
    found.extend(one);
    found.extend(two);
    found
}

/// Height of every piece the way it would rather lie.
fn heights(question: &Question<'_>) -> Vec<f64> {
    question
        .pieces
        .iter()
        .filter_map(|piece| {
            let ways = &question.ways[piece.item];
            ways.iter().min_by(|a, b| a.cost.total_cmp(&b.cost))
        })
        .map(Way::height)
        .collect()
}

/// The boundaries that share the pieces most evenly.
fn boundaries(question: &Question<'_>, heights: &[f64]) -> Vec<Stacking> {
    let brief = question.brief;
    let rim = brief.shell.rim_height().si();
    let margin = brief.foams[brief.base_foam].least_web.si() / 2.0;
    // Least depth and least area of every piece over the ways it may lie.
    let demands: Vec<(f64, f64)> = question
        .pieces
        .iter()
        .map(|piece| {
            let ways = &question.ways[piece.item];
            let depth = ways
                .iter()
                .map(|way| {
                    let needs = needs(brief, piece.item, &way.faces, &[Load::NONE; 6], &Level::FULL);
                    way.height() + needs[0]
                })
                .fold(f64::INFINITY, f64::min);
            let area = ways
                .iter()
                .map(|way| way.plan_area(margin))
                .fold(f64::INFINITY, f64::min);
            (depth, area)
        })
        .collect();
    let mut scored: Vec<(f64, Pile)> = base_piles(brief)
        .into_iter()
        .filter_map(|pile| {
            let fill = fill(question, &demands, pile.height, rim - pile.height)?;
            Some((fill + LAYER_WEIGHT * pile.cost, pile))
        })
        .collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<(f64, Stacking)> = scored
        .into_iter()
        .take(SHORTLIST)
        .filter_map(|(score, pile)| {
            let stacking = stack_two(brief, &suited_base(brief, pile, heights), heights)?;
            let tray = stacking.tray.as_ref().map_or(0.0, |tray| tray.cost);
            Some((score + LAYER_WEIGHT * tray, stacking))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut kept: Vec<Stacking> = Vec::new();
    for (_, stacking) in found {
        if kept.len() < BOUNDARIES
            && kept
                .iter()
                .all(|other| (other.boundary() - stacking.boundary()).abs() > APART)
        {
            kept.push(stacking);
        }
    }
    kept
}

/// How full the fuller tier is when pieces are shared evenly; `None` when a tier would hold nothing.
fn fill(question: &Question<'_>, demands: &[(f64, f64)], low: f64, high: f64) -> Option<f64> {
    let shell = &question.brief.shell;
    let room = [
        shell.wall_section(low).area(),
        shell.wall_section(low + high).area(),
    ];
    if room.iter().any(|area| *area <= 0.0) {
        return None;
    }
    let mut taken = [0.0, 0.0];
    let mut free: Vec<f64> = Vec::new();
    for &(depth, area) in demands {
        match (depth <= low, depth <= high) {
            (true, true) => free.push(area),
            (true, false) => taken[0] += area,
            (false, true) => taken[1] += area,
            // It passes through both.
            (false, false) => {
                taken[0] += area;
                taken[1] += area;
            }
        }
    }
    free.sort_by(|a, b| b.total_cmp(a));
    for area in free {
        let roomier = usize::from((taken[1] + area) / room[1] < (taken[0] + area) / room[0]);
        taken[roomier] += area;
    }
    let fill = [taken[0] / room[0], taken[1] / room[1]];
    (fill[0] > 0.0 && fill[1] > 0.0).then(|| fill[0].max(fill[1]))
}
