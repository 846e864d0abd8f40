//! What is prepared before the first question: everything at once, and each thing in the way alone.

use super::plan::Plan;
use super::{Fixed, Known, Live, Way};
use crate::Brief;
use crate::arrange::laid::{Arrangement, Laid};
use crate::arrange::question::{Question, Spot};
use crate::arrange::ways;
use caddis_basis::{Finding, InstanceId};
use caddis_geometry::{Region, SectionStack, Vec2};
use caddis_layout::{Prepared, Problem, Sides};
use caddis_survey::{Turn, Up};
use std::sync::Arc;

impl Live {
    /// Prepares a brief's arrangement.
    ///
    /// # Errors
    /// As [`super::lay_out`].
    pub fn new(brief: &Brief, arrangement: &Arrangement) -> Result<Self, Vec<Finding>> {
        let mut laid = Laid::new(brief, arrangement)?;
        for (index, item) in brief.items.iter().enumerate() {
            let turns: &[Turn] = if item.may_turn {
                &Turn::SQUARE
            } else {
                &[Turn::NONE]
            };
            for &up in &item.ways_up {
                for &turn in turns {
                    laid.question.allow(index, &spot_so(up, turn));
                }
            }
        }
        Ok(Self::of(laid))
    }

    /// The same for one piece that would lie obliquely: every other as it lies now, and no way more. Prepared when it is asked for, in a
    /// fraction of the time that all ways of all pieces take. `None` for a piece, or a way up, that the brief does not know.
    pub fn across(&self, brief: &Brief, piece: &InstanceId, up: Up, turn: Turn) -> Option<Self> {
        let index = self.index(piece)?;
        let asked = self.fixed.pieces[index].body;
        if !brief.items.get(asked)?.ways_up.contains(&up) {
            return None;
        }
        let lies = |item: usize, way: &ways::Way| {
            let mut pieces = self.fixed.pieces.iter().zip(&self.placements);
            pieces.any(|(known, placement)| {
                known.body == item && known.ways.get(placement.orientation) == Some(&(way.up, way.turn))
            })
        };
        let mut question = Question::with_ways(brief, |item| {
            let known = &self.fixed.ways[item];
            let lying: Vec<ways::Way> = known.iter().filter(|way| lies(item, way)).cloned().collect();
            // Of an item with no piece any way will do.
            if lying.is_empty() {
                known.first().cloned().into_iter().collect()
            } else {
                lying
            }
        })
        .ok()?;
        question.allow(asked, &spot_so(up, turn));
        let mut placements = self.placements.clone();
        for (index, piece) in question.pieces.iter().enumerate() {
            let spot = self.spot(&piece.instance)?;
            placements[index].orientation = question.way_of(piece.item, &spot)?;
        }
        Some(Self::of(Laid {
            question,
            attempt: self.fixed.attempt.clone(),
            placements,
            loads: self.fixed.loads.clone(),
        }))
    }

    fn of(laid: Laid<'_>) -> Self {
        let brief = laid.question.brief;
        let mut problem = laid.problem();
        for piece in &mut problem.pieces {
            piece.pinned = None;
        }
        let pieces = known(&laid);
        let mut bodies: Vec<Vec<_>> = vec![Vec::new(); brief.items.len() + brief.wishes.spaces.len()];
        let mut shadows: Vec<Vec<Region>> = vec![Vec::new(); bodies.len()];
        for (known, piece) in pieces.iter().zip(&problem.pieces) {
            if bodies[known.body].is_empty() {
                let stacks = || piece.orientations.iter().map(|o| &*o.body);
                bodies[known.body] = stacks().map(bands).collect();
                let whole = |body: &SectionStack| body.shadow(f64::NEG_INFINITY, f64::INFINITY);
                shadows[known.body] = stacks().map(whole).collect();
            }
        }
        let mut names: Vec<String> = Vec::new();
        for hindrance in &problem.region.hindrances {
            if !names.contains(&hindrance.name) {
                names.push(hindrance.name.clone());
            }
        }
        let open = without(&problem, |_| false);
        let hindrances = names
            .into_iter()
            .map(|name| {
                let alone = without(&problem, |other| other == name);
                Way {
                    bands: alone
                        .region
                        .hindrances
                        .iter()
                        .map(|h| (h.low, h.high, Plan::of(&h.outline)))
                        .collect(),
                    bare: Prepared::new(undemanding(&alone)),
                    asked: Prepared::new(alone),
                    name,
                }
            })
            .collect();
        Self {
            fixed: Arc::new(Fixed {
                bare: Prepared::new(undemanding(&open)),
                open: Prepared::new(open),
                whole: Prepared::new(problem),
                hindrances,
                pieces,
                bodies,
                shadows,
                lid: brief.crown().si(),
                cover: laid.attempt.stacking.cover(),
                ways: laid.question.ways,
                attempt: laid.attempt,
                loads: laid.loads,
            }),
            placements: laid.placements,
        }
    }

    /// The same after pieces moved: at once, with the needs of the load path as it was. `None` where a piece lies in a way or a
    /// tier that is not prepared.
    #[must_use]
    pub fn after(&self, arrangement: &Arrangement) -> Option<Self> {
        if arrangement.tiers() != self.tiers() || arrangement.has_pockets() != self.has_pockets() {
            return None;
        }
        let mut placements = self.placements.clone();
        for (index, known) in self.fixed.pieces.iter().enumerate() {
            if let Some(piece) = &known.instance {
                placements[index] = self.placement(index, &arrangement.spot(piece)?)?;
            }
        }
        Some(Self {
            fixed: self.fixed.clone(),
            placements,
        })
    }
}

/// A way, wherever the piece lies.
fn spot_so(up: Up, turn: Turn) -> Spot {
    Spot {
        up,
        turn,
        at: Vec2::ZERO,
        tier: 0,
        in_lid: false,
    }
}

/// What is known of the pieces of a laid problem, then of its spaces.
fn known(laid: &Laid<'_>) -> Vec<Known> {
    let brief = laid.question.brief;
    let mut known: Vec<Known> = laid
        .question
        .pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            let item = &brief.items[piece.item];
            let ways = &laid.question.ways[piece.item];
            Known {
                instance: Some(piece.instance.clone()),
                name: if item.quantity > 1 {
                    format!("{} {}", item.name, piece.instance.number)
                } else {
                    item.name.clone()
                },
                body: piece.item,
                ways: ways.iter().map(|way| (way.up, way.turn)).collect(),
                above: ways
                    .iter()
                    .map(|way| {
                        let loads = &laid.loads[index];
                        crate::cushion::needs(brief, piece.item, &way.faces, loads, &laid.attempt.level)[1]
                    })
                    .collect(),
                covered: ways
                    .iter()
                    .map(|way| crate::cushion::cover(brief, piece.item, &way.faces, &laid.attempt.level))
                    .collect(),
                ups: item.ways_up.clone(),
                may_turn: item.may_turn,
            }
        })
        .collect();
    for (index, space) in brief.wishes.spaces.iter().enumerate() {
        known.push(Known {
            instance: None,
            name: format!("the space for {}", space.name),
            body: brief.items.len() + index,
            ways: Vec::new(),
            above: vec![0.0; 2],
            covered: vec![0.0; 2],
            ups: Vec::new(),
            may_turn: true,
        });
    }
    known
}

fn bands(body: &SectionStack) -> Vec<(f64, f64, Plan)> {
    let base = body.low().unwrap_or(0.0);
    body.slabs
        .iter()
        .map(|slab| (slab.low - base, slab.high - base, Plan::of(&slab.region)))
        .collect()
}

/// The problem with its walls and floors gone and only the hindrances of a choice left.
fn without(problem: &Problem, keeps: impl Fn(&str) -> bool) -> Problem {
    const FAR: f64 = 10.0;
    let mut out = problem.clone();
    out.region.facets.clear();
    out.region.hindrances.retain(|hindrance| keeps(&hindrance.name));
    out.region.low = -FAR;
    out.region.high += FAR;
    for tier in out.tiers.iter_mut().filter(|tier| !tier.opens_down) {
        tier.low = -FAR;
    }
    out.wishes.clear();
    out
}

/// The problem with bodies alone, asking for no foam.
fn undemanding(problem: &Problem) -> Problem {
    let mut out = problem.clone();
    for orientation in out.pieces.iter_mut().flat_map(|piece| &mut piece.orientations) {
        (orientation.wall, orientation.web) = (Sides::default(), Sides::default());
        orientation.below = 0.0;
    }
    out
}
