//! The scene: shell, foam and equipment as one glTF file.

use crate::drawing::block_words;
use crate::exchange::CHORD;
use crate::glb::{Body, write};
use crate::{Document, Words};
use caddis_basis::in_order;
use caddis_design::{Block, BlockKind, Brief, Interior, LayerPlan};
use caddis_geometry::{Boundary, Mesh, Prism, Vec2, Vec3};
use caddis_survey::{HalfSide, Item, Shell};
use std::f64::consts::{FRAC_PI_2, PI};

/// Chords of a corner of the shell.
const CORNER: u32 = 8;
/// Height of a band of the shell's wall, metres.
const BAND: f64 = 0.01;
/// Colours of equipment; the same kind has the same colour.
const COLOURS: [[u8; 3]; 8] = [
    [0x3b, 0x6e, 0xa5],
    [0xc9, 0x8a, 0x2b],
    [0x4f, 0x8f, 0x4a],
    [0x8c, 0x5a, 0x96],
    [0xb8, 0x53, 0x45],
    [0x3d, 0x8f, 0x8a],
    [0x8a, 0x7d, 0x3a],
    [0x5a, 0x5f, 0x8c],
];

/// Colour of boards.
pub(crate) const BOARD: [u8; 3] = [0x8a, 0x8f, 0x94];

/// What a piece of the scene is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    /// A layer of foam, by its block.
    Foam(BlockKind),
    /// An item, by its place in the interior.
    Item(usize),
    /// A housing, rib or boss, by its half.
    Intrusion(HalfSide),
    /// A half of the shell.
    Shell(HalfSide),
}

/// One piece of the scene.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    pub(crate) part: Part,
    /// Turns with the lid as it opens.
    pub(crate) in_lid: bool,
    pub(crate) body: Body,
}

/// The packed case as glTF: translucent shell halves with their intrusions, foam layers with their voids, equipment.
///
/// Nodes are named `base shell`, `lid shell`, the intrusions' names, `foam B1`, `item gps-receiver/1`.
///
/// # Units
/// Metres, y up.
///
/// # Accuracy
/// Shell corners have 8 chords and bands of 10 mm; foam and equipment as in the interior and the items' meshes.
pub fn scene(brief: &Brief, interior: &Interior) -> Document {
    scene_of(brief, &pieces(brief, interior, 1))
}

/// The scene of its pieces.
pub(crate) fn scene_of(brief: &Brief, pieces: &[Piece]) -> Document {
    let bodies: Vec<&Body> = pieces.iter().map(|piece| &piece.body).collect();
    Document {
        name: "scene.glb".to_owned(),
        media_type: "model/gltf-binary",
        bytes: write(&brief.title, &bodies),
    }
}

/// A shell alone, as [`scene`] shows it.
pub fn shell_scene(shell: &Shell) -> Document {
    let pieces = shell_pieces(shell);
    let bodies: Vec<&Body> = pieces.iter().map(|piece| &piece.body).collect();
    Document {
        name: format!("{}.glb", shell.name),
        media_type: "model/gltf-binary",
        bytes: write(&shell.title, &bodies),
    }
}

/// An item alone, in its own frame.
pub fn item_scene(item: &Item) -> Document {
    Document {
        name: format!("{}.glb", item.id),
        media_type: "model/gltf-binary",
        bytes: write(&item.name, &[&item_body(item)]),
    }
}

/// The body of an item alone.
pub(crate) fn item_body(item: &Item) -> Body {
    Body {
        name: format!("item {}", item.id),
        mesh: item.mesh(),
        colour: COLOURS[0],
        alpha: 1.0,
    }
}

/// All pieces of the packed, closed case; foam first, translucent shell last. Made on up to `threads` threads, and the same
/// whatever their number.
pub(crate) fn pieces(brief: &Brief, interior: &Interior, threads: usize) -> Vec<Piece> {
    let layers: Vec<(&Block, &LayerPlan)> = interior
        .blocks
        .iter()
        .flat_map(|block| block.layers.iter().map(move |layer| (block, layer)))
        .collect();
    let mut pieces = in_order(layers.len(), threads, |index| {
        let (block, layer) = layers[index];
        foam_piece(brief, interior, block, layer)
    });
    if let Some(board) = interior.back_board(brief) {
        pieces.push(Piece {
            part: Part::Foam(BlockKind::LidPad),
            in_lid: true,
            body: Body {
                name: "board behind the lid pad".to_owned(),
                mesh: foam_mesh(&[board]),
                colour: BOARD,
                alpha: 1.0,
            },
        });
    }
    for block in &interior.blocks {
        let Some(board) = &block.board else { continue };
        pieces.push(Piece {
            part: Part::Foam(block.kind),
            in_lid: false,
            body: Body {
                name: "board in the tray".to_owned(),
                mesh: foam_mesh(std::slice::from_ref(board)),
                colour: BOARD,
                alpha: 1.0,
            },
        });
    }
    for (index, place) in interior.places.iter().enumerate() {
        let Some(item) = brief.items.get(place.item) else {
            continue;
        };
        pieces.push(Piece {
            part: Part::Item(index),
            in_lid: place.in_lid,
            body: Body {
                name: format!("item {}", place.instance),
                mesh: item.mesh().posed(&place.pose),
                colour: equipment_colour(place.item),
                alpha: 1.0,
            },
        });
    }
    // Translucent bodies last, so that viewers without sorting blend them over the rest.
    pieces.extend(shell_pieces(&brief.shell));
    pieces
}

fn foam_piece(brief: &Brief, interior: &Interior, block: &Block, layer: &LayerPlan) -> Piece {
    let slices: Vec<Prism> = bands(interior, layer.low, layer.high)
        .into_iter()
        .map(|(low, high)| {
            let z = f64::midpoint(low, high);
            let free = brief.shell.section(z);
            let foam = interior.foam_at(block, layer, z);
            let region = if free.is_empty() {
                foam
            } else {
                foam.intersection(&free)
            };
            Prism { region, low, high }
        })
        .collect();
    Piece {
        part: Part::Foam(block.kind),
        in_lid: block.kind == BlockKind::LidPad,
        body: Body {
            name: format!(
                "foam {} ({})",
                layer.id,
                block_words(Words::english(), block.kind)
            ),
            mesh: foam_mesh(&slices),
            colour: brief.shade(block, layer).unwrap_or([0x80; 3]),
            alpha: 1.0,
        },
    }
}

/// Both halves of a shell with what stands in them.
fn shell_pieces(shell: &Shell) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut add = |part, name, mesh, colour, alpha| {
        pieces.push(Piece {
            part,
            in_lid: matches!(part, Part::Shell(HalfSide::Lid) | Part::Intrusion(HalfSide::Lid)),
            body: Body {
                name,
                mesh,
                colour,
                alpha,
            },
        });
    };
    for (name, side) in [("base shell", HalfSide::Base), ("lid shell", HalfSide::Lid)] {
        for obstacle in shell.obstacles(side) {
            if obstacle.is_wall {
                continue;
            }
            let inside = obstacle
                .outline
                .intersection(&shell.wall_section(f64::midpoint(obstacle.low, obstacle.high)));
            let mesh = Mesh::prism(&inside, obstacle.low, obstacle.high);
            add(
                Part::Intrusion(side),
                format!("{} ({name})", obstacle.name),
                mesh,
                SHELL,
                0.45,
            );
        }
        add(
            Part::Shell(side),
            name.to_owned(),
            half_shell(shell, side),
            SHELL,
            0.25,
        );
    }
    pieces
}

/// Colour of the shell.
const SHELL: [u8; 3] = [0x45, 0x4a, 0x50];

/// Colour of equipment of one kind.
pub(crate) fn equipment_colour(item: usize) -> [u8; 3] {
    COLOURS[item % COLOURS.len()]
}

/// Prisms that stand on each other as one skin; where their outlines come too near to be parted, one skin each.
fn foam_mesh(slices: &[Prism]) -> Mesh {
    let whole = Boundary::of(slices, &[]).ok();
    if let Some(mesh) = whole.and_then(|boundary| boundary.closed_mesh(CHORD)) {
        return mesh;
    }
    let mut mesh = Mesh::default();
    for Prism { region, low, high } in slices {
        mesh.append(&Mesh::prism(region, *low, *high));
    }
    mesh
}

/// The stretches of height between which no void begins or ends.
fn bands(interior: &Interior, low: f64, high: f64) -> Vec<(f64, f64)> {
    let mut heights: Vec<f64> = interior
        .voids()
        .flat_map(|Prism { low, high, .. }| [*low, *high])
        .filter(|z| *z > low + 1e-6 && *z < high - 1e-6)
        .chain([low, high])
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|b, a| *b - *a < 1e-6);
    heights.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// The closed skin of a shell half: inner and outer walls, floor or crown, and the rim.
fn half_shell(shell: &Shell, side: HalfSide) -> Mesh {
    let half = shell.half(side);
    let (rim, crown, wall) = (
        shell.rim_height().si(),
        shell.crown_height().si(),
        half.wall.value.si(),
    );
    let depth = half.depth.value.si();
    // Heights over floor or crown: four in the fillet, then every band.
    let fillet = half.fillet.value.si().min(depth / 2.0);
    let mut heights: Vec<f64> = (0..4)
        .map(|k| fillet * (1.0 - (FRAC_PI_2 * f64::from(k) / 4.0).cos()))
        .collect();
    let straight = ((depth - fillet) / BAND).ceil().max(1.0) as u32;
    heights.extend((0..=straight).map(|k| fillet + (depth - fillet) * f64::from(k) / f64::from(straight)));
    heights.extend(
        half.straight_between()
            .into_iter()
            .flat_map(|h| [h - 1e-6, h + 1e-6]),
    );
    heights.retain(|h| (0.0..=depth).contains(h));
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|b, a| *b - *a < 1e-7);
    let z_of = |h: f64| if side == HalfSide::Base { h } else { crown - h };
    let rings: Vec<(f64, Vec<Vec2>, Vec<Vec2>)> = heights
        .iter()
        .filter_map(|&h| {
            // The lid's own opening a hair above the rim plane, which belongs to the base.
            let z = if side == HalfSide::Lid {
                z_of(h).max(rim + 1e-9)
            } else {
                z_of(h)
            };
            let section = shell.wall_section(z);
            let (bounds, area) = (section.bounds()?, section.area());
            let (low, high) = (bounds.min, bounds.max);
            let radius = radius_of(area, high - low);
            let grown = Vec2::new(wall, wall);
            Some((
                z_of(h),
                ring(low, high, radius),
                ring(low - grown, high + grown, radius + wall),
            ))
        })
        .collect();
    let mut mesh = Mesh::default();
    let upright = side == HalfSide::Base;
    for pair in rings.windows(2) {
        let ((z0, inner0, outer0), (z1, inner1, outer1)) = (&pair[0], &pair[1]);
        skin(
            &mut mesh,
            (inner0.as_slice(), *z0),
            (inner1.as_slice(), *z1),
            !upright,
        );
        skin(
            &mut mesh,
            (outer0.as_slice(), *z0),
            (outer1.as_slice(), *z1),
            upright,
        );
    }
    if let (Some((z0, inner, outer)), Some((z1, rim_inner, rim_outer))) = (rings.first(), rings.last()) {
        let out = if upright { -wall } else { wall };
        // Floor or crown: the inner face looks into the room, the outer one away from it.
        cap(&mut mesh, inner, *z0, upright);
        skin(
            &mut mesh,
            (outer.as_slice(), z0 + out),
            (outer.as_slice(), *z0),
            upright,
        );
        cap(&mut mesh, outer, z0 + out, !upright);
        skin(
            &mut mesh,
            (rim_outer.as_slice(), *z1),
            (rim_inner.as_slice(), *z1),
            upright,
        );
    }
    mesh
}

/// Corner radius of a rounded rectangle from its area: each corner lacks (1 - pi/4) r².
fn radius_of(area: f64, size: Vec2) -> f64 {
    let lacks = (size.x * size.y - area).max(0.0);
    (lacks / (4.0 - PI))
        .sqrt()
        .clamp(1e-4, (size.x.min(size.y) / 2.0).max(1e-4))
}

/// A rounded rectangle counter-clockwise with the same number of points whatever its size.
fn ring(low: Vec2, high: Vec2, radius: f64) -> Vec<Vec2> {
    let centres = [
        Vec2::new(high.x - radius, high.y - radius),
        Vec2::new(low.x + radius, high.y - radius),
        Vec2::new(low.x + radius, low.y + radius),
        Vec2::new(high.x - radius, low.y + radius),
    ];
    let mut points = Vec::new();
    for (quarter, centre) in centres.into_iter().enumerate() {
        for k in 0..=CORNER {
            let angle = FRAC_PI_2 * (quarter as f64 + f64::from(k) / f64::from(CORNER));
            points.push(centre + Vec2::new(radius, 0.0).rotated(angle));
        }
    }
    points
}

/// Quads between two rings; facing away from the middle when `outward` and the second lies above the first.
fn skin(mesh: &mut Mesh, (first, z0): (&[Vec2], f64), (second, z1): (&[Vec2], f64), outward: bool) {
    let base = mesh.positions.len() as u32;
    let n = first.len().min(second.len()) as u32;
    mesh.positions.extend(first.iter().map(|p| p.at_height(z0)));
    mesh.positions.extend(second.iter().map(|p| p.at_height(z1)));
    for i in 0..n {
        let j = (i + 1) % n;
        let [a, b, c, d] = [base + i, base + j, base + n + j, base + n + i];
        if outward {
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        } else {
            mesh.triangles.extend([[a, c, b], [a, d, c]]);
        }
    }
}

/// A fan over a convex ring, facing up or down.
fn cap(mesh: &mut Mesh, ring: &[Vec2], z: f64, up: bool) {
    let base = mesh.positions.len() as u32;
    mesh.positions.extend(ring.iter().map(|p| Vec3::new(p.x, p.y, z)));
    for i in 1..(ring.len() as u32).saturating_sub(1) {
        let [a, b, c] = [base, base + i, base + i + 1];
        mesh.triangles.push(if up { [a, b, c] } else { [a, c, b] });
    }
}
