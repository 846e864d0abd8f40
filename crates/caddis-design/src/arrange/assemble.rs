//! From a layout to the interior: places with their numbers, cavities, notches, blocks.

use super::attempt::{Attempt, Found};
use super::problem::{flat, placed};
use super::question::Question;
use crate::cavity::{CavityRules, cavity};
use crate::cushion::is_soft;
use crate::interior::block_of;
use crate::notch::notches;
use crate::opening::{Foam, openings};
use crate::relief::{Surroundings, relief, relieved};
use crate::stack::blocks;
use crate::through::through;
use crate::{Block, Cavity, Interior, Opening, Place};
use caddis_geometry::{Pose, Region, Vec2};

/// Centres within this of the first piece of a row read as one row of the plan, metres.
const ROW: f64 = 0.05;

/// The interior of a layout; `(rounds, seed, steps)` go on record.
pub(super) fn interior(
    question: &Question<'_>,
    attempt: &Attempt,
    found: &Found,
    (rounds, seed, steps): (u32, u64, u64),
) -> Interior {
    let brief = question.brief;
    let mut blocks = blocks(brief, &attempt.stacking);
    let centres: Vec<Vec2> = found
        .layout
        .placements
        .iter()
        .map(|placement| placement.at)
        .collect();
    let numbers = numbers(&centres);
    let places: Vec<Place> = question
        .pieces
        .iter()
        .zip(&found.layout.placements)
        .zip(numbers)
        .map(|((piece, placement), number)| {
            let way = &question.ways[piece.item][placement.orientation];
            let shift = Pose::translation(placement.at.at_height(placement.bottom));
            Place {
                instance: piece.instance.clone(),
                item: piece.item,
                number,
                up: way.up,
                turn: way.turn,
                at: placement.at,
                bottom: placement.bottom,
                pose: way.posed.pose.then(&shift),
                body: placed(&way.posed.stack, placement),
                clear: way
                    .posed
                    .clear
                    .iter()
                    .map(|room| room.placed(&flat(placement), placement.bottom))
                    .collect(),
                centre_of_mass: shift.apply(way.posed.centre_of_mass),
                tier: placement.tier,
                in_lid: placement.tier >= attempt.stacking.tiers(),
            }
        })
        .collect();
    let mut cavities: Vec<Cavity> = places
        .iter()
        .map(|place| {
            let stated = brief.foams[brief.base_foam].cavity_clearance.si();
            let rules = CavityRules {
                // Soft goods take the shape they are given: no squeeze.
                clearance: if is_soft(&brief.items[place.item]) {
                    stated.max(0.0)
                } else {
                    stated
                },
                cutter_radius: brief.clearances.cutter_radius.si(),
                step: brief.clearances.cavity_step.si(),
            };
            cavity(place, tier_of(&blocks, place).1, &rules)
        })
        .collect();
    let spaces = super::spare_room::kept(brief, &found.spaces);
    let mouths: Vec<Region> = cavities
        .iter()
        .map(|cavity| {
            cavity
                .steps
                .last()
                .map_or_else(Region::empty, |step| step.region.clone())
        })
        .collect();
    for index in 0..places.len() {
        let placement = &found.layout.placements[index];
        let way = &question.ways[question.pieces[index].item][placement.orientation];
        let around = Surroundings {
            brief,
            blocks: &blocks,
            places: &places,
            cavities: &cavities,
            spaces: &spaces,
        };
        let tier = tier_of(&blocks, &places[index]);
        let relief = relief(&around, index, &way.faces, &found.loads[index], tier);
        cavities[index] = relieved(cavities[index].clone(), &relief);
    }
    if brief.clearances.through_cuts {
        cavities = cavities
            .into_iter()
            .map(|cavity| through(cavity, &blocks))
            .collect();
    }
    let notches = notches(brief, &blocks, &places, &cavities, &mouths, &spaces);
    let openings = openings(&Foam {
        brief,
        blocks: &blocks,
        places: &places,
        cavities: &cavities,
        notches: &notches,
        spaces: &spaces,
    });
    for board in blocks.iter_mut().filter_map(|block| block.board.as_mut()) {
        let meets = |opening: &&Opening| opening.prism.low < board.high && opening.prism.high > board.low;
        let holes = openings.iter().filter(meets).map(|opening| &opening.prism.region);
        let holes = Region::union_all(holes);
        if !holes.is_empty() {
            board.region = board.region.difference(&holes);
        }
    }
    Interior {
        blocks,
        places,
        cavities,
        notches,
        openings,
        spaces,
        not_on_top: None,
        spare: found.layout.spare,
        rounds,
        seed,
        steps,
    }
}

/// Bottom and top of the foam that a piece hangs in.
fn tier_of(blocks: &[Block], place: &Place) -> (f64, f64) {
    block_of(blocks, place).map_or((0.0, 0.0), |block| (block.floor(), block.high))
}

/// Numbers in plan reading order: rows from the back to the front, each from left to right.
fn numbers(centres: &[Vec2]) -> Vec<u32> {
    let mut order: Vec<usize> = (0..centres.len()).collect();
    order.sort_by(|&a, &b| centres[b].y.total_cmp(&centres[a].y).then(a.cmp(&b)));
    let mut numbers = vec![0; centres.len()];
    let mut next = 1;
    let mut start = 0;
    while start < order.len() {
        let first = centres[order[start]].y;
        let mut end = start;
        while end < order.len() && first - centres[order[end]].y <= ROW {
            end += 1;
        }
        // A coordinate that is no number still ends its row.
        end = end.max(start + 1);
        order[start..end].sort_by(|&a, &b| centres[a].x.total_cmp(&centres[b].x).then(a.cmp(&b)));
        for &piece in &order[start..end] {
            numbers[piece] = next;
            next += 1;
        }
        start = end;
    }
    numbers
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_like_a_page() {
        let at = |x: f64, y: f64| Vec2::new(x, y);
        let found = numbers(&[at(0.2, -0.1), at(0.1, 0.11), at(-0.2, 0.10), at(-0.1, -0.12)]);
        assert_eq!(found, [4, 2, 1, 3]);
    }
}
