//! The board in a tray as falls see it: a rigid plate between the foam below it and the foam above it.
//!
//! What lies on it, or below it, is stopped by it as by the shell: foam beyond it is not counted, which errs to the severe side.
//! What leans on it presses everything beyond it, most where the foam is thinnest.

use crate::pack::Scene;
use crate::{Brief, Interior, Packed, PackedPatch, Support};
use caddis_geometry::{Prism, Vec2, Vec3};
use caddis_protection::{Impact, Law, Patch};

/// Grid of its patches, metres.
const SPACING: f64 = 0.008;
/// Places along an edge where the foam it is glued to holds it.
const ALONG: u32 = 5;
/// A column of foam counts as at least so thick, metres.
pub(crate) const LEAST_COLUMN: f64 = 0.005;

/// The board of a tray in its foam.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PackedBoard {
    /// kg.
    pub mass: f64,
    /// Centre of mass at rest.
    pub centre: Vec3,
    /// Inertia tensor about the centre, kg m², rows.
    pub inertia: [Vec3; 3],
    /// Patches in the order of [`crate::Direction::ALL`].
    pub sides: [Vec<PackedPatch>; 6],
    /// The lid foam's share of the thickness, for each law from 2 on.
    pub mixes: Vec<f64>,
}

impl PackedBoard {
    /// The board of an interior, where its tray has one.
    pub(crate) fn of(interior: &Interior, brief: &Brief) -> Option<Self> {
        let (block, board) = interior
            .blocks
            .iter()
            .find_map(|block| Some((block, block.board.as_ref()?)))?;
        let per_area = brief.furnishing.tray_board.as_ref()?.mass_per_area;
        let bounds = board.region.bounds()?;
        let mass = per_area * board.region.area();
        let scene = Scene::new(interior, brief);
        let [down, up] = scene.about_board(board, SPACING);
        let foam: f64 = block.layers.iter().map(|layer| layer.high - layer.low).sum();
        let [left, right, front, back] = edges(board, foam);
        let mut sides = [down, up, left, right, front, back];
        let mixes = crate::mix::renumber(sides.iter_mut().flatten().map(|p| &mut p.patch.law));
        // A plate of the outline's box.
        let (size, thick) = (bounds.size(), board.high - board.low);
        let about = |a: f64, b: f64| mass * (a * a + b * b) / 12.0;
        (mass > 0.0).then(|| Self {
            mass,
            centre: bounds.centre().at_height(f64::midpoint(board.low, board.high)),
            inertia: [
                Vec3::new(about(size.y, thick), 0.0, 0.0),
                Vec3::new(0.0, about(size.x, thick), 0.0),
                Vec3::new(0.0, 0.0, about(size.x, size.y)),
            ],
            sides,
            mixes,
        })
    }

    /// The laws of its patches.
    pub(crate) fn laws(&self, brief: &Brief, impact: Impact) -> Vec<Law> {
        crate::mix::laws(brief, &self.mixes, impact)
    }

    /// Which share of what leans on it each piece beyond it takes, down (0) or up (1); the foam beside the pieces takes the rest.
    ///
    /// # Source
    /// Springs in parallel under a rigid plate: a column of foam of area A and thickness t takes A/t (derived); behind a piece its own
    /// foam follows in series.
    pub(crate) fn passes(&self, packed: &[Packed], side: usize) -> Vec<(usize, f64)> {
        let behind: Vec<f64> = packed.iter().map(|piece| mean(&piece.sides[side])).collect();
        let mut stiff = vec![0.0; packed.len()];
        let mut total = 0.0;
        for PackedPatch { patch, support } in &self.sides[side] {
            let thickness = match support {
                Support::Shell => patch.thickness,
                Support::Piece(other) => patch.thickness + behind[*other],
                Support::Board | Support::Void => continue,
            };
            let one = patch.area / thickness.max(LEAST_COLUMN);
            total += one;
            if let Support::Piece(other) = support {
                stiff[*other] += one;
            }
        }
        let shares = stiff.into_iter().map(|stiff| stiff / total).enumerate();
        shares.filter(|(_, share)| *share > 0.0).collect()
    }
}

/// Mean thickness of the foam that bears one side.
fn mean(patches: &[PackedPatch]) -> f64 {
    let bearing = || patches.iter().filter(|p| p.support != Support::Void);
    let area: f64 = bearing().map(|p| p.patch.area).sum();
    let volume: f64 = bearing().map(|p| p.patch.area * p.patch.thickness).sum();
    if area > 0.0 { volume / area } else { 0.0 }
}

/// What holds it sideways: the tray's foam it is glued to, as columns of that height from its middle to the walls.
fn edges(board: &Prism, foam: f64) -> [Vec<PackedPatch>; 4] {
    let Some(bounds) = board.region.bounds() else {
        return Default::default();
    };
    let (centre, half) = (bounds.centre(), bounds.size() * 0.5);
    let z = f64::midpoint(board.low, board.high);
    let outward = [
        Vec2::new(-1.0, 0.0),
        Vec2::new(1.0, 0.0),
        Vec2::new(0.0, -1.0),
        Vec2::new(0.0, 1.0),
    ];
    outward.map(|out| {
        let along = Vec2::new(out.y.abs(), out.x.abs());
        let (reach, wide) = (half.dot(Vec2::new(out.x.abs(), out.y.abs())), half.dot(along));
        (0..ALONG)
            .map(|k| {
                let at = (f64::from(k) + 0.5) / f64::from(ALONG) * 2.0 - 1.0;
                PackedPatch {
                    patch: Patch {
                        point: (centre + out * reach + along * (at * wide)).at_height(z),
                        direction: out.at_height(0.0),
                        area: 2.0 * wide / f64::from(ALONG) * foam,
                        thickness: reach,
                        gap: 0.0,
                        law: 0,
                    },
                    support: Support::Shell,
                }
            })
            .collect()
    })
}
