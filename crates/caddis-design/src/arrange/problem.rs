//! The layout problem of an attempt: the room, its tiers, and every piece with the ways it may lie and the foam it asks for.

use super::attempt::Attempt;
use super::question::{Question, Spot};
use super::repair::Shortfall;
use super::ways::{RELIEF_BULGE, Way};
use crate::cushion::{Load, cover, is_soft, lid_side, needs_in_lid};
use crate::{Brief, Carried};
use caddis_geometry::{Placement2, SectionStack, Vec3};
use caddis_layout::{Facet, Hindrance, Orientation, Piece, Placement, Problem, Region, Sides, Tier};
use caddis_survey::{HalfSide, Item, Shell};

/// What a metre costs by which a piece sinks below the top of its tier.
const SINK_COST: f64 = 1.0;
/// Foam asked for in a tier that a piece may not hang in, metres: more than any tier is high.
const BARRED: f64 = 10.0;
/// Foam over a piece that is rounding, metres.
const SAME_COVER: f64 = 1e-4;

/// What a piece asks beyond its needs, by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Demand {
    /// At least so much foam, towards the shell and towards a neighbour, metres.
    pub least: [[f64; 2]; 6],
}

impl Demand {
    /// Just its needs.
    pub(super) const NONE: Self = Self { least: [[0.0; 2]; 6] };

    /// Whether foam is asked for over it towards a neighbour: there only the cover of the lid's pockets is, which is as thick as it is, so
    /// it lies under none of them.
    fn lies_clear(&self) -> bool {
        self.least[1][1] > 0.0
    }

    pub(super) fn raise(&mut self, shortfall: &Shortfall) {
        for (least, wanted) in self.least[shortfall.side].iter_mut().zip(shortfall.least) {
            *least = least.max(wanted);
        }
    }

    pub(super) fn halfway_to(&self, other: &Self) -> Self {
        let mut out = *self;
        for (mine, theirs) in out.least.iter_mut().flatten().zip(other.least.iter().flatten()) {
            *mine = f64::midpoint(*mine, *theirs);
        }
        out
    }
}

/// A stack where a placement puts it.
pub(super) fn placed(stack: &SectionStack, placement: &Placement) -> SectionStack {
    stack.placed(&flat(placement), placement.bottom)
}

/// Where a placement puts what is turned already, in plan.
pub(super) fn flat(placement: &Placement) -> Placement2 {
    Placement2 {
        angle: 0.0,
        shift: placement.at,
    }
}

/// A spot as a placement in this attempt's tiers; `None` when its way is not among the item's.
pub(super) fn placement(
    question: &Question<'_>,
    attempt: &Attempt,
    piece: usize,
    spot: &Spot,
) -> Option<Placement> {
    let item = question.pieces[piece].item;
    let orientation = question.way_of(item, spot)?;
    let tiers = tiers(question.brief, attempt);
    let below = attempt.stacking.tiers();
    let tier = if spot.in_lid && tiers.len() > below {
        below
    } else {
        spot.tier.min(below - 1)
    };
    Some(Placement {
        orientation,
        tier,
        at: spot.at,
        bottom: bottom(question, attempt, &question.ways[item][orientation], &tiers[tier]),
    })
}

/// Where a piece stands in a tier: its top flush with the tier's, or, where floors are joints, sunk to the joint below; in the lid on
/// its cover.
fn bottom(question: &Question<'_>, attempt: &Attempt, way: &Way, tier: &Tier) -> f64 {
    if tier.opens_down {
        return tier.low;
    }
    let flush = tier.high - way.height();
    if question.brief.clearances.through_cuts {
        attempt.stacking.joint_below(question.brief, flush)
    } else {
        flush
    }
}

/// The tiers of the base from the bottom, then the lid where it has pockets.
pub(super) fn tiers(brief: &Brief, attempt: &Attempt) -> Vec<Tier> {
    let (boundary, top) = (attempt.stacking.boundary(), attempt.stacking.top());
    let mut tiers = vec![Tier::upward(0.0, boundary)];
    if attempt.stacking.tray.is_some() {
        tiers.push(Tier::upward(attempt.stacking.tray_floor(), top));
    }
    tiers.extend(attempt.stacking.lid_floor(brief).map(|low| Tier {
        low,
        high: brief.crown().si(),
        opens_down: true,
    }));
    tiers
}

/// Walls and obstacles of one half of the shell, as they stand between two heights.
fn half(shell: &Shell, side: HalfSide, (low, high): (f64, f64)) -> (Vec<Facet>, Vec<Hindrance>) {
    let facets = shell.half_spaces(side).into_iter().map(|space| Facet {
        normal: space.normal,
        offset: space.offset,
        slope: space.slope,
        low,
        high,
    });
    let hindrances = shell.obstacles(side).into_iter().map(|obstacle| Hindrance {
        name: obstacle.name,
        outline: obstacle.outline,
        low: obstacle.low,
        high: obstacle.high,
    });
    (facets.collect(), hindrances.collect())
}

/// The layout problem of an attempt for given loads and what is asked beyond the needs.
pub(super) fn problem(
    question: &Question<'_>,
    attempt: &Attempt,
    loads: &[[Load; 6]],
    demands: &[Demand],
) -> Problem {
    let brief = question.brief;
    let shell = &brief.shell;
    let tiers = tiers(brief, attempt);
    let below = attempt.stacking.tiers();
    let masses: Vec<f64> = question
        .pieces
        .iter()
        .map(|p| brief.items[p.item].mass.value.si())
        .collect();
    let mean = masses.iter().sum::<f64>() / masses.len().max(1) as f64;
    let mut pieces: Vec<Piece> = question
        .pieces
        .iter()
        .enumerate()
        .map(|(index, piece)| {
            let item = &brief.items[piece.item];
            let orientations: Vec<Orientation> = question.ways[piece.item]
                .iter()
                .map(|way| {
                    orientation(
                        question,
                        attempt,
                        piece.item,
                        way,
                        (&loads[index], &demands[index]),
                    )
                })
                .collect();
            let fits = |tier: &Tier| {
                orientations
                    .iter()
                    .any(|o| height(o) + o.below <= tier.high - tier.low)
            };
            // Nothing passes through a board.
            let may_pass = below > 1 && attempt.stacking.under.is_none() && !tiers[..below].iter().any(fits);
            let mut order = match below {
                1 => vec![0],
                _ if may_pass => vec![1],
                _ if item.reach_first && attempt.first_on_top => vec![1],
                // The weight of a rolled case lies low.
                _ if brief.wishes.carried == Carried::Rolled && !item.reach_first => vec![0, 1],
                _ if item.reach_first || masses[index] < mean => vec![1, 0],
                _ => vec![0, 1],
            };
            // What may lie in the lid leaves its room below to the others.
            if item.may_lie_in_lid && tiers.len() > below {
                order.insert(0, below);
            }
            Piece {
                name: piece.instance.to_string(),
                kind: piece.item as u32,
                mass: masses[index],
                orientations,
                tiers: order,
                may_pass,
                keeps_clear_above: demands[index].lies_clear() || keeps_clear(question, attempt, piece.item),
                pinned: piece
                    .pin
                    .and_then(|spot| placement(question, attempt, index, &spot)),
            }
        })
        .collect();
    pieces.extend(super::spare_room::pieces(brief, below));
    let aim = super::wished::aim(brief, masses.iter().sum());
    let rim = shell.rim_height().si();
    let (mut facets, mut hindrances) = half(shell, HalfSide::Base, (f64::NEG_INFINITY, rim));
    let mut high = attempt.stacking.top();
    if tiers.len() > below {
        let (lid, standing) = half(shell, HalfSide::Lid, (rim, f64::INFINITY));
        facets.extend(lid);
        hindrances.extend(standing);
        high = brief.crown().si();
    }
    Problem {
        region: Region {
            facets,
            hindrances,
            low: 0.0,
            high,
        },
        tiers,
        pieces,
        balance: aim.balance,
        balance_counts: aim.counts,
        wishes: super::wished::wishes(question),
        weights: aim.weights,
    }
}

/// Whether fingers come from front and back: where it may be gripped, else beside the longer sides.
fn across_y(item: &Item, way: &Way, size: Vec3) -> bool {
    let toward = |pick: fn(Vec3) -> f64| {
        let mut turned = item
            .grips
            .iter()
            .map(|face| way.posed.pose.turn(face.direction()));
        turned.any(|way| pick(way).abs() > 0.5)
    };
    match (toward(|v| v.x), toward(|v| v.y)) {
        (true, false) => false,
        (false, true) => true,
        _ => size.x >= size.y,
    }
}

/// Whether a piece needs more foam over it than the cover of the lid's pockets has: then nothing of the lid lies over it.
fn keeps_clear(question: &Question<'_>, attempt: &Attempt, item: usize) -> bool {
    let brief = question.brief;
    let Some(floor) = attempt.stacking.lid_floor(brief) else {
        return false;
    };
    let covered = floor - attempt.stacking.top();
    let mut ways = question.ways[item].iter();
    ways.any(|way| lid_side(brief, item, &way.faces[1]) > covered + SAME_COVER)
}

/// How far a way sinks below the top of the tier in which it sinks least, metres; the lid is none of them.
fn sunk(attempt: &Attempt, above: &[f64]) -> f64 {
    let below = &above[..attempt.stacking.tiers()];
    below.iter().copied().fold(f64::INFINITY, f64::min).min(1.0)
}

fn height(orientation: &Orientation) -> f64 {
    orientation.body.high().unwrap_or(0.0)
}

fn orientation(
    question: &Question<'_>,
    attempt: &Attempt,
    item: usize,
    way: &Way,
    (loads, demand): (&[Load; 6], &Demand),
) -> Orientation {
    let brief = question.brief;
    let clearances = &brief.clearances;
    let may_lie_in_lid = brief.items[item].may_lie_in_lid;
    let mut needs = way.needs(brief, item, loads, &attempt.level);
    if may_lie_in_lid && attempt.stacking.lid_cover.is_some() {
        // Beside it is foam of the base or of the lid: enough of either.
        let in_lid = needs_in_lid(brief, item, &way.faces, loads, &attempt.level);
        for (need, in_lid) in needs.iter_mut().zip(in_lid).skip(2) {
            *need = need.max(in_lid);
        }
    }
    for (need, least) in needs.iter_mut().zip(&demand.least) {
        *need = need.max(least[0]);
    }
    needs[0] = needs[0].max(demand.least[0][1]);
    // Corner reliefs of two neighbours bulge towards each other; the web is what is left between them.
    let web =
        brief.foams[brief.base_foam].least_web.si() + 2.0 * RELIEF_BULGE * clearances.cutter_radius.si();
    let towards = |side: usize| web.max(demand.least[side][1]);
    let mut wall = Sides {
        left: needs[2],
        right: needs[3],
        front: needs[4],
        back: needs[5],
    };
    // Foam towards a neighbour is in series with the neighbour's own; where a side fell short it grows too.
    let mut webs = Sides {
        left: towards(2),
        right: towards(3),
        front: towards(4),
        back: towards(5),
    };
    if attempt.room_for_notches && !is_soft(&brief.items[item]) {
        let room = clearances.notch_radius.si() + clearances.least_notch_web.si();
        let size = way.posed.bounds.size();
        let across = across_y(&brief.items[item], way, size);
        // Beside what lies across the case fingers come in obliquely.
        let is_oblique = !way.turn.is_square();
        let sides = [
            (&mut wall.front, &mut webs.front, across || is_oblique),
            (&mut wall.back, &mut webs.back, across || is_oblique),
            (&mut wall.left, &mut webs.left, !across || is_oblique),
            (&mut wall.right, &mut webs.right, !across || is_oblique),
        ];
        for (wall, web, _) in sides.into_iter().filter(|(_, _, asks)| *asks) {
            *wall = wall.max(room);
            *web = web.max(room);
        }
    }
    let mut above: Vec<f64> = tiers(brief, attempt)
        .iter()
        .map(|tier| {
            if tier.opens_down {
                // Towards the lid's roof as towards the lid pad from below.
                return if may_lie_in_lid { needs[1] } else { BARRED };
            }
            (tier.high - way.height() - bottom(question, attempt, way, tier)).max(0.0)
        })
        .collect();
    if let Some(covered) = attempt.stacking.cover()
        && cover(brief, item, &way.faces, &attempt.level) > covered + SAME_COVER
    {
        // Under the board it would lie with too little foam over it: only the tray is left to it.
        above[0] = BARRED;
    }
    Orientation {
        tag: (way.up as u32) * 360 + u32::from(way.turn.as_degrees()),
        body: way.body.clone(),
        wall,
        web: webs,
        below: needs[0],
        cost: way.cost + SINK_COST * sunk(attempt, &above),
        above,
    }
}
