//! Splits the interior's layers into what is cut through and what is pocketed.

use crate::{LayerPart, MakeError, Pocket};
use caddis_basis::{LayerId, Length, Tolerance};
use caddis_design::{Block, BlockKind, Brief, Interior, LayerPlan};
use caddis_geometry::{Contour, Region, Shape};

/// The hinge lies towards +y in case axes, the back; turning a lid layer over about the y axis leaves it there.
const HINGE_TOWARDS_BACK: i8 = 1;

/// What is cut away between two heights, as far as the cutter reaches it from the cut face.
#[derive(Debug, Clone)]
pub(crate) struct Level {
    /// Bottom in the closed case.
    pub(crate) low: f64,
    /// Top in the closed case.
    pub(crate) high: f64,
    /// Cut away, case axes.
    pub(crate) void: Region,
}

/// A layer split, still in case axes.
#[derive(Debug, Clone)]
pub(crate) struct Split {
    /// The part, not yet mirrored and without its glue.
    pub(crate) part: LayerPart,
    /// Index of its block.
    pub(crate) block: usize,
    /// Height in the closed case.
    pub(crate) height: f64,
    /// Levels from the cut face inward.
    pub(crate) levels: Vec<Level>,
    /// Volume the interior leaves out that a cutter cannot reach from the cut face, m³.
    pub(crate) unreached: f64,
}

/// Every layer of every block, from the bottom.
pub(crate) fn split(interior: &Interior, brief: &Brief) -> Result<Vec<Split>, MakeError> {
    let mut splits = Vec::new();
    for (index, block) in interior.blocks.iter().enumerate() {
        let of = block.layers.len() as u32;
        for (number, layer) in (1..).zip(&block.layers) {
            splits.push(split_layer(interior, brief, (index, block), layer, (number, of))?);
        }
    }
    Ok(splits)
}

fn split_layer(
    interior: &Interior,
    brief: &Brief,
    (index, block): (usize, &Block),
    layer: &LayerPlan,
    (number, of): (u32, u32),
) -> Result<Split, MakeError> {
    let foam = brief
        .foams
        .get(block.foam)
        .ok_or_else(|| MakeError::UnknownFoam {
            layer: LayerId::to_string(&layer.id),
        })?;
    let colour = brief.furnishing.colour_of(block, number as usize - 1);
    let colour = colour.map(|colour| colour.name.clone());
    let from_top = block.kind != BlockKind::LidPad && !block.is_under_board(layer);
    let mut levels = Vec::new();
    let mut unreached = 0.0;
    let heights = interior.heights_within(layer.low, layer.high);
    let mut bands: Vec<(f64, f64)> = heights.windows(2).map(|pair| (pair[0], pair[1])).collect();
    if from_top {
        bands.reverse();
    }
    for (low, high) in bands {
        let middle = f64::midpoint(low, high);
        let voids: Vec<Region> = interior.voids_at(middle).cloned().collect();
        let asked = inside(Region::union_all(&voids), &layer.outline);
        let reached = levels.last().map_or_else(
            || asked.clone(),
            |above: &Level| inside(asked.clone(), &above.void),
        );
        unreached += (asked.area() - reached.area()).max(0.0) * (high - low);
        levels.push(Level {
            low,
            high,
            void: reached,
        });
    }
    let through = levels.last().map(|level| level.void.clone()).unwrap_or_default();
    let pockets = pockets(&levels, &through, layer, from_top);
    let through: Vec<Region> = through.shapes.iter().cloned().map(Region::from).collect();
    let cut_length = layer.outline.boundary_length()
        + through.iter().map(Region::boundary_length).sum::<f64>()
        + pockets
            .iter()
            .map(|pocket| pocket.region.boundary_length())
            .sum::<f64>();
    let part = LayerPart {
        id: layer.id.clone(),
        block: block.kind,
        is_cover: block.is_of_cover(layer),
        number,
        of,
        foam: foam.name.clone(),
        foam_title: match &colour {
            Some(colour) => format!("{colour}: {}", foam.title),
            None => foam.title.clone(),
        },
        colour,
        stock: layer.stock,
        cut_to: layer.cut_to,
        bevelled: brief.furnishing.bevelled_edges,
        outline: layer.outline.clone(),
        through,
        slits: Vec::new(),
        engravings: Vec::new(),
        mark: None,
        pockets,
        face_up: if from_top { "top" } else { "underside" },
        mirrored: false,
        hinge: HINGE_TOWARDS_BACK,
        glue: None,
        cut_length: Length::from_si(cut_length),
    };
    Ok(Split {
        part,
        block: index,
        height: layer.high - layer.low,
        levels,
        unreached,
    })
}

/// Pockets from the levels: one for every depth at which something has its floor.
fn pockets(levels: &[Level], through: &Region, layer: &LayerPlan, from_top: bool) -> Vec<Pocket> {
    let blind: Vec<Region> = levels
        .iter()
        .map(|level| without_slivers(&level.void.difference(through)))
        .collect();
    let mut pockets = Vec::new();
    for (i, level) in levels.iter().enumerate() {
        // Whatever goes on as it is into the next level has its floor there or deeper.
        let deeper = blind.get(i + 1).cloned().unwrap_or_default();
        let floors: Vec<_> = blind[i]
            .shapes
            .iter()
            .filter(|shape| {
                let shape = Region::from((*shape).clone());
                !without_slivers(&shape.difference(&deeper)).is_empty()
            })
            .cloned()
            .collect();
        if !floors.is_empty() {
            let depth = if from_top {
                layer.high - level.low
            } else {
                level.high - layer.low
            };
            pockets.push(Pocket {
                region: Region { shapes: floors },
                depth: Length::from_si(depth),
            });
        }
    }
    pockets
}

/// `region` as it is when it lies inside `outer`, so that its arcs stay exact; else the part inside.
fn inside(region: Region, outer: &Region) -> Region {
    if without_slivers(&region.difference(outer)).is_empty() {
        region
    } else {
        region.intersection(outer)
    }
}

/// The shapes wider than two chord errors, without spikes that are no wider: what is narrower is where two flattened arcs, or two oblique
/// edges that were one, disagree, not foam.
pub(crate) fn without_slivers(region: &Region) -> Region {
    let chord = Tolerance::DEFAULT.chord().si();
    let shapes = region
        .shapes
        .iter()
        .filter(|shape| {
            let shape = Region::from((*shape).clone());
            shape.area() > chord * shape.boundary_length()
        })
        .map(|shape| Shape {
            outer: without_spikes(&shape.outer, chord),
            holes: shape.holes.clone(),
        })
        .collect();
    Region { shapes }
}

/// The contour without corners to which it runs straight and from which it runs back, both ways closer together than `width`.
fn without_spikes(contour: &Contour, width: f64) -> Contour {
    let mut left = contour.vertices.clone();
    while left.len() > 2 {
        let count = left.len();
        let spike = (0..count).find(|&i| {
            let (before, tip, after) = (left[(i + count - 1) % count], left[i], left[(i + 1) % count]);
            let (there, back) = (tip.at - before.at, after.at - tip.at);
            let longer = there.length().max(back.length());
            before.bulge == 0.0
                && tip.bulge == 0.0
                && there.dot(back) < 0.0
                && there.cross(back).abs() <= width * longer
        });
        let Some(tip) = spike else { break };
        left.remove(tip);
    }
    Contour { vertices: left }
}

#[cfg(test)]
mod tests {
    use super::*;
    use caddis_geometry::{Placement2, Vec2, Vertex};

    #[test]
    fn spikes_go_and_what_they_stand_on_stays() {
        let at = |x: f64, y: f64, bulge: f64| Vertex {
            at: Vec2::new(x, y),
            bulge,
        };
        // Half a circle on an edge that runs on to a far corner and back.
        let spiked = Contour {
            vertices: vec![at(0.014, 0.0, 1.0), at(-0.014, 0.0, 0.0), at(-0.3, 1e-8, 0.0)],
        };
        let plain = without_spikes(&spiked, 1e-5);
        assert_eq!(plain.vertices, [at(0.014, 0.0, 1.0), at(-0.014, 0.0, 0.0)]);
        let square = Region::rectangle(Vec2::ZERO, Vec2::new(0.1, 0.1)).shapes[0]
            .outer
            .clone();
        assert_eq!(without_spikes(&square, 1e-5), square);
    }

    #[test]
    fn a_notch_beside_an_oblique_edge_is_half_a_circle() {
        let about = Placement2 {
            angle: 0.4355,
            shift: Vec2::new(0.0123, 0.0456),
        };
        let bar = Region::rectangle(Vec2::new(-0.33, -0.031), Vec2::new(0.33, 0.031)).placed(&about);
        let notch = Region::circle(about.apply(Vec2::new(0.0137, 0.031)), 0.014);
        let left = without_slivers(&bar.union(&notch).difference(&bar));
        assert_eq!(left.shapes.len(), 1);
        assert!(
            left.bounds()
                .is_some_and(|b| b.size().x < 0.03 && b.size().y < 0.03),
            "{left:?}"
        );
    }
}
