//! Repair: what verification finds short of foam, and how much more each side should then ask for.
//!
//! Needs are sized on faces over even foam. A rib under a corner, a notch beside a side or a gap at a housing makes foam
//! uneven, and only the finished interior shows it. Sides that fail though more foam would help ask for more and the
//! layout is searched again; sides that no thickness helps are left to verification's findings.

use crate::{Brief, Checks, Interior, Verification, verify};
use caddis_basis::{Length, Quiet, Verdict};

/// What one repair asks beyond what was there, least and most.
const FACTOR: (f64, f64) = (1.06, 1.4);
/// Where foam bottoms outright nobody knows by how much.
const BOTTOMED: f64 = 1.25;
/// How much thicker foam must help before a failing side counts as repairable.
const TWICE: f64 = 2.0;
/// A side this close to its limit counts as failing: another grid, or a hair of tolerance, would tip it.
const CLOSE: f64 = 0.01;
/// Grid of the patches, metres.
const SPACING: f64 = 0.004;

/// A side that fails and by what factor its need should grow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shortfall {
    pub piece: usize,
    /// In the order of [`crate::Direction::ALL`].
    pub side: usize,
    pub factor: f64,
}

/// Sides that fail in an interior and that more foam would help, in the order of its places.
pub(super) fn shortfalls(brief: &Brief, interior: &Interior) -> Vec<Shortfall> {
    let verification: Verification = verify(
        interior,
        brief,
        &Checks {
            spacing: SPACING,
            falls: None,
            spread: None,
        },
        &Quiet,
    );
    let law = &brief.foams[brief.base_foam].law;
    let height = brief.handling.drop_height.most();
    let mut found = Vec::new();
    for (piece, item) in verification.items.iter().enumerate() {
        for (side, direction) in item.directions.iter().enumerate() {
            // The lid pad is as thick as the lid is deep.
            let is_close = direction.bottoming_margin.is_some_and(|margin| margin < CLOSE)
                || matches!((direction.peak, direction.limit), (Some(peak), Some(limit)) if peak > limit * (1.0 - CLOSE));
            if side == 1 || direction.area.si() <= 0.0 || !(is_close || direction.verdict == Verdict::Fails) {
                continue;
            }
            let thicker = Length::from_si(direction.thickness.si() * TWICE);
            let helped = law.cushion_point(direction.static_stress, height, thicker);
            let is_repairable =
                helped.is_ok_and(|point| direction.limit.is_none_or(|limit| point.peak <= limit));
            if !is_repairable {
                continue;
            }
            let from_strain = direction.strain.map(|strain| strain / law.range.greatest_strain);
            let from_peak = match (direction.peak, direction.limit) {
                (Some(peak), Some(limit)) => Some((peak / limit).sqrt()),
                _ => None,
            };
            let factor = match (from_strain, from_peak) {
                (None, None) => BOTTOMED,
                (a, b) => a.unwrap_or(1.0).max(b.unwrap_or(1.0)) * FACTOR.0,
            };
            found.push(Shortfall {
                piece,
                side,
                factor: factor.clamp(FACTOR.0, FACTOR.1),
            });
        }
    }
    found
}
