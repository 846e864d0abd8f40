//! Why it cannot be done, in the shop's words: quick proofs first, and what a failed search was short of.

use super::alone::{higher, without_place};
use super::state::{Pose, State};
use crate::engine::{ROUNDING, Room, clipped, signed_area};
use crate::prepared::the_wall;
use crate::{Problem, Sides, Violation, Wish};
use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, said};
use caddis_geometry::Vec2;

pub(super) fn failing(code: &'static str, place: impl Into<Said>, sentence: Said, source: Said) -> Finding {
    Finding::new(
        code,
        Domain::Arrangement,
        Severity::Failing,
        place,
        sentence,
        Source::derived(source),
    )
}

pub(super) fn mm(metres: f64) -> Said {
    let tenths = (metres * 1e4).round() / 10.0;
    if tenths >= 10.0 {
        said!("{length:.0} mm", length = tenths)
    } else {
        said!("{length:.1} mm", length = tenths)
    }
}

/// What is wrong with the question itself.
pub(crate) fn unsound(problem: &Problem) -> Vec<Finding> {
    let model = || said!("the question put to the arrangement");
    let mut reasons = Vec::new();
    let mut add = |place: Said, sentence: Said| {
        reasons.push(failing("arrangement-input", place, sentence, model()));
    };
    if !problem.balance.is_finite()
        || !problem.balance_counts.is_finite()
        || !problem.region.low.is_finite()
        || !problem.region.high.is_finite()
    {
        add(
            said!("room"),
            said!("the room's heights or the balance point are not numbers"),
        );
    }
    let weights = &problem.weights;
    let worths = [weights.balance, weights.unbalanced, weights.wishes, weights.order];
    let within = weights.balanced_within;
    if worths.iter().any(|worth| !worth.is_finite() || *worth < 0.0) || !(within.x >= 0.0 && within.y >= 0.0)
    {
        add(said!("weights"), said!("a weight is negative or no number"));
    }
    let count = problem.pieces.len();
    for wish in &problem.wishes {
        let is_sound = match *wish {
            Wish::Together(a, b, gap) | Wish::Apart(a, b, gap) => {
                a < count && b < count && a != b && gap.is_finite()
            }
            Wish::Towards(piece, way) => piece < count && way.is_finite(),
        };
        if !is_sound {
            add(
                said!("wishes"),
                said!("a wish names a piece that is not there, or a distance that is no number"),
            );
        }
    }
    for facet in &problem.region.facets {
        if !facet.normal.is_finite()
            || (facet.normal.length() - 1.0).abs() > 1e-6
            || !facet.offset.is_finite()
            || !facet.slope.is_finite()
        {
            add(
                said!("room"),
                said!("a wall is not described by finite numbers and a unit normal"),
            );
        }
    }
    for hindrance in &problem.region.hindrances {
        if !hindrance.low.is_finite() || !hindrance.high.is_finite() {
            add(
                Said::name(&hindrance.name),
                said!(
                    "the heights of {obstacle} are not numbers",
                    obstacle = hindrance.name
                ),
            );
        }
    }
    let mut below = f64::NEG_INFINITY;
    for (index, tier) in problem.tiers.iter().enumerate() {
        let sound = tier.low.is_finite() && tier.high.is_finite() && tier.low < tier.high;
        if !sound || tier.low < below - ROUNDING {
            add(
                said!("tiers"),
                said!(
                    "tier {number} does not lie above the tier before it",
                    number = index + 1
                ),
            );
        }
        below = tier.high;
    }
    for piece in &problem.pieces {
        if piece.orientations.is_empty() {
            add(
                Said::name(&piece.name),
                said!("{piece} has no way it may lie", piece = piece.name),
            );
        }
        let known = |tier: usize| tier < problem.tiers.len();
        if piece.pinned.is_none() && !piece.tiers.iter().any(|&tier| known(tier)) {
            add(
                Said::name(&piece.name),
                said!("{piece} has no tier it may hang in", piece = piece.name),
            );
        }
        let lost = piece.pinned.is_some_and(|pinned| {
            pinned.orientation >= piece.orientations.len()
                || !known(pinned.tier)
                || !pinned.at.is_finite()
                || !pinned.bottom.is_finite()
        });
        if lost {
            add(
                Said::name(&piece.name),
                said!(
                    "{piece} is pinned in a place that does not exist",
                    piece = piece.name
                ),
            );
        }
        for orientation in &piece.orientations {
            let Sides {
                left,
                right,
                front,
                back,
            } = orientation.wall;
            let web = orientation.web;
            let foam = [
                left,
                right,
                front,
                back,
                web.left,
                web.right,
                web.front,
                web.back,
                orientation.below,
            ];
            let mut foam = foam.iter().chain(&orientation.above);
            let sound = foam.all(|v| v.is_finite() && *v >= 0.0) && orientation.cost.is_finite();
            if !sound || !piece.mass.is_finite() {
                add(
                    Said::name(&piece.name),
                    said!(
                        "the foam, mass or cost of {piece} is not a number",
                        piece = piece.name
                    ),
                );
            }
            let body = orientation.body.slabs.iter();
            if body.clone().all(|slab| slab.region.is_empty())
                || body
                    .clone()
                    .any(|slab| !slab.low.is_finite() || !slab.high.is_finite())
            {
                add(
                    Said::name(&piece.name),
                    said!("{piece} has no body in one of its ways", piece = piece.name),
                );
            }
        }
    }
    reasons
}

/// Proofs that no arrangement exists: too deep, too long, too much for the area, pinned in conflict.
pub(crate) fn proofs(room: &Room, state: &State) -> Vec<Finding> {
    let mut reasons = Vec::new();
    for piece in 0..room.problem.pieces.len() {
        if room.problem.pieces[piece].pinned.is_none() && state.usable[piece].is_empty() {
            reasons.push(unplaceable(room, piece));
        }
    }
    pinned(room, state, &mut reasons);
    if reasons.is_empty() {
        reasons.extend(area(room, state.usable));
    }
    reasons
}

fn unplaceable(room: &Room, piece: usize) -> Finding {
    let name = &room.problem.pieces[piece].name;
    let deepest = |slot: &&crate::engine::Slot| slot.too_deep;
    let fits_depth: Vec<_> = room.slots[piece]
        .iter()
        .filter(|slot| slot.too_deep == 0.0)
        .collect();
    if fits_depth.is_empty() {
        let least = room.slots[piece]
            .iter()
            .min_by(|a, b| deepest(a).total_cmp(&deepest(b)));
        let (missing, limit) = least.map_or((f64::NAN, f64::NAN), |slot| {
            let orientation = room.demands(slot.form);
            let need = room.forms[slot.form].body.sweep().height
                + orientation.below
                + orientation.above_in(slot.tier);
            (slot.too_deep, need - slot.too_deep)
        });
        return failing(
            "piece-too-deep",
            Said::name(name),
            said!(
                "{name} with the foam above and below it is {missing} too deep for every tier and every way it may lie",
                missing = mm(missing),
                name
            ),
            said!("height of the tier less the foam above and below"),
        )
        .margin(Margin::at_most((limit + missing) * 1e3, limit * 1e3, "mm"))
        .remedy(said!("lay it another way, let it pass into the tier below, use thinner foam below, or take a deeper shell"));
    }
    let least = fits_depth
        .into_iter()
        .map(|slot| (slot, slot.zone.shortfall()))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((slot, shortfall)) = least else {
        return failing(
            "piece-too-large",
            Said::name(name),
            said!("{name} has no place", name),
            said!("room at depth"),
        );
    };
    let size = room.forms[slot.form].body.sweep().size();
    let (along, across) = (
        slot.zone.room_along(Vec2::new(1.0, 0.0)),
        slot.zone.room_along(Vec2::new(0.0, 1.0)),
    );
    let (missing, found, sentence) = if along < 0.0 && along <= across {
        let missing = mm(-along);
        let sentence = said!(
            "{name} is {missing} too long for the room at that depth",
            name,
            missing
        );
        (-along, size.x, sentence)
    } else if across < 0.0 {
        let missing = mm(-across);
        let sentence = said!(
            "{name} is {missing} too wide for the room at that depth",
            name,
            missing
        );
        (-across, size.y, sentence)
    } else {
        let missing = mm(2.0 * shortfall);
        let sentence = said!(
            "{name} is {missing} too large for the room at that depth",
            name,
            missing
        );
        (2.0 * shortfall, size.x.max(size.y), sentence)
    };
    failing(
        "piece-too-large",
        Said::name(name),
        higher(room, slot, sentence),
        said!("walls at the depth of the piece less its wall foam"),
    )
    .margin(Margin::at_most(found * 1e3, (found - missing) * 1e3, "mm"))
    .remedy(said!(
        "lay it another way, hang it higher, use thinner foam towards the walls, or take a larger shell"
    ))
}

fn pinned(room: &Room, state: &State, reasons: &mut Vec<Finding>) {
    let pieces = &room.problem.pieces;
    for piece in 0..pieces.len() {
        if pieces[piece].pinned.is_none() {
            continue;
        }
        let pose = state.poses[piece];
        let slot = state.slot_of(piece, &pose);
        let mut add = |with: Said, missing: f64| {
            reasons.push(
                failing(
                    "pinned-in-conflict",
                    Said::name(&pieces[piece].name),
                    said!(
                        "{name} is pinned where it lacks {missing} towards {with}",
                        name = pieces[piece].name,
                        missing = mm(missing),
                        with
                    ),
                    said!("foam demanded around the pinned place"),
                )
                .margin(Margin::at_most(missing * 1e3, 0.0, "mm"))
                .remedy(said!("unpin it or pin it elsewhere")),
            );
        };
        if slot.too_deep > ROUNDING {
            add(said!("the floor or the top of its tier"), slot.too_deep);
        }
        if state.room_overlap(piece, &pose, 0.0) > ROUNDING {
            let (with, missing) = worst_in_room(room, slot, &pose);
            add(with, missing);
        }
        for (other, its) in pieces.iter().enumerate().skip(piece + 1) {
            if its.pinned.is_some() {
                let missing = state.pair_overlap(piece, &pose, other, 0.0);
                if missing > ROUNDING {
                    add(Said::name(&its.name), missing);
                }
            }
        }
    }
}

fn worst_in_room(room: &Room, slot: &crate::engine::Slot, pose: &Pose) -> (Said, f64) {
    let mut worst = (Said::default(), 0.0);
    for (n, limit) in &slot.zone.planes {
        let missing = n.dot(pose.at) - limit;
        if missing > worst.1 {
            worst = (the_wall(*n), missing);
        }
    }
    for (index, no_go) in &slot.zone.hindrances {
        let missing = no_go.overlap(-pose.at, 0.0);
        if missing > worst.1 {
            worst = (
                said!(
                    "the {obstacle}",
                    obstacle = room.problem.region.hindrances[*index].name
                ),
                missing,
            );
        }
    }
    worst
}

/// Plan area needed against plan area there, tier by tier for the pieces that can hang nowhere else.
///
/// # Source
/// Bodies grown by half the least web w are disjoint. A connected plan of area A and box e x f, grown by a box of
/// side w, has at least A + w (e + f) + w^2 (Minkowski sum with two segments). The room is taken at the tier's top,
/// less the least wall foam, plus w/2.
fn area(room: &Room, usable: &[Vec<usize>]) -> Option<Finding> {
    let least_side = |sides: &Sides| sides.left.min(sides.right).min(sides.front).min(sides.back);
    let (mut web, mut wall) = (f64::INFINITY, f64::INFINITY);
    for orientation in room.problem.pieces.iter().flat_map(|piece| &piece.orientations) {
        web = web.min(least_side(&orientation.web));
        wall = wall.min(least_side(&orientation.wall));
    }
    if !web.is_finite() || !wall.is_finite() {
        return None;
    }
    let there = |tier: usize| {
        let range = &room.problem.tiers[tier];
        let high = range.high.min(room.problem.region.high);
        let lowest = if range.opens_down {
            range.low
        } else {
            room.problem.region.low
        };
        let planes: Vec<(Vec2, f64)> = room
            .problem
            .region
            .facets
            .iter()
            .filter(|facet| facet.meets(lowest, high))
            .map(|facet| {
                let n = facet.normal;
                let highest = facet.offset + facet.slope * if facet.slope >= 0.0 { high } else { lowest };
                (n, highest - wall + web / 2.0 * (n.x.abs() + n.y.abs()))
            })
            .collect();
        signed_area(&clipped(&planes))
    };
    let need = |piece: usize| {
        let slots: Vec<usize> = if usable[piece].is_empty() {
            (0..room.slots[piece].len()).collect()
        } else {
            usable[piece].clone()
        };
        slots
            .into_iter()
            .map(|slot| {
                let body = room.forms[room.slots[piece][slot].form].body.sweep();
                let size = body.size();
                body.area
                    + if body.area > 0.0 && body.is_connected {
                        web * (size.x + size.y) + web * web
                    } else {
                        0.0
                    }
            })
            .fold(f64::INFINITY, f64::min)
    };
    for tier in 0..room.problem.tiers.len() {
        let only: Vec<usize> = (0..room.problem.pieces.len())
            .filter(|&piece| {
                usable[piece]
                    .iter()
                    .all(|&slot| room.slots[piece][slot].tier == tier)
                    && !usable[piece].is_empty()
            })
            .collect();
        let (needed, held) = (only.iter().map(|&piece| need(piece)).sum::<f64>(), there(tier));
        if needed > held + 1e-9 {
            return Some(too_much(needed, held, said!("tier {number}", number = tier + 1)));
        }
    }
    let needed: f64 = (0..room.problem.pieces.len()).map(need).sum();
    let held: f64 = (0..room.problem.tiers.len()).map(there).sum();
    (needed > held + 1e-9).then(|| too_much(needed, held, said!("the room")))
}

fn too_much(needed: f64, held: f64, place: Said) -> Finding {
    let (needed, held) = (needed * 1e4, held * 1e4);
    let sentence = said!(
        "the pieces with their foam take {needed:.0} cm2 in plan and {place} has {held:.0} cm2",
        needed,
        place,
        held
    );
    failing(
        "pieces-too-many",
        place,
        sentence,
        said!("sum of plan areas with half the least web around each"),
    )
    .margin(Margin::at_most(needed, held, "cm2"))
    .remedy(said!(
        "leave pieces out, use another tier, or take a larger shell"
    ))
}

/// What the best layout of a failed search still lacks, worst first.
///
/// `explains` also looks for pieces that find no place even in the empty room, which takes a while.
pub(crate) fn conflicts(state: &State, steps: u64, explains: bool) -> Vec<Finding> {
    let room = state.room;
    let pieces = &room.problem.pieces;
    let mut lacking: Vec<(f64, String, Said)> = Vec::new();
    for piece in 0..state.len() {
        let pose = state.poses[piece];
        let slot = state.slot_of(piece, &pose);
        let name = &pieces[piece].name;
        if state.room_overlap(piece, &pose, 0.0) > ROUNDING {
            let (with, missing) = worst_in_room(room, slot, &pose);
            lacking.push((missing, name.clone(), with));
        }
        for (other, its) in pieces.iter().enumerate().skip(piece + 1) {
            let missing = state.pair_overlap(piece, &pose, other, 0.0);
            if missing > ROUNDING {
                lacking.push((missing, name.clone(), Said::name(&its.name)));
            }
        }
    }
    lacking.sort_by(|a, b| {
        b.0.total_cmp(&a.0)
            .then_with(|| a.1.cmp(&b.1))
            .then_with(|| a.2.cmp(&b.2))
    });
    let total: f64 = lacking.iter().map(|lack| lack.0).sum();
    let mut reasons = if explains { without_place(room) } else { Vec::new() };
    reasons.push(
        failing(
            "no-arrangement-found",
            said!("interior"),
            said!(
                "no arrangement was found in {steps} trials; the nearest one lacks {missing} in all, which is no proof that none exists",
                missing = mm(total),
                steps
            ),
            said!("guided local search within its step budget"),
        )
        .margin(Margin::at_most(total * 1e3, 0.0, "mm"))
        .remedy(said!("search longer, use thinner foam, leave a piece out, or take a larger shell")),
    );
    for (missing, name, with) in lacking.into_iter().take(8) {
        reasons.push(
            failing(
                "pieces-in-conflict",
                Said::name(&name),
                said!(
                    "{name} and {with} compete for the same place: {missing} is missing",
                    missing = mm(missing),
                    name,
                    with
                ),
                said!("the nearest arrangement found"),
            )
            .margin(Margin::at_most(missing * 1e3, 0.0, "mm"))
            .remedy(said!("move {name} to another tier or lay it another way", name)),
        );
    }
    reasons
}

/// What the referee refused.
pub(crate) fn refused(problem: &Problem, violations: &[Violation]) -> Vec<Finding> {
    violations
        .iter()
        .map(|violation| {
            let name = problem
                .pieces
                .get(violation.piece)
                .map_or_else(|| said!("layout"), |piece| Said::name(&piece.name));
            failing(
                "arrangement-refused",
                name.clone(),
                said!(
                    "the independent check refuses {name} towards {with}: {missing} is missing",
                    with = violation.with,
                    missing = mm(violation.missing),
                    name
                ),
                said!("independent check of the finished arrangement"),
            )
            .margin(Margin::at_most(violation.missing * 1e3, 0.0, "mm"))
            .remedy(said!(
                "simplify the outline of the piece, or report this arrangement to whoever keeps the program"
            ))
        })
        .collect()
}
