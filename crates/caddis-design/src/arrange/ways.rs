//! Ways a piece may lie: every allowed way up along the sides of the case, and across it; body and faces.

use crate::Brief;
use crate::cushion::{Level, Load, Sized, needs, needs_again};
use crate::faces::{Faces, faces};
use crate::outline::steepest;
use caddis_geometry::{SectionStack, Side, Slab};
use caddis_layout::Body;
use caddis_survey::{HalfSide, Item, PosedItem, Turn, Up};
use std::sync::Arc;

/// Two stacks that differ by less than this share of their area at every height are one way to lie.
const SAME_AREA: f64 = 1e-3;
/// What a way that stands later in the item's list costs, metres of equivalent length.
const LATER_WAY: f64 = 0.002;
/// Half of a corner relief's bulge over both sides of its corner, as a share of the cutter radius: 1 - cos 45°.
pub(crate) const RELIEF_BULGE: f64 = 0.293;

/// One way an item may lie; cheap to clone, for many shells share it.
#[derive(Debug, Clone)]
pub(crate) struct Way {
    /// Which way up.
    pub up: Up,
    /// Turn about the vertical.
    pub turn: Turn,
    /// Nominal, standing on z = 0.
    pub posed: Arc<PosedItem>,
    /// Worst-case body, standing on z = 0: grown in plan and upward.
    pub body: Body,
    /// Faces as the foam sees them.
    pub faces: Arc<Faces>,
    /// Cushions sized before, where many shells ask for them.
    pub sized: Option<Arc<Sized>>,
    /// Extra cost.
    pub cost: f64,
}

impl Way {
    /// Height of the worst-case body.
    pub(crate) fn height(&self) -> f64 {
        self.body.high().unwrap_or(0.0)
    }

    /// Foam needed on its six sides; as [`needs`].
    pub(crate) fn needs(&self, brief: &Brief, item: usize, loads: &[Load; 6], level: &Level) -> [f64; 6] {
        match &self.sized {
            Some(sized) => needs_again(brief, item, (&self.faces, sized), loads, level),
            None => needs(brief, item, &self.faces, loads, level),
        }
    }

    /// Area of the plan box, grown by a margin on every side.
    pub(crate) fn plan_area(&self, margin: f64) -> f64 {
        let size = self.posed.bounds.size();
        (size.x + 2.0 * margin) * (size.y + 2.0 * margin)
    }
}

/// The ways an item may lie, never empty for an item that allows one.
pub(crate) fn ways(brief: &Brief, item: &Item) -> Vec<Way> {
    let mut ups: Vec<Up> = Vec::new();
    for &up in &item.ways_up {
        if !ups.contains(&up) {
            ups.push(up);
        }
    }
    // A way that stands on a face that must carry no load is taken only when there is no other.
    let spared: Vec<Up> = ups
        .iter()
        .copied()
        .filter(|up| !item.no_load.contains(&opposite(*up)))
        .collect();
    let ups = if spared.is_empty() { ups } else { spared };
    let turns: &[Turn] = if item.may_turn {
        &Turn::SQUARE
    } else {
        &[Turn::NONE]
    };
    let mut ways: Vec<Way> = Vec::new();
    for (rank, &up) in ups.iter().enumerate() {
        for &turn in turns {
            let way = way(brief, item, up, turn, rank);
            if !ways.iter().any(|other| is_same(other, &way)) {
                ways.push(way);
            }
        }
    }
    ways
}

/// One way, whether the item's list has it or not.
pub(crate) fn way(brief: &Brief, item: &Item, up: Up, turn: Turn, rank: usize) -> Way {
    let posed = item.posed(up, turn, brief.clearances.cavity_step.si());
    let tolerance = item.size_tolerance.si().max(0.0);
    let clearance = brief.foams[brief.base_foam].cavity_clearance.si().max(0.0);
    let mut body = coarse(&posed.stack.with_prisms(&posed.clear)).offset(tolerance + clearance);
    if let Some(top) = body.slabs.last_mut() {
        top.high += tolerance;
    }
    Way {
        up,
        turn,
        faces: Arc::new(faces(
            &posed.stack,
            &posed.clear,
            steepest(&brief.shell, HalfSide::Base),
        )),
        posed: Arc::new(posed),
        body: body.into(),
        sized: None,
        cost: LATER_WAY * rank as f64,
    }
}

/// Bands of a body as the search sees it are at least this tall, metres: a third of a usual pad, so that a well beside a
/// flared piece is still used.
const BAND: f64 = 0.02;
/// How far a body's outline may stand off the exact one, metres (Outer): less than foam is cut to.
pub(super) const OUTLINE: f64 = 1e-3;

/// The stack with fewer, thicker bands and plainer outlines, never smaller than the exact one: what is searched with.
/// Verification sees the exact one.
fn coarse(stack: &SectionStack) -> SectionStack {
    let mut slabs: Vec<Slab> = Vec::new();
    for slab in &stack.slabs {
        match slabs.last_mut() {
            Some(last) if last.region == slab.region => last.high = slab.high,
            Some(last) if slab.high - last.low <= BAND + 1e-9 => {
                last.region = last.region.union(&slab.region);
                last.high = slab.high;
            }
            _ => slabs.push(slab.clone()),
        }
    }
    for slab in &mut slabs {
        slab.region = slab.region.simplified(OUTLINE, Side::Outer);
    }
    SectionStack { slabs }
}

/// The face that lies below when this one is on top.
fn opposite(up: Up) -> Up {
    match up {
        Up::PlusZ => Up::MinusZ,
        Up::MinusZ => Up::PlusZ,
        Up::PlusX => Up::MinusX,
        Up::MinusX => Up::PlusX,
        Up::PlusY => Up::MinusY,
        Up::MinusY => Up::PlusY,
    }
}

/// Whether two ways take the same room. Turning a box by half a turn, or a round piece at all, changes nothing.
pub(super) fn is_same(a: &Way, b: &Way) -> bool {
    if !a.posed.clear.is_empty() {
        return false;
    }
    let (a, b) = (&a.posed.stack.slabs, &b.posed.stack.slabs);
    a.len() == b.len()
        && a.iter().zip(b).all(|(a, b)| {
            (a.low - b.low).abs() < 1e-6 && (a.high - b.high).abs() < 1e-6 && {
                let (mine, theirs) = (a.region.area(), b.region.area());
                let close = SAME_AREA * mine.max(theirs);
                (mine - theirs).abs() <= close
                    && a.region.difference(&b.region).area() <= close
                    && b.region.difference(&a.region).area() <= close
            }
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    #[test]
    fn symmetric_shapes_have_fewer_ways() {
        let brief = testing::brief();
        let count = |i: usize| ways(&brief, &brief.items[i]).len();
        assert_eq!(count(0), 2, "a box turned by half a turn is the same");
        assert_eq!(count(3), 2, "a lying cylinder");
        assert_eq!(count(4), 1, "an upright cylinder");
        assert_eq!(count(7), 4, "a meter with its knob off centre");
    }

    #[test]
    fn the_body_is_the_item_at_its_largest() {
        let brief = testing::brief();
        let way = &ways(&brief, &brief.items[1])[0];
        assert!((way.height() - 0.1705).abs() < 1e-9);
        let size = way.body.bounds().map(|b| b.size());
        assert!(
            size.is_some_and(|s| (s.x - 0.122).abs() < 1e-4 && (s.y - 0.092).abs() < 1e-4),
            "{size:?}"
        );
    }

    #[test]
    fn a_face_without_load_is_not_stood_on() {
        let mut brief = testing::brief();
        brief.items[1].ways_up = vec![Up::PlusZ, Up::MinusZ];
        brief.items[1].no_load = vec![Up::MinusZ];
        let found = ways(&brief, &brief.items[1]);
        assert!(found.iter().all(|way| way.up == Up::MinusZ), "stands on its +z");
    }
}
