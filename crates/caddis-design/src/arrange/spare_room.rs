//! Room kept for later, as the layout sees it: pieces without mass that no cavity is cut for.

use super::problem::placed;
use crate::{Brief, KeptSpace, SpaceWish};
use caddis_geometry::{Prism, Region, SectionStack, Vec2};
use caddis_layout::{Orientation, Piece, Placement, Sides};

/// Kinds of spaces begin here, beyond those of items.
const KIND: u32 = 1_000_000;

fn body(space: &SpaceWish, is_turned: bool) -> SectionStack {
    let (x, y) = (space.length.si() / 2.0, space.width.si() / 2.0);
    let half = if is_turned {
        Vec2::new(y, x)
    } else {
        Vec2::new(x, y)
    };
    SectionStack {
        slabs: vec![Prism {
            low: 0.0,
            high: space.height.si(),
            region: Region::rectangle(-half, half),
        }],
    }
}

/// The spaces of a brief, to be placed after its pieces. Their foam is that of the web all round: what comes later brings its
/// own need, which nobody knows yet.
pub(super) fn pieces(brief: &Brief, tiers: usize) -> Vec<Piece> {
    let web = brief.foams[brief.base_foam].least_web.si();
    let sides = Sides {
        left: web,
        right: web,
        front: web,
        back: web,
    };
    brief
        .wishes
        .spaces
        .iter()
        .enumerate()
        .map(|(index, space)| Piece {
            name: format!("the space for {}", space.name),
            kind: KIND + index as u32,
            mass: 0.0,
            orientations: [false, true]
                .map(|is_turned| Orientation {
                    tag: u32::from(is_turned),
                    body: body(space, is_turned).into(),
                    wall: sides,
                    web: sides,
                    below: brief.clearances.least_floor.si(),
                    above: Vec::new(),
                    cost: 0.0,
                })
                .to_vec(),
            tiers: (0..tiers).rev().collect(),
            may_pass: false,
            keeps_clear_above: false,
            pinned: None,
        })
        .collect()
}

/// The spaces where the layout put them.
pub(super) fn kept(brief: &Brief, placements: &[Placement]) -> Vec<KeptSpace> {
    brief
        .wishes
        .spaces
        .iter()
        .zip(placements)
        .flat_map(|(space, placement)| {
            placed(&body(space, placement.orientation == 1), placement)
                .slabs
                .into_iter()
                .map(|prism| KeptSpace {
                    name: space.name.clone(),
                    prism,
                })
        })
        .collect()
}
