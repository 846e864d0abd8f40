//! What a revision changes against what was delivered: pieces, parts, price, and what must be cut again.
//!
//! Layers of one block are glued: where one of them changes, the block is made anew.

use crate::fitting::fitted;
use crate::split::without_slivers;
use crate::{BoardPart, LayerPart, MakeError, Shop, ShopSet, bill, nest, program};
use caddis_basis::{InstanceId, LayerId, Length, Money, Progress, Said, Volume, said};
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Region, Vec3};
use caddis_survey::{Turn, Up};

/// Nearer than this a piece or a depth is where it was, metres: a tenth of what foam is cut to.
const SAME: f64 = 1e-4;

/// A piece as it lay.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceBefore {
    /// Which piece.
    pub instance: InstanceId,
    /// Its name.
    pub name: String,
    /// Centre of its box in plan, and its lowest point, case axes.
    pub at: Vec3,
    /// Which way up.
    pub up: Up,
    /// Turn about the vertical.
    pub turn: Turn,
}

/// A part as it was cut.
#[derive(Debug, Clone, PartialEq)]
pub struct PartBefore {
    /// Its mark.
    pub id: LayerId,
    /// Foam by library name.
    pub foam: String,
    /// The colour asked for; any where `None`.
    pub colour: Option<String>,
    /// Stock thickness.
    pub stock: Length,
    /// Net outline.
    pub outline: Region,
    /// Cut through.
    pub through: Vec<Region>,
    /// Blind pockets: depth and plan.
    pub pockets: Vec<(Length, Region)>,
}

/// A job as it was delivered.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivered {
    /// Job id.
    pub job: String,
    /// Date of its papers.
    pub date: String,
    /// Shell by library name.
    pub shell: String,
    /// Pieces.
    pub pieces: Vec<PieceBefore>,
    /// Parts.
    pub parts: Vec<PartBefore>,
    /// Lines of cost.
    pub costs: Vec<(String, Money)>,
    /// Price of one interior.
    pub price: Money,
}

/// What became of a piece.
#[derive(Debug, Clone, PartialEq)]
pub enum PieceChange {
    /// New in the case.
    Added,
    /// No longer in the case.
    Removed,
    /// Lies elsewhere: by how much, and whether it is turned.
    Moved {
        /// From where it lay, case axes.
        by: Vec3,
        /// Another way up or another turn.
        turned: bool,
    },
}

/// What became of a part.
#[derive(Debug, Clone, PartialEq)]
pub enum PartChange {
    /// New.
    Added,
    /// No longer made.
    Removed,
    /// Cut otherwise.
    Recut {
        /// In words: foam, stock, outline, cuts.
        what: Vec<Said>,
        /// Foam that was there and is now cut away, part frame.
        more: Region,
        /// Foam that was cut away and now stays, part frame.
        less: Region,
    },
    /// As it was.
    Same,
}

/// A change order: what differs, and what making it again costs.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeOrder {
    /// The job as delivered.
    pub before: Delivered,
    /// Pieces that differ: instance, name, change.
    pub pieces: Vec<(InstanceId, String, PieceChange)>,
    /// Every part, old and new: mark and change.
    pub parts: Vec<(LayerId, PartChange)>,
    /// Blocks with a part that differs: they are made anew.
    pub blocks: Vec<BlockKind>,
    /// What those blocks take; `None` when nothing differs.
    pub replacement: Option<ShopSet>,
}

/// Holds a made set against what was delivered.
///
/// # Errors
/// As [`crate::make`], for the blocks made anew.
pub fn change_order(
    before: Delivered,
    (interior, brief): (&Interior, &Brief),
    (set, shop): (&ShopSet, &Shop),
    seed: u64,
    progress: &dyn Progress,
) -> Result<ChangeOrder, MakeError> {
    let pieces = piece_changes(&before, interior, brief);
    let mut parts: Vec<(LayerId, PartChange)> = set
        .layers
        .iter()
        .map(|now| {
            let was = before.parts.iter().find(|part| part.id == now.id);
            (
                now.id.clone(),
                was.map_or(PartChange::Added, |was| part_change(was, now)),
            )
        })
        .collect();
    let gone = before
        .parts
        .iter()
        .filter(|was| set.layers.iter().all(|now| now.id != was.id));
    parts.extend(gone.map(|was| (was.id.clone(), PartChange::Removed)));
    let mut blocks: Vec<BlockKind> = Vec::new();
    for part in &set.layers {
        let has_changed = parts
            .iter()
            .any(|(id, change)| *id == part.id && *change != PartChange::Same)
            // A layer fewer in the same block.
            || (part.number == part.of
                && parts
                    .iter()
                    .any(|(id, change)| *change == PartChange::Removed && block_of(id) == block_of(&part.id)));
        if has_changed && !blocks.contains(&part.block) {
            blocks.push(part.block);
        }
    }
    let replacement = if blocks.is_empty() {
        None
    } else {
        Some(made_anew((interior, brief), set, &blocks, shop, seed, progress)?)
    };
    Ok(ChangeOrder {
        before,
        pieces,
        parts,
        blocks,
        replacement,
    })
}

/// `B` of `B3`, `T1` of `T1-2`: all but the layer's own number.
fn block_of(id: &LayerId) -> String {
    id.as_str()
        .trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end_matches('-')
        .to_owned()
}

fn piece_changes(
    before: &Delivered,
    interior: &Interior,
    brief: &Brief,
) -> Vec<(InstanceId, String, PieceChange)> {
    let mut changes = Vec::new();
    for place in &interior.places {
        let name = brief
            .items
            .get(place.item)
            .map_or_else(String::new, |item| item.name.clone());
        let change = match before.pieces.iter().find(|was| was.instance == place.instance) {
            None => PieceChange::Added,
            Some(was) => {
                let by = place.at.at_height(place.bottom) - was.at;
                let turned = was.up != place.up || was.turn != place.turn;
                if by.length() < SAME && !turned {
                    continue;
                }
                PieceChange::Moved { by, turned }
            }
        };
        changes.push((place.instance.clone(), name, change));
    }
    for was in &before.pieces {
        if interior.places.iter().all(|place| place.instance != was.instance) {
            changes.push((was.instance.clone(), was.name.clone(), PieceChange::Removed));
        }
    }
    changes
}

fn part_change(was: &PartBefore, now: &LayerPart) -> PartChange {
    let mut what = Vec::new();
    if was.foam != now.foam {
        what.push(said!(
            "foam {now} instead of {was}",
            now = now.foam,
            was = was.foam
        ));
    }
    if was.colour != now.colour {
        let name = |colour: &Option<String>| colour.as_ref().map_or_else(|| said!("any colour"), Said::name);
        what.push(said!(
            "{now} instead of {was}",
            now = name(&now.colour),
            was = name(&was.colour)
        ));
    }
    if (was.stock - now.stock).si().abs() > SAME {
        what.push(said!(
            "{now:.1} mm thick instead of {was:.1} mm",
            now = now.stock.as_mm(),
            was = was.stock.as_mm()
        ));
    }
    let differ = |one: &Region, other: &Region| {
        (
            without_slivers(&one.difference(other)),
            without_slivers(&other.difference(one)),
        )
    };
    let (shrunk, grown) = differ(&was.outline, &now.outline);
    if !shrunk.is_empty() || !grown.is_empty() {
        what.push(said!("the outline"));
    }
    // What is open at each depth at which either of them has a floor.
    let pockets_now: Vec<(Length, Region)> =
        now.pockets.iter().map(|p| (p.depth, p.region.clone())).collect();
    let mut depths: Vec<f64> = was.pockets.iter().chain(&pockets_now).map(|p| p.0.si()).collect();
    depths.push(f64::INFINITY);
    depths.sort_by(f64::total_cmp);
    depths.dedup_by(|a, b| (*a - *b).abs() < SAME);
    let (mut more, mut less) = (Vec::new(), Vec::new());
    for depth in depths {
        let open = |through: &[Region], pockets: &[(Length, Region)]| {
            let reaching = pockets
                .iter()
                .filter(|(floor, _)| floor.si() > depth - SAME)
                .map(|(_, region)| region);
            Region::union_all(through.iter().chain(reaching))
        };
        let (filled, cut) = differ(
            &open(&was.through, &was.pockets),
            &open(&now.through, &pockets_now),
        );
        if !filled.is_empty() || !cut.is_empty() {
            let at = if depth.is_finite() {
                said!("what is open {depth:.1} mm deep", depth = depth * 1e3)
            } else {
                said!("what is cut through")
            };
            what.push(at);
        }
        more.push(cut);
        less.push(filled);
    }
    if what.is_empty() {
        return PartChange::Same;
    }
    more.push(shrunk);
    less.push(grown);
    PartChange::Recut {
        what,
        more: Region::union_all(&more),
        less: Region::union_all(&less),
    }
}

/// The set of some of its blocks alone: nested, timed and priced as an order of its own.
fn made_anew(
    (interior, brief): (&Interior, &Brief),
    set: &ShopSet,
    blocks: &[BlockKind],
    shop: &Shop,
    seed: u64,
    progress: &dyn Progress,
) -> Result<ShopSet, MakeError> {
    let layers: Vec<LayerPart> = set
        .layers
        .iter()
        .filter(|part| blocks.contains(&part.block))
        .cloned()
        .collect();
    let nests = nest::nest(&layers, shop, seed, progress)?;
    let (paths, _) = program::sheet_paths(&layers, &nests, shop);
    let bill = bill::bill(
        &layers,
        &nests,
        &paths,
        fitted(interior, brief, shop, blocks),
        shop,
    );
    Ok(ShopSet {
        layers,
        board: BoardPart::of(interior, blocks),
        nests,
        paths,
        bill,
        // The whole set's findings were told with it.
        findings: Vec::new(),
        volume_difference: Volume::ZERO,
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::make;
    use crate::testing::{brief, interior, shop};
    use caddis_basis::{ItemId, Quiet};
    use caddis_design::Place;
    use caddis_geometry::{Pose, SectionStack, Side, Vec2};

    fn place(item: &str) -> Place {
        Place {
            instance: InstanceId::new(ItemId::new(item), 1),
            item: 0,
            number: 1,
            up: Up::PlusZ,
            turn: Turn::NONE,
            at: Vec2::new(0.1, 0.02),
            bottom: 0.05,
            pose: Pose::IDENTITY,
            body: SectionStack { slabs: Vec::new() },
            clear: Vec::new(),
            centre_of_mass: Vec3::ZERO,
            tier: 0,
            in_lid: false,
        }
    }

    fn delivered(set: &ShopSet, interior: &Interior) -> Delivered {
        Delivered {
            job: "J".to_owned(),
            date: "2026-01-01".to_owned(),
            shell: "s".to_owned(),
            pieces: interior
                .places
                .iter()
                .map(|place| PieceBefore {
                    instance: place.instance.clone(),
                    name: String::new(),
                    at: place.at.at_height(place.bottom),
                    up: place.up,
                    turn: place.turn,
                })
                .collect(),
            parts: set
                .layers
                .iter()
                .map(|part| PartBefore {
                    id: part.id.clone(),
                    foam: part.foam.clone(),
                    colour: part.colour.clone(),
                    stock: part.stock,
                    outline: part.outline.clone(),
                    through: part.through.clone(),
                    pockets: part.pockets.iter().map(|p| (p.depth, p.region.clone())).collect(),
                })
                .collect(),
            costs: Vec::new(),
            price: set.bill.price,
        }
    }

    fn ordered(before: Delivered, now: &Interior) -> ChangeOrder {
        let set = make(now, &brief(), &shop(), 1, &Quiet).unwrap();
        change_order(before, (now, &brief()), (&set, &shop()), 1, &Quiet).unwrap()
    }

    #[test]
    fn the_same_again_changes_nothing() {
        let now = interior();
        let set = make(&now, &brief(), &shop(), 1, &Quiet).unwrap();
        let order = ordered(delivered(&set, &now), &now);
        assert!(order.parts.iter().all(|(_, change)| *change == PartChange::Same));
        assert_eq!((order.blocks.len(), order.pieces.len()), (0, 0));
        assert_eq!(order.replacement, None);
    }

    /// A cavity 3 mm wider all around: what more is cut is the ring between the two, layer by layer, and the block is made anew
    /// while the lid pad serves.
    #[test]
    fn what_is_cut_more_is_the_difference() {
        let was = interior();
        let set = make(&was, &brief(), &shop(), 1, &Quiet).unwrap();
        let mut now = was.clone();
        let step = &mut now.cavities[2].steps[0];
        let grown = step.region.offset(0.003, Side::Outer);
        let ring = grown.area() - step.region.area();
        step.region = grown;
        let order = ordered(delivered(&set, &was), &now);
        let recut: Vec<_> = order
            .parts
            .iter()
            .filter_map(|(id, change)| match change {
                PartChange::Recut { more, less, .. } => Some((id.as_str(), more.area(), less.area())),
                _ => None,
            })
            .collect();
        assert!(!recut.is_empty());
        for (id, more, less) in &recut {
            assert!(
                (more - ring).abs() < 1e-6 && *less < 1e-9,
                "{id}: {more} {less} {ring}"
            );
        }
        assert_eq!(order.blocks, [BlockKind::Base]);
        let anew = order.replacement.unwrap();
        assert!(anew.layers.iter().all(|part| part.block == BlockKind::Base));
        assert!(anew.bill.price.minor() < set.bill.price.minor());
    }

    #[test]
    fn pieces_are_told_apart() {
        let mut was = interior();
        was.places = ["moved", "turned", "new", "same"].map(place).to_vec();
        let set = make(&was, &brief(), &shop(), 1, &Quiet).unwrap();
        let mut before = delivered(&set, &was);
        before.pieces[0].at += Vec2::new(0.01, 0.0).at_height(0.0);
        before.pieces[1].turn = Turn::degrees(15);
        let gone = before.pieces[2].instance.clone();
        before.pieces[2].instance = InstanceId::new(ItemId::new("former"), 1);
        let order = ordered(before, &was);
        let of = |id: &InstanceId| {
            order
                .pieces
                .iter()
                .find(|(i, ..)| i == id)
                .map(|(_, _, c)| c.clone())
        };
        let Some(PieceChange::Moved { by, turned: false }) = of(&was.places[0].instance) else {
            panic!("{:?}", order.pieces)
        };
        assert!((by.x + 0.01).abs() < 1e-12);
        assert!(matches!(
            of(&was.places[1].instance),
            Some(PieceChange::Moved { turned: true, .. })
        ));
        assert_eq!(of(&gone), Some(PieceChange::Added));
        assert_eq!(of(&was.places[3].instance), None);
        assert!(
            order
                .pieces
                .iter()
                .any(|(_, _, change)| *change == PieceChange::Removed)
        );
    }
}
