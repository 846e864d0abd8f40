//! An arrangement that is known already: laid out as it is, with no search.
//!
//! What a person moved by hand, or what a store kept, becomes an interior again in the time a cavity takes to draw. Nothing is
//! judged here: [`super::Live`] says what such an arrangement breaks, verification what it holds.

use super::assemble;
use super::attempt::{Attempt, Found, load_path, missing};
use super::attempts::UNKNOWN_SHARES;
use super::problem::{Demand, placement, problem};
use super::question::{Question, Spot, refusal};
use super::tiers::stackings;
use crate::cushion::{Level, Load};
use crate::{BlockKind, Brief, Change, Interior};
use caddis_basis::{Finding, InstanceId, Said, said};
use caddis_geometry::Vec2;
use caddis_layout::{Layout, Placement, Prepared};
use caddis_survey::Turn;

/// Boundaries closer than this are the same, metres.
const SAME: f64 = 1e-4;
/// Spare is told up to this, metres, as the search does.
const SPARE_CAP: f64 = 0.05;

/// Where a space that is kept for later lies.
#[derive(Debug, Clone, PartialEq)]
pub struct SpaceSpot {
    /// As wished.
    pub name: String,
    /// Plan centre.
    pub at: Vec2,
    /// Its length lies across the case.
    pub is_turned: bool,
    /// Tier it hangs in.
    pub tier: usize,
}

/// Where everything lies, without the foam around it: what is kept of an interior from one session to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// Height of the base block under a tray, metres; zero where one block holds everything.
    pub boundary: f64,
    /// Every piece.
    pub spots: Vec<(InstanceId, Spot)>,
    /// Every space kept for later.
    pub spaces: Vec<SpaceSpot>,
    /// Rounds of the loop that found it.
    pub rounds: u32,
    /// Seed of the search that found it.
    pub seed: u64,
    /// Steps of that search.
    pub steps: u64,
    /// Why what is reached first does not all lie on top, as tried.
    pub not_on_top: Option<Said>,
}

impl Arrangement {
    /// What an interior is kept by.
    pub fn of(interior: &Interior, brief: &Brief) -> Self {
        let blocks: Vec<_> = interior
            .blocks
            .iter()
            .filter(|block| block.kind != BlockKind::LidPad)
            .collect();
        let tray = blocks
            .iter()
            .find(|block| matches!(block.kind, BlockKind::Tray(_)));
        let spaces = interior
            .spaces
            .iter()
            .filter_map(|space| {
                let bounds = space.prism.region.bounds()?;
                let wish = brief.wishes.spaces.iter().find(|wish| wish.name == space.name)?;
                Some(SpaceSpot {
                    name: space.name.clone(),
                    at: bounds.centre(),
                    is_turned: (bounds.size().x - wish.length.si()).abs() > SAME,
                    tier: blocks
                        .iter()
                        .position(|block| (block.high - space.prism.high).abs() < SAME)
                        .unwrap_or(0),
                })
            })
            .collect();
        Self {
            boundary: tray.map_or(0.0, |tray| tray.low),
            spots: interior
                .places
                .iter()
                .map(|place| {
                    let spot = Spot {
                        up: place.up,
                        turn: place.turn,
                        at: place.at,
                        tier: place.tier,
                        in_lid: place.in_lid,
                    };
                    (place.instance.clone(), spot)
                })
                .collect(),
            spaces,
            rounds: interior.rounds,
            seed: interior.seed,
            steps: interior.steps,
            not_on_top: interior.not_on_top.clone(),
        }
    }

    /// Whether pieces lie in the lid.
    pub fn has_pockets(&self) -> bool {
        self.spots.iter().any(|(_, spot)| spot.in_lid)
    }

    /// How many tiers it has, the lid not counted.
    pub fn tiers(&self) -> usize {
        if self.boundary > 0.0 { 2 } else { 1 }
    }

    /// Where a piece lies.
    pub fn spot(&self, piece: &InstanceId) -> Option<Spot> {
        self.spots
            .iter()
            .find(|(known, _)| known == piece)
            .map(|(_, spot)| *spot)
    }

    /// The same after a piece is moved, turned or hung in another tier. Other changes are of the brief, not of where things
    /// lie.
    ///
    /// # Errors
    /// A piece that lies nowhere, a way up its item does not allow, a turn its item does not allow, a tier that is not there.
    pub fn after(&self, brief: &Brief, changes: &[Change]) -> Result<Self, Vec<Finding>> {
        let mut out = self.clone();
        let mut refused = Vec::new();
        for change in changes {
            let (Change::Move(piece, _)
            | Change::Turn(piece, ..)
            | Change::SetTier(piece, _)
            | Change::SetInLid(piece)
            | Change::Pin(piece, _)) = change
            else {
                continue;
            };
            let tiers = out.tiers();
            let item = brief.items.iter().find(|item| item.id == piece.item);
            let found = out.spots.iter_mut().find(|(known, _)| known == piece);
            let (Some((_, spot)), Some(item)) = (found, item) else {
                refused.push(refusal(
                    "change-names-no-piece",
                    piece,
                    said!(
                        "{piece} lies nowhere in the interior, so it cannot be moved, turned or pinned",
                        piece
                    ),
                ));
                continue;
            };
            match change {
                Change::Move(_, at) => spot.at = *at,
                Change::Turn(_, up, turn) => {
                    if !item.ways_up.contains(up) {
                        refused.push(refusal(
                            "way-up-not-allowed",
                            piece,
                            said!(
                                "{item} may not lie with {up} up",
                                item = item.name,
                                up = up.as_str()
                            ),
                        ));
                    }
                    if !item.may_turn && *turn != Turn::NONE {
                        refused.push(refusal(
                            "turn-not-allowed",
                            piece,
                            said!("{item} may not be turned about the vertical", item = item.name),
                        ));
                    }
                    spot.up = *up;
                    spot.turn = *turn;
                }
                Change::SetTier(_, tier) => {
                    if *tier >= tiers {
                        refused.push(
                            refusal(
                                "tier-not-there",
                                piece,
                                said!(
                                    "{item} cannot hang in a tray: one block holds everything",
                                    item = item.name
                                ),
                            )
                            .remedy(said!(
                                "wish it first, or arrange anew: a tray is added where it is needed"
                            )),
                        );
                    }
                    spot.tier = *tier;
                    spot.in_lid = false;
                }
                Change::SetInLid(_) => {
                    if !item.may_lie_in_lid {
                        refused.push(
                            refusal(
                                "lid-not-allowed",
                                piece,
                                said!("{item} may not lie in the lid", item = item.name),
                            )
                            .remedy(said!("allow it: `may_lie_in_lid = true` of the item")),
                        );
                    }
                    spot.in_lid = true;
                }
                _ => {}
            }
        }
        if refused.is_empty() { Ok(out) } else { Err(refused) }
    }
}

/// The interior of a known arrangement. A pin of the brief moves its piece to where it is pinned; nothing else moves.
///
/// # Errors
/// A piece or a space lies nowhere in it, or the blocks cannot be stacked that way any more.
pub fn lay_out(brief: &Brief, arrangement: &Arrangement) -> Result<Interior, Vec<Finding>> {
    Ok(Laid::new(brief, arrangement)?.interior(arrangement))
}

/// An arrangement as the layout sees it.
pub(super) struct Laid<'a> {
    pub(super) question: Question<'a>,
    pub(super) attempt: Attempt,
    /// Pieces, then spaces.
    pub(super) placements: Vec<Placement>,
    pub(super) loads: Vec<[Load; 6]>,
}

impl<'a> Laid<'a> {
    /// # Errors
    /// As [`lay_out`].
    pub(super) fn new(brief: &'a Brief, arrangement: &Arrangement) -> Result<Self, Vec<Finding>> {
        let mut question = Question::new(brief)?;
        question.boundary = Some(arrangement.boundary);
        question.had_pockets = arrangement.has_pockets();
        let mut refused = Vec::new();
        for index in 0..question.pieces.len() {
            let piece = &question.pieces[index];
            let Some(spot) = piece.pin.or_else(|| arrangement.spot(&piece.instance)) else {
                let sentence = said!("{piece} lies nowhere yet", piece = piece.instance);
                refused.push(refusal("no-place-yet", &piece.instance, sentence).remedy(said!("arrange")));
                continue;
            };
            let item = piece.item;
            question.pieces[index].hint = Some(spot);
            question.allow(item, &spot);
        }
        let has_pockets = |spot: Option<Spot>| spot.is_some_and(|spot| spot.in_lid);
        let pockets = question.pieces.iter().any(|piece| has_pockets(piece.hint));
        let stacking = stackings(&question).into_iter().find(|stacking| {
            if stacking.lid_cover.is_some() != pockets {
                false
            } else if arrangement.boundary > 0.0 {
                stacking.tray.is_some() && (stacking.boundary() - arrangement.boundary).abs() < SAME
            } else {
                stacking.tray.is_none()
            }
        });
        let Some(stacking) = stacking else {
            refused.push(
                refusal(
                    "no-stack",
                    said!("layers"),
                    said!(
                        "the blocks cannot be stacked as they were with the layer thicknesses there are now"
                    ),
                )
                .remedy(said!("arrange")),
            );
            return Err(refused);
        };
        if !refused.is_empty() {
            return Err(refused);
        }
        let mut attempt = Attempt {
            stacking,
            level: Level::FULL,
            room_for_notches: true,
            first_on_top: false,
            across: false,
        };
        let mut placements: Vec<Placement> = (0..question.pieces.len())
            .filter_map(|index| {
                let spot = question.pieces[index].hint?;
                placement(&question, &attempt, index, &spot)
            })
            .collect();
        let tops = super::problem::tiers(brief, &attempt);
        for space in &brief.wishes.spaces {
            let Some(spot) = arrangement.spaces.iter().find(|spot| spot.name == space.name) else {
                refused.push(
                    refusal(
                        "no-place-yet",
                        Said::name(&space.name),
                        said!("the space for {space} lies nowhere yet", space = space.name),
                    )
                    .remedy(said!("arrange")),
                );
                continue;
            };
            let tier = spot.tier.min(attempt.stacking.tiers() - 1);
            placements.push(Placement {
                orientation: usize::from(spot.is_turned),
                tier,
                at: spot.at,
                bottom: tops[tier].high - space.height.si(),
            });
        }
        if !refused.is_empty() {
            return Err(refused);
        }
        let pieces = question.pieces.len();
        let loads = load_path(
            &question,
            &attempt,
            &layout(placements[..pieces].to_vec(), 0.0, 0),
        );
        for (piece, loads) in question.pieces.iter_mut().zip(&loads) {
            piece.loads = *loads;
        }
        // The demands that it breaks least are those it was found with.
        let mut least = f64::INFINITY;
        let mut best = attempt.clone();
        for unknown_share in UNKNOWN_SHARES {
            for room_for_notches in [true, false] {
                attempt.level.unknown_share = unknown_share;
                attempt.room_for_notches = room_for_notches;
                let short = missing(&question, &attempt);
                if short < least {
                    least = short;
                    best = attempt.clone();
                }
                if least == 0.0 {
                    break;
                }
            }
            if least == 0.0 {
                break;
            }
        }
        Ok(Self {
            question,
            attempt: best,
            placements,
            loads,
        })
    }

    /// What the layout is asked, every side's need as it is sized where everything lies now.
    pub(super) fn problem(&self) -> caddis_layout::Problem {
        let demands = vec![Demand::NONE; self.question.pieces.len()];
        problem(&self.question, &self.attempt, &self.loads, &demands)
    }

    fn interior(&self, arrangement: &Arrangement) -> Interior {
        let pieces = self.question.pieces.len();
        let mut found = Found {
            layout: layout(
                self.placements[..pieces].to_vec(),
                self.spare(),
                arrangement.steps,
            ),
            loads: self.loads.clone(),
            spaces: self.placements[pieces..].to_vec(),
            shortfalls: 0,
            missing: 0.0,
            holds_flat: true,
        };
        found.layout.steps = arrangement.steps;
        let run = (arrangement.rounds, arrangement.seed, arrangement.steps);
        let mut interior = assemble::interior(&self.question, &self.attempt, &found, run);
        interior.not_on_top.clone_from(&arrangement.not_on_top);
        interior
    }

    /// Least spare over all demands in plan; negative where one is broken.
    fn spare(&self) -> f64 {
        let prepared = Prepared::new(self.problem());
        let lying: Vec<(usize, Placement)> = self.placements.iter().copied().enumerate().collect();
        lying
            .iter()
            .map(|(piece, placement)| prepared.check(*piece, placement, &lying).distance)
            .fold(SPARE_CAP, f64::min)
    }
}

fn layout(placements: Vec<Placement>, spare: f64, steps: u64) -> Layout {
    Layout {
        placements,
        spare,
        imbalance: 0.0,
        steps,
    }
}
