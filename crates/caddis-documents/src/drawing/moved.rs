//! The plan of the case with what a revision moves marked on it.

use super::view::{BAR, MIDDLE, NARROW, TYPE, View, WIDE, balloon, scale_bar, scale_for};
use crate::Words;
use crate::sheet::{Anchor, Fill, Sheet, Stroke};
use crate::words::say;
use caddis_design::{Brief, Interior};
use caddis_geometry::{Region, Vec2};
use caddis_shop::{ChangeOrder, PieceChange};

/// What moved, and the arrow from where it lay.
const MOVED: [u8; 3] = [0xa3, 0x1d, 0x1d];
/// What is new.
const ADDED: [u8; 3] = [0x1f, 0x4e, 0x79];
/// A shift in plan shorter than this on paper has no arrow, mm.
const LEAST_ARROW: f64 = 1.0;
/// Half of a cross where a piece was taken out, mm.
const CROSS: f64 = 3.0;

/// All pieces in plan with their numbers; what moved in red with an arrow from where its middle lay, what is new in blue, a cross
/// where a piece was taken out.
///
/// # Units
/// Drawn in millimetres at the stated scale.
pub(crate) fn moved_plan(
    words: &Words,
    brief: &Brief,
    interior: &Interior,
    order: &ChangeOrder,
    width: f64,
) -> Sheet {
    let rim = brief.shell.base.rim_region();
    let (size, middle) = rim
        .bounds()
        .map_or((Vec2::new(0.1, 0.1), Vec2::ZERO), |b| (b.size(), b.centre()));
    let scale = scale_for(size, Vec2::new(width - 10.0, 105.0));
    let paper = size * (1000.0 / scale);
    let mut sheet = Sheet::blank(say!(words, "changes-plan"), width, paper.y + BAR + 10.0);
    let view = View::centred(scale, middle, Vec2::new(width / 2.0, BAR + 4.0 + paper.y / 2.0));
    sheet.region(&rim, view.map(), Some(WIDE), None);
    let was = |instance: &caddis_basis::InstanceId| {
        let mut before = order.before.pieces.iter();
        before
            .find(|piece| piece.instance == *instance)
            .map(|piece| piece.at.plan())
    };
    for place in &interior.places {
        let mut changes = order.pieces.iter();
        let change = changes
            .find(|(instance, ..)| *instance == place.instance)
            .map(|(.., change)| change);
        let colour = match change {
            Some(PieceChange::Moved { .. }) => Some(MOVED),
            Some(PieceChange::Added) => Some(ADDED),
            Some(PieceChange::Removed) | None => None,
        };
        let body = Region::union_all(place.body.slabs.iter().map(|slab| &slab.region));
        let stroke = colour.map_or(NARROW, |colour| Stroke { colour, ..MIDDLE });
        sheet.region(&body, view.map(), Some(stroke), None);
        if let (Some(PieceChange::Moved { .. }), Some(from)) = (change, was(&place.instance)) {
            arrow(&mut sheet, view.point(from), view.point(place.at));
        }
    }
    for (instance, _, change) in &order.pieces {
        if let (PieceChange::Removed, Some(at)) = (change, was(instance)) {
            let at = view.point(at);
            for way in [Vec2::new(CROSS, CROSS), Vec2::new(CROSS, -CROSS)] {
                sheet.line(
                    &[at - way, at + way],
                    Stroke {
                        colour: MOVED,
                        ..MIDDLE
                    },
                );
            }
        }
    }
    for place in &interior.places {
        balloon(&mut sheet, view.point(place.at), place.number);
    }
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    sheet.text(
        Vec2::new(66.0, 1.0),
        say!(words, "changes-plan-note"),
        TYPE,
        Anchor::Start,
    );
    sheet
}

/// From where it lay to where it lies.
fn arrow(sheet: &mut Sheet, from: Vec2, to: Vec2) {
    let way = to - from;
    if way.length() < LEAST_ARROW {
        return;
    }
    let (along, side) = (way.unit(), way.unit().perpendicular());
    sheet.circle(from, 0.7, None, Some(Fill { colour: MOVED }));
    sheet.line(
        &[from, to],
        Stroke {
            colour: MOVED,
            ..MIDDLE
        },
    );
    // Ahead of the balloon, which covers the end itself.
    let tip = from + along * (way.length() / 2.0).max(LEAST_ARROW);
    sheet.solid(
        &[
            tip,
            tip - along * 2.0 + side * 0.8,
            tip - along * 2.0 - side * 0.8,
        ],
        MOVED,
    );
}
