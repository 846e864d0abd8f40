//! Where adhesive goes between the layers of a block.

use crate::{Glue, Shop};
use caddis_design::{Block, Interior, LayerPlan};
use caddis_geometry::{Region, Side};

/// Plan of every void of the block at any height, case axes.
pub(crate) fn footprint(interior: &Interior, block: &Block) -> Region {
    Region::union_all(
        interior
            .voids()
            .filter(|prism| prism.low < block.high && prism.high > block.low)
            .map(|prism| &prism.region),
    )
}

/// Adhesive between two layers: where both have foam, held back from every cavity's footprint and from the outline.
///
/// # Accuracy
/// Never nearer to a footprint than the holdback; falls short of it by the chord error at most.
pub(crate) fn glue(
    interior: &Interior,
    block: &Block,
    (lower, upper): (&LayerPlan, &LayerPlan),
    shop: &Shop,
) -> Glue {
    let back = shop.glue_holdback.si().max(0.0);
    let faces = lower
        .outline
        .intersection(&upper.outline)
        .offset(-back, Side::Inner);
    let kept_clear = footprint(interior, block).offset(back, Side::Outer);
    Glue {
        region: faces.difference(&kept_clear),
        below: lower.id.clone(),
    }
}
