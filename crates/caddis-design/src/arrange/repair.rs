//! Repair: what verification finds short of foam, and how much more each side should then ask for.
//!
//! Needs are sized on faces over even foam. A rib under a corner, a notch beside a side or a gap at a housing makes foam
//! uneven, and only the finished interior shows it. Sides that fail though more foam would help ask for more and the
//! layout is searched again; sides that no thickness helps are left to verification's findings.

use crate::verify::{FallNet, worst_falls};
use crate::{
    Brief, Checks, Direction, FallChecks, Interior, Packed, PackedPatch, Support, Verification, pack, verify,
};
use caddis_basis::{Length, Quiet, Verdict};
use caddis_survey::Fragility;

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

/// A fall also presses the sides towards which it goes at least so much of what it does towards its foremost.
const ALSO: f64 = 0.6;

/// What falls short.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Short {
    pub sides: Vec<Shortfall>,
    /// Every flat fall holds; these are of simulated falls.
    pub in_falls: bool,
}

/// A side that fails and by what factor its need should grow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shortfall {
    pub piece: usize,
    /// In the order of [`crate::Direction::ALL`].
    pub side: usize,
    pub factor: f64,
    /// Foam it should have at least: towards the shell, towards a neighbour, metres. Slack may have given a side more than its
    /// need already, and a larger need would then change nothing.
    pub least: [f64; 2],
}

/// Sides that fail in an interior and that more foam would help, in the order of its places: in flat falls, and where none
/// does in simulated ones, if there are `workers` for them.
pub(super) fn shortfalls(brief: &Brief, interior: &Interior, workers: Option<usize>) -> Short {
    let sides = in_flat_falls(brief, interior);
    let in_falls = sides.is_empty();
    let Some(workers) = workers.filter(|_| in_falls) else {
        return Short { sides, in_falls };
    };
    let packed = pack(interior, brief, SPACING);
    // All directions only once the coarser net shows nothing.
    let sides = [FallNet::Coarse, FallNet::Whole]
        .into_iter()
        .map(|net| in_any_fall(brief, interior, &packed, (net, workers)))
        .find(|sides| !sides.is_empty())
        .unwrap_or_default();
    Short { sides, in_falls }
}

/// Sides towards which an item's worst simulated fall goes, where it bottoms, strikes or passes its limit.
///
/// An item that turns as it sinks presses one edge of its foam: flat falls do not show it.
fn in_any_fall(
    brief: &Brief,
    interior: &Interior,
    packed: &[Packed],
    (net, workers): (FallNet, usize),
) -> Vec<Shortfall> {
    let asked = FallChecks {
        threads: workers,
        ..FallChecks::default()
    };
    // What cannot be simulated is a finding of the verification.
    let Ok(worst) = worst_falls(interior, brief, packed, &asked, net) else {
        return Vec::new();
    };
    let greatest = brief.foams[brief.base_foam].law.range.greatest_strain;
    let mut found = Vec::new();
    for (piece, worst) in worst.into_iter().enumerate() {
        let Some((direction, fall)) = worst else { continue };
        let over = match &brief.items[interior.places[piece].item].fragility {
            Fragility::None => continue,
            Fragility::Known(limit) => fall.peak / (limit.least().as_g() * (1.0 - CLOSE)),
            Fragility::Unknown => 0.0,
        };
        let strain = fall.strain / greatest;
        if !(fall.bottomed || fall.strikes || over > 1.0) {
            continue;
        }
        let factor = (over.sqrt().max(strain) * FACTOR.0).clamp(FACTOR.0, BOTTOMED);
        let along = Direction::ALL.map(|side| side.vector().dot(direction));
        let most = along.iter().copied().fold(0.0, f64::max);
        for (side, share) in along.into_iter().enumerate() {
            // The lid pad is as thick as the lid is deep.
            if side != 1 && share >= most * ALSO {
                let least = thinnest(&packed[piece].sides[side]).map(|there| there * factor);
                found.push(Shortfall {
                    piece,
                    side,
                    factor,
                    least,
                });
            }
        }
    }
    found
}

/// The thinnest foam of a side towards the shell and towards neighbours, metres, 0 where there is none.
fn thinnest(patches: &[PackedPatch]) -> [f64; 2] {
    let least = |wanted: fn(Support) -> bool| {
        let found = patches
            .iter()
            .filter(|p| wanted(p.support))
            .map(|p| p.patch.thickness);
        found.reduce(f64::min).unwrap_or(0.0)
    };
    [
        least(|support| support == Support::Shell),
        least(|support| matches!(support, Support::Piece(_))),
    ]
}

/// Sides that fail in flat falls and that more foam would help.
fn in_flat_falls(brief: &Brief, interior: &Interior) -> Vec<Shortfall> {
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
                least: [0.0; 2],
                factor: factor.clamp(FACTOR.0, FACTOR.1),
            });
        }
    }
    found
}
