//! The attempts at a question: which stackings, how much foam for what nobody knows, in which order.

use super::attempt::{Attempt, missing};
use super::question::{Question, refusal};
use super::tiers::stackings;
use crate::cushion::{Level, is_soft};
use caddis_basis::{Finding, Said, said};
use caddis_survey::Fragility;

/// Shares of the need that cushions of unknown fragility are thinned to, one after the other.
pub(super) const UNKNOWN_SHARES: [f64; 3] = [1.0, 0.5, 0.0];

impl Question<'_> {
    /// The attempts in the order they are made.
    ///
    /// # Errors
    /// No stacking of the stock thicknesses comes near the rim.
    pub(super) fn attempts(&self) -> Result<Vec<Attempt>, Vec<Finding>> {
        let mut stackings = stackings(self);
        if stackings.is_empty() {
            return Err(vec![
                refusal(
                    "no-stack",
                    said!("layers"),
                    said!(
                        "no stack of the given layer thicknesses ends within 12 mm below the rim at {rim}",
                        rim = self.brief.shell.rim_height()
                    ),
                )
                .remedy(said!("list more stock thicknesses")),
            ]);
        }
        // What is pinned in the lid lies there or nowhere.
        let needs_pockets = self
            .pieces
            .iter()
            .any(|piece| piece.pin.is_some_and(|pin| pin.in_lid));
        if needs_pockets {
            stackings.retain(|stacking| stacking.lid_cover.is_some());
        }
        if stackings.is_empty() {
            if self.brief.clearances.through_cuts {
                return Err(vec![
                    refusal(
                        "lid-not-deep-enough",
                        Said::name("wishes.pinned"),
                        said!(
                            "a piece is pinned in the lid, and this process cuts layers through or not at all: a \
                             pocket there has no roof"
                        ),
                    )
                    .remedy(said!("pin it in the base, or choose a process that cuts pockets")),
                ]);
            }
            return Err(vec![
                refusal(
                    "lid-not-deep-enough",
                    Said::name("wishes.pinned"),
                    said!(
                        "a piece is pinned in the lid, and no stack of the given layer thicknesses makes a cover for \
                         its pocket with foam \
                         over it in a lid {depth} deep",
                        depth = self.brief.shell.lid.depth.value
                    ),
                )
                .remedy(said!("pin it in the base, take a shell with a deeper lid, or list more stock thicknesses")),
            ]);
        }
        let has_unknown =
            self.brief.items.iter().any(|item| {
                item.quantity > 0 && !is_soft(item) && matches!(item.fragility, Fragility::Unknown)
            });
        let wants_first = self
            .pieces
            .iter()
            .any(|piece| piece.pin.is_none() && self.brief.items[piece.item].reach_first);
        let mut attempts = Vec::new();
        for (rank, unknown_share) in UNKNOWN_SHARES.into_iter().enumerate() {
            if rank > 0 && !has_unknown {
                break;
            }
            for stacking in &stackings {
                let level = Level {
                    unknown_share,
                    thinner: None,
                };
                let with_room: &[bool] = if rank == 0 { &[true, false] } else { &[false] };
                // Only where there is a tray does it matter what is to be reached first.
                let on_top: &[bool] = if stacking.tray.is_some() && wants_first {
                    &[true, false]
                } else {
                    &[false]
                };
                for &first_on_top in on_top {
                    attempts.extend(with_room.iter().map(|&room_for_notches| Attempt {
                        stacking: stacking.clone(),
                        level,
                        room_for_notches,
                        first_on_top,
                        across: false,
                    }));
                }
            }
        }
        if self.boundary.is_none() {
            // Where nothing else is found.
            let unknown_share = if has_unknown { 0.0 } else { 1.0 };
            attempts.extend(stackings.iter().map(|stacking| Attempt {
                stacking: stacking.clone(),
                level: Level {
                    unknown_share,
                    thinner: None,
                },
                room_for_notches: false,
                first_on_top: false,
                across: true,
            }));
        }
        if self.boundary.is_some() {
            // What was arranged before goes on as it was: the attempt whose demands it breaks least comes first.
            let mut by_missing: Vec<(f64, Attempt)> = attempts
                .into_iter()
                .map(|attempt| (missing(self, &attempt), attempt))
                .collect();
            by_missing.sort_by(|a, b| a.0.total_cmp(&b.0));
            attempts = by_missing.into_iter().map(|(_, attempt)| attempt).collect();
        }
        Ok(attempts)
    }
}
