//! What the exchange files hold: each layer of foam and each piece of equipment as a body.

use super::{CHORD, ExchangeInput, marked};
use crate::drawing::block_words;
use crate::scene::{BOARD, equipment_colour};
use crate::{DocumentError, Words};
use caddis_design::{Block, Interior, LayerPlan, Place};
use caddis_geometry::{Boundary, BoundaryError, Mesh, Pose, Prism, Region, Side, Vec2};
use caddis_survey::{Item, ItemShape, Part, Primitive};

/// A mesh of more triangles is given as sections: programs that draw every triangle as a face choke on it.
const MOST_FACETS: usize = 600;

/// Sections that differ by less are one, metres, the coarsest tried first: little beside the height of a section, which is a step
/// of the staircase.
const MERGES: [f64; 2] = [5e-4, 2e-4];
/// Width of what booleans leave of two outlines that lie on each other, metres.
const SLIVER: f64 = 1e-8;

/// What a body is made of.
#[derive(Debug, Clone)]
pub(super) enum Form {
    /// Exact solids, each with where it stands.
    Exact(Vec<(Boundary, Pose)>),
    /// A closed mesh in case coordinates.
    Facets(Mesh),
}

/// One body.
#[derive(Debug, Clone)]
pub(super) struct Body {
    /// Its name, with what it stands for.
    pub(super) name: String,
    /// sRGB.
    pub(super) colour: [u8; 3],
    /// As exact as can be, for STEP.
    pub(super) form: Form,
    /// As triangles, in case coordinates, closed.
    pub(super) mesh: Mesh,
}

/// How many bodies there are: layers first, then boards, then equipment.
pub(super) fn count(input: &ExchangeInput) -> usize {
    let interior = input.interior;
    layers(interior).count() + boards(input).count() + interior.places.len()
}

/// The board in a tray and the one behind the lid pad, where there are any.
fn boards(input: &ExchangeInput) -> impl Iterator<Item = (&'static str, Prism)> {
    let tray = input.interior.tray_board().cloned();
    let back = input.interior.back_board(input.brief);
    let named = [("board in the tray", tray), ("board behind the lid pad", back)];
    named.into_iter().filter_map(|(name, board)| Some((name, board?)))
}

/// One of them.
pub(super) fn body(input: &ExchangeInput, index: usize) -> Result<Body, DocumentError> {
    let mark = marked(input.is_released);
    let foams = layers(input.interior).count();
    if let Some((block, layer)) = layers(input.interior).nth(index) {
        let colour = input.brief.shade(block, layer).unwrap_or([0x80; 3]);
        let name = format!(
            "{mark}foam {} ({})",
            layer.id,
            block_words(Words::english(), block.kind)
        );
        return self::foam(input.interior, block, layer, name, colour);
    }
    let index = index - foams;
    if let Some((name, board)) = boards(input).nth(index) {
        let boundary = Boundary::of(&[board], &[]).map_err(|error| unclosed(name, &error))?;
        let name = format!("{mark}{name}");
        return Ok(exact(name, BOARD, vec![(boundary, Pose::IDENTITY)]));
    }
    let place = input.interior.places.get(index - boards(input).count());
    let found = place.and_then(|place| Some((place, input.brief.items.get(place.item)?)));
    let Some((place, item)) = found else {
        return Err(DocumentError::Mismatch(format!(
            "piece {} is of no item of the brief",
            place.map_or_else(String::new, |place| place.instance.to_string())
        )));
    };
    equipment(place, item, mark)
}

fn layers(interior: &Interior) -> impl Iterator<Item = (&Block, &LayerPlan)> {
    interior
        .blocks
        .iter()
        .flat_map(|block| block.layers.iter().map(move |layer| (block, layer)))
}

/// A layer at its net size, with every void that is cut out of it.
fn layer_boundary(interior: &Interior, layer: &LayerPlan) -> Result<Boundary, BoundaryError> {
    let voids: Vec<Prism> = interior
        .voids()
        .filter(|prism| prism.low < layer.high && prism.high > layer.low)
        .map(|prism| Prism {
            region: prism.region.clone(),
            low: prism.low.max(layer.low),
            high: prism.high.min(layer.high),
        })
        .collect();
    let outline = Prism {
        region: layer.outline.clone(),
        low: layer.low,
        high: layer.high,
    };
    Boundary::of(&[outline], &voids)
}

fn foam(
    interior: &Interior,
    block: &Block,
    layer: &LayerPlan,
    name: String,
    colour: [u8; 3],
) -> Result<Body, DocumentError> {
    let (name, parts) = if let Ok(boundary) = layer_boundary(interior, layer) {
        (name, vec![boundary])
    } else {
        // Outlines too near each other to be parted over the whole height still stand slice by slice.
        let heights = interior.heights_within(layer.low, layer.high);
        let slices: Result<Vec<Boundary>, BoundaryError> = heights
            .windows(2)
            .map(|pair| {
                let region = interior.foam_at(block, layer, f64::midpoint(pair[0], pair[1]));
                slice(region, pair[0], pair[1])
            })
            .collect();
        let slices = slices.map_err(|error| unclosed(&layer.id.to_string(), &error))?;
        (format!("{name} in {} slices", slices.len()), slices)
    };
    Ok(exact(
        name,
        colour,
        parts.into_iter().map(|b| (b, Pose::IDENTITY)).collect(),
    ))
}

fn slice(region: Region, low: f64, high: f64) -> Result<Boundary, BoundaryError> {
    Boundary::of(&[Prism { region, low, high }], &[])
}

fn unclosed(what: &str, error: &BoundaryError) -> DocumentError {
    DocumentError::Exchange(format!("{what}: {error}"))
}

fn exact(mut name: String, colour: [u8; 3], parts: Vec<(Boundary, Pose)>) -> Body {
    let mut mesh = Mesh::default();
    let mut is_open = false;
    for (boundary, pose) in &parts {
        let skin = boundary.closed_mesh(CHORD).unwrap_or_else(|| {
            is_open = true;
            boundary.mesh(CHORD)
        });
        mesh.append(&skin.posed(pose));
    }
    if is_open {
        name.push_str(" (triangles do not close)");
    }
    Body {
        name,
        colour,
        form: Form::Exact(parts),
        mesh,
    }
}

fn equipment(place: &Place, item: &Item, mark: &str) -> Result<Body, DocumentError> {
    let name = format!("{mark}item {}", place.instance);
    let colour = equipment_colour(place.item);
    let failed = |error: BoundaryError| unclosed(&place.instance.to_string(), &error);
    let posed = |solid: &Primitive, pose: &Pose| Ok((primitive(solid).map_err(failed)?, *pose));
    match &item.shape {
        ItemShape::Primitive(solid) => Ok(exact(name, colour, vec![posed(solid, &place.pose)?])),
        ItemShape::Compound(parts) => {
            let parts: Result<Vec<_>, DocumentError> = parts
                .iter()
                .map(|part| posed(&part.solid, &part_pose(part).then(&place.pose)))
                .collect();
            Ok(exact(format!("{name} (parts may overlap)"), colour, parts?))
        }
        ItemShape::Mesh { mesh, .. } => {
            let mesh = mesh.posed(&place.pose);
            let check = mesh.check();
            if check.is_closed && check.bodies == 1 && mesh.triangles.len() <= MOST_FACETS {
                return Ok(Body {
                    name: format!("{name} (facets)"),
                    colour,
                    form: Form::Facets(mesh.clone()),
                    mesh,
                });
            }
            let sections = sections(place).map_err(failed)?;
            let mut body = exact(format!("{name} (outer sections)"), colour, sections);
            if check.is_closed {
                body.mesh = mesh;
            }
            Ok(body)
        }
    }
}

/// The outer sections a piece was packed by, merged as coarsely as leaves them one solid; where none can be parted, one solid each.
fn sections(place: &Place) -> Result<Vec<(Boundary, Pose)>, BoundaryError> {
    let own = &place.body.slabs;
    let whole = MERGES
        .iter()
        .find_map(|&within| Boundary::of(&merged(own, within), &[]).ok())
        .or_else(|| Boundary::of(own, &[]).ok());
    let parts = match whole {
        Some(boundary) => vec![boundary],
        None => own
            .iter()
            .filter(|slab| !slab.region.is_empty())
            .map(|slab| slice(slab.region.clone(), slab.low, slab.high))
            .collect::<Result<_, _>>()?,
    };
    Ok(parts
        .into_iter()
        .map(|boundary| (boundary, Pose::IDENTITY))
        .collect())
}

/// Sections that differ by no more than `within` as one: the outline of them all, so that each only grows. Before, each loses
/// the corners that `within` outside of it need not have.
///
/// # Accuracy
/// No section lies inside a true one, and none more than twice `within` outside what the piece was packed by.
fn merged(slabs: &[Prism], within: f64) -> Vec<Prism> {
    let mut merged: Vec<Prism> = Vec::new();
    // What the outline at hand may grow into: everything near each of its sections.
    let mut room = Region::empty();
    for slab in slabs {
        let slab = Prism {
            region: slab.region.simplified(within, Side::Outer),
            ..slab.clone()
        };
        if let Some(last) = merged.last_mut()
            && let Some((all, shared)) = one_outline(&last.region, &room, &slab.region, within)
        {
            (last.region, last.high, room) = (all, slab.high, shared);
            continue;
        }
        room = slab.region.offset(within, Side::Inner);
        merged.push(slab);
    }
    merged
}

/// The outline of both and what it may still grow into; `None` where one lies too far from the other.
fn one_outline(outline: &Region, room: &Region, next: &Region, within: f64) -> Option<(Region, Region)> {
    if outline == next {
        return Some((outline.clone(), room.clone()));
    }
    let all = outline.union(next);
    // A rim of that width is the most that both may differ by: cheap to ask, and mostly enough.
    let rim = within * all.boundary_length();
    if all.area() - outline.area() > rim || all.area() - next.area() > rim {
        return None;
    }
    let shared = room.intersection(&next.offset(within, Side::Inner));
    (all.difference(&shared).area() <= SLIVER * all.boundary_length()).then_some((all, shared))
}

fn part_pose(part: &Part) -> Pose {
    part.up.pose().then(&Pose::translation(part.at))
}

/// A box or cylinder in its own frame.
fn primitive(solid: &Primitive) -> Result<Boundary, BoundaryError> {
    let (region, height) = match solid {
        Primitive::Cuboid {
            length,
            width,
            height,
        } => {
            let half = Vec2::new(length.si() / 2.0, width.si() / 2.0);
            (Region::rectangle(-half, half), height.si())
        }
        Primitive::Cylinder { diameter, height } => {
            (Region::circle(Vec2::ZERO, diameter.si() / 2.0), height.si())
        }
    };
    slice(region, 0.0, height)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn disc(radius: f64, low: f64) -> Prism {
        Prism {
            region: Region::circle(Vec2::ZERO, radius),
            low,
            high: low + 0.01,
        }
    }

    #[test]
    fn sections_that_hardly_differ_are_one_and_hold_them_all() {
        let slabs = [
            disc(0.05, 0.0),
            disc(0.0501, 0.01),
            disc(0.05005, 0.02),
            disc(0.06, 0.03),
            disc(0.06, 0.04),
        ];
        let merged = merged(&slabs, MERGES[0]);
        let bands: Vec<(f64, f64)> = merged.iter().map(|slab| (slab.low, slab.high)).collect();
        assert_eq!(bands, [(0.0, 0.03), (0.03, 0.05)]);
        for slab in &slabs {
            let outer = merged
                .iter()
                .find(|band| band.low <= slab.low && band.high >= slab.high);
            let outer = &outer.unwrap().region;
            assert!(slab.region.difference(outer).area() < 1e-9);
            assert!(
                outer
                    .difference(&slab.region.offset(2.0 * MERGES[0] + 1e-5, Side::Outer))
                    .area()
                    < 1e-9
            );
        }
    }

    #[test]
    fn a_slow_taper_does_not_add_up() {
        // Each differs from the last by little, the first from the last by 2 mm.
        let slabs: Vec<Prism> = (0..21_u32)
            .map(|k| disc(0.05 + 1e-4 * f64::from(k), 0.01 * f64::from(k)))
            .collect();
        let merged = merged(&slabs, MERGES[0]);
        assert!(
            merged.len() >= 4 && merged.len() < slabs.len(),
            "{}",
            merged.len()
        );
        assert!((merged[0].region.bounds().unwrap().max.x - 0.05) < 2.0 * MERGES[0] + 1e-5);
    }
}
