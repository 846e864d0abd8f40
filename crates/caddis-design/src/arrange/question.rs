//! What is asked of one arrangement: pieces, the ways they may lie, pins and hints.

use super::laid::Arrangement;
use super::load_path::{Body, loads};
use super::ways::{Way, way, ways};
use crate::cushion::{Load, limit_of};
use crate::{BlockKind, Brief, Change, Interior, PinWish};
use caddis_basis::{Acceleration, Domain, Finding, InstanceId, Said, Severity, Source, said};
use caddis_geometry::{SectionStack, Vec2};
use caddis_survey::{Turn, Up};
use std::collections::BTreeMap;

/// More pieces than this are a slip of the pen, not a packing list.
const MOST_PIECES: usize = 400;

/// Where a piece is to lie, or lay before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its way up.
    pub up: Up,
    /// Turn about the vertical.
    pub turn: Turn,
    /// Plan centre of its box.
    pub at: Vec2,
    /// Tier it hangs in, 0 at the bottom; of no account in the lid.
    pub tier: usize,
    /// In a pocket of the lid pad.
    pub in_lid: bool,
}

/// One piece.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub instance: InstanceId,
    /// Index into the brief's items.
    pub item: usize,
    /// Must lie here.
    pub pin: Option<Spot>,
    /// Lay here before.
    pub hint: Option<Spot>,
    /// What leaned on it before.
    pub loads: [Load; 6],
}

/// The question.
#[derive(Debug, Clone)]
pub(super) struct Question<'a> {
    pub brief: &'a Brief,
    pub pieces: Vec<Piece>,
    /// Ways by item.
    pub ways: Vec<Vec<Way>>,
    /// Height of the base block under a tray before, zero where there was none; `None` for a fresh arrangement.
    pub boundary: Option<f64>,
    /// Pieces lay in the lid before.
    pub had_pockets: bool,
}

pub(super) fn refusal(code: &'static str, place: impl Into<Said>, sentence: Said) -> Finding {
    Finding::new(
        code,
        Domain::Arrangement,
        Severity::Failing,
        place,
        sentence,
        Source::derived(said!("what an arrangement needs to be told")),
    )
}

impl<'a> Question<'a> {
    /// The brief's question.
    ///
    /// # Errors
    /// What makes the brief no question at all.
    pub(super) fn new(brief: &'a Brief) -> Result<Self, Vec<Finding>> {
        Self::with_ways(brief, |index| ways(brief, &brief.items[index]))
    }

    /// The brief's question, with the ways of its items from elsewhere.
    ///
    /// # Errors
    /// As [`Question::new`].
    pub(super) fn with_ways(
        brief: &'a Brief,
        ways: impl Fn(usize) -> Vec<Way>,
    ) -> Result<Self, Vec<Finding>> {
        let mut refused = Vec::new();
        if brief.base_foam >= brief.foams.len() || brief.lid_foam >= brief.foams.len() {
            refused.push(refusal(
                "foam-missing",
                said!("foams"),
                said!("the base or the lid names a foam that the job does not have"),
            ));
        }
        let count: usize = brief.items.iter().map(|item| item.quantity as usize).sum();
        if count > MOST_PIECES {
            refused.push(refusal(
                "too-many-pieces",
                said!("items"),
                said!(
                    "{count} pieces are asked for, more than the {most} that are arranged at once",
                    count,
                    most = MOST_PIECES
                ),
            ));
        }
        if !refused.is_empty() {
            return Err(refused);
        }
        let mut all = Vec::with_capacity(brief.items.len());
        for (index, item) in brief.items.iter().enumerate() {
            let ways = ways(index);
            let has_room = |way: &Way| {
                way.height().is_finite() && way.height() > 0.0 && way.faces.iter().all(|face| face.area > 0.0)
            };
            if ways.is_empty() || !ways.iter().all(has_room) {
                refused.push(refusal(
                    "item-without-shape",
                    &item.id,
                    said!("{item} has no way it may lie or takes no room", item = item.name),
                ));
            }
            all.push(ways);
        }
        if !refused.is_empty() {
            return Err(refused);
        }
        let pieces = brief
            .items
            .iter()
            .enumerate()
            .flat_map(|(index, item)| {
                (1..=item.quantity).map(move |number| Piece {
                    instance: InstanceId::new(item.id.clone(), number),
                    item: index,
                    pin: None,
                    hint: None,
                    loads: [Load::NONE; 6],
                })
            })
            .collect();
        let mut question = Self {
            brief,
            pieces,
            ways: all,
            boundary: None,
            had_pockets: false,
        };
        for wish in &brief.wishes.pinned {
            question.pin(wish)?;
        }
        Ok(question)
    }

    /// Pins a piece where the brief wishes it.
    fn pin(&mut self, wish: &PinWish) -> Result<(), Vec<Finding>> {
        let Some(index) = self.pieces.iter().position(|piece| piece.instance == wish.piece) else {
            // The other case of a split list holds it.
            return Ok(());
        };
        let item = self.pieces[index].item;
        let Some(up) = wish
            .up
            .or_else(|| self.brief.items[item].ways_up.first().copied())
        else {
            return Ok(());
        };
        if !self.brief.items[item].ways_up.contains(&up) {
            return Err(vec![refusal(
                "way-up-not-allowed",
                &wish.piece,
                said!(
                    "{piece} may not lie with {up} up",
                    piece = wish.piece,
                    up = up.as_str()
                ),
            )]);
        }
        let spot = Spot {
            up,
            turn: wish.turn,
            at: wish.at,
            tier: usize::from(wish.in_tray),
            in_lid: wish.in_lid,
        };
        self.pieces[index].pin = Some(spot);
        self.pieces[index].hint = Some(spot);
        self.allow(item, &spot);
        Ok(())
    }

    /// The same question where it is known how some pieces lay before.
    pub(super) fn knowing(mut self, before: &Arrangement) -> Self {
        self.boundary = Some(before.boundary);
        self.had_pockets = before.has_pockets();
        for piece in &mut self.pieces {
            piece.hint = before.spot(&piece.instance);
        }
        self
    }

    /// The same question after changes to an interior that answered it before.
    ///
    /// # Errors
    /// Changes that cannot be: a piece that is not there, a way up its item does not allow.
    pub(super) fn after(mut self, interior: &Interior, changes: &[Change]) -> Result<Self, Vec<Finding>> {
        let tray = interior
            .blocks
            .iter()
            .find(|block| matches!(block.kind, BlockKind::Tray(_)));
        self.boundary = Some(tray.map_or(0.0, |tray| tray.low));
        self.had_pockets = interior.lid_cover().is_some();
        let mut spots: BTreeMap<InstanceId, Spot> = BTreeMap::new();
        for place in &interior.places {
            spots.insert(
                place.instance.clone(),
                Spot {
                    up: place.up,
                    turn: place.turn,
                    at: place.at,
                    tier: place.tier,
                    in_lid: place.in_lid,
                },
            );
        }
        let index_of: BTreeMap<InstanceId, usize> = self
            .pieces
            .iter()
            .enumerate()
            .map(|(index, piece)| (piece.instance.clone(), index))
            .collect();
        // What leaned on each piece before leans on it still, as far as anyone knows before the search.
        let before: Vec<(usize, Body)> = interior
            .places
            .iter()
            .filter_map(|place| {
                let index = *index_of.get(&place.instance)?;
                Some((index, self.body(index, &place.body, place.turn)?))
            })
            .collect();
        let (indices, mut bodies): (Vec<usize>, Vec<Body>) = before.into_iter().unzip();
        let board = interior
            .tray_board()
            .zip(self.brief.furnishing.tray_board.as_ref());
        bodies.extend(board.and_then(|(prism, board)| {
            Body::board(self.brief, board, &prism.region, (prism.low, prism.high))
        }));
        for (index, loads) in indices.into_iter().zip(loads(&bodies)) {
            self.pieces[index].loads = loads;
        }
        for piece in &mut self.pieces {
            piece.hint = spots.get(&piece.instance).copied();
        }
        let mut refused = Vec::new();
        for change in changes {
            let (instance, edit): (&InstanceId, Option<Spot>) = match change {
                Change::Move(instance, at) => (
                    instance,
                    spots.get(instance).map(|spot| Spot { at: *at, ..*spot }),
                ),
                Change::Turn(instance, up, turn) => (
                    instance,
                    spots.get(instance).map(|spot| Spot {
                        up: *up,
                        turn: *turn,
                        ..*spot
                    }),
                ),
                Change::SetTier(instance, tier) => (
                    instance,
                    spots.get(instance).map(|spot| Spot {
                        tier: *tier,
                        in_lid: false,
                        ..*spot
                    }),
                ),
                Change::SetInLid(instance) => (
                    instance,
                    spots.get(instance).map(|spot| Spot {
                        in_lid: true,
                        ..*spot
                    }),
                ),
                Change::Pin(instance, true) => (instance, spots.get(instance).copied()),
                Change::Pin(instance, false) => {
                    if let Some(&index) = index_of.get(instance) {
                        self.pieces[index].pin = None;
                    }
                    continue;
                }
                // The brief given is the one after these.
                Change::AddItem(_)
                | Change::RemoveItem(_)
                | Change::SwapShell(_)
                | Change::SetFoam(..)
                | Change::SetDropHeight(_)
                | Change::Concede(_) => continue,
            };
            let (Some(&index), Some(spot)) = (index_of.get(instance), edit) else {
                refused.push(refusal(
                    "change-names-no-piece",
                    instance,
                    said!(
                        "{instance} lies nowhere in the interior, so it cannot be moved, turned or pinned",
                        instance
                    ),
                ));
                continue;
            };
            let item = self.pieces[index].item;
            if !self.brief.items[item].ways_up.contains(&spot.up) {
                refused.push(refusal(
                    "way-up-not-allowed",
                    instance,
                    said!(
                        "{instance} may not lie with {up} up",
                        instance,
                        up = spot.up.as_str()
                    ),
                ));
                continue;
            }
            spots.insert(instance.clone(), spot);
            self.pieces[index].pin = Some(spot);
            self.pieces[index].hint = Some(spot);
            self.allow(item, &spot);
        }
        if refused.is_empty() {
            Ok(self)
        } else {
            Err(refused)
        }
    }

    /// Makes sure that the way of a spot is among the ways of its item.
    pub(super) fn allow(&mut self, item: usize, spot: &Spot) {
        if self.way_of(item, spot).is_none() {
            let way = way(self.brief, &self.brief.items[item], spot.up, spot.turn, 0);
            self.ways[item].push(way);
        }
    }

    /// Which way of the item a spot names.
    pub(super) fn way_of(&self, item: usize, spot: &Spot) -> Option<usize> {
        self.ways[item]
            .iter()
            .position(|way| way.up == spot.up && way.turn == spot.turn)
    }

    /// The item of the piece of this name.
    pub(super) fn item_of(&self, name: &str) -> Option<usize> {
        let mut pieces = self.pieces.iter();
        pieces
            .find(|piece| piece.instance.to_string() == name)
            .map(|piece| piece.item)
    }

    /// A piece as the load path sees it.
    pub(super) fn body(&self, piece: usize, stack: &SectionStack, turn: Turn) -> Option<Body> {
        let item = &self.brief.items[self.pieces[piece].item];
        let limit = limit_of(item).map_or(f64::INFINITY, Acceleration::si);
        Body::new(stack, item.mass.most().si(), limit, !turn.is_square())
    }
}
