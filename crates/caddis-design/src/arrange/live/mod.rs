//! What a piece would break where a hand holds it, and the foam on every side of it: fast enough for every frame.
//!
//! The other pieces lie where they lie and their needs are those of the load path as it is; what a move changes of the load path
//! itself is sized again once the piece is put down. Bodies are at their largest, as in the search.

mod plan;
mod sides;
mod words;

use super::attempt::Attempt;
use super::laid::{Arrangement, Laid};
use super::question::{Question, Spot};
use super::ways;
use crate::Brief;
use crate::cushion::Load;
use caddis_basis::{Finding, InstanceId};
use caddis_geometry::{Placement2, Region, SectionStack, Vec2};
use caddis_layout::{Facet, Placement, Prepared, Problem, Sides};
use caddis_survey::{Turn, Up};
use plan::Plan;
pub use sides::SideRoom;
use std::sync::Arc;

/// Foam that may be missing and a piece still lies well, metres: what foam is cut to.
const CUT_TO: f64 = super::attempt::SETTLED;
/// Rings of places that are looked at for the nearest that would do, metres apart, and how far out.
const RINGS: (f64, f64) = (0.002, 0.25);

/// What a demand that is broken asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breach {
    /// Foam towards the shell is below its need.
    Cushion,
    /// Foam towards a neighbour is below its need.
    Web,
    /// Two bodies would take the same room.
    Collision,
    /// The piece, or a neighbour, could not be lifted straight out.
    WayOut,
    /// It stands too deep, or proud of its tier.
    Depth,
    /// Its item may not lie that way.
    Way,
}

/// A demand that a piece would break.
#[derive(Debug, Clone, PartialEq)]
pub struct Broken {
    /// Which.
    pub breach: Breach,
    /// What it meets, in the shop's words.
    pub with: String,
    /// How much is missing, metres.
    pub missing: f64,
    /// All of it in a sentence, without a full stop.
    pub sentence: String,
}

/// How a piece would lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Lie {
    /// Nothing is broken by more than foam is cut to.
    pub is_allowed: bool,
    /// What is broken, the worst first.
    pub broken: Vec<Broken>,
    /// Foam left, right, front, back, below and above.
    pub sides: [SideRoom; 6],
    /// Height of its lowest point.
    pub bottom: f64,
    /// Its plan where it would lie, at its largest.
    pub outline: Region,
}

/// Something in the way, by a name.
struct Way {
    name: String,
    /// With the demands, and bare.
    asked: Prepared,
    bare: Prepared,
    /// Bands: low, high, outline.
    bands: Vec<(f64, f64, Plan)>,
}

/// A job's arrangement, prepared for many questions.
pub struct Live {
    fixed: Arc<Fixed>,
    placements: Vec<Placement>,
}

/// What stays while pieces are moved.
struct Fixed {
    /// Everything at once: what decides.
    whole: Prepared,
    /// Pieces alone in a room without walls: with their webs, and bare.
    open: Prepared,
    bare: Prepared,
    hindrances: Vec<Way>,
    pieces: Vec<Known>,
    /// Outlines of bodies by item and orientation, in bands and as a whole.
    bodies: Vec<Vec<Vec<(f64, f64, Plan)>>>,
    shadows: Vec<Vec<Region>>,
    lid: f64,
    /// Foam over the base block's pieces under the board of the tray; `None` where there is no board.
    cover: Option<f64>,
    /// What it was prepared from: ways by item, the attempt whose demands hold, and what leans on each piece.
    ways: Vec<Vec<ways::Way>>,
    attempt: Attempt,
    loads: Vec<[Load; 6]>,
}

/// A piece, or a space kept for later.
struct Known {
    /// `None` for a space.
    instance: Option<InstanceId>,
    name: String,
    /// Index into `bodies`.
    body: usize,
    /// The ways of its orientations.
    ways: Vec<(Up, Turn)>,
    /// Foam that the lid pad owes it, by orientation.
    above: Vec<f64>,
    /// The same where a tray's board closes over it.
    covered: Vec<f64>,
    ups: Vec<Up>,
    may_turn: bool,
}

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

    /// Whether a piece is prepared to lie that way.
    pub fn knows(&self, piece: &InstanceId, up: Up, turn: Turn) -> bool {
        self.index(piece)
            .is_some_and(|index| self.fixed.pieces[index].ways.contains(&(up, turn)))
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

    /// How many tiers there are, the lid not counted.
    pub fn tiers(&self) -> usize {
        self.problem()
            .tiers
            .iter()
            .filter(|tier| !tier.opens_down)
            .count()
    }

    /// Whether the lid has pockets.
    pub fn has_pockets(&self) -> bool {
        self.problem().tiers.iter().any(|tier| tier.opens_down)
    }

    fn is_in_lid(&self, placement: &Placement) -> bool {
        self.problem().tiers[placement.tier].opens_down
    }

    fn problem(&self) -> &Problem {
        self.fixed.whole.problem()
    }

    fn index(&self, piece: &InstanceId) -> Option<usize> {
        self.fixed
            .pieces
            .iter()
            .position(|known| known.instance.as_ref() == Some(piece))
    }

    /// Where a piece lies now.
    pub fn spot(&self, piece: &InstanceId) -> Option<Spot> {
        let index = self.index(piece)?;
        let placement = self.placements[index];
        let (up, turn) = self.fixed.pieces[index].ways[placement.orientation];
        Some(Spot {
            up,
            turn,
            at: placement.at,
            tier: placement.tier,
            in_lid: self.is_in_lid(&placement),
        })
    }

    /// How a piece would lie; `None` for a piece that the brief does not know, or a way that is not prepared (see [`Live::across`]).
    pub fn lie(&self, piece: &InstanceId, spot: &Spot) -> Option<Lie> {
        let index = self.index(piece)?;
        let placement = self.placement(index, spot)?;
        let mut broken = self.broken(index, &placement);
        let known = &self.fixed.pieces[index];
        if !known.ups.contains(&spot.up) {
            broken.push(words::way(&known.name, &format!("with {} up", spot.up.as_str())));
        }
        if !known.may_turn && spot.turn != Turn::NONE {
            broken.push(words::way(&known.name, "turned about the vertical"));
        }
        broken.sort_by(|a, b| {
            (b.breach == Breach::Collision)
                .cmp(&(a.breach == Breach::Collision))
                .then(b.missing.total_cmp(&a.missing))
        });
        Some(Lie {
            is_allowed: broken.iter().all(|broken| broken.missing <= CUT_TO),
            broken,
            sides: self.sides(index, &placement),
            bottom: placement.bottom,
            outline: self.fixed.shadows[known.body][placement.orientation].placed(&Placement2 {
                angle: 0.0,
                shift: placement.at,
            }),
        })
    }

    /// The nearest place in plan where the piece would break nothing, as it is turned and in its tier; `None` where there is
    /// none within a quarter of a metre.
    pub fn nearest(&self, piece: &InstanceId, spot: &Spot) -> Option<Spot> {
        let index = self.index(piece)?;
        let mut placement = self.placement(index, spot)?;
        let others = self.others(index);
        let holds = |at: Vec2, placement: &mut Placement| {
            placement.at = at;
            self.fixed.whole.check(index, placement, &others).distance >= 0.0
        };
        if holds(spot.at, &mut placement) {
            return Some(*spot);
        }
        // Pushed out of what it meets, it may come to rest close by.
        let mut pushed = spot.at;
        let mut found: Option<Vec2> = None;
        for _ in 0..12 {
            placement.at = pushed;
            let contact = self.fixed.whole.check(index, &placement, &others);
            if contact.distance >= 0.0 {
                found = Some(pushed);
                break;
            }
            if contact.push_out == Vec2::ZERO {
                break;
            }
            pushed += contact.push_out * 1.0001;
        }
        let mut most = found.map_or(RINGS.1, |at| at.distance(spot.at));
        let mut radius = RINGS.0;
        while radius < most {
            let count = ((std::f64::consts::TAU * radius / RINGS.0).ceil() as u32).clamp(8, 180);
            for step in 0..count {
                let angle = std::f64::consts::TAU * f64::from(step) / f64::from(count);
                let at = spot.at + Vec2::new(radius, 0.0).rotated(angle);
                if holds(at, &mut placement) {
                    most = radius;
                    found = Some(at);
                    break;
                }
            }
            radius += RINGS.0;
        }
        found.map(|at| Spot { at, ..*spot })
    }

    fn others(&self, index: usize) -> Vec<(usize, Placement)> {
        self.placements
            .iter()
            .copied()
            .enumerate()
            .filter(|(other, _)| *other != index)
            .collect()
    }

    /// Flush with its tier's top; in the lid on its cover.
    fn placement(&self, index: usize, spot: &Spot) -> Option<Placement> {
        let way = (spot.up, spot.turn);
        let orientation = self.fixed.pieces[index]
            .ways
            .iter()
            .position(|known| *known == way)?;
        let tier = if spot.in_lid && self.has_pockets() {
            self.tiers()
        } else {
            spot.tier.min(self.tiers() - 1)
        };
        Some(Placement {
            orientation,
            tier,
            at: spot.at,
            bottom: self.fixed.whole.flush_bottom(index, orientation, tier)?,
        })
    }

    fn broken(&self, index: usize, placement: &Placement) -> Vec<Broken> {
        let mut broken = Vec::new();
        let asked = &self.problem().pieces[index].orientations[placement.orientation];
        let tier = &self.problem().tiers[placement.tier];
        let passes = self.problem().pieces[index].may_pass && placement.tier > 0;
        let floor = if passes {
            self.problem().tiers[placement.tier - 1].low
        } else {
            tier.low
        };
        let under = placement.bottom - floor.max(self.problem().region.low);
        if tier.opens_down {
            let top = self.bands_of(index, placement).map(|(_, high, _)| high);
            let over = tier.high - top.fold(f64::NEG_INFINITY, f64::max);
            if over < asked.above_in(placement.tier) - 1e-9 {
                broken.push(words::depth(
                    "the lid's roof",
                    over,
                    asked.above_in(placement.tier),
                ));
            }
        } else if under < asked.below - 1e-9 {
            let floor = if placement.tier > 0 && !passes {
                "the tray's floor"
            } else {
                "the floor"
            };
            broken.push(words::depth(floor, under, asked.below));
        }
        broken.extend(self.walls(index, placement));
        for way in &self.fixed.hindrances {
            let found = way.asked.check(index, placement, &[]);
            if found.distance < -1e-9 {
                let left = way.bare.check(index, placement, &[]).distance;
                let meets = left < 0.0
                    && way
                        .bands
                        .iter()
                        .any(|(low, high, plan)| self.body_meets(index, placement, (*low, *high), plan));
                broken.push(words::hindrance(&way.name, -found.distance, left, meets));
            }
        }
        for (other, its) in self.placements.iter().enumerate() {
            if other == index {
                continue;
            }
            let pair = [(other, *its)];
            let found = self.fixed.open.check(index, placement, &pair);
            if found.distance < -1e-9 {
                let left = self.fixed.bare.check(index, placement, &pair).distance;
                let meets = left < 0.0
                    && self
                        .bands_of(other, its)
                        .any(|(low, high, plan)| self.body_meets(index, placement, (low, high), &plan));
                broken.push(words::neighbour(
                    &self.fixed.pieces[other].name,
                    -found.distance,
                    left,
                    meets,
                ));
            }
        }
        broken
    }

    /// Walls that a piece comes too near to, each named once.
    fn walls(&self, index: usize, placement: &Placement) -> Vec<Broken> {
        let asked = &self.problem().pieces[index].orientations[placement.orientation];
        let tier = &self.problem().tiers[placement.tier];
        let bodies = || self.bands_of(index, placement);
        // A pocket in the lid is as wide as its piece anywhere.
        let (mut low, mut top) = (placement.bottom, tier.high);
        if tier.opens_down {
            top = bodies().map(|(_, high, _)| high).fold(low, f64::max);
        } else {
            low = tier.low.min(low);
        }
        let mut worst: Vec<(&'static str, f64, f64)> = Vec::new();
        for facet in &self.problem().region.facets {
            if facet.high <= low || facet.low >= tier.high {
                continue;
            }
            let need = keep_out(facet, &asked.wall);
            let left = bodies()
                .map(|(its_low, high, plan)| {
                    let its_low = if tier.opens_down { low } else { its_low };
                    let inside = [its_low, high, top].map(|z| facet.offset + facet.slope * z);
                    inside.into_iter().fold(f64::INFINITY, f64::min) - plan.reach(facet.normal)
                })
                .fold(f64::INFINITY, f64::min);
            if left < need - 1e-9 {
                let name = wall_name(facet.normal);
                match worst.iter_mut().find(|(known, ..)| *known == name) {
                    Some(known) if need - left > known.1 => (known.1, known.2) = (need - left, left),
                    Some(_) => {}
                    None => worst.push((name, need - left, left)),
                }
            }
        }
        worst
            .into_iter()
            .map(|(name, missing, left)| words::wall(name, missing, left))
            .collect()
    }

    /// The bands of a body where it lies.
    fn bands_of(&self, index: usize, placement: &Placement) -> impl Iterator<Item = (f64, f64, Plan)> + '_ {
        let (at, bottom) = (placement.at, placement.bottom);
        self.fixed.bodies[self.fixed.pieces[index].body][placement.orientation]
            .iter()
            .map(move |(low, high, plan)| (bottom + low, bottom + high, plan.moved(at)))
    }

    /// Whether a body meets what stands between two heights.
    fn body_meets(&self, index: usize, placement: &Placement, (low, high): (f64, f64), plan: &Plan) -> bool {
        self.bands_of(index, placement)
            .any(|(its_low, its_high, its)| its_low < high - 1e-6 && low < its_high - 1e-6 && its.meets(plan))
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

/// Foam that a slanting wall is owed, as the search counts it.
fn keep_out(facet: &Facet, sides: &Sides) -> f64 {
    let n = facet.normal;
    let along = if n.x > 0.0 { sides.right } else { sides.left };
    let across = if n.y > 0.0 { sides.back } else { sides.front };
    (along * n.x).hypot(across * n.y)
}

fn wall_name(normal: Vec2) -> &'static str {
    if normal.x.abs() > 0.95 {
        if normal.x > 0.0 { "right wall" } else { "left wall" }
    } else if normal.y.abs() > 0.95 {
        if normal.y > 0.0 { "back wall" } else { "front wall" }
    } else {
        "corner of the case"
    }
}

#[cfg(test)]
mod tests;
