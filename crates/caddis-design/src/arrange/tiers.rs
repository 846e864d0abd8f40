//! Tiers: one block up to the rim, or a tray over a base block, and where the boundary lies.

use super::question::Question;
use super::ways::Way;
use crate::cushion::{Level, Load, cover, lid_side};
use crate::stack::{Pile, Stacking, base_piles, stack_one, stack_two, suited_base, with_pockets};

/// Boundaries tried besides no boundary at all.
const BOUNDARIES: usize = 2;
/// Boundaries closer together than this are one choice, metres.
const APART: f64 = 0.012;
/// What a layer more weighs against a tier filled by this share more.
const LAYER_WEIGHT: f64 = 0.02;
/// Covers under a tray's board closer together than this are one, metres.
const SAME_COVER: f64 = 1e-4;
/// Piles looked at more closely.
const SHORTLIST: usize = 12;

/// The stackings to try, fewest trays first; where there was an interior before, its own first.
pub(super) fn stackings(question: &Question<'_>) -> Vec<Stacking> {
    let heights = heights(question);
    let one = stack_one(question.brief, &heights);
    let demands = demands(question);
    let mut two = boundaries(question, &demands, &heights);
    let mut found: Vec<Stacking> = Vec::new();
    if let Some(before) = question.boundary.filter(|boundary| *boundary > 0.0) {
        let same = base_piles(question.brief)
            .into_iter()
            .find(|pile| (pile.height - before).abs() < 1e-4)
            .and_then(|pile| {
                let (_, cover) = best_cover(question, &demands, pile.height)?;
                stack_two(question.brief, &pile, cover, &heights)
            });
        if let Some(same) = same {
            two.retain(|other| (other.boundary() - same.boundary()).abs() > 1e-4);
            found.push(same);
        }
    }
    found.extend(one);
    found.extend(two);
    with_lids(question, found)
}

/// Each stacking, then the same with pockets in the lid where something may lie there; before them where something lay there before.
fn with_lids(question: &Question<'_>, found: Vec<Stacking>) -> Vec<Stacking> {
    let Some(cover) = lid_cover(question) else {
        return found;
    };
    found
        .into_iter()
        .flat_map(|stacking| {
            let pockets = with_pockets(question.brief, &stacking, cover);
            let mut both = vec![Some(stacking), pockets];
            if question.had_pockets {
                both.reverse();
            }
            both.into_iter().flatten()
        })
        .collect()
}

/// The foam under what lies in the lid: what the piece that asks most asks there. Pieces below that need more over them lie under none of
/// these. `None` where nothing may lie in the lid, or where layers are cut through or not at all: a pocket would then end at a joint or
/// nowhere.
fn lid_cover(question: &Question<'_>) -> Option<f64> {
    let brief = question.brief;
    let may = |item: usize| brief.items[item].may_lie_in_lid;
    if brief.clearances.through_cuts || !question.pieces.iter().any(|piece| may(piece.item)) {
        return None;
    }
    let asked = |item: usize| {
        let ways = question.ways[item].iter();
        let under = ways.map(|way| lid_side(brief, item, &way.faces[0]));
        under.fold(f64::INFINITY, f64::min)
    };
    let pieces = question.pieces.iter().filter(|piece| may(piece.item));
    let most = pieces.map(|piece| asked(piece.item)).fold(0.0, f64::max);
    most.is_finite().then_some(most)
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

/// What one piece asks of a tier, the least over the ways it may lie, metres and square metres.
struct Asked {
    /// Its height and the foam below it.
    depth: f64,
    /// The foam over it where a tray's board closes over it.
    cover: f64,
    area: f64,
}

fn demands(question: &Question<'_>) -> Vec<Asked> {
    let brief = question.brief;
    let margin = brief.foams[brief.base_foam].least_web.si() / 2.0;
    let has_board = brief.furnishing.tray_board.is_some();
    let least = |of: &dyn Fn(&Way) -> f64, ways: &[Way]| ways.iter().map(of).fold(f64::INFINITY, f64::min);
    let asked = |item: usize| {
        let ways = &question.ways[item];
        let depth = |way: &Way| way.height() + way.needs(brief, item, &[Load::NONE; 6], &Level::FULL)[0];
        let over = |way: &Way| cover(brief, item, &way.faces, &Level::FULL);
        Asked {
            depth: least(&depth, ways),
            cover: if has_board { least(&over, ways) } else { 0.0 },
            area: least(&|way| way.plan_area(margin), ways),
        }
    };
    question.pieces.iter().map(|piece| asked(piece.item)).collect()
}

/// How full the fuller tier is over a base block of this height, and the foam under the tray's board with which it is least full; no
/// foam, where there is no board. `None` when a tier would hold nothing.
fn best_cover(question: &Question<'_>, demands: &[Asked], low: f64) -> Option<(f64, f64)> {
    let rim = question.brief.shell.rim_height().si();
    let Some(board) = &question.brief.furnishing.tray_board else {
        return Some((fill(question, demands, (low, rim - low), None)?, 0.0));
    };
    let mut covers: Vec<f64> = demands.iter().map(|asked| asked.cover).collect();
    covers.sort_by(f64::total_cmp);
    covers.dedup_by(|a, b| (*a - *b).abs() < SAME_COVER);
    covers
        .into_iter()
        .filter_map(|cover| {
            let high = rim - low - cover - board.thickness.si();
            Some((fill(question, demands, (low, high), Some(cover))?, cover))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))
}

/// The boundaries that share the pieces most evenly.
fn boundaries(question: &Question<'_>, demands: &[Asked], heights: &[f64]) -> Vec<Stacking> {
    let brief = question.brief;
    let mut scored: Vec<(f64, Pile)> = base_piles(brief)
        .into_iter()
        .filter_map(|pile| {
            let (fill, _) = best_cover(question, demands, pile.height)?;
            Some((fill + LAYER_WEIGHT * pile.cost, pile))
        })
        .collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<(f64, Stacking)> = scored
        .into_iter()
        .take(SHORTLIST)
        .filter_map(|(score, pile)| {
            let pile = suited_base(brief, pile, heights);
            let (_, cover) = best_cover(question, demands, pile.height)?;
            let stacking = stack_two(brief, &pile, cover, heights)?;
            let under = stacking.under.as_ref().map_or(0.0, |under| under.cover.cost);
            let tray = stacking.tray.as_ref().map_or(0.0, |tray| tray.cost);
            Some((score + LAYER_WEIGHT * (under + tray), stacking))
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

/// How full the fuller tier is when pieces are shared evenly over tiers so high, the lower under so much foam and a board where
/// `cover` is stated; `None` when a tier would hold nothing, or a piece would have to pass through the board.
fn fill(
    question: &Question<'_>,
    demands: &[Asked],
    (low, high): (f64, f64),
    cover: Option<f64>,
) -> Option<f64> {
    let shell = &question.brief.shell;
    let top = if cover.is_some() {
        shell.rim_height().si()
    } else {
        low + high
    };
    let room = [shell.wall_section(low).area(), shell.wall_section(top).area()];
    if room.iter().any(|area| *area <= 0.0) {
        return None;
    }
    let mut taken = [0.0, 0.0];
    let mut free: Vec<f64> = Vec::new();
    for &Asked {
        depth,
        cover: asked,
        area,
    } in demands
    {
        let is_covered = cover.is_none_or(|cover| asked <= cover + SAME_COVER);
        match (depth <= low && is_covered, depth <= high) {
            (true, true) => free.push(area),
            (true, false) => taken[0] += area,
            (false, true) => taken[1] += area,
            (false, false) if cover.is_some() => return None,
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
