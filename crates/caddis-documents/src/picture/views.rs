//! What the pictures show: the open case, and foam and equipment apart.

use super::raster::{Eye, Light, Picture, picture};
use crate::glb::Body;
use crate::scene::{Part, Piece, item_body, pieces};
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Mesh, Pose, Vec3};
use caddis_survey::Item;

/// Above, in front and to the right.
const CORNER: Vec3 = Vec3::new(0.55, -0.85, 0.85);
/// How far the lid is swung open, radians.
const OPEN: f64 = 1.92;
/// Gap between parts that are drawn apart, metres.
const APART: f64 = 0.06;

/// The case open on its hinge (taken to lie along the back), packed. Sizes in pixels.
pub fn open_case(brief: &Brief, interior: &Interior, width: usize, height: usize) -> Picture {
    open_case_of(brief, &pieces(brief, interior, 1), width, height)
}

/// The open case of the pieces of its scene.
pub(crate) fn open_case_of(brief: &Brief, pieces: &[Piece], width: usize, height: usize) -> Picture {
    let bodies: Vec<Body> = swung_open(brief, pieces)
        .map(|(piece, mesh)| solid(piece, mesh))
        .collect();
    picture(&bodies, Eye::from(CORNER), Light::Lambert, width, height)
}

/// What is to be seen of the open case, and its meshes.
pub(crate) fn opened(brief: &Brief, pieces: &[Piece]) -> Vec<(Part, Mesh)> {
    swung_open(brief, pieces)
        .map(|(piece, mesh)| (piece.part, mesh))
        .collect()
}

fn swung_open<'a>(brief: &Brief, pieces: &'a [Piece]) -> impl Iterator<Item = (&'a Piece, Mesh)> {
    let rim = brief.shell.rim_height().si();
    let hinge = Vec3::new(
        0.0,
        brief.shell.base.rim.width.value.si() / 2.0 + brief.shell.base.wall.value.si(),
        rim,
    );
    pieces
        .iter()
        .filter(|piece| !matches!(piece.part, Part::Intrusion(_)))
        .map(move |piece| {
            let mesh = if piece.in_lid {
                swung(&piece.body.mesh, hinge, OPEN)
            } else {
                piece.body.mesh.clone()
            };
            (piece, mesh)
        })
}

/// An item alone, as it is drawn in its own frame. Sizes in pixels.
pub fn item_picture(item: &Item, width: usize, height: usize) -> Picture {
    picture(
        &[item_body(item)],
        Eye::from(CORNER),
        Light::Lambert,
        width,
        height,
    )
}

/// Foam blocks and equipment lifted apart in the order they are packed: each tier's items above its foam. Sizes in pixels.
pub fn exploded(brief: &Brief, interior: &Interior, width: usize, height: usize) -> Picture {
    exploded_of(interior, &pieces(brief, interior, 1), width, height)
}

/// The same of the pieces of its scene.
pub(crate) fn exploded_of(interior: &Interior, pieces: &[Piece], width: usize, height: usize) -> Picture {
    let tallest = |tier: usize| {
        interior
            .places
            .iter()
            .filter(|place| place.tier == tier)
            .filter_map(|place| Some(place.body.high()? - place.body.low()?))
            .fold(0.0, f64::max)
    };
    let tiers = interior
        .places
        .iter()
        .map(|place| place.tier + 1)
        .max()
        .unwrap_or(0);
    let cover = interior.lid_cover().map(|(_, high)| high + 1e-6);
    let is_cover = |mesh: &Mesh| {
        let top = mesh.bounds().map(|bounds| bounds.max.z);
        top.zip(cover).is_some_and(|(top, cover)| top <= cover)
    };
    // Lift of each tier's foam; its items stand above it by the tallest of them.
    let mut lifts = vec![0.0];
    for tier in 0..tiers {
        let last = lifts.last().copied().unwrap_or(0.0);
        lifts.push(last + tallest(tier) + 3.0 * APART);
    }
    let bodies: Vec<Body> = pieces
        .iter()
        .filter_map(|piece| {
            let lift = match piece.part {
                Part::Foam(BlockKind::Base) => 0.0,
                Part::Foam(BlockKind::Tray(number)) => lifts.get(number as usize).copied()?,
                // Under what lies in the lid, its cover.
                Part::Foam(BlockKind::LidPad) if is_cover(&piece.body.mesh) => {
                    lifts.get(tiers.checked_sub(1)?).copied()?
                }
                Part::Foam(BlockKind::LidPad) => lifts.last().copied()?,
                Part::Item(place) => {
                    let tier = interior.places.get(place)?.tier;
                    lifts.get(tier)? + tallest(tier) + APART
                }
                Part::Shell(_) | Part::Intrusion(_) => return None,
            };
            let mesh = piece
                .body
                .mesh
                .posed(&Pose::translation(Vec3::new(0.0, 0.0, lift)));
            Some(solid(piece, mesh))
        })
        .collect();
    picture(
        &bodies,
        Eye::from(Vec3::new(0.55, -0.95, 0.5)),
        Light::Lambert,
        width,
        height,
    )
}

/// The piece opaque, with another mesh.
fn solid(piece: &Piece, mesh: Mesh) -> Body {
    Body {
        name: piece.body.name.clone(),
        mesh,
        colour: piece.body.colour,
        alpha: 1.0,
    }
}

/// A mesh turned about a line along x through a point, towards the back.
fn swung(mesh: &Mesh, hinge: Vec3, angle: f64) -> Mesh {
    let (sin, cos) = angle.sin_cos();
    let turn = Pose {
        rotation: [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, cos, sin),
            Vec3::new(0.0, -sin, cos),
        ],
        translation: Vec3::ZERO,
    };
    let to = Pose::translation(hinge * -1.0);
    let back = Pose::translation(hinge);
    mesh.posed(&to).posed(&turn).posed(&back)
}
