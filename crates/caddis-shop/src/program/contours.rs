//! Paths of what cuts through at once: a jet, a knife, a wire. Holes and outline alone, half the kerf in the waste.

use super::cuts::{Cut, PartCuts, profile};
use crate::{LayerPart, Process, slit};
use caddis_geometry::{Placement2, Region};
use std::ops::AddAssign;

/// Cuts of `part` lying at `place`, at one level.
pub(crate) fn part_cuts(part: &LayerPart, place: &Placement2, process: &Process) -> PartCuts {
    let half = process.kerf.si() / 2.0;
    let cuts = |rings: Vec<_>| {
        rings.into_iter().map(|ring| Cut {
            rings: vec![ring],
            levels: vec![0.0],
            room: Region::empty(),
        })
    };
    let mut all = PartCuts::default();
    for hole in &part.through {
        let rings = profile(&hole.placed(place), -half);
        if rings.is_empty() {
            all.too_narrow += 1;
        }
        all.through.extend(cuts(rings));
    }
    all.outline
        .extend(cuts(profile(&part.outline.placed(place), half)));
    all
}

/// What comes before and after contours.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Entries {
    /// How often a cut begins.
    pub(crate) starts: f64,
    /// Ways in and out, and slits there and back, metres.
    pub(crate) length: f64,
}

impl AddAssign for Entries {
    fn add_assign(&mut self, other: Self) {
        self.starts += other.starts;
        self.length += other.length;
    }
}

/// Starts and ways in of one part. A wire goes into a hole and comes out of it by the hole's slit.
pub(crate) fn entries(part: &LayerPart, cuts: &PartCuts, process: &Process) -> Entries {
    let rings = [&cuts.pockets, &cuts.through, &cuts.outline]
        .into_iter()
        .flatten()
        .count() as f64;
    let slits: f64 = part.slits.iter().map(slit::length).sum();
    Entries {
        starts: rings,
        length: 2.0 * (rings * process.lead_in.si() + slits),
    }
}
