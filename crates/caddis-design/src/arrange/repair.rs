//! Repair: what verification finds short of foam, and how much more each side should then ask for.
//!
//! Needs are sized on faces over even foam. A rib under a corner, a notch beside a side or a gap at a housing makes foam
//! uneven, and only the finished interior shows it. Sides that fail though more foam would help ask for more and the
//! layout is searched again; sides that no thickness helps are left to verification's findings.

use crate::pack::pack_on;
use crate::verify::{AskedFoam, asked, flat_falls};
use crate::{Brief, Interior, Packed, PackedPatch, Support};
use caddis_basis::{Length, Verdict};

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

/// What falls short.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Short {
    /// How bad it is: sides that fail flat, or items that fail in falls and then the foam they lack.
    pub missing: f64,
    pub sides: Vec<Shortfall>,
    /// Every flat fall holds; these are of simulated falls.
    pub in_falls: bool,
}

/// A side that fails and how much foam it should have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shortfall {
    pub piece: usize,
    /// In the order of [`crate::Direction::ALL`].
    pub side: usize,
    /// How far it should stand off at least: from the shell, from a neighbour, metres. Slack may have given a side more than its
    /// need already, and a larger need would then change nothing.
    pub least: [f64; 2],
}

/// Sides that fail in an interior and that more foam would help, in the order of its places: in flat falls, and in simulated
/// ones where they are asked for.
pub(super) fn shortfalls(brief: &Brief, interior: &Interior, workers: usize, with_falls: bool) -> Short {
    let packed = pack_on(interior, brief, SPACING, workers);
    let sides = in_flat_falls(brief, interior, &packed);
    let mut short = Short {
        missing: sides.len() as f64,
        in_falls: sides.is_empty(),
        sides,
    };
    if !with_falls {
        return short;
    }
    // What cannot be simulated is a finding of the verification.
    if let Ok(found) = asked(interior, brief, &packed, workers) {
        let more: f64 = found.foam.iter().map(|foam| foam.more).sum();
        // A first look that showed enough left the rest out: as many again may show.
        let looks = if found.only_glanced { 2.0 } else { 1.0 };
        short.missing += found.failing as f64 * looks + more;
        short.sides.extend(found.foam.iter().map(of_fall));
    }
    short
}

/// What a simulated fall asks for, as a shortfall.
fn of_fall(foam: &AskedFoam) -> Shortfall {
    let mut least = [0.0; 2];
    least[usize::from(foam.to_neighbour)] = foam.distance;
    Shortfall {
        piece: foam.piece,
        side: foam.side,
        least,
    }
}

/// How far a side would stand off the shell and its neighbours if its thinnest foam were so many times as thick; 0 where
/// all of it is as thick by now.
fn grown(patches: &[PackedPatch], factor: f64) -> [f64; 2] {
    let bearing = patches.iter().filter(|p| p.support != Support::Void);
    let thinnest = bearing.map(|p| p.patch.thickness).fold(f64::INFINITY, f64::min);
    let least = |wanted: fn(Support) -> bool| {
        let found = patches
            .iter()
            .filter(|p| wanted(p.support) && p.patch.thickness < thinnest * factor);
        let distances = found.map(|p| p.patch.gap + thinnest * factor);
        distances.reduce(f64::min).unwrap_or(0.0)
    };
    [
        least(|support| support == Support::Shell),
        least(|support| matches!(support, Support::Piece(_) | Support::Board)),
    ]
}

/// What fails between the lid and what lies under it: the piece below asks to lie clear of the pocket.
fn under_pocket(interior: &Interior, packed: &[Packed], piece: usize, side: usize) -> Option<Shortfall> {
    let in_lid = |piece: usize| interior.places[piece].in_lid;
    let met = packed[piece].sides[side]
        .iter()
        .find_map(|patch| match patch.support {
            Support::Piece(other) if in_lid(other) != in_lid(piece) => Some((other, patch.patch.thickness)),
            _ => None,
        });
    let (other, covered) = met?;
    Some(Shortfall {
        piece: if in_lid(piece) { other } else { piece },
        side: 1,
        least: [0.0, covered],
    })
}

/// Sides that fail in flat falls and that more foam would help.
fn in_flat_falls(brief: &Brief, interior: &Interior, packed: &[Packed]) -> Vec<Shortfall> {
    let law = &brief.foams[brief.base_foam].law;
    let height = brief.handling.drop_height.most();
    let mut found = Vec::new();
    for (piece, item) in flat_falls(interior, brief, packed).iter().enumerate() {
        for (side, direction) in item.directions.iter().enumerate() {
            // The lid pad is as thick as the lid is deep, the cover under what lies in it as its stack makes it.
            let fixed = usize::from(!interior.places[piece].in_lid);
            let is_close = direction.bottoming_margin.is_some_and(|margin| margin < CLOSE)
                || matches!((direction.peak, direction.limit), (Some(peak), Some(limit)) if peak > limit * (1.0 - CLOSE));
            if direction.area.si() <= 0.0 || !(is_close || direction.verdict == Verdict::Fails) {
                continue;
            }
            if side == fixed {
                found.extend(under_pocket(interior, packed, piece, side));
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
            let factor = factor.clamp(FACTOR.0, FACTOR.1);
            let least = grown(&packed[piece].sides[side], factor);
            found.push(Shortfall { piece, side, least });
        }
    }
    found
}
